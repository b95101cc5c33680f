"""Plots of the motion, the torque and the gas over one turn."""

import numpy as np

from designs.evaluate import Evaluation
from designs.pages.chart import CURVES, Chart, spread
from designs.pages.svg import tag, text
from designs.shown import RPM, number, shown
from designs.shown import said as said_of

QUARTERS = [0.0, 90.0, 180.0, 270.0, 360.0]


def heights(evaluation: Evaluation) -> str:
    """Return the height of every yoke's pivots over one turn, mm."""
    unit, up, _ = shown("m")
    curves = {name: np.asarray(moved.height) * up for name, moved in evaluation.motion.yokes.items()}
    said = ", ".join(f"{name} {_ends(each / up, 'm', '.1f')}" for name, each in curves.items())
    return _over_turn(curves, unit, f"Heights of the rod pivots over one turn: {said}")


def torque(evaluation: Evaluation) -> str:
    """Return the torque on both cranks together over one turn, at rated and fastest speed, N mm."""
    speed, count = evaluation.design.speed, evaluation.motion.theta.size
    unit, up, _ = shown("N m")
    curves = {
        name: np.broadcast_to(evaluation.crank_torques.total.at(float(omega)), (count,)) * up
        for name, omega in ((f"{float(each) * RPM:.0f} rpm", each) for each in (speed.rated, speed.most))
    }
    said = "; ".join(f"at {name} from {_ends(each / up, 'N m', '.0f')}" for name, each in curves.items())
    return _over_turn(curves, unit, f"Torque on both cranks together: {said}", zero=True)


def _over_turn(curves: dict[str, np.ndarray], unit: str, words: str, zero: bool = False) -> str:
    chart = Chart((0.0, 360.0), spread(*curves.values(), zero=zero), (46.0, 68.0, 18.0, 36.0))
    inside = chart.axes("crank angle, deg", unit, QUARTERS) + (chart.level(0.0, "axis") if zero else "")
    for values, kind in zip(curves.values(), CURVES, strict=False):
        inside += chart.curve(np.linspace(0.0, 360.0, values.size + 1), np.append(values, values[0]), kind)
    ends = [(float(each[0]), name[:10], kind) for (name, each), kind in zip(curves.items(), CURVES, strict=False)]
    return chart.whole(inside + chart.names(ends), words)


def indicator(evaluation: Evaluation) -> str:
    """Return pressure against volume of the gas, kPa over cm^3; against crank angle where only pressure is known."""
    gas = evaluation.gas
    if gas.pressure is None:
        return tag("p", "This design has no gas.", kind="none")
    unit, up, _ = shown("Pa")
    pressure = np.broadcast_to(gas.pressure, evaluation.motion.theta.shape) * up
    words = f"Pressure of the gas from {_ends(pressure / up, 'Pa', '.1f')}"
    if gas.volumes is None:
        return _over_turn({"pressure": pressure}, unit, words)
    cubic, large, _ = shown("m^3")
    volume = np.asarray(gas.volumes.total) * large
    chart = Chart(spread(volume), spread(pressure), (46.0, 14.0, 18.0, 36.0))
    inside = chart.axes(f"volume, {cubic.replace('^3', '³')}; dots: crank angle", unit)
    inside += chart.curve(np.append(volume, volume[0]), np.append(pressure, pressure[0]), "main")
    middle = float(chart.across(np.mean(volume)))
    for place in np.arange(4) * (volume.size // 4):
        x, y = float(chart.across(volume[place])), float(chart.up(pressure[place]))
        inside += tag("circle", cx=x, cy=y, r=3.0, kind="dot")
        side = -1 if x < middle else 1
        inside += text(x + 7 * side, y + 4, f"{place * 360 // volume.size}°", "", "end" if side < 0 else "")
    return chart.whole(inside, f"{words}, volume from {_ends(volume / large, 'm^3', '.1f')}".replace("^3", "³"))


def _ends(values: np.ndarray, kind: str, form: str) -> str:
    """Return from what to what values go, SI, in words."""
    return f"{number(float(values.min()), kind, form)} to {said_of(float(values.max()), kind, form)}"
