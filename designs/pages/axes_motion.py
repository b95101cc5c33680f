"""Pictures of the motion, the gas and the torque over one turn."""

import numpy as np
from matplotlib.axes import Axes

from designs.evaluate import Evaluation
from designs.pages.ink import BOUND, LINES, bare, closed, empty, name_ends, over_cycle, turn


def draw_heights(axes: Axes, evaluation: Evaluation) -> None:
    """Draw the height of every yoke's pivots over one turn, mm."""
    angle = turn(evaluation.motion.theta.size)
    ends = []
    for (name, moved), line in zip(evaluation.motion.yokes.items(), LINES, strict=False):
        height = closed(moved.height) * 1e3
        axes.plot(angle, height, **line)
        ends.append((360.0, height[-1], name, line["color"]))
    over_cycle(axes)
    axes.set_ylabel("height of the rod pivots, mm")
    bare(axes)
    name_ends(axes, ends)


def draw_torque(axes: Axes, evaluation: Evaluation) -> None:
    """Draw the torque on both cranks together over one turn, at rated and fastest speed, N mm."""
    speed, count = evaluation.design.speed, evaluation.motion.theta.size
    speeds = {"rated": float(speed.rated), "fastest": float(speed.most)}
    ends = []
    for (name, omega), line in zip(speeds.items(), LINES, strict=False):
        torque = closed(np.broadcast_to(evaluation.crank_torques.total.at(omega), (count,))) * 1e3
        axes.plot(turn(count), torque, **line)
        ends.append((360.0, torque[-1], name, line["color"]))
    axes.axhline(0, **BOUND)
    over_cycle(axes)
    axes.set_ylabel("torque of both cranks, N mm")
    bare(axes)
    name_ends(axes, ends)


def draw_indicator(axes: Axes, evaluation: Evaluation) -> None:
    """Draw pressure against volume of the gas, kPa over cm^3; against crank angle where only pressure is known."""
    gas = evaluation.gas
    if gas.pressure is None:
        empty(axes, "no gas in this design")
        return
    pressure = closed(np.broadcast_to(gas.pressure, evaluation.motion.theta.shape)) / 1e3
    axes.set_ylabel("absolute pressure, kPa")
    bare(axes)
    if gas.volumes is None:
        axes.plot(turn(evaluation.motion.theta.size), pressure, **LINES[0])
        over_cycle(axes)
        return
    volume = closed(gas.volumes.total) * 1e6
    axes.plot(volume, pressure, **LINES[0])
    quarters = np.arange(4) * (evaluation.motion.theta.size // 4)
    axes.plot(volume[quarters], pressure[quarters], "o", color=LINES[0]["color"], markersize=4)
    middle, wide = np.array([np.mean(volume), np.mean(pressure)]), np.array([np.ptp(volume), np.ptp(pressure)])
    for place in quarters:
        # Square to the curve, out of it.
        along = np.array([each[(place + 1) % (each.size - 1)] - each[place - 1] for each in (volume, pressure)]) / wide
        out = np.array([along[1], -along[0]]) * (4.8, 3.4) / np.hypot(*(np.array([along[1], -along[0]]) * (4.8, 3.4)))
        if np.dot(out, (np.array([volume[place], pressure[place]]) - middle) / wide) < 0:
            out = -out
        away = tuple(out * 13)
        axes.annotate(
            f"{place * 360 // evaluation.motion.theta.size}°",
            (volume[place], pressure[place]),
            xytext=away,
            textcoords="offset points",
            ha="center",
            va="center",
            fontsize=8,
        )
    axes.margins(0.12)
    axes.set_xlabel("gas volume, cm³ (dots: crank angle)")
