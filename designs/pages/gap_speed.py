"""The least gap over speed: expected, at its worst, and as a band where numbers are in doubt."""

from dataclasses import dataclass

import numpy as np

from designs.doubt.band import Band, gap_bands
from designs.evaluate import Evaluation
from designs.pages.chart import Chart, spread
from designs.pages.svg import tag, text
from designs.shown import RPM, number, said, shown
from shafts.gap.pair import YokePair

SPEEDS = 41
BANDED = 13  # speeds at which a band is drawn
LINE = 14.0  # px of a plot that a line of words takes
NAMED = 0.1  # part of the spread below which an entry is not named


@dataclass(frozen=True, eq=False)
class SpeedCurve:
    """The least gap of two yokes over speed, m, expected and in the worst case, and where they first touch, rad/s."""

    speed: np.ndarray
    expected: np.ndarray
    worst: np.ndarray
    contact: float


def speed_curve(evaluation: Evaluation, pair: YokePair) -> SpeedCurve:
    """Return the least gap over speed up to overspeed."""
    top = float(evaluation.top_speed)
    speed = np.linspace(0.0, top, SPEEDS)
    expected, worst = pair.least(speed)[0], pair.least(speed, "worst")[0]
    return SpeedCurve(speed, expected, worst, evaluation.contact(pair))


def bands(evaluation: Evaluation) -> list[Band]:
    """Return the band of each pair over the running speeds; none where nothing is in doubt."""
    speed = evaluation.design.speed
    return gap_bands(evaluation, np.linspace(float(speed.slowest), float(speed.most), BANDED))


def gap_over_speed(
    evaluation: Evaluation, pair: int = 0, band: Band | None = None, before: SpeedCurve | None = None
) -> str:
    """Return the gap over speed with the running range and first contact, SVG; a sentence where no yokes can meet.

    band : what the gap may be in all machines that the design may be, if it is to be shown.
    before : the gap of another design, to be seen beside it.
    """
    if len(evaluation.pairs) <= pair:
        return tag("p", "No two yokes of this design face each other, or their outlines are not given.", kind="none")
    two = evaluation.pairs[pair]
    return drawn(evaluation, two, speed_curve(evaluation, two), band, before)


def drawn(
    evaluation: Evaluation, pair: YokePair, found: SpeedCurve, band: Band | None = None,
    before: SpeedCurve | None = None,
) -> str:  # fmt: skip
    """Return the same of a pair whose gap over speed is known."""
    speed, (unit, up, _) = evaluation.design.speed, shown("m")
    limit = float(evaluation.design.limits.gap) * up
    values = [found.expected * up, np.array([limit]), *([] if before is None else [before.expected * up])]
    ends = None if band is None else band.ends * up
    # The worst case may lie far below; it may leave the axes, but never make the rest flat.
    low, high = spread(*values, found.worst * up if ends is None else ends, zero=True)
    low = max(low, min(float(np.min(values[0])), 0.0) - 1.2 * (high - min(float(np.min(values[0])), 0.0)))
    chart = Chart((0.0, float(evaluation.top_speed) * RPM), (low, high), (46.0, 18.0, 18.0, 36.0))
    inside = chart.span(float(speed.least) * RPM, float(speed.most) * RPM)
    if band is not None and ends is not None:
        inside += chart.band(band.speed * RPM, ends[0], ends[2], "doubt")
    inside += chart.axes("speed, rpm", f"least gap, {unit}")
    inside += chart.level(0.0, "touching") + chart.level(limit, "asked")
    inside += chart.curve(found.speed * RPM, found.worst * up, "worst")
    if before is not None:
        within = before.speed <= found.speed[-1]
        inside += chart.curve(before.speed[within] * RPM, before.expected[within] * up, "before")
    inside += chart.curve(found.speed * RPM, found.expected * up, "main")
    asked = f"asked for {number(limit / up, 'm', 'g')}"  # after the curves, which it parts where they cross it
    inside += text(
        chart.right - 4, _beside(chart, limit, [found.worst * up, found.expected * up]), asked, "said", "end"
    )
    runs = found.speed <= float(speed.most) * (1 + 1e-9)  # as the words of the verdict have it
    lost = _worst_below(chart, found.worst * up, float(np.min(found.worst[runs])))
    middle, taken = float(chart.across((float(speed.least) + float(speed.most)) / 2 * RPM)), LINE if lost else 0.0
    high = _clear(chart, [*values, found.worst * up, np.array([0.0])], taken)
    inside += lost + text(middle, high, "running range", "soft edged", "middle")
    return chart.whole(
        inside + _contact(chart, found.contact, float(evaluation.top_speed)), _words(evaluation, pair, found)
    )


