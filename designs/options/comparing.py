"""Designs and redesigns side by side: what each changes, what comes of it, and which limits fail."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import chain, count
from pathlib import Path

import numpy as np

from balance.errors import BadDesign
from designs import status
from designs.doubt import SURE, Outcome, under_doubt
from designs.evaluate import Evaluation, closely
from designs.options.figures import TABLE_FIGURES, Figure, NoFigureError, of_limits, of_tables, usual
from designs.reading import BadFile, changes, design_of
from designs.reading.complaints import alike, fold, listed, quote
from designs.reading.source import Entries, Leaf, Node, read_file
from designs.verdict import judge
from designs.verdict.row import Row

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
        return [row.key for row in self.rows if row.state == "not checked" and row.asked]

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
    found: list[Candidate | Faulty] = []
    trees: dict[Path, Entries] = {}
    for path in paths:
        try:
            trees[path] = read_file(path)
        except BadFile as error:
            found.append(Faulty(path.name, path, str(error)))
            continue
        found += _of_file(path, trees[path], next(iter(trees.values())), only, allow_above, sure)
    known = {name for tree in trees.values() for name in _option_names(tree)}
    if trees:
        found += [_unknown(name, known) for name in only if next(alike(name, known), None) is None]
    return _told_apart(found)


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
    evaluation = closely(design)
    try:
        outcome = under_doubt(evaluation, judge(evaluation), sure)
        return Candidate(name, path, tuple(differences(against, new)), evaluation, outcome)
    except (BadDesign, ArithmeticError, np.linalg.LinAlgError) as error:
        return Faulty(name, path, f"{path.name}: {name}: {error}")


def _told_apart(found: list[Candidate | Faulty]) -> list[Candidate | Faulty]:
    """Add the file's name, and then a number, to names that would otherwise come twice."""
    taken: set[str] = set()
    result = []
    for each in found:
        names = chain([each.name, f"{each.name} [{each.path.name}]"], (f"{each.name} ({n})" for n in count(2)))
        name = next(name for name in names if name not in taken)
        taken.add(name)
        result.append(replace(each, name=name))
    return result


def differences(one: Node, other: Node) -> Iterator[Change]:
    """Yield what stands otherwise in another tree, entry by entry; what options say is left out."""
    before, after = dict(_leaves(one)), dict(_leaves(other))
    for key in dict.fromkeys((*before, *after)):
        old, new = before.get(key, UNSAID), after.get(key, UNSAID)
        if " ".join(old.split()) != " ".join(new.split()):
            yield Change(".".join(key), old, new)


def _leaves(node: Node, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], str]]:
    if isinstance(node, Leaf):
        yield path, str(node.value)
        return
    inner = node.entries if isinstance(node, Entries) else {str(n): each for n, each in enumerate(node.items)}
    for name, each in inner.items():
        if (*path, fold(name)) not in ((changes.OPTIONS,), ("title",)):
            yield from _leaves(each, (*path, fold(name)))


def conclusion(candidates: list[Candidate]) -> str:
    """Return in a sentence which designs hold every limit, and which of the others comes nearest."""
    holding = [each for each in candidates if each.holds]
    others = [each for each in candidates if not each.holds]
    said = []
    if holding:
        best = min(holding, key=lambda each: (len(_unlooked(each, holding)), -_least_margin(each)))
        said.append(f"Every limit that could be checked holds for: {', '.join(each.name for each in holding)}.")
        key, share = _tightest(best)
        if len(holding) > 1 and key:
            spare = f"{share * 100:.0f} percent ({key})"
            those = (
                "these" if not any(_unlooked(each, holding) for each in holding) else "these, of those looked at most,"
            )
            said.append(f"Of {those} {best.name} has the most to spare where it is tightest: {spare}.")
    if others:
        nearest = min(others, key=lambda each: (_short_of(each, candidates), -_least_margin(each)))
        rest = "Of the rest" if holding else "No design holds every limit; of them all"
        said.append(f"{rest}, {nearest.name} fails the fewest: {len(nearest.failing())}.")
        if depending := len(nearest.depending()):
            said.append(f"{depending} more of its limits depend on what is not known.")
    return " ".join(said)


def _unlooked(candidate: Candidate, others: list[Candidate]) -> set[str]:
    """Return the limits that another design was looked at on and this one was not, so that it cannot win by them."""
    return set().union(*(each.looked_at for each in others)) - candidate.looked_at


def _short_of(candidate: Candidate, candidates: list[Candidate]) -> int:
    """Return how many limits fail, depend, or were looked at on other designs alone."""
    return len(candidate.failing()) + len(candidate.depending()) + len(_unlooked(candidate, candidates))


def _tightest(candidate: Candidate) -> tuple[str, float]:
    """Return the limit of least margin, in words, and that margin; not one that a design meets to the last digit."""
    margins = {figure.what: float(figure.margin) for figure in candidate.limits.values()
               if figure.margin is not None and not (figure.passed and figure.margin == 0)}  # fmt: skip
    return min(margins.items(), key=lambda item: item[1], default=("", 0.0))


def _least_margin(candidate: Candidate) -> float:
    return _tightest(candidate)[1]
