"""The entries of a definition that a path in its file means; `*` stands for all."""

from collections.abc import Iterator
from typing import Any

from designs.reading.complaints import alike
from designs.reading.shapes import (
    Either,
    Fixed,
    Named,
    Optional,
    Quantity,
    Series,
    Shape,
    Whole,
    key_named,
    shorthand_of,
)

Target = tuple[tuple[str, ...], Quantity | Whole | None]


def targets(
    part: Any, keys: list[str], done: tuple[str, ...] = (), around: Shape | None = None, undrawn: bool = False
) -> Iterator[Target]:
    """Yield the paths in a definition that a path in its file means, each with the shape of its number.

    undrawn : whether a number that may be given and is not has a path too.
    """
    for name, inner, shape, rest in _steps(part, keys, around):
        path = (*done, name)
        if rest:
            yield from targets(inner, rest, path, shape, undrawn)
        elif inner is None and not (undrawn and number_shape(shape)):
            continue
        elif (short := shorthand_of(type(inner))) is not None:
            yield (*path, short.name), number_shape(short.shape)
        else:
            yield path, number_shape(shape)


def _steps(part: Any, keys: list[str], around: Shape | None) -> Iterator[tuple[str, Any, Shape | None, list[str]]]:
    """Yield each way on from a part: its name, what is there, the shape of the field, and the keys then left."""
    if isinstance(part, tuple | dict):
        inner = part if isinstance(part, dict) else {str(n): each for n, each in enumerate(part)}
        for count in range(1, len(keys) + 1):
            word = ".".join(keys[:count]).strip()
            names = list(inner) if word == "*" else [word] * (word in inner) or list(alike(word, inner))
            if names:
                yield from ((name, inner[name], _inside(around, name), keys[count:]) for name in names)
                return
    elif hasattr(part, "__dataclass_fields__"):
        key = key_named(type(part), keys[0].strip())
        if key is not None:
            yield key.name, getattr(part, key.name), key.shape, keys[1:]


def _inside(around: Shape | None, name: str) -> Shape | None:
    """Return the shape of one entry of a list or of named entries."""
    if isinstance(around, Optional):
        return _inside(around.item, name)
    if isinstance(around, Either):
        return next((inner for each in around.items if (inner := _inside(each, name)) is not None), None)
    if isinstance(around, Fixed):
        return around.items[int(name)]
    return around.item if isinstance(around, Series | Named) else None


def number_shape(shape: Shape | None) -> Quantity | Whole | None:
    """Return the number among the shapes that a field may have; None if there is none."""
    if isinstance(shape, Quantity | Whole):
        return shape
    if isinstance(shape, Optional):
        return number_shape(shape.item)
    if isinstance(shape, Either):
        return next((number for each in shape.items if (number := number_shape(each)) is not None), None)
    return None
