"""Pictures of the counterweights: the part to cut with its dimensions, and added mass against what is left."""

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Polygon

from balance.plates.plate import Plate
from balance.plates.sector import Sector
from balance.plates.segment import Segment
from designs.evaluate import Evaluation
from designs.pages.ink import AFTER, INK, bare, empty

THIN: dict[str, Any] = {"color": INK, "linewidth": 0.6}


def draw_counterweight(axes: Axes, evaluation: Evaluation, plane: int = 0) -> None:
    """Draw the counterweight of one plane flat and to scale with what is needed to cut it, mm."""
    if evaluation.weights is None:
        empty(axes, "no counterweights in this design")
        return
    weight = evaluation.weights.planes[plane]
    plate = weight.shape
    reach = float(plate.edge.reach) * 1e3
    axes.set_aspect("equal")
    axes.set_axis_off()
    if float(plate.mass) <= 0:
        empty(axes, "no weight is needed in this plane")
        return
    axes.add_patch(Polygon(plate.corners * 1e3, closed=True, facecolor="#ececec", edgecolor=INK, linewidth=1.6))
    for x, y, diameter in plate.holes:
        axes.add_patch(
            Circle((float(x) * 1e3, float(y) * 1e3), float(diameter) * 5e2, facecolor="white", edgecolor=INK)
        )
        _say(axes, (float(x) * 1e3, float(y) * 1e3), f"⌀{float(diameter) * 1e3:.2f}", (6, 8))
    _draw_centre_lines(axes, reach)
    _draw_sizes(axes, plate)
    centre = float(plate.centre) * 1e3
    axes.plot(0, centre, marker="P", color=INK, markersize=7)
    _say(axes, (0, centre), f"mass centre {centre:.2f}", (9, 0))
    thickness, mass, moment = float(plate.thickness) * 1e3, float(plate.mass) * 1e3, float(plate.moment) * 1e6
    words = f"sizes in mm: {thickness:.2f} thick; {mass:.1f} g, {moment:.0f} g mm"
    axes.text(0, -0.42 * reach, words, ha="center", va="top", fontsize=9, fontweight="bold")
    if float(np.asarray(weight.short)) > 0:
        axes.text(
            0, -0.58 * reach, f"falls short of {float(weight.wanted) * 1e6:.0f} g mm", ha="center", va="top", fontsize=8
        )
    axes.set_xlim(-1.5 * reach, 1.5 * reach)
    axes.set_ylim(-0.7 * reach, 1.25 * reach)


def _draw_centre_lines(axes: Axes, reach: float) -> None:
    style = {**THIN, "linestyle": (0, (8, 2, 1, 2))}
    axes.plot([0, 0], [-0.3 * reach, 1.15 * reach], **style)
    axes.plot([-0.3 * reach, 0.3 * reach], [0, 0], **style)
    axes.plot(0, 0, "o", color=INK, markersize=3)
    _say(axes, (0, 0), "shaft", (-8, -9), "right")


def _draw_sizes(axes: Axes, plate: Plate) -> None:
    edge = plate.edge.chosen if hasattr(plate.edge, "chosen") else plate.edge
    if isinstance(edge, Sector):
        half, inner, outer = (float(np.asarray(each)) for each in (edge.half_angle, edge.inner, edge.outer))
        _arrow(axes, _polar(outer, 0.62 * half), f"R{outer * 1e3:.2f}")
        if inner > 0:
            _arrow(axes, _polar(inner, -0.55 * half), f"R{inner * 1e3:.2f}", side=-1)
        arc = np.linspace(-half, half, 60)
        rim = outer * 1.08e3
        axes.plot(rim * np.sin(arc), rim * np.cos(arc), **THIN)
        axes.text(0, rim * 1.04, f"{np.rad2deg(2 * half):.1f}°", ha="center", fontsize=9)
    elif isinstance(edge, Segment):
        outer, chord = float(np.asarray(edge.outer)), float(np.asarray(edge.chord))
        _arrow(axes, _polar(outer, 0.6), f"R{outer * 1e3:.2f}")
        level = chord * 1e3
        side = -1.18 * outer * 1e3
        axes.annotate("", (side, level), xytext=(side, 0), arrowprops={"arrowstyle": "<->", "linewidth": 0.6})
        axes.text(side, level / 2, f"cut at {level:.2f} ", ha="right", va="center", fontsize=9)
    else:
        x, y = plate.corners.T * 1e3
        axes.text(0, y.max() * 1.06, f"{np.ptp(x):.2f} wide, {np.ptp(y):.2f} high", ha="center", fontsize=9)


def _polar(radius: float, angle: float) -> tuple[float, float]:
    return radius * 1e3 * np.sin(angle), radius * 1e3 * np.cos(angle)


def _arrow(axes: Axes, tip: tuple[float, float], words: str, side: int = 1) -> None:
    axes.annotate(
        "",
        tip,
        xytext=(0, 0),
        arrowprops={"arrowstyle": "-|>", "linewidth": 0.6, "color": INK, "shrinkA": 0, "shrinkB": 0},
    )
    _say(axes, tip, words, (7 * side, 4), "left" if side > 0 else "right")


def _say(axes: Axes, at: tuple[float, float], words: str, shift: tuple[int, int], side: str = "left") -> None:
    axes.annotate(
        words,
        at,
        xytext=shift,
        textcoords="offset points",
        fontsize=8,
        ha=side,
        va="center",
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.8, "alpha": 0.85},
    )


def draw_trade_off(axes: Axes, evaluation: Evaluation) -> None:
    """Draw what is left of what the aim makes small against the mass that is added, as a share of that without."""
    trade = evaluation.trade_off
    if trade is None:
        empty(axes, "no counterweights in this design")
        return
    axes.plot(trade.mass * 1e3, trade.left / trade.left[0] * 100, marker="o", markersize=4, **AFTER)
    axes.set_xlabel("mass added in all, g")
    axes.set_ylabel("left of what shakes, percent")
    axes.set_ylim(bottom=0)
    bare(axes)
