"""What follows from a design as plain data for the page: numbers in SI beside the very texts of the screen."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from designs import status
from designs.doubt.judging import placed
from designs.evaluate import Evaluation
from designs.pages.clashes import Clash
from designs.pages.frames import packed, thinning
from designs.pages.lens import View, lens, lens_picture, lens_words, seen, view
from designs.pages.limits import bar
from designs.pages.mechanism import Drawing, drawing
from designs.pages.waterfall import gap_waterfall, reach_of
from designs.shown import RPM
from designs.summary import tightest_pair
from designs.table import plain
from designs.tables.verdict import amount
from designs.verdict.row import Row, worst_first
from shafts.gap.pair import YokePair

ROOM = 1.1  # by how much more a budget is drawn than it needs, so that it may grow
STAYS = 2.1  # by how much a lens may be off the factor that would show best


def rows_data(rows: Iterable[Row]) -> list[dict[str, Any]]:
    """Return rows as data, each with a place of its own, those first that want a hand."""
    at = {id(row): f"{key}-{number}" for (key, number), row in placed(rows).items()}
    return [{"place": at[id(row)], **row_data(row)} for row in worst_first(list(rows))]


def row_data(row: Row) -> dict[str, Any]:
    """Return a row as data; what to change is left out, as it is tried elsewhere."""
    sense = "" if row.limit is None else ("≤ " if row.sense == "at most" else "≥ ")
    at = "" if row.speed is None or not np.isfinite(float(row.speed)) else f"{float(row.speed) * RPM:.0f} rpm"
    return {
        "key": row.key,
        "state": row.state,
        "asked": row.asked,
        "what": row.what,
        "value": amount(row, row.value),
        "limit": sense + amount(row, row.limit),
        "raw": plain(row.value),
        "bound": plain(row.limit),
        "sense": row.sense,
        "at": at,
        "bar": bar(row),
        "words": "" if row.state in ("FAIL", "pass") else row.words.replace("`", ""),
    }


def word_of(rows: Iterable[Row]) -> str:
    """Return one word for a whole verdict."""
    return status.in_a_word(rows).upper()


def drawn(evaluation: Evaluation, rpm: float, found: Sequence[Clash] = ()) -> Drawing:
    """Return the machine as it stands where its gap is least at a speed, with what clashes marked."""
    pair = tightest_pair(evaluation)
    place = 0 if pair is None else int(np.argmin(pair.gap(rpm / RPM)))
    return drawing(evaluation, thinning(evaluation.motion.theta.size), place, found)


def drawing_data(found: Drawing) -> dict[str, Any]:
    """Return a drawing as data."""
    return {"svg": found.svg, "side": found.side, "box": list(found.box), "font": found.font, "arrow": found.arrow,
            "place": found.place, "sense": found.sense, "words": found.words, "notes": list(found.notes)}  # fmt: skip


class Lens:
    """The lens over the nearest two yokes; its factor stays while the gap is still seen well with it."""

    def __init__(self, factor: float | None = None) -> None:
        self.factor = factor

    def view(self, evaluation: Evaluation) -> View | None:
        """Return what the lens shows at every speed; None if yokes keep far apart, or none can meet."""
        pair = tightest_pair(evaluation)
        shown = None if pair is None else view(evaluation, pair)
        if shown is None:
            return None
        held = self.factor
        self.factor = held if held is not None and 1 / STAYS <= held / shown.factor <= STAYS else shown.factor
        return replace(shown, factor=self.factor)

    def at(self, evaluation: Evaluation, rpm: float) -> dict[str, str]:
        """Return the lens at a speed, HTML, and what is said below it."""
        shown = self.view(evaluation)
        if shown is None:
            return {"lens": lens(evaluation, rpm / RPM), "lens_words": ""}
        found = seen(shown, np.array([rpm / RPM]))[0]
        return {"lens": lens_picture(shown, found, rpm / RPM), "lens_words": lens_words(shown, found, rpm / RPM)}


def curves(evaluation: Evaluation, speeds: np.ndarray) -> list[dict[str, Any]]:
    """Return the gap of each pair over the turn at speeds, rpm, as the moving drawing has it."""
    every = thinning(evaluation.motion.theta.size)
    return [
        {
            "name": name_of(pair),
            "rpm": packed(speeds),
            "gap": packed(pair.gap(speeds / RPM)[:, ::every], "<f4"),
            "least": packed(pair.least(speeds / RPM)[0]),
        }
        for pair in evaluation.pairs
    ]


def name_of(pair: YokePair) -> str:
    """Return what people call a pair."""
    return f"{pair.upper} over {pair.lower}"


class Budget:
    """The waterfall of the nearest two yokes; its scale stays while all of it still fits, and fills half of it."""

    def __init__(self) -> None:
        self.reach: tuple[float, float] | None = None

    def at(self, evaluation: Evaluation, rpm: float, other: Evaluation | None) -> dict[str, str]:
        """Return the budget at a speed, SVG, with that of another design, and what it is of; "" without yokes."""
        pair = tightest_pair(evaluation)
        if pair is None:
            return {"budget": "", "budget_words": ""}
        low, high = reach_of(evaluation, pair, rpm / RPM)
        held = self.reach
        if held is None or low < held[0] or high > held[1] or high - low < 0.5 * (held[1] - held[0]):
            held = self.reach = low * ROOM, high * ROOM
        place = next(n for n, each in enumerate(evaluation.pairs) if each is pair)
        before = None if other is None else _like(pair, other)
        picture = gap_waterfall(evaluation, rpm / RPM, place, held, before)
        beside = "" if before is None else " Blue: the design beside it."
        words = f"{name_of(pair)} at {rpm:.0f} rpm, at the crank angle where the gap is least.{beside}"
        return {"budget": picture, "budget_words": words}


def _like(pair: YokePair, other: Evaluation) -> YokePair | None:
    """Return the pair of another design that is called alike, else its nearest."""
    return next((each for each in other.pairs if name_of(each) == name_of(pair)), tightest_pair(other))
