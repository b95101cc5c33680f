"""What to find out first, and a card for the bench for each: from what is not known of a design."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fnmatch import fnmatchcase

import numpy as np

from balance.doubt.fitted import fitted
from balance.doubt.ranges import DEVIATIONS, deviation
from designs.design import Design
from designs.doubt import DRAWS, Outcome, under_doubt
from designs.doubt.unknowns import Unknown
from designs.doubt.words import known_of
from designs.evaluate import Evaluation
from designs.measuring.card_texts import CARDS, CardText
from designs.reading.units import quantity
from designs.shown import bench_words
from designs.verdict import verdict_of


@dataclass(frozen=True)
class Card:
    """One card for this machine, its texts filled in.

    settles : share of the open verdict that it would settle; of the least gap's spread where no limit is open.
    known : what is known of each entry now, in words.
    """

    key: str
    title: str
    tool: str
    how: tuple[str, ...]
    write: tuple[str, ...]
    caution: str
    blank: str
    drawing: str
    settles: float
    known: tuple[str, ...]

    @property
    def filled(self) -> str:
        """The blank as it stands in a design file."""
        return "\n".join(
            ["measured:", *(folded for line in self.blank.splitlines() for folded in _folded(f"  {line}"))]
        )


def _folded(line: str) -> Iterator[str]:
    """Yield a line of a design file in lines that fit a screen, broken where entries in braces part."""
    deeper = " " * (len(line) - len(line.lstrip()) + 4)
    while len(line) > WIDEST and (comma := line.rfind(", ", len(deeper), WIDEST)) > 0:
        yield line[: comma + 1]
        line = deeper + line[comma + 2 :]
    yield line


@dataclass(frozen=True)
class Plan:
    """Cards in the order in which they are worth it.   by : what `settles` is a share of, in words."""

    cards: list[Card]
    by: str

    def worth(self, card: Card) -> str:
        """Return in words what a card would settle."""
        if card.settles >= WORTH:
            return f"Settles {card.settles:.0%} {self.by}."
        return "Tells of the whole machine at once." if card.key in ALWAYS else f"Settles next to nothing {self.by}."


def plan(evaluation: Evaluation) -> Plan:
    """Return the cards for a single design, what settles most first; those that settle nothing come last."""
    outcome = under_doubt(evaluation, verdict_of(evaluation), few=DRAWS)  # all, to rank what settles little, too
    ranked, by = _ranked(outcome)
    cards = [_card(text, names, evaluation, ranked) for text in CARDS for names in card_names(text, evaluation)]
    return Plan(sorted(cards, key=lambda each: -each.settles), by)


def _ranked(outcome: Outcome) -> tuple[list[tuple[Unknown, float]], str]:
    """Return each unknown with what knowing it would settle, and of what that is a share."""
    if outcome.first:
        return [(each.unknown, each.share) for each in outcome.first], "of what is open in the verdict"
    gap = outcome.judged.get(("gap", 0))
    if gap is None or outcome.shares is None:
        return [(each, 0.0) for each in outcome.unknowns], "of nothing: no limit is open, and no yokes face each other"
    values = np.where(np.isnan(gap.values), np.nanmin(gap.values), gap.values)
    shares = map(float, fitted(outcome.shares, values).alone)
    return list(zip(outcome.unknowns, shares, strict=True)), "of the spread of the least gap; no limit is open"


def card_names(text: CardText, evaluation: Evaluation) -> Iterator[dict[str, str]]:
    """Yield what fills in a card, once for each thing that there is a card for."""
    words = words_of(evaluation.design)
    yield from (words | names for names in _things(text, evaluation))


def words_of(design: Design) -> dict[str, str]:
    """Return the words of a card that stand only where a machine has what they speak of."""
    hot = design.gas.model != "none"
    belt = "the belt" if design.cranks.belt is not None else "" if design.pulley is None else "what the pulley drives"
    rods = any(yoke.rod is not None for yoke in design.yokes.values())
    hangs = [word for word in ("the rods" if rods else "", belt) if word]
    return {
        "burner_off": ", its burner off" if hot else "",
        "Burner_off": "Burner off." if hot else "",
        "belt_off": f"; take {belt} off, so that nothing turns it" if belt else "",
        "and_gears": "" if design.cranks.gears is None else " and out of the gears",
        "hot_ends": " Hot ends burn." if hot else "",
        "without_rods": ", without its rods" if rods else "",
        "what_hangs": " and ".join(hangs) or "the yokes",
        "open_gas": "Open the gas space, so that no pressure pushes. " if hot else "",
        "clearances": "".join(f"\n  {path}: ___ um +- 2 um" for path in _clearances(design)),
    }


def _clearances(design: Design) -> Iterator[str]:
    """Yield the paths of each bearing's play, right and left."""
    left = design.shafts.left
    for around, bearings in (("shafts", design.shafts.bearings), ("shafts.left", left.bearings if left else ())):
        for number, each in enumerate(bearings):
            at, bush = f"{around}.bearings.{number}", each.bush is not None
            yield f"{at}.bush.play" if bush else f"{at}.clearance"
            if not bush and left is None:
                yield f"{at}.left_clearance"


