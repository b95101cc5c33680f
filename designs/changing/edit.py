"""A change to a design by the keys of what changes, its new value in SI, and how a file writes it."""

from collections.abc import Mapping
from dataclasses import MISSING, dataclass, fields, is_dataclass
from functools import reduce
from typing import Any

import numpy as np

from balance.machine.materials import Material
from balance.many import planted
from balance.quantities import Unit, mark
from designs.design import Design

Keys = tuple[str, ...]
UNITS = {
    "m": (("mm", 1e3),),
    "m^2": (("mm^2", 1e6),),
    "m^3": (("cm^3", 1e6),),
    "kg": (("g", 1e3), ("kg", 1.0)),
    "kg m^2": (("kg m^2", 1.0),),
    "rad": (("deg", 180 / np.pi),),
    "N/m": (("N/mm", 1e-3), ("N/um", 1e-6)),
    "N": (("N", 1.0),),
    "rad/s": (("rpm", 30 / np.pi),),
    "Pa": (("kPa", 1e-3),),
    "": (("", 1.0),),
}
"""Units that a file is given, from small to large: the first that makes a number of less than a thousand."""


NO_DOUBTS: Mapping[Keys, str] = {}


@dataclass(frozen=True)
class Edit:
    """One entry that changes.   value : SI number, word, yes or no, list, or a definition of a material.

    like : the part of which it is a copy but for some numbers; what is not known of those that stay is known no better.
    """

    keys: Keys
    value: Any
    like: Keys = ()

    @property
    def path(self) -> str:
        """The key path as a person writes it."""
        return ".".join(self.keys)


def edited(design: Design, edits: tuple[Edit, ...]) -> Design:
    """Return a design with entries changed, unchecked."""
    return reduce(_with, edits, design)


def _with(design: Design, edit: Edit) -> Design:
    *above, name = edit.keys
    around = value_at(design, tuple(above))
    new: Any = edit.value
    if isinstance(around, dict) and name not in around:  # a new name among named entries
        keys, new = tuple(above), around | {name: edit.value}
        return planted(design, (keys,), new)
    return planted(design, (edit.keys,), new)


def checked(part: Any, known: Any = None) -> Any:
    """Return a part of a design made again, so that all its checks are done; raises BadDesign.

    known : a design whose checks are done: what is the very same in it is left as it is.
    """
    if part is known:
        return part
    if isinstance(part, tuple):
        beside = known if isinstance(known, tuple) and len(known) == len(part) else (None,) * len(part)
        return tuple(checked(*pair) for pair in zip(part, beside, strict=True))
    if isinstance(part, dict):
        return {
            name: checked(each, known.get(name) if isinstance(known, dict) else None) for name, each in part.items()
        }
    if is_dataclass(part) and not isinstance(part, type):
        inside = known if type(known) is type(part) else None
        return type(part)(
            **{each.name: checked(getattr(part, each.name), getattr(inside, each.name, None)) for each in fields(part)}
        )
    return part


def value_at(part: Any, keys: Keys) -> Any:
    """Return what stands at keys in a design; None where there is nothing."""
    for key in keys:
        if isinstance(part, tuple):
            part = part[int(key)] if key.isdecimal() and int(key) < len(part) else None
        elif isinstance(part, dict):
            part = part.get(key)
        else:
            part = getattr(part, key, None)
        if part is None:
            return None
    return part


def unit_at(design: Design, keys: Keys) -> str:
    """Return the SI unit of the number at keys; "" where it has none."""
    part: Any = design
    annotation: Any = None
    for key in keys:
        if is_dataclass(part):
            annotation = next(each.type for each in fields(part) if each.name == key)
        part = value_at(part, (key,))
    unit = mark(annotation, Unit)
    return unit.si if unit else ""


def text(value: Any, si: str, doubts: Mapping[Keys, str] = NO_DOUBTS, at: Keys = ()) -> str:
    """Return a value as a design file says it.

    doubts : what it says of numbers in doubt, by their keys below the value; "" of one that it leaves out.
    at : the keys of this value below the one that was asked for.
    """
    if doubts.get(at):
        return doubts[at]
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Material):
        return value.name
    if is_dataclass(value) and not isinstance(value, type):
        return _entries(value, doubts, at)
    if isinstance(value, tuple):
        return f"[{', '.join(text(each, si, doubts, (*at, str(n))) for n, each in enumerate(value))}]"
    if isinstance(value, int | float):
        return _number(float(value), si)
    return "none" if value is None else str(value)


def _entries(part: Any, doubts: Mapping[Keys, str], at: Keys) -> str:
    """Return a definition as the entries that say it, without those that say what is so anyway."""
    said = []
    for each in fields(part):
        value, unit, keys = getattr(part, each.name), mark(each.type, Unit), (*at, each.name)
        if "" in (doubts.get(keys), doubts.get((*keys, "0"))):
            continue
        usual = each.default_factory() if each.default_factory is not MISSING else each.default
        if value is not usual and value != usual and not (is_dataclass(value) and value == usual):
            said.append(f"{each.name}: {text(value, unit.si if unit else '', doubts, keys)}")
    return f"{{{', '.join(said)}}}"


def _number(value: float, si: str) -> str:
    choices = UNITS.get(si, ((si, 1.0),))
    unit, factor = next((each for each in choices if abs(value * each[1]) < 1000), choices[-1])
    return f"{np.format_float_positional(float(f'{value * factor:.9g}'), trim='-')} {unit}".strip()


def rounded(value: float, step: float) -> float:
    """Return a number at the nearest multiple of a step, without the dust of the division."""
    return float(f"{round(value / step) * step:.12g}")
