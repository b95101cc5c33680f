"""The cross-sections of a shaft at which stress is looked at: both sides of every place where something changes."""

from collections.abc import Sequence

import numpy as np

from balance.quantities import Number, result, side_by_side
from shafts.shaft import Notch, Shaft

SAME = 1e-6  # m: places nearer to each other than a micrometre are one place


@result
class Place:
    """A place along a shaft, m, and what is there.

    kind : "step", "notch" or "load"; notch : the notch that is there.
    """

    name: str
    at: Number
    kind: str = "load"
    notch: Notch | None = None


@result
class Sections:
    """Both sides of every place; arrays (options..., sections): first all just before them, then all just behind.

    at : m.   diameter, bore : of the shaft on that side, m.
    behind : whether a section lies behind its place, (sections,).
    """

    places: list[Place]
    at: np.ndarray
    diameter: np.ndarray
    bore: np.ndarray
    behind: np.ndarray

    def name(self, section: int) -> str:
        """Return in words where a section is."""
        cut = self.places[section % len(self.places)]
        return f"{cut.name} at {float(np.ravel(cut.at)[0]) * 1e3:.4g} mm"


def sections(shaft: Shaft, loaded: dict[str, Number], held: Sequence[Place] = ()) -> Sections:
    """Return the sections of a shaft: at its ends, steps, bearings and notches, and where it is loaded.

    loaded : places of loads by name, m; those that hang beyond its ends are left out.
    held : notches that what sits on it makes.
    """
    places = _places(shaft, loaded, held)
    at = side_by_side([np.clip(cut.at, shaft.starts_at, shaft.ends_at) for cut in places])
    both, behind = np.concatenate([at, at], axis=-1), np.repeat([False, True], len(places))
    segment = _segment(shaft, both + np.where(behind, SAME, -SAME))
    diameter, bore = (
        _of_segments(each, segment)
        for each in (side_by_side([s.diameter for s in shaft.segments]), side_by_side([s.bore for s in shaft.segments]))
    )
    return Sections(places, both, diameter, bore, behind)


def _places(shaft: Shaft, loaded: dict[str, Number], held: Sequence[Place]) -> list[Place]:
    fixed = [Place("front end", shaft.starts_at), Place("far end", shaft.ends_at)]
    fixed += [Place(f"step {number + 1}", at, "step") for number, at in enumerate(shaft.boundaries[1:-1])]
    fixed += [Place(each.kind, each.at, "notch", each) for each in shaft.notches]
    kept = [*fixed, *held]
    loads = [Place(f"bearing {number + 1}", each.at) for number, each in enumerate(shaft.bearings)]
    for cut in loads + [Place(name, at) for name, at in loaded.items()]:
        beyond = np.all((np.asarray(cut.at) <= shaft.starts_at) | (np.asarray(cut.at) >= shaft.ends_at))
        if not beyond and not any(np.all(np.abs(cut.at - other.at) < SAME) for other in kept):
            kept.append(cut)
    return kept


def diameter_at(shaft: Shaft, z: Number) -> Number:
    """Return the shaft's diameter at a place, m, or at the end next to it, (options...)."""
    at = np.clip(np.asarray(z, dtype=float)[..., None], *(np.asarray(end)[..., None] for end in shaft.ends))
    return _of_segments(side_by_side([each.diameter for each in shaft.segments]), _segment(shaft, at))[..., 0]


def _of_segments(values: np.ndarray, segment: np.ndarray) -> np.ndarray:
    options = np.broadcast_shapes(values.shape[:-1], segment.shape[:-1])
    of_each, index = (np.broadcast_to(array, (*options, array.shape[-1])) for array in (values, segment))
    return np.take_along_axis(of_each, index, axis=-1)


def _segment(shaft: Shaft, at: np.ndarray) -> np.ndarray:
    if len(shaft.segments) == 1:
        return np.zeros(at.shape, dtype=int)
    ends = side_by_side(shaft.boundaries[1:-1])
    return np.sum(at[..., None] > ends[..., None, :], axis=-1)
