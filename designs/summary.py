"""What a maker wants to know first, in plain sentences: does it touch, does it shake, does the rest hold."""

from dataclasses import dataclass

import numpy as np

from balance.cycle.extremes import largest
from designs import status
from designs.evaluate import Evaluation
from designs.shown import RPM, said
from designs.tables.verdict import amount
from designs.verdict.case_causes import shaken_by
from designs.verdict.gap import knock
from designs.verdict.row import Row
from shafts.gap.pair import YokePair, budget

ROUNDING = 1e-9  # share of the shaking without counterweights below which nothing is left but rounding


@dataclass(frozen=True)
class Answer:
    """A question, whether all is well ("good", "bad" or "unknown"), and the answer in words."""

    question: str
    state: str
    words: str
    label: str = ""

    @property
    def shown(self) -> str:
        """The state in words."""
        return self.label or {"good": "in order", "bad": "change this", "unknown": "not known"}[self.state]


def answers(evaluation: Evaluation, rows: list[Row]) -> list[Answer]:
    """Return the answers in the order in which a person asks."""
    return [
        _heard(evaluation, _doubted(_touching(evaluation, rows), rows, ("gap", "contact"))),
        _doubted(_shaking(evaluation, rows), rows, ("shaking_force",)),
        _doubted(_vibrating(evaluation, rows), rows, ("vibration",)),
        _doubted(_running(evaluation, rows), rows, ("power",)),
        _others(rows),
    ]


def _heard(evaluation: Evaluation, answer: Answer) -> Answer:
    """Return the answer about the yokes behind what was seen or heard of them, where that says otherwise."""
    heard = knock(evaluation)
    if not heard:
        return answer
    words = f"{heard.capitalize()}: it is another knock, or something stands otherwise than it is written. "
    words += f"`quietcrank learn` puts all readings together. By these numbers: {answer.words}"
    return Answer(answer.question, "bad", words, "not what was heard")


def _doubted(answer: Answer, rows: list[Row], keys: tuple[str, ...]) -> Answer:
    """Return an answer, which is that of the middle machine, with what it depends on where not all machines agree."""
    open_ = [row for row in rows if row.key in keys and row.state == "depends"]
    if not open_:
        return answer
    if answer.state == "bad" and any(row.key in keys and row.state == "FAIL" for row in rows):
        return Answer(answer.question, "bad", f"{answer.words} It depends{_holds_in(open_)}.", answer.label)
    words = f"It depends{_holds_in(open_)}. In the middle of what it may be: {answer.words}"
    return Answer(answer.question, "unknown", words.replace(": No: ", ": ").replace(": Yes: ", ": "), "it depends")


def _holds_in(open_: list[Row]) -> str:
    """Return on what limits depend, and in how many machines the one that is in most doubt holds."""
    row, doubt = min(((row, row.doubt) for row in open_ if row.doubt), key=lambda each: each[1].share)
    on = f" on {doubt.turns[0].name}" if doubt.turns else ""
    limit = amount(row, row.limit)
    # A gap that is asked for is more than not to touch.
    kept = {"gap": f"the gap of {limit} asked for holds", "contact": f"they keep apart up to {limit}"}
    return f"{on}: {kept.get(row.key, f'{row.name} holds')} in {doubt.held} machines"


def _touching(evaluation: Evaluation, rows: list[Row]) -> Answer:
    question = "Do the yokes touch?"
    pair = tightest_pair(evaluation)
    if pair is None:
        missing = [name for name, yoke in evaluation.design.yokes.items() if yoke.outline is None]
        if missing and len(evaluation.design.yokes) > 1:
            return Answer(
                question, "unknown", f"Not known: give yokes.{missing[0]}.outline, so that it can be checked."
            )
        return Answer(
            question,
            "good",
            "No: no two yokes face each other within the same range along the shafts, so they cannot meet.",
        )
    return _touching_pair(evaluation, rows, pair, question)


