"""Whirl of the shafts, their torsion, and what vibration adds to their bending."""

import numpy as np

from balance.cycle.load import Load
from balance.quantities import Number
from balance.torque import pin_torque
from designs.evaluate import Evaluation
from designs.tables.table import Column, Table
from shafts.crank.loaded import LoadedCrank
from shafts.whirl.critical import critical_speeds, whirl_frequencies
from shafts.whirl.rotor import MANY, rotors
from shafts.whirl.torsion import highest_strong_order, torsional_frequencies, wind_up
from shafts.whirl.vibrating import DAMPING, resonances

SIDES = ("right", "left")
MASSES = (
    "With gear teeth in mesh but not tied in bending; each crankpin carries the turning part of its rods and half of "
    "what goes to and fro; webs as solid as their data say; bearings alike in all directions; no damping."
)


def tables(evaluation: Evaluation) -> list[Table]:
    """Return critical speeds, frequencies over speed, what vibration adds, and torsion; for a single design."""
    return [
        _critical(evaluation),
        _frequencies(evaluation),
        _vibration(evaluation),
        _torsion(evaluation),
        _wind_up(evaluation),
    ]


def _critical(evaluation: Evaluation) -> Table:
    columns = (
        Column("side", "shaft"),
        Column("number", "number"),
        Column("forward", "with the turning (unbalance)", "rad/s"),
        Column("backward", "against the turning", "rad/s"),
        Column("margin", "over the fastest speed", ""),
    )
    rows = []
    for side, body in zip(SIDES, rotors(evaluation.loaded_shafts, MANY), strict=True):
        forward, backward = critical_speeds(body, 1), critical_speeds(body, -1)
        most = evaluation.design.speed.most
        rows += [(side, number + 1, forward[number], backward[number], forward[number] / most) for number in range(3)]
    return Table("critical_speeds", "Critical speeds of the shafts", columns, rows, MASSES)


def _frequencies(evaluation: Evaluation) -> Table:
    columns = (
        Column("side", "shaft"),
        Column("speed", "speed", "rad/s"),
        Column("forward_1", "first, with the turning", "rad/s"),
        Column("backward_1", "first, against it", "rad/s"),
        Column("forward_2", "second, with the turning", "rad/s"),
        Column("backward_2", "second, against it", "rad/s"),
    )
    rows = []
    top = float(evaluation.top_speed)
    for side, body in zip(SIDES, rotors(evaluation.loaded_shafts, MANY), strict=True):
        for speed in np.linspace(0.0, top, 6):
            forward, backward = whirl_frequencies(body, speed, 2)
            rows.append((side, speed, forward[0], backward[0], forward[1], backward[1]))
    note = "Natural frequencies in whirls a minute. " + _meeting(evaluation)
    return Table("whirl", "Whirl frequencies over speed", columns, rows, note)


def _meeting(evaluation: Evaluation) -> str:
    most, least = float(evaluation.design.speed.most), float(evaluation.design.speed.least)
    state = evaluation.shaft_vibration
    strong = {(side, int(order)) for side, name in state.slow for order in state.orders[state.counts(side, name)]}
    met = resonances(evaluation.loaded_shafts, most, evaluation.rotors)
    found = [each for each in met if each[2] >= least and each[:2] in strong]
    if not found:
        return "No order that bends the shafts by 1 percent of the strongest meets the first one in the speed range."
    words = ", ".join(
        f"order {abs(order)} {'with' if order > 0 else 'against'} the turning, {side}, at {speed * 30 / np.pi:.0f} rpm"
        for side, order, speed in sorted(found, key=lambda each: each[2])
    )
    return f"In the speed range meet the first one: {words}."


