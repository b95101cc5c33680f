"""How the case vibrates on its feet, where it resonates, and what mount would do."""

from collections.abc import Callable

import numpy as np

from balance.case.bands import Band, bands, merged
from balance.case.body import AXES, FREEDOMS, Case, sag, standing_loads
from balance.case.isolation import (
    Needed,
    heavier,
    needed_mass,
    needed_stiffness,
    outcome,
    stiffer,
    watched,
    zone,
)
from balance.case.running import gas_power, unreal
from balance.case.taken import missing
from balance.case.vibration import NUMBERS, Vibration, peak, resonant_speeds, steady_roll, vibration
from balance.machine.mount import Mount
from designs.evaluate import Evaluation
from designs.tables.table import Column, Table
from designs.verdict.case_remedies import causes

HELD = (
    "The case is a rigid body; every foot is a spring with a dashpot; the weight softens rocking. Orders 1 to 8 of the "
    "shaking force and couples and of the torque "
    "reaction; the load acts by its torque alone; what moves inside is counted with the case."
)
TAKEN = (
    " Taken, since it was left out: a box of {} mm around all that the design tells of, its mass centre at {} mm, "
    "feet at its lower corners where they have no places. Give {}."
)
ZONE_NOTE = (
    "Zones of ISO 10816-1, class I (from memory, check against the standard; now ISO 20816-1): A new, B fit for running "
    "without end, C not for long, D harmful. They were "
    "made for rotating machines up to 15 kW; for a reciprocating one they are a guide and no more."
)


def tables(evaluation: Evaluation) -> list[Table]:
    """Return vibration over speed, its causes, how it stands, what the bench feels, resonances, and what is needed."""
    if evaluation.vibration is None or evaluation.case is None:
        return []
    found = [_places(evaluation), _causes(evaluation)]
    if evaluation.case.mount.feet is not None:
        found += [_standing(evaluation), _feet(evaluation), _bench(evaluation), _resonances(evaluation)]
        found.append(_bands(evaluation, evaluation.case))
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
    mount = evaluation.mount
    assert mount is not None
    assert evaluation.design.mount is not None
    left_out = missing(evaluation.design.mount)
    if not left_out:
        return HELD
    box = "the given inertia" if mount.size is None else " x ".join(f"{float(each) * 1e3:.0f}" for each in mount.size)
    centre = ", ".join(f"{float(each) * 1e3:.0f}" for each in mount.cg)
    return HELD + TAKEN.format(box, centre, " and ".join(left_out))


def _reality(evaluation: Evaluation, response: Vibration) -> list[str]:
    """Return for each speed whether the velocity is real, or why it is not."""
    torque = evaluation.gas_torque
    power = None if torque is None else gas_power(torque, response.speed)
    reasons = unreal(response, np.nan_to_num(_lift(evaluation, response)), power)
    return [
        "; ".join(f"no: {reason}" for reason, there in reasons.items() if there[place]) or "yes"
        for place in range(response.speed.size)
    ]


