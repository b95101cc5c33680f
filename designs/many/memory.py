"""Memory that is freed and wanted again at once: kept, not handed back to the system in between."""

import ctypes
import sys
from functools import cache

TRIM, FROM_SYSTEM = -1, -3
"""M_TRIM_THRESHOLD and M_MMAP_THRESHOLD of the GNU C library (manual, "Malloc Tunable Parameters"; from memory)."""

KEPT = 128 * 2**20  # bytes, freed ones that stay with the process: about what a chunk of options needs
LARGEST = 32 * 2**20  # bytes, of one array that comes out of them; the most that the library allows


@cache
def keep_freed() -> None:
    """Let this process keep what it frees; elsewhere than with the GNU C library nothing is changed.

    Every step of a batch makes arrays of some hundred kilobytes and forgets them. By default each comes fresh from the
    system, which clears it page by page: a quarter of all the time.
    """
    if not sys.platform.startswith("linux"):
        return
    setting = getattr(ctypes.CDLL(None), "mallopt", None)
    if setting is not None:
        setting(FROM_SYSTEM, LARGEST)
        setting(TRIM, KEPT)
