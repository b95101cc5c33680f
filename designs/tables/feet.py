"""How the case stands on its feet, what they transmit to the bench, where it resonates, and which speeds to avoid."""

import numpy as np

from balance.case.bands import Band, bands, merged
from balance.case.body import FREEDOMS, Case, sag, standing_loads
from balance.case.isolation import watched
from balance.case.running import gas_power
from balance.case.vibration import NUMBERS, Vibration, peak, resonant_speeds, steady_roll, vibration
from designs.evaluate import Evaluation
from designs.shown import said
from designs.table import Column, Table

RUBBER = (
    " Rubber by Gent and Lindley's formula, moduli by hardness after Lindley, dynamic ratio by hardness, all from "
    "memory; loss factor 0.1 of natural rubber; 5 degrees more hardness make it 1.2 times as stiff (GMT Rubber)."
)


def tables(evaluation: Evaluation, case: Case) -> list[Table]:
    """Return static loads and sag, transmitted force, that by order, resonances, and speeds to avoid."""
    return [
        _standing(evaluation),
        _feet(evaluation),
        _bench(evaluation),
        _resonances(evaluation),
        _bands(evaluation, case),
    ]


def over_range(evaluation: Evaluation) -> Vibration:
    """Return the response at the speeds at which every limit is looked at, and at that of the worst vibration."""
    assert evaluation.vibration is not None
    assert evaluation.case is not None
    tried = evaluation.vibration
    severity = np.max([tried.severity(point) for point in watched(tried.case.mount).values()], axis=0)
    slowest = evaluation.design.speed.slowest
    speeds = np.unique([*(np.maximum(each, slowest) for each in evaluation.speeds), tried.speed[np.argmax(severity)]])
    return vibration(evaluation.case, evaluation.case_loads, speeds)


def lift(evaluation: Evaluation, response: Vibration) -> np.ndarray:
    """Return the share of a foot's load that is lifted, (speeds,); nothing known where no weight presses."""
    feet, gravity = response.case.mount.feet, evaluation.design.gravity
    if feet is None or feet.held_down or not np.all(np.asarray(gravity.y) < 0):
        return np.full(response.speed.shape, np.nan)
    return response.uplift(gravity, steady_roll(evaluation.case_loads))


def _standing(evaluation: Evaluation) -> Table:
    columns = (
        Column("foot", "foot"),
        Column("x", "x", "m"),
        Column("y", "y", "m"),
        Column("z", "z", "m"),
        Column("load", "static load", "N"),
        Column("sag", "sag", "m"),
    )
    mount, case, gravity = evaluation.mount, evaluation.case, evaluation.design.gravity
    assert mount is not None
    assert mount.feet is not None
    assert case is not None
    loads = standing_loads(mount, (mount.mass * gravity.x, mount.mass * gravity.y))
    places = mount.feet.places
    each = zip(places, loads, sag(mount, gravity), strict=True)
    rows = [(str(number), *foot, load, low) for number, (foot, load, low) in enumerate(each, 1)]
    note = (
        "Under the weight alone. Dynamic stiffness of the feet over static: "
        f"{float(np.max(mount.feet.stiffening)):g}. "
        + ("" if np.isinf(case.standing) else f"It would fall over at {float(case.standing):.3g} times its weight. ")
        + "Measure the sag: it tells the feet's true stiffness."
    )
    given = evaluation.design.mount and evaluation.design.mount.feet
    return Table("standing", "How the case stands", columns, rows, note + (RUBBER if given and given.rubber else ""))


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
    response = over_range(evaluation)
    force, torque = response.bench_force(), evaluation.gas_torque
    gas = [None] * response.speed.size if torque is None else gas_power(torque, response.speed)
    lifted, peaks = lift(evaluation, response), [peak(force[axis]) for axis in "xy"]
    rows = list(zip(response.speed, *peaks, response.passed_on(), lifted, response.power(), gas, strict=True))
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
    response, rows = over_range(evaluation), []
    force, feet = response.bench_force(), response.foot_forces()
    single = np.max([np.abs(each["y"]) for each in feet], axis=0)
    for index, speed in enumerate(response.speed):
        for number, order in enumerate(NUMBERS):
            each = [np.abs(force[axis][index, number]) for axis in "xy"]
            rows.append((speed, str(order), order * speed / (2 * np.pi), *each, single[index, number]))
    largest = max(max(row[3:]) for row in rows)
    brief = [row for row in rows if max(row[3:]) > 0.01 * largest]
    note = (
        "Force of all feet together, and along the cylinder of the foot that passes most, at order times speed. Shown "
        "are those above a hundredth of the largest."
    )
    return Table("bench_orders", "Force on the bench by order", columns, rows, note, brief)


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
    case, speed = evaluation.case, evaluation.design.speed
    assert case is not None
    rows = []
    for mode, (frequency, damping) in enumerate(zip(case.frequency, case.damping, strict=True)):
        motion = _motion(case, mode)
        for order, met in zip(NUMBERS, resonant_speeds(case)[:, mode], strict=True):
            inside = bool(speed.least <= met <= speed.most)
            if order == 1 or inside:
                rows.append((mode + 1, motion, frequency / (2 * np.pi), damping, int(order), met, inside))
    note = (
        "Undamped. An order passes a resonance quietly if it hardly shakes that mode: see the vibration at that speed."
    )
    return Table("resonances", "Resonances of the case", columns, rows, note)


def _bands(evaluation: Evaluation, case: Case) -> Table:
    columns = (
        Column("least", "from", "rad/s"),
        Column("most", "to", "rad/s"),
        Column("met", "what is met"),
        Column("velocity", "largest velocity, rms", "m/s"),
    )
    limit = float(evaluation.design.limits.vibration)
    groups = merged(bands(case, evaluation.case_loads, evaluation.design.speed, limit))
    rows = [
        (
            min(each.least for each in group),
            max(each.most for each in group),
            "; ".join(_met(case, each) for each in sorted(group, key=lambda band: -band.velocity)[:3]),
            max(each.velocity for each in group),
        )
        for group in groups
    ]
    note = (
        f"Half-power bands of resonances within the speed range that bring more than {said(limit, 'm/s', 'g')} rms by "
        "themselves. None: no resonance is to blame."
    )
    return Table("avoid", "Speeds to avoid", columns, rows, note)


def _met(case: Case, band: Band) -> str:
    return f"order {band.order} meets {_motion(case, band.mode)} at {case.frequency[band.mode] / (2 * np.pi):.1f} Hz"


def _motion(case: Case, mode: int) -> str:
    shares = case.shares()
    return max((name for name in FREEDOMS if name in shares), key=lambda name: float(shares[name][mode]))
