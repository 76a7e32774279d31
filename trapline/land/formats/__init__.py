"""Files of what is on the land."""
