"""The unknowns of a design: entries that are one and the same thing share one."""

from dataclasses import dataclass

import numpy as np

from balance.doubt.ranges import Range
from balance.machine.crank import most_unlike
from balance.many import planted
from designs.design import Design
from designs.reading.taken import clearances, right_of, side_value

Path = tuple[str, ...]
OF_ONE_DRAWING = ("left_phase", "left_radius", "left_length", "left_half_span")
HEIGHT = ".offset.1"  # the number in an outline that is its height: its name says so


@dataclass(frozen=True, eq=False)
class Unknown:
    """One thing that is not known, and every entry that it decides, each with its own range.

    identity : the same in every design that has the same unknown.
    """

    identity: str
    entries: tuple[tuple[Path, Range], ...]

    @property
    def range(self) -> Range:
        """The range of the first entry."""
        return self.entries[0][1]

    @property
    def paths(self) -> str:
        """The key path of the entry, with * where several are alike."""
        every = [path for path, _ in self.entries]
        if any(len(path) != len(every[0]) for path in every):
            return ".".join(every[0])
        return ".".join(keys[0] if len(set(keys)) == 1 else "*" for keys in zip(*every, strict=True))

    @property
    def name(self) -> str:
        """What people call it; with its path where others may be called the same."""
        if not self.range.name:
            return self.paths
        if not self.range.alike:
            return f"{self.range.name} ({self.paths.removesuffix(HEIGHT)})"
        ends = {(each.low, each.high) for _, each in self.entries}
        first = ".".join(self.entries[0][0])
        return self.range.name if len(ends) == 1 else f"{self.range.name} (told of {first}, the others likewise)"

    @property
    def ends(self) -> tuple[float, float]:
        """The shares of machines at both stated ends."""
        return self.range.ends


def unknowns_of(design: Design) -> list[Unknown]:
    """Return the unknowns of a design, in the order of its ranges, each about the number that the design has now.

    A redesign in code may have another number than the file's, or a part less: what is not there is in no doubt.
    """
    by_name: dict[str, list[tuple[Path, Range]]] = {}
    groups = clearances(design)
    for path, each in design.doubts.items():
        try:
            value = side_value(design, path)
        except (AttributeError, KeyError, IndexError):
            continue
        group = groups.get(right_of(path) or path, each)
        now = group if isinstance(value, str | None) else each.about(float(value))
        by_name.setdefault(each.alike or ".".join(path), []).append((path, now))
    return [Unknown(identity, tuple(entries)) for identity, entries in by_name.items()]


def machines(design: Design, unknowns: list[Unknown], shares: np.ndarray) -> Design:
    """Return the design as many machines at once; shares (unknowns, machines) say where in its range each is."""
    for unknown, share in zip(unknowns, shares, strict=True):
        for path, each in unknown.entries:
            design = planted(design, (path,), each.at(share))
    return _of_one_drawing(design, unknowns)


WITHIN = 1 - 1e-9  # of what sides may differ by, so that rounding breaks nothing


def _of_one_drawing(design: Design, unknowns: list[Unknown]) -> Design:
    """Return machines whose left sides are as near to the right ones as any machine's are.

    In a wide range two sides drawn each by itself may lie so far apart that no machine is made of them.
    """
    for path in (path for unknown in unknowns for path, _ in unknown.entries if path[-1] in OF_ONE_DRAWING):
        right = np.asarray(side_value(design, right_of(path) or path))
        off = WITHIN * most_unlike(path[-1], right)
        design = planted(design, (path,), np.clip(side_value(design, path), right - off, right + off))
    return design
