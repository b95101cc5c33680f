"""How both cranks vibrate under their loads at any speed, and what that adds to everything the loads do by themselves.

What `shafts.crank` works out are deflections of loads that change slowly. As both cranks move, all their masses resist:
q = q_static + what is sought, and the inertia of the static deflection drives it. The inertia forces of the whole
motion, the damping, and what the teeth press more, are further loads on the cranks: with the same flexibility and
reactions they give what vibration adds to any displacement, slope, bearing load or section load.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from balance.quantities import Number
from balance.turning import HANDS, on_bench
from shafts.crank.rows import Rows
from shafts.loaded_shafts import LoadedShafts
from shafts.whirl.pair import DAMPING, MODES, Pair, Side, pair
from shafts.whirl.periodic import between, derivatives, projected, pulled, refined

ORDERS = 8  # to begin with
MOST_ORDERS = 20
SETTLED = 2e-3  # share of the largest deflection that more orders may still change
MATTERS = 0.05  # share of the largest deflection from which vibration is worth a word
LOOKED_AT = 60  # angles of the turn at which a peak is looked for
STEPS, CLOSER = 9, 3  # speeds beside each resonance that are tried at once, and how often closer about the worst


@dataclass(frozen=True, eq=False)
class Moving:
    """Both cranks at several speeds: extra loads on the columns of each, (speeds, columns, angles of the balance)."""

    speeds: np.ndarray
    loads: tuple[np.ndarray, np.ndarray]
    motion: np.ndarray


@dataclass(frozen=True, eq=False)
class ShaftVibration:
    """How both cranks vibrate, for a single design.

    What it returns for one speed is over crank angle, (angles,), for several (speeds, angles); x and y as they stand on
    the bench, on each side.
    """

    carried: LoadedShafts
    pair: Pair

    # What vibration adds

    def at(self, speed: Number) -> dict[tuple[str, str], tuple[np.ndarray, np.ndarray]]:
        """Return what it adds to the displacement of each crankpin, m, by (side, yoke)."""
        moving = self.moving(speed)
        return {(side.hand, name): self._seen(side, moving, side.rotor.flexibility[side.columns(f"rod of {name}")], speed)
                for side in self.pair.sides for name in self.carried.engine.yokes}  # fmt: skip

    def bearing(self, hand: str, number: int, speed: Number) -> tuple[np.ndarray, np.ndarray]:
        """Return what it adds to the load on a bearing, N."""
        side = self._side(hand)
        count = len(side.crank.shaft.bearings)
        return self._seen(side, self.moving(speed), -side.rotor.reactions[[number, count + number]], speed)

    def slope(self, hand: str, number: int | None, speed: Number) -> tuple[np.ndarray, np.ndarray]:
        """Return what it adds to the slope of the shaft at a bearing, or at the gear for None, rad."""
        side = self._side(hand)
        stations = side.crank.stations
        found = stations.gear_slope if number is None else stations.slopes[number]
        assert found is not None
        rows = side.rotor.flexibility[[side.acting + column for column in found]]
        return self._seen(side, self.moving(speed), rows, speed)

    def gear(self, hand: str, speed: Number) -> tuple[np.ndarray, np.ndarray]:
        """Return what it adds to the displacement of the gear's centre, m."""
        side = self._side(hand)
        return self._seen(side, self.moving(speed), side.rotor.flexibility[side.columns("teeth")], speed)

    def tooth(self, speed: Number) -> np.ndarray:
        """Return what it adds to the tangential tooth force on the right gear, N: by the balance of the left crank."""
        moving, left = self.moving(speed), self.pair.sides[1]
        torque = np.einsum("c,sca->sa", left.rotor.rigid, moving.loads[1])
        radius = float(self.carried.engine.cranks.pitch_radius)
        return self._one(self._spread(-torque / radius), speed)

    def loads(self, hand: str, speed: Number) -> Rows:
        """Return what it adds to the loads on a crank in its own frame, as rows over crank angle at one speed.

        The rows go with the columns of `columns(hand)`.
        """
        values = self._spread(self.moving(speed).loads[list(HANDS).index(hand)])[0]
        return Rows(np.arange(len(values)), values)

    def columns(self, hand: str) -> list:
        """Return the unit loads that the rows of `loads` go with."""
        return self._side(hand).rotor.columns

    def share(self, speed: Number) -> np.ndarray:
        """Return by what share of its static peak it changes the deflection of the pin where it does most, (speeds...)."""
        added, still = self._sizes(np.atleast_1d(np.asarray(speed, dtype=float)))
        found = np.max(added / np.where(still > 0, still, np.inf), axis=0)
        return found if np.ndim(speed) else found[0]

    def _sizes(self, speeds: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return the peaks of what it adds to each pin's displacement and of the static one, m, (pins, speeds)."""
        moving = self.moving(speeds)
        fine = between(len(self.pair.theta), LOOKED_AT)
        added, still = [], []
        for number, side in enumerate(self.pair.sides):
            static = self._static(number, speeds)
            for name in self.carried.engine.yokes:
                rows = side.rotor.flexibility[side.columns(f"rod of {name}")]
                more = np.hypot(*np.moveaxis(rows @ moving.loads[number] @ fine, 1, 0))
                less = np.hypot(*np.moveaxis(rows[:, self._acting(side)] @ static @ fine, 1, 0))
                added.append(np.max(more, axis=-1))
                still.append(np.max(less, axis=-1))
        return np.array(added), np.array(still)

    # At which speeds

    def amplitude(self, speeds: np.ndarray) -> np.ndarray:
        """Return the largest displacement that it adds to any pin, m, (speeds,)."""
        return np.max(self._sizes(np.atleast_1d(speeds))[0], axis=0)

    def worst_speeds(self, least: Number, most: Number) -> list[float]:
        """Return the speeds between two at which vibration peaks and changes a deflection by 1 percent or more, rad/s.

        About each critical speed the peak is closed in on; between them there is none.
        """
        own = self.critical[0]
        near = own[(own > float(least)) & (own < float(most))]
        if not len(near):
            return []
        wide = 3 * self.pair.damping
        low, high = np.maximum(near * (1 - wide), float(least)), np.minimum(near * (1 + wide), float(most))
        peaks = near
        for _ in range(CLOSER):
            tried = low[:, None] + (high - low)[:, None] * np.linspace(0.0, 1.0, STEPS)
            size = self.amplitude(tried.ravel()).reshape(tried.shape)
            place = np.argmax(size, axis=1)
            peaks = tried[np.arange(len(near)), place]
            step = (high - low) / (STEPS - 1)
            low, high = np.maximum(peaks - step, low), np.minimum(peaks + step, high)
            inside = (place > 0) & (place < STEPS - 1)
            near, low, high, peaks = near[inside], low[inside], high[inside], peaks[inside]
            if not len(near):
                return []
        kept = peaks[self.share(peaks) >= 0.01]
        return [float(each) for number, each in enumerate(kept) if number == 0 or each > kept[number - 1] * 1.002]

    @property
    def critical(self) -> tuple[np.ndarray, np.ndarray]:
        """All critical speeds and their shapes (see `PeriodicSystem.critical_speeds`)."""
        return self.pair.system.critical_speeds

    # The balance

    def moving(self, speed: Number) -> Moving:
        """Return both cranks at one speed or several."""
        speeds = np.atleast_1d(np.asarray(speed, dtype=float))
        key = speeds.tobytes()
        if key not in self._known:
            if len(self._known) > 64:
                self._known.clear()
            self._known[key] = self._moving(speeds)
        return self._known[key]

    @cached_property
    def _known(self) -> dict[bytes, Moving]:
        return {}

    def _moving(self, speeds: np.ndarray) -> Moving:
        motion = self.pair.system.answer(self._driving(speeds), speeds)
        found = []
        pressed = self._pressed(motion)
        rate = derivatives(len(self.pair.theta))[0] @ motion
        drag = self._drag(rate, motion) * speeds[:, None, None]
        for number, side in enumerate(self.pair.sides):
            moved = self._static_motion(number, speeds) + motion @ self.pair.basis[number].T
            loads = -self._inertia(number, moved) * (speeds**2)[:, None, None]
            loads -= drag @ self._carriers[number].T
            loads -= pressed[..., None] * self.pair.closing[number]
            loads = np.swapaxes(loads, -1, -2)
            wheel = self._wheel(side)
            if wheel is not None:
                loads[:, wheel[0]] -= self._wheel_torque(number, speeds)
            found.append(loads)
        return Moving(speeds, (found[0], found[1]), motion)

    def _pressed(self, motion: np.ndarray) -> np.ndarray:
        """Force that presses the teeth together more than the static one, N, (speeds, angles)."""
        if self.pair.mesh is None:
            return np.zeros(motion.shape[:-1])
        return self.pair.mesh * np.sum(motion[..., : self.pair.pressing.shape[1]] * self.pair.pressing, axis=-1)

    def _drag(self, rate: np.ndarray, motion: np.ndarray) -> np.ndarray:
        system = self.pair.system
        return (rate - motion @ system.aside.T) @ system.damping.T

    @cached_property
    def _carriers(self) -> tuple[np.ndarray, np.ndarray]:
        """Loads on the columns of each crank that push one freedom alone, (columns, n)."""
        found = []
        for side, basis in zip(self.pair.sides, self.pair.basis, strict=True):
            carrier = np.zeros_like(basis)
            start = 0 if side.hand == "right" else len(self.pair.sides[0].frequencies)
            own = slice(start, start + len(side.frequencies))
            carrier[:, own] = (side.rotor.mass + side.ridden) @ side.shapes
            found.append(carrier)
        return found[0], found[1]

    def _inertia(self, number: int, moved: np.ndarray) -> np.ndarray:
        """Return what W^2 multiplies in the columns of one crank for a motion of them, both (..., angles, columns)."""
        side, rotor = self.pair.sides[number], self.pair.sides[number].rotor
        once, twice = derivatives(len(self.pair.theta))
        found = (twice @ moved) @ rotor.mass.T - (once @ moved) @ rotor.cross.T + moved @ rotor.spin.T
        for each in side.guided:
            x, y = side.columns(each.point)
            way = np.stack([each.x, each.y], axis=-1)
            push = pulled(each.mass, np.sum(way * refined(moved[..., [x, y]]), axis=-1))
            found[..., [x, y]] += projected(way * push[..., None])
        return found

    def _driving(self, speeds: np.ndarray) -> np.ndarray:
        """Return the forces on all freedoms, (speeds, angles, n): the inertia of the static deflection, and the torque."""
        found = np.zeros((len(speeds), *self.pair.pressing.shape))
        for number, side in enumerate(self.pair.sides):
            inertia = self._inertia(number, self._static_motion(number, speeds)) * (speeds**2)[:, None, None]
            found -= inertia @ self.pair.basis[number]
            wheel = self._wheel(side)
            if wheel is not None:
                # A wheel's torque stands among the static loads as if all turned evenly; here its inertia moves.
                torque = self._wheel_torque(number, speeds)
                found -= torque[..., None] * self.pair.basis[number][wheel[0]]
        return found

    def _static_motion(self, number: int, speeds: np.ndarray) -> np.ndarray:
        """Return the static displacement of one crank's columns, (speeds, angles, columns)."""
        side = self.pair.sides[number]
        moved = np.swapaxes(side.rotor.flexibility[:, self._acting(side)] @ self._static(number, speeds), -1, -2)
        if number == 1 and self.pair.mesh is not None:
            moved = moved + self._turned(speeds, moved)[..., None] * side.rotor.rigid
        return moved

    def _turned(self, speeds: np.ndarray, left: np.ndarray) -> np.ndarray:
        """Return how far the left crank is turned against the right one so that the teeth press as the loads ask."""
        assert self.pair.mesh is not None
        right = self._static_motion(0, speeds)
        pressing = sum(np.sum(moved * rows, axis=-1) for moved, rows in zip((right, left), self.pair.closing, strict=True))
        along = float(np.cos(self.carried.engine.cranks.working_pressure_angle))
        tooth = self.carried.tooth
        assert tooth is not None
        force = self._onto_balance(np.atleast_2d(tooth.at(speeds))) / along
        return (pressing - force / self.pair.mesh) / (along * float(self.carried.engine.cranks.pitch_radius))

    def _static(self, number: int, speeds: np.ndarray) -> np.ndarray:
        """Return the loads on the columns of one crank's stations, (speeds, columns, angles)."""
        steady, growing, apart = self._parts[number]
        found = steady + (speeds**2)[:, None, None] * growing
        tooth = self.pair.sides[number].crank.tooth
        if apart is not None and tooth is not None:
            size = np.abs(np.atleast_2d(tooth.at(speeds)))
            found = found + self._onto_balance(size[:, None, :] * apart)
        return found

    @cached_property
    def _parts(self) -> list[tuple[np.ndarray, np.ndarray, np.ndarray | None]]:
        """Loads at any speed, per speed squared, and per size of the tooth force, on each crank's columns."""
        found = []
        for side in self.pair.sides:
            parts = [np.zeros((side.crank.stations.loads, len(self.pair.theta))) for _ in range(2)]
            for name, rows in side.crank.rows.items():
                np.add.at(parts[name == "inertia"], rows.columns, self._onto_balance(rows.values))
            found.append((*parts, _apart(side, side.crank.theta)))
        return found

    def _acting(self, side: Side) -> slice:
        return slice(side.acting, side.acting + side.crank.stations.loads)

    def _wheel(self, side: Side) -> tuple[int, int] | None:
        """Return the column of the flywheel's twist in the rotor, and that of its torque among the static loads."""
        if self.pair.even or "flywheel" not in side.crank.stations.others:
            return None
        column = side.crank.stations.others["flywheel"][1]
        return None if column is None else (side.acting + column, column)

    def _wheel_torque(self, number: int, speeds: np.ndarray) -> np.ndarray:
        wheel = self._wheel(self.pair.sides[number])
        assert wheel is not None
        return self._static(number, speeds)[:, wheel[1]]

    # From the angles of the balance to those of the cycle, and back

    def _onto_balance(self, values: np.ndarray) -> np.ndarray:
        return values @ between(values.shape[-1], len(self.pair.theta))

    def _spread(self, values: np.ndarray) -> np.ndarray:
        return values @ between(len(self.pair.theta), len(self.carried.motion.theta))

    def _seen(self, side: Side, moving: Moving, rows: np.ndarray, speed: Number) -> tuple[np.ndarray, np.ndarray]:
        """Return x and y on the bench of what two rows of weights make of the extra loads."""
        both = self._spread(rows @ moving.loads[list(HANDS).index(side.hand)])
        x, y = on_bench(both[:, 0], both[:, 1], self.carried.motion.theta, side.sign)
        return self._one(x, speed), self._one(y, speed)

    def _one(self, values: np.ndarray, speed: Number) -> np.ndarray:
        return values if np.ndim(speed) else values[0]

    def _side(self, hand: str) -> Side:
        return self.pair.sides[list(HANDS).index(hand)]


def _apart(side: Side, theta: np.ndarray) -> np.ndarray | None:
    """Return the loads per newton of the tooth force's size, (columns, angles); None without gears."""
    teeth, columns = side.crank.named("gear teeth"), side.crank.stations.teeth
    if teeth is None or columns is None:
        return None
    found = np.zeros((side.crank.stations.loads, len(theta)))
    away = float(teeth.apart) * side.sign
    found[columns[0]], found[columns[1]] = away * np.cos(theta), away * np.sin(theta)
    return found


def shaft_vibration(carried: LoadedShafts, speeds: Iterable[Number], damping: float = DAMPING) -> ShaftVibration:
    """Return how both cranks vibrate, with as many orders as it takes at the given speeds, for a single design.

    Orders are added by halves until the next more change no pin's displacement by SETTLED of the largest.
    """
    tried = np.unique([float(each) for each in speeds])
    orders, found = ORDERS, ShaftVibration(carried, pair(carried, ORDERS, damping, MODES))
    while orders < MOST_ORDERS:
        orders = orders * 3 // 2
        more = ShaftVibration(carried, pair(carried, orders, damping, MODES))
        (few, _), (many, still) = found._sizes(tried), more._sizes(tried)
        if np.all(np.abs(few - many) <= SETTLED * np.max(still, axis=0)):
            return more
        found = more
    return found
