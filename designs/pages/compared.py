"""Designs over speed, laid over each other: shaking force, least gap and vibration. Figures only, no windows."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from balance.case.isolation import watched
from balance.case.vibration import vibration
from balance.cycle.extremes import largest
from designs.evaluate import Evaluation
from designs.options.comparing import Candidate
from designs.pages.ink import save
from designs.shown import RPM

POINTS = 60  # speeds drawn
BEYOND = 20  # times a limit, from which on a panel goes by factors
PAPER = {"facecolor": "white", "edgecolor": "none", "alpha": 0.8, "pad": 1}
STYLES = ("-", "--", "-.", ":", (0, (6, 1, 1, 1, 1, 1)), (0, (1, 3)))
MARKERS = "osD^vPX*"
SHADES = ("#1b1b1b", "#0b5fa5", "#b8480a", "#5d7a1e", "#7b3f98", "#8a6d00", "#a11d4b", "#4f6b75")
"""Dark enough on white; line and marker tell designs apart where the colour does not."""

Drawn = tuple[int, str, np.ndarray, np.ndarray]
"""Place among the designs, name, speeds in rpm, values."""
Limits = dict[float, list[str]]
"""Limits in the unit of a panel, and the numbers of the designs that each is of."""
Curve = Callable[[Evaluation, np.ndarray], np.ndarray | None]


def draw(candidates: list[Candidate], path: Path) -> None:
    """Draw the curves of every design over its own speed range to a picture file."""
    with matplotlib.rc_context({"svg.fonttype": "none", "pdf.fonttype": 42, "svg.hashsalt": "compare", "font.size": 9}):
        save(figure(candidates), path, 150)


def figure(candidates: list[Candidate]) -> Figure:
    """Return the picture: one panel a figure that any of the designs has."""
    panels = [(title, curves, limits) for title, curve, limits in PANELS if (curves := _curves(candidates, curve))]
    made = Figure(figsize=(8, 2.8 * len(panels) + 0.8), layout="constrained")
    for axes, (title, curves, limits) in zip(np.ravel(made.subplots(len(panels), 1, sharex=True)), panels, strict=True):
        _panel(axes, curves, limits(candidates))
        axes.set_ylabel(title)
        axes.grid(alpha=0.3)
    made.axes[-1].set_xlabel("speed, rpm")
    made.legend(*made.axes[0].get_legend_handles_labels(), loc="outside upper center", ncols=2, frameon=False)
    return made


def _curves(candidates: list[Candidate], curve: Curve) -> list[Drawn]:
    found = []
    for place, each in enumerate(candidates):
        speed = np.linspace(0.0, float(each.evaluation.design.speed.most), POINTS)
        values = curve(each.evaluation, speed)
        if values is not None:
            found.append((place, each.name, speed * RPM, values))
    return found


def _panel(axes: Axes, curves: list[Drawn], limits: Limits) -> None:
    """Draw a panel; by factors where a curve goes so far beyond all limits that these would lie on the axis."""
    most = max(float(np.max(values)) for *_, values in curves)
    if limits and most > BEYOND * max(limits) > 0:
        axes.set_yscale("log")
        axes.set_ylim(min(limits) / BEYOND, 2 * most)
        axes.yaxis.set_major_formatter("{x:g}")
    for place, name, speed, values in curves:
        shade = SHADES[place % len(SHADES)]
        style: dict[str, Any] = {
            "linestyle": STYLES[place % len(STYLES)],
            "marker": MARKERS[place % len(MARKERS)],
            "markersize": 5,
        }
        style |= {"markevery": (2 * place % 12, 12), "linewidth": 1.5 if place else 3.5}
        axes.plot(speed, values, color=shade, label=f"{place + 1}: {name}", **style)
    for (x, y), numbers in _ends(curves).items():
        axes.annotate(f" {numbers}", (x, y), va="center", fontweight="bold", annotation_clip=False)
    for limit, names in limits.items():
        axes.axhline(limit, color="#1b1b1b", linewidth=0.8, linestyle=(0, (2, 2)))
        said = f"limit of {', '.join(names)}" if len(limits) > 1 else "limit"
        axes.annotate(said, (0, limit), xytext=(2, 3), textcoords="offset points", fontsize=8, bbox=PAPER)


def _ends(curves: list[Drawn]) -> dict[tuple[float, float], str]:
    """Return where each curve ends and its number; curves that end close together share one label."""
    heights = np.concatenate([values for *_, values in curves])
    reach = max(speed[-1] for _, _, speed, _ in curves)
    padding = max(np.ptp(heights) * 0.06, 1e-12)
    ends: dict[tuple[float, float], str] = {}
    for place, _, speed, values in sorted(curves, key=lambda each: each[0]):
        near = (at for at in ends if abs(at[0] - speed[-1]) < 0.03 * reach and abs(at[1] - values[-1]) < padding)
        at = next(near, (float(speed[-1]), float(values[-1])))
        ends[at] = f"{ends[at]}, {place + 1}" if at in ends else str(place + 1)
    return ends


def shaking_force(evaluation: Evaluation, speed: np.ndarray) -> np.ndarray:
    """Return the peak shaking force at speeds, N."""
    return float(largest(evaluation.shaking.size)[0]) * speed**2


def gap(evaluation: Evaluation, speed: np.ndarray) -> np.ndarray | None:
    """Return the least gap of any pair at speeds, mm; None if no yokes can touch."""
    if not evaluation.pairs:
        return None
    return np.array([min(float(pair.least(each)[0]) for pair in evaluation.pairs) for each in speed]) * 1e3


def velocity(evaluation: Evaluation, speed: np.ndarray) -> np.ndarray | None:
    """Return the largest rms velocity of any watched place of the case at speeds, mm/s; None without a mount."""
    if evaluation.case is None:
        return None
    turning = np.maximum(speed, 1e-3 * speed[-1])  # at rest there is no steady vibration
    found = vibration(evaluation.case, evaluation.case_loads, turning)
    return np.max([found.severity(place) for place in watched(evaluation.case.mount).values()], axis=0) * 1e3


def _limits_of(key: str, factor: float) -> Callable[[list[Candidate]], Limits]:
    def limits(candidates: list[Candidate]) -> Limits:
        found: Limits = {}
        for number, each in enumerate(candidates, start=1):
            if key in each.limits and each.limits[key].limit is not None:
                found.setdefault(float(each.limits[key].limit) * factor, []).append(str(number))  # type: ignore[arg-type]
        return found

    return limits


PANELS: list[tuple[str, Curve, Callable[[list[Candidate]], Limits]]] = [
    ("shaking force, N", shaking_force, _limits_of("shaking_force", 1.0)),
    ("least gap, mm", gap, _limits_of("gap", 1e3)),
    ("vibration, rms, mm/s", velocity, _limits_of("vibration", 1e3)),
]