def _vibration(evaluation: Evaluation) -> Table:
    columns = (
        Column("throw", "throw of"),
        Column("side", "side"),
        Column("order", "order"),
        Column("slow", "slow deflection", "m", small=True),
        Column("quick", "with vibration", "m", small=True),
        Column("ratio", "ratio", ""),
    )
    state = evaluation.shaft_vibration
    rows = []
    for side, name in state.slow:
        ratio = state.ratio(side, name)
        rows += [
            (name, side, int(order), abs(state.slow[side, name][n]), abs(state.quick[side, name][n]), ratio[n])
            for n, order in enumerate(state.orders)
            if np.isfinite(ratio[n])
        ]
    return Table(
        "vibration_of_shafts",
        "Vibration of the shafts at the fastest speed",
        columns,
        rows,
        _say(state.off, evaluation.vibrates),
    )


def _say(off: float, counted: bool) -> str:
    words = (
        "All orders together change a peak deflection by more than 5 percent, so vibration is counted in the gap"
        if counted
        else "All orders together change no peak deflection by 5 percent: vibration is not counted in the gap"
    )
    return (
        f"In the order where most, the slow deflection is off by {100 * off:.1f} percent. {words}. Orders with a minus "
        "sign swing against the turning; those below 1 percent of the largest are left out. "
        f"Damping: {100 * DAMPING:g} percent of critical at the first critical speed (common practice, no source)."
    )


def _torsion(evaluation: Evaluation) -> Table:
    columns = (
        Column("system", "what twists"),
        Column("number", "number"),
        Column("frequency", "natural frequency", "rad/s"),
        Column("cycles", "natural frequency", "Hz"),
        Column("order", "lowest order that meets it in the speed range"),
        Column("speed", "at", "rad/s"),
    )
    rows = []
    most, least = float(evaluation.design.speed.most), float(evaluation.design.speed.least)
    for system in evaluation.twisting:
        name = "both shafts, geared" if len(evaluation.twisting) == 1 else f"{system.names[0].split()[0]} shaft"
        for number, frequency in enumerate(torsional_frequencies(system)[:3]):
            order = int(np.ceil(frequency / most))
            meets = order <= 12 and frequency / order >= least
            rows.append((name, number + 1, frequency, frequency / (2 * np.pi), str(order) if meets else "none up to 12",
                         frequency / order if meets else None))  # fmt: skip
    strong = int(highest_strong_order(evaluation.torques, most))
    teeth = evaluation.design.cranks.gears
    mesh = "rigid" if teeth is None or teeth.mesh_stiffness is None else "as stiff as stated"
    note = f"Gear teeth in mesh, {mesh}; cranks rigid. The crank torque is strong up to order {strong} at full speed."
    return Table("torsion", "Torsional vibration", columns, rows, note)


def _wind_up(evaluation: Evaluation) -> Table:
    columns = (
        Column("throw", "throw of"),
        Column("side", "side"),
        Column("ahead", "most ahead of the gear", "rad", small=True),
        Column("behind", "most behind it", "rad", small=True),
    )
    rows = []
    engine, carried, speed = evaluation.machine, evaluation.loaded_shafts, evaluation.design.speed.most
    for crank in carried.cranks:
        origin = next(each.at for each in crank.loads if each.name in ("gear teeth", "coupling"))
        torques = _torques(evaluation, crank)
        for name in crank.stations.rods:
            at = engine.throw_of(engine.yokes[name]).at
            angle = wind_up(crank.shaft, torques, [at], origin).at(speed)[0] * evaluation.motion.sense
            rows.append((name, crank.hand, angle.max(), angle.min()))
    note = (
        "Twist of the shaft between throw and gear at the fastest speed, ahead in the sense of turning. Without gears "
        "it is seen from where the power leaves, and the gap budget leaves it out: both sides turn by it alike."
    )
    return Table("wind_up", "Wind-up of the shafts", columns, rows, note)


def _torques(evaluation: Evaluation, crank: LoadedCrank) -> list[tuple[Number, Load]]:
    """Return the torques of rods and of what takes them away, with their places along the shaft."""
    found = [(each.at, each.torque) for each in crank.loads if each.torque is not None]
    moved = evaluation.motion.yokes
    return found + [
        (each.at, pin_torque(moved[each.name].pin, each.force, crank.sign))
        for each in crank.loads
        if each.kind == "rod" and each.force is not None
    ]
