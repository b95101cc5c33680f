"""Whether what is joined really is: what sits on a shaft, rods on their crankpins, stems in their holes, and fits."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from balance.bodies.usual import gear_face, rod_size, web_size, wheel_size
from balance.bodies.yokes import hangs_at
from balance.machine.carried import Displacer, Piston
from balance.machine.crank import place_in_frame
from balance.machine.yoke import Yoke
from balance.many import refuse_many
from balance.obstacles import about
from balance.outlines import corner_arrays
from balance.quantities import Scalar
from balance.turning import HANDS
from balance.weights.balancing import Weight, Weights, counterweight_name
from shafts.clearance.pairs import stem_crosses
from shafts.clearance.seats import bearing_size
from shafts.crank.layout import layout
from shafts.engine import Engine

TOUCH = 1e-4  # m; a plate that is as near to a web's face is bolted to it
LEAST_PLAY = 2e-6  # m; with less nothing runs, not even lapped (common practice, no source)
HUB = 0.5  # of a part's length must be carried, as by a hub inside it (common practice, no source)


@dataclass(frozen=True)
class Joint:
    """Two parts that must be joined, or one that must run in another.

    what : in words.   short : by how much it falls short, m, or the play that it has if negative.
    why : what else to know.   unknown : what to give, where that cannot be told.
    """

    what: str
    short: float
    why: str = ""
    unknown: str = ""


def sitting_joints(engine: Engine, weights: Weights | None) -> Iterator[Joint]:
    """Yield of everything on a shaft how much of its length finds nothing there to sit on; for a single design."""
    refuse_many(engine, "what sits on its shafts")
    for hand, shaft in zip(HANDS, engine.shafts.pair, strict=True):
        ends = float(shaft.starts_at), float(shaft.ends_at)
        reach = f"the {hand} shaft reaches from {in_mm(ends[0])} to {in_mm(ends[1])} mm"
        for name, at, length in _on_shaft(engine, hand):
            yield Joint(f"{hand} {name}", HUB * length - shared_length(about(at, length), ends), reach)
        planes = () if weights is None else weights.planes
        for index, weight in enumerate(planes):
            if float(weight.shape.mass) > 0:
                yield _weight_joint(engine, hand, weight, counterweight_name(hand, index, len(planes)), reach)


def rod_joints(engine: Engine) -> Iterator[Joint]:
    """Yield of every crankpin how much shorter it is than the rods on it are thick."""
    for name, throw in engine.cranks.throws.items():
        yokes = {key: yoke for key, yoke in engine.yokes.items() if yoke.throw == name and yoke.rod is not None}
        if not yokes:
            continue
        what = f"crankpin {name}"
        missing = [f"yokes.{key}.rod.thickness" for key, yoke in yokes.items() if _thickness(engine, yoke) is None]
        if throw.pin is None:
            missing.append(f"cranks.throws.{name}.pin")
        known = sum(_thickness(engine, yoke) or 0.0 for yoke in yokes.values())
        short = -np.inf if throw.pin is None else known - float(throw.pin.length)
        yield Joint(what, short, "", ", ".join(missing))


def stem_joints(engine: Engine) -> Iterator[Joint]:
    """Yield of every stem how much too narrow the holes are that it must pass: in other yokes, and in the piston."""
    for name, yoke in engine.yokes.items():
        carried = yoke.carries
        if not isinstance(carried, Displacer) or not float(carried.stem_diameter):
            continue
        stem = float(carried.stem_diameter)
        for other, other_yoke in engine.yokes.items():
            if other_yoke is not yoke and hangs_at(engine, yoke) < hangs_at(engine, other_yoke):
                yield from _through_yoke(engine, f"stem of {name} and yoke {other}", stem, other, other_yoke)
            if isinstance(other_yoke.carries, Piston) and not carried.stem_through_piston:
                yield _no_hole(engine, f"stem of {name} and piston of {other}, which has no hole for it", stem, name)


def fit_joints(engine: Engine) -> Iterator[Joint]:
    """Yield of piston and displacer how much wider they are than the bore in which they run."""
    for name, yoke in engine.yokes.items():
        carried = yoke.carries
        if not isinstance(carried, Piston | Displacer):
            continue
        bores = {float(carried.bore)} | ({float(engine.cylinder.bore)} if engine.cylinder is not None else set())
        width, what = _width(carried), f"{carried.kind} of {name} in its bore"
        if width is None:
            yield Joint(what, -np.inf, "", f"yokes.{name}.carries.diameter")
        else:
            tight = width + _leans(engine, yoke) - min(bores)
            tight += LEAST_PLAY if -LEAST_PLAY < tight <= 0 else 0.0  # of one size it seizes
            yield Joint(what, tight, f"the bore has {in_mm(min(bores))} mm")


def _leans(engine: Engine, yoke: Yoke) -> float:
    """Return by how much wider a displacer sweeps than it is, m, as its stem leans in the play of its guide.

    It hangs on the stem and must not rub; the guide is taken to end where the displacer begins, which is the least.
    """
    carried, length = yoke.carries, yoke.guided_length
    if not isinstance(carried, Displacer) or yoke.guide is None or length is None or carried.length is None:
        return 0.0
    return float(engine.fits.guide_play) * (1 + 2 * float(carried.length) / float(length))


def _on_shaft(engine: Engine, hand: str) -> Iterator[tuple[str, float, float]]:
    """Yield name, place and length of what must sit on a shaft."""
    for index, bearing in enumerate(engine.shafts.pair[hand == "left"].bearings, start=1):
        yield f"bearing {index}", float(bearing.at), bearing_size(bearing)[1]
    if engine.cranks.gears is not None:
        yield "gear", float(engine.cranks.gears.at), gear_face(engine.cranks.gears)
    for name, wheel in engine.wheels(hand).items():
        size = wheel_size(wheel)
        thickness = size[1] if size is not None and wheel.thickness is not None else 2 * TOUCH
        yield name, float(wheel.z(hand)), thickness
    chain = layout(engine.shafts.pair[hand == "left"], engine.cranks, hand)
    for index, joint in enumerate(chain.joints):
        if joint.web is not None and None in (chain.axes[index].throw, chain.axes[index + 1].throw):
            low, high = float(joint.low), float(joint.high)
            yield f"web {joint.web + 1}", (low + high) / 2, high - low


def _weight_joint(engine: Engine, hand: str, weight: Weight, name: str, reach: str) -> Joint:
    """Return how far a counterweight is from being carried by the shaft, a web that it touches, or a crankpin."""
    shaft = engine.shafts.pair[hand == "left"]
    thickness = float(weight.shape.thickness)
    z = about(float(np.asarray(weight.at)), thickness)
    short = HUB * thickness - shared_length(z, (float(shaft.starts_at), float(shaft.ends_at)))
    webs = _web_ranges(engine, hand)
    short = min([short, *(max(low - z[1], z[0] - high) - TOUCH for low, high in webs)])
    if short > 0 and _takes_pin(engine, weight, z):
        short = 0.0
    where = ", ".join(f"{in_mm(low)} to {in_mm(high)}" for low, high in webs)
    why = f"nothing carries it there: {reach}" + (f", webs lie at {where} mm" if webs else "")
    return Joint(name, short, why)


def _web_ranges(engine: Engine, hand: str) -> list[tuple[float, float]]:
    ranges = []
    for web in engine.cranks.webs:
        size = web_size(web, None, max(float(each.diameter) for each in engine.shafts.segments))
        if web.on in (hand, "both") and size is not None:
            ranges.append(about(web.at, size[1]))
    return ranges


def _takes_pin(engine: Engine, weight: Weight, z: tuple[float, float]) -> bool:
    """Return whether a crankpin ends within the plate of a weight, wholly inside its outline."""
    import shapely

    if all(throw.pin is None for throw in engine.cranks.throws.values()):
        return False
    path = weight.shape.corners
    sine, cosine = np.sin(float(weight.angle)), np.cos(float(weight.angle))
    x, y = path[:, 0] * cosine + path[:, 1] * sine, path[:, 1] * cosine - path[:, 0] * sine
    plate = shapely.polygons(np.stack([x, y], axis=-1))
    for throw in engine.cranks.throws.values():
        if throw.pin is None:
            continue
        low, high = about(throw.at, throw.pin.length)
        pin = shapely.buffer(shapely.points(*(float(each) for each in place_in_frame(throw))),
                             float(throw.pin.diameter) / 2)  # fmt: skip
        if z[0] - TOUCH <= high and low <= z[1] + TOUCH and shapely.contains(plate, pin):
            return True
    return False


def _through_yoke(engine: Engine, what: str, stem: float, other: str, yoke: Yoke) -> Iterator[Joint]:
    key = f"yokes.{other}.hole"
    if yoke.outline is None:
        yield Joint(what, -np.inf, "", f"yokes.{other}.outline and .hole")
    elif stem_crosses(engine, (float(yoke.outline.z[0]), float(yoke.outline.z[1]))):
        if yoke.hole is None:
            yield Joint(what, -np.inf, "", key)
        else:
            yield Joint(what, stem - float(yoke.hole), f"the hole ({key}) has {in_mm(float(yoke.hole))} mm")


def _no_hole(engine: Engine, what: str, stem: float, name: str) -> Joint:
    """Return how much wider a stem is than the hole that a piston lacks, if both share one cylinder."""
    if engine.cylinder is None:
        return Joint(what, -np.inf, "", "the cylinder, if displacer and piston share one")
    return Joint(what, stem, f"yokes.{name}.carries.stem_through_piston says that it does not pass")


def _width(carried: Piston | Displacer) -> float | None:
    """Return the diameter of a piston or displacer, m: as given, else as drawn; None if neither."""
    if carried.diameter is not None:
        return float(carried.diameter)
    return None if carried.outline is None else float(np.ptp(corner_arrays(carried.outline)[0]))


def _thickness(engine: Engine, yoke: Yoke) -> float | None:
    assert yoke.rod is not None
    if yoke.rod.thickness is None:
        return None
    size = rod_size(yoke.rod, engine.throw_of(yoke))
    return float(yoke.rod.thickness) if size is None else size[1]


def shared_length(one: tuple[float, float], other: tuple[float, float]) -> float:
    """Return the length that two ranges share, m; negative is how far they are apart."""
    return min(one[1], other[1]) - max(one[0], other[0])


def in_mm(value: Scalar) -> str:
    """Return a length of one design, m, in millimetres as text."""
    return f"{float(value) * 1e3:.4g}"
