"""How evenly the machine turns, what flywheel evens it out, and what balance grade it reaches."""

import numpy as np

from balance.flywheel import (
    evenness,
    inertia_for,
    largest_acceleration,
    speed_fluctuation,
    torque_over_cycle,
    turning_inertias,
)
from balance.machine.disc import Disc, disc_mass, disc_stress, rim_speed
from balance.machine.materials import MATERIALS
from balance.quality import grade_reached, named_grade, permissible_unbalance
from balance.sensitivity import Sensitivity, residual_unbalance, sensitivities, turning_mass
from balance.speed_swing import swung_shaking
from balance.torque import torques
from designs.cautions import LOOSE, OVERSPEED
from designs.evaluate import Evaluation
from designs.shown import RPM
from designs.table import Column, Table
from shafts.loaded_shafts import LoadedShafts

PLATES = (6e-3, 10e-3, 16e-3)
"""Thicknesses of steel plate, m, for which a disc is proposed where the design states none."""

NOTHING = 1e-9  # of the largest crankpin load; less shaking force than that is rounding


def tables(evaluation: Evaluation) -> list[Table]:
    """Return evenness of turning, what counts as inertia, the flywheel needed, balance grade, and small slips."""
    return [
        _evenness(evaluation),
        _swing(evaluation),
        _inertias(evaluation),
        *_discs(evaluation),
        *_grade(evaluation),
        _sensitivities(evaluation),
    ]


def _speeds(evaluation: Evaluation) -> list[float]:
    speed = evaluation.design.speed
    return [float(speed.slowest), float(speed.rated), float(speed.most)]


def _evenness(evaluation: Evaluation) -> Table:
    columns = (
        Column("speed", "speed", "rad/s"),
        Column("mean", "mean torque", "N m"),
        Column("power", "power", "W"),
        Column("ripple", "torque ripple", "N m"),
        Column("reversals", "direction reversals a turn"),
        Column("energy", "energy fluctuation", "J"),
        Column("share", "of the work of a turn", "share"),
        Column("fluctuation", "fluctuation of speed", "share"),
        Column("acceleration", "largest acceleration", "rad/s^2"),
    )
    inertia, rows = evaluation.turning_inertia, []
    for speed in _speeds(evaluation):
        torque = torque_over_cycle(evaluation.crank_torques.total, speed, evaluation.motion.theta.size)
        result = evenness(torque)
        slip = speed_fluctuation(result.energy, inertia, speed)
        hurry = largest_acceleration(torque, inertia) if inertia > 0 else None
        rows.append(
            (
                speed,
                result.mean,
                result.mean * speed,
                result.ripple,
                int(result.reversals),
                result.energy,
                result.energy_share,
                slip,
                hurry,
            )
        )
    note = (
        "Torque of gas, weight and inertia at constant speed, without friction. Fluctuation: (fastest - "
        "slowest)/mean, to first order; the next table has it in full."
    )
    return Table("evenness", "Fluctuation of speed", columns, rows, note)


def _swing(evaluation: Evaluation) -> Table:
    """What the swing of the speed changes; for a single design."""
    columns = (
        Column("speed", "mean speed", "rad/s"),
        Column("slowest", "slowest", "rad/s"),
        Column("fastest", "fastest", "rad/s"),
        Column("fluctuation", "fluctuation of speed", "share"),
        Column("shaking", "shaking force, peak", "N"),
        Column("shaking_more", "more than if even", "share"),
        Column("pin", "crankpin load, peak", "N"),
        Column("pin_more", "more than if even", "share"),
        Column("torque", "crank torque, peak", "N m"),
        Column("torque_more", "more than if even", "share"),
    )
    rows = []
    for swing in evaluation.swings:
        speed, even = float(swing.mean), evaluation.still_shafts
        swung = evaluation.still_swung(swing)
        shaken = swung_shaking(evaluation.shaking, swing), evaluation.shaking
        shaking = [float(np.max(each.size)) * speed**2 for each in shaken]
        pins = [_largest_pin(each, speed) for each in (swung, even)]
        turned = torques(evaluation.machine, evaluation.motion, swung.forces), evaluation.torques
        torque = [float(np.max(np.abs(each.total.at(speed)))) for each in turned]
        # What is left for rounding alone has no share that it could grow by.
        least = (NOTHING * max(pins), 0.0, 0.0)
        pairs = [
            number
            for peaks, nothing in zip((shaking, pins, torque), least, strict=True)
            for number in (peaks[0], peaks[0] / peaks[1] - 1 if peaks[1] > nothing else None)
        ]
        rows.append((speed, np.min(swing.speed), np.max(swing.speed), float(swing.fluctuation), *pairs))
    stopping = [swing for swing in evaluation.swings if np.any(swing.stops)]
    note = (
        "Solved by energy for a load of steady torque and rigid parts, without friction. The verdict counts it in "
        "shaking and gap from a fluctuation of 5 percent on. The centrifugal force of counterweights is that of even "
        "turning."
    )
    if stopping:
        slow = float(stopping[0].mean) * RPM
        note += f" At {slow:.0f} rpm it nearly stops within the turn: it cannot run so slowly."
    return Table("speed_swing", "Speed that swings over a turn, and what it changes", columns, rows, note)


def _largest_pin(shafts: LoadedShafts, speed: float) -> float:
    sides = (side for each in shafts.forces.values() for side in (each.pin.right, each.pin.left))
    return max(float(np.max(np.hypot(side.x.at(speed), side.y.at(speed)))) for side in sides)


