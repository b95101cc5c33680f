"""Whether a system whose matrices return each turn comes to rest by itself, and at which frequencies it whirls freely.

Harmonic balance answers where the motion is unstable too; the motion over one turn of what disturbs it does not. Its
matrix over a turn is a product of exponentials, by Magnus' method of fourth order with two Gauss points a step (Iserles
and others, Acta Numerica 9, 2000, from memory), and its eigenvalues say by what a disturbance grows in a turn
(Floquet).
"""

import numpy as np

from shafts.whirl.periodic import PeriodicSystem, derivatives, finer

STEPS = 3  # Magnus steps for each angle of the balance, at least
RESOLVED = 1.5  # largest angle, rad, by which the quickest motion may turn in a step
MOST_STEPS = 1024


def growth(system: PeriodicSystem, speed: float, sense: float = 1.0) -> float:
    """Return the factor by which the worst disturbance grows in a turn; below 1 it dies out.

    sense : -1 where crank angle falls as time goes on.   What grows past all numbers in a turn is endless.
    """
    if not system.held:
        return 0.0
    with np.errstate(over="ignore", invalid="ignore"):
        turn = over_a_turn(system, speed, sense)
    return float(np.max(np.abs(np.linalg.eigvals(turn)))) if np.all(np.isfinite(turn)) else np.inf


def over_a_turn(system: PeriodicSystem, speed: float, sense: float = 1.0) -> np.ndarray:
    """Return what a turn makes of the held motions and their rates by crank angle, (2 n, 2 n).

    sense : as in `growth`; what the turn makes is undone step by step then, as time has it.
    """
    steps = _steps(system, speed, sense)
    return _product(steps if sense > 0 else steps[::-1])


def _product(steps: np.ndarray) -> np.ndarray:
    """Return the product of matrices, the last one first, (steps, m, m): (m, m)."""
    while len(steps) > 1:
        paired = steps[1::2] @ steps[: len(steps) - 1 : 2]
        steps = paired if len(steps) % 2 == 0 else np.concatenate([paired, steps[-1:]])
    return steps[0]


def _steps(system: PeriodicSystem, speed: float, sense: float) -> np.ndarray:
    """Return what takes held motions and their rates from step to step through a turn, (steps, 2 n, 2 n).

    sense : below 0 for what takes them back.
    """
    held = system.held
    springs = np.linalg.solve(_mass(system)[:held, :held], system.stiffness[:, :held, :held])
    quickest = np.max(np.abs(np.linalg.eigvals(springs)))
    turned = 2 * np.pi * np.sqrt(quickest) / speed
    count = int(np.clip(np.ceil(turned / RESOLVED), STEPS * system.angles, MOST_STEPS))
    width = 2 * np.pi / count
    points = (np.arange(count)[:, None] + 0.5 + np.array([-1, 1]) * np.sqrt(3) / 6) * width
    first, second = (_rates(system, speed, points[:, each]) for each in (0, 1))
    crossed = second @ first - first @ second
    exponent = width / 2 * (first + second) + width**2 * np.sqrt(3) / 12 * crossed
    return _exponential(np.sign(sense) * exponent)


def _exponential(matrices: np.ndarray) -> np.ndarray:
    """Return the exponentials of matrices, (..., m, m): a series of a small share of each, squared again and again."""
    size = float(np.max(np.sum(np.abs(matrices), axis=-1)))
    halves = max(0, int(np.ceil(np.log2(max(size, 1e-9)))) + 2)
    small = matrices / 2**halves
    series = term = np.broadcast_to(np.eye(matrices.shape[-1]), matrices.shape)
    for number in range(1, 11):
        term = term @ small / number
        series = series + term
    for _ in range(halves):
        series = series @ series
    return series


def _rates(system: PeriodicSystem, speed: float, theta: np.ndarray) -> np.ndarray:
    """Return A of (z, z')' = A (z, z') at angles, (angles, 2 n, 2 n); freedoms without springs stand still in it."""
    held = system.held
    mass, cross, spin, aside, damping = (
        each[:held, :held] for each in (system.mass, system.cross, system.spin, system.aside, system.damping)
    )
    coarse, fine = (_weights(count, theta) for count in (system.angles, finer(system.angles)))
    stiffness = np.tensordot(coarse, system.stiffness[:, :held, :held], axes=1)
    total = np.broadcast_to(mass, stiffness.shape).copy()
    rate = np.broadcast_to(damping / speed - cross, stiffness.shape).copy()
    spring = stiffness / speed**2 + spin - damping @ aside / speed
    once, twice = derivatives(finer(system.angles))
    for each in system.along:
        way, turned, bent = (fine @ values[:, :held] for values in (each.way, once @ each.way, twice @ each.way))
        total += each.mass * way[:, :, None] * way[:, None, :]
        rate += 2 * each.mass * way[:, :, None] * turned[:, None, :]
        spring = spring + each.mass * way[:, :, None] * bent[:, None, :]
    rates = np.zeros((len(theta), 2 * held, 2 * held))
    rates[:, :held, held:] = np.eye(held)
    rates[:, held:, :held] = -np.linalg.solve(total, spring)
    rates[:, held:, held:] = -np.linalg.solve(total, rate)
    return rates


def _mass(system: PeriodicSystem) -> np.ndarray:
    """Return the mass with the mean of what goes along with it, (n, n)."""
    return system.mass + sum(each.mass * each.way.T @ each.way / len(each.way) for each in system.along)


def _weights(count: int, theta: np.ndarray) -> np.ndarray:
    """Return what takes courses at so many equally spaced angles to others, (angles, count)."""
    apart = theta[:, None] - 2 * np.pi / count * np.arange(count)
    orders = np.arange(1, count // 2 + 1)
    return (1 + 2 * np.sum(np.cos(apart[..., None] * orders), axis=-1)) / count
