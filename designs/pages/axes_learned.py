"""What was thought of a machine before readings and after them."""

import numpy as np
from matplotlib.axes import Axes

from designs.learning.learned import Forecast
from designs.pages.ink import AFTER, BEFORE, BOUND, FILLS, bare, empty

BINS = 40
WIDEST = (0.005, 0.995)
"""Shares of the machines between which the picture reaches."""


def draw_learned_gap(axes: Axes, forecast: Forecast) -> None:
    """Draw how often each least gap is met, as a share of machines: before the readings, and after them (filled)."""
    gaps = [each * 1e3 for each in forecast.gap]
    known = np.concatenate(gaps)
    known = known[np.isfinite(known)]
    if not known.size:
        empty(axes, "no two yokes of this machine face each other")
        return
    low, high = np.quantile(known, WIDEST)
    bins = np.linspace(low, high, BINS + 1)
    before, after = (
        np.histogram(gap, bins, weights=weights)[0] for gap, weights in zip(gaps, forecast.weights, strict=True)
    )
    axes.stairs(after, bins, fill=True, color=FILLS[1])
    axes.stairs(after, bins, **AFTER, label="after the readings")
    axes.stairs(before, bins, **BEFORE, label="before")
    axes.axvline(0.0, **BOUND)
    axes.set_xlabel("least gap over the speed range (mm); below zero they touch")
    axes.set_ylabel("share of machines")
    axes.legend(frameon=False)
    bare(axes)
