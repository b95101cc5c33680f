"""What to do first: the changes that are worth the most, each tried upon those before it, with what it brings."""

from dataclasses import dataclass
from html import escape

from designs.counsel.advice import amount_of
from designs.counsel.advised import counsel_of
from designs.counsel.effects import brought_nearer, effects
from designs.counsel.plan import Plan
from designs.evaluate import Evaluation
from designs.pages.limits import said, sorted_rows, used
from designs.pages.svg import tag
from designs.tables.verdict import amount
from designs.verdict.row import Row

TOLD = 2  # limits that a change is told by


@dataclass(frozen=True)
class Change:
    """A change in words: what, from what to what, the work it makes, and what it brings."""

    what: str
    now: str
    then: str
    work: str
    brings: tuple[str, ...]


def best(evaluation: Evaluation) -> list[Change]:
    """Return the best changes to a design that fails, in the order in which to make them; each has been tried."""
    counsel = counsel_of(evaluation)
    found, before = [], counsel.base
    for plan in counsel.best:
        step = plan.steps[-1]
        work = step.level.work.words
        found.append(Change(step.dial.name, step.dial.now, step.level.shown, work, _brought(before, plan)))
        before = plan
    return found


def _brought(before: Plan, after: Plan) -> tuple[str, ...]:
    """Return what a change does to limits: those that then hold, else the failing one that it brings nearest."""
    done = effects(before.trial, after.trial, "")
    nearer = brought_nearer(before.trial, after.trial)
    keys = [*done.fixed, *done.open] or [nearer] * bool(nearer)
    brought = [_from_to(key, before, after) for key in keys[:TOLD]]
    more = (
        [f"and {len(keys) - TOLD} more then {'hold' if len(keys) > TOLD + 1 else 'holds'}"] if len(keys) > TOLD else []
    )
    broken = [f"but {key.replace('_', ' ')} then fails" for key in done.broken]
    return tuple(filter(None, (*brought, *more, *broken, done.cost)))


def _from_to(key: str, before: Plan, after: Plan) -> str:
    """Return what a limit comes from and to; nothing where it is no longer asked for."""
    figures = [each.trial.figures.get(key) for each in (before, after)]
    if any(each is None or each.value is None for each in figures):
        return ""
    old, new = (said(amount_of(each)) for each in figures if each is not None)
    return f"{key.replace('_', ' ')} {old} → {new}{'' if key not in after.trial.failing else ', still fails'}"


def best_changes(evaluation: Evaluation, rows: list[Row]) -> str:
    """Return what to do first as a list, HTML: changes if a limit fails, else what to find out or to give."""
    if any(row.state == "FAIL" for row in rows):
        return _changes(evaluation)
    open_ = [row for row in rows if row.state == "depends"] or [
        row for row in rows if row.state == "not checked" and row.asked
    ]
    if not open_:
        return tag("p", "Nothing: every limit that was asked for holds. Those nearest to it:") + _nearest(rows)
    items = "".join(
        tag("li", tag("b", escape(row.what)) + tag("span", escape(row.words.replace("`", "")), kind="work"))
        for row in open_[:3]
    )
    return tag("ol", items, kind="changes")


def _nearest(rows: list[Row]) -> str:
    """Return the limits of which most is used."""
    known = [(used(row) or 0.0, row) for row in sorted_rows(rows) if row.state == "pass" and used(row) is not None]
    items = "".join(
        tag("li", tag("b", escape(row.what)) + tag("span", escape(
            f"{said(amount(row, row.value))}, {said(amount(row, row.limit))} "
            f"{'allowed' if row.sense == 'at most' else 'asked for'}: {share:.0%} used"), kind="work"))
        for share, row in known[:3]
    )  # fmt: skip
    return tag("ul", items, kind="changes")


def _changes(evaluation: Evaluation) -> str:
    found = best(evaluation)
    if not found:
        return tag("p", "Nothing that was tried, of what can be bought or made, brings it nearer.", kind="none")
    items = "".join(_item(each) for each in found)
    counsel = counsel_of(evaluation)
    base, last = counsel.base.trial, counsel.best[-1].trial
    still = len(last.failing)
    held = len([key for key in base.failing if key not in last.failing])
    rest = (
        "Then none fails."
        if not still
        else f"Then {held} of {len(base.failing)} kinds of limit that failed do so no more."
    )
    more = " `quietcrank mend` looks for a whole way out." if still else ""
    words = f"Each was tried, upon those before it. {rest}{more}".replace("`", "")
    return tag("ol", items, kind="changes") + tag("p", escape(words), kind="note")


def _item(change: Change) -> str:
    title = tag(
        "b", escape(f"{change.what[:1].upper()}{change.what[1:]}: {change.now} → {change.then}".replace("-", "\u2212"))
    )
    work = tag("span", escape(change.work), kind="work")
    brings = "".join(tag("span", escape(each), kind="brings") for each in change.brings)
    return tag("li", title + work + brings)
