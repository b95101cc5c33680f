"""How both cranks vibrate under their loads at any speed, and what that adds to everything the loads do by themselves.

What `shafts.crank` works out are deflections of loads that change slowly. As both cranks move, all their masses resist:
q = q_static + what is sought, and inertia and damping of the static deflection drive it. Damping resists the
velocities of the whole motion on the bench, in proportion to the stiffness. It, the inertia forces of the whole motion,
and what the teeth press more, are further loads on the cranks: with the same flexibility and reactions they give what
vibration adds to any displacement, slope, bearing load or section load. So bearings and sections carry what their
springs do; what damping itself carries stands a quarter of a period off, and is twice the damping ratio of that.
"""

from collections.abc import Iterable
from dataclasses import replace
from functools import cached_property
from typing import Any

import numpy as np

from balance.quantities import Number, Scalar, result
from balance.torque import share_of
from balance.turning import on_bench
from shafts.loaded_shafts import LoadedShafts
from shafts.whirl.carried import Carried, carried
from shafts.whirl.pair import Pair, Side, pair, rotors
from shafts.whirl.peaks import peaks_of
from shafts.whirl.periodic import between, derivatives, finer
from shafts.whirl.remembered import Remembered, in_pieces, remembered

ORDERS = 8  # to begin with
MOST_ORDERS = 18
SETTLED = 1e-2  # share of the largest deflection that the highest quarter of the orders may make up
FAR_FROM = 10.0  # times that share: where the highest quarter makes up more, the next step is left out
LOOKED_AT = 60  # angles of the turn at which a peak is looked for


@result
class Resonances:
    """To what loads drive critical motions, each by itself; (motions,) each.

    driven : share of the largest static deflection.   added : the same as a displacement of a crankpin, m.
    felt : the share of what it changes most: deflections, bearings' loads or the teeth's (see `ShaftVibration.share`).
    """

    driven: np.ndarray
    added: np.ndarray
    felt: np.ndarray


