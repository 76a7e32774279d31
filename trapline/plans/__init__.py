"""Questions about what is to come, answered from what stands: lives of parts, spares, the load."""
