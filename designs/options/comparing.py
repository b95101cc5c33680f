"""Designs and redesigns side by side: what each changes, what comes of it, and which limits fail."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import chain, count
from pathlib import Path

import numpy as np

from balance.errors import BadDesign
from designs import status
from designs.counsel.advised import judge_under_doubt
from designs.counsel.trial import Trial
from designs.doubt import DRAWS, SURE, Outcome
from designs.evaluate import Evaluation, evaluate_finely
from designs.options.figures import TABLE_FIGURES, NoFigureError, of_tables, usual
from designs.reading import BadFile, changes, design_of
from designs.reading.complaints import alike, fold, listed, quote
from designs.reading.source import Entries, Leaf, Node, read_file
from designs.verdict.figure import Figure, of_limits
from designs.verdict.row import Row, name_of, names_of

UNSAID = "(left out)"


@dataclass(frozen=True)
class Change:
    """One entry that differs: its key path, and what stands there before and after."""

    path: str
    old: str
    new: str


@dataclass(frozen=True, eq=False)
class Candidate:
    """A design that is compared.   changes : against the design that it is a redesign of, or the first one."""

    name: str
    path: Path
    changes: tuple[Change, ...]
    evaluation: Evaluation
    outcome: Outcome

    @property
    def rows(self) -> list[Row]:
        """Every limit, with what hangs on what is not known."""
        return self.outcome.rows

    @cached_property
    def limits(self) -> dict[str, Figure]:
        """A figure for each limit."""
        return of_limits(self.rows)

    def figure(self, key: str) -> Figure:
        """Return a figure by its key; raises NoFigureError."""
        if key in self.limits:
            return self.limits[key]
        known = usual(self.evaluation, key) if key in TABLE_FIGURES else None
        try:
            return known or of_tables(self.evaluation, key)
        except NoFigureError as error:
            raise NoFigureError(key, [*self.limits, *error.known]) from None

    @cached_property
    def trial(self) -> Trial:
        """It on trial: how far it is from passing."""
        return Trial(self.evaluation.design, self.rows)

    def failing(self) -> list[str]:
        """Return in words what each failing limit was looked at on."""
        return [row.what for row in self.rows if row.state == "FAIL"]

    def depending(self) -> list[str]:
        """Return in words what each limit that hangs on something unknown was looked at on."""
        return [row.what for row in self.rows if row.state == "depends"]

    @property
    def looked_at(self) -> set[str]:
        """The limits that it was looked at on in full, wherever they were looked at."""
        open_ = {row.key for row in self.rows if row.state == "not checked"}
        return {row.key for row in self.rows} - open_

    def unchecked(self) -> list[str]:
        """Return the limits whose inputs were left out."""
        return [row.key for row in self.rows if row.left_out]

    @property
    def status(self) -> int:
        """The status of its verdict."""
        return status.of_verdict(self.rows)

    @property
    def holds(self) -> bool:
        """Whether every limit that could be checked holds."""
        return self.status in (status.HOLDS, status.NOT_ALL_CHECKED)

    @property
    def passes(self) -> bool:
        """Whether nothing fails and all that was asked for was looked at."""
        return self.status == status.HOLDS


@dataclass(frozen=True)
class Faulty:
    """A design that could not be read or worked out, and why."""

    name: str
    path: Path
    why: str


def gather(
    paths: list[Path], only: tuple[str, ...] = (), allow_above: bool = False, sure: float = SURE
) -> list[Candidate | Faulty]:
    """Return each file's design, followed by its redesigns: those named in `only`, or all of them.

    sure : share of the machines that each may be in which a limit must hold.
    What is wrong with one of them does not keep the others from being compared.
    """
    candidates: list[Candidate | Faulty] = []
    trees: dict[Path, Entries] = {}
    for path in paths:
        try:
            trees[path] = read_file(path)
        except BadFile as error:
            candidates.append(Faulty(path.name, path, str(error)))
            continue
        candidates += _of_file(path, trees[path], next(iter(trees.values())), only, allow_above, sure)
    known = {name for tree in trees.values() for name in _option_names(tree)}
    if trees:
        candidates += [_unknown(name, known) for name in only if next(alike(name, known), None) is None]
    return _told_apart(candidates)


def _option_names(tree: Entries) -> tuple[str, ...]:
    try:
        return changes.names(tree)
    except BadFile:
        return ()  # the reading of the design itself says what is wrong with them


def _unknown(name: str, known: set[str]) -> Faulty:
    return Faulty(name, Path(), f"no option {quote(name)}; there are: {listed(sorted(known)) or 'none'}")


def _of_file(
    path: Path, tree: Entries, first: Entries, only: tuple[str, ...], allow_above: bool, sure: float
) -> Iterator[Candidate | Faulty]:
    yield _candidate(path, tree, None, first, allow_above, sure)
    for name in _option_names(tree):
        if not only or next(alike(name, only), None) is not None:
            yield _candidate(path, tree, name, tree, allow_above, sure)


def _candidate(
    path: Path, tree: Entries, option: str | None, against: Entries, allow_above: bool, sure: float
) -> Candidate | Faulty:
    try:
        new = tree if option is None else changes.changed(tree, option)
        design = design_of(new, path, allow_above)
    except BadFile as error:
        return Faulty(option or path.name, path, str(error))
    name = option or design.title
    evaluation = evaluate_finely(design)
    try:
        outcome = judge_under_doubt(evaluation, sure, few=DRAWS)  # as many of each, to pair them
        return Candidate(name, path, tuple(differences(against, new)), evaluation, outcome)
    except (BadDesign, ArithmeticError, np.linalg.LinAlgError) as error:
        return Faulty(name, path, f"{path}: {name}: {error}")


def _told_apart(candidates: list[Candidate | Faulty]) -> list[Candidate | Faulty]:
    """Add the file's name, and then a number, to names that would otherwise come twice."""
    taken: set[str] = set()
    result = []
    for each in candidates:
        names = chain([each.name, f"{each.name} [{each.path.name}]"], (f"{each.name} ({n})" for n in count(2)))
        name = next(name for name in names if name not in taken)
        taken.add(name)
        result.append(replace(each, name=name))
    return result


