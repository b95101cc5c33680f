"""Critical speeds by name: which order meets which whirl, how it goes round, and what it does there.

A crank whirls freely in time with the turn at each critical speed. Seen from the bench its pins go round n times a
turn, forward or backward, or swing along a line, which is both at once. What the loads
make of it depends on how strongly they drive that very motion, and on the damping.
"""

import numpy as np

from balance.quantities import Number, result
from shafts.whirl.pair import Pair
from shafts.whirl.vibration import ShaftVibration

ALIKE = 0.5  # share of the stronger sense of whirl from which the other one makes it a swing along a line
EATS, GROWS = 0.05, 0.5  # shares of deflection and gap, and of deflection alone, from which a crossing matters
LEAST = 1e-3  # share of the strongest below which a critical speed is nobody's concern
SAME = 0.03  # share by which the speeds of one motion's twins differ at most


@result
class Crossing:
    """A critical speed.

    speed : rad/s.   order : how often it goes round or swings in a turn.   way : "forward", "backward" or "to and fro".
    hand : the crank that moves most.   part : where it moves most, in words.
    driven : the share of the largest static deflection there to which the loads drive it, about.
    added : the same as a displacement of that crankpin, m.
    felt : the share to which it is driven of what it changes most: deflections, bearings' loads or the teeth's.
    """

    speed: float
    order: int
    way: str
    hand: str
    part: str
    driven: float
    added: float
    felt: float = 0.0

    @property
    def name(self) -> str:
        """In words."""
        return f"order {self.order} {self.way}, {self.part} of the {self.hand} crank"


def crossings(vibration: ShaftVibration, up_to: Number) -> list[Crossing]:
    """Return the critical speeds up to a speed, rising; of twins that go round alike the one that is driven more."""
    speeds, shapes = vibration.critical
    which = speeds <= float(up_to)
    kept: list[Crossing] = []
    made = vibration.resonances(which)
    strong = (made.driven >= LEAST * np.max(made.driven, initial=0.0)) | (made.felt >= GROWS)
    names = named(vibration.pair, shapes[which][strong])
    figures = speeds[which], made.driven, made.added, made.felt
    sizes = zip(*(each[strong].tolist() for each in figures), strict=True)
    for name, (speed, share, more, most) in zip(names, sizes, strict=True):
        each = Crossing(speed, *name, share, more, most)
        twin = next((place for place, other in enumerate(kept) if _twins(each, other)), None)
        if twin is None:
            kept.append(each)
        elif each.driven > kept[twin].driven:
            kept[twin] = each
    return [each for each in kept if each.order]


def matters(crossing: Crossing, gap: Number) -> bool:
    """Return whether a crossing bends a crank enough to keep away from: where it eats into the gap, or into strength.

    gap : least gap that is asked for, m.   A twentieth of the deflection there, if that is a twentieth of the gap too;
    or half of the deflection, and so of the stress, or of what bearings or teeth carry, whatever the gap: what shakes a
    wheel far from the crankpins is felt there.
    """
    return max(crossing.driven, crossing.felt) >= GROWS or (
        crossing.driven >= EATS and crossing.added >= EATS * float(gap)
    )


def _twins(one: Crossing, other: Crossing) -> bool:
    alike = (one.order, one.way, one.hand, one.part) == (other.order, other.way, other.hand, other.part)
    return alike and one.speed <= other.speed * (1 + SAME)


def named(pair: Pair, shapes: np.ndarray) -> list[tuple[int, str, str, str]]:
    """Return order, way, hand and part of motions of the held freedoms, (motions, angles of the balance, held)."""
    points = [(side.hand, part, bench_orders(pair.theta, *(shapes @ basis[each, : shapes.shape[-1]] for each in ways)))
              for side, basis in zip(pair.sides, pair.basis, strict=True)
              for part, ways in (side.rotor.points | side.rotor.wheels).items()]  # fmt: skip
    names = []
    for number in range(len(shapes)):
        hand, part, sizes = max(((hand, part, sizes[:, number]) for hand, part, sizes in points),
                                key=lambda each: np.max(each[2]))  # fmt: skip
        order = int(np.argmax(np.max(sizes, axis=0)))
        forward, backward = (float(size) for size in sizes[:, order])
        lesser, greater = sorted((forward, backward))
        way = "to and fro" if lesser >= ALIKE * greater else "forward" if forward > backward else "backward"
        pin = part.removeprefix("rod of ")
        where = "gear" if part == "teeth" else part if pin == part else f"{pin} crankpin"
        names.append((order, way, hand, where))
    return names


def bench_orders(theta: np.ndarray, x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Return how large each order is, forward and backward, of what moves so in the crank's frame, (..., angles) each.

    The crank turns clockwise; order 0 stands still, and counts as it is.   Returns (2, ..., orders from 0 up).
    """
    spectrum = np.abs(np.fft.fft((x + 1j * y) * np.exp(-1j * theta), axis=-1)) / len(theta)
    orders = np.arange(len(theta) // 2 + 1)
    return np.stack([spectrum[..., -orders], spectrum[..., orders]])
