"""Pictures of what is not known: the gap over speed as a band."""

import numpy as np
from matplotlib.axes import Axes

from designs.doubt.band import gap_bands
from designs.evaluate import Evaluation
from designs.pages.axes_gap import NONE
from designs.pages.ink import AFTER, BOUND, FILLS, bare, empty
from designs.shown import RPM

SPEEDS = 13
LEAST = 0.1  # part of the spread below which an entry is not named


def draw_gap_band(axes: Axes, evaluation: Evaluation, pair: int = 0) -> None:
    """Draw the least gap over speed in all machines that a design may be: where 90 of 100 lie, and the middle, mm."""
    if not evaluation.pairs:
        empty(axes, NONE)
        return
    speed = evaluation.design.speed
    bands = gap_bands(evaluation, np.linspace(float(speed.slowest), float(speed.most), SPEEDS))
    if len(bands) <= pair:
        empty(axes, "nothing is in doubt: every number of this design is exact")
        return
    band = bands[pair]
    low, middle, high = band.ends * 1e3
    axes.fill_between(band.speed * RPM, low, high, color=FILLS[1], edgecolor="#5b7da0", label="90 of 100 machines")
    axes.plot(band.speed * RPM, middle, **AFTER, label="half of the machines have more")
    axes.axhline(0.0, color="#8c1d0a", linewidth=1.4)
    axes.axhline(float(evaluation.design.limits.gap) * 1e3, **BOUND, label="asked for")
    named = [f"{each.name} {share:.0%}" for each, share in band.wide if share >= LEAST]
    title = "\n".join(["what makes it wide:", *named]) if named else "wide by many things together"
    axes.set_title(title, loc="left", fontsize=8)
    axes.set_xlabel("speed, rpm")
    axes.set_ylabel("least gap, mm")
    axes.legend(loc="best", frameon=False, fontsize=8)
    bare(axes)
