"""Which lengths of shaft, crankpins and webs make a crank, in order along the shafts.

A crank is a row of axes along z, each a length of shaft or a crankpin, and joints between neighbours: the web that
holds both. A throw beyond an end of the shaft hangs there; one along the shaft is held on both sides, and there is no
shaft along it. Of several webs that could be a joint the one nearest to the crankpin is; webs without width and
thickness, collars and the like, are mere masses. A joint without a web of known size, and a crankpin of no given
diameter, count as rigid, and `left_out` names them. So does what lies inside a web or in a pin's seat.
"""

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from balance.errors import Complaint
from balance.machine.crank import Cranks, Throw, Web, outward
from balance.quantities import Number, Scalar, result
from shafts.shaft import Shaft

SLACK = 2e-4  # m; what a few lengths rounded to a tenth of a millimetre may come to: what is wider is a gap


@result
class Axis:
    """A length of shaft, or the crankpin of a throw.   throw : its name; None for the shaft.

    low, high : where it begins and ends between its webs' faces, m, (options...).
    """

    throw: str | None
    low: Number
    high: Number


@result
class Joint:
    """What holds two neighbouring axes together.

    web : its number among the webs; None where none of known size is there.   low, high : its faces, m, (options...).
    """

    web: int | None
    low: Number
    high: Number


@result
class Layout:
    """A crank's axes in order along z and the joints between them."""

    axes: list[Axis]
    joints: list[Joint]


def first(value: Scalar) -> float:
    """Return a number of the first option: decisions are alike for all options of one layout (see `orders`)."""
    return float(np.ravel(value)[0])


def layout(shaft: Shaft, cranks: Cranks, hand: str) -> Layout:
    """Return the layout of the right or left crank; one for all options, which must have the same `order`."""
    webs = {number: web for number, web in enumerate(cranks.webs) if _joins(web, hand)}
    row = _row(shaft, cranks.throws, webs)
    joints = [_joint(shaft, cranks, webs, *pair) for pair in pairwise(row)]
    axes = []
    for index, throw in enumerate(row):
        low, high = _free_ends(shaft, throw if throw is None else cranks.throws[throw])
        low = joints[index - 1].high if index else low
        high = joints[index].low if index < len(joints) else high
        axes.append(Axis(throw, low, np.maximum(low, high)))
    return Layout(axes, joints)


def order(shaft: Shaft, cranks: Cranks) -> np.ndarray:
    """Return how everything that decides a layout stands to everything else along z, (options..., pairs): -1, 0, 1."""
    places = [shaft.starts_at, shaft.ends_at, *(each.at for each in shaft.bearings)]
    places += [throw.at for throw in cranks.throws.values()] + [web.at for web in cranks.webs]
    z = np.stack(np.broadcast_arrays(*(np.asarray(each, dtype=float) for each in places)), axis=-1)
    return np.sign(z[..., :, None] - z[..., None, :]).reshape(*z.shape[:-1], -1)


def _joins(web: Web, hand: str) -> bool:
    return web.on in (hand, "both") and web.width is not None and web.thickness is not None


def _row(shaft: Shaft, throws: dict[str, Throw], webs: dict[int, Web]) -> list[str | None]:
    """Return the axes in order along z: names of throws, None for a length of shaft."""
    by_place = sorted(throws, key=lambda name: first(throws[name].at))
    side = {name: first(outward(throws[name].at, shaft.ends)) for name in by_place}
    along: list[str | None] = [None]
    for name in (each for each in by_place if side[each] == 0):
        if along[-1] is None and len(along) > 1 and _shared_web(throws[str(along[-2])], throws[name], webs):
            along.pop()
        along += [name, None]
    return [*(name for name in by_place if side[name] < 0), *along, *(name for name in by_place if side[name] > 0)]


def _shared_web(low: Throw, high: Throw, webs: dict[int, Web]) -> bool:
    """Return whether one web alone stands between two throws, and so holds both."""
    return sum(first(low.at) < first(web.at) < first(high.at) for web in webs.values()) == 1


def _joint(shaft: Shaft, cranks: Cranks, webs: dict[int, Web], low: str | None, high: str | None) -> Joint:
    """Return the joint of two neighbouring axes."""
    throws = cranks.throws
    start, end = _reach(shaft, throws, low, high)
    there = [number for number, web in webs.items() if start < first(web.at) < end]
    pin = first(throws[str(high if low is None else low)].at)
    if there:
        number = min(there, key=lambda each: abs(first(webs[each].at) - pin))
        web = webs[number]
        assert web.thickness is not None
        return Joint(number, web.at - web.thickness / 2, web.at + web.thickness / 2)
    faces = [_free_ends(shaft, None if name is None else throws[name]) for name in (low, high)]
    if low is None and first(outward(throws[str(high)].at, shaft.ends)) == 0:
        faces[0] = (0.0, faces[1][0])  # along the shaft it is cut where the pin begins
    if high is None and first(outward(throws[str(low)].at, shaft.ends)) == 0:
        faces[1] = (faces[0][1], 0.0)
    return Joint(None, faces[0][1], faces[1][0])


