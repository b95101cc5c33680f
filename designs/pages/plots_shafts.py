"""Plots of the shafts, each of one crank: 0 the right one, 1 the left one; outward is to the right in both."""

import numpy as np

from balance.turning import HANDS
from designs.evaluate import Evaluation
from designs.pages.chart import CURVES, Chart, round_steps, spread
from designs.pages.run_up import CaseRun, loudest
from designs.pages.run_up import run_up as running_up
from designs.pages.spacing import pushed_apart, round_down
from designs.pages.svg import line, path, tag, text
from designs.shown import RPM, shown
from designs.shown import said as said_of
from designs.table import number_text
from shafts.bent_line import bent_line
from shafts.strength.fatigue import fatigue_safety, yield_safety

SIDES = ("right", "left")
LARGEST = 1000.0  # safety factors beyond this are as good as endless
SIDE = 250.0  # px; of the square in which loads are drawn by direction
ORDERS = 8
BEYOND = 4.0  # times the largest bending; a gap that is larger would make all else flat, and is left out
DEEP = 1e4  # times below the largest, what a picture by factors still shows
STEPS = 32  # speeds of a run-up, beside its peaks
APART = 15.0  # px between the orders of two resonances


def bent(evaluation: Evaluation, place: int = 0) -> str:
    """Return a shaft to scale, mm, and its bent line, exaggerated, where it bends most at the fastest speed."""
    loaded, speed = evaluation.loaded_shafts, float(evaluation.design.speed.most)
    shaft, throws = loaded.cranks[place].shaft, loaded.engine.cranks.throws.values()
    ends = [float(shaft.starts_at), float(shaft.ends_at), *(float(throw.at) for throw in throws)]
    at = np.unique([*np.linspace(min(ends), max(ends), 60), *ends])
    x, y = (
        np.broadcast_to(each, (at.size, evaluation.motion.theta.size))
        for each in bent_line(loaded, place, at).deflections(speed)
    )
    x = x * HANDS[SIDES[place]]
    size = np.hypot(x, y)
    angle = int(np.unravel_index(np.argmax(size), size.shape)[1])
    bulk = max(float(np.max(np.asarray(each.diameter))) for each in shaft.segments)
    scale = round_down(2.5 * bulk / max(float(size.max()), 1e-12))
    unit, up, _ = shown("m")
    wide = ((float(at[0]) - 4e-3) * up, (float(at[-1]) + 4e-3) * up)
    half = (wide[1] - wide[0]) * 140 / 284 / 2
    chart = Chart(wide, (-half, half), (46.0, 14.0, 28.0, 48.0))
    inside = _shaft(chart, evaluation, place) + chart.axes(f"along the shaft, {unit}", "")
    most = {}
    for values, kind, name in ((y, "main", "along the cylinder"), (x, "worst", "outward")):
        curve = values[:, angle]
        most[name] = curve[np.argmax(np.abs(curve))]
        inside += chart.curve(at * up, curve * scale * up, kind)
    said = ", ".join(f"{name} {said_of(float(value), 'um', '+.1f')}" for name, value in most.items())
    degrees = angle * 360 / evaluation.motion.theta.size
    inside += text(2, 10, f"{degrees:.0f}°, {speed * RPM:.0f} rpm, drawn {scale:g} times; most", "soft")
    inside += text(2, 23, said, "soft")
    return chart.whole(inside, f"Bent line at crank angle {degrees:.0f}°, {speed * RPM:.0f} rpm: {said}")


def _shaft(chart: Chart, evaluation: Evaluation, place: int) -> str:
    shaft = evaluation.loaded_shafts.engine.shafts.pair[place]
    up = shown("m")[1]
    found, start = "", float(shaft.starts_at) * up
    for each in shaft.segments:
        length, radius = float(each.length) * up, float(each.diameter) / 2 * up
        x, end = (float(chart.across(value)) for value in (start, start + length))
        top, low = float(chart.up(radius)), float(chart.up(-radius))
        found += tag("rect", x=x, y=top, width=end - x, height=low - top, kind="steel")
        start += length
    below = float(chart.up(-max(float(each.diameter) for each in shaft.segments) / 2 * up))
    for number, bearing in enumerate(shaft.bearings, start=1):
        x = float(chart.across(float(bearing.at) * up))
        found += tag("path", d=f"M{x:.1f},{below:.1f}l-6,10h12z", kind="support")
        found += text(x, below + 22, str(number), "soft", "middle")
    return found