def _things(text: CardText, evaluation: Evaluation) -> Iterator[dict[str, str]]:
    design = evaluation.design
    if text.per == "yoke":
        yield from ({"yoke": name} for name, yoke in design.yokes.items() if _fits(text, yoke))
    elif text.per == "throw":
        yield from ({"throw": name} for name in design.cranks.throws)
    elif text.per == "bearing":
        yield from ({"bearing": str(number + 1)} for number in range(len(design.shafts.bearings)))
    elif text.per == "pair":
        for pair in evaluation.pairs:
            angle = float(np.rad2deg(pair.least(0.0)[1]))
            yield {"upper": pair.upper, "lower": pair.lower, "angle": f"{angle:.0f}"}
    elif _belongs(text, evaluation):
        yield {}


def _fits(text: CardText, yoke) -> bool:
    if text.key == "yoke_mass":
        return True
    return (yoke.slot if text.key == "face" else yoke.rod) is not None


def _belongs(text: CardText, evaluation: Evaluation) -> bool:
    """Return whether a card of the machine as a whole speaks of something that it has."""
    design = evaluation.design
    if text.key in ("syringe", "pressure", "temperatures", "brake"):
        return design.gas.model != "none"
    if text.key == "crank_scale":
        return bool(design.cranks.webs)
    if text.key == "tap":
        return design.mount is not None and design.mount.feet is not None
    if text.key == "flywheel":
        return design.flywheel is not None
    if text.key == "backlash":
        return design.cranks.gears is not None
    return text.key != "knock" or bool(evaluation.pairs)


def _card(text: CardText, names: dict[str, str], evaluation: Evaluation, ranked: list[tuple[Unknown, float]]) -> Card:
    patterns = patterns_of(text, names)
    told = [(each, share) for each, share in ranked if _tells(each, patterns)]
    filled = {
        name: bench_words(getattr(text, name).format(**names).strip()) for name in ("title", "tool", "caution", "blank")
    }
    filled["drawing"] = text.drawing.format(**names)
    how, write = (tuple(bench_words(line.format(**names)) for line in lines) for lines in (text.how, text.write))
    known = tuple(f"{each.name}: {known_of(each.range)}" for each, _ in told)
    settles = sum(share * _settled(text.blank.format(**names), each) for each, share in told)
    return Card(text.key, how=how, write=write, settles=settles, known=known, **filled)


def _settled(blank: str, unknown: Unknown) -> float:
    """Return the share of an entry's variance that a reading takes away, as it takes the place of what was known.

    Nothing where what is known is as fine; all of it where the card reads the entry by way of others.
    """
    paths = [".".join(path) for path, _ in unknown.entries]
    for name, half in _READ.findall(blank):
        pattern = RODS if name == BETWEEN else name
        if any(fnmatchcase(path, pattern) for path in paths):
            read = quantity(half, unknown.range.si) / DEVIATIONS["normal"]
            return max(0.0, 1.0 - (read / deviation(unknown.range)) ** 2)
    return 1.0


BETWEEN, RODS = "between_centres", "yokes.*.rod.*length"
_READ = re.compile(r"([\w.]+): ___ \w+ \+- ([0-9.]+ \w+)")
"""An entry that a blank asks for, and to within what it is read."""


def patterns_of(text: CardText, names: dict[str, str]) -> list[str]:
    """Return the patterns of the paths of which a card tells, filled in."""
    patterns = [pattern.format(**names) for pattern in text.settles]
    if text.per == "bearing":
        return [pattern.replace("*", str(int(names["bearing"]) - 1)) for pattern in patterns]
    return patterns


def _tells(unknown: Unknown, patterns: list[str]) -> bool:
    return any(fnmatchcase(".".join(path), pattern) for path, _ in unknown.entries for pattern in patterns)


ALWAYS = ("feeler", "knock")
"""Cards that tell of the machine as a whole, and so of every entry at once."""
WIDEST = 74  # characters of a line to be filled in
WORTH = 0.03
"""Share below which a card is not worth the walk."""


def chosen(cards: list[Card], most: int) -> list[Card]:
    """Return the cards that are worth it, `most` at the most, and those that tell of the whole machine."""
    worth = [each for each in cards if each.settles >= WORTH][:most]
    return worth + [each for each in cards if each.key in ALWAYS and each not in worth]
