"""How the case vibrates on its feet, where it resonates, and what mount would do."""

from collections.abc import Callable

import numpy as np

from balance.case.body import AXES
from balance.case.isolation import (
    Needed,
    heavier,
    needed_mass,
    needed_stiffness,
    stiffer,
    watched,
    worst_velocity,
    zone,
)
from balance.case.vibration import NUMBERS, Vibration, peak, resonant_speeds, steady_roll, vibration
from balance.machine.mount import Mount
from designs.evaluate import Evaluation
from designs.tables.table import Column, Table

HELD = (
    "The case is a rigid body; every foot is a spring with a dashpot. Orders 1 to 8 of the shaking force and "
    "couples and of the torque "
    "reaction; the load acts by its torque alone; what moves inside is counted with the case."
)
SHIFTS_ONLY = (
    " The case is taken to shift without turning, and its couples are left out: state mount.size or mount.inertia and, "
    "if it stands, mount.feet.places."
)
ZONE_NOTE = (
    "Zones of ISO 10816-1, class I (recalled; now ISO 20816-1): A new, B fit for running without end, C not "
    "for long, D harmful. They were "
    "made for rotating machines up to 15 kW; for a reciprocating one they are a guide and no more."
)


def tables(evaluation: Evaluation) -> list[Table]:
    """Return vibration over speed, what the feet pass on, resonances, and the mount that is needed."""
    if evaluation.vibration is None or evaluation.case is None:
        return []
    found = [_places(evaluation)]
    if evaluation.case.mount.feet is not None:
        found += [_feet(evaluation), _resonances(evaluation)]
    return [*found, _needed(evaluation)]


def _over_range(evaluation: Evaluation) -> Vibration:
    """Return the response at the speeds at which every limit is looked at, and at that of the worst vibration."""
    assert evaluation.vibration is not None
    assert evaluation.case is not None
    tried = evaluation.vibration
    severity = np.max([tried.severity(place) for place in watched(tried.case.mount).values()], axis=0)
    slowest = evaluation.design.speed.slowest
    speeds = np.unique([*(np.maximum(each, slowest) for each in evaluation.speeds), tried.speed[np.argmax(severity)]])
    return vibration(evaluation.case, evaluation.case_loads, speeds)


def _assumed(evaluation: Evaluation) -> str:
    assert evaluation.case is not None
    return HELD if evaluation.case.mount.turns else HELD + SHIFTS_ONLY


def _places(evaluation: Evaluation) -> Table:
    columns = (
        Column("place", "place"),
        Column("speed", "speed", "rad/s"),
        Column("velocity_x", "across, rms", "m/s"),
        Column("velocity_y", "along the cylinder, rms", "m/s"),
        Column("velocity_z", "along the shafts, rms", "m/s"),
        Column("shift", "largest shift, peak", "m"),
        Column("zone", "zone"),
    )
    response = _over_range(evaluation)
    rows = []
    for name, place in watched(response.case.mount).items():
        velocity, shift = response.velocity(place), response.shift(place)
        most = np.max([peak(shift[axis]) for axis in AXES], axis=0)
        for number, speed in enumerate(response.speed):
            each = [velocity[axis][number] for axis in AXES]
            rows.append((name, speed, *each, most[number], zone(max(each))))
    return Table("vibration", "Vibration of the case", columns, rows, f"{_assumed(evaluation)} {ZONE_NOTE}")


def _feet(evaluation: Evaluation) -> Table:
    columns = (
        Column("speed", "speed", "rad/s"),
        Column("force_x", "on the bench across, peak", "N"),
        Column("force_y", "on the bench along, peak", "N"),
        Column("passed_on", "passed on of the shaking force", "share"),
        Column("uplift", "lifted of a foot's load", "share"),
    )
    response = _over_range(evaluation)
    force, passed = response.bench_force(), response.passed_on()
    gravity = evaluation.design.gravity
    pressed = np.all(np.asarray(gravity.y) < 0)
    lift = (
        response.uplift(gravity, steady_roll(evaluation.case_loads))
        if pressed
        else np.full(response.speed.shape, np.nan)
    )
    rows = list(zip(response.speed, peak(force["x"]), peak(force["y"]), passed, lift, strict=True))
    note = (
        "Force of all feet together, without the weight. A foot that is not bolted down begins to rattle "
        "where all its load is lifted."
    )
    return Table("feet", "What the feet pass on", columns, rows, note)


def _resonances(evaluation: Evaluation) -> Table:
    columns = (
        Column("mode", "mode"),
        Column("motion", "mostly"),
        Column("frequency", "natural frequency", "Hz"),
        Column("damping", "share of critical damping", "share"),
        Column("order", "met by order"),
        Column("speed", "at speed", "rad/s"),
        Column("inside", "in the speed range"),
    )
    body, speed = evaluation.case, evaluation.design.speed
    assert body is not None
    shares, rows = body.shares(), []
    for mode, (own, damping) in enumerate(zip(body.frequency, body.damping, strict=True)):
        motion = max((share[mode], name) for name, share in shares.items())[1]
        for order, met in zip(NUMBERS, resonant_speeds(body)[:, mode], strict=True):
            inside = bool(speed.least <= met <= speed.most)
            if order == 1 or inside:
                rows.append((mode + 1, motion, own / (2 * np.pi), damping, int(order), met, inside))
    note = (
        "Undamped. An order passes a resonance quietly if it hardly shakes that mode: see the vibration at that speed."
    )
    return Table("resonances", "Resonances of the case", columns, rows, note)


def _needed(evaluation: Evaluation) -> Table:
    columns = (
        Column("change", "change"),
        Column("mass", "mass of the case", "kg"),
        Column("stiffness", "stiffness of all feet", "N/m"),
        Column("factor", "factor on the present", "1"),
        Column("velocity", "largest velocity then", "m/s"),
    )
    mount, loads, speed = evaluation.design.mount, evaluation.case_loads, evaluation.design.speed
    limit = float(evaluation.design.limits.vibration)
    assert mount is not None
    tried: list[Tried] = [("as it is", mount, 1.0)]
    tried += _sides(
        needed_mass(mount, loads, speed, limit), ("lighter case", "heavier case"), lambda by: heavier(mount, by)
    )
    if mount.feet is not None:
        stiffness = needed_stiffness(mount, loads, speed, limit)
        tried += _sides(stiffness, ("softer feet", "stiffer feet"), lambda by: stiffer(mount, by))
    rows = [_mount_row(evaluation, *each) for each in tried]
    note = (
        f"Nearest change that keeps every watched place below {limit * 1e3:g} mm/s rms over the whole speed "
        "range, alone; none where it fits already; a dash: none within "
        "a factor of a thousand. A heavier case keeps its shape of mass and its dashpots; other feet keep "
        "their share of critical damping."
    )
    return Table("mount_needed", "Mount that meets the limit of vibration", columns, rows, note)


Tried = tuple[str, Mount | None, float | None]


def _sides(found: Needed, words: tuple[str, str], make: Callable[[float], Mount]) -> list[Tried]:
    """Return (word, mount, factor) of the nearest mounts that fit; None for both where none does."""
    if found.less == 1.0:
        return []
    factors = zip(words, (found.less, found.more), strict=True)
    return [(word, None if factor is None else make(factor), factor) for word, factor in factors]


def _mount_row(evaluation: Evaluation, word: str, then: Mount | None, factor: float | None) -> tuple:
    if then is None:
        return word, None, None, factor, None
    velocity = worst_velocity(then, evaluation.case_loads, evaluation.design.speed)
    return word, then.mass, None if then.feet is None else then.feet.stiffness, factor, velocity
