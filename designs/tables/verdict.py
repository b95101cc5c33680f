"""The verdict as a table."""

import numpy as np

from designs.shown import shown
from designs.table import Column, Table, in_unit, plain
from designs.verdict.row import Doubt, Row


def verdict_table(rows: list[Row]) -> Table:
    """Return one row a limit, in units of the workshop as text, as people read it."""
    columns: tuple[Column, ...] = (
        Column("status", ""),
        Column("what", "what"),
        Column("value", "value"),
        Column("limit", "limit"),
        Column("margin", "margin", "share"),
        Column("speed", "worst speed", "rad/s"),
        Column("angle", "crank angle", "rad"),
        Column("change", "what to change"),
    )
    cells = [_cells(row) for row in rows]
    if any(row.doubt is not None for row in rows):
        columns = (*columns[:3], Column("worst", "worst found"), *columns[3:])
        cells = [(*each[:3], _worst(row), *each[3:]) for row, each in zip(rows, cells, strict=True)]
    return Table("verdict", "Verdict", columns, cells)


def _worst(row: Row) -> str:
    """Return the value in the worst of all machines that were looked at."""
    return "-" if row.doubt is None or row.doubt.worst is None else amount(row, row.doubt.worst)


def _cells(row: Row) -> tuple:
    sense = "" if row.limit is None else ("<= " if row.sense == "at most" else ">= ")
    return (
        row.state,
        row.what,
        amount(row, row.value),
        sense + amount(row, row.limit),
        None if row.limit == 0 else row.margin,  # a share of nothing says nothing
        row.speed,
        row.angle,
        "" if row.state == "pass" else row.words,
    )


def amount(row: Row, value) -> str:
    """Return a value of a row with its unit of the workshop."""
    if value is None:
        return "-"
    unit, factor, decimals = shown(row.unit)
    if row.unit == "rad":
        unit, factor, decimals = "mrad", 1e3, 2
    if np.isinf(value):
        return "none"
    return f"{in_unit(float(value) * factor, unit, decimals)} {unit}".strip()


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
        "doubt": None if row.doubt is None else doubt_json(row.doubt),
    }


def doubt_json(doubt: Doubt) -> dict:
    """Return how a row stands in doubt as plain data in SI."""
    return {
        "machines": doubt.count,
        "share_that_holds": doubt.share,
        "share_low": doubt.low,
        "share_high": doubt.high,
        "share_asked_for": doubt.sure,
        "spread_of_90_percent": plain(list(doubt.spread)),
        "worst": plain(doubt.worst),
        "worst_is_in_a_corner": doubt.one_way,
        "fit_that_ranks": plain(doubt.fit),
        "turns": [
            {
                "entry": turn.name,
                "unit": turn.range.si,
                "law": turn.range.law,
                "low": turn.range.low,
                "middle": turn.range.middle,
                "high": turn.range.high,
                "given": turn.range.given,
                "explains": plain(turn.explains),
                "holds_from": plain(turn.at),
                "side": turn.side,
            }
            for turn in doubt.turns
        ],
        "vibration": doubt.vibration,
        "vibration_off": plain(doubt.vibration_off),
        "note": doubt.note,
        "words": doubt.words,
    }
