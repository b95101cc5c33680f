"""The report as a PDF: text, tables, pictures and formulas on A4 pages, drawn by matplotlib alone.

The pictures are those of the page. A4 with margins wide enough that Letter paper loses nothing.
"""

import textwrap
from dataclasses import dataclass, field
from pathlib import Path

import matplotlib
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.mathtext import MathTextParser

from designs.pages.content import Content, Part
from designs.pages.ink import LOOK
from designs.pages.pictures import STILL, Picture
from designs.pages.sheet import Worked
from designs.tables.table import Table

WIDTH, HEIGHT = 8.27, 11.69  # inches, A4
LEFT, RIGHT, TOP, BOTTOM = 0.75, 0.6, 0.85, 0.75
ACROSS = WIDTH - LEFT - RIGHT
POINT = 1 / 72
SHORT = 13  # characters of a cell that stays in one line
NARROW, CHARACTER = 5.0, 0.6  # smallest size of a table's text, points; mean width of a character, of its size


@dataclass
class Writer:
    """Fills page after page from the top; `at` is how far down the present page is filled, inches."""

    pages: PdfPages
    title: str
    figure: Figure | None = None
    at: float = HEIGHT
    number: int = field(default=0)

    def room_for(self, height: float) -> Figure:
        """Return the page on which the next `height` inches fit, a new one if need be."""
        if self.figure is None or (self.at + height > HEIGHT - BOTTOM and self.at > TOP):
            self.finish()
            self.number += 1
            self.figure = Figure(figsize=(WIDTH, HEIGHT))
            self.at = TOP
            self._put(f"{self.title}", LEFT, 0.5, 8, color="#555555")
            self.figure.text(
                1 - RIGHT / WIDTH, 1 - 0.5 / HEIGHT, str(self.number), fontsize=8, va="top", ha="right", color="#555555"
            )
        return self.figure

    def finish(self) -> None:
        """Save the present page."""
        if self.figure is not None:
            self.pages.savefig(self.figure)
            self.figure = None

    def _put(self, words: str, x: float, y: float, size: float, **style) -> None:
        assert self.figure is not None
        self.figure.text(
            x / WIDTH, 1 - y / HEIGHT, words, fontsize=size, va="top", parse_math=style.pop("math", False), **style
        )

    def text(self, words: str, size: float = 9.5, after: float = 0.06, indent: float = 0.0, **style) -> None:
        """Write a paragraph, broken into lines and over pages."""
        characters = int((ACROSS - indent) / (size * POINT * CHARACTER))
        for line in textwrap.wrap(words, characters) or [""]:
            self.room_for(1.4 * size * POINT)
            self._put(line, LEFT + indent, self.at, size, **style)
            self.at += 1.4 * size * POINT
        self.at += after

    def heading(self, words: str, size: float = 14.0, keep: float = 1.2) -> None:
        """Write a heading that stays with at least `keep` inches of what follows."""
        self.room_for(size * POINT * 2.2 + keep)
        self.at += size * POINT * (0.8 if self.at > TOP else 0.0)
        self._put(words, LEFT, self.at, size, fontweight="bold")
        self.at += size * POINT * 1.7

    def picture(self, picture: Picture, content: Content) -> None:
        """Draw a picture in its own size with its words below it."""
        width, height = picture.size
        figure = self.room_for(height + 0.7)
        shift = LEFT + max(0.0, (ACROSS - width) / 2)
        picture.put(figure, (min(shift, WIDTH - width), HEIGHT - self.at - height), content.evaluation)
        self.at += height + 0.04
        self.text(f"{picture.title}. {picture.words}", 8.5, 0.2, color="#444444")

    def comparison(self, content: Content) -> None:
        """Draw the designs laid over each other on a page of their own."""
        from designs.pages.compared import figure

        self.finish()
        made = figure(content.candidates)
        made.set_size_inches(WIDTH, HEIGHT)
        made.set_layout_engine("constrained", rect=(LEFT / WIDTH, 0.1, ACROSS / WIDTH, 0.84))
        self.pages.savefig(made)
        self.number += 1

    def formula(self, worked: Worked) -> None:
        """Print a formula with its numbers and what it gives."""
        self.room_for(1.2 + formula_height(worked.latex, 10.0))
        self.text(worked.formula.title, 9.5, 0.04, fontweight="bold")
        large = worked.latex.replace(r"\frac", r"\dfrac")  # fractions as in a display, not as in a line of text
        self._put(f"${large}$", LEFT + 0.2, self.at, 10, math=True)
        self.at += formula_height(large, 10.0) + 0.1
        givens = "; ".join(f"{symbol_text(latex)} = {value} ({meaning})" for _, latex, value, meaning in worked.numbers)
        self.text(f"with {givens}", 8, 0.02, 0.2, color="#444444")
        self.text(f"gives {worked.result}  ({worked.formula.source})", 8.5, 0.16, 0.2)

    def table(self, table: Table) -> None:
        """Print a table as wide as the page, its head again on each page."""
        rows = [
            [column.heading for column in table.columns],
            *([_whole(cell) for cell in row] for row in table.cells()),
        ]
        layout = _layout(rows)
        self.room_for(1.0)
        self.text(table.title, 9.5, 0.03, fontweight="bold")
        self._row(layout, 0, fontweight="bold")
        for number in range(1, len(rows)):
            if self.at + layout.heights[number] > HEIGHT - BOTTOM:
                self.room_for(HEIGHT)
                self._row(layout, 0, fontweight="bold")
            self._row(layout, number)
        if table.note:
            self.text(table.note, 7.5, 0.0, color="#444444")
        self.at += 0.2

    def _row(self, layout: "Layout", number: int, **style) -> None:
        self.room_for(layout.heights[number])
        x = LEFT
        for lines, width in zip(layout.cells[number], layout.widths, strict=True):
            self._put("\n".join(lines), x, self.at, layout.size, linespacing=1.15, **style)
            x += width
        self.at += layout.heights[number]