def tightest_pair(evaluation: Evaluation) -> YokePair | None:
    """Return the two yokes that come nearest at running speeds; None if none can meet."""
    if len(evaluation.pairs) < 2:  # as nearly always; then no speed has to be looked at
        return next(iter(evaluation.pairs), None)
    return min(evaluation.pairs, key=lambda each: float(each.least(evaluation.tightest_speed(each))[0]))


def _touching_pair(evaluation: Evaluation, rows: list[Row], pair: YokePair, question: str) -> Answer:
    most, top = float(evaluation.design.speed.most), float(evaluation.top_speed)
    contact = evaluation.contact(pair)
    speed = evaluation.tightest_speed(pair)
    gap, angle = (float(each) for each in pair.least(speed))
    names = f"the {pair.upper} yoke and the {pair.lower} yoke"
    at = f"{speed * RPM:.0f} rpm and crank angle {np.rad2deg(angle):.0f}°"
    why = _why(pair, speed)
    limit = float(evaluation.design.limits.gap)
    if contact <= most:
        start = (
            f"Yes: {names} touch from {contact * RPM:.0f} rpm"
            if contact > 0
            else f"Yes: {names} overlap even when turned by hand"
        )
        return Answer(question, "bad", f"{start}; at {at} they overlap by {said(-gap, 'm', '.3f')}. {why}")
    beyond = (
        f"first contact at {contact * RPM:.0f} rpm, above the speed range"
        if np.isfinite(contact)
        else f"no contact up to {top * RPM:.0f} rpm"
    )
    if gap < limit:
        return Answer(
            question,
            "bad",
            f"Not within the speed range ({beyond}), but too nearly: {said(gap, 'm', '.3f')} is left at {at}, "
            f"less than the {said(limit, 'm', 'g')} asked for. {why}",
        )
    sentence = f"{beyond}; the least gap within the range is {said(gap, 'm', '.3f')}, at {at}."
    worst = float(np.min(pair.least(np.stack(evaluation.every_speed), "worst")[0]))
    if worst <= 0:
        words = (
            f"Not as designed: {sentence} With every play and tolerance at once on the side that closes it they would "
        )
        words += f"overlap by {said(-worst, 'm', '.3f')}; {_builds(rows)}."
        return Answer(question, "unknown", words, "not every build")
    return Answer(
        question,
        "good",
        f"No: {sentence} With every play and tolerance at its worst {said(worst, 'm', '.3f')} is left.",
    )


def _why(pair: YokePair, speed: float) -> str:
    nominal, items = budget(pair, speed)
    worst = min(items, key=items.__getitem__)
    if nominal <= 0:
        return f"On the drawing alone they overlap by {said(-nominal, 'm', '.3f')}."
    taken = f"{worst} takes the most, {said(-items[worst], 'm', '.3f')}"
    return f"Of the {said(nominal, 'm', '.3f')} on the drawing, {taken}."


def _builds(rows: list[Row]) -> str:
    """Return in how many of the machines that are drawn the yokes keep apart, or where that is told."""
    row = _row(rows, "contact")
    if row is None or row.doubt is None or row.doubt.note:
        return "in how many builds they touch is what `shafts` tells"
    return f"in {row.doubt.held} machines that it may be they keep apart up to {amount(row, row.limit)}"


def _row(rows: list[Row], key: str) -> Row | None:
    return next((row for row in rows if row.key == key), None)


def _shaking(evaluation: Evaluation, rows: list[Row]) -> Answer:
    question = "Does it shake too much?"
    square, row = float(evaluation.design.speed.most) ** 2, _row(rows, "shaking_force")
    force = float(largest(evaluation.shaking.size)[0]) * square
    bare = float(largest(evaluation.bare_shaking.size)[0]) * square
    words = f"the shaking force reaches {_newtons(force, bare)} at {float(evaluation.design.speed.most) * RPM:.0f} rpm"
    if force < ROUNDING * bare:
        words = "no shaking force is left at any speed but for rounding"
    if evaluation.fitted:
        words += f" with its counterweights on; without them it would be {said(bare, 'N')}"
    advice = _fit_advice(evaluation, square, bare)
    if row is None or row.passed is None:
        missing = row.change if row else "no limit is known"
        return Answer(question, "unknown", f"Not known: {words}; {missing}. {advice}".strip())
    against = f" ({amount(row, row.limit)} allowed)"
    if bool(np.all(row.passed)):
        return Answer(question, "good", f"No: {words}{against}.")
    return Answer(question, "bad", f"Yes: {words}{against}. {advice}".strip())


