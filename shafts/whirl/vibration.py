"""How both cranks vibrate under their loads at any speed, and what that adds to everything the loads do by themselves.

What `shafts.crank` works out are deflections of loads that change slowly. As both cranks move, all their masses resist:
q = q_static + what is sought, and the inertia of the static deflection drives it. The inertia forces of the whole
motion, the damping, and what the teeth press more, are further loads on the cranks: with the same flexibility and
reactions they give what vibration adds to any displacement, slope, bearing load or section load.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from balance.quantities import Number
from balance.turning import HANDS, on_bench
from shafts.loaded_shafts import LoadedShafts
from shafts.whirl.pair import Pair, Side, pair, rotors
from shafts.whirl.periodic import between, derivatives, projected, pulled, refined

ORDERS = 8  # to begin with
MOST_ORDERS = 20
SETTLED = 1e-2  # share of the largest deflection that the highest quarter of the orders may make up
LOOKED_AT = 60  # angles of the turn at which a peak is looked for
WORTH = 0.01  # share of a deflection from which a peak is worth looking at
STEPS, CLOSER = 9, 2  # speeds beside each resonance that are tried at once, and how often closer about the worst


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
        return {(side.hand, name): self._seen(number, side.rotor.flexibility[side.columns(f"rod of {name}")], speed)
                for number, side in enumerate(self.pair.sides) for name in self.carried.engine.yokes}  # fmt: skip

    def bearing(self, hand: str, place: int, speed: Number) -> tuple[np.ndarray, np.ndarray]:
        """Return what it adds to the load on a bearing, N."""
        number = list(HANDS).index(hand)
        rotor = self.pair.sides[number].rotor
        return self._seen(number, -rotor.reactions[[place, len(rotor.reactions) // 2 + place]], speed)

    def slope(self, hand: str, place: int | None, speed: Number) -> tuple[np.ndarray, np.ndarray]:
        """Return what it adds to the slope of the shaft at a bearing, or at the gear for None, rad."""
        number = list(HANDS).index(hand)
        side = self.pair.sides[number]
        found = side.crank.stations.gear_slope if place is None else side.crank.stations.slopes[place]
        assert found is not None
        return self._seen(number, side.rotor.flexibility[[side.acting + column for column in found]], speed)

    def section(self, hand: str, at: float, speed: Number) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Return what it adds to the moments about x and y and to the torque in a section of the shaft, N m.

        In the crank's own frame: of all that acts below `at`, bearings included, about the shaft's axis there.
        """
        number = list(HANDS).index(hand)
        rotor, bearings = self.pair.sides[number].rotor, self.pair.sides[number].crank.shaft.bearings
        loads = np.zeros((5, len(rotor.columns)))
        for place, column in enumerate(rotor.columns):
            for unit in (each for each in column if each.z < at):
                loads[:, place] += np.array(unit.wrench, dtype=float)
        for place, bearing in enumerate(bearings):
            if bearing.at < at:
                pushed = rotor.reactions[[place, len(bearings) + place]]
                z = float(bearing.at)
                loads += np.array([pushed[0], pushed[1], -z * pushed[1], z * pushed[0], 0 * pushed[0]])
        if at > self.pair.sides[number].held_at:
            loads[4] -= rotor.rigid
        across = np.stack([loads[2] + at * loads[1], loads[3] - at * loads[0], loads[4]])
        found = self._spread(self._weighed(number, across, np.atleast_1d(np.asarray(speed, dtype=float))))
        return tuple(each if np.ndim(speed) else each[0] for each in np.moveaxis(found, 1, 0))  # type: ignore[return-value]

    def gear(self, hand: str, speed: Number) -> tuple[np.ndarray, np.ndarray]:
        """Return what it adds to the displacement of the gear's centre, m."""
        number = list(HANDS).index(hand)
        side = self.pair.sides[number]
        return self._seen(number, side.rotor.flexibility[side.columns("teeth")], speed)

    def tooth(self, speed: Number) -> np.ndarray:
        """Return what it adds to the tangential tooth force on the right gear, N: by the balance of the left crank."""
        torque = np.einsum("c,sca->sa", self.pair.sides[1].rotor.rigid, self.loads(1, np.atleast_1d(speed)))
        found = self._spread(torque / float(self.carried.engine.cranks.pitch_radius))
        return found if np.ndim(speed) else found[0]

    def torque(self, hand: str, at: float, speeds: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return the torque inside a shaft at a place, without and with vibration, N m, (speeds, angles)."""
        number = list(HANDS).index(hand)
        side = self.pair.sides[number]
        below = np.array([unit[0].z < at for unit in side.rotor.columns]) * side.rotor.rigid
        if at > side.held_at:  # the teeth have brought what all others leave
            below = below - side.rotor.rigid
        still = below[self._acting(side)] @ self._static(number, speeds)
        added = self._weighed(number, below[None], speeds)[:, 0]
        return self._spread(still), self._spread(still + added)

    def stretches(self, hand: str) -> list[tuple[str, str, float]]:
        """Return every length of a shaft between neighbours that turn it: both names, and its middle, m."""
        side = self.pair.sides[list(HANDS).index(hand)]
        places = {f"crankpin of {name}": float(self.carried.engine.throw_of(yoke).at)
                  for name, yoke in self.carried.engine.yokes.items()}  # fmt: skip
        places |= {each.name: float(each.at) for each in side.crank.loads if each.kind in ("teeth", "torque")}
        row = sorted(places, key=lambda name: places[name])
        return [(one, other, (places[one] + places[other]) / 2) for one, other in pairwise(row)
                if places[other] > places[one]]  # fmt: skip

    def share(self, speed: Number) -> np.ndarray:
        """Return by what share of its static peak it changes a pin's deflection, where it does most, (speeds...)."""
        added, still = self.peaks(np.atleast_1d(np.asarray(speed, dtype=float)))
        found = np.max(added / np.where(still > 0, still, np.inf), axis=0)
        return found if np.ndim(speed) else found[0]

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
        side = self.pair.sides[number]
        rows = side.rotor.flexibility[
            [each for name in self.carried.engine.yokes for each in side.columns(f"rod of {name}")]
        ]
        return self._weighed(number, rows, speeds), rows[:, self._acting(side)] @ self._static(number, speeds)

    def tail(self, speeds: np.ndarray) -> float:
        """Return the share of the largest displacement that the highest quarter of its orders makes up."""
        found, kept = 0.0, 1 + (3 * (len(self.pair.theta) // 2)) // 4
        for number in range(2):
            added, still = self._pins(number, speeds)
            high = np.sum(np.abs(np.fft.rfft(added, axis=-1)[..., kept:]), axis=-1) * (2 / len(self.pair.theta))
            most = np.max(np.abs(still), axis=-1)
            found = max(found, float(np.max(high / np.where(most > 0, most, np.inf))))
        return found

    # At which speeds

    def worst_speeds(self, least: Number, most: Number) -> list[float]:
        """Return the speeds between two at which vibration peaks and changes a deflection by 1 percent or more, rad/s.

        Peaks stand at critical speeds: about each that the loads drive strongly enough the peak is closed in on.
        """
        speeds, _ = self.critical
        inside = (speeds > float(least)) & (speeds < float(most))
        wide, found = 2 * self.pair.damping, []
        near = _apart(speeds[inside][self.driven(inside) >= WORTH / 2], wide / 4)
        low, high = np.maximum(near * (1 - wide), float(least)), np.minimum(near * (1 + wide), float(most))
        for _ in range(CLOSER if len(near) else 0):
            tried = low[:, None] + (high - low)[:, None] * np.linspace(0.0, 1.0, STEPS)
            size = np.max(self.peaks(tried.ravel())[0], axis=0).reshape(tried.shape)
            place = np.argmax(size, axis=1)
            peak, step = tried[np.arange(len(low)), place], (high - low) / (STEPS - 1)
            kept = (place > 0) & (place < STEPS - 1)
            low, high, found = (peak - step)[kept], (peak + step)[kept], list(peak[kept])
            if not len(low):
                return []
        own = np.unique(found)
        own = own[self.share(own) >= WORTH] if len(own) else own
        return [float(each) for each in _apart(own, wide / 8)]

    def driven(self, which: np.ndarray) -> np.ndarray:
        """Return the share of the largest static deflection to which the loads drive some critical motions, about.

        which : of `critical`, as booleans.   Each alone, at its own speed W: |v . f|/(W d), v its shape, d its damping.
        """
        speeds, shapes = (each[which] for each in self.critical)
        if not len(speeds):
            return np.zeros(0)
        driving = self.pair.system.followed(self._driving(speeds))
        pushed = np.abs(np.sum(driving * shapes, axis=(-2, -1)))
        moved = np.zeros(len(speeds))
        for side, basis in zip(self.pair.sides, self.pair.basis, strict=True):
            for name in self.carried.engine.yokes:
                pins = shapes @ basis[side.columns(f"rod of {name}")][:, : shapes.shape[-1]].T
                moved = np.maximum(moved, np.max(np.hypot(pins[..., 0], pins[..., 1]), axis=-1))
        return moved * pushed / (speeds * self.pair.system.slowed[which]) / self.peaks_at_rest(speeds)

    def peaks_at_rest(self, speeds: np.ndarray) -> np.ndarray:
        """Return the largest static displacement of any pin at several speeds, m."""
        found = []
        for number, side in enumerate(self.pair.sides):
            for name in self.carried.engine.yokes:
                rows = side.rotor.flexibility[side.columns(f"rod of {name}")][:, self._acting(side)]
                found.append(_sizes(rows @ self._static(number, speeds)))
        return np.max(np.concatenate(found), axis=0)

    @property
    def critical(self) -> tuple[np.ndarray, np.ndarray]:
        """All critical speeds and their shapes (see `PeriodicSystem.critical_speeds`)."""
        return self.pair.system.critical_speeds

    # The balance

    def motion(self, speeds: np.ndarray) -> np.ndarray:
        """Return how all freedoms move at several speeds, (speeds, angles of the balance, n)."""
        key = speeds.tobytes()
        if key not in self._known:
            if len(self._known) > 64:
                self._known.clear()
            self._known[key] = self.pair.system.answer(self._driving(speeds), speeds)
        return self._known[key]

    @cached_property
    def _known(self) -> dict[bytes, np.ndarray]:
        return {}

    def loads(self, number: int, speeds: np.ndarray) -> np.ndarray:
        """Return what it adds to the loads on all columns of a crank, (speeds, columns, angles of the balance)."""
        return self._weighed(number, np.eye(len(self.pair.sides[number].shapes)), speeds)

    def _weighed(self, number: int, rows: np.ndarray, speeds: np.ndarray) -> np.ndarray:
        """Return the sum of what it adds to the loads on a crank's columns, each times its weight in each of some rows.

        rows : (rows, columns).   Returns (speeds, rows, angles of the balance).
        """
        pair, motion = self.pair, self.motion(speeds)
        basis = pair.basis[number]
        found = self._static_inertia(number, rows, speeds) + self._inertia(number, rows, basis, motion)
        found = found * -((speeds**2)[:, None, None])
        found -= np.swapaxes(self._drag(motion, speeds) @ (rows @ self._carriers[number]).T, -1, -2)
        found -= self._pressed(motion)[:, None, :] * (pair.closing[number] @ rows.T).T
        return found - self._wheel_torque(number, rows, speeds)

    def _inertia(self, number: int, rows: np.ndarray, basis: np.ndarray, moved: np.ndarray) -> np.ndarray:
        """Return what W^2 multiplies as weighed by rows, (speeds, rows, angles), for a motion basis @ moved.

        basis : (columns, n).   moved : (speeds, angles, n).
        """
        side, rotor = self.pair.sides[number], self.pair.sides[number].rotor
        once, twice = derivatives(len(self.pair.theta))
        found = (twice @ moved) @ (rows @ rotor.mass @ basis).T - (once @ moved) @ (rows @ rotor.cross @ basis).T
        found += moved @ (rows @ rotor.spin @ basis).T
        for each in side.guided:
            x, y = side.columns(each.point)
            way = each.x[:, None] * basis[x] + each.y[:, None] * basis[y]
            weight = each.x[:, None] * rows[:, x] + each.y[:, None] * rows[:, y]
            found += projected(weight * pulled(each.mass, np.sum(way * refined(moved), axis=-1))[..., None])
        return np.swapaxes(found, -1, -2)

    def _static_inertia(self, number: int, rows: np.ndarray, speeds: np.ndarray) -> np.ndarray:
        """Return the same for the static deflection."""
        side = self.pair.sides[number]
        loads = np.swapaxes(self._static(number, speeds), -1, -2)
        found = self._inertia(number, rows, side.rotor.flexibility[:, self._acting(side)], loads)
        if number == 1 and self.pair.mesh is not None:
            found += self._inertia(number, rows, side.rotor.rigid[:, None], self._turned(speeds)[..., None])
        return found

    def _turned(self, speeds: np.ndarray) -> np.ndarray:
        """Return how far the left crank is turned against the right one so that the teeth press as the loads ask."""
        assert self.pair.mesh is not None and self.carried.tooth is not None
        pressing = np.zeros((len(speeds), len(self.pair.theta)))
        for number, (side, rows) in enumerate(zip(self.pair.sides, self.pair.closing, strict=True)):
            weights = rows @ side.rotor.flexibility[:, self._acting(side)]
            pressing += np.einsum("ac,sca->sa", weights, self._static(number, speeds))
        along = float(np.cos(self.carried.engine.cranks.working_pressure_angle))
        force = self._onto_balance(np.atleast_2d(self.carried.tooth.at(speeds))) / along
        return (pressing - force / self.pair.mesh) / (along * float(self.carried.engine.cranks.pitch_radius))

    def _driving(self, speeds: np.ndarray) -> np.ndarray:
        """Return the forces on all freedoms: the inertia of the static deflection, and torque, (speeds, angles, n)."""
        found = np.zeros((len(speeds), *self.pair.pressing.shape))
        for number, basis in enumerate(self.pair.basis):
            forces = self._static_inertia(number, basis.T, speeds) * (speeds**2)[:, None, None]
            found -= np.swapaxes(forces + self._wheel_torque(number, basis.T, speeds), -1, -2)
        return found

    def _pressed(self, motion: np.ndarray) -> np.ndarray:
        """Force that presses the teeth together more than the static one, N, (speeds, angles)."""
        if self.pair.mesh is None:
            return np.zeros(motion.shape[:-1])
        return self.pair.mesh * np.sum(motion * self.pair.pressing, axis=-1)

    def _drag(self, motion: np.ndarray, speeds: np.ndarray) -> np.ndarray:
        system = self.pair.system
        rate = derivatives(len(self.pair.theta))[0] @ motion
        return (rate - motion @ system.aside.T) @ system.damping.T * speeds[:, None, None]

    @cached_property
    def _carriers(self) -> tuple[np.ndarray, np.ndarray]:
        """Loads on the columns of each crank that push one freedom alone, (columns, n)."""
        found = []
        for side, basis in zip(self.pair.sides, self.pair.basis, strict=True):
            carrier = np.zeros_like(basis)
            start = 0 if side.hand == "right" else len(self.pair.sides[0].frequencies)
            carrier[:, start : start + len(side.frequencies)] = (side.rotor.mass + side.ridden) @ side.shapes
            found.append(carrier)
        return found[0], found[1]

    def _wheel_torque(self, number: int, rows: np.ndarray, speeds: np.ndarray) -> np.ndarray | float:
        """Return the torque of a flywheel, as weighed by rows, that stands among the static loads.

        It is that of a wheel that takes up every change of torque by itself; here its inertia does what it does.
        """
        side = self.pair.sides[number]
        column = side.crank.stations.others.get("flywheel", (None, None))[1]
        if self.pair.even or column is None:
            return 0.0
        return rows[:, side.acting + column][:, None] * self._static(number, speeds)[:, column][:, None, :]

    def _static(self, number: int, speeds: np.ndarray) -> np.ndarray:
        """Return the loads on the columns of one crank's stations, (speeds, columns, angles of the balance)."""
        key = (number, speeds.tobytes())
        if key not in self._loads:
            if len(self._loads) > 16:
                self._loads.clear()
            self._loads[key] = self._static_loads(self.pair.sides[number], *self._parts[number], speeds)
        return self._loads[key]

    @cached_property
    def _loads(self) -> dict[tuple[int, bytes], np.ndarray]:
        return {}

    def _static_loads(self, side: Side, steady: np.ndarray, growing: np.ndarray, speeds: np.ndarray) -> np.ndarray:
        found = steady + (speeds**2)[:, None, None] * growing
        teeth, columns, tooth = side.crank.named("gear teeth"), side.crank.stations.teeth, side.crank.tooth
        if teeth is not None and columns is not None and tooth is not None:
            apart = np.abs(np.atleast_2d(tooth.at(speeds))) * (float(teeth.apart) * side.sign)
            theta = side.crank.theta
            for column, way in zip(columns, (np.cos(theta), np.sin(theta)), strict=True):
                found[:, column] += self._onto_balance(apart * way)
        return found

    @cached_property
    def _parts(self) -> list[tuple[np.ndarray, np.ndarray]]:
        """Loads at any speed, and per speed squared, on each crank's columns, (columns, angles of the balance)."""
        found = []
        for side in self.pair.sides:
            parts = [np.zeros((side.crank.stations.loads, len(self.pair.theta))) for _ in range(2)]
            for name, rows in side.crank.rows.items():
                np.add.at(parts[name == "inertia"], rows.columns, self._onto_balance(rows.values))
            found.append((parts[0], parts[1]))
        return found

    def _acting(self, side: Side) -> slice:
        return slice(side.acting, side.acting + side.crank.stations.loads)

    # From the angles of the balance to those of the cycle, and back

    def _onto_balance(self, values: np.ndarray) -> np.ndarray:
        return values @ between(values.shape[-1], len(self.pair.theta))

    def _spread(self, values: np.ndarray) -> np.ndarray:
        return values @ between(len(self.pair.theta), len(self.carried.motion.theta))

    def _seen(self, number: int, rows: np.ndarray, speed: Number) -> tuple[np.ndarray, np.ndarray]:
        """Return x and y on the bench of what two rows of weights make of the extra loads."""
        both = self._spread(self._weighed(number, rows, np.atleast_1d(np.asarray(speed, dtype=float))))
        x, y = on_bench(both[:, 0], both[:, 1], self.carried.motion.theta, self.pair.sides[number].sign)
        return (x, y) if np.ndim(speed) else (x[0], y[0])


def _apart(speeds: np.ndarray, share: float) -> np.ndarray:
    """Return rising speeds without those that stand less than a share above the one kept before."""
    kept: list[float] = []
    for each in speeds:
        if not kept or each > kept[-1] * (1 + share):
            kept.append(each)
    return np.array(kept)


def _sizes(values: np.ndarray) -> np.ndarray:
    """Return the largest size over the cycle of vectors, x and y by turns, (speeds, 2 pins, angles): (pins, speeds)."""
    return np.max(np.hypot(values[:, 0::2], values[:, 1::2]), axis=-1).T


def shaft_vibration(carried: LoadedShafts, speeds: Iterable[Number], damping: float) -> ShaftVibration:
    """Return how both cranks vibrate, with as many orders as it takes at the given speeds, for a single design.

    Orders are added by halves until the highest quarter of them takes no share in a pin's displacement above SETTLED.
    """
    tried = np.unique([float(each) for each in speeds])
    built, orders = rotors(carried), ORDERS
    while True:
        found = ShaftVibration(carried, pair(carried, built, orders, damping))
        if orders >= MOST_ORDERS or found.tail(tried) <= SETTLED:
            return found
        orders = orders * 3 // 2
