"""Sets as files that other programs read and write: GPX 1.1, CSV, GeoJSON. Pure: no database."""
