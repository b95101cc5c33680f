"""Tables of readings from a CSV file beside the design: a heading of names with their units, a line for each reading.

Nothing in such a file is ever computed: a cell is a number, or a number and its doubt. It becomes an entry as if it
stood in the design file with the unit of its heading, so the same checks speak of it, at its own line and column.
"""

import re
from collections.abc import Iterator, Mapping
from pathlib import Path

from designs.design.columns import Column
from designs.reading.beside import file_beside, text_of_file
from designs.reading.complaints import BadFile, Place, Placed, alike, bad, listed, nearest, quote
from designs.reading.nodes import Entries, Items, Leaf, Node
from designs.reading.units import NUMBER, BadQuantity, quantity

LARGEST = 200_000  # bytes
MOST = 1_000  # readings; a brake has some ten, a push test five
HEADING = re.compile(r"(?P<name>[^()\[\]]+?)\s*[(\[]\s*(?P<unit>[^()\[\]]+?)\s*[)\]]")
CELL = re.compile(rf"(?P<value>{NUMBER})(?:\s*(?:\+-|±)\s*(?P<doubt>{NUMBER}))?")
Cells = list[tuple[str, Place]]


def read_readings(
    name: str, folder: Path | None, allow_above: bool, position: Place, columns: Mapping[str, Column]
) -> Entries:
    """Return the entries that the table in the file `name` stands for.

    columns : what it may hold.   position : where the design file names it. Raises BadFile with every complaint.
    """
    file = file_beside(name, folder, allow_above, position)
    lines = _lines(text_of_file(file, LARGEST, position, "a CSV file"), file.name)
    if len(lines) < 2:
        raise bad(Place(file.name), f"{len(lines)} lines with something in them", f"{_wanted(columns)}, then readings")
    if len(lines) - 1 > MOST:
        raise bad(lines[MOST + 1][0][1], f"more than {MOST:,} readings", "a shorter table")
    headings = _headings(lines[0], columns)
    complaints: list[Placed] = []
    rows = [_row(line, headings, columns, complaints) for line in lines[1:]]
    if complaints:
        raise BadFile(*complaints)
    return _entries(rows, headings, columns, Place(file.name, 1, 1))


def _wanted(columns: Mapping[str, Column]) -> str:
    return f"a heading such as {', '.join(each.example for each in columns.values())}"


def _lines(text: str, name: str) -> list[Cells]:
    """Return the cells of every line that holds some; a line that begins with # is a note."""
    lines = []
    apart = ""
    for number, written in enumerate(re.split(r"\r\n|\r|\n", text), start=1):
        if not written.strip(" \t,;") or written.lstrip().startswith("#"):
            continue
        apart = apart or next((each for each in (";", "\t") if each in written), ",")
        lines.append(list(_cells(written, apart, name, number)))
    return lines


def _cells(written: str, apart: str, name: str, line: int) -> Iterator[tuple[str, Place]]:
    column = 1
    for cell in written.split(apart):
        bare = cell.strip()
        yield bare.strip('"').strip(), Place(name, line, column + len(cell) - len(cell.lstrip()))
        column += len(cell) + 1


def _headings(line: Cells, columns: Mapping[str, Column]) -> list[tuple[str, str]]:
    """Return name and unit of each column."""
    headings: list[tuple[str, str]] = []
    complaints: list[Placed] = []
    for text, position in line:
        try:
            headings.append(_heading(text, position, columns, [name for name, _ in headings]))
        except BadFile as error:
            complaints += error.complaints
    missing = [name for name, each in columns.items() if each.needed and name not in [one for one, _ in headings]]
    if missing and not complaints:
        wanted = listed(columns[name].example for name in missing)
        complaints += bad(line[0][1], f"no column {listed(missing)}", f"also {wanted}").complaints
    if complaints:
        raise BadFile(*complaints)
    return headings


def _heading(text: str, position: Place, columns: Mapping[str, Column], before: list[str]) -> tuple[str, str]:
    parts = HEADING.fullmatch(text)
    word = (parts["name"] if parts else text).lower()
    name = next(alike(word, columns), None)
    if name is None:
        close = None if CELL.fullmatch(word) else nearest(word, columns)
        raise bad(position, f"{quote(text)} as a heading", _wanted(columns), nearest=close)
    if parts is None:
        raise bad(position, f"{quote(text)} without a unit", f"the unit in the heading, e.g. {columns[name].example}")
    if name in before:
        raise bad(position, f"{quote(text)} a second time", "each column once")
    try:
        quantity(f"1 {parts['unit']}", columns[name].si)
    except BadQuantity as error:
        raise bad(position, f"{quote(text)}: {error.read}", f"e.g. {columns[name].example}") from None
    return name, parts["unit"]


def _row(
    line: Cells, headings: list[tuple[str, str]], columns: Mapping[str, Column], complaints: list[Placed]
) -> dict[str, Leaf]:
    """Return the readings of a line by the names of their columns; note what cannot be read."""
    while len(line) > len(headings) and not line[-1][0]:
        line.pop()
    if len(line) > len(headings):
        complaints += bad(
            line[len(headings)][1], f"{len(line)} cells", f"{len(headings)}, as in the heading"
        ).complaints
        return {}
    entries = {}
    for (text, position), (name, unit) in zip(line, headings, strict=False):
        parts = CELL.fullmatch(text)
        if parts is not None:
            value = f"{parts['value']} {unit}"
            entries[name] = Leaf(value if parts["doubt"] is None else f"{value} +- {parts['doubt']} {unit}", position)
        elif text or columns[name].needed:
            allowed = f"a number in {unit}, e.g. 12.5 or 12.5 +- 0.2; decimals with a point, the unit in the heading"
            complaints += bad(position, quote(text) if text else "nothing", allowed).complaints
    missing = [name for name, _ in headings[len(line) :] if columns[name].needed]
    if missing:
        complaints += bad(line[-1][1], f"{len(line)} cells", f"{len(headings)}: {listed(missing)} too").complaints
    return entries


def _entries(
    rows: list[dict[str, Leaf]], headings: list[tuple[str, str]], columns: Mapping[str, Column], position: Place
) -> Entries:
    entries: dict[str, Node] = {}
    for field in dict.fromkeys(columns[name].field for name, _ in headings):
        names = [name for name, _ in headings if columns[name].field == field]
        entries[field] = Items(tuple(_item(row, names, columns) for row in rows), position)
    return Entries(entries, dict.fromkeys(entries, position), position)


def _item(row: dict[str, Leaf], names: list[str], columns: Mapping[str, Column]) -> Node:
    given = {columns[name].entry: row[name] for name in names if name in row}
    if "" in given:
        return given[""]
    places = {entry: each.place for entry, each in given.items()}
    return Entries(dict(given), places, next(iter(places.values())))