def differences(one: Node, other: Node) -> Iterator[Change]:
    """Yield what stands otherwise in another tree, entry by entry; what options say is left out."""
    before, after = dict(_leaves(one)), dict(_leaves(other))
    before, after = _gathered(before, after), _gathered(after, before)
    for key in dict.fromkeys((*before, *after)):
        old, new = before.get(key, UNSAID), after.get(key, UNSAID)
        if " ".join(old.split()) != " ".join(new.split()):
            yield Change(".".join(key), old, new)


def _gathered(leaves: dict[tuple[str, ...], str], other: dict[tuple[str, ...], str]) -> dict[tuple[str, ...], str]:
    """Return entries with those below what is a single value in the other tree as one, as a file says them."""
    found: dict[tuple[str, ...], dict[str, str]] = {}
    for key, value in leaves.items():
        above = next((key[:n] for n in range(1, len(key)) if key[:n] in other), key)
        found.setdefault(above, {})[".".join(key[len(above) :])] = value
    return {key: _as_one(below) for key, below in found.items()}


def _as_one(below: dict[str, str]) -> str:
    """Return what stands below a key: a single value, a list, or entries."""
    if all(key.isdecimal() for key in below):
        return f"[{', '.join(below.values())}]"
    return below[""] if "" in below else f"{{{', '.join(f'{key}: {value}' for key, value in below.items())}}}"


def _leaves(node: Node, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], str]]:
    if isinstance(node, Leaf):
        yield path, str(node.value)
        return
    inner = node.entries if isinstance(node, Entries) else {str(n): each for n, each in enumerate(node.items)}
    for name, each in inner.items():
        if (*path, fold(name)) not in ((changes.OPTIONS,), ("title",)):
            yield from _leaves(each, (*path, fold(name)))


UNLOOKED = 0.5  # of a limit that fails: what one that could not be checked counts against a design


def ranked(candidates: list[Candidate]) -> list[Candidate]:
    """Return designs from the one that is nearest to holding every limit, and surest of it, to the farthest.

    Each failing limit counts one and by how much it fails, each that depends one, and each that could not be checked,
    or was looked at on other designs alone, a half; among equals the one with the most to spare where it is tightest
    comes first.
    """
    return sorted(candidates, key=lambda each: (round(_distance(each, candidates), 6), -_least_margin(each)))


def _distance(candidate: Candidate, others: list[Candidate]) -> float:
    unlooked = {*candidate.trial.unchecked, *_unlooked(candidate, others)}
    return candidate.trial.shortfall + UNLOOKED * len(unlooked)


