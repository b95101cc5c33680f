"""Key figures of limits: the worst row of each, for one design or many."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from balance.quantities import Scalar
from designs.shown import METRIC, shown
from designs.table import Column, in_unit
from designs.verdict.row import Row, name_of

Better = Literal["less", "more"]


@dataclass(frozen=True, eq=False)
class Figure:
    """One number of a design, or of shape (options...) of many.

    value, limit : SI; None where it is not known, or there is no limit.   passed : None if not checked.
    margin : how far the value is on the safe side, as a share of the limit.
    better : which way is better; None if neither is.   note : what to state so that it can be checked.
    """

    key: str
    what: str
    unit: str
    value: Scalar | None
    limit: Scalar | None = None
    passed: Scalar | None = None
    better: Better | None = None
    margin: Scalar | None = None
    note: str = ""

    @property
    def shown(self) -> tuple[str, float, int]:
        """Unit, factor and decimals for people."""
        return shown("mrad" if self.unit == "rad" and self.better else self.unit)

    def text(self, value: Scalar | None) -> str:
        """Return a value of this figure for people, without its unit."""
        if value is None or np.isnan(value):
            return "-"
        unit, factor, decimals = self.shown
        return "none" if np.isinf(value) else in_unit(float(value) * factor, unit, decimals)

    @property
    def column(self) -> Column:
        """The column under which it stands in a table with a row for each design."""
        return Column(self.key, self.what, self.unit if self.unit in METRIC else "")


def of_limits(rows: list[Row]) -> dict[str, Figure]:
    """Return a figure for each limit: the row of least margin, for each option, where there are several."""
    keys = dict.fromkeys(row.key for row in rows)
    return {key: _worst(key, [row for row in rows if row.key == key]) for key in keys}


def _worst(key: str, rows: list[Row]) -> Figure:
    what = rows[0].what if len(rows) == 1 else name_of(key)
    checked = [row for row in rows if row.checked]
    if not checked:
        known = next((row for row in rows if row.value is not None), rows[0])
        better: Better | None = None if known.value is None else _better(known)
        return Figure(key, what, known.unit, known.value, better=better, note=known.change)
    first = checked[0]
    if len(checked) == 1:
        return Figure(key, what, first.unit, first.value, first.limit, first.passed, _better(first), first.margin,
                      _left_out(rows))  # fmt: skip
    shape = np.broadcast_shapes(*(np.shape(row.margin) for row in checked if row.margin is not None))
    margins, values, limits = (
        np.stack([np.broadcast_to(number, shape) for number in numbers])
        for numbers in zip(*((row.margin, row.value, row.limit) for row in checked), strict=True)
    )
    # A value that is no number fails its limit, so it is the worst there can be.
    index = np.argmin(np.where(np.isnan(margins), -np.inf, margins), axis=0)[None]
    value, limit, margin = (np.take_along_axis(each, index, axis=0)[0] for each in (values, limits, margins))
    passed = np.all([np.broadcast_to(np.asarray(row.passed), shape) for row in checked], axis=0)
    return Figure(key, what, first.unit, value, limit, passed, _better(first), margin, _left_out(rows))


def _left_out(rows: list[Row]) -> str:
    """Return what to give so that rows are wholly looked at that hold so far."""
    return "; ".join(dict.fromkeys(row.unlooked for row in rows if row.unlooked and row.state == "not checked"))


def _better(row: Row) -> Better:
    return "less" if row.sense == "at most" else "more"
