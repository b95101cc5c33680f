"""Whether masses alone can balance a machine in every order, which grams do it, and what is in the way.

For a single design.
"""

import numpy as np

from balance.cycle.harmonics import orders
from balance.machine.machine import Machine
from balance.many import refuse_many
from balance.motion import Motion
from balance.quantities import Scalar, result
from balance.shaking import Shaking
from balance.weights.balancing import across_planes, in_planes, yoke_effect

ORDERS = 24  # the motion's own harmonics are below rounding long before
NOTHING = 1e-8  # share of the first order that counts as none: the harmonics are exact to 1e-10


@result
class Complete:
    """The nearest that masses alone come to balance in every order.

    trims : mass to add to each yoke, kg, beside counterweights that cancel order 1 then.
    order : the largest order above the first that still remains, None if none does.
    residual : its amplitude per (rad/s)^2, kg m.   reason : what is in the way, in words.
    """

    trims: dict[str, float]
    order: int | None
    residual: float
    reason: str


def complete_balance(machine: Machine, motion: Motion, unbalanced: Shaking, planes: tuple[Scalar, ...]) -> Complete:
    """Return which masses on which yokes, and counterweights in these planes, come nearest to balance in every order.

    The counterweights take the first order whatever it is, so only the higher ones are asked of the trims; the
    masses that leave the least are found by non-negative least squares (Lawson and Hanson, Solving Least
    Squares Problems, 1974, ch. 23), which keeps to yokes that do not only make up for each other.
    """
    refuse_many(machine, "balance in every order")
    names = list(machine.yokes)
    effects = [_higher(planes, yoke_effect(motion, name, machine.throw_of(machine.yokes[name]).at)) for name in names]
    base, size = _higher(planes, unbalanced), _first(planes, unbalanced)
    masses = _trims(np.column_stack([_parts(one) for one in effects]), -_parts(base))
    masses[masses * np.array([np.abs(one).max() for one in effects]) < NOTHING * size] = 0.0
    rest = base + np.tensordot(masses, np.array(effects), axes=(0, 0))
    across = np.array([orders(part, ORDERS)[1:] for part in across_planes(planes, unbalanced)])
    if np.abs(across).max() > NOTHING * size:
        worst = int(np.argmax(np.abs(across).max(axis=0))) + 1
        return Complete(dict(zip(names, masses, strict=True)), worst, float(np.abs(across).max()), UNLIKE_SIDES)
    residual = float(np.abs(rest).max())
    order = None if residual <= NOTHING * size else int(np.argmax(np.abs(rest).max(axis=0))) + 2
    return Complete(
        dict(zip(names, masses, strict=True)), order, residual, "" if order is None else _reason(machine, planes)
    )


UNLIKE_SIDES = (
    "the right-hand and the left-hand side differ, which mirrored weights cannot make up for: make them alike"
)


def _higher(planes: tuple[Scalar, ...], shaken: Shaking) -> np.ndarray:
    """Return the complex orders from 2 of the force in each plane, (planes, orders)."""
    return np.array([orders(part, ORDERS)[2:] for part in in_planes(planes, shaken)])


def _first(planes: tuple[Scalar, ...], shaken: Shaking) -> float:
    return max(float(np.abs(orders(part, 1)[1])) for part in in_planes(planes, shaken))


def _parts(values: np.ndarray) -> np.ndarray:
    return np.concatenate([values.real.ravel(), values.imag.ravel()])


def _trims(columns: np.ndarray, wanted: np.ndarray) -> np.ndarray:
    """Return the masses that leave the least; columns that only make up for each other never both get a share."""
    size = max(np.abs(columns).max(initial=0.0), 1e-30)
    return nonnegative(columns / size, wanted / size)


def nonnegative(columns: np.ndarray, wanted: np.ndarray) -> np.ndarray:
    """Return the shares of some columns, none below zero, that come nearest to what is wanted.

    One column after another is let go, the one that pulls most; of those that are free, one that would fall below zero
    is held there again. Own work, since a library that has it takes a quarter of a second to load.
    """
    shares, free = np.zeros(columns.shape[1]), np.zeros(columns.shape[1], dtype=bool)
    least = 10 * max(columns.shape) * np.finfo(float).eps * max(np.abs(columns).sum(axis=0).max(initial=0.0), 1.0)
    for _ in range(3 * len(shares)):  # rounding may have one let go and held again for ever
        pull = np.where(free, -np.inf, columns.T @ (wanted - columns @ shares))
        if np.max(pull) <= least * max(np.linalg.norm(wanted), 1e-300):
            break
        free[np.argmax(pull)] = True
        shares = _held_at_zero(columns, wanted, shares, free)
    return shares


def _held_at_zero(columns: np.ndarray, wanted: np.ndarray, shares: np.ndarray, free: np.ndarray) -> np.ndarray:
    """Return the shares of the free columns as near as they come from some shares on; holds those that fall to zero."""
    while True:
        best = np.zeros_like(shares)
        best[free] = np.linalg.lstsq(columns[:, free], wanted, rcond=None)[0]
        below = free & (best <= 0)
        if not np.any(below):
            return best
        way = np.where(below, shares - best, 1.0)
        step = np.min(np.where(below, shares / np.where(way > 0, way, 1.0), 1.0))
        shares = shares + step * (best - shares)
        free &= ~(below & (shares <= 1e-15 * np.max(np.abs(shares), initial=0.0)))
        shares = np.where(free, shares, 0.0)


def _reason(machine: Machine, planes: tuple[Scalar, ...]) -> str:
    names = [name for name, yoke in machine.yokes.items() if yoke.rod is not None]
    if len(names) == 1:
        return f"nothing moves against yoke {names[0]}: a like yoke on the other side would"
    shapes = {name: _likeness(machine, name) for name in names}
    nearest = min(
        ((one, other) for at, one in enumerate(names) for other in names[at + 1 :]),
        key=lambda pair: len(_differences(shapes[pair[0]], shapes[pair[1]], len(planes))),
    )
    differ = _differences(shapes[nearest[0]], shapes[nearest[1]], len(planes))
    if not differ:
        return f"yokes {' and '.join(nearest)} are alike, so another yoke or the rods' own masses are in the way"
    return f"yokes {' and '.join(nearest)} do not move as mirror images: they {'; they '.join(differ)}"


def _likeness(machine: Machine, name: str) -> tuple[float, float, float, str, float]:
    yoke, throw = machine.yokes[name], machine.throw_of(machine.yokes[name])
    assert yoke.rod is not None
    offset = float(machine.cranks.centre_distance) / 2 - float(yoke.half_span)
    length = float(yoke.rod.length)
    return float(throw.radius) / length, offset / length, float(throw.phase), yoke.side, float(throw.at)


def _differences(one: tuple, other: tuple, planes: int) -> list[str]:
    words = []
    if abs(one[0] - other[0]) > 1e-9:
        words.append(f"differ in throw over rod length ({one[0]:.4f} and {other[0]:.4f})")
    if abs(one[1] - other[1]) > 1e-9:
        words.append(f"differ in offset over rod length ({one[1]:.4f} and {other[1]:.4f})")
    if abs(np.sin((one[2] - other[2]) / 2)) > 1e-9:
        words.append(f"are driven {np.rad2deg(other[2] - one[2]) % 360:.1f} deg apart")
    if one[3] == other[3]:
        words.append(f"both stand {one[3]} the cranks")
    if planes > 1 and abs(one[4] - other[4]) > 1e-9:
        words.append(f"lie in planes {abs(one[4] - other[4]) * 1e3:.1f} mm apart, which leaves a couple")
    return words
