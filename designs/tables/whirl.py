"""Whirl of the cranks, their torsion, and what vibration adds to their bending."""

import numpy as np

from designs.evaluate import Evaluation
from designs.table import Column, Table
from shafts.strength.stress import section_loads
from shafts.whirl.crossings import EATS, GROWS, matters, named
from shafts.whirl.floquet import growth
from shafts.whirl.peaks import WORTH
from shafts.whirl.torsion import highest_strong_order, stretches, torsional_frequencies
from shafts.whirl.vibrating import vibrating

FEW = 3  # critical speeds that are shown however weak
MASSES = (
    "Rods' big ends, webs, weights, gear, flywheel and shaft turn with the crank; half of each yoke rides on each of "
    "its pivots and moves along its guide alone, through the rod. Teeth in mesh tie both cranks where their "
    "stiffness is known. Bearings alike in all directions. The pull of the rods keeps the direction that it has with "
    "rigid cranks."
)


def tables(evaluation: Evaluation) -> list[Table]:
    """Return critical speeds, what vibration adds, and torsion; for a single design."""
    return [
        _critical(evaluation),
        _crossings(evaluation),
        _vibration(evaluation),
        _torsion(evaluation),
        _torques(evaluation),
        _teeth(evaluation),
    ]


def _critical(evaluation: Evaluation) -> Table:
    """The lowest critical speeds of order 1, wherever they are."""
    columns = (
        Column("speed", "critical speed", "rad/s"),
        Column("way", "goes round"),
        Column("side", "crank"),
        Column("part", "where it moves most"),
        Column("margin", "over the fastest speed", ""),
    )
    rows: list[tuple] = []
    vibration = evaluation.shaft_vibration
    most = float(evaluation.design.speed.most)
    speeds, shapes = vibration.critical
    for speed, (order, way, side, part) in zip(speeds, named(vibration.pair, shapes), strict=True):
        if order == 1 and (way, side, part) not in [row[1:4] for row in rows]:
            rows.append((speed, way, side, part, speed / most))
        if len(rows) == 6:
            break
    return Table("critical_speeds", "First critical speeds of the cranks, once a turn", columns, rows, MASSES)


def _crossings(evaluation: Evaluation) -> Table:
    columns = (
        Column("speed", "critical speed", "rad/s"),
        Column("order", "order"),
        Column("way", "goes round"),
        Column("side", "crank"),
        Column("part", "where it moves most"),
        Column("added", "bends a crank by", "m", small=True),
        Column("driven", "of the largest deflection", "share"),
        Column("inside", "within the speed range"),
        Column("counts", "counts in the verdict"),
    )
    speed, limit = evaluation.design.speed, float(evaluation.design.limits.critical_speed_margin)
    near = [each for each in evaluation.crossings
            if float(speed.least) / limit <= each.speed <= limit * float(speed.most)]  # fmt: skip
    strongest = sorted(near, key=lambda each: -each.driven)[:FEW]
    near = [each for each in near if each.driven >= WORTH or each in strongest]
    rows = [(each.speed, each.order, each.way, each.hand, each.part, each.added, each.driven,
             _yes(float(speed.least) <= each.speed <= float(speed.most)),
             _yes(matters(each, evaluation.design.limits.gap))) for each in near]  # fmt: skip
    steady = growth(evaluation.shaft_vibration.pair.slow, float(speed.most), evaluation.motion.sense)
    note = (
        f"Every order of the loads, within the range and as far beyond as the margin asks, that adds {WORTH:.0%}, "
        f"and the strongest {FEW}. It counts in the verdict from {EATS:.0%} of both the deflection and the least gap "
        f"asked for, or {GROWS:.0%} of the deflection, of a bearing's load or of the teeth's. "
        "What it adds is that of each alone; several may act at once. "
        f"At the fastest speed a disturbance {'dies out: the motion is stable' if steady < 1 else 'GROWS: unstable'}."
    )
    if not rows:
        note = "No order meets a critical speed in or near the speed range. " + note
    return Table("whirl", "Critical speeds in and near the speed range", columns, rows, note)


def _yes(fact: bool) -> str:
    return "yes" if fact else "no"


