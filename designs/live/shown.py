"""What follows from a design as plain data for the page: numbers in SI beside the very texts of the screen."""

from collections.abc import Iterable
from typing import Any

import numpy as np

from designs import status
from designs.doubt.judging import placed
from designs.evaluate import Evaluation
from designs.pages.frames import frames, packed, thinning
from designs.pages.mechanism import drawing
from designs.tables.table import Column, plain, show
from designs.tables.verdict import amount
from designs.verdict.row import Row
from shafts.gap.pair import YokePair, budget

RPM = 30 / np.pi
GAP = Column("gap", "gap", "m")
ORDER = ("FAIL", "depends", "not checked", "pass")
"""In which limits are shown, those first that want a hand."""


def rows_data(rows: Iterable[Row]) -> list[dict[str, Any]]:
    """Return rows as data, each with a place of its own; in the order of their states."""
    found = [{"place": f"{key}-{number}", **row_data(row)} for (key, number), row in placed(rows).items()]
    return sorted(found, key=lambda each: ORDER.index(each["state"]))


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
        "words": "" if row.state in ("FAIL", "pass") else row.words.replace("`", ""),
    }


def word_of(rows: Iterable[Row]) -> str:
    """Return one word for a whole verdict."""
    return status.in_a_word(rows).upper()


def drawn(evaluation: Evaluation) -> dict[str, Any]:
    """Return the mechanism as it stands at its tightest angle."""
    found = drawing(evaluation, thinning(evaluation.motion.theta.size))
    return {"svg": found.svg, "box": list(found.box), "arrow": found.arrow, "place": found.place,
            "sense": found.sense, "notes": list(found.notes)}  # fmt: skip


def moved(evaluation: Evaluation, speeds: np.ndarray | None = None) -> dict[str, Any]:
    """Return what the moving drawing needs, at some speeds, rpm, or all of the slider."""
    return frames(evaluation, speeds)


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
    """Return the gap budget of each pair at a speed: every line, in SI and as on the screen."""
    return [{"name": name_of(pair), "lines": _lines(pair, rpm / RPM)} for pair in evaluation.pairs]


def _lines(pair: YokePair, speed: float) -> list[dict[str, Any]]:
    nominal, items = budget(pair, speed)
    found = {"nominal gap": nominal, **items, "what is left": nominal + sum(items.values())}
    return [{"item": item, "raw": plain(gap), "value": show(GAP, gap)} for item, gap in found.items()]


def tightest(evaluation: Evaluation) -> float:
    """Return the running speed at which a gap is least, rpm; the fastest where there is none."""
    if not evaluation.pairs:
        return float(evaluation.design.speed.most) * RPM
    pair = min(evaluation.pairs, key=lambda each: float(each.least(evaluation.tightest_speed(each))[0]))
    return evaluation.tightest_speed(pair) * RPM