def conclusion(candidates: list[Candidate]) -> str:
    """Return in sentences which design is recommended, how it stands, which comes next, and what is traded."""
    best, *others = ranked(candidates)
    if not others:
        return f"{best.name}: {_standing(best)}."
    said = [f"Recommended: {best.name}; it {_standing(best)}.", f"Next: {others[0].name}; it {_standing(others[0])}."]
    if _keys(best, "FAIL"):
        said[0] = f"{NONE} The nearest is {best.name}; it still {_standing(best)}."
    return " ".join([*said, _trade(best, others[0])]).strip()


NONE = "None of these can be built as it stands: each fails a limit."


def _standing(candidate: Candidate) -> str:
    """Return in words how a design stands: what fails, what was not looked at, where it is tightest."""
    trial = candidate.trial
    fails, depends = (_keys(candidate, state) for state in ("FAIL", "depends"))
    words = "holds every limit that could be checked"
    if fails:
        words = f"fails {len(fails)}: {_named(fails)}"
    if depends:
        hangs = f"{len(depends)} depends" if len(depends) == 1 else f"{len(depends)} depend"
        words = f"{words if fails else 'fails none'}, {hangs} on what is not known: {_named(depends)}"
    unchecked = status.counts(candidate.rows)["not checked"]
    words += f", {unchecked} not checked" if unchecked else ""
    key, share = _tightest(candidate)
    return words + (f", tightest by {share * 100:.0f} percent ({key})" if key and not trial.failing else "")


def _trade(best: Candidate, other: Candidate) -> str:
    """Return in which limit the next one is better by the most and in which it is worse, as shares of the limit."""
    changes = {key: _felt(other.limits.get(key)) - _felt(best.limits[key]) for key in best.limits}
    changes = {key: change for key, change in changes.items() if np.isfinite(change) and _differ(best, other, key)}
    better, worse = max(changes, key=changes.__getitem__, default=""), min(changes, key=changes.__getitem__, default="")
    said = []
    for word, key, gains in (("better", better, 1.0), ("worse", worse, -1.0)):
        if key and changes[key] * gains > FELT:
            said.append(f"{word} in {name_of(key)} ({_amounts(best, other, key)})")
    return f"Against {best.name} the next is {' but '.join(said)}." if said else ""


def _felt(figure: Figure | None) -> float:
    """Return a margin as far as it is worth anything; NaN where there is none. Against zero a row is held or not."""
    if figure is None or figure.margin is None:
        return np.nan
    return float(np.clip(float(figure.margin), -TOLD, TOLD if np.any(np.asarray(figure.limit) != 0) else 0.0))


TOLD = 3.0  # of the limit: beyond it more margin is no gain to anyone
FELT = 0.02  # of the limit: a difference that is worth a word


def _differ(best: Candidate, other: Candidate, key: str) -> bool:
    """Return whether two designs differ in a figure as it is written: a margin may differ by the limit alone."""
    return len({each.limits[key].text(each.limits[key].value) for each in (best, other)}) > 1


def _amounts(best: Candidate, other: Candidate, key: str) -> str:
    figures = [each.limits[key] for each in (other, best)]
    first, second = (each.text(each.value) for each in figures)
    return f"{first} against {second} {figures[0].shown[0]}".strip()


def _keys(candidate: Candidate, state: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(row.key for row in candidate.rows if row.state == state))


def _named(keys: tuple[str, ...]) -> str:
    return names_of(keys)


def _unlooked(candidate: Candidate, others: list[Candidate]) -> set[str]:
    """Return the limits that another design was looked at on and this one was not, so that it cannot win by them."""
    return set().union(*(each.looked_at for each in others)) - candidate.looked_at


def _tightest(candidate: Candidate) -> tuple[str, float]:
    """Return the limit of least margin, in words, and that margin.

    A row against zero is held or not, and has none; nor has what is made to fit exactly, as a hole at its least edge.
    """
    margins = {figure.what: float(figure.margin) for figure in candidate.limits.values()
               if figure.margin and np.any(np.asarray(figure.limit) != 0)}  # fmt: skip
    return min(margins.items(), key=lambda item: item[1], default=("", 0.0))


def _least_margin(candidate: Candidate) -> float:
    return _tightest(candidate)[1]