def _inertias(evaluation: Evaluation) -> Table:
    columns = (Column("what", "what turns, both shafts"), Column("inertia", "moment of inertia", "kg m^2"))
    rows = list(turning_inertias(evaluation.machine).items())
    rows.append(("all together", evaluation.turning_inertia))
    note = (
        "Gears as solid discs; fitted counterweights as cut; webs as stated, else by mass, mass centre and size; "
        "rods by the share of their mass at the crankpin. The bare shafts and the mean inertia of yokes are left out, "
        "so the machine turns a little more evenly than said."
    )
    return Table("inertias", "What evens out the turning", columns, rows, note)


def _discs(evaluation: Evaluation) -> list[Table]:
    """Return the disc that holds the stated fluctuation over the speed range; nothing if none is stated."""
    limit, wheel = evaluation.design.limits.speed_fluctuation, evaluation.design.flywheel
    if limit is None:
        return []
    wanted = _inertia_each(evaluation, float(limit))
    stated = None if wheel is None else wheel.disc
    discs = tuple(Disc(material=MATERIALS["steel"], thickness=each) for each in PLATES) if stated is None else (stated,)
    columns = (
        Column("material", "material"),
        Column("inertia", "moment of inertia", "kg m^2"),
        Column("diameter", "diameter", "m"),
        Column("thickness", "thickness", "m"),
        Column("mass", "mass", "kg"),
        Column("rim", "rim speed at overspeed", "m/s"),
        Column("stress", "stress at overspeed", "stress"),
    )
    rows = [_disc_row(disc, wanted, float(evaluation.top_speed)) for disc in discs]
    note = (
        f"Each wheel a plain disc that holds the fluctuation to {limit * 100:g} percent from the slowest to "
        f"the fastest speed. The stress is that of a plain disc with a small bore. {LOOSE} {OVERSPEED}"
    )
    if stated is None:
        note += " State flywheel.disc for another material, thickness or diameter."
    return [Table("flywheel", "Flywheel that is needed", columns, rows, note)]


def _inertia_each(evaluation: Evaluation, limit: float) -> float:
    """Return the moment of inertia that each flywheel needs, kg m^2, with what else turns taken off."""
    wheel, angles = evaluation.design.flywheel, evaluation.motion.theta.size
    listed = []
    for speed in _speeds(evaluation):
        torque = torque_over_cycle(evaluation.crank_torques.total, speed, angles)
        listed.append(float(inertia_for(evenness(torque).energy, speed, limit)))
    rest = evaluation.turning_inertia - turning_inertias(evaluation.machine).get("flywheel", 0.0)
    return max(max(listed) - float(rest), 0.0) / (2 if wheel is not None and wheel.on == "both" else 1)


def _disc_row(disc: Disc, inertia: float, top_speed: float) -> tuple:
    diameter, thickness = disc.measures(inertia)
    density = disc.material.density
    rim = rim_speed(diameter, top_speed)
    return (
        disc.material.name,
        inertia,
        diameter,
        thickness,
        disc_mass(diameter, thickness, density),
        rim,
        disc_stress(rim, density),
    )


def _grade(evaluation: Evaluation) -> list[Table]:
    mass, speed = float(turning_mass(evaluation.machine)), float(evaluation.design.speed.most)
    if mass <= 0:
        return []
    residual = float(residual_unbalance(evaluation.shaking))
    columns = (
        Column("mass", "mass that turns", "kg"),
        Column("residual", "residual unbalance, order 1", "kg m"),
        Column("grade", "balance quality at the fastest speed", "m/s"),
        Column("named", "meets"),
        Column("allowed", "allowed by the grade given", "kg m"),
    )
    limit = evaluation.design.limits.balance_grade
    allowed = None if limit is None else permissible_unbalance(limit, mass, speed)
    grade = grade_reached(residual, mass, speed)
    note = (
        "ISO 21940-11 (grades from memory). Order 1 of the whole drive's shaking force as an unbalance, against "
        "all that turns with both shafts "
        "and the crankpin ends of the rods. Force that only goes to and fro is no unbalance of a rotor; it is "
        "counted here as if it were. "
        "For comparison: G 16 and G 40 are asked of balanced crankshaft drives on rigid and on elastic "
        "mounts, G 6.3 of fans and gears."
    )
    return [
        Table(
            "grade",
            "Balance quality",
            columns,
            [(mass, residual, grade, named_grade(float(grade)).split(":")[0], allowed)],
            note,
        )
    ]


def _sensitivities(evaluation: Evaluation) -> Table:
    columns = (
        Column("slip", "slip"),
        Column("unbalance", "adds to order 1", "kg m"),
        Column("force", "force at the fastest speed, peak", "N"),
        Column("across", "across, peak", "N"),
        Column("roll", "roll couple, peak", "N m"),
    )
    weight = evaluation.weight
    shape = None if weight is None else (np.asarray(weight.shape.mass), np.asarray(weight.shape.moment))
    square = float(evaluation.design.speed.most) ** 2
    rows = [_sensitivity_row(each, square) for each in sensitivities(evaluation.machine, evaluation.motion, shape)]
    note = (
        "Peak of the order 1 that each slip adds, whatever is left besides. Where the cranks are out of step "
        "each yoke rides at the mean "
        "of its two sides. A drilled hole takes away density x pi/4 x diameter^2 x depth x radius."
    )
    return Table("slips", "What small slips do to the balance", columns, rows, note)


def _sensitivity_row(slip: Sensitivity, square: float) -> tuple:
    return slip.name, slip.force, slip.force * square, slip.across * square, slip.roll * square
