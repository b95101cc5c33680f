"""What `check` shows of a design on one screen: what fails, the worst first, and the three best changes."""

import re
from collections.abc import Callable, Iterable, Sequence

import click
import numpy as np

from designs.changing.edit import text, unit_at
from designs.command import screen
from designs.counsel.advice import Counsel, from_to, nearer_words
from designs.counsel.effects import Effects, effects
from designs.counsel.plan import Plan, Step
from designs.design import Design
from designs.shown import RPM
from designs.tables.verdict import amount
from designs.verdict.row import Row, names_of, worst_first

SHOWN = 7  # limits that have a line of their own; those that are nearer to passing share one
ENTRIES = 130  # characters; a change with more entries than that is not spelled out on one screen
LINES = 2  # of a change
HELD = "With these every limit that could be checked holds."


def failing(rows: Sequence[Row]) -> None:
    """Write a line for each limit that fails, the worst first; the last ones together."""
    _rows(f"What fails, the worst first ({len(rows)}):", worst_first(rows), _at)


def hanging(rows: Sequence[Row]) -> None:
    """Write a line for each limit that hangs on what is not known."""
    heading = f"What depends on what is not known ({len(rows)}), and in how many of 100 machines:"
    _rows(heading, sorted(rows, key=lambda row: 1.0 if row.doubt is None else row.doubt.share), _holds)


def _rows(heading: str, ordered: Sequence[Row], more: Callable[[Row, int], str]) -> None:
    if not ordered:
        return
    click.echo(heading)
    shown = ordered if len(ordered) <= SHOWN + 1 else ordered[:SHOWN]
    cells = [(each.name, amount(each, each.value), _asked(each)) for each in shown]
    widths = [max(map(len, column)) for column in zip(*cells, strict=True)]
    for row, (name, value, asked) in zip(shown, cells, strict=True):
        line = f"  {name:{widths[0]}}  {value:>{widths[1]}}  {asked:{widths[2]}}"
        click.echo(f"{line}  {more(row, screen.NARROW - 3 - len(line))}".rstrip())
    if rest := ordered[len(shown) :]:
        click.echo(screen.wrapped(f"  and {len(rest)} nearer to passing: {names_of(row.key for row in rest)}", "  "))


def _asked(row: Row) -> str:
    """Return the limit, without the unit that the value before it has already."""
    limit = amount(row, row.limit)
    unit = amount(row, row.value).partition(" ")[2]
    return f"{row.sense} {limit.removesuffix(unit).strip() if unit else limit}"


def _at(row: Row, width: int) -> str:
    """Return at which speed a limit is worst, and of which part, as far as there is room; --all has all of it."""
    speed = "" if row.speed is None or np.isinf(float(row.speed)) else f"{float(np.asarray(row.speed)) * RPM:.0f} rpm"
    ways = ", ".join(filter(None, (speed, row.where))), row.where, speed
    return next((each for each in ways if each and len(each) <= width), "")


def _holds(row: Row, width: int) -> str:
    """Return in how many of all machines a limit holds."""
    if row.doubt is None:
        return ""
    said = f"holds in {100 * row.doubt.share:.0f}"
    first = f"{said}; on {row.doubt.turns[0].name}" if row.doubt.turns else said
    return first if len(first) <= width else said


def best(counsel: Counsel) -> None:
    """Write the changes that are worth the most, in order, each with what it does upon those before it."""
    before = counsel.base
    if not counsel.best:
        click.echo("No single change of what can be bought brings it nearer; `quietcrank mend`\nlooks for several.")
        return
    click.echo("What to change, in this order; each was tried with those before it:")
    written = []
    for number, plan in enumerate(counsel.best, start=1):
        click.echo(_change(number, before, plan))
        written.append(f"{number}.{screen.NO_BREAK}{entries(before.trial.design, plan.steps[-1])}")
        before = plan
    click.echo(screen.wrapped(f"In the file: {'; '.join(written)}.", "  "))
    left = len(before.trial.failing)
    many = f"{left} limits still fail" if left > 1 else "1 limit still fails"
    click.echo(f"Then {many}: check again, or run `quietcrank mend`." if left else HELD)


def _change(number: int, before: Plan, plan: Plan) -> str:
    """Return a change in two lines if it can be said in two; what it costs and does not break is left out first."""
    step, done = plan.steps[-1], effects(before.trial, plan.trial, "")
    what = f"{number}. {step.dial.name} {from_to(step)}"
    work = step.level.work.words
    gain = "" if done.fixed or done.open else nearer_words(before, plan)
    harm = f"but then fails: {names_of(done.broken)}" if done.broken else ""
    ways: Iterable[tuple[str, ...]] = (
        (what, gain, _gains(done), harm, done.cost, work),
        (what, gain, _gains(done), harm, work),
        (what, gain, _gains(done, 2), harm, work),
        (what, gain, _gains(done, 1), harm, work),
    )
    said = [screen.wrapped("; ".join(filter(None, each)), "   ") for each in ways]
    return next((each for each in said if each.count("\n") < LINES), said[-1])


def _gains(done: Effects, most: int | None = None) -> str:
    """Return which limits come to hold, the first of them by name."""

    def named(words: str, keys: tuple[str, ...]) -> str:
        rest = len(keys) - (most or len(keys))
        return f"{words}: {names_of(keys[:most])}{f' and {rest} more' if rest > 0 else ''}" if keys else ""

    return "; ".join(
        filter(None, (named("then holds", done.fixed), named("then fails no more, as far as looked at", done.open)))
    )


def entries(before: Design, step: Step) -> str:
    """Return what a change is in the file: each entry with its new value; those alike of several parts as one."""
    values = {edit.path: text(edit.value, unit_at(before, edit.keys)) for edit in step.level.edits(before)}
    found: dict[str, str] = {}
    for path, value in values.items():
        pattern = next((each for each in step.dial.paths if _fits(path, each)), path)
        alike = {other for key, other in values.items() if _fits(key, pattern)}
        found[pattern if len(alike) == 1 else path] = value
    said = ", ".join(f"{path}: {value}" for path, value in found.items())
    return said if len(said) <= ENTRIES else f"{', '.join(step.dial.paths)} (--all)"


def _fits(path: str, pattern: str) -> bool:
    return re.fullmatch(re.escape(pattern).replace(r"\*", r"[^.]+"), path) is not None