def bearing_loads(evaluation: Evaluation, place: int = 0) -> str:
    """Return the load on each bearing of a shaft by its direction over one turn at the fastest speed, N."""
    crank, speed = evaluation.loaded_shafts.cranks[place], float(evaluation.design.speed.most)
    count, sign = evaluation.motion.theta.size, HANDS[SIDES[place]]
    unit, up, _ = shown("N")
    loads = [tuple(np.broadcast_to(each, (count,)) * up for each in load.on_bench(speed)) for load in crank.bearings]
    most = max(float(np.max(np.hypot(*load))) for load in loads)
    half = max(most * 1.1, 1e-9)
    chart = Chart((-half, half), (-half, half), (44.0, 26.0, 24.0, 24.0), (SIDE + 70, SIDE + 48))
    x0, y0 = float(chart.across(0.0)), float(chart.up(0.0))
    inside = "".join(
        tag("circle", cx=x0, cy=y0, r=float(chart.across(each)) - x0, kind="grid ring")
        + text(x0 + 3, float(chart.up(each)) - 2, number_text(each, 3).rstrip("0").rstrip("."), "soft")
        for each in round_steps(0.0, most, 3)[1:]
    )
    inside += line(chart.left, y0, chart.right, y0, "axis") + line(x0, chart.top, x0, chart.bottom, "axis")
    inside += text(x0, chart.top - 8, f"to the hot end, {unit}", "soft", "middle")
    inside += text(chart.right - 2, y0 - 5, "outward", "soft", "end")
    said = []
    for number, ((x, y), kind) in enumerate(zip(loads, CURVES, strict=False), start=1):
        inside += chart.curve(np.append(x, x[0]) * sign, np.append(y, y[0]), kind)
        peak = int(np.argmax(np.hypot(x, y)))
        side = -1 if float(chart.across(x[peak] * sign)) > x0 else 1
        tip = float(chart.across(x[peak] * sign)), float(chart.up(y[peak]))
        inside += text(
            tip[0] - 6 * side,
            tip[1] + (4 if abs(tip[1] - y0) < 20 else 0),
            str(number),
            "strong",
            "end" if side > 0 else "",
        )
        said.append(f"bearing {number} up to {said_of(float(np.hypot(x[peak], y[peak])) / up, 'N', '.1f')}")
    return chart.whole(inside, f"Bearing loads by direction: {', '.join(said)}", "square")


def safety(evaluation: Evaluation, place: int = 0) -> str:
    """Return the safety of every section of a shaft against fatigue and yielding, least over the speed range."""
    loads, capacity = evaluation.inside[place], evaluation.strengths[place]
    if capacity is None:
        return tag("p", "Not known: the shaft's material has no strength given.", kind="none")
    limits, order = evaluation.design.limits, np.lexsort((loads.sections.behind, loads.sections.at))
    unit, up, _ = shown("m")
    at = np.asarray(loads.sections.at)[order] * up
    found = {
        "fatigue": (np.min([fatigue_safety(loads, capacity, each) for each in evaluation.speeds], axis=0), "main"),
        "yielding": (np.min([yield_safety(loads, capacity, each)[0] for each in evaluation.speeds], axis=0), "worst"),
    }
    curves = {name: (np.minimum(np.asarray(each)[order], LARGEST), kind) for name, (each, kind) in found.items()}
    asked = sorted({float(limits.fatigue_safety), float(limits.yield_safety)})
    least = min(asked[0], *(float(each.min()) for each, _ in curves.values()))
    chart = Chart(spread(at), (0.6 * least, 1.3 * LARGEST), (46.0, 62.0, 18.0, 36.0), log=True)
    inside = chart.axes(f"along the shaft, {unit}", "safety factor; 1000 and more at the top")
    inside += "".join(chart.level(each, "asked", f"asked for {each:g}") for each in asked[:1])
    inside += "".join(chart.curve(at, each, kind) for each, kind in curves.values())
    inside += chart.names([(float(each[-1]), name, kind) for name, (each, kind) in curves.items()])
    said = ", ".join(
        f"against {name} least {each.min():.2f} at {said_of(at[np.argmin(each)] / up, 'm')}"
        for name, (each, _) in curves.items()
    )
    return chart.whole(inside, f"Safety along the shaft: {said}".replace(" -", " \u2212"))


def critical(evaluation: Evaluation, place: int = 0) -> str:
    """Return where orders of the loads meet the free whirl of a crank, Hz over rpm; large where they bend it more."""
    speed, side = evaluation.design.speed, SIDES[place]
    top = max(float(evaluation.top_speed) * 1.3, 1.0)
    found = [each for each in evaluation.crossings if each.hand == side and each.order <= ORDERS and each.speed <= top]
    if not found:
        return tag("p", f"No order up to {ORDERS} meets a whirl of this crank below {top * RPM:.0f} rpm.", kind="none")
    high = 1.15 * max(each.order * each.speed / (2 * np.pi) for each in found)
    chart = Chart((0.0, top * RPM), (0.0, high), (46.0, 30.0, 18.0, 36.0))
    inside = chart.span(float(speed.least) * RPM, float(speed.most) * RPM) + chart.axes(
        "speed, rpm; tinted: runs here", "whirl, Hz"
    )
    for order in range(1, ORDERS + 1):
        last = min(top, high * 2 * np.pi / order)
        x, y = float(chart.across(last * RPM)), float(chart.up(order * last / (2 * np.pi)))
        inside += line(chart.left, chart.bottom, x, y, "order")
        inside += text(x + (4 if last == top else 0), y + (4 if last == top else -3), str(order), "order-name",
                       "" if last == top else "middle")  # fmt: skip
    for each in sorted(found, key=lambda one: -one.driven):
        x, y = float(chart.across(each.speed * RPM)), float(chart.up(each.order * each.speed / (2 * np.pi)))
        size = 3 + 7 * min(float(np.sqrt(each.driven)), 1.0)
        inside += tag("path", d=_mark(each.way, x, y, size), kind=f"whirl {each.way.replace(' ', '-')}")
    strongest = max(found, key=lambda each: each.driven)
    return chart.whole(
        inside, f"Critical speeds; the one that is driven most: {strongest.name}, {strongest.speed * RPM:.0f} rpm"
    )