def formula_height(latex: str, size: float) -> float:
    """Return the height of a formula at a size of its letters in points, inches."""
    return float(MathTextParser("path").parse(f"${latex}$", 72, FontProperties(size=size)).height) * POINT


def symbol_text(latex: str) -> str:
    """Return a symbol's LaTeX as plain letters: "sigma_a" for "\\\\sigma_{a}"."""
    return latex.replace("\\", "").replace("{", "").replace("}", "")


@dataclass(frozen=True)
class Layout:
    """A table broken into lines: size of its text in points, widths and heights in inches, lines of each cell."""

    size: float
    widths: list[float]
    heights: list[float]
    cells: list[list[list[str]]]


def _layout(rows: list[list[str]]) -> Layout:
    """Share the page's width among the columns: short ones get what they need, long ones break into lines."""
    # A bold heading is wider than what stands below it.
    columns = list(zip([each + "m" for each in rows[0]], *rows[1:], strict=True))
    longest_word = [max(max(len(word) for word in cell.split(" ")) for cell in column) + 1 for column in columns]
    whole = [max(len(cell) for cell in column) + 1 for column in columns]
    least = [min(max(word, 4), 22) for word in longest_word]
    size = min(8.0, max(NARROW, ACROSS / (sum(least) * POINT * CHARACTER)))
    room = ACROSS / (size * POINT * CHARACTER)
    spare, wish = room - sum(least), [max(0, full - low) for full, low in zip(whole, least, strict=True)]
    share = min(1.0, max(0.0, spare) / max(1, sum(wish)))
    characters = [low + share * more for low, more in zip(least, wish, strict=True)]
    cells = [[_broken(cell, int(count) - 1) for cell, count in zip(row, characters, strict=True)] for row in rows]
    heights = [max(len(lines) for lines in row) * 1.32 * size * POINT + 0.03 for row in cells]
    return Layout(size, [count * size * POINT * CHARACTER for count in characters], heights, cells)


def _whole(cell: str) -> str:
    """Return a short cell, such as a limit with its unit, as one word that is not broken."""
    return cell.replace(" ", "\u00a0") if len(cell) <= SHORT else cell


def _broken(cell: str, characters: int) -> list[str]:
    return textwrap.wrap(cell, max(3, characters)) or [""]


def save_pdf(content: Content, version: str, path: Path) -> None:
    """Write the whole report to a PDF file."""
    look = {**LOOK, "font.size": 9.0}
    about = {"Title": content.title, "Creator": f"quietcrank {version}", "CreationDate": None}
    with matplotlib.rc_context(look), PdfPages(path, metadata=about) as pages:
        writer = Writer(pages, content.title)
        _write_verdict(writer, content)
        for part in content.parts:
            writer.heading(part.title, keep=_first_of(part))
            writer.text(part.lead, color="#444444")
            for picture in part.pictures:
                writer.picture(picture, content)
            for table in part.tables:
                writer.table(table)
        _write_rest(writer, content)
        writer.finish()


def _first_of(part: Part) -> float:
    """Return the room that a part's title shares with what comes first under it, inches."""
    return part.pictures[0].size[1] + 1.2 if part.pictures else 2.0


def _write_verdict(writer: Writer, content: Content) -> None:
    writer.heading(content.title, 17)
    for answer in content.answers:
        writer.text(answer.question, 10.5, 0.0, fontweight="bold")
        writer.text(answer.words.replace("`", ""), 9.5, 0.1, 0.2)
    writer.heading("Cautions", 12)
    _write_list(writer, content.cautions)
    writer.picture(STILL, content)
    writer.heading("Every limit", 12)
    writer.table(content.verdict)


def _write_rest(writer: Writer, content: Content) -> None:
    if content.compared:
        writer.heading("Comparison with other designs")
        if len(content.candidates) > 1:
            writer.comparison(content)
        for table in content.compared:
            writer.table(table)
    writer.heading("Entries, assumptions and sources")
    for title, points in (
        ("What is assumed throughout", content.assumptions),
        ("Sources of the methods", content.sources),
    ):
        writer.text(title, 9.5, 0.03, fontweight="bold")
        _write_list(writer, points)
    writer.table(content.entry_table)
    writer.table(content.materials)
    writer.heading("Worked sheet")
    for each in content.sheet:
        writer.formula(each)


def _write_list(writer: Writer, points: tuple[str, ...]) -> None:
    for point in points:
        writer.text(f"– {point}", 8.5, 0.03, 0.1)
