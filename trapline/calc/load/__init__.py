"""What to carry: expected catches of a set device, and the best load within stated limits."""
