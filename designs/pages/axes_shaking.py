"""Pictures of how the machine shakes: its force over the cycle, by order, and how the case vibrates."""

from typing import Any

import numpy as np
from matplotlib.axes import Axes

from balance.case.isolation import ZONES, watched
from balance.case.vibration import ORDERS, resonant_speeds, speeds_to_try, vibration
from balance.shaking import Shaking
from designs.evaluate import Evaluation
from designs.pages.axes_units import factor as in_place_of
from designs.pages.ink import AFTER, BEFORE, BOUND, FILLS, INK, LINES, bare, closed, empty, name_ends, over_cycle, turn
from designs.shown import RPM, said

ROUNDING = 1e-9  # share of the shaking force, times a metre for couples, below which nothing is left
QUIET = 1e-3  # mm/s: slower is drawn as this
MARKED = 4  # lowest orders whose resonances are marked
POINTS = 160  # speeds drawn, beside those at which an order meets a resonance


def states(evaluation: Evaluation) -> dict[str, tuple[Shaking, dict]]:
    """Return the shaking without and with counterweights by name, and the line that stands for each."""
    found = {"without counterweights": (evaluation.bare_shaking, BEFORE)}
    if evaluation.weights is None:
        return {"as designed, no counterweights": (evaluation.bare_shaking, AFTER)}
    return {**found, "with counterweights": (evaluation.weighted_shaking, AFTER)}


def draw_shaking_over_turn(axes: Axes, evaluation: Evaluation) -> None:
    """Draw the size of the shaking force at the fastest speed over one turn, N."""
    square = float(evaluation.design.speed.most) ** 2
    count = evaluation.motion.theta.size
    for name, (state, line) in states(evaluation).items():
        axes.plot(turn(count), closed(np.broadcast_to(state.size, (count,))) * square, label=name, **line)
    over_cycle(axes)
    axes.set_ylim(bottom=0)
    axes.set_ylabel("shaking force, N")
    bare(axes)
    axes.legend(loc="lower center", bbox_to_anchor=(0.5, 1.0), ncols=2, frameon=False, fontsize=8)


def draw_force_orders(axes: Axes, evaluation: Evaluation) -> None:
    """Draw the shaking force along the cylinder by order at the fastest speed, N."""
    axes.set_ylabel("force along the cylinder, peak, N")
    _draw_orders(axes, evaluation, "y", 1.0)


def draw_pitch_orders(axes: Axes, evaluation: Evaluation) -> None:
    """Draw the pitch couple by order at the fastest speed, N mm."""
    axes.set_ylabel("pitch couple, peak, N mm")
    _draw_orders(axes, evaluation, "pitch", 1e3)


def _draw_orders(axes: Axes, evaluation: Evaluation, part: str, factor: float) -> None:
    square = float(evaluation.design.speed.most) ** 2
    found = states(evaluation)
    sizes = {name: np.abs(state.orders(ORDERS)[part])[1:] * square * factor for name, (state, _) in found.items()}
    most, width = max(float(np.max(each)) for each in sizes.values()), 0.8 / len(found)
    by = in_place_of("N" if part == "y" else "N mm")[1]
    for place, (name, (_, line)) in enumerate(found.items()):
        at = np.arange(1, ORDERS + 1) + (place - (len(found) - 1) / 2) * width
        fill: dict[str, Any] = {"color": FILLS[2], "hatch": "///"} if line is BEFORE else {"color": "#5b5b5b"}
        axes.bar(at, sizes[name], width * 0.92, label=name, edgecolor=INK, linewidth=0.6, **fill)
        for x, size in zip(at, sizes[name], strict=True):
            beside: dict[str, Any] = {
                "xytext": (0, 2),
                "textcoords": "offset points",
                "ha": "center",
                "va": "bottom",
                "rotation": 90,
            }
            axes.annotate(_short(size * by, most * by), (x, size), fontsize=7, **beside)
    axes.set_xticks(range(1, ORDERS + 1))
    axes.set_xlabel("order: times per turn of the crank")
    bare(axes)
    axes.grid(False, axis="x")
    axes.margins(y=0.22)
    if most < ROUNDING * float(np.max(evaluation.bare_shaking.size)) * square * factor:
        axes.clear()
        empty(axes, "nothing but rounding in any order")
        return
    axes.legend(frameon=False, fontsize=8, loc="upper right")


