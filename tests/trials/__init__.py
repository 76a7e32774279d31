"""Simulated seasons."""

import trapline  # noqa: F401 - before numpy, whose threads it keeps down
