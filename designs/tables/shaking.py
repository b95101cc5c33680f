"""How the machine shakes, by order, and what counterweights do about it."""

import numpy as np

from balance.cycle.extremes import largest
from balance.shaking import Shaking
from designs.evaluate import Evaluation
from designs.table import Column, Table

ORDERS = 8
NOTHING = 5e-4  # N or N m: less is of no concern to anybody; JSON has it all the same
NAMES = {"x": "across", "y": "along the cylinder", "pitch": "pitch couple", "yaw": "yaw couple", "roll": "roll couple"}


def tables(evaluation: Evaluation) -> list[Table]:
    """Return peak shaking over speed, and every order at the rated speed, before and after counterweights."""
    return [_peaks(evaluation), _orders(evaluation)]


def _states(evaluation: Evaluation) -> dict[str, Shaking]:
    states = {"without counterweights": evaluation.bare_shaking}
    if evaluation.weight is not None:
        states["with counterweights"] = evaluation.weighted_shaking
    return states


def _peaks(evaluation: Evaluation) -> Table:
    columns = (
        Column("state", "state"),
        Column("runs_so", "as designed"),
        Column("speed", "speed", "rad/s"),
        Column("force", "force, peak", "N"),
        Column("force_across", "across, peak", "N"),
        Column("force_along", "along, peak", "N"),
        Column("pitch", "pitch couple, peak", "N m"),
        Column("yaw", "yaw couple, peak", "N m"),
        Column("roll", "roll couple, peak", "N m"),
    )
    speed = evaluation.design.speed
    rows = []
    for name, state in _states(evaluation).items():
        runs = (name == "with counterweights") == evaluation.fitted
        for omega in (speed.rated, speed.most):
            parts = (
                state.size,
                np.abs(state.x),
                np.abs(state.y),
                np.abs(state.pitch),
                np.abs(state.yaw),
                np.abs(state.roll),
            )
            rows.append((name, runs, omega, *(largest(part)[0] * omega**2 for part in parts)))
    note = "Force of the moving parts' inertia on the case; couples about the point midway between the shafts at z = 0."
    return Table("shaking", "Shaking force and couples", columns, rows, note)


def _orders(evaluation: Evaluation) -> Table:
    columns = (
        Column("state", "state"),
        Column("part", "part"),
        Column("order", "order"),
        Column("amplitude", "amplitude", "N"),
        Column("couple", "couple", "N m"),
        Column("angle", "first peak at crank angle", "rad"),
    )
    omega = evaluation.design.speed.rated
    rows, brief = [], []
    for name, state in _states(evaluation).items():
        for part, spectrum in state.orders(ORDERS).items():
            listed = [(name, NAMES[part], *row) for row in _order_rows(spectrum * omega**2, part in ("x", "y"))]
            rows += listed
            brief += [row for row in listed if max(row[3] or 0.0, row[4] or 0.0) > NOTHING]
    note = (
        "Amplitudes are peaks; order n comes n times a turn, first at the angle listed. What is not listed is nothing."
    )
    return Table("orders", "Shaking by order at rated speed", columns, rows, note, brief)


def _order_rows(spectrum: np.ndarray, force: bool) -> list[tuple]:
    rows = []
    biggest = np.max(np.abs(spectrum))
    for order in range(1, len(spectrum)):
        size = np.abs(spectrum[order])
        angle = (-np.angle(spectrum[order]) / order) % (2 * np.pi / order) if size > 1e-12 * biggest else None
        rows.append((order, size if force else None, None if force else size, angle))
    return rows
