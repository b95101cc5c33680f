"""Pictures of the gap between two yokes: over angle and speed, and what takes it."""

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from designs.evaluate import Evaluation
from designs.pages.axes_units import factor
from designs.pages.ink import AFTER, BEFORE, BOUND, FILLS, HATCHES, INK, bare, empty, signed
from designs.shown import RPM
from shafts.gap.pair import budget
from shafts.loaded_shafts import Case

NONE = "no two yokes of this design face each other within reach,\nor their outlines are not stated"
SPEEDS = 61  # rows of the map
STACKED = 41  # speeds of the stack
NEARBY = 14  # degrees to either side of the tightest angle that the stack over angle shows
DEEP = 0.5  # mm above the least gap that the map shows
FINEST = 1440  # angles a turn that the map is drawn with, or as many as the core has


CASES: tuple[tuple[Case, dict[str, Any], str], ...] = (
    ("expected", AFTER, "expected"),
    ("worst", BEFORE, "worst case"),
)


def draw_gap_map(axes: Axes, evaluation: Evaluation, pair: int = 0) -> None:
    """Draw the gap over crank angle and speed as lines of equal gap, mm; where yokes overlap it is hatched."""
    if not evaluation.pairs:
        empty(axes, NONE)
        return
    found = evaluation.pairs[pair]
    speeds = np.linspace(0.0, float(evaluation.top_speed), SPEEDS)
    angle, gap = _close_up(found.gap(speeds) * 1e3)
    levels = np.unique(
        [*MaxNLocator(8).tick_values(float(gap.min()), min(float(gap.max()), float(gap.min()) + DEEP)), 0.0]
    )
    axes.contourf(angle, speeds * RPM, gap, levels=levels, cmap="Greys_r", alpha=0.35, extend="both")
    lines = axes.contour(angle, speeds * RPM, gap, levels=levels[levels > 1e-9], colors="#333333", linewidths=0.7)
    axes.clabel(lines, fmt=lambda height: f"{height * factor('mm')[1]:.3g}", fontsize=8)
    _draw_contact(axes, angle, speeds * RPM, gap)
    speed = evaluation.design.speed
    for value, name in ((speed.least, "least"), (speed.rated, "rated"), (speed.most, "most")):
        axes.axhline(float(value) * RPM, **BOUND)
        axes.annotate(
            name,
            (angle[-1], float(value) * RPM),
            xytext=(5, 0),
            textcoords="offset points",
            va="center",
            fontsize=8,
            annotation_clip=False,
        )
    axes.set_xlabel("crank angle, deg")
    axes.set_ylabel("speed, rpm")


