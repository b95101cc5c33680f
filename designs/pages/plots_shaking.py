"""Plots of how the machine shakes: its force over the turn, by order, and how the case vibrates."""

from typing import Any

import numpy as np

from balance.case.isolation import ZONES, watched
from balance.case.vibration import ORDERS, resonant_speeds, speeds_to_try, vibration
from balance.shaking import Shaking
from designs.evaluate import Evaluation
from designs.pages.chart import CURVES, Chart, spread
from designs.pages.svg import line, tag, text
from designs.shown import RPM, number, shown
from designs.shown import said as said_of

ROUNDING = 1e-9  # share of the shaking force, times a metre for couples, below which nothing is left
NOTHING = tag("p", "Nothing but rounding is left in any order.", kind="none")
QUIET = 1e-6  # m/s: slower is drawn as this
POINTS = 120
MARKED = 4  # lowest orders whose resonances are marked


def states(evaluation: Evaluation) -> list[tuple[str, str, Shaking]]:
    """Return the shaking without and with counterweights: name, class and forces."""
    if evaluation.weights is None:
        return [("as designed", "main", evaluation.bare_shaking)]
    return [("without counterweights", "worst", evaluation.bare_shaking), ("with", "main", evaluation.weighted_shaking)]


def _key(chart: Chart, names: list[tuple[str, str]]) -> str:
    """Return a key above the axes. names : word and class."""
    found, x = "", chart.left + 62
    for name, kind in names:
        found += line(x, chart.top - 9, x + 22, chart.top - 9, f"curve {kind}") + text(
            x + 26, chart.top - 5, name, "soft"
        )
        x += 36 + 6.2 * len(name)
    return found


def shaking_over_turn(evaluation: Evaluation) -> str:
    """Return the size of the shaking force over one turn at the fastest speed, N."""
    unit, up, _ = shown("N")
    square = float(evaluation.design.speed.most) ** 2 * up
    count = evaluation.motion.theta.size
    found = [(name, kind, np.broadcast_to(state.size, (count,)) * square) for name, kind, state in states(evaluation)]
    chart = Chart((0.0, 360.0), spread(*(each for *_, each in found), zero=True), (46.0, 10.0, 20.0, 36.0))
    degrees = np.linspace(0.0, 360.0, count + 1)
    inside = chart.axes("crank angle, deg", unit, [0.0, 90.0, 180.0, 270.0, 360.0])
    inside += "".join(chart.curve(degrees, np.append(each, each[0]), kind) for _, kind, each in found)
    said = ", ".join(f"{name} up to {said_of(float(each.max()) / up, 'N', '.2f')}" for name, _, each in found)
    return chart.whole(inside + _key(chart, [each[:2] for each in found]), f"Shaking force over one turn: {said}")


def force_orders(evaluation: Evaluation) -> str:
    """Return the shaking force along the cylinder by order at the fastest speed, N."""
    return _orders(evaluation, "y", "N")


def pitch_orders(evaluation: Evaluation) -> str:
    """Return the couple that pitches the case by order at the fastest speed, N mm."""
    return _orders(evaluation, "pitch", "N m")


def _orders(evaluation: Evaluation, part: str, kind_of: str) -> str:
    unit, factor, _ = shown(kind_of)
    square = float(evaluation.design.speed.most) ** 2
    found = [
        (name, kind, np.abs(state.orders(ORDERS)[part])[1:] * square * factor)
        for name, kind, state in states(evaluation)
    ]
    most = max(float(each.max()) for *_, each in found)
    if most < ROUNDING * float(np.max(evaluation.bare_shaking.size)) * square * factor:
        return NOTHING
    chart = Chart((0.2, ORDERS + 0.5), (0.0, 1.12 * most), (46.0, 10.0, 20.0, 36.0))
    inside = chart.axes("order: times per turn of the crank", unit, [float(each) for each in range(1, ORDERS + 1)])
    wide = 0.8 / len(found)
    for place, (_, kind, sizes) in enumerate(found):
        for order, size in enumerate(sizes, start=1):
            x, end = (float(chart.across(order - 0.4 + wide * each)) for each in (place, place + 1))
            y = float(chart.up(size))
            bar: dict[str, Any] = {"x": x, "y": y, "width": end - x - 0.8, "height": max(chart.bottom - y, 0.6)}
            inside += tag("rect", **bar, kind=f"bar {kind}")
            inside += tag("rect", **bar, fill="url(#hatch)") if kind == "worst" else ""
            if size > 0.02 * most:
                where, anchor = (
                    ((x + end) / 2, "middle") if len(found) == 1 else ((x + 1, ""), (end - 3, "end"))[place == 0]
                )
                inside += text(where, y - 3, _short(float(size)), "small edged", anchor)
    largest = [
        f"{name} {said_of(float(each.max()) / factor, kind_of, '.2f')} in order {int(np.argmax(each)) + 1}"
        for name, _, each in found
    ]
    return chart.whole(inside + _key(chart, [each[:2] for each in found]), f"By order, largest {'; '.join(largest)}")


