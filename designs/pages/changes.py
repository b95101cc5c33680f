"""What to do first: the changes that are worth the most, each tried upon those before it, with what it brings."""

import re
from dataclasses import dataclass
from html import escape
from itertools import pairwise

from designs.counsel.advice import Counsel, amount_of, still_words
from designs.counsel.advised import counsel_of, heed
from designs.counsel.dial import COUNTERWEIGHT, Work
from designs.counsel.effects import brought_nearer, effects
from designs.counsel.plan import Plan, work_of
from designs.doubt import Outcome
from designs.evaluate import Evaluation
from designs.pages.limits import said
from designs.pages.svg import tag
from designs.shown import file_words
from designs.tables.verdict import amount
from designs.verdict.row import Row, name_of, used, worst_first

TOLD = 2  # limits that a change is told by
NONE_LEFT = "Then none fails."
WHERE = "what to do first"


@dataclass(frozen=True)
class Change:
    """A change: the work it makes; in words what it brings, and what it takes.

    steps : what goes from what to what: a piece may change in several ways at once.
    """

    steps: tuple[tuple[str, str, str], ...]
    work: Work
    brings: tuple[str, ...]
    takes: tuple[str, ...]


@dataclass(frozen=True)
class First:
    """The best changes to a design that fails, in the order in which to make them; each has been tried.

    helped : what all of them make of each limit that fails, in words, by its key.
    failed, cured, broken : how many kinds of limit fail before them, hold after them, and only then fail or depend.
    """

    changes: tuple[Change, ...]
    helped: dict[str, str]
    failed: int
    cured: int
    broken: int

    @property
    def left(self) -> int:
        """How many kinds of limit fail after them."""
        return self.failed - self.cured + self.broken


def first_of(evaluation: Evaluation, outcome: Outcome) -> First | None:
    """Return what to do first; None for a design of which no limit fails."""
    if not any(row.state == "FAIL" for row in outcome.rows):
        return None
    heed(evaluation, outcome)
    return first_changes(counsel_of(evaluation))


def first_changes(counsel: Counsel) -> First:
    """Return what to do first to a design that fails, in words."""
    base, plans = counsel.base, counsel.best
    changes = tuple(_change(before, plan) for before, plan in pairwise([base, *plans]))
    helped = {key: words for key in base.trial.failing if (words := _helped(key, base, plans))}
    before, after = set(base.trial.failing), set(counsel.left)
    return First(changes, helped, len(before), len(before - after), len(after - before))


def _change(before: Plan, plan: Plan) -> Change:
    steps = plan.steps[len(before.steps) :]
    changed = tuple((step.dial.name, step.dial.now, step.level.shown) for step in steps)
    return Change(changed, work_of(steps), *_brought(before, plan))


def _helped(key: str, base: Plan, plans: list[Plan]) -> str:
    """Return what a limit comes to with all changes; with no more of them than it takes to let it hold."""
    fails = [key in each.trial.failing for each in plans]
    count = len(plans) - fails[::-1].index(True) + 1 if any(fails) else 1
    enough = count <= len(plans)
    last = plans[count - 1] if enough else (plans or [base])[-1]
    if not enough and not (plans and last.trial.short(key) < base.trial.short(key)):
        return ""
    figure = last.trial.figures.get(key)
    value = "" if figure is None or figure.value is None else f": {said(amount_of(figure))}"
    which = {1: "change 1", 2: "changes 1 and 2"}.get(min(count, len(plans)), f"changes 1 to {len(plans)}")
    if not enough:
        return f"With {which} of {WHERE}{value}, {still_words(last.trial, key)}."
    return f"With {which} of {WHERE}{value}, {'fails no more' if key in last.trial.unchecked else 'holds'}."


