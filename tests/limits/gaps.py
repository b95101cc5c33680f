"""An engine's yokes as the gap looks at them, and the exact positions of a yoke whose parts are a little off."""

from dataclasses import dataclass
from types import ModuleType

import numpy as np

from balance import gas, joints, motion, torque
from balance.machine.yoke import Yoke
from balance.quantities import Number
from shafts.engine import Engine
from shafts.gap.facing import alone
from shafts.gap.items.timing_and_backlash import lead
from shafts.gap.pair import YokePair, yoke_pairs
from shafts.loaded_shafts import Case, LoadedShafts, load_shafts


def carried(engine: Engine, count: int | None = None) -> LoadedShafts:
    """Return an engine's shafts under their loads."""
    moved = motion.move(engine, None if count is None else motion.crank_angles(count))
    state = gas.gas_state(engine, moved)
    forces = joints.joint_forces(engine, moved, state)
    return load_shafts(engine, moved, forces, torque.torques(engine, moved, forces))


def pair(engine: Engine, count: int | None = None) -> YokePair:
    """Return the one pair of yokes that face each other."""
    (found,) = yoke_pairs(carried(engine, count))
    return found


def rise(
    loaded: LoadedShafts, item: ModuleType, name: str, speed: float = 0.0, x: float = 0.0, case: Case = "expected"
):
    """Return how far one line of the budget lifts a place x of one yoke at a speed, m, (angles,)."""
    curve = item.line(loaded, alone(name, np.array([x])), case)
    return np.broadcast_to(curve.clearances(speed), (1, len(loaded.motion.theta)))[0]


def tilt(loaded, item: ModuleType, name: str, speed: float = 0.0, case: Case = "expected"):
    """Return by how much one line of the budget tilts one yoke, rad, (angles,)."""
    right, left = (rise(loaded, item, name, speed, x, case) for x in (0.01, -0.01))
    return (right - left) / 0.02


def lead_angle(loaded: LoadedShafts, speed: Number, case: Case) -> np.ndarray:
    """Return by how much the right crank is ahead of the left one at a speed, rad, (options..., angles)."""
    still = np.zeros_like(loaded.motion.theta)
    sense = still if loaded.tooth is None else np.sign(loaded.tooth.at(speed))
    return lead(loaded.engine, sense, case) + still


@dataclass(frozen=True)
class Side:
    """What is off on one side of a yoke: pin displaced to the outside and up, m; the rest longer, m, or ahead, rad."""

    out: float | np.ndarray = 0.0
    up: float | np.ndarray = 0.0
    length: float | np.ndarray = 0.0
    span: float | np.ndarray = 0.0
    radius: float | np.ndarray = 0.0
    ahead: float | np.ndarray = 0.0


def placed(engine: Engine, name: str, right: Side, left: Side, theta: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the height of a yoke and its tilt by solving that both rods keep their lengths; (angles,).

    The guide keeps the yoke's middle on the cylinder's axis; it may tilt. Newton's method on both equations.
    """
    yoke = engine.yokes[name]
    ends = [_pin(engine, yoke, each, theta) for each in (right, left)]
    spans = [yoke.half_span + each.span for each in (right, left)]
    lengths = [yoke.rod.length + each.length for each in (right, left)]
    side = 1.0 if yoke.side == "above" else -1.0
    out, up = ends[0]
    height = up + side * np.sqrt(lengths[0] ** 2 - (out - spans[0]) ** 2)
    tilt = np.zeros_like(height)
    for _ in range(30):
        misses, slopes = [], []
        for hand, (x, y), span, length in zip((1.0, -1.0), ends, spans, lengths, strict=True):
            across = span * np.cos(tilt) - x
            along = height + hand * span * np.sin(tilt) - y
            misses.append(across**2 + along**2 - length**2)
            turned = -2 * across * span * np.sin(tilt) + 2 * along * hand * span * np.cos(tilt)
            slopes.append((2 * along, turned))
        (a, b), (c, d) = slopes
        determinant = a * d - b * c
        determinant = np.where(determinant == 0, 1.0, determinant)
        height = height - (d * misses[0] - b * misses[1]) / determinant
        tilt = tilt - (a * misses[1] - c * misses[0]) / determinant
    return height, tilt


def _pin(engine: Engine, yoke: Yoke, off: Side, theta: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return a crankpin's distance from the axis, and its height."""
    throw = engine.cranks.throws[yoke.throw]
    angle = theta + throw.phase + off.ahead
    radius = throw.radius + off.radius
    return engine.cranks.centre_distance / 2 + radius * np.sin(angle) + off.out, radius * np.cos(angle) + off.up
