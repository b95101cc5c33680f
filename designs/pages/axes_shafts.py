"""Pictures of the shafts: bearing loads, the bent line, and critical speeds."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon, Rectangle
from matplotlib.projections.polar import PolarAxes
from matplotlib.ticker import MaxNLocator

from designs.evaluate import Evaluation
from designs.pages.ink import AFTER, BEFORE, BLUE, FILLS, INK, LINES, RUST, bare, closed, name_ends
from designs.pages.run_up import loudest, run_up
from designs.pages.spacing import round_down
from designs.shown import RPM
from shafts.bent_line import bent_line

SIDES = ("right", "left")
QUIET = 1e-2  # um; what moves less is drawn as if it moved so much


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
    x, y = bent_line(loaded, place, at).deflections(speed)
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
    places |= {name: float(wheel.z(SIDES[place])) for name, wheel in machine.wheels(SIDES[place]).items()}
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
    """Draw where the orders of a crank's loads meet its free whirling, Hz over rpm; large where it bends the crank."""
    speed, side = evaluation.design.speed, SIDES[place]
    found = [each for each in evaluation.crossings if each.hand == side and each.order <= 8]
    top = max(float(evaluation.top_speed) * 1.3, 1.0)
    found = [each for each in found if each.speed <= top]
    high = 1.15 * max((each.order * each.speed / (2 * np.pi) for each in found), default=top / (2 * np.pi) * 4)
    for order in range(1, 9):
        last = min(top, high * 2 * np.pi / order)
        axes.plot([0, last * RPM], [0, order * last / (2 * np.pi)], color=BLUE, linewidth=0.8, linestyle=":")
        axes.annotate(
            f"order {order}" if order == 1 else str(order),
            (last * RPM, order * last / (2 * np.pi)),
            xytext=(-3, 3),
            textcoords="offset points",
            ha="right",
            fontsize=8,
            color=BLUE,
        )
    for way, marker, colour in (("forward", "^", INK), ("backward", "v", RUST), ("to and fro", "o", "#777777")):
        each = [(one.speed * RPM, one.order * one.speed / (2 * np.pi), 12 + 160 * min(np.sqrt(one.driven), 1.0))
                for one in found if one.way == way]  # fmt: skip
        if each:
            x, y, size = zip(*each, strict=True)
            axes.scatter(x, y, s=size, marker=marker, facecolor="none", edgecolor=colour, linewidth=1.2, label=way)
    axes.axvspan(float(speed.least) * RPM, float(speed.most) * RPM, color="#e4e4e4", zorder=0)
    axes.annotate("runs here", (float(speed.most) * RPM, 0), xytext=(3, 4), textcoords="offset points", fontsize=8)
    axes.set_xlim(0, top * RPM)
    axes.set_ylim(0, high * 1.06)
    axes.set_xlabel("speed, rpm")
    axes.set_ylabel("whirl frequency, Hz")
    axes.set_title(f"{side} crank", loc="left")
    bare(axes)
    if found:
        axes.legend(frameon=False, fontsize=8, loc="upper left", bbox_to_anchor=(1.0, 0.8), handletextpad=0.2)


def draw_run_up(axes: Axes, evaluation: Evaluation) -> None:
    """Draw how far the crankpins bend and what gap is left as the engine runs up, um over rpm."""
    speed, top, found = evaluation.design.speed, float(evaluation.top_speed), run_up(evaluation, 48)
    speeds, ends = found.speeds, []
    curves = [(found.static, BEFORE, "static"), (found.pins, AFTER, "with vibration")]
    if found.gap is not None:
        curves.append((found.gap, {"color": RUST, "linewidth": 1.4}, "least gap"))
    for values, line, name in curves:
        axes.plot(speeds * RPM, values * 1e6, **line)
        ends.append((float(speeds[-1]) * RPM, float(values[-1]) * 1e6, name, line["color"]))
    if found.case is not None:
        axes.set_yscale("log")
        moved, real = np.maximum(found.case.moved * 1e6, QUIET), found.case.speeds <= found.case.lifts
        axes.plot(found.case.speeds * RPM, np.where(real, moved, np.nan), color="#4a6b2a", linewidth=1.4)
        axes.plot(
            found.case.speeds * RPM, np.where(real, np.nan, moved), color="#777777", linewidth=1.0, linestyle="--"
        )
        name = "case" if np.all(real) else "case, lifts"
        name = name if np.max(moved) > QUIET else "case, less"
        ends.append((float(found.case.speeds[-1]) * RPM, float(moved[-1]), name, "#4a6b2a"))
        for at, order in found.case.peaks if np.max(moved) > QUIET else ():
            height = float(np.interp(at, found.case.speeds, moved))
            axes.annotate(f"case {order}", (at * RPM, height), xytext=(0, 4), textcoords="offset points", fontsize=7)
    for each in loudest(evaluation, speeds[0], 0.88 * top, 8):  # beyond it the curves bear their names
        height = float(np.interp(each.speed, speeds, curves[1][0])) * 1e6
        axes.annotate(
            f"{each.order} {each.way}",
            (each.speed * RPM, height),
            xytext=(0, 14),
            textcoords="offset points",
            rotation=60,
            fontsize=7,
            arrowprops={"arrowstyle": "-", "linewidth": 0.5},
        )
    axes.axvspan(float(speed.least) * RPM, float(speed.most) * RPM, color="#e4e4e4", zorder=0)
    axes.set_xlim(0, top * RPM)
    axes.set_xlabel("speed, rpm; grey: runs here; numbers: orders")
    axes.set_ylabel("largest over a turn, µm")
    axes.set_title("Run up: bending of the crankpins, the gap, motion of the case", loc="left")
    bare(axes)
    name_ends(axes, ends)
