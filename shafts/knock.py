"""Which joint will be heard: where each load reverses its direction, times the play that is then crossed.

A part that crosses its play under a load that grows at a rate gains speed as the play and the rate allow;
their product, a power, ranks the joints without asking what each part weighs (common practice, no source). It tells
which joint to tighten first, not how loud it is. For one design, not for many options at once.
"""

import numpy as np

from balance.cycle.load import Load, PlanarForce, absent
from balance.many import refuse_many
from balance.quantities import Scalar, result
from balance.turning import HANDS
from shafts.bearing_duty import bearings_of
from shafts.bearings.play import clearance_range
from shafts.crank.vectors import CrankVector
from shafts.gap.shift import rod_slope
from shafts.loaded_shafts import LoadedShafts
from shafts.reversals import ranges_tried, reversing, sense_changes, swings, switches

PARTS = ("steady", "inertia")
STEPS = 24  # of the speed range, at which what vibrates is tried


@result
class Joint:
    """A joint with play.

    load : along its line, N, or a bearing's in x and y.   play : whole travel from one side to the other, m.
    """

    name: str
    load: Load | CrankVector
    play: Scalar


@result
class Knock:
    """A direction reversal of a joint's load: crank angle, rad, rate of the load there, N/s, and rate times play, W."""

    joint: Joint
    angle: float
    rate: float
    strength: float


def joints(loaded: LoadedShafts) -> list[Joint]:
    """Return every joint of a design: pins along their rods, guides, bearings and teeth; mirrored ones once."""
    every = [joint for name in loaded.engine.yokes for joint in _yoke_joints(loaded, name)]
    for name, crank, index, bearing in bearings_of(loaded):
        every.append(Joint(name, crank.bearings[index], sum(clearance_range(bearing)) / 2))
    gears = loaded.engine.cranks.gears
    if gears is not None and loaded.tooth is not None:
        every.append(Joint("gear teeth", loaded.tooth, gears.backlash))
    return every


def knocks(loaded: LoadedShafts, speed: float) -> list[Knock]:
    """Return every direction reversal at a speed, rad/s, the one to be heard first at the head."""
    refuse_many(loaded.engine, "the reversals of its joints")
    scale = float(_scale(loaded, speed))
    every = [
        Knock(joint, float(angle), rate, rate * float(joint.play))
        for joint in joints(loaded)
        for angle, rate in _changes(joint, speed, scale)
    ]
    return sorted(every, key=lambda each: -each.strength)


def reversing_speeds(loaded: LoadedShafts, joint: Joint) -> list[tuple[float, float]]:
    """Return the ranges of running speed, rad/s, in which a joint's load reverses its direction within the turn.

    Exactly for what does not vibrate; else it is tried at STEPS equal steps, and where the cranks vibrate most.
    """
    refuse_many(loaded.engine, "the reversals of its joints")
    least, most = float(loaded.engine.speed.least), float(loaded.engine.speed.most)
    if loaded.vibrates:
        inside = [each for each in loaded.peaks() if least < each < most]
        return _tried(loaded, joint, np.union1d(np.linspace(least, most, STEPS + 1), inside))
    if isinstance(joint.load, Load):
        if np.max(np.abs(joint.load.at(most))) <= 1e-9 * float(_scale(loaded, most)):
            return []
        return reversing(joint.load, least, most)
    return switches(lambda speed: bool(_changes(joint, speed, float(_scale(loaded, speed)))), least, most)


def _tried(loaded: LoadedShafts, joint: Joint, speeds: np.ndarray) -> list[tuple[float, float]]:
    """Return the same as tried at speeds, all worked out at once: what vibrates costs too much one by one."""
    load, scales = joint.load, _scale(loaded, speeds)
    if isinstance(load, Load):
        states = [sense_changes(*each)[0].size > 0 for each in zip(load.at(speeds), scales, strict=True)]
    else:
        states = [swings(*each)[0].size > 0 for each in zip(*load.on_bench(speeds), scales, strict=True)]
    return ranges_tried(speeds, states)


def _changes(joint: Joint, speed: float, scale: float) -> list[tuple[float, float]]:
    """Return crank angle, rad, and rate of the load, N/s, at each direction reversal."""
    if isinstance(joint.load, Load):
        angles, slopes = sense_changes(joint.load.at(speed), scale)
    else:
        angles, slopes = swings(*joint.load.on_bench(speed), scale)
    return [(float(angle), abs(float(slope)) * float(speed)) for angle, slope in zip(angles, slopes, strict=True)]


def _scale(loaded: LoadedShafts, speed: Scalar) -> np.ndarray:
    """Return the largest pin force at each speed, N: beside it rounding errors show as what they are."""
    pulls = [each.pin.right for each in loaded.forces.values()]
    sizes = [np.max(np.abs(part.at(speed)), axis=-1) for pull in pulls for part in (pull.x, pull.y)]
    return np.asarray(np.max(sizes, axis=0))


def _yoke_joints(loaded: LoadedShafts, name: str) -> list[Joint]:
    engine, forces, moved = loaded.engine, loaded.forces[name], loaded.motion.yokes[name]
    yoke = engine.yokes[name]
    if yoke.rod is None:
        assert yoke.slot is not None
        pins = _of_both_sides(
            "pin in slot", name, {hand: getattr(forces.pin, hand).y for hand in HANDS}, yoke.slot.play
        )
    else:
        up = 1.0 if moved.rod is None else moved.rod.y
        inclination = rod_slope(moved) * up
        pins = []
        for kind, sides in (("crankpin", forces.pin), ("yoke pivot", forces.pivot)):
            along = {hand: _along_rod(getattr(sides, hand), sign * inclination, up) for hand, sign in HANDS.items()}
            pins += _of_both_sides(kind, name, along, yoke.rod.play)
    return [*pins, Joint(f"guide of {name}", forces.guide, engine.fits.guide_play)]


def _along_rod(pull: PlanarForce, x: Scalar, y: Scalar) -> Load:
    return pull.x * x + pull.y * y


def _of_both_sides(kind: str, name: str, along: dict[str, Load], play: Scalar) -> list[Joint]:
    """Return one joint for both sides where they are mirror images, else one for each; none vibrates as its image."""
    right, left = along.values()
    if absent(right.vibration) and all(_equal(getattr(right, each), getattr(left, each)) for each in PARTS):
        return [Joint(f"each {kind} of {name}", right, play)]
    return [Joint(f"{hand} {kind} of {name}", load, play) for hand, load in along.items()]


def _equal(one: Scalar, other: Scalar) -> bool:
    size = np.max(np.abs(one))
    return bool(np.max(np.abs(np.asarray(one) - other)) <= 1e-9 * size)
