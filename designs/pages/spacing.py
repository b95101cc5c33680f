"""Where labels stand that would overlap, and the round number below another: what drawings of every kind ask for."""

from collections.abc import Sequence

import numpy as np


def pushed_apart(wanted: Sequence[float], spacing: float, low: float, high: float) -> list[float]:
    """Return rising places at least `spacing` apart, as near as may be to those wanted (rising), within low to high."""
    found: list[float] = []
    for place in wanted:
        place = min(max(place, low), high)
        found.append(place if not found else max(place, found[-1] + spacing))
    excess = (found[-1] - high) if found else 0.0
    for place in range(len(found) - 1, -1, -1):
        limit = high if place == len(found) - 1 else found[place + 1] - spacing
        found[place] = min(found[place], limit) if excess > 0 else found[place]
    return found


def round_down(value: float) -> float:
    """Return the next of 1, 2, 5 times a power of ten at or below a positive value."""
    power = 10.0 ** np.floor(np.log10(value))
    return float(max(step * power for step in (1, 2, 5, 10) if step * power <= value * (1 + 1e-12)))
