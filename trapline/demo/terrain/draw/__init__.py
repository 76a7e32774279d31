"""The map: tiles and a sheet drawn from a terrain."""
