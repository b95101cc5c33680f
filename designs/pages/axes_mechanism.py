"""The mechanism to scale at one crank angle, as a picture that stands still: for paper and notebooks."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Polygon

from balance.machine.yoke import Outline
from balance.outlines import corner_arrays
from balance.turning import HANDS
from designs.evaluate import Evaluation
from designs.pages.ink import INK
from designs.pages.mechanism import PIN, tightest_place

MM = 1e3
STEEL, LIGHT, DARK = "#c9c9c9", "#e6ebf0", "#8f8f8f"


def draw_mechanism(axes: Axes, evaluation: Evaluation, place: int | None = None) -> None:
    """Draw cranks, rods, yokes, weights and walls to scale, mm, seen from +z.

    place : crank angle as an index of the motion's angles; where the gap is least if left out.
    """
    place = tightest_place(evaluation) if place is None else place
    theta = float(evaluation.motion.theta[place])
    for wall in evaluation.machine.walls.values():
        _outline(axes, wall, 0.0, facecolor="#ededed", edgecolor="#777777", zorder=1)
    for sign in HANDS.values():
        _crank(axes, evaluation, sign, theta)
    for name in evaluation.motion.yokes:
        _yoke(axes, evaluation, name, place)
    axes.set_aspect("equal")
    axes.autoscale_view()
    axes.margins(0.05)
    axes.set_xlabel(f"mm, at crank angle {np.rad2deg(theta):.0f}°")
    axes.set_ylabel("height above the line between the shafts, mm")
    axes.spines[["top", "right"]].set_visible(False)


def _outline(axes: Axes, outline: Outline, height: float, **style) -> None:
    x, y = corner_arrays(outline)
    axes.add_patch(Polygon(np.column_stack([np.ravel(x), np.ravel(y) + height]) * MM, closed=True, **style))


def _crank(axes: Axes, evaluation: Evaluation, sign: float, theta: float) -> None:
    machine = evaluation.machine
    centre = sign * float(machine.cranks.centre_distance) / 2
    if machine.cranks.gears is not None:
        radius = float(machine.cranks.gears.pitch_radius) * MM
        axes.add_patch(Circle((centre * MM, 0), radius, fill=False, edgecolor="#888888", linestyle=":"))
    for weight in () if evaluation.weights is None else evaluation.weights.planes:
        _weight(axes, weight.shape.corners, (centre, sign), theta + float(weight.angle), evaluation.fitted)
    for throw in machine.cranks.throws.values():
        angle, radius = theta + float(throw.phase), float(throw.radius)
        x, y = centre + sign * radius * np.sin(angle), radius * np.cos(angle)
        axes.plot([centre * MM, x * MM], [0, y * MM], color=STEEL, linewidth=9, solid_capstyle="round", zorder=2)
        size = PIN if throw.pin is None else float(throw.pin.diameter) * MM
        axes.add_patch(Circle((x * MM, y * MM), size / 2, facecolor="white", edgecolor=INK, zorder=5))
    shaft = float(np.ravel(machine.shafts.pair[sign < 0].segments[0].diameter)[0]) * MM
    axes.add_patch(Circle((centre * MM, 0), shaft / 2, facecolor="#777777", edgecolor=INK, zorder=3))


def _weight(axes: Axes, own: np.ndarray, where: tuple[float, float], turn: float, fitted: bool) -> None:
    centre, sign = where
    x = sign * (own[:, 0] * np.cos(turn) + own[:, 1] * np.sin(turn)) + centre
    y = -own[:, 0] * np.sin(turn) + own[:, 1] * np.cos(turn)
    style = {"facecolor": DARK} if fitted else {"fill": False, "linestyle": "--"}
    axes.add_patch(Polygon(np.column_stack([x, y]) * MM, closed=True, edgecolor=INK, linewidth=0.8, **style))


def _yoke(axes: Axes, evaluation: Evaluation, name: str, place: int) -> None:
    yoke, moved = evaluation.machine.yokes[name], evaluation.motion.yokes[name]
    height, edge = float(moved.height[place]), 0.0
    span = float(yoke.half_span) if yoke.rod is not None else float(evaluation.machine.cranks.centre_distance) / 2
    for sign in HANDS.values() if yoke.rod is not None else ():
        ends = [sign * moved.pin.x[place] * MM, sign * span * MM], [moved.pin.along[place] * MM, height * MM]
        axes.plot(*ends, color=INK, linewidth=3.6, solid_capstyle="round", zorder=4)
        axes.plot(*ends, color="white", linewidth=2.2, solid_capstyle="round", zorder=4)
    for outline in (getattr(yoke.carries, "outline", None), yoke.outline):
        if outline is not None:
            _outline(axes, outline, height, facecolor=LIGHT, edgecolor=INK, linewidth=0.8, zorder=6)
            edge = float(np.max(corner_arrays(outline)[0]))
    if yoke.outline is None:
        axes.plot([-span * MM, span * MM], [height * MM] * 2, color=INK, linewidth=3, zorder=6)
        edge = span
    axes.annotate(
        name,
        (edge * MM, height * MM),
        xytext=(4, 0),
        textcoords="offset points",
        va="center",
        fontsize=8,
        zorder=7,
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.8, "alpha": 0.9},
    )
