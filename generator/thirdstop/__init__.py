"""thirdstop: a house recipe book for small portrait studios."""

import os

__version__ = "0.1.0"

# One BLAS thread: the last bits of a matrix product differ between thread counts, and the engine's products
# are too small to gain. It has to be said before numpy is imported; a value that is set already stands.
for _library in ("OPENBLAS", "OMP", "MKL"):
    os.environ.setdefault(f"{_library}_NUM_THREADS", "1")
