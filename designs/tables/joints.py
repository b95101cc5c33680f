"""The force in every joint, the torque on each crank, and the tooth force."""

import numpy as np

from balance.cycle.extremes import largest, least
from balance.cycle.load import Load, PlanarForce
from balance.torque import tooth_force
from designs.evaluate import Evaluation
from designs.table import Column, Table


def tables(evaluation: Evaluation) -> list[Table]:
    """Return peak joint forces and torques at rated and fastest speed, and their course over the cycle."""
    return [_peaks(evaluation), _torques(evaluation), _course(evaluation)]


def _pulls(evaluation: Evaluation) -> dict[str, PlanarForce]:
    pulls = {}
    for name, forces in evaluation.forces.items():
        for side in ("right", "left"):
            pulls[f"{name} crankpin, {side}"] = getattr(forces.pin, side)
            pulls[f"{name} yoke pivot, {side}"] = getattr(forces.pivot, side)
        pulls[f"{name} guide"] = PlanarForce(x=forces.guide)
    return pulls


def _loads(evaluation: Evaluation) -> dict[str, Load]:
    torques = evaluation.crank_torques
    return {
        "right crank": torques.right,
        "left crank": torques.left,
        "both cranks": torques.total,
        "across the gears": torques.mesh,
    }


def _peaks(evaluation: Evaluation) -> Table:
    columns = (
        Column("joint", "joint"),
        Column("speed", "speed", "rad/s"),
        Column("peak", "peak", "N"),
        Column("angle", "at crank angle", "rad"),
        Column("across", "across, peak", "N"),
        Column("along", "along, peak", "N"),
    )
    speed, theta = evaluation.design.speed, evaluation.motion.theta
    rows = []
    for name, pull in _pulls(evaluation).items():
        for omega in (speed.rated, speed.most):
            x, y = (np.broadcast_to(each.at(omega), theta.shape) for each in (pull.x, pull.y))
            parts = largest(np.abs(x))[0], largest(np.abs(y))[0]
            rows.append((name, omega, *largest(np.hypot(x, y)), *parts))
    note = "Rods share what a yoke needs equally; the guide carries what is left across, no moment; no friction."
    return Table("joints", "Joint forces", columns, rows, note)


def _torques(evaluation: Evaluation) -> Table:
    columns = (
        Column("where", "where"),
        Column("speed", "speed", "rad/s"),
        Column("mean", "mean", "N m"),
        Column("least", "least", "N m"),
        Column("largest", "largest", "N m"),
        Column("tooth_peak", "tooth force, peak", "N"),
    )
    speed, theta = evaluation.design.speed, evaluation.motion.theta
    tooth = tooth_force(evaluation.machine, evaluation.torques)
    rows = []
    for name, load in _loads(evaluation).items():
        for omega in (speed.rated, speed.most):
            values = np.broadcast_to(load.at(omega), theta.shape)
            teeth = largest(np.abs(tooth.at(omega)))[0] if name == "across the gears" else None
            rows.append((name, omega, values.mean(), least(values)[0], largest(values)[0], teeth))
    note = (
        "Positive in the direction of rotation; across the gears left to right. The load takes the mean; the flywheel, "
        "or else the load, the ripple."
    )
    return Table("torques", "Torque", columns, rows, note)


def _course(evaluation: Evaluation) -> Table:
    theta, omega = evaluation.motion.theta, evaluation.design.speed.rated
    curves: list[tuple[Column, np.ndarray]] = [(Column("angle", "crank angle", "rad"), theta)]
    for name, pull in _pulls(evaluation).items():
        key = name.replace(", ", "_").replace(" ", "_")
        curves.append((Column(f"{key}_x", f"{name}, x", "N"), np.broadcast_to(pull.x.at(omega), theta.shape)))
        curves.append((Column(f"{key}_y", f"{name}, y", "N"), np.broadcast_to(pull.y.at(omega), theta.shape)))
    for name, load in _loads(evaluation).items():
        column = Column(f"torque_{name.replace(' ', '_')}", name, "N m")
        curves.append((column, np.broadcast_to(load.at(omega), theta.shape)))
    rows = list(zip(*(values for _, values in curves), strict=True))
    note = "At rated speed; forces by the rods on crankpins and yokes, by the guide on the yoke."
    return Table("course", "Joint forces over the cycle", tuple(column for column, _ in curves), rows, note)
