"""Every entry of a design as a field of the page: its text, what may stand there, and how far a slider goes."""

import math
import re
from dataclasses import dataclass
from typing import Any

from balance.machine.materials import MATERIALS, Material
from designs.live.draft import Draft, Keys
from designs.pages.stated import Entry
from designs.reading.shapes import Choice, Flag, Named, Optional, Record, Shape, Whole, shape_of, shorthand_of
from designs.reading.units import NUMBER, value_of

_QUANTITY = re.compile(rf"({NUMBER})( ?)(.*)", re.ASCII)
_NUMBER = re.compile(NUMBER, re.ASCII)
REACH, FINE = 0.5, 0.1  # of a value, that a slider goes to either side; of a large length or angle
SIZES = {"mm": 3.0, "deg": 15.0}
"""Units in which a tenth of a value is much once it is more than this."""
FROM_ZERO = {"deg": 90.0, "mm": 5.0, "um": 50.0, "g": 20.0}
"""How far a slider goes from zero, by unit; elsewhere there is none."""
FINENESS = 200  # steps of a slider, at least


@dataclass(frozen=True)
class Slider:
    """How far an entry may be slid, in its own unit."""

    low: float
    high: float
    step: float
    decimals: int
    unit: str


@dataclass(frozen=True)
class Field:
    """One entry as a field.

    given : whether the file says it.   was : its text on disk.   words : what may be chosen, if not everything may.
    """

    keys: Keys
    text: str
    was: str
    given: bool
    source: str
    meaning: str
    words: tuple[str, ...] = ()
    slider: Slider | None = None

    @property
    def data(self) -> dict[str, Any]:
        """The field as plain data for the page."""
        slide = self.slider and [self.slider.low, self.slider.high, self.slider.step, self.slider.decimals]
        return {
            "keys": list(self.keys), "text": self.text, "was": self.was, "given": self.given, "source": self.source,
            "meaning": self.meaning, "words": list(self.words), "slide": slide,
            "unit": self.slider.unit if self.slider else "",
        }  # fmt: skip


def fields_of(draft: Draft, disk: Draft) -> list[Field]:
    """Return every entry of a draft that is a design, in the order of the file."""
    before = disk.values
    order = {name: place for place, name in enumerate(draft.tree.entries if draft.tree else ())}
    found = [_field(each, before.get(each.keys, "")) for each in draft.entries]
    return sorted((each for each in found if each is not None), key=lambda each: order.get(each.keys[0], len(order)))


def _field(entry: Entry, was: str) -> Field | None:
    given = entry.source.startswith("line") or entry.source == "stated"
    words = _words(shape_of(entry.kind))
    return Field(
        entry.keys, entry.value, was, given, entry.source, entry.meaning, words, None if words else slider(was, entry)
    )


def _words(shape: Shape) -> tuple[str, ...]:
    """Return what may be chosen where a shape is wanted; none where it is a number or a text."""
    match shape:
        case Optional():
            inner = _words(shape.item)
            return (*inner, "none") if inner else ()
        case Choice() if len(shape.values) > 1:
            return tuple(map(str, shape.values))
        case Flag():
            return ("yes", "no")
        case Record(cls) if cls is Material:
            return tuple(MATERIALS)
    return ()


def slider(was: str, entry: Entry) -> Slider | None:
    """Return how far an entry may be slid: about what stands on disk, so that it stays put as one slides."""
    here, about = _QUANTITY.fullmatch(entry.value), _QUANTITY.fullmatch(was)
    about = about if about and here and about[3] == here[3] else here
    if not here or not about or len(here[3].split()) > 3 or any(each.isdigit() for each in here[3].split()):
        return None
    now, middle, unit = float(value_of(here[1])), float(value_of(about[1])), here[3]
    span = max(abs(middle) * FINE, min(abs(middle) * REACH, SIZES.get(unit, math.inf))) or FROM_ZERO.get(unit, 0.0)
    if not span or not math.isfinite(span):
        return None
    whole = isinstance(_number_shape(shape_of(entry.kind)), Whole)
    step = 1.0 if whole else 10.0 ** math.floor(math.log10(2 * span / FINENESS))
    low, high = (step * round(each / step) for each in (min(now, middle - span), max(now, middle + span)))
    decimals = 0 if whole else max(0, -math.floor(math.log10(step)), _decimals(here[1]))
    return Slider(round(low, 12), round(high, 12), min(step, 10.0**-decimals), decimals, unit)


def _decimals(number: str) -> int:
    return 0 if "/" in number else len(number.lower().partition("e")[0].partition(".")[2])


def _number_shape(shape: Shape) -> Shape:
    match shape:
        case Optional() | Named():
            return _number_shape(shape.item)
        case Record(cls) if (short := shorthand_of(cls)) is not None:
            return _number_shape(short.shape)
    return shape


def with_unit(text: str, before: str) -> str:
    """Return what is typed, a number alone with the unit that stood there before."""
    text, stood = text.strip(), _QUANTITY.fullmatch(before)
    if _NUMBER.fullmatch(text) and stood and stood[3] and len(stood[3].split()) == 1:
        return f"{text} {stood[3]}"
    return text
