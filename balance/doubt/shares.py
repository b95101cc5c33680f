"""Shares of drawn machines and how sure they are."""

import numpy as np

Z95 = 1.959964  # two-sided 95 percent of the normal law


def wilson(hits: int, count: int) -> tuple[float, float, float]:
    """Return share, and lower and upper end of its 95 percent interval (Wilson, J. Am. Stat. Assoc. 22 (1927), 209).

    Raises ValueError where nothing was drawn, or more hits than draws are said.
    """
    if not 0 <= hits <= count or count < 1:
        raise ValueError(f"hits and draws: read {hits} of {count}; allowed: one draw or more, and no more hits")
    share = hits / count
    middle = (share + Z95**2 / (2 * count)) / (1 + Z95**2 / count)
    half = Z95 / (1 + Z95**2 / count) * np.sqrt(share * (1 - share) / count + Z95**2 / (4 * count**2))
    return share, max(0.0, float(middle - half)), min(1.0, float(middle + half))