def _close_up(gap: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return finer angles, deg, about the tightest one as far as the gap is small, and the gap there, mm.

    gap : (speeds, angles of the core), mm; returned likewise. Between the angles of the core it follows the
    parabola through the three nearest, as the core's own search does.
    """
    count = gap.shape[-1]
    middle = int(np.argmin(gap.min(axis=0)))
    nearness = np.roll(gap.min(axis=0), count // 2 - middle)
    near = np.flatnonzero(nearness < gap.min() + DEEP) - count // 2
    half = int(np.clip(np.max(np.abs(near), initial=0) + 1, count // 24, count // 2))
    finer = max(1, FINEST // count)
    steps = np.arange(-half * finer, half * finer + 1) / finer
    place = np.rint(steps).astype(int)
    shift = steps - place
    before, here, after = (gap[:, (middle + place + by) % count] for by in (-1, 0, 1))
    fine = here + shift * (after - before) / 2 + shift**2 * (after - 2 * here + before) / 2
    return (middle + steps) * 360 / count, fine


def _draw_contact(axes: Axes, angle: np.ndarray, rpm: np.ndarray, gap: np.ndarray) -> None:
    if gap.min() > 0:
        return
    axes.contourf(angle, rpm, gap, levels=[gap.min() - 1e-9, 0.0], colors="none", hatches=["xxx"])
    axes.contour(angle, rpm, gap, levels=[0.0], colors="#8c1d0a", linewidths=2.4)
    row, column = np.unravel_index(np.argmin(gap), gap.shape)
    axes.annotate(
        "they touch",
        (angle[column], rpm[row]),
        xytext=(0, -16),
        textcoords="offset points",
        va="center",
        ha="center",
        fontweight="bold",
        color="#8c1d0a",
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.5},
    )


def draw_gap_over_speed(axes: Axes, evaluation: Evaluation, pair: int = 0) -> None:
    """Draw the least gap over speed, expected and in the worst case, mm."""
    if not evaluation.pairs:
        empty(axes, NONE)
        return
    found, top = evaluation.pairs[pair], float(evaluation.top_speed)
    speeds = np.linspace(0.0, top, STACKED)
    for case, line, name in CASES:
        gap = found.least(speeds, case)[0] * 1e3
        contact = evaluation.contact(found, case)
        words = (
            f"touch from {contact * RPM:.0f} rpm" if np.isfinite(contact) else f"no contact up to {top * RPM:.0f} rpm"
        )
        axes.plot(speeds * RPM, gap, label=f"{name}: {words}", **line)
        if 0 < contact < top:
            axes.plot(contact * RPM, 0, "o", color=line["color"])
    axes.axhline(0, color=INK, linewidth=0.8)
    limit = float(evaluation.design.limits.gap) * 1e3
    axes.axhline(limit, **BOUND)
    axes.annotate(f"limit {limit:g} mm", (0, limit), xytext=(3, 3), textcoords="offset points", fontsize=8)
    axes.set_xlabel("speed, rpm")
    axes.set_ylabel("least gap, mm")
    axes.set_xlim(0, top * RPM)
    bare(axes)
    axes.legend(frameon=False, fontsize=8, loc="lower left", bbox_to_anchor=(-0.02, 1.0))


def draw_gap_stack(axes: Axes, evaluation: Evaluation, pair: int = 0) -> None:
    """Draw over speed how the items stack up against the nominal gap at each speed's tightest angle, mm."""
    if not evaluation.pairs:
        empty(axes, NONE)
        return
    found, top = evaluation.pairs[pair], float(evaluation.top_speed)
    speeds = np.linspace(0.0, top, STACKED)
    each = [budget(found, speed) for speed in speeds]
    nominal = np.array([one for one, _ in each]) * 1e3
    taken = {name: -np.array([items[name] for _, items in each]) * 1e3 for name in each[0][1]}
    _stack(axes, speeds * RPM, nominal, taken, -1)
    axes.set_xlabel("speed, rpm")
    axes.set_ylabel("gap at the tightest angle, mm")
    _stack_key(axes, f"mm at {top * RPM:.0f} rpm")


def draw_gap_stack_over_angle(axes: Axes, evaluation: Evaluation, pair: int = 0) -> None:
    """Draw over crank angle, about the tightest one, how the items stack up at the worst running speed, mm."""
    if not evaluation.pairs:
        empty(axes, NONE)
        return
    found = evaluation.pairs[pair]
    speed = evaluation.tightest_speed(found)
    place, spot = found.tightest(speed)
    count = found.facing.nominal.shape[-1]
    half = max(2, count * NEARBY // 360)
    around = (spot.index + np.arange(-half, half + 1)) % count
    angles = np.degrees(spot.angle(count)) + (np.arange(-half, half + 1) - spot.shift) * 360 / count
    taken = {name: -each[place][around] * 1e3 for name, each in found.items(speed).items()}
    _stack(axes, angles, found.facing.nominal[place][around] * 1e3, taken, half)
    axes.set_xlabel("crank angle, deg")
    axes.set_ylabel(f"gap at {speed * RPM:.0f} rpm, mm")
    _stack_key(axes, f"mm at {np.degrees(spot.angle(count)):.0f} deg")


def _stack(axes: Axes, across: np.ndarray, nominal: np.ndarray, taken: dict[str, np.ndarray], told: int) -> None:
    """Stack what items take, mm, below the nominal gap; the key tells them at the place `told`."""
    counted = sorted(
        (name for name in taken if np.max(np.abs(taken[name])) > 5e-4), key=lambda name: -taken[name][told]
    )
    level = nominal - sum((np.minimum(taken[name], 0.0) for name in counted), np.zeros_like(nominal))
    axes.plot(across, nominal, **BOUND)
    for place, name in enumerate(counted):
        lower = level - np.maximum(taken[name], 0.0)
        axes.fill_between(
            across,
            level,
            lower,
            facecolor=FILLS[place % len(FILLS)],
            edgecolor="#444444",
            linewidth=0.5,
            hatch=HATCHES[place % len(HATCHES)],
            label=f"{name}, {signed(-taken[name][told])}",
        )
        level = lower
    axes.plot(across, level, color=INK, linewidth=2.6, label="what is left")
    axes.axhline(0, color=INK, linewidth=0.8)
    axes.annotate("nominal gap", (across[0], nominal[0]), xytext=(3, 3), textcoords="offset points", fontsize=8)
    axes.set_xlim(across[0], across[-1])


def _stack_key(axes: Axes, title: str) -> None:
    bare(axes)
    axes.legend(loc="upper left", bbox_to_anchor=(1.01, 1.0), frameon=False, fontsize=8, title=title, title_fontsize=8)


def draw_gap_budget(axes: Axes, evaluation: Evaluation, pair: int = 0) -> None:
    """Draw the gap budget at the tightest angle of the worst running speed as steps from nominal to left, mm."""
    if not evaluation.pairs:
        empty(axes, NONE)
        return
    found = evaluation.pairs[pair]
    nominal, items = budget(found, evaluation.tightest_speed(found))
    steps = [(name, value * 1e3) for name, value in items.items() if abs(value) > 5e-7]
    level, rows = nominal * 1e3, [("nominal gap", 0.0, nominal * 1e3)]
    for name, value in steps:
        rows.append((name, level, value))
        level += value
    rows.append(("what is left", 0.0, level))
    for place, (name, start, value) in enumerate(rows):
        whole = name in ("nominal gap", "what is left")
        axes.barh(
            place,
            value,
            left=start,
            height=0.62,
            facecolor="#5b5b5b" if whole else FILLS[1 if value > 0 else 2],
            edgecolor=INK,
            linewidth=0.6,
            hatch="" if whole else ("..." if value > 0 else "///"),
        )
        right = max(start, start + value)
        axes.annotate(
            signed(value) if not whole else signed(value).lstrip("+"),
            (right, place),
            xytext=(4, 0),
            textcoords="offset points",
            va="center",
            fontsize=8,
        )
    axes.set_yticks(range(len(rows)), [name for name, *_ in rows])
    axes.invert_yaxis()
    axes.axvline(0, color=INK, linewidth=1.0)
    axes.set_xlabel("gap, mm")
    bare(axes)
    axes.grid(False, axis="y")
    axes.use_sticky_edges = False
    axes.margins(x=0.16, y=0.03)
