"""What the shafts carry inside, and how safe they are in every section."""

import numpy as np

from designs.evaluate import Evaluation
from designs.fixings import held
from designs.table import Column, Table
from shafts.strength.fatigue import Strength, cycle, elliptic, gerber, goodman, safeties, soderberg
from shafts.strength.hubs import passing
from shafts.strength.on_shaft import hubbed
from shafts.strength.sections import SAME
from shafts.strength.stress import InternalLoads

SIDES = ("right", "left")


def tables(evaluation: Evaluation) -> list[Table]:
    """Return loads inside both shafts, their safety, and that of all parts beside them; for a single design."""
    return [_inside(evaluation), _safety(evaluation), _parts(evaluation), *_hubs(evaluation)]


NOTHING = 1e-9  # of the endurance limit: what is left of loads that cancel to rounding is no stress


def _along(loads: InternalLoads) -> list[int]:
    """Return the sections in order along the shaft, of each place the side in front of it first; ends have one side."""
    cuts = loads.sections
    at = np.round(cuts.at / SAME)  # rounding tells no two places apart
    within = [n for n in range(at.size) if at[n] != (np.max(at) if cuts.behind[n] else np.min(at))]
    return sorted(within, key=lambda n: (at[n], cuts.behind[n]))


def _inside(evaluation: Evaluation) -> Table:
    columns = (
        Column("side", "shaft"),
        Column("place", "place"),
        Column("at", "at", "m"),
        Column("diameter", "diameter", "m"),
        Column("moment", "bending moment, peak", "N m"),
        Column("steady_moment", "that turns with the shaft", "N m"),
        Column("shear", "shear, peak", "N"),
        Column("torque", "torque, peak", "N m"),
        Column("mean_torque", "torque, mean", "N m"),
    )
    speed = np.asarray(evaluation.design.speed.most)
    rows = []
    for side, loads in zip(SIDES, evaluation.inside, strict=True):
        peaks = loads.moment.at(speed), loads.shear.at(speed), loads.torque.at(speed[..., None])
        rows += [(side, *_inside_row(loads, n, *(each[n] for each in peaks))) for n in _along(loads)]
    note = (
        "At the fastest speed. A moment that turns with the shaft stresses it steadily, the rest alternates. Throws "
        "beyond the shaft's end act through rigid arms; a throw between bearings is looked at as if the shaft ran "
        "through it. The shaft's own weight is left out."
    )
    return Table("inside", "Loads inside the shafts", columns, rows, note)


def _inside_row(loads: InternalLoads, n: int, moment: np.ndarray, shear: np.ndarray, torque: np.ndarray) -> tuple:
    peaks = (np.abs(each).max() for each in (shear, torque))
    turning = abs(moment.mean())
    where = loads.sections.at[n], loads.sections.diameter[n]
    return (_name(loads, n), *where, np.abs(moment).max(), turning, *peaks, torque.mean())


def _safety(evaluation: Evaluation) -> Table:
    columns = (
        Column("side", "shaft"),
        Column("place", "place"),
        Column("at", "at", "m"),
        Column("speed", "worst speed", "rad/s"),
        Column("notch", "notch factor, bending", ""),
        Column("notch_torsion", "torsion", ""),
        Column("alternating", "alternating stress", "stress"),
        Column("steady", "mean stress", "stress"),
        Column("endurance", "endurance limit", "stress"),
        Column("goodman", "fatigue safety", ""),
        Column("gerber", "by Gerber", ""),
        Column("elliptic", "by ASME ellipse", ""),
        Column("soderberg", "by Soderberg", ""),
        Column("yielding", "yield safety", ""),
    )
    rows = []
    for side, loads, capacity in zip(SIDES, evaluation.inside, evaluation.strengths, strict=True):
        if capacity is not None:
            speeds = np.stack(evaluation.every_speed)
            yields, _, tired = safeties(loads, capacity, speeds)
            worst = np.min(yields, axis=0)
            rows += [(side, *_safety_row(speeds, tired[:, n], worst[n], loads, capacity, n)) for n in _along(loads)]
    return Table("strength", "Safety of the shafts", columns, rows, _note(evaluation))


def _safety_row(
    speeds: np.ndarray, tired: np.ndarray, least_yield: float, loads: InternalLoads, capacity: Strength, n: int
) -> tuple:
    """Return the row of one section.   tired : its safety against fatigue at each speed."""
    speed = min(zip(speeds, tired, strict=True), key=lambda each: float(f"{each[1]:.9g}"))[0]
    stress = cycle(loads, capacity, speed)
    by_line = goodman(stress, capacity.endurance[:, None], capacity.tensile)[n]
    fibre = int(np.argmin(by_line))
    limit, tensile, yielding = capacity.endurance[n], capacity.tensile, capacity.yielding
    others = (gerber(stress, limit, tensile), elliptic(stress, limit, yielding), soderberg(stress, limit, yielding))
    return (
        _name(loads, n), loads.sections.at[n], speed, capacity.notch[n], capacity.notch_torsion[n],
        *(0.0 if each < NOTHING * limit else each for each in (stress.alternating[n, fibre], stress.steady[n, fibre])),
        limit, by_line[fibre],
        *(each[n].min() for each in others), least_yield,
    )  # fmt: skip


