"""Lineward."""

import os

# The matrices of the sums are small, and web and worker are many processes: threads of numpy's own
# took five times the processor's time of the sum itself. It is read when numpy is first imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
