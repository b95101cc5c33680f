"""Pressure over crank angle from a CSV file: degrees and kPa, a header line or none, commas or semicolons."""

import re
from itertools import pairwise
from pathlib import Path

import numpy as np

from balance.errors import BadDesign, Complaint
from balance.gas import indicated_pressure
from balance.machine.machine import IndicatedGas, PressureTable
from designs.reading.beside import file_beside, text_of_file
from designs.reading.complaints import BadFile, Place, Placed, bad, quote

LARGEST = 1_000_000  # bytes; a pressure sample every tenth of a degree takes a tenth of that
ALLOWED = "two columns: crank angle in degrees and absolute pressure in kPa, e.g. 10.5, 103.2"
WIDEST = 120.0  # degrees between two pressures, so that three or more make the turn; four are asked for
BETWEEN = 16  # places between two pressures at which the curve through them is looked at
CLOSE = 1e-6  # degrees; nearer than this to a whole turn, an angle is the first one again
_NUMBER = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]{1,2})?")
_BEGINS_A_NUMBER = re.compile(r"\W*\d")  # a reading with a slip in it is no heading
_OTHER_UNITS = {
    "rad",
    "pa",
    "mpa",
    "gpa",
    "hpa",
    "bar",
    "mbar",
    "psi",
    "atm",
    "mmhg",
    "torr",
    "psia",
    "psig",
    "gauge",
    "barg",
    "radians",
}

Row = tuple[int, float, float]  # line, degrees, kPa


def read_table(name: str, folder: Path | None, allow_above: bool, position: Place) -> PressureTable:
    """Return the table in the file `name` beside the design file.

    position : where the design file names the table; complaints about the name point there, complaints
    about what the table holds point into it. Raises BadFile.
    """
    file = file_beside(name, folder, allow_above, position)
    rows = _rows(text_of_file(file, LARGEST, position, "a CSV file"), file.name)
    _refuse_disorder(rows, file.name)
    rows = _without_repeat(rows, file.name)
    table = _table(rows, file.name)
    _refuse_what_was_not_measured(rows, table, file.name)
    return table


def _rows(text: str, name: str) -> list[Row]:
    rows: list[Row] = []
    header_may_come = True
    for line, written in enumerate(re.split(r"\r\n|\r|\n", text), start=1):
        cells = [cell.strip() for cell in written.split(";" if ";" in written else ",")]
        if not any(cells):
            continue
        if header_may_come and not any(_BEGINS_A_NUMBER.match(cell) for cell in cells):
            _refuse_other_units(written, Place(name, line, 1))
        else:
            rows.append(_row(cells, written, Place(name, line, 1)))
        header_may_come = False
    return rows


def _refuse_other_units(header: str, position: Place) -> None:
    other = _OTHER_UNITS.intersection(re.split(r"[^a-z]+", header.lower()))
    if other:
        raise bad(
            position, f"a header that speaks of {min(other)}", "crank angle in degrees and absolute pressure in kPa"
        )


def _row(cells: list[str], written: str, position: Place) -> Row:
    if len(cells) != 2:
        raise bad(position, f"{quote(written)}, which has {len(cells)} columns", f"{ALLOWED}; decimals with a point")
    for cell in cells:
        if not _NUMBER.fullmatch(cell) or len(cell) > 40:
            raise bad(position, quote(cell), f"{ALLOWED}; decimals with a point")
    angle, pressure = map(float, cells)
    if not 0.0 < pressure < 1e9:
        raise bad(position, f"a pressure of {quote(cells[1])}", "an absolute pressure in kPa, more than 0")
    if abs(angle) > 1e6:
        raise bad(position, f"an angle of {quote(cells[0])}", "a crank angle in degrees")
    return position.line, angle, pressure


def _refuse_disorder(rows: list[Row], name: str) -> None:
    for (_, before, _), (line, angle, _) in pairwise(rows):
        position = Place(name, line, 1)
        if angle <= before:
            raise bad(position, f"{angle:g} deg after {before:g} deg", "crank angles that rise from line to line")
        if angle - rows[0][1] >= 360.0 + CLOSE:
            raise bad(position, f"{angle:g} deg", f"one turn: less than {rows[0][1] + 360:g} deg")


def _without_repeat(rows: list[Row], name: str) -> list[Row]:
    """Return the rows without a last one that only repeats the first, a turn later."""
    if len(rows) < 2 or rows[-1][1] - rows[0][1] < 360.0 - CLOSE:
        return rows
    first, (line, angle, last) = rows[0][2], rows[-1]
    if last != first:
        read = f"{last:g} kPa at {angle:g} deg, but {first:g} kPa a turn before"
        raise bad(Place(name, line, 1), read, "the same pressure, or no line for the end of the turn")
    return rows[:-1]


def _refuse_what_was_not_measured(rows: list[Row], table: PressureTable, name: str) -> None:
    """Refuse a table with too wide a gap, or where the curve through it runs far from all that was measured."""
    after = [*rows[1:], (rows[0][0], rows[0][1] + 360.0, rows[0][2])]
    for (line, before, _), (_, angle, _) in zip(rows, after, strict=True):
        if angle - before > WIDEST + CLOSE:
            read = f"nothing between {before:g} and {angle:g} deg"
            raise bad(
                Place(name, line, 1), read, f"pressures all round, none farther than {WIDEST:g} deg from the next"
            )
    share = np.linspace(0.0, 1.0, BETWEEN, endpoint=False)
    start, end = np.deg2rad([row[1] for row in rows]), np.deg2rad([row[1] for row in after])
    curve = indicated_pressure(
        IndicatedGas(table=table, case_pressure=0.0), start[:, None] + (end - start)[:, None] * share
    )
    least, most = np.min(table.pressure), np.max(table.pressure)
    past = np.maximum(curve - most, least - curve) / max(most - least, 1e-6 * most)
    past = np.where(curve <= 0, np.inf, past)
    if np.max(past) > 1.0:
        row, column = np.unravel_index(np.argmax(past), past.shape)
        between = f"between {rows[row][1]:g} and {after[row][1]:g} deg"
        read = f"pressures through which a curve runs to {curve[row, column] / 1e3:.4g} kPa {between}"
        raise bad(Place(name, rows[row][0], 1), read, "pressures close together where they change much")


def _table(rows: list[Row], name: str) -> PressureTable:
    columns = np.array([row[1:] for row in rows], dtype=float).reshape(-1, 2)
    angle, pressure = np.deg2rad(columns[:, 0]), 1e3 * columns[:, 1]
    for each in (angle, pressure):
        each.flags.writeable = False
    try:
        return PressureTable(angle=angle, pressure=pressure)
    except BadDesign as error:
        line = rows[-1][0] if rows else 1
        position = Place(name, line, 1)
        raise BadFile(
            *(Placed(position, Complaint((), each.read, each.allowed)) for each in error.complaints)
        ) from None