def _mark(way: str, x: float, y: float, size: float) -> str:
    if way == "to and fro":
        return path([(x - size, y), (x, y - size), (x + size, y), (x, y + size)], closed=True)
    tip = -size if way == "forward" else size
    return path([(x - size, y - tip * 0.7), (x + size, y - tip * 0.7), (x, y + tip)], closed=True)


def run_up(evaluation: Evaluation) -> str:
    """Return how far the crankpins bend and the case moves as the engine runs up, and what gap is left, um over rpm."""
    speed, top, found = evaluation.design.speed, float(evaluation.top_speed), running_up(evaluation, STEPS)
    unit, up, _ = shown("um")
    pins = found.pins * up
    curves = [(found.speeds, found.static * up, "worst", "static"), (found.speeds, pins, "main", "vibrating")]
    if found.gap is not None and (found.case or np.max(found.gap) < BEYOND * np.max(found.pins)):
        curves.append((found.speeds, found.gap * up, "three", "least gap"))
    if found.case is not None:
        real = found.case.speeds <= found.case.lifts
        moved = found.case.moved * up
        curves.append((found.case.speeds, np.where(real, moved, np.nan), "four", "case"))
        if not np.all(real):
            curves.append((found.case.speeds, np.where(real, np.nan, moved), "five", "not real"))
    drawn = [each for _, each, *_ in curves]
    y = spread(*drawn, zero=True) if found.case is None else _factors(drawn)
    chart = Chart((0.0, top * RPM), y, (46.0, 64.0, 30.0, 36.0), log=found.case is not None)
    inside = chart.span(float(speed.least) * RPM, float(speed.most) * RPM) + chart.axes(
        "speed, rpm; tinted: runs here", unit
    )
    inside += "".join(chart.curve(at * RPM, each, kind) for at, each, kind, _ in curves)
    last = [(each[np.isfinite(each)][-1], name, kind) for _, each, kind, name in curves if np.any(np.isfinite(each))]
    inside += chart.names([(float(end), name, kind) for end, name, kind in last])
    loud = loudest(evaluation, found.speeds[0], top, 6)
    inside += _meetings(chart, [(each.speed, str(each.order)) for each in loud], chart.top - 6)
    peaks = found.case.peaks if found.case else []
    inside += _meetings(chart, [(at, f"c{order}") for at, order in peaks], chart.bottom - 4)
    peak = int(np.argmax(pins))
    words = f"Run up: crankpins bend by up to {said_of(found.pins[peak], 'um', '.0f')}"
    words += f", at {found.speeds[peak] * RPM:.0f} rpm"
    return chart.whole(inside, words + _case_words(found.case))


def _factors(curves: list[np.ndarray]) -> tuple[float, float]:
    """Return from where to where a logarithmic axis goes; what is far below the largest is left out."""
    every = np.concatenate([each[np.isfinite(each)] for each in curves])
    high = float(np.max(every))
    return 0.8 * max(float(np.min(every[every > 0])), high / DEEP), 1.5 * high


def _meetings(chart: Chart, found: list[tuple[float, str]], height: float) -> str:
    """Return a line at each speed at which something resonates, with its order; orders are pushed apart."""
    met = sorted((float(chart.across(speed * RPM)), order) for speed, order in found)
    where = pushed_apart([x for x, _ in met], APART, chart.left + APART / 2, chart.right - APART / 2)
    lines = "".join(line(x, chart.top - 3, x, chart.bottom, "meeting") for x, _ in met)
    named = (text(x, height, order, "soft edged", "middle") for x, (_, order) in zip(where, met, strict=True))
    return lines + "".join(named)


def _case_words(case: CaseRun | None) -> str:
    if case is None:
        return ""
    most = int(np.argmax(case.moved))
    said = f"; the case moves by up to {said_of(case.moved[most], 'um')}, at {case.speeds[most] * RPM:.0f} rpm"
    if np.isfinite(case.lifts):
        said += f", not real from {case.lifts * RPM:.0f} rpm on, where a foot leaves the bench"
    return said
