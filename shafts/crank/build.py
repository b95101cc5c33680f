"""The members of a crank, from its layout and the sizes that the design gives."""

from itertools import chain

import numpy as np

from balance.machine.crank import Cranks, place_in_frame
from balance.quantities import Number, result, side_by_side
from shafts.crank.layout import Axis, Layout, layout
from shafts.crank.members import Round, Webs, round_section, web_section
from shafts.shaft import Shaft


@result
class Crank:
    """One crank as a chain of members, in its own frame.

    round : lengths of shaft and crankpins.   webs : its webs; None where none has a known size.
    """

    round: Round
    webs: Webs | None

    @property
    def middle(self) -> np.ndarray:
        """The middle of every member along z, m, (options..., members): round ones, then webs."""
        if self.webs is None:
            return self.round.middle
        return np.concatenate(_broadcast_options(self.round.middle, self.webs.middle), axis=-1)

    @property
    def flexibility(self) -> np.ndarray:
        """Flexibility of every member, (options..., members, 5, 5), in the same order."""
        if self.webs is None:
            return self.round.flexibility
        return _concatenated(self.round.flexibility, self.webs.flexibility)

    def flexibility_of(self, kind: str, twisting: bool | None = None) -> np.ndarray:
        """Return the same if one kind of member alone yielded: "shaft", "crankpin" or "crank web".

        twisting : whether by twist alone, or by all but twist; by both if left out.
        """
        which = np.array([each == kind for each in self.round.kind])[:, None, None]
        bars = {None: self.round, True: self.round.twisting, False: self.round.bending}[twisting]
        of_bars = np.where(which, bars.flexibility, 0.0)
        if self.webs is None:
            return of_bars
        return _concatenated(of_bars, self.webs.flexibility * float(kind == "crank web"))


def crank(shaft: Shaft, cranks: Cranks, hand: str, marks: list[Number]) -> Crank:
    """Return the right or left crank; its shaft is cut at `marks`, m, where loads act or something is asked."""
    row = layout(shaft, cranks, hand)
    lengths = [shaft_lengths(shaft, axis, marks) if axis.throw is None else _pin_lengths(shaft, cranks, axis)
               for axis in row.axes]  # fmt: skip
    kinds, *columns = zip(*(vars(each).values() for each in lengths if each is not None), strict=True)
    joined = (np.concatenate(_broadcast_options(*column), axis=-1) for column in columns)
    return Crank(Round(tuple(chain(*kinds)), *joined), _webs(shaft, cranks, row))


def shaft_lengths(shaft: Shaft, axis: Axis, marks: list[Number]) -> Round:
    """Return a length of shaft as round members: cut at its steps and at `marks`, m, where those lie within it."""
    steps = side_by_side(shaft.boundaries[:-1])
    inside = [at for at in map(np.asarray, _distinct(marks)) if np.any((at > axis.low) & (at < axis.high))]
    cuts = np.concatenate(_broadcast_options(side_by_side([axis.low, *inside, axis.high]), steps[..., 1:]), axis=-1)
    low, high = (np.asarray(end)[..., None] for end in (axis.low, axis.high))
    cut = np.sort(np.clip(cuts, low, high), axis=-1)
    begin, end = cut[..., :-1], cut[..., 1:]
    segment = np.sum(((begin + end) / 2)[..., None] > steps[..., None, 1:], axis=-1)
    within = segment[..., None] == np.arange(len(shaft.segments))
    sections = zip(*(round_section(each.diameter, each.bore, shaft.material) for each in shaft.segments), strict=True)
    bend, twist, shear = (np.sum(np.where(within, side_by_side(each)[..., None, :], 0.0), axis=-1) for each in sections)
    still = np.zeros(begin.shape[-1])
    return Round(("shaft",) * begin.shape[-1], still, still, begin, end, bend, twist, shear)


def _distinct(marks: list[Number]) -> list[Number]:
    """Return each place once: a second cut there would be a member of no length, and every member costs time."""
    numbers = {float(mark): mark for mark in marks if np.ndim(mark) == 0}
    of_options: list[Number] = []
    for mark in marks:
        if np.ndim(mark) and not any(mark is each or np.array_equal(mark, each) for each in of_options):
            of_options.append(mark)
    return [*numbers.values(), *of_options]


def _pin_lengths(shaft: Shaft, cranks: Cranks, axis: Axis) -> Round | None:
    """A crankpin in two halves, to either side of where the rod pulls; None for one of no given size: rigid."""
    throw = cranks.throws[str(axis.throw)]
    if throw.pin is None:
        return None
    at = np.clip(throw.at, axis.low, axis.high)
    x, y = (side_by_side([coordinate, coordinate]) for coordinate in place_in_frame(throw))
    section = round_section(throw.pin.diameter, 0.0, throw.pin.material or shaft.material)
    low, high = side_by_side([axis.low, at]), side_by_side([at, axis.high])
    return Round(("crankpin",) * 2, x, y, low, high, *(side_by_side([each, each]) for each in section))


def _webs(shaft: Shaft, cranks: Cranks, row: Layout) -> Webs | None:
    rows = []
    for joint, low, high in zip(row.joints, row.axes, row.axes[1:], strict=False):
        if joint.web is None:
            continue
        web = cranks.webs[joint.web]
        assert web.thickness is not None and web.width is not None
        axes = (place_in_frame(None if each.throw is None else cranks.throws[each.throw]) for each in (low, high))
        sizes = web_section(web.thickness, web.width, web.material or shaft.material)
        rows.append([*(coordinate for axis in axes for coordinate in axis), web.at, *sizes])
    if not rows:
        return None
    x, y, end_x, end_y, z, *section = (side_by_side(list(column)) for column in zip(*rows, strict=True))
    return Webs((x, y), (end_x, end_y), z, *section)


def _concatenated(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """Return matrices of members beside those of others, (options..., members, 5, 5)."""
    options = np.broadcast_shapes(one.shape[:-3], other.shape[:-3])
    return np.concatenate([np.broadcast_to(each, (*options, *each.shape[-3:])) for each in (one, other)], axis=-3)


def _broadcast_options(*arrays: np.ndarray) -> list[np.ndarray]:
    """Give arrays of different length along their last axis the same option axes."""
    options = np.broadcast_shapes(*(each.shape[:-1] for each in arrays))
    return [np.broadcast_to(each, (*options, each.shape[-1])) for each in arrays]
