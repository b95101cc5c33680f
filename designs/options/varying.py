"""What a search varies: entries of a design file, and the values that each may take.

shafts.segments.*.diameter=5 mm,6 mm,8 mm       these values
cranks.throws.outer.radius=10 mm..14 mm         a range
cranks.throws.outer.radius=10 mm..14 mm in 9    a range, of which a grid takes 9 even steps
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from balance.errors import BadDesign, Complaint
from balance.many import legal, options_of, planted
from designs.changing.edit import checked
from designs.design import Design
from designs.reading.changes import found_at
from designs.reading.complaints import quote
from designs.reading.shapes import (
    Quantity,
    Whole,
)
from designs.reading.source import Entries, Leaf
from designs.reading.targets import targets
from designs.reading.units import NUMBER, BadQuantity, quantity
from designs.stock import balls, stock_with

GROUPS = {"shaft": "shafts.segments.*.diameter"}
"""Names of sizes that must agree: what is varied under that name; all else moves with it."""
STEPS = 5  # even steps of a range in a grid, unless the range says how many
DIGITS = 6  # significant digits of a number that a search picks: what it finds can be written down
_RANGE = re.compile(r"(.+?)\.\.(.+?)(?:\s+in\s+(\d{1,6}))?")
_NUMBER = re.compile(rf"\s*{NUMBER}")


class BadSearchError(ValueError):
    """A search that cannot be made: what was read, and what would have been accepted."""

    def __init__(self, read: str, allowed: str):
        super().__init__(read, allowed)
        self.read, self.allowed = read, allowed

    def __str__(self) -> str:
        return f"read {self.read}; allowed: {self.allowed}"


@dataclass(frozen=True, eq=False)
class Variation:
    """One entry, or several alike, that takes many values.

    text : as the caller wrote it.   path : key path in the file.   targets : key paths in the definition.
    unit : as written in the values, which are numbers in it; `factor`, `offset` make them SI.
    values : those listed; for a range its two ends.   steps : of a range in a grid; None for a list.
    group : whether it is the shafts' diameter, with which bearings, hubs and webs move.
    """

    text: str
    path: str
    targets: tuple[tuple[str, ...], ...]
    unit: str
    factor: float
    offset: float
    values: tuple[float, ...]
    steps: int | None
    whole: bool
    group: bool = False

    @property
    def even(self) -> np.ndarray:
        """Values in a grid, in the written unit."""
        return np.array(self.values) if self.steps is None else self.at(np.linspace(0.0, 1.0, self.steps))

    def at(self, share: np.ndarray) -> np.ndarray:
        """Return the values, in the written unit, at shares from 0 to 1 of a list or a range."""
        if self.steps is None:
            return np.array(self.values)[np.minimum((share * len(self.values)).astype(int), len(self.values) - 1)]
        least, most = self.values
        value = least + share * (most - least)
        return np.round(value) if self.whole else significant(value)

    def si(self, value: np.ndarray) -> np.ndarray:
        """Return values in the written unit as SI."""
        return value * self.factor + self.offset

    def written(self, value: float) -> str:
        """Return a value in the written unit as a file says it."""
        return f"{np.format_float_positional(value, trim='-')} {self.unit}".strip()

    @cached_property
    def heading(self) -> str:
        """Path and unit, for a table."""
        return f"{self.path} ({self.unit})" if self.unit else self.path


def significant(value: np.ndarray, digits: int = DIGITS) -> np.ndarray:
    """Return numbers rounded to significant digits."""
    size = np.floor(np.log10(np.where(value == 0, 1.0, np.abs(value))))
    scale = 10.0 ** (digits - 1 - size)
    return np.round(value * scale) / scale


def variation(text: str, tree: Entries, design: Design, any_size: bool = False) -> Variation:
    """Return the variation that a text such as "limits.gap=0.1 mm..0.3 mm" describes; raises BadSearchError.

    tree, design : the design that is varied; the entry must be written in it, with a number.
    any_size : whether shafts may have sizes that nobody sells, on bearings that stay as they are.
    """
    path, sign, values = (part.strip() for part in text.partition("="))
    path = GROUPS.get(path, path)
    if not sign or not path or not values:
        raise BadSearchError(quote(text), "PATH=VALUE,VALUE,... or PATH=VALUE..VALUE")
    leaves = list(found_at(tree, path))
    if not leaves or not all(isinstance(leaf, Leaf) for leaf in leaves):
        allowed = "the path of an entry that the file gives a number, e.g. cranks.throws.inner.radius; * stands for all"
        raise BadSearchError(quote(path), allowed)
    meant = tuple(targets(design, path.split(".")))
    shapes = {shape for _, shape in meant}
    if len(shapes) != 1:
        raise BadSearchError(quote(path), "entries that are all the same kind of number")
    shape = shapes.pop()
    if shape is None:
        raise BadSearchError(f"{quote(path)}, which is no number", "the path of a number")
    parsed = _with_values(text, path, tuple(keys for keys, _ in meant), shape, values)
    if any_size:
        return parsed
    return _grouped(parsed, design) if _is_shaft(parsed, design) else _in_stock(parsed, design)


def _is_shaft(parsed: Variation, design: Design) -> bool:
    """Whether the shafts are varied where their ball bearings sit."""
    shaft = design.shafts
    every = {("shafts", "segments", str(n), "diameter") for n in range(len(shaft.segments))}
    return every <= set(parsed.targets) and all(each.ball is not None for each in shaft.bearings)


def _in_stock(parsed: Variation, design: Design) -> Variation:
    """Return a range that says no number of steps in the sizes of it that are in stock, where its entry is bought."""
    sold = {size for keys in parsed.targets for size in _sold(keys, design)}
    least, most = (float(parsed.si(np.array(each))) for each in (parsed.values[0], parsed.values[-1]))
    inside = sorted(each for each in sold if least - 1e-9 <= each <= most + 1e-9)
    if parsed.steps is None or re.search(r"\sin\s+\d+\s*$", parsed.text) or not inside:
        return parsed
    values = tuple(float(significant(np.array((each - parsed.offset) / parsed.factor), 12)) for each in inside)
    return replace(parsed, values=values, steps=None)


def _sold(keys: tuple[str, ...], design: Design) -> Iterator[float]:
    """Yield the sizes, m, in which what stands at keys is sold; none where it is made to any size."""
    stock, gears, weights = stock_with(design.stock), design.cranks.gears, design.counterweights
    if keys[:2] == ("cranks", "throws") and keys[-2:] == ("pin", "diameter"):
        yield from map(float, stock.pins or ())
    elif keys[:2] == ("cranks", "webs") and keys[-1] == "width":
        yield from map(float, stock.flats or ())
    elif keys == ("counterweights", "thickness") and weights is not None:
        yield from map(float, (stock.plates or {}).get(weights.material.name, ()))
    elif keys == ("cranks", "gears", "face") and gears is not None:
        sizes = (each for each in stock.gears or () if np.isclose(float(each.module), float(gears.module)))
        yield from (float(face) for each in sizes for face in each.faces)


def _grouped(parsed: Variation, design: Design) -> Variation:
    """Return the same in sizes for which there are shafts and bearings, which then move together."""
    stock = stock_with(design.stock)
    bores = {float(each.bore) for each in balls(stock)}
    sizes = sorted(bore for bore in bores if any(np.isclose(bore, float(each)) for each in stock.shafts or ()))
    listed = [float(each) for each in parsed.si(np.array(parsed.values))]
    if parsed.steps is not None:
        chosen = [each for each in sizes if listed[0] - 1e-9 <= each <= listed[1] + 1e-9]
    else:
        chosen = [each for each in listed if any(np.isclose(each, size) for size in sizes)]
    if not chosen or (parsed.steps is None and len(chosen) < len(listed)):
        known = ", ".join(f"{each * 1e3:g} mm" for each in sizes)
        raise BadSearchError(f"{parsed.path}: {parsed.text.partition('=')[2]}", f"{known}; or any, with --any-size")
    values = tuple(float(significant(np.array((each - parsed.offset) / parsed.factor), 12)) for each in chosen)
    return replace(parsed, values=values, steps=None, group=True)


def _with_values(
    text: str, path: str, targets: tuple[tuple[str, ...], ...], shape: Quantity | Whole, values: str
) -> Variation:
    match = _RANGE.fullmatch(values)
    words = [match[1], match[2]] if match else values.split(",")
    si = shape.si if isinstance(shape, Quantity) else ""
    try:
        numbers = [quantity(word, si) for word in words]
    except BadQuantity as error:
        raise BadSearchError(f"{path}: {error.read}", error.allowed) from None
    if isinstance(shape, Whole) and any(number != round(number) for number in numbers):
        raise BadSearchError(f"{path}: {values}", "whole numbers")
    if match and not numbers[0] < numbers[1]:
        raise BadSearchError(f"{path}: {values}", "a range from the smaller to the larger value")
    unit = _NUMBER.sub("", words[-1], count=1).strip()
    factor, offset = _scale(unit, si)
    # In the unit written with the last value, so that the numbers stay as round as they are in the file.
    written = tuple(float(significant(np.array((number - offset) / factor), 12)) for number in numbers)
    steps = (int(match[3]) if match[3] else STEPS) if match else None
    if steps is not None and steps < 2:
        raise BadSearchError(f"{path}: {values}", "a range in 2 steps or more")
    return Variation(text, path, targets, unit, factor, offset, written, steps, isinstance(shape, Whole))


def _scale(unit: str, si: str) -> tuple[float, float]:
    zero, one = (quantity(f"{number} {unit}".strip(), si) for number in ("0", "1"))
    return (one, 0.0) if zero == 0 else (one - zero, zero)


def _one_axis(path: str, values: ArrayLike) -> np.ndarray:
    """Return values as an array (options,) that nobody changes; raises BadDesign for what is none."""
    allowed = "one axis of numbers in SI, of one value or more"
    try:
        numbers = np.array(values)
    except ValueError:  # rows of unlike length
        raise BadDesign(Complaint((path,), "values of no common shape", allowed)) from None
    if numbers.ndim != 1 or not len(numbers):
        raise BadDesign(Complaint((path,), f"values of shape {numbers.shape}", allowed))
    if numbers.dtype.kind not in "iuf":
        raise BadDesign(Complaint((path,), f"{numbers.tolist()[0]!r:.40}", allowed))
    numbers = numbers.astype(float)
    numbers.flags.writeable = False
    return numbers


def varied(design: Design, path: str, values: ArrayLike) -> Design:
    """Return a design with many values at one entry, to be evaluated all at once.

    path : as in `options:`, e.g. "shafts.segments.*.diameter"; `*` stands for all.   values : SI, (options,).
    Raises BadDesign for a path that leads to no number, for values that are no numbers or of another shape, and with
    the first value that is not allowed.
    """
    if not isinstance(design, Design):
        raise BadDesign(Complaint((), f"a {type(design).__name__}", "a Design, as `read` returns it"))
    entries = list(targets(design, str(path).split(".")))
    paths = tuple(keys for keys, _ in entries)
    if not entries or any(shape is None for _, shape in entries):
        raise BadDesign(Complaint((), quote(str(path)), "the path of an entry that has a number, as in options:"))
    numbers = _one_axis(path, values)
    if options_of(design) not in (None, len(numbers)):
        read = f"{len(numbers)} values beside entries of {options_of(design)}"
        raise BadDesign(Complaint((path,), read, "as many values at each entry that varies"))
    made = planted(design, paths, numbers)
    fine = legal(made, len(numbers))
    if not np.all(fine):
        first = float(numbers[np.argmin(fine)])
        checked(planted(design, paths, first))  # says what is wrong with it
        raise BadDesign(Complaint((path,), f"{first:g}", "a value that the rest of the design bears"))
    return made
