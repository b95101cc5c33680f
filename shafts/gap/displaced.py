"""How far every part is moved by all that yields or has play: pins, rods, webs and yokes."""

from dataclasses import replace
from functools import cached_property

import numpy as np

from balance.bodies.yokes import axis_of
from balance.cylinder import Inside
from balance.obstacles import Obstacle
from balance.quantities import Number, result
from balance.turning import HANDS, on_bench
from shafts.bearings.play import taken_up
from shafts.crank.loaded import LoadedCrank
from shafts.gap.curve import GapCurve
from shafts.gap.facing import alone
from shafts.gap.items import sum_of_lines, yoke_arm_bending, yoke_tilt_along_shafts
from shafts.gap.items.bearing_clearance import off_centre
from shafts.gap.items.yoke_arm_bending import arm_bow
from shafts.gap.items.yoke_tilt_along_shafts import tilts
from shafts.gap.shift import Shift
from shafts.loaded_shafts import Case, LoadedShafts

Vector = tuple[np.ndarray, np.ndarray]
"""x and y, each (angles,)."""
OUT = 0.1  # m to either side: the line through what a yoke does there is what it does


@result
class Displaced:
    """All parts of a machine as they are moved by all that yields or has play; for a single design.

    Expected, play is taken up along the loads. In the worst case parts are moved by what yields, and `looseness` says
    how far play can move them besides, whichever way. A yoke's face that bends between two of its corners is looked at
    in these alone. How far a yoke leans along the shafts is told by `tilt_rise`, as it counts at the ends of what two
    parts share there.
    """

    loaded: LoadedShafts

    def of(self, part: Obstacle, near: Vector, speed: Number, case: Case) -> Vector:
        """Return how far a point of a part is moved at a speed, x and y in m, (angles,)."""
        kind, name = part.follows
        if kind == "yoke":
            shift, bow = self.yoke(name, speed, case), arm_bow(self.loaded, name, near[0])
            bent = 0.0 if bow is None else bow.shape * bow.load.at(speed)
            return np.zeros_like(near[0]), shift.rise + near[0] * shift.tilt + bent
        if kind == "pin":
            return self.pin(name, part.hand, speed, case)
        if kind == "rod":
            return self._rod(part, near, speed, case)
        if kind == "web":
            return self._web(part, near, speed, case)
        return np.zeros_like(near[0]), np.zeros_like(near[0])

    def tilt_rise(self, part: Obstacle, z: tuple[float, float], speed: Number, case: Case) -> Vector:
        """Return the least and the most by which a part rises within a range along the shafts as its yoke leans, m.

        Rods hang in the plane about which it leans.
        """
        kind, name = part.follows
        return self._tilt_rise(name, z, speed, case) if kind == "yoke" else (np.zeros(1), np.zeros(1))

    def carried(self, inside: Inside, speed: Number, case: Case) -> Vector:
        """Return the least and the most by which the edge of what a yoke carries is raised, m, (angles,)."""
        axis, radius = float(axis_of(self.loaded.engine)), inside.body.radius
        rise = self.yoke(inside.yoke, speed, case).rise
        low, high = self._tilt_rise(inside.yoke, (axis - radius, axis + radius), speed, case)
        return rise + low, rise + high

    def _tilt_rise(self, name: str, z: tuple[float, float], speed: Number, case: Case) -> Vector:
        plane = float(self.loaded.engine.throw_of(self.loaded.engine.yokes[name]).at)
        rises = [tilt * (end - plane) for tilt in self.tilts(name, speed, case) for end in z]
        return np.min(rises, axis=0), np.max(rises, axis=0)

    def tilts(self, name: str, speed: Number, case: Case) -> Vector:
        """Return the least and the most by which a yoke leans along the shafts, rad."""
        return tilts(self.loaded, name, speed, case)

    def looseness(self, part: Obstacle) -> np.ndarray:
        """Return how far play can move a part at the most, m, (angles,)."""
        kind, name = part.follows
        names = self._yokes_joined_by(part) if kind == "web" else [name] if kind in ("pin", "rod", "yoke") else []
        loose = np.zeros_like(self.loaded.motion.theta)
        for yoke in names:
            if kind != "yoke":
                loose = np.maximum(loose, _pin_looseness(self.loaded.of(part.hand), yoke))
            if kind in ("yoke", "rod"):
                loose = np.maximum(loose, self._yoke_looseness[yoke])
        return loose

    def pin(self, name: str, hand: str, speed: Number, case: Case) -> Vector:
        """Return how far a yoke's crankpin is moved, x and y in m, (angles,)."""
        crank = self.loaded.of(hand)
        bent = crank.pin(name).on_bench(speed)
        if case == "worst":
            return bent
        played = play_at(crank, name, speed)
        return bent[0] + played[0], bent[1] + played[1]

    def _yokes_joined_by(self, part: Obstacle) -> list[str]:
        """Return the yokes that hang on the throws that a web joins."""
        on = {yoke.throw: name for name, yoke in self.loaded.engine.yokes.items()}
        return [on[throw] for throw in part.joins if throw in on]

    def _web(self, part: Obstacle, near: Vector, speed: Number, case: Case) -> Vector:
        """Between its ends a web moves as the crankpins there do, in proportion; on the shaft, as the next pin."""
        import shapely

        pins = [self.pin(name, part.hand, speed, case) for name in self._yokes_joined_by(part)]
        if not pins:
            return np.zeros_like(near[0]), np.zeros_like(near[0])
        inner, outer = np.moveaxis(shapely.get_coordinates(part.shapes).reshape(-1, 2, 2), 0, -1)
        arm = outer - inner
        share = np.clip(
            ((near[0] - inner[0]) * arm[0] + (near[1] - inner[1]) * arm[1]) / np.sum(arm**2, axis=0), 0.0, 1.0
        )
        (x, y), (end_x, end_y) = pins[0], pins[-1]
        return (1 - share) * x + share * end_x, (1 - share) * y + share * end_y

    def _rod(self, part: Obstacle, near: Vector, speed: Number, case: Case) -> Vector:
        """Between its ends a rod moves as they do, in proportion."""
        yoke, moved = self.loaded.engine.yokes[part.follows[1]], self.loaded.motion.yokes[part.follows[1]]
        assert yoke.rod is not None
        assert moved.rod is not None
        sign = HANDS[part.hand]
        pin = self.pin(part.follows[1], part.hand, speed, case)
        shift = self.yoke(part.follows[1], speed, case)
        along = (near[0] - sign * moved.pin.x) * sign * moved.rod.x + (near[1] - moved.pin.along) * moved.rod.y
        share = np.clip(along / float(yoke.rod.length), 0.0, 1.0)
        pivot_rise = shift.rise + sign * float(yoke.half_span) * shift.tilt
        return (1 - share) * pin[0], (1 - share) * pin[1] + share * pivot_rise

    def yoke(self, name: str, speed: Number, case: Case) -> Shift:
        """Return how one yoke is shifted at a speed, but for the bending of its arms and its lean along the shafts."""
        curve = self._curves[name]
        if case == "worst":
            curve = replace(curve, leads=None, bearings=None, rods=None)
        left, right = np.moveaxis(curve.clearances(speed), -2, 0)
        return Shift((left + right) / 2, (right - left) / (2 * OUT))

    @cached_property
    def _curves(self) -> dict[str, GapCurve]:
        curves = {}
        for name in self.loaded.engine.yokes:
            curves[name] = sum_of_lines(
                self.loaded, alone(name, ENDS), "expected", (yoke_arm_bending, yoke_tilt_along_shafts)
            )
        return curves

    @cached_property
    def _yoke_looseness(self) -> dict[str, np.ndarray]:
        """The most by which play moves any point of a yoke: at the ends of a line as long as its outline or span."""
        most = {}
        for name, yoke in self.loaded.engine.yokes.items():
            out = float(yoke.half_span) if yoke.outline is None else max(abs(float(x)) for x, _ in yoke.outline.corners)
            facing = alone(name, np.array([-out, out]))
            loose, firm = (
                sum_of_lines(self.loaded, facing, case, (yoke_tilt_along_shafts,)) for case in ("worst", "expected")
            )
            most[name] = np.max(firm.plain.at(0.0) - loose.plain.at(0.0), axis=-2)
        return most


ENDS = np.array([-OUT, OUT])


def _pin_looseness(crank: LoadedCrank, name: str) -> np.ndarray:
    moves = np.linalg.norm(crank.carried_along(name), axis=(-2, -1), ord=2)
    return np.sum(moves * [float(off_centre(bearing, "worst")) for bearing in crank.shaft.bearings]) * np.ones(1)


def play_at(crank: LoadedCrank, name: str, speed: Number) -> Vector:
    """Return how far bearing play, taken up along each bearing's load, moves a crankpin, x and y in m."""
    x, y = np.zeros(1), np.zeros(1)
    moves = crank.carried_along(name)
    for index, bearing in enumerate(crank.shaft.bearings):
        along_x, along_y = taken_up(crank.bearings[index].at(speed), 2 * off_centre(bearing, "expected"))
        x = x + moves[index, 0, 0] * along_x + moves[index, 0, 1] * along_y
        y = y + moves[index, 1, 0] * along_x + moves[index, 1, 1] * along_y
    return on_bench(x, y, crank.theta, crank.sign)