def _vibration(evaluation: Evaluation) -> Table:
    columns = (
        Column("speed", "speed", "rad/s"),
        Column("throw", "crankpin of"),
        Column("side", "side"),
        Column("still", "static deflection, peak", "m", small=True),
        Column("added", "vibration adds, peak", "m", small=True),
        Column("share", "share", "share"),
    )
    vibration = evaluation.shaft_vibration
    speeds = np.unique([*(float(each) for each in evaluation.speeds), *evaluation.worst_speeds])
    added, still = vibration.peaks(speeds)
    pins = [(name, side) for side in ("right", "left") for name in evaluation.design.yokes]
    rows = []
    for number, speed in enumerate(speeds):
        pin = int(np.argmax(added[:, number]))
        rows.append(
            (speed, *pins[pin], still[pin, number], added[pin, number], added[pin, number] / still[pin, number])
        )
    orders = len(vibration.pair.theta) // 2
    counted = (
        "counted in gap and clearances, bearing loads, slopes, stresses and teeth alike"
        if evaluation.vibrates
        else "not counted: it changes no deflection, bearing load or tooth force by 1 percent"
    )
    note = (
        f"At the pin that vibrates most, at the speeds looked at and where it peaks between them; {counted}. "
        f"{orders} orders, so many that the highest quarter makes up less than 1 percent. Damping: "
        f"{100 * vibration.pair.damping:g} percent of critical at the first natural frequency (shafts.damping_ratio), "
        "in proportion to frequency above it. Turning as a whole is not damped. A shaft's own inner friction, which "
        "could unsettle it above its critical speed, is left out."
    )
    return Table("vibration_of_shafts", "Vibration of the cranks", columns, rows, note)


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
    for system in evaluation.torsional_systems:
        name = (
            "both shafts, geared" if len(evaluation.torsional_systems) == 1 else f"{system.names[0].split()[0]} shaft"
        )
        found = torsional_frequencies(system)[:3]
        for number, frequency in enumerate(found[np.isfinite(found)]):  # beside what is very soft others are none
            order = int(np.ceil(frequency / most))
            meets = order <= 12 and frequency / order >= least
            rows.append((name, number + 1, frequency, frequency / (2 * np.pi), str(order) if meets else "none up to 12",
                         frequency / order if meets else None))  # fmt: skip
    strong = int(highest_strong_order(evaluation.torques, most))
    gears = evaluation.design.cranks.gears
    mesh = "rigid" if gears is None or gears.stiffness is None else "yielding as their stiffness says"
    load = "" if evaluation.design.pulley is not None else " What it drives: give its inertia as that of a pulley."
    note = f"Gear teeth {mesh}; webs bend, pins twist. The torque is strong up to order {strong} at full speed.{load}"
    return Table("torsion", "Torsional vibration", columns, rows, note)


def _torques(evaluation: Evaluation) -> Table:
    columns = (
        Column("side", "shaft"),
        Column("between", "between"),
        Column("speed", "speed", "rad/s"),
        Column("still", "torque, peak", "N m"),
        Column("whole", "with vibration, peak", "N m"),
    )
    rows = []
    speeds = np.unique([float(evaluation.design.speed.most), *evaluation.worst_speeds])
    moving = vibrating(evaluation.shaft_vibration)
    for slow, quick in zip(evaluation.still_shafts.cranks, moving.cranks, strict=True):
        for low, high, middle in stretches(evaluation.machine, slow):
            still, whole = (
                np.max(np.abs(section_loads(crank, np.array([middle]))[2].at(speeds)), axis=(-2, -1))
                for crank in (slow, quick)
            )
            worst = int(np.argmax(whole))
            rows.append((slow.hand, f"{low} and {high}", speeds[worst], np.max(still[worst]), whole[worst]))
    note = (
        "Largest torque that a length of shaft carries, without and with vibration, at the fastest speed and where "
        "vibration peaks. The gears turn evenly where there is neither flywheel nor load inertia."
    )
    return Table("torque_peaks", "Torque in the shafts", columns, rows, note)


def _teeth(evaluation: Evaluation) -> Table:
    columns = (
        Column("speed", "speed", "rad/s"),
        Column("least", "least tooth force", "N"),
        Column("most", "largest tooth force", "N"),
        Column("added", "vibration adds, peak", "N"),
        Column("leaves", "teeth leave their flank"),
    )
    vibration, rows, tooth = evaluation.shaft_vibration, [], evaluation.still_shafts.tooth
    speeds = np.unique([*(float(each) for each in evaluation.speeds), *evaluation.worst_speeds])
    note = "Without gears no teeth meet."
    if tooth is not None:
        added = vibration.tooth(speeds)
        whole = np.broadcast_to(np.atleast_2d(tooth.at(speeds)), added.shape) + added
        for number, speed in enumerate(speeds):
            least, most = float(np.min(whole[number])), float(np.max(whole[number]))
            leaves = "yes, twice a turn or more" if least < 0 < most else "no"
            rows.append((speed, least, most, float(np.max(np.abs(added[number]))), leaves))
        note = (
            "Tangential force on the right gear with vibration. Where it changes its sign the teeth cross their "
            "backlash and knock; the blow itself is not worked out."
        )
    return Table("tooth_contact", "Gear teeth on their flanks", columns, rows, note)
