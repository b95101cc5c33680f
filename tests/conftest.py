"""Settings that must stand before any test loads the linear algebra."""

import os

# As the command does: on small matrices several threads only wait for each other.
for name in ("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(name, "1")