def _brought(before: Plan, after: Plan) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return what a change does to limits: those that then hold, else the failing one that it brings nearest.

    And what it takes: limits that then fail, and what holds by less.
    """
    done = effects(before.trial, after.trial, "")
    nearer = brought_nearer(before.trial, after.trial)
    keys = [*done.fixed, *done.open] or [nearer] * bool(nearer)
    brought = [_from_to(key, before, after) for key in keys[:TOLD]]
    more = (
        [f"and {len(keys) - TOLD} more then {'hold' if len(keys) > TOLD + 1 else 'holds'}"] if len(keys) > TOLD else []
    )
    broken = [f"but {name_of(key)} then fails" for key in done.broken]
    return tuple(filter(None, (*brought, *more))), tuple(filter(None, (*broken, done.cost, done.power)))


def _from_to(key: str, before: Plan, after: Plan) -> str:
    """Return what a limit comes from and to; nothing where it is no longer asked for."""
    figures = [each.trial.figures.get(key) for each in (before, after)]
    if any(each is None or each.value is None for each in figures):
        return ""
    old, new = (said(amount_of(each)) for each in figures if each is not None)
    return ", ".join(filter(None, (f"{name_of(key)} {old} → {new}", still_words(after.trial, key))))


def in_a_line(first: First | None) -> str:
    """Return which changes to make first, and what they make of the gap; nothing where there are none."""
    if first is None or not first.changes:
        return ""
    named = [" and ".join(what for what, _, _ in change.steps) for change in first.changes]
    listed = "; ".join(f"{number}. {words}" for number, words in enumerate(named, start=1))
    gap = first.helped.get("gap", "").replace(f" of {WHERE}", "").replace("With", "The gap with", 1)
    return f"{listed}. {gap}".strip()


def others_words(first: First | None) -> str:
    """Return that changes make other counterweights than those drawn; nothing where none does."""
    changes = enumerate(() if first is None else first.changes, start=1)
    numbers = [str(number) for number, change in changes if COUNTERWEIGHT in dict(change.work.make)]
    if not numbers:
        return ""
    named = f"change {numbers[0]} makes" if len(numbers) == 1 else f"changes {' and '.join(numbers)} make"
    return f"as it stands: {named} other ones"


def best_changes(first: First | None, rows: list[Row]) -> str:
    """Return what to do first as a list, HTML: changes if a limit fails, else what to find out or to give."""
    if first is not None:
        return _changes(first, {row.key for row in rows if row.state == "FAIL"})
    open_ = [row for row in rows if row.state == "depends"] or [row for row in rows if row.left_out]
    if not open_:
        return tag("p", "Nothing: every limit that was asked for holds. Those nearest to it:") + _nearest(rows)
    items = "".join(
        tag("li", tag("b", escape(row.what)) + tag("span", escape(row.words.replace("`", "")), kind="work"))
        for row in open_[:3]
    )
    return tag("ol", items, kind="changes")


def _nearest(rows: list[Row]) -> str:
    """Return the limits of which most is used, without what is made to fit exactly, as a hole at its least edge."""
    known = [(share, row) for row in worst_first(rows)
             if row.state == "pass" and (share := used(row)) is not None and share != 1]  # fmt: skip
    items = "".join(
        tag("li", tag("b", escape(row.what)) + tag("span", escape(
            f"{said(amount(row, row.value))}, {said(amount(row, row.limit))} "
            f"{'allowed' if row.sense == 'at most' else 'asked for'}: {share:.0%} used"), kind="work"))
        for share, row in known[:3]
    )  # fmt: skip
    return tag("ul", items, kind="changes")


def _changes(first: First, failing: set[str]) -> str:
    if not first.changes:
        return tag("p", "Nothing that was tried, of what can be bought or made, brings it nearer.", kind="none")
    failed = "failed" if first.failed <= len(failing) else "failed or depended on what is not known"
    broken = f"; {first.broken} that held no longer {'do' if first.broken > 1 else 'does'}" * bool(first.broken)
    cured = f"Then {first.cured} of {first.failed} kinds of limit that {failed} do so no more{broken}."
    rest = cured if first.left else NONE_LEFT
    more = " quietcrank mend looks for a whole way out." if first.left else ""
    words = f"Each was tried, upon those before it. {rest}{more}"
    items = "".join(_item(each) for each in first.changes)
    return tag("ol", items, kind="changes") + tag("p", escape(words), kind="note")


def _as_read(words: str) -> str:
    """Return values as a file says them as people read them."""
    return re.sub(r"\bum\b", "µm", file_words(words)).replace("-", "\u2212")


def _item(change: Change) -> str:
    words = "; ".join(f"{what}: {now} → {then}" for what, now, then in change.steps)
    title = tag("b", escape(_as_read(f"{words[:1].upper()}{words[1:]}")))
    work = tag("span", escape(change.work.words), kind="work")
    brings = "".join(tag("span", escape(each), kind="brings") for each in change.brings)
    takes = "".join(tag("span", escape(each), kind="brings takes") for each in change.takes)
    return tag("li", title + work + brings + takes)
