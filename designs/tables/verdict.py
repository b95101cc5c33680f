"""The verdict as a table."""

import numpy as np

from designs.tables.table import SHOWN, Column, Table, number_text, plain
from designs.verdict.row import Row


def verdict_table(rows: list[Row]) -> Table:
    """Return one row a limit, in units of the workshop as text, as people read it."""
    columns = (
        Column("status", ""),
        Column("what", "what"),
        Column("value", "value"),
        Column("limit", "limit"),
        Column("margin", "margin", "share"),
        Column("speed", "worst speed", "rad/s"),
        Column("angle", "crank angle", "rad"),
        Column("change", "what to change"),
    )
    return Table("verdict", "Verdict", columns, [_cells(row) for row in rows])


def _cells(row: Row) -> tuple:
    sense = "" if row.limit is None else ("<= " if row.sense == "at most" else ">= ")
    return (
        row.state,
        row.what,
        amount(row, row.value),
        sense + amount(row, row.limit),
        row.margin,
        row.speed,
        row.angle,
        "" if row.state == "pass" else row.words,
    )


def amount(row: Row, value) -> str:
    """Return a value of a row with its unit of the workshop."""
    if value is None:
        return "-"
    unit, factor, decimals = SHOWN.get(row.unit, (row.unit, 1.0, 3))
    if row.unit == "rad":
        unit, factor, decimals = "mrad", 1e3, 2
    if np.isinf(value):
        return "none"
    return f"{number_text(float(value) * factor, decimals)} {unit}".strip()


def row_json(row: Row) -> dict:
    """Return a row as plain data in SI."""
    return {
        "key": row.key,
        "what": row.what,
        "status": row.state.lower(),
        "value": plain(row.value),
        "limit": plain(row.limit),
        "unit": row.unit,
        "sense": row.sense,
        "margin": plain(row.margin),
        "worst_speed_rad_per_s": plain(row.speed),
        "worst_angle_rad": plain(row.angle),
        "change": row.change,
        "unlooked": row.unlooked,
    }
