"""Quantities and definitions: what a number means, and classes that check what they are told.

Every number in a definition is in SI and bears its unit as an annotation that a program can read:
the file reader, the schema and the checks below all follow from it. A field may hold one number or,
for many options at once, an array of shape (options,); nothing else differs between the two.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import MISSING, Field, dataclass, field, fields, is_dataclass
from functools import cache
from typing import Annotated, Any, TypeVar, cast, dataclass_transform, get_args

import numpy as np

from balance.errors import BadDesign, Complaint
from balance.members import settled_members
from balance.options import unlike_counts
from balance.values import settled

Scalar = float | np.ndarray
"""One number, or one for each option."""


@dataclass(frozen=True, slots=True)
class Unit:
    """The SI unit of a number ("" for a bare number)."""

    si: str


@dataclass(frozen=True, slots=True)
class Bound:
    """The range that a number must lie in; an open bound excludes its own value."""

    least: float = -np.inf
    most: float = np.inf
    open: bool = False

    def holds(self, value: Scalar) -> np.ndarray:
        """Return, for each option, whether the value lies in the range (NaN never does)."""
        value = np.asarray(value)
        if self.open:
            return (value > self.least) & (value < self.most)
        return (value >= self.least) & (value <= self.most)

    def __str__(self) -> str:
        words = ("more than", "less than") if self.open else ("at least", "at most")
        parts = [
            f"{word} {limit:g}"
            for word, limit in zip(words, (self.least, self.most), strict=True)
            if np.isfinite(limit)
        ]
        return " and ".join(parts) or "a finite number"


@dataclass(frozen=True, slots=True)
class Most:
    """How many a file may name of something: more than any real machine has, few enough to be worked out at once."""

    count: int


@dataclass(frozen=True, slots=True)
class Typical:
    """What a number usually is where nobody knows it, in SI: as often below `usual` as above it, hardly ever outside.

    name : what people call it.   reason : why, with its source or 'common practice, no source'.
    measure : how to find it at the bench, in one line.
    of : fields of the same definition that the three numbers are multiplied with, as a share of a length.
    alike : whether all such entries of a machine are alike, as the seats in one plate; else each is its own.
    """

    low: float
    usual: float
    high: float
    name: str
    reason: str
    measure: str
    of: tuple[str, ...] = ()
    alike: bool = True


class Beside:
    """Marks a field that stands beside the numbers of a design and that no file gives."""


Positive = Bound(least=0.0, open=True)
NotNegative = Bound(least=0.0)

Number = Annotated[Scalar, Unit("")]
Length = Annotated[Scalar, Unit("m")]
Area = Annotated[Scalar, Unit("m^2")]
Volume = Annotated[Scalar, Unit("m^3")]
Mass = Annotated[Scalar, Unit("kg")]
Density = Annotated[Scalar, Unit("kg/m^3")]
Inertia = Annotated[Scalar, Unit("kg m^2")]
Angle = Annotated[Scalar, Unit("rad")]
Speed = Annotated[Scalar, Unit("rad/s")]
Velocity = Annotated[Scalar, Unit("m/s")]
Acceleration = Annotated[Scalar, Unit("m/s^2")]
Force = Annotated[Scalar, Unit("N")]
Torque = Annotated[Scalar, Unit("N m")]
Power = Annotated[Scalar, Unit("W")]
Pressure = Annotated[Scalar, Unit("Pa")]
PressureVelocity = Annotated[Scalar, Unit("Pa m/s")]
Temperature = Annotated[Scalar, Unit("K")]
Expansion = Annotated[Scalar, Unit("1/K")]
Stiffness = Annotated[Scalar, Unit("N/m")]
TiltStiffness = Annotated[Scalar, Unit("N m/rad")]
Time = Annotated[Scalar, Unit("s")]

Definition = TypeVar("Definition", bound=type)


@dataclass_transform(frozen_default=True, kw_only_default=True, eq_default=False, field_specifiers=(field,))
def definition(cls: Definition) -> Definition:
    """Make a class a definition: frozen, named fields only, checked as it is made.

    A definition may have a method `disagreements()` that yields a Complaint for each pair of
    fields that do not fit together; fields by themselves are settled by `balance.values` and checked by their bounds.
    """
    made: Any = cls
    made.__post_init__ = _refuse_if_wrong
    made.__repr__ = _short
    return cast(Definition, dataclass(frozen=True, eq=False, repr=False, kw_only=True)(made))


@dataclass_transform(frozen_default=True, eq_default=False, field_specifiers=(field,))
def result(cls: Definition) -> Definition:
    """Make a class a result: frozen, and shown in short, its arrays by their shape and range."""
    made: Any = cls
    made.__repr__ = _in_short
    return cast(Definition, dataclass(frozen=True, eq=False, repr=False)(made))


def _short(self: Any) -> str:
    """Return a definition as it would be written: only what is not as if it were left out."""
    given = ((each.name, getattr(self, each.name)) for each in fields(self) if not _left_out(self, each))
    return f"{type(self).__name__}({', '.join(f'{name}={_shown(value)}' for name, value in given)})"


def _left_out(self: Any, of: Field) -> bool:
    value, default = getattr(self, of.name), of.default
    if of.default_factory is not MISSING:
        return bool(value == of.default_factory())
    return value is default or (type(value) is float and value == default)


def _in_short(self: Any) -> str:
    """Return a result in one line: what it holds, and of other results their names alone."""
    held = ((each.name, getattr(self, each.name)) for each in fields(self))
    return f"{type(self).__name__}({', '.join(f'{name}={_brief(value)}' for name, value in held)})"


def _brief(value: Any) -> str:
    if is_dataclass(value) and not isinstance(value, type):
        return f"{type(value).__name__}(...)"
    if isinstance(value, dict):
        return f"{{{_first_few(f'{key!r}: {_brief(each)}' for key, each in value.items())}}}"
    if isinstance(value, tuple | list):
        return f"[{_first_few(map(_brief, value))}]"
    return _shown(value) if isinstance(value, np.ndarray | float | str) else f"{value!r:.40}"


def _first_few(words: Iterable[str], most: int = 6) -> str:
    listed = list(words)
    return ", ".join(listed[:most] + ["..."] * (len(listed) > most))


def _shown(value: Any) -> str:
    if not isinstance(value, np.ndarray):
        return f"{value:g}" if isinstance(value, float) else repr(value)
    if value.ndim == 0:
        return f"{value.item():g}" if value.dtype.kind in "iuf" else repr(value.item())
    numbers = f" from {np.min(value):g} to {np.max(value):g}" if value.size and value.dtype.kind in "iuf" else ""
    return f"<{' x '.join(map(str, value.shape))}{numbers}>"


def _refuse_if_wrong(self: Any) -> None:
    changed, wrong = settled(type(self), vars(self))
    members, unfit = settled_members(type(self), vars(self))
    wrong += unfit
    for name, value in (changed | members).items():
        object.__setattr__(self, name, value)
    wrong = wrong or list(out_of_range(type(self), vars(self)))
    wrong = wrong or list(unlike_counts(self))
    if not wrong and hasattr(self, "disagreements"):
        wrong = list(self.disagreements())
    if wrong:
        raise BadDesign(*wrong)


def out_of_range(cls: type, values: dict[str, Any]) -> Iterator[Complaint]:
    """Yield a complaint for each number in `values` that is not finite or breaks its bound."""
    for name, unit, bound in _rules(cls):
        if name in values:
            yield from _check_number(values[name], unit, bound, (name,))


@cache
def _rules(cls: type) -> tuple[tuple[str, str, Bound], ...]:
    """Return (field, SI unit, bound) of every field that holds numbers; looked up once for each class."""
    marks = ((each.name, mark(each.type, Unit), mark(each.type, Bound)) for each in fields(cls))
    return tuple((name, unit.si if unit else "", bound or Bound()) for name, unit, bound in marks if unit or bound)


def _check_number(value: Any, unit: str, bound: Bound, where: tuple[str, ...]) -> Iterator[Complaint]:
    if type(value) is float and bound.least < value < bound.most:
        return  # as nearly all are
    if isinstance(value, tuple):
        for index, each in enumerate(value):
            yield from _check_number(each, unit, bound, (*where, str(index)))
    if isinstance(value, dict):
        for name, each in value.items():
            yield from _check_number(each, unit, bound, (*where, name))
    if isinstance(value, bool) or not isinstance(value, int | float | np.ndarray):
        return
    wrong = ~(np.isfinite(value) & bound.holds(value))
    if np.any(wrong):
        if unit == "rad":  # as people say it
            value, unit = np.degrees(value), "deg"
            bound = Bound(np.degrees(bound.least), np.degrees(bound.most), bound.open)
        yield Complaint(where, f"{_first(value, wrong)} {unit}".strip(), f"{bound} {unit}".strip())


def _first(value: Scalar, wrong: np.ndarray) -> str:
    if np.ndim(value) == 0:
        return f"{float(value):g}"
    option = int(np.argmax(wrong))
    return f"{np.asarray(value)[option]:g} (option {option})"


def mark(annotation: Any, kind: type) -> Any:
    """Return the mark of this kind that an annotation, or a part of it, carries; else None."""
    for each in getattr(annotation, "__metadata__", ()):
        if isinstance(each, kind):
            return each
    parts = get_args(annotation)
    return next((inner for each in parts if (inner := mark(each, kind)) is not None), None)


def over_angle(value: Scalar) -> np.ndarray:
    """Return a number of shape (options...) as (options..., 1), ready to meet the angle axis."""
    return np.asarray(value, dtype=float)[..., None]


def side_by_side(values: Sequence[Scalar]) -> np.ndarray:
    """Return numbers of shape (options...) as one array (options..., count)."""
    try:
        array = np.array(values, dtype=float)
        return array if array.ndim < 2 else np.moveaxis(array, 0, -1)
    except ValueError:  # single numbers among arrays
        return np.stack(np.broadcast_arrays(*(np.asarray(value, dtype=float) for value in values)), axis=-1)
