"""What cables, swivels and locks bear, and the weakest part of an assembly."""
