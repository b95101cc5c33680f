"""What a single value of a file says: numbers with units, whole numbers, words, yes and no."""

import re
from collections.abc import Iterable
from typing import Any, get_args

from balance.doubt.ranges import Range
from balance.evidence.estimate import Estimate
from designs.reading.complaints import alike, quote
from designs.reading.doubtful import number_of, reading_of
from designs.reading.expected import expected
from designs.reading.nodes import LINE_BREAKS, Leaf, Node, shown
from designs.reading.shapes import Choice, Flag, Quantity, Reading, Shape, Whole, Words
from designs.reading.units import BadQuantity
from shafts.iso_286 import HoleClass, ShaftClass

FAILED = object()
"""Stands for a value that could not be read; a complaint has been noted."""

FLAGS = {"true": True, "yes": True, "false": False, "no": False}
CLASSES = {*get_args(ShaftClass), *get_args(HoleClass)}
_WHOLE = re.compile(r"[+-]?[0-9]{1,9}")


class BadLeaf(ValueError):
    """A value that does not say what is wanted; `word` and `known` serve to find the nearest right one."""

    def __init__(self, read: str, allowed: str, word: str = "", known: Iterable[str] = ()):
        super().__init__(read, allowed, word, known)
        self.read, self.allowed, self.word, self.known = read, allowed, word, known


def leaf_value(shape: Shape, node: Node) -> Any:
    """Return what a leaf says where this shape is wanted, a Range for a doubtful number; raises BadLeaf."""
    if not isinstance(node, Leaf) or node.is_nothing:
        raise BadLeaf(shown(node), expected(shape))
    text = node.value
    match shape:
        case Quantity():
            return _quantity(shape, text)
        case Reading():
            return _reading(shape, text)
        case Whole():
            return _whole(shape, text)
        case Flag() if text.lower() in FLAGS:
            return FLAGS[text.lower()]
        case Choice():
            return _choice(shape, text)
        case Words():
            return LINE_BREAKS.sub(" ", text.strip())
    raise BadLeaf(shown(node), expected(shape, text))


def _quantity(shape: Quantity, text: str) -> float | Range:
    try:
        return number_of(text, shape)
    except BadQuantity as error:
        raise BadLeaf(error.read, error.allowed) from None


def _reading(shape: Reading, text: str) -> Estimate:
    try:
        return reading_of(text, Quantity(shape.si, shape.bound))
    except BadQuantity as error:
        raise BadLeaf(error.read, error.allowed) from None


def _whole(shape: Whole, text: str) -> int:
    if not _WHOLE.fullmatch(text):
        raise BadLeaf(quote(text), expected(shape))
    if not shape.bound.holds(int(text)):
        raise BadLeaf(quote(text), f"a whole number, {shape.bound}")
    return int(text)


def _choice(shape: Choice, text: str) -> Any:
    words = {str(each): each for each in shape.values}
    if text in words:
        return words[text]
    same = next(alike(text.lower(), [each.lower() for each in words]), None)
    if same is None or text in CLASSES:  # h7 is a shaft, H7 a hole: there the size of a letter says something
        raise BadLeaf(quote(text), expected(shape), text, list(words))
    return next(value for word, value in words.items() if word.lower() == same)