def _newtons(force: float, bare: float) -> str:
    return "nothing but rounding, 0 N" if force < ROUNDING * bare else said(force, "N")


def _fit_advice(evaluation: Evaluation, square: float, bare: float) -> str:
    if evaluation.weights is None:
        return ""
    if evaluation.fitted:
        return ""
    residual = float(largest(evaluation.weighted_shaking.size)[0]) * square
    each = " and ".join(said(float(weight.shape.mass), "kg", ".0f") for weight in evaluation.weights.planes)
    short = any(float(np.asarray(weight.short)) > 0 for weight in evaluation.weights.planes)
    more = "; the given plate is too small for all that is wanted" if short else ""
    return f"The proposed counterweights, {each} a shaft, leave {_newtons(residual, bare)}{more}."


def _running(evaluation: Evaluation, rows: list[Row]) -> Answer:
    question, row = "Does the gas give power?", _row(rows, "power")
    if row is None or row.passed is None:
        return Answer(question, "unknown", f"Not known: {row.change if row else 'give gas'}.")
    rated = float(evaluation.design.speed.rated) * RPM
    words = f"{amount(row, row.value)} at {rated:.0f} rpm before friction and losses"
    if bool(np.all(row.passed)):
        return Answer(question, "good", f"Yes: {words}.")
    return Answer(question, "bad", f"Not enough: {words}, {amount(row, row.limit)} asked for.")


def _vibrating(evaluation: Evaluation, rows: list[Row]) -> Answer:
    question, row = "Does the case vibrate too much?", _row(rows, "vibration")
    if row is None or row.passed is None:
        return Answer(question, "unknown", f"Not known: {row.change if row else 'give the mount'}.")
    where = f" at {float(row.speed) * RPM:.0f} rpm" if row.speed is not None else ""
    words = f"{amount(row, row.value)} rms{where}, {amount(row, row.limit)} allowed"
    if row.state == "not checked":
        return Answer(
            question, "unknown", f"Not known: {words} as far as it was looked at; {row.unlooked}.", "not known"
        )
    if row.state == "pass":
        return Answer(question, "good", f"No: {words}.")
    if "leaves the bench" in row.what:
        words = f"{amount(row, row.value)} rms{where} if no foot left the bench, as one does"
        words += f"; {amount(row, row.limit)} allowed"
    return Answer(question, "bad", f"Yes: {words}; mostly {shaken_by(evaluation)[0]}.")


TOLD = ("gap", "contact", "shaking_force", "vibration", "power")


def _others(rows: list[Row]) -> Answer:
    question = "Will the rest hold?"
    failing = [row for row in rows if row.key not in TOLD and row.state == "FAIL"]
    unchecked = [row for row in rows if row.key not in TOLD and row.left_out]
    total = status.counts(rows)["not checked"]  # of all, as every count says it
    count = "1 limit is" if total == 1 else f"{total} limits are"
    more = f" {count} not checked; the verdict says what to give." if unchecked else ""
    depends = [row.what for row in rows if row.key not in TOLD and row.state == "depends"]
    more += f" Some depend on what is not known: {'; '.join(depends)}." if depends else ""
    if not failing:
        words = "No other limit fails." if depends else "Every other limit that could be checked holds."
        words += more
        open_ = "not all checked" if unchecked else "it depends" if depends else ""
        return Answer(question, "unknown", words, open_) if open_ else Answer(question, "good", words)
    names = "; ".join(f"{row.what} ({amount(row, row.value)}, {row.sense} {amount(row, row.limit)})" for row in failing)
    return Answer(question, "bad", f"Not all: {names}.{more}")
