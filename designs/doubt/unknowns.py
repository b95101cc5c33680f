"""The unknowns of a design: entries that are one and the same thing share one."""

from dataclasses import dataclass

import numpy as np

from balance.doubt.ranges import Range
from balance.many import planted
from designs.design import Design

Path = tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Unknown:
    """One thing that is not known, and every entry that it decides, each with its own range."""

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
        return self.range.name if self.range.alike else f"{self.range.name} ({self.paths})"

    @property
    def ends(self) -> tuple[float, float]:
        """The shares of machines at both stated ends."""
        return self.range.ends


def unknowns_of(design: Design) -> list[Unknown]:
    """Return the unknowns of a design, in the order of its ranges."""
    found: dict[object, list[tuple[Path, Range]]] = {}
    for path, each in design.doubts.items():
        found.setdefault(each.alike or path, []).append((path, each))
    return [Unknown(tuple(entries)) for entries in found.values()]


def machines(design: Design, unknowns: list[Unknown], shares: np.ndarray) -> Design:
    """Return the design as many machines at once; shares (unknowns, machines) say where in its range each is."""
    for unknown, share in zip(unknowns, shares, strict=True):
        for path, each in unknown.entries:
            design = planted(design, (path,), each.at(share))
    return design
