"""What a report holds, in the order in which a person asks; the page and the PDF are both made from it."""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from itertools import chain
from pathlib import Path
from typing import Any

from designs import status
from designs.cautions import CAUTIONS
from designs.counsel.advised import begun
from designs.doubt import under_doubt
from designs.evaluate import Evaluation
from designs.many.beside import ahead
from designs.options.comparing import Candidate, Faulty
from designs.options.side_by_side import Line, lines
from designs.options.side_by_side import tables as side_by_side
from designs.pages import words
from designs.pages.changes import First, first_of
from designs.pages.first_sheet import first_sheet
from designs.pages.plots import Plot, plots
from designs.pages.stated import Entry, entries, materials
from designs.pages.worked import Worked
from designs.summary import Answer, answers
from designs.table import Table
from designs.tables import balance_tables, doubt, searching_tables, shaft_tables
from designs.tables.counterweights import deep_tables
from designs.verdict import verdict_of
from designs.verdict.row import Row


@dataclass(frozen=True)
class Source:
    """Where a design came from: its file, and the option of it if it is a redesign."""

    path: Path | None = None
    option: str | None = None


@dataclass(frozen=True, eq=False)
class Part:
    """A part of the report: its pictures, and its tables."""

    key: str
    title: str
    lead: str
    pictures: list[Plot]
    tables: list[Table]


@dataclass(frozen=True, eq=False)
class Content:
    """A whole report.

    first : what to do first where a limit fails.   wall : what the first sheet shows, by its names in the template.
    compared : tables of the comparison, and `lines` its figures; empty if there is nothing to compare with.
    doubtful : tables of what is not known, and `doubt_words` of what was taken; empty where all is known.
    """

    title: str
    source: Source
    evaluation: Evaluation
    rows: list[Row]
    answers: list[Answer]
    parts: list[Part]
    compared: list[Table]
    candidates: list[Candidate]
    faulty: list[Faulty]
    entries: list[Entry]
    sheet: list[Worked]
    doubtful: list[Table] = field(default_factory=list)
    doubt_words: str = ""
    lines: list[Line] = field(default_factory=list)
    cautions: tuple[str, ...] = CAUTIONS
    assumptions: tuple[str, ...] = words.ASSUMPTIONS
    sources: tuple[str, ...] = words.SOURCES
    file: str = field(default="")
    first: First | None = None
    wall: dict[str, Any] = field(default_factory=dict)

    @property
    def materials(self) -> Table:
        """What the named materials were taken to be."""
        return materials(self.evaluation.design)

    @property
    def counts(self) -> tuple[int, int, int, int]:
        """How many limits hold, fail, were not checked, and depend on what is not known."""
        found = status.counts(self.rows)
        return found["pass"], found["FAIL"], found["not checked"], found["depends"]


LEADS = {
    "gap": ("Gap between the yokes", "Whether they touch, at which speed and angle, and what takes the gap."),
    "shaking": ("Shaking and vibration", "What the moving parts do to the case, before and after counterweights."),
    "weights": ("Counterweights", "The parts to cut, and what holds them."),
    "shafts": (
        "Shafts and bearings",
        "How the shafts bend, what their bearings carry, how safe they are, and where they whirl.",
    ),
    "motion": ("Motion, gas and torque", "What moves, what drives it, and how evenly it turns."),
    "measured": ("Measured on the machine", "What was found, beside what is drawn, and which of them was worked with."),
}
"""Title and first line of each part, in the order of the page."""

BELONGS = {
    "gap": ("contact", "gap", "budget", "builds", "gains", "clearances"),
    "shaking": (
        "shaking",
        "orders",
        "vibration",
        "vibration_causes",
        "standing",
        "feet",
        "bench_orders",
        "resonances",
        "avoid",
        "mount_needed",
        "grade",
        "slips",
    ),
    "weights": ("counterweights", "trims", "screws", "drilled_holes", "weight_rooms", "trade_off", "complete_balance"),
    "measured": ("measured", "braked"),
    "motion": ("strokes", "cylinder", "stop", "gas", "torques", "evenness", "inertias", "flywheel", "joints"),
}
"""Which tables belong to which part; all others belong to the shafts."""

HIDDEN = ("course", "gains")  # gains are bars here


def content(
    title: str, evaluation: Evaluation, source: Source = Source(), candidates: list[Candidate | Faulty] | None = None
) -> Content:
    """Return the report on a design, compared with others if there are any.

    What is not known of it and what to do first may take longer than all else, which is made where they leave a
    processor idle, and after them by both.
    """
    rows, good = verdict_of(evaluation), [each for each in candidates or [] if isinstance(each, Candidate)]
    with ahead(lambda made: made(), pieces(evaluation, rows), patient=True) as rest:
        with begun(evaluation):
            outcome = under_doubt(evaluation, rows)
        first = first_of(evaluation, outcome)
        wall, (searched, drawn), *tables, sheet = rest()
    faulty = [each for each in candidates or [] if isinstance(each, Faulty)]
    compared = lines(good, _shared_limits(good)) if len(good) + len(faulty) > 1 and good else []
    return Content(
        title,
        source,
        evaluation,
        outcome.rows,
        answers(evaluation, outcome.rows),
        parts([*chain(*tables, searched)], drawn),
        side_by_side(good, compared, faulty) if compared else [],
        good,
        faulty,
        entries(evaluation.design, source.path, source.option),
        sheet,
        [doubt.for_people(table) for table in doubt.tables(outcome)],
        doubt.taken_words(evaluation.design),
        compared,
        file="" if source.path is None else source.path.name,
        first=first,
        wall=wall,
    )


def pieces(evaluation: Evaluation, rows: list[Row]) -> list[Callable[[], Any]]:
    """Return what makes the pieces of a report that wait for nothing.

    The first one has numbers to the last bit, which is another one after other work: whoever is first makes it. Then
    what takes longest.
    """
    return [lambda: first_sheet(evaluation, rows), lambda: searched_tables(evaluation),
            *[partial(tables, evaluation) for tables in (balance_tables, deep_tables, shaft_tables)],
            lambda: worked_sheet(evaluation)]  # fmt: skip


def searched_tables(evaluation: Evaluation) -> tuple[list[Table], list[Plot]]:
    """Return the tables that take their time, and the pictures, one of which shows one of those."""
    tables = searching_tables(evaluation)
    return tables, plots(evaluation, next((each for each in tables if each.key == "gains"), None))


def worked_sheet(evaluation: Evaluation) -> list[Worked]:
    """Return the worked sheet of a design."""
    from designs.pages.sheet import formulas, work  # loads algebra, which takes longer than to use it

    return [work(each) for each in formulas(evaluation)]


def _shared_limits(candidates: list[Candidate]) -> tuple[str, ...]:
    """Return the limits that every design has: figures of tables would cost each of them all of its tables."""
    return (
        tuple(key for key in candidates[0].limits if all(key in each.limits for each in candidates))
        if candidates
        else ()
    )


def parts(tables: list[Table], drawn: list[Plot]) -> list[Part]:
    """Return the parts that have something to say."""
    tables = [each for each in tables if each.rows and each.key not in HIDDEN]
    found = []
    for key, (title, lead) in LEADS.items():
        own = [each for each in tables if part_of(each) == key]
        seen = [each for each in drawn if each.part == key]
        if own or seen:
            found.append(Part(key, title, lead, seen, own))
    return found


def part_of(table: Table) -> str:
    """Return the part that a table belongs to."""
    return next((part for part, keys in BELONGS.items() if table.key in keys), "shafts")
