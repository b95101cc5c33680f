"""A table of results: one definition from which screen, JSON, CSV, Markdown and page are made."""

import csv
import re
from dataclasses import dataclass, field
from io import StringIO
from typing import Any

import numpy as np

from designs.shown import shown

AMPLE = 1000  # percent; a margin beyond it is told no closer
LONGEST = 100_000  # h; a life beyond it likewise
NOTHING = 1e-9
"""In the unit of the screen, less than this is rounding and shown as nothing."""
SI = {"SI": "1", "heavy": "kg", "stress": "Pa", "share": "1", "pv": "Pa m/s", "turns": "1"}
"""Kinds that are shown otherwise than their SI unit is."""


@dataclass(frozen=True)
class Column:
    """A column: key for JSON, title for people, SI unit (a key of `shown.METRIC`; None for text).

    small : shown in micrometres or milliradians, for deflections and slopes.
    """

    key: str
    title: str
    unit: str | None = None
    small: bool = False

    @property
    def json_key(self) -> str:
        """Key with its SI unit, for JSON."""
        unit = SI.get(self.unit or "", self.unit or "")
        slug = unit.replace("/", "_per_").replace("^", "").replace(" ", "_").strip("_")
        return self.key if slug in ("", "1") else f"{self.key}_{slug}"

    @property
    def shown(self) -> tuple[str, float, int]:
        """Unit, factor and decimals on screen."""
        small = {"m": "um", "rad": "mrad"} if self.small else {}
        return shown(small.get(self.unit or "", self.unit or ""))

    @property
    def heading(self) -> str:
        """Title with the unit on screen."""
        unit = "" if self.unit is None else self.shown[0]
        return f"{self.title} ({unit})" if unit else self.title


@dataclass(frozen=True)
class Table:
    """Rows of results in SI under columns.

    key : name in JSON.   note : assumptions and sources, shown below.
    brief : the rows that people are shown, where all of them would be too many.
    """

    key: str
    title: str
    columns: tuple[Column, ...]
    rows: list[tuple[Any, ...]] = field(default_factory=list)
    note: str = ""
    brief: list[tuple[Any, ...]] | None = None

    def json(self) -> dict[str, Any]:
        """Return the table as plain data in SI, the unit in each key."""
        keys = [column.json_key for column in self.columns]
        return {
            "title": self.title,
            "note": self.note,
            "rows": [dict(zip(keys, map(plain, row), strict=True)) for row in self.rows],
        }

    def cells(self) -> list[list[str]]:
        """Return every cell as text for people."""
        return [
            [show(column, value) for column, value in zip(self.columns, row, strict=True)]
            for row in (self.rows if self.brief is None else self.brief)
        ]

    def csv(self) -> str:
        """Return the table as comma-separated values in SI, the unit in each heading; empty where not finite."""
        text = StringIO()
        writer = csv.writer(text, lineterminator="\n")
        writer.writerow(column.json_key for column in self.columns)
        writer.writerows([_no_formula(plain(cell)) for cell in row] for row in self.rows)
        return text.getvalue()

    def markdown(self) -> str:
        """Return the table as Markdown, as people read it."""
        sides = ["---" if column.unit is None else "---:" for column in self.columns]
        lines = [[column.heading for column in self.columns], sides, *self.cells()]
        safe = [[markdown_text(cell).replace("|", "\\|") for cell in line] for line in lines]
        text = "".join(f"| {' | '.join(line)} |\n" for line in safe)
        return f"### {markdown_text(self.title)}\n\n{text}" + (f"\n{markdown_text(self.note)}\n" if self.note else "")


_ACTIVE = re.compile(r"<(?=[A-Za-z/!?])|&(?=#?\w+;)|`|(?<=\])\(")
"""Where a text would begin a tag, an entity, code or the place that a link leads to."""


def markdown_text(text: str) -> str:
    """Return a text as Markdown that shows it and does nothing else."""
    text = text.replace("\u00a0", " ")
    return _ACTIVE.sub(
        lambda match: {"<": "&lt;", "&": "&amp;"}.get(match[0], "\\" + match[0]), " ".join(text.split("\n"))
    )


def _no_formula(cell: Any) -> Any:
    """Return a cell of a spreadsheet so that a text in it never counts as a formula."""
    return f"'{cell}" if isinstance(cell, str) and cell.lstrip()[:1] in tuple("=+-@") else cell


def plain(value: Any) -> Any:
    """Return a value as JSON can hold it: numpy numbers as floats, what is not finite as None."""
    if isinstance(value, np.ndarray | np.generic):
        value = value.tolist()
    if isinstance(value, float):
        return value + 0.0 if np.isfinite(value) else None  # a minus before zero says nothing
    if isinstance(value, list | tuple):
        return [plain(each) for each in value]
    return value


def show(column: Column, value: Any) -> str:
    """Return a cell as text for people, in the unit of the workshop."""
    if value is None:
        return "-"
    if isinstance(value, str | bool) or column.unit is None:
        return {True: "yes", False: "no"}.get(value, str(value)) if isinstance(value, bool) else str(value)
    _, factor, decimals = column.shown
    number = float(value) * factor
    if "margin" in column.title and column.unit == "share" and abs(number) > AMPLE:
        return f"> {AMPLE}" if number > 0 else f"< \N{MINUS SIGN}{AMPLE}"
    if not np.isfinite(number):
        return "none" if np.isinf(number) else "-"
    if column.unit in LENGTHS and abs(number) < 0.5 * 10**-decimals:
        return f"{number:.{decimals}f}".replace("-", "\N{MINUS SIGN}")  # no shop can tell 1.5e-07 in from none
    return in_unit(number, column.shown[0], decimals)


LENGTHS = ("m", "um")


def in_unit(number: float, unit: str, decimals: int) -> str:
    """Return a number as text for people; hours are lives, which nobody needs to know beyond a limit."""
    return f"> {LONGEST:,d}".replace(",", " ") if unit == "h" and number > LONGEST else number_text(number, decimals)


def number_text(number: float, decimals: int) -> str:
    """Return a number with as many decimals as its size is worth: four digits, no more than `decimals` beyond that."""
    return _with_decimals(number, decimals).replace("-", "\N{MINUS SIGN}")


def _with_decimals(number: float, decimals: int) -> str:
    size = abs(number)
    if size < NOTHING:
        return f"{0:.{decimals}f}"
    if size and size < 0.5 * 10**-decimals:
        return f"{number:.2g}"
    if size >= 1e6:
        return f"{number:.3g}"
    fitting = decimals if size < 1 else max(0, min(decimals, 4 - int(np.log10(size)) - 1))
    return f"{number:.{fitting}f}"
