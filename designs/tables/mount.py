"""How the case vibrates, what shakes it, and what other cases and feet would do."""

import numpy as np

from balance.case.body import AXES, sag
from balance.case.isolation import watched, zone
from balance.case.running import gas_power, unreal
from balance.case.taken import missing
from balance.case.vibration import Vibration, peak
from designs.counsel.free import case
from designs.design import Design
from designs.evaluate import Evaluation
from designs.shown import file_words, shown
from designs.shown import number as number_of
from designs.stock import stock_with
from designs.table import Column, Table
from designs.tables import feet
from designs.verdict import vibration
from designs.verdict.case_causes import causes

HELD = (
    "The case is a rigid body; every foot is a spring with a dashpot; the weight softens rocking. Orders 1 to 8 of the "
    "shaking force and couples and of the torque "
    "reaction; the load acts by its torque alone; what moves inside is counted with the case."
)
TAKEN = (
    " Taken, since it was left out: a box of {} around all that the design tells of, its mass centre at {}, "
    "feet at its lower corners where they have no places. `check`, and the cases and feet below, say the least of "
    "several such boxes, as what must be expected; this is one of them. Give {}."
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
    listed = [_places(evaluation), _causes(evaluation)]
    if evaluation.case.mount.feet is not None:
        listed += feet.tables(evaluation, evaluation.case)
    return [*listed, _tried(evaluation)]


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
        "; ".join(f"no: {reason}" for reason, there in reasons.items() if there[index]) or "yes"
        for index in range(response.speed.size)
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
    for name, point in watched(response.case.mount).items():
        velocity, shift = response.velocity(point), response.shift(point)
        most = np.max([peak(shift[axis]) for axis in AXES], axis=0)
        for number, speed in enumerate(response.speed):
            each = [velocity[axis][number] for axis in AXES]
            rows.append((name, speed, *each, most[number], zone(max(each)), real[number]))
    worst = [max((row for row in rows if row[1] == speed), key=lambda row: max(row[2:5])) for speed in response.speed]
    note = (
        f"Of all places the worst at each speed; --json has every one. {_assumed(evaluation)} {ZONE_NOTE} Not real: a "
        "foot that leaves the bench hammers, and a resonance that takes more power than the gas has is never reached."
    )
    return Table("vibration", "Vibration of the case", columns, rows, note, worst)


def _causes(evaluation: Evaluation) -> Table:
    columns = (Column("cause", "cause"), Column("velocity", "largest velocity by itself, rms", "m/s"))
    note = (
        "The worst of any watched place over the speed range with each cause alone. Torque ripple is the reaction to "
        "what flywheel and load take up and give back: of like flywheels that turn against each other the reactions "
        "cancel, and at steady speed the inertia of one alone makes no difference."
    )
    return Table("vibration_causes", "What shakes the case", columns, list(causes(evaluation).items()), note)


def _tried(evaluation: Evaluation) -> Table:
    """Return what each case and foot that can be had makes of the limits of the case, judged as the verdict does."""
    columns = (
        Column("change", "change"),
        Column("mass", "mass of the case", "heavy"),
        Column("stiffness", "stiffness of all feet", "N/m"),
        Column("velocity", "largest velocity then", "m/s"),
        Column("sag", "largest sag then", "m"),
        Column("uplift", "foot uplift then", "share"),
        Column("holds", "limits of the case"),
    )

    design = evaluation.design
    dials = case.dials(design, stock_with(design.stock))
    others = [
        (f"{dial.name} to {file_words(level.shown)}", level.of(design)) for dial in dials for level in dial.levels
    ]
    rows = [_row(words, _in_case(evaluation, other)) for words, other in others if other is not design]
    holding = [row for row in rows if row[-1] == HOLD]
    nearest = sorted(rows, key=lambda row: (row[-1].count(","), np.inf if row[3] is None else row[3]))[:NEAREST]
    shown = holding or nearest
    note = (
        "Each change alone, from what can be bought and may be changed. "
        + ("All that hold are shown." if holding else "None of them is enough alone; the nearest are shown.")
        + f" {len(rows)} were tried. `mend` tries them with others."
    )
    return Table("mount_needed", "Case and feet that were tried", columns, [_row("as it is", evaluation), *shown], note)


HOLD = "hold"
NEAREST = 3
ALIKE = ("motion", "torques", "case_loads", "around")
"""What the case and its feet do not change."""


def _in_case(evaluation: Evaluation, other: Design) -> Evaluation:
    """Return another design, which differs in its case alone, with what the case does not change taken over."""
    other_evaluation = Evaluation(other, evaluation.oversampling)
    vars(other_evaluation).update({name: getattr(evaluation, name) for name in ALIKE})
    return other_evaluation


def _row(words: str, evaluation: Evaluation) -> tuple:
    case, rows = evaluation.case, {row.key: row for row in vibration.rows(evaluation)}
    assert case is not None
    values = {key: None if row.value is None else float(row.value) for key, row in rows.items()}
    open_ = [key for key, row in rows.items() if row.state not in ("pass", "not checked")]
    unchecked = [key for key, row in rows.items() if row.left_out]
    state = f"fail: {', '.join(open_)}" if open_ else f"not checked: {', '.join(unchecked)}" if unchecked else HOLD
    mount = case.mount
    stiffness = None if mount.feet is None else mount.feet.stiffnesses[1]
    lowest = None if mount.feet is None else max(sag(mount, evaluation.design.gravity))
    return words, mount.mass, stiffness, values["vibration"], lowest, values["uplift"], state
