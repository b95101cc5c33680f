"""What follows from a design as plain data for the page: numbers in SI beside the very texts of the screen."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import numpy as np

from designs import status
from designs.doubt.judging import placed
from designs.evaluate import Evaluation
from designs.pages.frames import packed, thinning
from designs.pages.lens import View, lens, lens_picture, lens_words, seen, view
from designs.pages.limits import bar
from designs.pages.mechanism import Drawing, drawing, tightest_pair
from designs.shown import RPM
from designs.table import Column, plain, show
from designs.tables.verdict import amount
from designs.verdict.row import Row, worst_first
from shafts.gap.pair import YokePair, budget

GAP = Column("gap", "gap", "m")
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


def drawn(evaluation: Evaluation, rpm: float) -> Drawing:
    """Return the machine as it stands where its gap is least at a speed."""
    pair = tightest_pair(evaluation)
    place = 0 if pair is None else int(np.argmin(pair.gap(rpm / RPM)))
    return drawing(evaluation, thinning(evaluation.motion.theta.size), place)


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


def budgets(evaluation: Evaluation, rpm: float) -> list[dict[str, Any]]:
    """Return the gap budget of each pair at a speed, the nearest first: every line, in SI and as on the screen."""
    pairs = sorted(evaluation.pairs, key=lambda pair: pair is not tightest_pair(evaluation))
    return [{"name": name_of(pair), "unit": GAP.shown[0], "lines": _lines(pair, rpm / RPM)} for pair in pairs]


def _lines(pair: YokePair, speed: float) -> list[dict[str, Any]]:
    nominal, items = budget(pair, speed)
    found = {"nominal gap": nominal, **items, "what is left": nominal + sum(items.values())}
    return [{"item": item, "raw": plain(gap), "value": show(GAP, gap)} for item, gap in found.items()]
