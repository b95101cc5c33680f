"""What `check` shows of a design on one screen: what fails, the worst first, and the three best changes."""

import re
from collections.abc import Callable, Iterable, Sequence

import click
import numpy as np

from designs.command import screen
from designs.counsel.advice import Counsel, entries_words, from_to, nearer_words
from designs.counsel.dial import Pieces, Work, pieces
from designs.counsel.effects import Effects, effects
from designs.counsel.plan import Plan, Step, work_of
from designs.shown import RPM, file_words
from designs.tables.verdict import amount
from designs.verdict.row import Row, names_of, worst_first

SHOWN = 7  # limits that have a line of their own; those that are nearer to passing share one
LINES = 2  # of a change, or of what shares them
_TAKEN = re.compile(r"; taken for [^)]*")  # which --all tells
HELD = "With these every limit that could be checked holds."


def failing(rows: Sequence[Row]) -> None:
    """Write a line for each limit that fails, the worst first; the last ones together."""
    _rows(f"What fails, the worst first ({len(rows)}):", worst_first(rows), _at)


def hanging(rows: Sequence[Row]) -> None:
    """Write a line for each limit that hangs on what is not known."""
    heading = f"What depends on what is not known ({len(rows)}), and in how many machines it holds:"
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
        said = more(row, screen.NARROW - 3 - len(line))
        click.echo(f"{line}  {said}".rstrip())
        if " and " in row.where and row.where not in said:  # two parts without their names say nothing
            click.echo(screen.wrapped(f"    {row.where}", "    "))
    if rest := ordered[len(shown) :]:
        click.echo(_rest([row.key for row in rest]))


def _rest(keys: Sequence[str]) -> str:
    """Return the limits nearer to passing in two lines, the last ones by their number where there is no room."""
    ways = (_named(f"  and {len(keys)} nearer to passing", keys, count) for count in range(len(keys), 0, -1))
    said = (screen.wrapped(each, "  ") for each in ways)
    return next(each for each in said if each.count("\n") < LINES)


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
    said = f"in {row.doubt.held}" + " looked at" * bool(row.doubt.note)
    first = f"{said}; on {row.doubt.turns[0].name}" if row.doubt.turns else said
    return first if len(first) <= width else said


NO_BEST = (
    "No change that was tried brings all of it nearer at once: --all says what comes nearest for each limit, and "
    "`quietcrank mend` looks for several."
)


def best(counsel: Counsel) -> None:
    """Write the changes that are worth the most, in order, each with what it does upon those before it."""
    before = counsel.base
    if counsel.stuck:
        click.echo(screen.wrapped(stuck_words(counsel), "  "))
    if not counsel.best:
        click.echo(screen.wrapped(NO_BEST))
        return
    click.echo("What to change, in this order; each was tried with those before it:")
    written = []
    for number, plan in enumerate(counsel.best, start=1):
        click.echo(_change(number, before, plan))
        written.append(f"{number}.{screen.NO_BREAK}{entries_words(before.trial.design, *_steps(before, plan))}")
        before = plan
    click.echo(screen.wrapped(f"In the file: {'; '.join(written)}.", "  "))
    click.echo(screen.wrapped(left_words(counsel)))


def left_words(counsel: Counsel) -> str:
    """Return what the best changes leave open."""
    if not counsel.left:
        return HELD
    fails = counsel.last.trial.outright
    hangs = [key for key in counsel.left if key not in fails]
    left = ["1 limit still fails" if len(fails) == 1 else f"{len(fails)} limits still fail"] * bool(fails)
    who = f"{len(hangs)} more" if fails else f"no limit fails, but {names_of(hangs)}"
    left += [f"{who} {'depends' if len(hangs) == 1 else 'depend'} on what is not known"] * bool(hangs)
    return f"Then {' and '.join(left)}: check again, or run `quietcrank mend`."


def stuck_words(counsel: Counsel) -> str:
    """Return which limits stay without which it does not turn, whatever was tried."""
    rows = [counsel.base.trial.row(key) for key in counsel.stuck]
    named = [f"{row.name} ({row.where or row.what})" for row in rows if row is not None]
    return f"Cannot be put together or turned, and no choice that was tried mends it: {'; '.join(named)}."


def _change(number: int, before: Plan, plan: Plan) -> str:
    """Return a change in two lines if it can be said in two; what it costs and does not break is left out first."""
    steps, done = _steps(before, plan), effects(before.trial, plan.trial, "")
    what = f"{number}. {', '.join(f'{step.dial.name} {from_to(step)}' for step in steps)}"
    short = ", ".join(f"{step.dial.name} to {_TAKEN.sub('', file_words(step.level.shown))}" for step in steps)
    where_to, all_work = f"{number}. {short}", work_of(steps)
    work = all_work.words
    gain = "" if done.fixed or done.open else nearer_words(before, plan)
    harm = f"but then fails: {names_of(done.broken)}" if done.broken else ""
    ways: Iterable[tuple[str, ...]] = (
        (what, gain, _gains(done), harm, done.cost, done.power, work),
        (what, gain, _gains(done), harm, work),
        (what, gain, _gains(done, 2), harm, work),
        (what, gain, _gains(done, 1), harm, work),
        (what, gain, _gains(done, 1), harm, _in_short(all_work)),
        (where_to, gain, _gains(done, 1), harm, _in_short(all_work)),
    )
    said = [screen.wrapped("; ".join(filter(None, each)), "   ") for each in ways]
    return next((each for each in said if each.count("\n") < LINES), said[-1])


def _steps(before: Plan, plan: Plan) -> tuple[Step, ...]:
    """Return the changes of a line."""
    return plan.steps[len(before.steps) :]


def _in_short(work: Work) -> str:
    """Return what is to be made and bought with the first of each named, and how many pieces more."""
    kinds = (("make", work.make), ("buy", work.buy))
    return "; ".join(f"{verb} {_first(parts)}" for verb, parts in kinds if parts)


def _first(parts: Pieces) -> str:
    more = sum(count for _, count in parts[1:])
    return pieces(*parts[0]) + (f" and {more} more piece{'s' * (more > 1)}" if more else "")


def _gains(done: Effects, most: int | None = None) -> str:
    """Return which limits come to hold, the first of them by name."""
    ways = ("then holds", done.fixed), ("then fails no more, as far as looked at", done.open)
    return "; ".join(_named(words, keys, most) for words, keys in ways if keys)


def _named(words: str, keys: Sequence[str], most: int | None = None) -> str:
    """Return words and the limits that they speak of, the first of them by name."""
    rest = len(keys) - (most or len(keys))
    return f"{words}: {names_of(keys[:most])}{f' and {rest} more' if rest > 0 else ''}"