@result
class ShaftVibration:
    """How both cranks vibrate, for a single design.

    What it returns for one speed is over crank angle, (angles,), for several (speeds, angles); x and y as they stand on
    the bench, on each side.

    unsettled : share of the largest deflection that the highest quarter of the orders still make up where no more of
        them are looked at: about as much may be missing.
    """

    loaded: LoadedShafts
    pair: Pair
    unsettled: float = 0.0

    @property
    def orders(self) -> int:
        """How many orders are looked at."""
        return len(self.pair.theta) // 2

    # What vibration adds

    def further(self, number: int, speeds: np.ndarray) -> np.ndarray:
        """Return what it adds to the loads on all columns of a crank, (speeds, columns, `finer` angles).

        The teeth press along the flank on which they drive: their tangential share is here, and with it the torque
        that they take so that the crank turns at no angle; what pushes them apart follows from the whole tooth force.
        """
        side, crank = self.pair.sides[number], self.loaded.cranks[number]
        loads = self._but_teeth(number, speeds) @ between(len(self.pair.theta), self.few)
        loads[:, self._held(number)] -= side.rotor.rigid @ loads
        if (force := crank.stations.teeth) is not None:
            tangential = self._tooth(speeds) @ between(len(self.pair.theta), self.few) * crank.sign
            theta = 2 * np.pi / self.few * np.arange(self.few)
            for column, way in zip(force, (-np.sin(theta), np.cos(theta)), strict=True):
                loads[:, side.acting + column] += tangential * way
        return loads

    def _held(self, number: int) -> int:
        """Return the column of the torque at which the twist of a crank is held."""
        others = self.loaded.cranks[number].stations.others
        _, torque = others.get("gear teeth") or others["coupling"]
        assert torque is not None
        return self.pair.sides[number].acting + torque

    @property
    def few(self) -> int:
        """The angles at which further loads stand: enough for all their orders."""
        return finer(len(self.pair.theta))

    def displaced(self, number: int, yoke: str, speeds: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return the whole displacement of a crankpin, as it stands on the bench, x and y in m, (speeds, angles)."""
        side, crank = self.pair.sides[number], self.loaded.cranks[number]
        rows = side.columns(f"rod of {yoke}")
        moved = self.motion(speeds) @ self.pair.basis[number][rows].T
        moved = np.swapaxes(moved, -1, -2)
        moved = moved + side.rotor.flexibility[rows][:, self._acting(side)] @ self._static(number, speeds)
        if number == 1 and self.pair.mesh is not None:
            moved = moved + side.rotor.rigid[rows][:, None] * self._turned(speeds)[:, None, :]
        both = self._spread(moved)
        return on_bench(both[:, 0], both[:, 1], crank.theta, crank.sign)

    def tooth(self, speed: Number) -> np.ndarray:
        """Return what it adds to the tangential tooth force on the right gear, N: by the balance of the left crank.

        The teeth take from the left crank the torque that all else leaves on it. What is left on both together they
        hand on: its mean to the load, the rest to the inertia of both.
        """
        force = self._spread(self._tooth(np.atleast_1d(np.asarray(speed, dtype=float))))
        return force if np.ndim(speed) else force[0]

    def _tooth(self, speeds: np.ndarray) -> np.ndarray:
        right, left = (self._weighed(number, side.rotor.rigid[None], speeds)[:, 0]
                       for number, side in enumerate(self.pair.sides))  # fmt: skip
        return self._tooth_of(right, left)

    def _tooth_of(self, right: np.ndarray, left: np.ndarray) -> np.ndarray:
        """Return the force that the teeth must pass if all else leaves these torques on both cranks, N."""
        cranks = self.loaded.engine.cranks
        both = right + left
        lost = np.mean(both, axis=-1, keepdims=True)
        taken = lost * share_of(cranks.load_on, "left") + (both - lost) * self.pair.left_share
        return (taken - left) / float(cranks.pitch_radius)

    def share(self, speed: Number) -> np.ndarray:
        """Return by what share it changes what it changes most, where it does most, (speeds...).

        Each crankpin's deflection by the static one's peak, bearings' loads by the largest of them, the tooth force by
        its own peak or, if that is more, a tenth of the largest bearing load: teeth that carry nothing may do so.
        """
        speeds = np.atleast_1d(np.asarray(speed, dtype=float))
        fine, every = between(len(self.pair.theta), LOOKED_AT), []
        for number, (pins, pushes, side) in enumerate(zip(self._bent, self._pushes, self.pair.sides, strict=True)):
            rows = np.concatenate([pins, pushes, side.rotor.rigid[None]])
            ends = [len(pins), len(pins) + len(pushes)]
            bent, pushed, turned = np.split(self._weighed(number, rows, speeds), ends, axis=1)
            still = pins[:, self._acting(side)] @ self._static(number, speeds)
            every.append((_sizes(bent @ fine), _sizes(still @ fine), _sizes(pushed), turned[:, 0]))
        bearing, tooth = self._pressed_at_rest(speeds)
        (*right, on_right), (*left, on_left) = every
        added, at_rest, loads = (np.concatenate(both) for both in zip(right, left, strict=True))
        pressed = np.max(np.abs(self._tooth_of(on_right, on_left)), axis=-1)
        shares = np.max([*_over(added, at_rest), *_over(loads, bearing), _over(pressed, tooth)], axis=0)
        return shares if np.ndim(speed) else shares[0]

    def _pressed_at_rest(self, speeds: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return what loads of bearings and of teeth are measured by, N, (speeds,): see `share`."""
        sizes = [_sizes(rows[:, self._acting(side)] @ self._static(number, speeds))
                 for number, (side, rows) in enumerate(zip(self.pair.sides, self._pushes, strict=True))]  # fmt: skip
        bearing, tooth = np.max(np.concatenate(sizes), axis=0), self.loaded.tooth
        own = 0.0 if tooth is None else np.max(np.abs(np.atleast_2d(tooth.at(speeds))), axis=-1)
        return bearing, np.maximum(own, 0.1 * bearing)

    @cached_property
    def _pushes(self) -> list[np.ndarray]:
        """Load on every bearing of each crank, x and y by turns, by all columns, (2 bearings, columns)."""
        pushes = []
        for side in self.pair.sides:
            count = len(side.rotor.reactions) // 2
            pushes.append(-side.rotor.reactions[[place + axis * count for place in range(count) for axis in (0, 1)]])
        return pushes

    def peaks(self, speeds: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return the peaks of what it adds to each pin's displacement and of the static one, m, (pins, speeds)."""
        fine = between(len(self.pair.theta), LOOKED_AT)
        return tuple(  # type: ignore[return-value]
            np.concatenate([_sizes(each @ fine) for each in both])
            for both in zip(*(self._pins(number, speeds) for number in range(2)), strict=True)
        )

    def whole(self, speeds: np.ndarray) -> np.ndarray:
        """Return the peak of each pin's displacement with vibration, m, (pins, speeds)."""
        fine = between(len(self.pair.theta), LOOKED_AT)
        return np.concatenate([_sizes(np.add(*self._pins(number, speeds)) @ fine) for number in range(2)])

    def _pins(self, number: int, speeds: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return what it adds to all pins' displacements on one side, and these, (speeds, 2 pins, angles)."""
        rows = self._bent[number]
        still = rows[:, self._acting(self.pair.sides[number])] @ self._static(number, speeds)
        return self._weighed(number, rows, speeds), still

    @cached_property
    def _bent(self) -> list[np.ndarray]:
        """Displacement of every crankpin of each crank, x and y by turns, by all columns, (2 pins, columns)."""
        return [
            side.rotor.flexibility[
                [each for name in self.loaded.engine.yokes for each in side.columns(f"rod of {name}")]
            ]
            for side in self.pair.sides
        ]

    def tail(self, speeds: np.ndarray) -> float:
        """Return the share of the largest displacement that the highest quarter of its orders makes up."""
        largest, kept = 0.0, 1 + (3 * (len(self.pair.theta) // 2)) // 4
        for number in range(2):
            added, still = self._pins(number, speeds)
            high = np.sum(np.abs(np.fft.rfft(added, axis=-1)[..., kept:]), axis=-1) * (2 / len(self.pair.theta))
            most = np.max(np.abs(still), axis=-1)
            largest = max(largest, float(np.max(high / np.where(most > 0, most, np.inf))))
        return largest

    # At which speeds

    def worst_speeds(self, least: Number, most: Number) -> list[float]:
        """Return the speeds between two at which vibration peaks and changes anything by 1 percent or more, rad/s.

        Peaks stand at critical speeds: about each that the loads drive strongly enough the peak is closed in on. Where
        what vibrates most there has none, as beside a stronger one, the critical speed itself stands for it. A peak is
        found that is as wide as a hundredth of its speed; one much narrower is at the edge of running away. Where very
        many critical speeds run into each other, the strongest of those within half a width stands for them.
        """
        range_ = float(least), float(most)
        if range_ not in self.peaking:
            speeds, _ = self.critical
            inside = (speeds > range_[0]) & (speeds < range_[1])
            felt = self.resonances(inside).felt
            self.peaking[range_] = peaks_of(self.share, speeds[inside], felt, 2 * self.pair.damping, range_)
        return self.peaking[range_]

    def resonances(self, which: np.ndarray) -> "Resonances":
        """Return to what the loads drive some critical motions, about.

        which : of `critical`, as booleans.   Each alone, at its own speed W: |v . f|/(W d), v its shape, d its damping.
        """
        if np.any(new := which & np.isnan(self._resonances[0])):
            self._resonances[:, new] = self._driven_to(new)
        return Resonances(*self._resonances[:, which])

    @cached_property
    def _resonances(self) -> np.ndarray:
        """What `resonances` returns, of those motions that were asked for, (3, motions); others are NaN."""
        return np.full((3, len(self.critical[0])), np.nan)

    def _driven_to(self, which: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        speeds, shapes = (each[which] for each in self.critical)
        driving = self.pair.system.followed(in_pieces(self._driving, speeds))
        pushed = np.abs(np.sum(driving * shapes, axis=(-2, -1))) / (speeds * self.pair.system.slowed(which))
        (bearing, tooth), added = self._pressed_at_rest(speeds), pushed * self._pins_of(shapes)
        loads = [_sizes(np.swapaxes(shapes @ rows[:, : shapes.shape[-1]].T, -1, -2)) for rows in self._modal_pushes]
        pressed = np.maximum(np.max(np.concatenate(loads), axis=0) / bearing,
                             np.max(np.abs(self._pressed(shapes)), axis=-1) / tooth)  # fmt: skip
        driven = added / self.peaks_at_rest(speeds)
        return driven, added, np.maximum(driven, pushed * pressed)

    def _pins_of(self, shapes: np.ndarray) -> np.ndarray:
        """Return how far motions (motions, angles, held) move any crankpin at the most, (motions,)."""
        moved = np.zeros(len(shapes))
        for side, basis in zip(self.pair.sides, self.pair.basis, strict=True):
            for name in self.loaded.engine.yokes:
                pins = shapes @ basis[side.columns(f"rod of {name}")][:, : shapes.shape[-1]].T
                moved = np.maximum(moved, np.max(np.hypot(pins[..., 0], pins[..., 1]), axis=-1))
        return moved

    @cached_property
    def _modal_pushes(self) -> list[np.ndarray]:
        """Load on every bearing of each crank by each freedom, by the springs that hold it, (2 bearings, n)."""
        springs = np.zeros(self.pair.pressing.shape[1])
        own = np.concatenate([side.frequencies for side in self.pair.sides]) ** 2
        springs[: len(own)] = own
        return [rows @ carrier * springs for rows, carrier in zip(self._pushes, self._carriers, strict=True)]

    def peaks_at_rest(self, speeds: np.ndarray) -> np.ndarray:
        """Return the largest static displacement of any pin at several speeds, m."""
        sizes = []
        for number, side in enumerate(self.pair.sides):
            for name in self.loaded.engine.yokes:
                rows = side.rotor.flexibility[side.columns(f"rod of {name}")][:, self._acting(side)]
                sizes.append(_sizes(rows @ self._static(number, speeds)))
        return np.max(np.concatenate(sizes), axis=0)

    @property
    def critical(self) -> tuple[np.ndarray, np.ndarray]:
        """All critical speeds and their shapes (see `PeriodicSystem.critical_speeds`)."""
        return self.pair.system.critical_speeds

    # The balance

    @remembered
    def motion(self, speeds: np.ndarray) -> np.ndarray:
        """Return how all freedoms move at several speeds, (speeds, angles of the balance, n)."""
        return self.pair.system.answer(self._driving(speeds), speeds)

    @cached_property
    def peaking(self) -> dict[tuple[float, float], list[float]]:
        """The speeds at which it peaks, by the range."""
        return {}

    @cached_property
    def known(self) -> dict[tuple[Any, ...], Remembered]:
        """What is remembered at speeds, by what it is."""
        return {}

    def _weighed(self, number: int, rows: np.ndarray, speeds: np.ndarray) -> np.ndarray:
        """Return the sum of what it adds to the loads on a crank's columns, each times its weight in each of some rows.

        rows : (rows, columns).   Returns (speeds, rows, angles of the balance).
        """
        pressed = self._pressed(self.motion(speeds))[:, None, :] * (rows @ self.pair.closing[number].T)
        return rows @ self._but_teeth(number, speeds) - pressed

    @remembered
    def _but_teeth(self, number: int, speeds: np.ndarray) -> np.ndarray:
        """Return what it adds to the loads on a crank's columns but for what presses the teeth.

        Shape (speeds, columns, angles of the balance).
        """
        motion = self.motion(speeds)
        loads = self._from_static(number, speeds).copy()
        loads -= (speeds**2)[:, None, None] * self._moving[number].inertia(np.swapaxes(motion, -1, -2))
        drag = self._drag(motion + self._settled(speeds), speeds)
        loads -= np.swapaxes(drag @ self._carriers[number].T, -1, -2)
        return loads

    @cached_property
    def _moving(self) -> list[Carried]:
        """What the freedoms carry along on each crank."""
        return [carried(each, basis) for each, basis in zip(self.pair.sides, self.pair.basis, strict=True)]

    @cached_property
    def _bending(self) -> list[Carried]:
        """What each crank carries along as its loads bend it, and as the left one is turned where teeth yield."""
        bending = []
        for number, side in enumerate(self.pair.sides):
            ways = [side.rotor.flexibility[:, self._acting(side)]]
            ways += [side.rotor.rigid[:, None]] if number == 1 and self.pair.mesh is not None else []
            bending.append(carried(side, np.concatenate(ways, axis=1)))
        return bending

    @remembered
    def _from_static(self, number: int, speeds: np.ndarray) -> np.ndarray:
        """Return the loads that the static deflection brings, (speeds, columns, angles): its inertia, and torque.

        The torque of a flywheel stands among the static loads as if the wheel took up every change of torque by itself;
        here its inertia does what it does.
        """
        side, static = self.pair.sides[number], self._static(number, speeds)
        courses = static
        if number == 1 and self.pair.mesh is not None:
            courses = np.concatenate([static, self._turned(speeds)[:, None, :]], axis=1)
        loads = (speeds**2)[:, None, None] * -self._bending[number].inertia(courses)
        column = side.crank.stations.others.get("flywheel", (None, None))[1]
        if not self.pair.even and column is not None:
            loads[:, side.acting + column] -= static[:, column]
        return loads

    def _turned(self, speeds: np.ndarray) -> np.ndarray:
        """Return how far the left crank is turned against the right one so that the teeth press as the loads ask."""
        assert self.pair.mesh is not None and self.loaded.tooth is not None
        pressing = np.zeros((len(speeds), len(self.pair.theta)))
        for number, (side, rows) in enumerate(zip(self.pair.sides, self.pair.closing, strict=True)):
            weights = rows @ side.rotor.flexibility[:, self._acting(side)]
            pressing += np.einsum("ac,sca->sa", weights, self._static(number, speeds))
        along = float(np.cos(self.loaded.engine.cranks.working_pressure_angle))
        force = self._onto_balance(np.atleast_2d(self.loaded.tooth.at(speeds))) / along
        return (pressing - force / self.pair.mesh) / (along * float(self.loaded.engine.cranks.pitch_radius))

    def _driving(self, speeds: np.ndarray) -> np.ndarray:
        """Return the forces on all freedoms by the static deflection as it moves, and torque, (speeds, angles, n)."""
        loads = sum(basis.T @ self._from_static(number, speeds) for number, basis in enumerate(self.pair.basis))
        return np.swapaxes(loads, -1, -2) - self._drag(self._settled(speeds), speeds)

    def _pressed(self, motion: np.ndarray) -> np.ndarray:
        """Force that presses the teeth together more than the static one, N, (speeds, angles)."""
        if self.pair.mesh is None:
            return np.zeros(motion.shape[:-1])
        return self.pair.mesh * np.sum(motion * self.pair.pressing[:, : motion.shape[-1]], axis=-1)

    def _drag(self, motion: np.ndarray, speeds: np.ndarray) -> np.ndarray:
        system = self.pair.system
        rate = derivatives(len(self.pair.theta))[0] @ motion
        return (rate - motion @ system.aside.T) @ system.damping.T * speeds[:, None, None]

    @remembered
    def _settled(self, speeds: np.ndarray) -> np.ndarray:
        """Return the static deflection in the freedoms, as far as these reach, (speeds, angles, n)."""
        settled = np.zeros((len(speeds), *self.pair.pressing.shape))
        own = np.split(settled, np.cumsum([len(side.frequencies) for side in self.pair.sides]), axis=-1)
        for number, (side, modes) in enumerate(zip(self.pair.sides, own, strict=False)):
            pushed = side.shapes[self._acting(side)].T @ self._static(number, speeds)
            modes += np.swapaxes(pushed, -1, -2) / side.frequencies**2
        if self.pair.mesh is not None:
            own[-1][..., 0] = self._turned(speeds)
        return settled

    @cached_property
    def _carriers(self) -> tuple[np.ndarray, np.ndarray]:
        """Loads on the columns of each crank that push one freedom alone, (columns, n).

        Damping is within the crank: what torque it leaves meets its like where twist is held.
        """
        carriers = []
        for number, (side, basis) in enumerate(zip(self.pair.sides, self.pair.basis, strict=True)):
            carrier = np.zeros_like(basis)
            start = 0 if side.hand == "right" else len(self.pair.sides[0].frequencies)
            carrier[:, start : start + len(side.frequencies)] = side.modes.loads
            carrier[self._held(number)] -= side.rotor.rigid @ carrier
            carriers.append(carrier)
        return carriers[0], carriers[1]

    @remembered
    def _static(self, number: int, speeds: np.ndarray) -> np.ndarray:
        """Return the loads on the columns of one crank's stations, (speeds, columns, angles of the balance)."""
        steady, growing = self._parts[number]
        loads = steady + (speeds**2)[:, None, None] * growing
        for column, push in self.loaded.cranks[number].pushed_apart(speeds):
            loads[:, column] += self._onto_balance(push)
        return loads

    @cached_property
    def _parts(self) -> list[tuple[np.ndarray, np.ndarray]]:
        """Loads on the columns of each crank, but for what teeth push apart: alike at all speeds, and per W^2."""
        loads = [crank.rows for crank in self.loaded.cranks]
        return [(self._onto_balance(each.steady), self._onto_balance(each.inertia)) for each in loads]

    def _acting(self, side: Side) -> slice:
        return slice(side.acting, side.acting + side.crank.stations.loads)

    # From the angles of the balance to those of the cycle, and back

    def _onto_balance(self, values: Scalar) -> np.ndarray:
        return values @ between(np.shape(values)[-1], len(self.pair.theta))

    def _spread(self, values: np.ndarray) -> np.ndarray:
        return values @ between(len(self.pair.theta), len(self.loaded.motion.theta))


def _over(size: np.ndarray, scale: np.ndarray) -> np.ndarray:
    return size / np.where(scale > 0, scale, np.inf)


def _sizes(values: np.ndarray) -> np.ndarray:
    """Return the largest size over the cycle of vectors, x and y by turns, (speeds, 2 pins, angles): (pins, speeds)."""
    return np.max(np.hypot(values[:, 0::2], values[:, 1::2]), axis=-1).T


def shaft_vibration(
    loaded: LoadedShafts, speeds: Iterable[Number], damping: float, orders: int | None = None
) -> ShaftVibration:
    """Return how both cranks vibrate, with as many orders as it takes at the given speeds, for a single design.

    Orders are added by halves until the highest quarter of them takes no share in a pin's displacement above SETTLED,
    by two steps at once where that is far off; what is still unsettled beyond MOST_ORDERS stands in the result.
    orders : just so many, where that is known; the speeds then count for nothing.
    """
    built = rotors(loaded)
    if orders is not None:
        return ShaftVibration(loaded, pair(loaded, built, orders, damping))
    tried, orders = np.unique([float(each) for each in speeds]), ORDERS
    while True:
        vibration = ShaftVibration(loaded, pair(loaded, built, orders, damping))
        tail = vibration.tail(tried)
        if tail <= SETTLED:
            return vibration
        if orders >= MOST_ORDERS:
            return replace(vibration, unsettled=tail)
        steps = 1 if tail < FAR_FROM * SETTLED or orders * 3 // 2 >= MOST_ORDERS else 2
        for _ in range(steps):
            orders = orders * 3 // 2
