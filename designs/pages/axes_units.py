"""A picture of matplotlib in the units that people see now: it is drawn in metric ones, and told in others."""

import re

import numpy as np
from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.ticker import LogLocator, MaxNLocator

from designs.shown import IMPERIAL, METRIC, imperial

KINDS = {
    "mm/s": "m/s", "N mm": "N m", "g mm": "kg m", "mm": "m", "µm": "um", "MPa": "stress", "kPa": "Pa", "cm³": "m^3",
    "N": "N", "g": "kg",
}  # fmt: skip
"""Units in which pictures are drawn, and what they measure."""
_UNIT = "|".join(KINDS)
_NAMED = re.compile(rf"(?<![\w/])({_UNIT})(?![\w/])")
_AMOUNT = re.compile(rf"([-+\u2212]?[0-9.]+) ({_UNIT})(?![\w/])")
DIGITS = 3


def factor(unit: str) -> tuple[str, float]:
    """Return the unit that people see now in place of one that pictures are drawn in, and by what it multiplies."""
    if not imperial():
        return unit, 1.0
    kind = KINDS[unit]
    return IMPERIAL[kind][0].replace("^3", "³"), IMPERIAL[kind][1] / METRIC[kind][1]


def in_units(figure: Figure) -> None:
    """Say all that a picture says with its unit, and its scales, in the units that people see now."""
    if not imperial():
        return
    scales = {label for axes in figure.axes for label in (axes.xaxis.label, axes.yaxis.label)}
    for words in figure.findobj(Text):
        if words not in scales:
            words.set_text(_AMOUNT.sub(_converted, words.get_text()))
    for axes in figure.axes:
        for axis in (axes.xaxis, axes.yaxis):
            _scale(axes, axis)
        if (legend := axes.get_legend()) is not None:
            title = legend.get_title()
            title.set_text(_NAMED.sub(lambda found: factor(found[1])[0], title.get_text(), count=1))


def _converted(found: re.Match[str]) -> str:
    unit, by = factor(found[2])
    value = float(found[1].replace("\u2212", "-")) * by
    text = np.format_float_positional(value, DIGITS, fractional=False, trim="-", sign=found[1].startswith("+"))
    return f"{text} {unit}".replace("-", "\u2212")


def _scale(axes: Axes, axis: Axis) -> None:
    """Label one scale in another unit, with marks that are round in it."""
    found = _NAMED.search(axis.get_label_text())
    if found is None:
        return
    unit, by = factor(found[1])
    axis.set_label_text(_NAMED.sub(unit, axis.get_label_text(), count=1))
    scaled = axes.yaxis if axes.name == "polar" else axis  # what is said of loads stands below their circles
    low, high = sorted(scaled.get_view_interval())
    locator = LogLocator() if scaled.get_scale() == "log" else MaxNLocator(4 if axes.name == "polar" else 7)
    marks = [each for each in locator.tick_values(low * by, high * by) if low <= each / by <= high]
    scaled.set_ticks([each / by for each in marks], [f"{each + 0.0:g}".replace("-", "\u2212") for each in marks])
    scaled.set_ticks([], minor=True)