def _short(size: float, largest: float) -> str:
    if size < 1e-4 * max(largest, 1e-30):
        return "~0"
    return f"{size:.0f}" if size >= 100 else f"{size:.2g}"


def draw_vibration(axes: Axes, evaluation: Evaluation) -> None:
    """Draw the rms vibration velocity of the watched places over speed, mm/s, with the zones of ISO 10816-1."""
    body = evaluation.case
    if body is None:
        empty(axes, "not known: the design gives no mount")
        return
    speed = evaluation.design.speed
    speeds = np.unique(
        [*np.linspace(float(speed.slowest), float(speed.most), POINTS), *np.ravel(speeds_to_try(body, speed))]
    )
    response = vibration(body, evaluation.case_loads, speeds)
    if all(np.all(response.severity(place) * 1e3 <= QUIET) for place in watched(body.mount).values()):
        empty(axes, f"no place vibrates by more than {said(QUIET * 1e-3, 'm/s')} at any speed;\n"
              f"{said(float(evaluation.design.limits.vibration), 'm/s')} are allowed")  # fmt: skip
        return
    ends = []
    for (name, place), line in zip(watched(body.mount).items(), LINES, strict=False):
        velocity = np.maximum(np.ravel(response.severity(place)) * 1e3, QUIET)
        axes.plot(speeds * RPM, velocity, **line)
        ends.append((speeds[-1] * RPM, velocity[-1], name, line["color"]))
    axes.set_yscale("log")
    _draw_zones(axes, float(speed.slowest) * RPM)
    limit = float(evaluation.design.limits.vibration) * 1e3
    axes.axhline(limit, color=INK, linewidth=1.6)
    axes.annotate(
        f"limit {limit:.3g} mm/s",
        (speeds[-1] * RPM, limit),
        xytext=(-2, 3),
        textcoords="offset points",
        ha="right",
        fontsize=8,
    )
    _mark_resonances(axes, resonant_speeds(body), speeds)
    axes.set_xlim(speeds[0] * RPM, speeds[-1] * RPM)
    axes.set_xlabel("speed, rpm")
    axes.set_ylabel("vibration velocity, rms, mm/s")
    bare(axes)
    name_ends(axes, ends)


def _draw_zones(axes: Axes, left: float) -> None:
    low, high = axes.get_ylim()
    low = max(min(low, 0.3), QUIET)
    bottom = low
    for name, top in ZONES:
        top = min(top * 1e3, max(high, 10.0))
        axes.annotate(
            name,
            (left, np.sqrt(bottom * top)),
            xytext=(4, 0),
            textcoords="offset points",
            va="center",
            fontsize=8,
            fontweight="bold",
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.0},
        )
        if name != "D":
            axes.axhline(top, **BOUND)
        bottom = top
    axes.set_ylim(low, max(high, 10.0))


def _mark_resonances(axes: Axes, meetings: np.ndarray, speeds: np.ndarray) -> None:
    """Mark where orders meet resonances; meetings : speeds, rad/s, (orders, modes)."""
    told: list[float] = []
    for order, row in enumerate(meetings[:MARKED], start=1):
        for met in np.unique(np.round(row, 6)):
            if speeds[0] < met < speeds[-1] and all(abs(met - each) > 0.03 * np.ptp(speeds) for each in told):
                told.append(met)
                axes.axvline(met * RPM, color="#888888", linewidth=0.7, linestyle=":")
                axes.annotate(
                    f"order {order}",
                    (met * RPM, 1.0),
                    xycoords=("data", "axes fraction"),
                    xytext=(0, 2),
                    rotation=90,
                    textcoords="offset points",
                    ha="center",
                    va="bottom",
                    fontsize=7,
                )
