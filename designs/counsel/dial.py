"""One free choice of a design: what it is, the stock values that it may take, and what work each of them makes."""

from collections.abc import Callable
from dataclasses import dataclass, field

from designs.changing.edit import Edit, Keys, edited
from designs.design import Design

COUNTERWEIGHT = "counterweight"  # as a piece of work
Pieces = tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Work:
    """What a change costs a maker.   make, buy : parts and how many of each."""

    make: Pieces = ()
    buy: Pieces = ()

    def __add__(self, other: "Work") -> "Work":
        return Work(_union(self.make, other.make), _union(self.buy, other.buy))

    def shares(self, other: "Work") -> bool:
        """Whether some piece of it is made, or bought, for other work too."""
        return any(not one.isdisjoint(two) for one, two in zip(self._names, other._names, strict=True))

    def within(self, other: "Work") -> bool:
        """Whether it touches parts, and none but those that other work touches, too: perhaps more of them."""
        return self.size != (0, 0) and all(one <= two for one, two in zip(self._names, other._names, strict=True))

    @property
    def _names(self) -> tuple[set[str], set[str]]:
        return {name for name, _ in self.make}, {name for name, _ in self.buy}

    @property
    def size(self) -> tuple[int, int]:
        """Pieces to make anew, then pieces to buy: what is less comes first."""
        return sum(count for _, count in self.make), sum(count for _, count in self.buy)

    @property
    def words(self) -> str:
        """In words, e.g. "make 2 displacer rods; buy 4 bearings"."""
        kinds = (("make", self.make), ("buy", self.buy))
        return "; ".join(f"{verb} {', '.join(pieces(*each) for each in parts)}" for verb, parts in kinds if parts)


MANY = {"foot": "feet"}


def pieces(name: str, count: int) -> str:
    """Return so many of a part in words."""
    if name[-1:].isdigit():
        return f"{count} x {name}"
    head, joint, tail = name.partition(" of ") if " of " in name else name.partition(" on ")
    many = head if count == 1 else MANY.get(head, f"{head}s")
    return f"{count} {many}{joint}{tail}"


def _union(one: Pieces, other: Pieces) -> Pieces:
    """A part that two changes touch is made once."""
    both = dict(one)
    for name, count in other:
        both[name] = max(count, both.get(name, 0))
    return tuple(both.items())


@dataclass(frozen=True, eq=False)
class Level:
    """A stock value of a choice.

    edits : what changes in a design, which may have been changed elsewhere already.   work : what is made and bought.
    shown : its main value in words.
    """

    edits: Callable[[Design], tuple[Edit, ...]]
    shown: str
    work: Work = Work()

    def of(self, design: Design) -> Design:
        """Return a design with this value, unchecked."""
        return edited(design, self.edits(design))


@dataclass(frozen=True, eq=False)
class Dial:
    """A free choice.

    name : of the part.   family : kind of change ("rods").   paths : the entries that it changes.
    now : the value as designed, in words.   levels : other values, the nearest first.
    aims : limits that only the whole verdict looks at, for which it is there: a quick look does not see what it does.
    """

    name: str
    family: str
    paths: tuple[str, ...]
    now: str
    levels: list[Level] = field(default_factory=list)
    aims: tuple[str, ...] = ()


def fixed(*edits: Edit) -> Callable[[Design], tuple[Edit, ...]]:
    """Return edits that do not depend on the rest of the design."""
    return lambda design: edits


def path_of(keys: Keys) -> str:
    """Return keys as one path."""
    return ".".join(keys)
