"""Key figures of a design: the worst row of each limit, and any column of a table of results.

A figure's key is that of a limit ("gap"), or of a table and its column ("counterweights.mass"). Words in
brackets pick among several rows: "joints.peak[piston crankpin, right]".
"""

from collections.abc import Callable, Iterable, Iterator
from difflib import get_close_matches
from textwrap import fill

import numpy as np

from balance.quantities import Scalar
from designs import verdict
from designs.evaluate import Evaluation
from designs.tables import BALANCE, SHAFTS, Table
from designs.verdict.figure import Better, Figure
from shafts.gap.contact import first_contact

TABLE_FIGURES: dict[str, tuple[str, str, Better]] = {
    "contact.contact_worst": ("speed of first contact, worst case", "rad/s", "more"),
    "counterweights.mass": ("mass of each counterweight", "kg", "less"),
}
"""Columns of tables that are shown beside the limits unless the caller chooses: in words, unit, which way is better."""


LIMITS = tuple(key for source in verdict.MANY for key in source.KEYS)


NEAREST = 5  # keys that are offered for one that there is not


class NoFigureError(KeyError):
    """A key that no limit and no table has; `known` lists those that there are."""

    def __init__(self, key: str, known: Iterable[str]):
        super().__init__(key)
        self.key, self.known = key, tuple(known)

    def __str__(self) -> str:
        near = get_close_matches(self.key, (*LIMITS, *self.known), NEAREST, 0.4)
        hint = f"; the nearest are {', '.join(near)}" if near else ""
        limits = fill(", ".join(LIMITS), 78, initial_indent="  ", subsequent_indent="  ", break_on_hyphens=False)
        return f"no figure {self.key!r}{hint}; allowed: TABLE.COLUMN of a table, or a limit:\n{limits}"


MANY: dict[str, Callable[[Evaluation], Scalar | None]] = {
    "counterweights.mass": lambda found: _over(
        np.max, [each.shape.mass for each in getattr(found.weights, "planes", ())]
    ),
    "contact.contact_worst": lambda found: _over(
        np.min, [first_contact(pair, found.top_speed, "worst") for pair in found.pairs]
    ),
}
"""Columns of tables that can be worked out for many options at once; all others take one option at a time."""


def _over(reduce: Callable, values: list[Scalar]) -> np.ndarray | None:
    return reduce(np.stack(np.broadcast_arrays(*values)), axis=0) if values else None


def usual(evaluation: Evaluation, key: str) -> Figure | None:
    """Return the figure of a key of TABLE_FIGURES, for one design or many; None if the design has none."""
    value, (what, unit, better) = MANY[key](evaluation), TABLE_FIGURES[key]
    return None if value is None else Figure(key, what, unit, value, better=better)


def of_tables(evaluation: Evaluation, key: str) -> Figure:
    """Return the figure that a key "table.column" or "table.column[words]" names, of a single design.

    Where several rows fit, the one of largest size is meant. Raises NoFigureError.
    """
    name, _, words = key.partition("[")
    seen: list[Table] = []
    for table in _tables(evaluation):
        seen.append(table)
        for index, column in enumerate(table.columns):
            if name == f"{table.key}.{column.key}" and column.unit is not None:
                return _of_column(table, index, key, words.rstrip("]"))
    raise NoFigureError(key, table_keys(seen))


def _tables(evaluation: Evaluation) -> Iterator[Table]:
    """Yield the tables that have numbers for a design as a whole, each worked out when it is asked for."""
    tables = (table for source in (*BALANCE, *SHAFTS) for table in source.tables(evaluation))
    return (table for table in tables if table.key != "course")


def table_keys(tables: list[Table]) -> Iterator[str]:
    """Yield the keys of the columns of numbers."""
    return (f"{table.key}.{column.key}" for table in tables for column in table.columns if column.unit is not None)


def _of_column(table: Table, index: int, key: str, words: str) -> Figure:
    column = table.columns[index]
    values = [float(row[index]) for row in table.rows if row[index] is not None and fits(row, words)]
    what = ", ".join(filter(None, (column.title, table.title.lower(), words)))
    return Figure(key, what, column.unit or "", max(values, key=abs) if values else None)


def fits(row: tuple, words: str) -> bool:
    """Return whether the texts of a row have all the words that are listed with commas."""
    text = " ".join(each for each in row if isinstance(each, str)).lower()
    return all(word.strip().lower() in text for word in words.split(","))