def _short(size: float) -> str:
    return f"{size:.0f}" if size >= 10 else f"{size:.2g}"


def case_vibration(evaluation: Evaluation) -> str:
    """Return the rms velocity of the watched places of the case over speed, mm/s, with the zones of ISO 10816-1."""
    body = evaluation.case
    if body is None:
        return tag("p", "Not known: the design gives no mount.", kind="none")
    speed, limit = evaluation.design.speed, float(evaluation.design.limits.vibration)
    low, high = float(speed.slowest), float(speed.most)
    speeds = np.unique([*np.linspace(low, high, POINTS), *np.ravel(speeds_to_try(body, speed))])
    response = vibration(body, evaluation.case_loads, speeds)
    (unit, up, _), allowed = shown("m/s"), number(limit, "m/s")
    curves = {name: np.maximum(np.ravel(response.severity(place)), QUIET) * up
              for name, place in watched(body.mount).items()}  # fmt: skip
    peak = max(float(each.max()) for each in curves.values())
    bottom = max(QUIET * up, min(0.3e-3 * up, *(float(each.min()) for each in curves.values())))
    chart = Chart((low * RPM, high * RPM), (bottom, 1.3 * max(peak, 10e-3 * up)), (46.0, 76.0, 34.0, 36.0), log=True)
    inside = (
        chart.axes("speed, rpm", f"{unit}, rms")
        + _zones(chart)
        + chart.level(limit * up, "asked", f"allowed {allowed}")
    )
    inside += _resonances(chart, resonant_speeds(body), speeds)
    for (_, values), kind in zip(curves.items(), CURVES, strict=False):
        inside += chart.curve(speeds * RPM, values, kind)
    inside += chart.names(
        [(float(each[-1]), name, kind) for (name, each), kind in zip(curves.items(), CURVES, strict=False)]
    )
    return chart.whole(
        inside,
        f"Vibration of the case over speed: up to {said_of(peak / up, 'm/s', '.2f')}, {allowed} allowed",
    )


def _zones(chart: Chart) -> str:
    found, low = "", chart.y[0]
    for name, top in ZONES:
        high = min(top * shown("m/s")[1], chart.y[1])
        if high > low:
            found += text(chart.left + 4, float(chart.up(np.sqrt(low * high))) + 4, name, "strong")
        if high < chart.y[1]:
            found += chart.level(high, "zone")
        low = max(low, high)
    return found


def _resonances(chart: Chart, meetings: np.ndarray, speeds: np.ndarray) -> str:
    found = ""
    told: list[float] = []
    for order, row in enumerate(meetings[:MARKED], start=1):
        for met in np.unique(np.round(row, 6)):
            if speeds[0] < met < speeds[-1] and all(abs(met - each) > 0.06 * np.ptp(speeds) for each in told):
                told.append(met)
                x = float(chart.across(met * RPM))
                found += line(x, chart.top, x, chart.bottom, "meeting") + text(
                    x, chart.top - 4, str(order), "soft", "middle"
                )
    return found


def mass_traded(evaluation: Evaluation) -> str:
    """Return what is left of what the counterweights make small against the mass that is added, percent over g."""
    trade = evaluation.trade_off
    wanted = evaluation.design.counterweights
    if trade is None or wanted is None:
        return tag("p", "This design has no counterweights.", kind="none")
    if wanted.aim == "cancel order 1" and not wanted.trims:
        return tag(
            "p", "Mass and what is left of order 1 follow a straight line: there is nothing to trade.", kind="none"
        )
    unit, up, _ = shown("kg")
    mass, left = np.asarray(trade.mass) * up, np.asarray(trade.left) / trade.left[0] * 100
    chart = Chart(spread(mass, zero=True), (0.0, 106.0))
    inside = chart.axes(f"mass added in all, {unit}", "left of what shakes, %") + chart.curve(mass, left, "main")
    return chart.whole(inside, f"{said_of(mass[-1] / up, 'kg', '.0f')} in all leave {left[-1]:.3g} percent")