def _reach(shaft: Shaft, throws: dict[str, Throw], low: str | None, high: str | None) -> tuple[float, float]:
    """Return between which places a web can hold two axes: their throws, and next to a shaft its first bearing."""
    bearings = [first(each.at) for each in shaft.bearings]
    others = [first(each.at) for each in throws.values()]
    if low is None:
        at = first(throws[str(high)].at)
        return max((each for each in (*bearings, *others) if each < at), default=-np.inf), at
    at = first(throws[low].at)
    if high is not None:
        return at, first(throws[high].at)
    return at, min((each for each in (*bearings, *others) if each > at), default=np.inf)


def _free_ends(shaft: Shaft, throw: Throw | None) -> tuple[Number, Number]:
    if throw is None:
        return shaft.ends
    half = 0.0 if throw.pin is None else throw.pin.length / 2
    return throw.at - half, throw.at + half


def left_out(shaft: Shaft, cranks: Cranks, hand: str) -> list[str]:
    """Return the entries to give so that nothing of a crank need count as rigid."""
    row = layout(shaft, cranks, hand)
    missing = [f"cranks.throws.{name}.pin" for name, throw in cranks.throws.items() if throw.pin is None]
    if any(joint.web is None for joint in row.joints):
        sizes = [f"cranks.webs.{number}.width and .thickness" for number, web in enumerate(cranks.webs)
                 if web.on in (hand, "both") and not _joins(web, hand)]  # fmt: skip
        missing += sizes or ["cranks.webs, each with width and thickness"]
    return missing


def misfits(shaft: Shaft, cranks: Cranks, hand: str) -> Iterator[Complaint]:
    """Yield what does not join: a pin that does not reach its web, a shaft that does not, a bearing in a web."""
    row = layout(shaft, cranks, hand)
    for index, axis in enumerate(row.axes):
        beside = [joint for joint in (row.joints[index - 1] if index else None,
                                      row.joints[index] if index < len(row.joints) else None)
                  if joint is not None and joint.web is not None]  # fmt: skip
        for joint in beside:
            yield from _gap(shaft, cranks, axis, joint, between=len(beside) == 2)
    for joint in row.joints:
        if joint.web is not None:
            yield from _bearings_inside(shaft, joint)
    yield from _bearings_off(shaft, row)


def _gap(shaft: Shaft, cranks: Cranks, axis: Axis, joint: Joint, between: bool) -> Iterator[Complaint]:
    """Yield a complaint where an axis ends before the web that should hold it, or its pin runs through the web.

    A pin between two webs reaches both if it is as long as they are apart, wherever on it its rod pulls.
    """
    throw = None if axis.throw is None else cranks.throws[axis.throw]
    if throw is not None and throw.pin is None:
        return
    low, high = _free_ends(shaft, throw)
    below = first(joint.high) <= (first(low) + first(high)) / 2
    apart = short = np.asarray(low - joint.high if below else joint.low - high)
    held_twice = between and throw is not None
    if between and throw is not None and throw.pin is not None:
        short = np.asarray(axis.high) - axis.low - throw.pin.length
    where = ("shafts", "starts_at") if throw is None else ("cranks", "throws", str(axis.throw), "pin", "length")
    what = "the shaft" if throw is None else "the crankpin"
    if np.any(wrong := short > SLACK) and not (held_twice and below):  # of a pin between two webs once
        far = f"{np.max(short) * 1e3:.3g} mm"
        read = f"{far} between {what} and web {_number(joint)}"
        if held_twice:
            read = f"a crankpin {far} shorter than the way between its webs"
        yield Complaint(where, read, "a pin or shaft that reaches its web", wrong)
    thick = np.asarray(joint.high) - joint.low
    if throw is not None and np.any(wrong := -apart > thick + SLACK):
        yield Complaint(where, f"a crankpin {np.max(-apart - thick) * 1e3:.3g} mm longer than reaches through web "
                        f"{_number(joint)}", "the free length between its webs", wrong)  # fmt: skip


def _bearings_inside(shaft: Shaft, joint: Joint) -> Iterator[Complaint]:
    for index, bearing in enumerate(shaft.bearings):
        deep = np.minimum(np.asarray(bearing.at) - joint.low, np.asarray(joint.high) - bearing.at)
        if np.any(wrong := deep > 0):
            yield Complaint(("shafts", "bearings", str(index), "at"),
                            f"{first(bearing.at) * 1e3:g} mm, {np.max(deep) * 1e3:.3g} mm inside web {_number(joint)}",
                            "a place on the shaft beside its webs", wrong)  # fmt: skip


def _bearings_off(shaft: Shaft, row: Layout) -> Iterator[Complaint]:
    """Yield a complaint for a bearing beside a throw, where the crank has no shaft."""
    pins = [axis for axis in row.axes if axis.throw is not None]
    for index, bearing in enumerate(shaft.bearings):
        for axis in pins:
            if np.any(wrong := (np.asarray(bearing.at) > axis.low) & (np.asarray(bearing.at) < axis.high)):
                yield Complaint(("shafts", "bearings", str(index), "at"),
                                f"{first(bearing.at) * 1e3:g} mm, where crankpin {axis.throw} is and no shaft",
                                "a place on the shaft beside its throws", wrong)  # fmt: skip


def _number(joint: Joint) -> int:
    assert joint.web is not None
    return joint.web + 1