def _lift(evaluation: Evaluation, response: Vibration) -> np.ndarray:
    """Return the share of a foot's load that is lifted, (speeds,); nothing known where no weight presses."""
    feet, gravity = response.case.mount.feet, evaluation.design.gravity
    if feet is None or feet.held_down or not np.all(np.asarray(gravity.y) < 0):
        return np.full(response.speed.shape, np.nan)
    return response.uplift(gravity, steady_roll(evaluation.case_loads))


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
    response = _over_range(evaluation)
    real, rows = _reality(evaluation, response), []
    for name, place in watched(response.case.mount).items():
        velocity, shift = response.velocity(place), response.shift(place)
        most = np.max([peak(shift[axis]) for axis in AXES], axis=0)
        for number, speed in enumerate(response.speed):
            each = [velocity[axis][number] for axis in AXES]
            rows.append((name, speed, *each, most[number], zone(max(each)), real[number]))
    note = (
        f"{_assumed(evaluation)} {ZONE_NOTE} Not real: a foot that leaves the bench hammers, and a resonance that takes "
        "more power than the gas has is never reached."
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


def _standing(evaluation: Evaluation) -> Table:
    columns = (
        Column("foot", "foot"),
        Column("x", "x", "m"),
        Column("y", "y", "m"),
        Column("z", "z", "m"),
        Column("load", "static load", "N"),
        Column("sag", "sag", "m"),
    )
    mount, body, gravity = evaluation.mount, evaluation.case, evaluation.design.gravity
    assert mount is not None
    assert mount.feet is not None
    assert body is not None
    loads = standing_loads(mount, (mount.mass * gravity.x, mount.mass * gravity.y))
    places = mount.feet.places
    rows = [(str(number), *place, load, low)
            for number, (place, load, low) in enumerate(zip(places, loads, sag(mount, gravity), strict=True), 1)]  # fmt: skip
    note = (
        "Under the weight alone. Dynamic stiffness of the feet over static: "
        f"{float(np.max(mount.feet.stiffening)):g}. "
        + ("" if np.isinf(body.standing) else f"It would fall over at {float(body.standing):.3g} times its weight. ")
        + "Measure the sag: it tells the feet's true stiffness."
    )
    if mount.feet.rubber is not None or (evaluation.design.mount and evaluation.design.mount.feet
                                         and evaluation.design.mount.feet.rubber):  # fmt: skip
        note += (
            " Rubber by Gent and Lindley's formula, moduli by hardness after Lindley, dynamic ratio by hardness, all from "
            "memory; loss factor 0.1 of natural rubber; 5 degrees more hardness make it 1.2 times as stiff (GMT Rubber)."
        )
    return Table("standing", "How the case stands", columns, rows, note)


def _feet(evaluation: Evaluation) -> Table:
    columns = (
        Column("speed", "speed", "rad/s"),
        Column("force_x", "on the bench across, peak", "N"),
        Column("force_y", "on the bench along, peak", "N"),
        Column("passed_on", "transmitted of the shaking force", "share"),
        Column("uplift", "foot uplift over static foot load", "share"),
        Column("lost", "power lost in the feet", "W"),
        Column("gas", "power of the gas", "W"),
    )
    response = _over_range(evaluation)
    force, torque = response.bench_force(), evaluation.gas_torque
    gas = [None] * response.speed.size if torque is None else gas_power(torque, response.speed)
    rows = list(zip(response.speed, peak(force["x"]), peak(force["y"]), response.passed_on(), _lift(evaluation, response),
                    response.power(), gas, strict=True))  # fmt: skip
    note = (
        "Force of all feet together, without the weight. A foot that is not bolted down begins to rattle "
        "where all its load is lifted. Where the feet take more than the gas has before friction, that speed is not "
        "reached."
    )
    return Table("feet", "Transmitted force of the feet", columns, rows, note)


def _bench(evaluation: Evaluation) -> Table:
    columns = (
        Column("speed", "speed", "rad/s"),
        Column("order", "order"),
        Column("frequency", "frequency", "Hz"),
        Column("force_x", "across, peak", "N"),
        Column("force_y", "along the cylinder, peak", "N"),
        Column("foot", "largest of a single foot, peak", "N"),
    )
    response, rows = _over_range(evaluation), []
    force, feet = response.bench_force(), response.foot_forces()
    single = np.max([np.abs(each["y"]) for each in feet], axis=0)
    for place, speed in enumerate(response.speed):
        for number, order in enumerate(NUMBERS):
            each = [np.abs(force[axis][place, number]) for axis in "xy"]
            rows.append((speed, str(order), order * speed / (2 * np.pi), *each, single[place, number]))
    largest = max(max(row[3:]) for row in rows)
    brief = [row for row in rows if max(row[3:]) > 0.01 * largest]
    note = (
        "Force of all feet together, and along the cylinder of the foot that passes most, at order times speed. Shown are "
        "those above a hundredth of the largest."
    )
    return Table("bench_orders", "Force on the bench by order", columns, rows, note, brief)


def _bands(evaluation: Evaluation, body: Case) -> Table:
    columns = (
        Column("least", "from", "rad/s"),
        Column("most", "to", "rad/s"),
        Column("met", "what is met"),
        Column("velocity", "largest velocity, rms", "m/s"),
    )
    limit = float(evaluation.design.limits.vibration)
    found = merged(bands(body, evaluation.case_loads, evaluation.design.speed, limit))
    rows = [
        (
            min(each.least for each in group),
            max(each.most for each in group),
            "; ".join(_met(body, each) for each in sorted(group, key=lambda band: -band.velocity)[:3]),
            max(each.velocity for each in group),
        )
        for group in found
    ]
    note = (
        f"Half-power bands of resonances within the speed range that bring more than {limit * 1e3:g} mm/s rms by "
        "themselves. None: no resonance is to blame."
    )
    return Table("avoid", "Speeds to avoid", columns, rows, note)


def _met(body: Case, band: Band) -> str:
    return f"order {band.order} meets {_motion(body, band.mode)} at {body.frequency[band.mode] / (2 * np.pi):.1f} Hz"


def _motion(body: Case, mode: int) -> str:
    shares = body.shares()
    return max((name for name in FREEDOMS if name in shares), key=lambda name: float(shares[name][mode]))


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
    rows = []
    for mode, (own, damping) in enumerate(zip(body.frequency, body.damping, strict=True)):
        motion = _motion(body, mode)
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
        f"Nearest change that keeps every watched place below {limit * 1e3:g} mm/s rms over the whole speed "
        "range, alone, with the case standing and every foot down; none where it fits already. A dash: none was found "
        "with a case up to 3 times as heavy or as light and feet up to 30 times as stiff or as soft, so no sensible one "
        "does it. A heavier case keeps its shape of mass and its dashpots; other feet keep "
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
