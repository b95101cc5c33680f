"""Pictures of the shafts: bearing loads, the bent line, and critical speeds."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon, Rectangle
from matplotlib.projections.polar import PolarAxes
from matplotlib.ticker import MaxNLocator

from designs.evaluate import Evaluation
from designs.pages.ink import (
    AFTER,
    BEFORE,
    BLUE,
    FILLS,
    INK,
    LINES,
    RPM,
    RUST,
    bare,
    closed,
    name_ends,
    round_down,
)
from shafts.bent_line import bent_line
from shafts.whirl.critical import whirl_frequencies

SIDES = ("right", "left")


def draw_bearing_loads(axes: PolarAxes, evaluation: Evaluation, place: int = 0) -> None:
    """Draw the load on each bearing of the right (0) or left (1) shaft by its direction, N; on polar axes."""
    crank, speed = evaluation.loaded_shafts.cranks[place], float(evaluation.design.speed.most)
    angles = (evaluation.motion.theta.size,)
    for number, (load, line) in enumerate(zip(crank.bearings, LINES, strict=False)):
        x, y = (np.broadcast_to(each, angles) for each in load.on_bench(speed))
        direction, size = np.arctan2(closed(y), closed(x)), np.hypot(closed(x), closed(y))
        axes.plot(direction, size, label=f"bearing {number + 1}", **line)
        axes.plot(direction[:1], size[:1], "o", color=line["color"], markersize=5)
    axes.set_thetagrids(range(0, 360, 90), ["+x", "+y, hot end", "−x", "−y"])
    axes.yaxis.set_major_locator(MaxNLocator(4))
    axes.set_rlabel_position(_emptiest(axes))
    axes.tick_params(pad=1)
    axes.set_xlabel("N; dot: crank angle 0")
    axes.set_title(f"{SIDES[place]} shaft", pad=16, fontweight="bold")
    axes.legend(loc="upper left", bbox_to_anchor=(-0.17, -0.08), frameon=False, fontsize=8)


def _emptiest(axes: PolarAxes) -> float:
    """Return the direction, degrees, in which the curves reach out least, among those between the named ones."""
    sizes = np.concatenate([line.get_ydata() for line in axes.lines])
    directions = np.concatenate([line.get_xdata() for line in axes.lines])

    def reach(degrees: float) -> float:
        aside = np.abs(np.angle(np.exp(1j * (directions - np.deg2rad(degrees)))))
        return float(np.max(sizes[aside < np.deg2rad(15)], initial=0.0))

    return min((22.5, 67.5, 112.5, 157.5, 202.5, 247.5, 292.5, 337.5), key=reach)


def draw_bending(axes: Axes, evaluation: Evaluation, place: int = 0) -> None:
    """Draw a shaft to scale, mm, and its bent line, exaggerated as stated, where it bends most at the fastest speed."""
    loaded, speed = evaluation.loaded_shafts, float(evaluation.design.speed.most)
    shaft, throws = loaded.cranks[place].shaft, loaded.engine.cranks.throws.values()
    ends = [float(shaft.starts_at), float(shaft.ends_at), *(float(throw.at) for throw in throws)]
    at = np.unique([*np.linspace(min(ends), max(ends), 80), *ends])
    x, y = bent_line(loaded, place, at).along(speed)
    x, y = (np.broadcast_to(each, (at.size, evaluation.motion.theta.size)) for each in (x, y))
    size = np.hypot(x, y)
    angle = int(np.unravel_index(np.argmax(size), size.shape)[1])
    bulk = max(float(np.max(np.asarray(each.diameter))) for each in shaft.segments)
    scale = round_down(2.5 * bulk / max(float(size.max()), 1e-12))
    for values, line, name in ((y, AFTER, "along the cylinder (+y up)"), (x, BEFORE, "across (+x up)")):
        axes.plot(at * 1e3, values[:, angle] * scale * 1e3, label=f"{name}, most {_most(values[:, angle])}", **line)
    low, high = axes.get_ylim()
    _fit_to_scale(axes, (at[0] * 1e3, at[-1] * 1e3), (min(low, -bulk * 5e2 - 11), max(high, bulk * 1e3)))
    _draw_shaft(axes, evaluation, place)
    axes.set_xlabel("place along the shaft, mm")
    axes.set_ylabel("mm")
    degrees = angle * 360 / evaluation.motion.theta.size
    axes.set_title(
        f"{SIDES[place]} shaft at {degrees:.0f}°, {speed * RPM:.0f} rpm: deflection drawn {scale:g} times",
        loc="left",
        pad=16,
    )
    bare(axes)
    axes.legend(frameon=False, fontsize=8, loc="upper center", bbox_to_anchor=(0.5, -0.27), ncols=2)


def _fit_to_scale(axes: Axes, x: tuple[float, float], y: tuple[float, float]) -> None:
    """Set limits that hold both ranges with one scale for both directions, filling the axes."""
    box = axes.get_window_extent()
    wide, high = 1.06 * (x[1] - x[0]), y[1] - y[0]
    scale = max(wide / box.width, high / box.height)
    middle = (x[0] + x[1]) / 2
    axes.set_xlim(middle - scale * box.width / 2, middle + scale * box.width / 2)
    spare = scale * box.height - high
    axes.set_ylim(y[0] - spare / 2, y[1] + spare / 2)


def _most(values: np.ndarray) -> str:
    return f"{values[np.argmax(np.abs(values))] * 1e6:+.1f} µm"


def _draw_shaft(axes: Axes, evaluation: Evaluation, place: int) -> None:
    machine, shaft = evaluation.machine, evaluation.loaded_shafts.engine.shafts.pair[place]
    start = float(shaft.starts_at) * 1e3
    for each in shaft.segments:
        length, diameter = float(each.length) * 1e3, float(each.diameter) * 1e3
        axes.add_patch(
            Rectangle((start, -diameter / 2), length, diameter, facecolor="#ececec", edgecolor="#777777", linewidth=0.7)
        )
        start += length
    below = -max(float(each.diameter) for each in shaft.segments) * 1e3 / 2
    for number, bearing in enumerate(shaft.bearings):
        at = float(bearing.at) * 1e3
        corners = [(at, below), (at - 2.4, below - 4), (at + 2.4, below - 4)]
        axes.add_patch(Polygon(corners, facecolor=FILLS[1], edgecolor=INK, linewidth=0.7, hatch="///"))
        axes.annotate(
            f"bearing {number + 1}",
            (at, below - 4),
            xytext=(0, -2),
            textcoords="offset points",
            ha="center",
            va="top",
            fontsize=7,
        )
    places = {f"throw {name}": float(throw.at) for name, throw in machine.cranks.throws.items()}
    if machine.cranks.gears is not None:
        places["gear"] = float(machine.cranks.gears.at)
    places |= {name: float(wheel.along(SIDES[place])) for name, wheel in machine.wheels(SIDES[place]).items()}
    for name, at in places.items():
        axes.axvline(at * 1e3, color="#777777", linewidth=0.7, linestyle=":")
        axes.annotate(
            name,
            (at * 1e3, 1.0),
            xycoords=("data", "axes fraction"),
            xytext=(0, 2),
            textcoords="offset points",
            ha="center",
            fontsize=7,
        )


def draw_critical_speeds(axes: Axes, evaluation: Evaluation, place: int = 0) -> None:
    """Draw the shaft's whirl frequencies over speed with the lines of the orders that meet them, Hz over rpm."""
    body, speed = evaluation.rotors[place], evaluation.design.speed
    first = float(whirl_frequencies(body, 0.0, 1)[0][0])
    top = max(float(evaluation.top_speed) * 1.3, min(1.25 * first, 20 * float(evaluation.top_speed)))
    speeds, ends = np.linspace(0.0, top, 13), []
    forward, backward = (
        np.array(each) for each in zip(*(whirl_frequencies(body, one, 2) for one in speeds), strict=True)
    )
    high = 1.5 * float(np.max(forward[:, 0])) / (2 * np.pi)
    for values, line, name in (
        (forward, {**AFTER, "color": INK}, "with the turning"),
        (backward, {**BEFORE, "color": RUST}, "against it"),
    ):
        for number in range(values.shape[1]):
            hertz = values[:, number] / (2 * np.pi)
            if np.all(np.isfinite(hertz)) and hertz[-1] < high:
                axes.plot(speeds * RPM, hertz, **line)
                ends.append((top * RPM, float(hertz[-1]), f"{number + 1}. {name}", line["color"]))
    for order in (1, 2, 3, 4):
        last = min(top, high * 2 * np.pi / order)
        axes.plot([0, last * RPM], [0, order * last / (2 * np.pi)], color=BLUE, linewidth=0.9, linestyle=":")
        axes.annotate(
            f"order {order}" if order == 1 else str(order),
            (last * RPM, order * last / (2 * np.pi)),
            xytext=(-3, 3),
            textcoords="offset points",
            ha="right",
            fontsize=8,
            color=BLUE,
        )
    axes.axvspan(float(speed.least) * RPM, float(speed.most) * RPM, facecolor="#e4e4e4", edgecolor="none")
    axes.annotate("runs here", (float(speed.most) * RPM, 0), xytext=(3, 4), textcoords="offset points", fontsize=8)
    axes.set_xlim(0, top * RPM)
    axes.set_ylim(0, high * 1.06)
    axes.set_xlabel("speed, rpm")
    axes.set_ylabel("whirl frequency, Hz")
    axes.set_title(f"{SIDES[place]} shaft", loc="left")
    bare(axes)
    name_ends(axes, ends)