def _name(loads: InternalLoads, section: int) -> str:
    side = "behind" if loads.sections.behind[section] else "before"
    return f"{side} {loads.sections.places[section % len(loads.sections.places)].name}"


def _note(evaluation: Evaluation) -> str:
    shaft = evaluation.design.shafts
    return (
        f"Distortion energy with Goodman's line (Shigley, 9th ed., section 7-4); surface {shaft.finish}, reliability "
        f"{float(np.ravel(shaft.reliability)[0]):.4g} on the right; room temperature, no corrosion. Steps without a "
        "stated shoulder, and notches without a stated fillet, count as sharp: root radius 0.02 of the diameter; a "
        "shoulder whose larger diameter follows from nothing counts as twice the shaft. What holds webs and hubs "
        "raises stress, and counts where it is given; give bearings that are pressed on as notches. Other metals: "
        "strength at 5e8 turns, notches felt in full."
    )


def _parts(evaluation: Evaluation) -> Table:
    columns = (
        Column("limit", "limit"),
        Column("part", "part"),
        Column("way", "by"),
        Column("safety", "safety factor", ""),
        Column("speed", "worst speed", "rad/s"),
        Column("unknown", "to give"),
    )
    rows = []
    for key, parts in evaluation.parts.items():
        for part in parts:
            rows += [(key, part.name, way, each.min(), evaluation.part_speeds[each.argmin()], "")
                     for way, each in part.by.items()]  # fmt: skip
            if not part.by:
                rows.append((key, part.name, "", None, None, ", ".join(part.unknown)))
    return Table(
        "part_strength",
        "Safety of crankpins, webs, joints, hubs, yoke pins, rods, arms and stems",
        columns,
        rows,
        PARTS,
    )


def _hubs(evaluation: Evaluation) -> list[Table]:
    """Return what passes into everything that sits on a shaft by a hub, and what holds it; nothing without any."""
    columns = (
        Column("part", "part"),
        Column("held", "held by"),
        Column("torque", "largest torque", "N m"),
        Column("force", "largest force", "N"),
        Column("held_torque", "torque it holds", "N m"),
        Column("held_force", "force it holds", "N"),
    )
    rows = []
    for crank in evaluation.loaded_shafts.cranks:
        metal = crank.shaft.material
        for part in hubbed(evaluation.machine, crank.shaft, crank.hand):
            load = passing(crank, part, np.append(evaluation.part_speeds, evaluation.top_speed))
            unknown = part.unknown(metal)
            grip = None if unknown else part.grip(metal)
            holds = (None, None) if grip is None else (float(grip.torque), float(grip.force))
            said = f"give {', '.join(unknown)}" if unknown else held(part.hub)
            rows.append((part.name, said, float(np.max(load.torque)), float(np.max(load.force)), *holds))
    return [Table("hubs", "What holds gears, wheels and counterweights on their shafts", columns, rows, HUBS)] * bool(
        rows
    )


HUBS = (
    "Largest of the running loads over angles and speeds up to overspeed, vibration of the shafts with them; what a "
    "start by hand, a jam or a sudden stop adds is not counted, nor what speed adds to the load of teeth. Shares of "
    "torque, force and tilt are added, each of what the joint holds by itself. Set screws: cup points, seated as "
    "they should be, at the lowest that is published; a second one adds 0.3 of the first, a third nothing; half of "
    "it on a hardened shaft. Clamp: friction 0.12 on two lines. Pin: 0.2 of its tensile strength in shear. Faces of "
    "pins and keys: 0.35 of the weaker yield strength. A key of DIN 6885 with round ends. From memory where no "
    "source is named, check against the standard."
)
PARTS = (
    "Crankpins at their webs' faces and at the rod; webs across both holes, on what is left of their width. "
    "Yielding by the plain stress, fatigue by Goodman's line with the notch of the joint, surface and reliability "
    "as for the shafts. Values from memory, check against the standard: pressed 3.0 (Rm/GPa)^0.38 (DIN 743-2), "
    "glued 2, soldered 2.5 and the steel softened to 550 MPa, a screwed pin's clamped shoulder 2, its bare thread "
    "3.5 or 4.5. Grip: Lame's pressure of the least interference, 0.3 of it, friction 0.12; glue 3 MPa and silver "
    "solder 25 MPa under alternating load; a nut factor of 0.26. Shares of torque, bending and force are added. "
    "Rods: a rectangular shank that turns freely at both ends, its own swing, eyes wider than their pins. Stems "
    "carry all that the rods pass on, free at the displacer. Arms are cantilevers with the stem's hole. Holes and "
    "threads that are not given are not looked at. Of many options only the best are looked at."
)
