"""What a small slip in making or setting does to the shaking: a gram, a tenth of a millimetre, a tooth, the backlash.

Each is the change of order 1 that it causes, per (rad/s)^2. Where the cranks are out of step, each yoke
is taken to ride at the mean of what its two sides ask, which holds while the step is small.
"""

from functools import reduce

import numpy as np

from balance.cycle.harmonics import orders
from balance.joints import centre_of
from balance.machine.machine import Machine
from balance.motion import Motion
from balance.quality import largest_of_order
from balance.quantities import Number, over_angle, result
from balance.shaking import Shaking, couple_of
from balance.turning import HANDS, mass_on_shafts, turning_masses

GRAM = 1e-3
TENTH = 1e-4  # of a millimetre, in m


@result
class Sensitivity:
    """A slip and the first order that it adds, peak values per (rad/s)^2, (options...).

    force : kg m.   along, across : its parts, kg m.   roll : couple about z, kg m^2.
    """

    name: str
    force: Number
    along: Number
    across: Number
    roll: Number


def sensitivities(machine: Machine, motion: Motion, weight: tuple[Number, Number] | None) -> list[Sensitivity]:
    """Return the effect of each slip; weight : mass, kg, and mass x radius, kg m, of the counterweight of one shaft."""
    half = machine.cranks.centre_distance / 2
    pin = reduce(np.maximum, (throw.radius for throw in machine.cranks.throws.values()))
    slips = [turning_sensitivity("one gram at a crankpin of one shaft alone", GRAM * pin, half)]
    if weight is not None:
        mass, moment = weight
        radius = np.where(np.asarray(mass) > 0, moment / np.where(np.asarray(mass) > 0, mass, 1.0), 0.0)
        slips.append(turning_sensitivity("one gram on one counterweight", GRAM * radius, half))
        slips.append(turning_sensitivity("0.1 mm of one counterweight's radius", mass * TENTH, half))
    gears = machine.cranks.gears
    if gears is not None:
        slips.append(step_sensitivity(machine, motion, "gears one tooth out of step", 2 * np.pi / gears.teeth))
        slips.append(step_sensitivity(machine, motion, "backlash taken up", gears.backlash / gears.pitch_radius))
    return slips


def turning_sensitivity(name: str, moment: Number, half_distance: Number) -> Sensitivity:
    """Return what a mass x radius, kg m, does that turns with one shaft alone."""
    return Sensitivity(name, moment, moment, moment, moment * half_distance)


def step_sensitivity(machine: Machine, motion: Motion, name: str, step: Number) -> Sensitivity:
    """Return what it does when the left crank is ahead of the right one by a step, rad, (options...)."""
    left = side_shaking(machine, motion, "left")
    change = np.exp(1j * np.asarray(step)) - 1
    across, along, roll = (orders(values, 1)[..., 1] * change for values in (left.x, left.y, left.roll))
    return Sensitivity(name, largest_of_order(across, along), np.abs(along), np.abs(across), np.abs(roll))


def side_shaking(machine: Machine, motion: Motion, hand: str) -> Shaking:
    """Return one side's part of the shaking: its rods, what turns with its shaft, and half of every yoke."""
    sign = HANDS[hand]
    half = over_angle(machine.cranks.centre_distance) / 2
    still = np.zeros_like(motion.theta)
    total = Shaking(still, still, still, still, still)
    for weight in turning_masses(machine, hand):
        push = weight.push(motion.theta, sign)
        total = total + couple_of(
            np.asarray(push.x.inertia), np.asarray(push.y.inertia), sign * half, 0.0, over_angle(weight.at)
        )
    for name, yoke in machine.yokes.items():
        moved, plane = motion.yokes[name], machine.throw_of(yoke).at
        for part in yoke.parts.values():
            at = over_angle(plane if part.at is None else part.at)
            total = total + couple_of(still, -over_angle(part.mass) / 2 * moved.acceleration, 0.0, moved.height, at)
        if yoke.rod is None or moved.rod is None:
            continue
        rod = yoke.rod.masses_of(hand)
        x, y = centre_of(rod, yoke.rod.length, moved)
        mass, cg = over_angle(rod.mass), over_angle(rod.cg)
        centre = sign * (moved.pin.x + cg * moved.rod.x), moved.pin.along + cg * moved.rod.y
        total = total + couple_of(-mass * sign * x, -mass * y, *centre, over_angle(plane))
        spin = -over_angle(rod.inertia) * sign * moved.rod.turn_rate
        total = total + Shaking(still, still, still, still, spin)
    return total


def turning_mass(machine: Machine) -> Number:
    """Return the mass that turns with both shafts, kg, as a grade of balance counts it, (options...).

    Webs, gears, flywheels and fitted counterweights, and the crankpin ends of the rods (ISO 21940-11, on
    crankshaft drives; from memory). The bare shafts are left out, which makes the grade look a little worse.
    """
    ends: Number = 0.0
    for yoke in machine.yokes.values():
        if yoke.rod is not None:
            rods = (yoke.rod.masses_of(hand) for hand in HANDS)
            ends = ends + sum(rod.mass * (1 - np.asarray(rod.cg) / yoke.rod.length) for rod in rods)
    return mass_on_shafts(machine) + ends


def residual_unbalance(shaking: Shaking) -> np.ndarray:
    """Return order 1 of the shaking force as an unbalance, kg m, (options...)."""
    across, along = (orders(values, 1)[..., 1] for values in (shaking.x, shaking.y))
    return largest_of_order(across, along)