def _beside(chart: Chart, level: float, curves: list[np.ndarray]) -> float:
    """Return where words stand at the right end of a line across: above it, or below where curves run just above."""
    y, ends = float(chart.up(level)), [chart.up(each[-len(each) // 3 :]) for each in curves]
    above, below = (any(np.any((end > y + low) & (end < y + low + LINE)) for end in ends) for low in (-LINE, 0.0))
    return y + 12 if above and not below and y + LINE < chart.bottom else y - 4


def _worst_below(chart: Chart, worst: np.ndarray, least: float) -> str:
    """Return the worst case in words where its curve lies below the axes, so that none takes it for harmless.

    least : the lowest of it at speeds at which the machine runs, m.
    """
    if np.max(worst) >= min(chart.y):
        return ""
    words = f"worst case down to {number(least, 'm', '.3f')}, below here"
    return text(chart.left + 4, chart.bottom - 5, words, "touch edged")


def _clear(chart: Chart, curves: list[np.ndarray], taken: float) -> float:
    """Return how high words stand over the running range so that no curve runs through them, if that can be.

    taken : px at the bottom that other words have.
    """
    lines, bottom = np.concatenate([np.ravel(chart.up(each)) for each in curves]), chart.bottom - taken
    rows = (bottom - 5, chart.top + 12, *np.arange(bottom - 19, chart.top + 12, -LINE))
    return float(next((y for y in rows if not np.any((lines > y - 13) & (lines < y + 5))), rows[0]))


def _contact(chart: Chart, contact: float, top: float) -> str:
    if not np.isfinite(contact):
        return ""
    x, y = float(chart.across(contact * RPM)), float(chart.up(0.0))
    beside = contact > 0.6 * top
    words = "overlap at rest" if contact <= 0 else f"touch from {contact * RPM:.0f} rpm"
    return tag("circle", cx=x, cy=y, r=4.0, kind="contact") + text(
        x + (-8 if beside else 8), y - 7, words, "touch edged", "end" if beside else ""
    )


def _words(evaluation: Evaluation, pair: YokePair, found: SpeedCurve) -> str:
    worst = evaluation.tightest_speed(pair)
    gap = said(float(pair.least(worst)[0]), "m", ".3f")
    touch = f"They touch from {found.contact * RPM:.0f} rpm." if np.isfinite(found.contact) else "They do not touch."
    return (
        f"Least gap of {pair.upper} over {pair.lower} by speed. It is least at {worst * RPM:.0f} rpm of the running "
        f"speeds: {gap}. {touch}"
    )


def wide_words(band: Band) -> str:
    """Return what makes a band wide, in a sentence."""
    shares: dict[str, float] = {}
    for each, share in band.wide:
        if share >= NAMED:
            name = each.name.split(" (")[0]
            shares[name] = shares.get(name, 0.0) + share
    named = [f"{name} {share:.0%}" for name, share in shares.items()]
    start = "Tinted: where 90 of 100 machines lie that this design may be, vibrating as the middle one"
    return f"{start}. Its width comes from {', '.join(named) if named else 'many things together'}."
