"""What a table of readings in a CSV file may hold, by the definition whose readings it gives."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Column:
    """A column of a table of readings.

    field : the entry that it fills, a list with one item a line.   entry : which part of the item; "" for a number.
    si : what its unit measures.   example : a heading as it may stand.   needed : whether there must be such a column.
    """

    field: str
    entry: str
    si: str
    example: str
    needed: bool = True
