"""The gap budget as one sorted waterfall: from the gap on the drawing to what is left; it adds up to the digit."""

from dataclasses import dataclass
from typing import Any

from designs.evaluate import Evaluation
from designs.pages.chart import LETTER, WIDE, number, round_steps
from designs.pages.svg import line, picture, tag, text
from designs.shown import RPM, shown
from designs.shown import number as number_of
from shafts.gap.pair import YokePair, budget

ROW, HIGH, HEAD = 21.0, 13.0, 18.0
MOST = 8  # causes that have a row of their own
BOLDER = 1.15  # times as wide a letter of a whole gap's name is
BESIDE = 50.0  # px for the figures of another design
SMALL = 0.02  # of all that is taken and added; causes smaller than this are gathered


@dataclass(frozen=True)
class Step:
    """A row: its name, where it starts and what it adds, in the unit and with the digits of the screen.

    whole : a gap, not a change.
    """

    name: str
    start: float
    value: float
    whole: bool = False


def steps(pair: YokePair, speed: float) -> list[Step]:
    """Return the rows of the budget at a speed, rad/s, at its tightest angle: largest causes first, the rest as one.

    Every value is rounded as it is written, and the rest is what is then missing: so the written ones add up.
    """
    nominal, items = budget(pair, speed)
    _, up, digits = shown("m")
    left = round((nominal + sum(items.values())) * up, digits)
    weight = sum(abs(value) for value in items.values())
    largest = sorted(items.items(), key=lambda each: -abs(each[1]))
    written = [(name, round(value * up, digits)) for name, value in largest[:MOST] if abs(value) > SMALL * weight]
    own = [(name, value) for name, value in written if value]
    level = round(nominal * up, digits)
    found = [Step("on the drawing", 0.0, level, True)]
    for name, value in own:
        found.append(Step(name, level, value))
        level = round(level + value, digits)
    rest = round(left - level, digits)
    if rest:
        others = sum(abs(value) * up >= 0.5 * 10**-digits for _, value in largest[len(own) :])
        found.append(Step(f"{others} smaller ones" if others > 1 else "the rest", level, rest))
    return [*found, Step("left", 0.0, left, True)]


def reach_of(evaluation: Evaluation, pair: YokePair, speed: float) -> tuple[float, float]:
    """Return from where to where a waterfall reaches, in the unit of the screen."""
    rows, limit = steps(pair, speed), float(evaluation.design.limits.gap) * shown("m")[1]
    ends = [0.0, limit, *(each.start + each.value for each in rows), *(each.start for each in rows)]
    return min(ends), max(ends)


def gap_waterfall(
    evaluation: Evaluation, speed: float | None = None, pair: int = 0,
    reach: tuple[float, float] | None = None, before: YokePair | None = None,
) -> str:  # fmt: skip
    """Return the gap budget at a speed, rad/s, as a waterfall, SVG; at the worst running speed if none is given.

    reach : from where to where it is drawn, if not as its rows ask.   before : of another design, told beside it.
    """
    if len(evaluation.pairs) <= pair:
        return tag("p", "No gap to be used up: no two yokes face each other.", kind="none")
    two = evaluation.pairs[pair]
    speed = evaluation.tightest_speed(two) if speed is None else speed
    unit, up, digits = shown("m")
    rows, limit = steps(two, speed), float(evaluation.design.limits.gap) * up
    reach = reach_of(evaluation, two, speed) if reach is None else reach
    asked = number_of(limit / up, "m", "g")
    left = min(150.0, LETTER * max(len(each.name) * (BOLDER if each.whole else 1.0) for each in rows) + 8)
    right = WIDE - 52 - (BESIDE if before is not None else 0)
    scale = (right - left) / (max(reach) - min(reach) or 1.0)

    def across(value: float) -> float:
        return left + (value - min(reach)) * scale

    below = HEAD + ROW * len(rows)
    inside = line(across(0.0), HEAD - 4, across(0.0), below, "touching")
    inside += line(across(limit), HEAD - 4, across(limit), below, "asked")
    inside += "".join(_row(each, place, across, left) for place, each in enumerate(rows))
    for value in round_steps(min(reach), max(reach), 4):
        inside += line(across(value), below, across(value), below + 4, "tick")
        inside += text(across(value), below + 16, number(value), "", "middle")
    inside += line(left, below, right, below, "axis") + text(right + 30, below + 16, unit, "name", "end")
    inside += text(across(limit), HEAD - 7, f"asked for {asked}", "said", "middle")
    inside += "" if before is None else _beside(rows, before, speed)
    said = ", ".join(f"{each.name} {each.value:+.{digits}f}" for each in rows)
    words = f"Gap budget at {speed * RPM:.0f} rpm, {unit}: {said}; {asked} asked for."
    return picture((0, 0, WIDE, below + 22), inside, words, "chart waterfall")


def _beside(rows: list[Step], before: YokePair, speed: float) -> str:
    """Return the same rows of another design, right of them; nothing where it gathers one with others."""
    was = {each.name: each for each in steps(before, speed)}
    found = text(WIDE, HEAD - 7, "beside", "was", "end")
    for place, each in enumerate(rows):
        other = was.get(each.name)
        found += text(WIDE, HEAD + 12.5 + ROW * place, "\u2013" if other is None else _words(other), "was", "end")
    return found


def _words(step: Step) -> str:
    digits = shown("m")[2]
    return (f"{step.value:.{digits}f}" if step.whole else f"{step.value:+.{digits}f}").replace("-", "\u2212")


def _row(step: Step, place: int, across, left: float) -> str:
    low, high = sorted((across(step.start), across(step.start + step.value)))
    y = HEAD + 2 + ROW * place
    kind = "whole" if step.whole else "taken" if step.value < 0 else "added"
    kind += " short" if step.whole and step.value < 0 else ""
    bar: dict[str, Any] = {"x": low, "y": y, "width": max(high - low, 0.8), "height": HIGH}
    inside = tag("rect", **bar, kind=kind) + (tag("rect", **bar, fill="url(#hatch)") if kind == "taken" else "")
    inside += text(high + 4, y + 10.5, _words(step), "value strong" if step.whole else "value")
    return inside + text(left - 6, y + 10.5, step.name, "strong" if step.whole else "", "end")
