"""What a single value of a file says: numbers with units, whole numbers, words, yes and no."""

import re
from collections.abc import Iterable
from typing import Any

import numpy as np

from designs.reading.complaints import alike, quote
from designs.reading.expected import expected
from designs.reading.shapes import Choice, Flag, Quantity, Shape, Whole, Words
from designs.reading.source import Leaf, Node, shown
from designs.reading.units import BadQuantity, quantity

FAILED = object()
"""Stands for a value that could not be read; a complaint has been noted."""

FLAGS = {"true": True, "yes": True, "false": False, "no": False}
_WHOLE = re.compile(r"[+-]?[0-9]{1,9}")


class BadLeaf(ValueError):
    """A value that does not say what is wanted; `word` and `known` serve to find the nearest right one."""

    def __init__(self, read: str, allowed: str, word: str = "", known: Iterable[str] = ()):
        super().__init__(read, allowed, word, known)
        self.read, self.allowed, self.word, self.known = read, allowed, word, known


def leaf_value(shape: Shape, node: Node) -> Any:
    """Return what a leaf says where this shape is wanted; raises BadLeaf."""
    if not isinstance(node, Leaf) or node.is_nothing:
        raise BadLeaf(shown(node), expected(shape))
    if isinstance(node.value, np.ndarray):
        return _array(shape, node)
    match shape:
        case Quantity():
            return _quantity(shape, node.value)
        case Whole():
            return _whole(shape, node.value)
        case Flag() if node.value.lower() in FLAGS:
            return FLAGS[node.value.lower()]
        case Choice():
            return _choice(shape, node.value)
        case Words():
            return node.value
    raise BadLeaf(shown(node), expected(shape, node.value))


def _array(shape: Shape, node: Leaf) -> np.ndarray:
    if not isinstance(shape, Quantity | Whole):
        raise BadLeaf(shown(node), expected(shape))
    if isinstance(shape, Whole) and not np.all((node.value == np.round(node.value)) & shape.bound.holds(node.value)):
        raise BadLeaf(shown(node), f"whole numbers, {shape.bound}")
    return node.value


def _quantity(shape: Quantity, text: str) -> float:
    try:
        return quantity(text, shape.si)
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
    if same is None:
        raise BadLeaf(quote(text), expected(shape), text, list(words))
    return next(value for word, value in words.items() if word.lower() == same)
