"""How the case vibrates, what shakes it, and what case and feet would do."""

from collections.abc import Callable

import numpy as np

from balance.case.body import AXES, sag
from balance.case.isolation import Needed, heavier, needed_mass, needed_stiffness, outcome, stiffer, watched, zone
from balance.case.running import gas_power, unreal
from balance.case.taken import missing
from balance.case.vibration import Vibration, peak
from balance.machine.mount import Mount
from designs.evaluate import Evaluation
from designs.shown import number as number_of
from designs.shown import said, shown
from designs.tables import feet
from designs.tables.table import Column, Table
from designs.verdict.case_remedies import causes

HELD = (
    "The case is a rigid body; every foot is a spring with a dashpot; the weight softens rocking. Orders 1 to 8 of the "
    "shaking force and couples and of the torque "
    "reaction; the load acts by its torque alone; what moves inside is counted with the case."
)
TAKEN = (
    " Taken, since it was left out: a box of {} around all that the design tells of, its mass centre at {}, "
    "feet at its lower corners where they have no places. Give {}."
)
ZONE_NOTE = (
    "Zones of ISO 10816-1, class I (from memory, check against the standard; now ISO 20816-1): A new, B fit for "
    "running without end, C not for long, D harmful. They were made for "
    "rotating machines up to 15 kW; for a reciprocating one they are a guide and no more."
)


def tables(evaluation: Evaluation) -> list[Table]:
    """Return vibration over speed, its causes, how it stands, what the bench feels, resonances, and what is needed."""
    if evaluation.vibration is None or evaluation.case is None:
        return []
    found = [_places(evaluation), _causes(evaluation)]
    if evaluation.case.mount.feet is not None:
        found += feet.tables(evaluation, evaluation.case)
    return [*found, _needed(evaluation)]


def _assumed(evaluation: Evaluation) -> str:
    mount = evaluation.mount
    assert mount is not None
    assert evaluation.design.mount is not None
    left_out = missing(evaluation.design.mount)
    if not left_out:
        return HELD
    unit = shown("m")[0]
    sides = [] if mount.size is None else [number_of(float(each), "m", ".0f") for each in mount.size]
    box = f"{' x '.join(sides)} {unit}" if sides else "the given inertia"
    centre = ", ".join(number_of(float(each), "m", ".0f") for each in mount.cg)
    return HELD + TAKEN.format(box, f"{centre} {unit}", " and ".join(left_out))


def _reality(evaluation: Evaluation, response: Vibration) -> list[str]:
    """Return for each speed whether the velocity is real, or why it is not."""
    torque = evaluation.gas_torque
    power = None if torque is None else gas_power(torque, response.speed)
    reasons = unreal(response, np.nan_to_num(feet.lift(evaluation, response)), power)
    return [
        "; ".join(f"no: {reason}" for reason, there in reasons.items() if there[place]) or "yes"
        for place in range(response.speed.size)
    ]


def _places(evaluation: Evaluation) -> Table:
    columns = (
        Column("place", "place"),
        Column("speed", "speed", "rad/s"),
        Column("velocity_x", "across, rms", "m/s"),
        Column("velocity_y", "along the cylinder, rms", "m/s"),
        Column("velocity_z", "along the shafts, rms", "m/s"),
        Column("shift", "largest shift, peak", "m"),
        Column("zone", "zone"),
        Column("real", "real"),
    )
    response = feet.over_range(evaluation)
    real, rows = _reality(evaluation, response), []
    for name, place in watched(response.case.mount).items():
        velocity, shift = response.velocity(place), response.shift(place)
        most = np.max([peak(shift[axis]) for axis in AXES], axis=0)
        for number, speed in enumerate(response.speed):
            each = [velocity[axis][number] for axis in AXES]
            rows.append((name, speed, *each, most[number], zone(max(each)), real[number]))
    note = (
        f"{_assumed(evaluation)} {ZONE_NOTE} Not real: a foot that leaves the bench hammers, and a resonance that "
        "takes more power than the gas has is never reached."
    )
    return Table("vibration", "Vibration of the case", columns, rows, note)


def _causes(evaluation: Evaluation) -> Table:
    columns = (Column("cause", "cause"), Column("velocity", "largest velocity by itself, rms", "m/s"))
    note = (
        "The worst of any watched place over the speed range with each cause alone. Torque ripple is the reaction to "
        "what flywheel and load take up and give back; a like flywheel on each shaft cancels it. More inertia on one "
        "shaft does not: at steady speed the wheel takes up the same torque."
    )
    return Table("vibration_causes", "What shakes the case", columns, list(causes(evaluation).items()), note)


def _needed(evaluation: Evaluation) -> Table:
    columns = (
        Column("change", "change"),
        Column("mass", "mass of the case", "kg"),
        Column("stiffness", "stiffness of all feet", "N/m"),
        Column("factor", "factor on the present", "1"),
        Column("velocity", "largest velocity then", "m/s"),
        Column("sag", "largest sag then", "m"),
        Column("uplift", "foot uplift then", "share"),
    )
    mount, loads, speed = evaluation.mount, evaluation.case_loads, evaluation.design.speed
    limit, gravity = float(evaluation.design.limits.vibration), evaluation.design.gravity
    assert mount is not None
    tried: list[Tried] = [("as it is", mount, 1.0)]
    tried += _sides(
        needed_mass(mount, loads, speed, limit, gravity),
        ("lighter case", "heavier case"),
        lambda by: heavier(mount, by),
    )
    if mount.feet is not None:
        stiffness = needed_stiffness(mount, loads, speed, limit, gravity)
        tried += _sides(stiffness, ("softer feet", "stiffer feet"), lambda by: stiffer(mount, by))
    rows = [_mount_row(evaluation, *each) for each in tried]
    note = (
        f"Nearest change that keeps every watched place below {said(limit, 'm/s', 'g')} rms over the whole speed "
        "range, alone, with the case standing and every foot down; none where it fits already. A dash: none was found "
        "with a case up to 3 times as heavy or as light and feet up to 30 times as stiff or as soft, so no "
        "sensible one does it. A heavier case keeps its shape of mass and its dashpots; other feet keep "
        "their share of critical damping."
    )
    return Table("mount_needed", "Case and feet that meet the limit of vibration", columns, rows, note)


Tried = tuple[str, Mount | None, float | None]


def _sides(found: Needed, words: tuple[str, str], make: Callable[[float], Mount]) -> list[Tried]:
    """Return (word, mount, factor) of the nearest mounts that fit; None for both where none does."""
    if found.less == 1.0:
        return []
    factors = zip(words, (found.less, found.more), strict=True)
    return [(word, None if factor is None else make(factor), factor) for word, factor in factors]


def _mount_row(evaluation: Evaluation, word: str, then: Mount | None, factor: float | None) -> tuple:
    if then is None:
        return word, None, None, factor, None, None, None
    gravity = evaluation.design.gravity
    fares = outcome(then, evaluation.case_loads, evaluation.design.speed, gravity)
    if then.feet is None:
        return word, then.mass, None, factor, fares.velocity, None, None
    return word, then.mass, then.feet.stiffnesses[1], factor, fares.velocity, max(sag(then, gravity)), fares.uplift
