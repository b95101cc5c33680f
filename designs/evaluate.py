"""A design, worked out: each thing that can be known of it, computed when it is first asked for.

Each property names what it needs and hands it to balance or shafts; of its own it has only which speeds and angles
are looked at. So a command pays only for what it shows, and nothing is computed twice.
"""

from collections.abc import Callable
from dataclasses import replace
from functools import cached_property, partial, wraps
from itertools import product
from typing import Any, TypeVar

import numpy as np

from balance.case.body import Case, case
from balance.case.loads import CaseLoads, case_loads
from balance.case.taken import SIZES, Span, around, missing, taken_mount
from balance.case.vibration import Vibration, speeds_to_try, vibration
from balance.cycle.load import Load
from balance.cylinder import AlongCylinder, Rises, along_cylinder
from balance.errors import BadDesign, Complaint
from balance.flywheel import turning_inertia
from balance.gas import GasState, gas_state
from balance.joints import YokeForces, joint_forces
from balance.leak import leak_shares
from balance.machine.machine import NoGas
from balance.machine.mount import Mount
from balance.many import one, options_of, refuse_many
from balance.motion import Motion, Stroke, angle_count, crank_angles, move, stroke
from balance.obstacles import ANGLES
from balance.quantities import Number
from balance.shaking import Moved, Shaking, of_yokes, shaking
from balance.speed_swing import SpeedSwing, speed_swing, swung_gas, swung_motion
from balance.stop import Pressed, pressed
from balance.torque import Torques, torques
from balance.turning import HANDS
from balance.weights import balancing
from balance.weights.added_mass import TradeOff
from balance.weights.carrier import Carrier
from balance.weights.clearance import WeightClearance
from balance.weights.complete import Complete, complete_balance
from balance.weights.retention import Hold
from designs.design import Design
from shafts.bearing_duty import duties
from shafts.bearings.kind import Duty
from shafts.clearance.clearances import Bodies, Clearance, Shapes
from shafts.crank import layout, supports
from shafts.crank.vectors import Peak
from shafts.gap.contact import first_contact
from shafts.gap.pair import YokePair, yoke_pairs
from shafts.loaded_shafts import Case as Expectation
from shafts.loaded_shafts import LoadedShafts, load_shafts
from shafts.peaks import shaft_peaks
from shafts.strength.fatigue import Strength, strength
from shafts.strength.parts import part_safeties
from shafts.strength.seats import PartSafety
from shafts.strength.stress import InternalLoads, internal_loads
from shafts.strength.teeth import ToothDuty, tooth_duties
from shafts.weighing import balanced, effects_of
from shafts.weights_beside import arms, carriers, circle_clearances, holds, traded, weight_clearances
from shafts.whirl.crossings import Crossing, crossings
from shafts.whirl.peaks import WORTH
from shafts.whirl.torsion import TorsionalSystem, twist_systems
from shafts.whirl.vibrating import vibrating
from shafts.whirl.vibration import ShaftVibration, shaft_vibration


class Evaluation:
    """What follows from a design; arrays as in the core: options first, angle last.

    design : as its file says.   machine : as it runs, with counterweights if they are fitted.
    oversampling : how many times as many crank angles are looked at as the harmonics need.
    cut : counterweights that are cut already, for another design; else they are sized for this one.
    without_vibration : whether a single design is looked at as many at once are: without vibration of its shafts.
    kept : what others made of it and keep with it, by their names (`kept_with_it`).
    orders : how many orders of vibration of its shafts are looked at; found out if None.
    """

    orders: int | None = None

    def __init__(
        self,
        design: Design,
        oversampling: int = 1,
        cut: balancing.Weights | None = None,
        without_vibration: bool = False,
    ):
        if not isinstance(design, Design):
            raise BadDesign(Complaint((), f"a {type(design).__name__}", "a Design, as designs.reading.read returns"))
        self.design, self.oversampling, self.cut, self.without_vibration = design, oversampling, cut, without_vibration
        self.kept: dict[str, Any] = {}

    def __repr__(self) -> str:
        count = "" if self.options is None else f", {self.options} options"
        return f"{type(self).__name__}({self.design.title!r}{count})"

    @cached_property
    def options(self) -> int | None:
        """How many options the design holds at once; None if it is a single one."""
        return options_of(self.design)

    @cached_property
    def motion(self) -> Motion:
        """Motion of every yoke over the cycle."""
        return move(self.design, crank_angles(int(np.max(angle_count(self.design))) * self.oversampling))

    @cached_property
    def strokes(self) -> dict[str, Stroke]:
        """Stroke and dead centres of every yoke."""
        return {name: stroke(self.design, name, self.motion) for name in self.design.yokes}

    @cached_property
    def gas(self) -> GasState:
        """Pressure, volumes and the gas's push on every yoke."""
        return gas_state(self.design, self.motion)

    @cached_property
    def stop(self) -> Pressed | None:
        """How the rubber stop between the yokes is pressed; None without one."""
        return pressed(self.design, self.motion)

    @cached_property
    def forces(self) -> dict[str, YokeForces]:
        """Joint forces of every yoke."""
        return joint_forces(self.machine, self.motion, self.gas)

    @cached_property
    def bare_shaking(self) -> Shaking:
        """Shaking without the counterweights that are to be cut."""
        return shaking(self.design, self.motion, self._shaken_by_yokes)

    @cached_property
    def _shaken_by_yokes(self) -> Moved:
        return of_yokes(self.design, self.motion)

    @cached_property
    def weights(self) -> balancing.Weights | None:
        """The counterweights and trims, sized for their aim unless they are cut already; None if there are none."""
        if self.design.counterweights is None or self.cut is not None:
            return self.cut
        if self.design.counterweights.aim == "cancel order 1" and not self.design.counterweights.trims:
            return balancing.size_weights(self.design.counterweights, self.bare_shaking, arms(self.design))
        return balanced(self.design)

    @property
    def weight(self) -> balancing.Weight | None:
        """The counterweight of the first plane; None if the design has none."""
        return None if self.weights is None else self.weights.planes[0]

    @cached_property
    def weight_carriers(self) -> dict[str, list[Carrier]]:
        """What carries the counterweights of each plane, on the right and on the left shaft."""
        return {} if self.design.counterweights is None else carriers(self.design)

    @cached_property
    def weight_circles(self) -> list[Number]:
        """Room of each plane's weights within the circles that they sweep, m."""
        return [] if self.weights is None else circle_clearances(self.design, self.weights)

    @cached_property
    def weight_clearances(self) -> list[WeightClearance]:
        """Proven room of the weights from everything with an outline; for a single design."""
        return [] if self.weights is None else weight_clearances(self.design, self.weights)

    @cached_property
    def own_weight_clearances(self) -> list[WeightClearance]:
        """Those of them that are from parts of a weight's own crank."""
        return [] if self.weights is None else weight_clearances(self.design, self.weights, own_alone=True)

    @cached_property
    def weight_holds(self) -> list[Hold] | None:
        """How the screws hold the weights at overspeed; None if none are stated."""
        return None if self.weights is None else holds(self.design, self.weights)

    @cached_property
    def trade_off(self) -> TradeOff | None:
        """Added mass against what is left; for a single design, None without counterweights."""
        return None if self.weights is None else traded(self.design, self.weights, effects_of(self.design))

    @cached_property
    def complete(self) -> Complete:
        """How near masses alone come to balance in every order; for a single design."""
        weights = self.design.counterweights
        planes = (0.0,) if weights is None else weights.planes
        return complete_balance(self.design, self.motion, self.bare_shaking, planes)

    @cached_property
    def weighted(self) -> Design:
        """The design with its counterweights on, whether it runs with them or not."""
        return self.design if self.weights is None else balancing.fit(self.design, self.weights)

    @cached_property
    def weighted_shaking(self) -> Shaking:
        """Shaking with the counterweights on."""
        if self.weights is None:
            return self.bare_shaking
        return shaking(self.weighted, self.motion, None if self.weights.trims else self._shaken_by_yokes)

    @property
    def fitted(self) -> bool:
        """Whether the machine runs with its counterweights."""
        return self.design.counterweights is not None and self.design.counterweights.fitted

    @property
    def machine(self) -> Design:
        """The design as it runs."""
        return self.weighted if self.fitted else self.design

    @property
    def shaking(self) -> Shaking:
        """Shaking as the machine runs."""
        return self.weighted_shaking if self.fitted else self.bare_shaking

    @cached_property
    def torques(self) -> Torques:
        """Torque on both cranks and across the gears, positive where it helps crank angle grow."""
        return torques(self.machine, self.motion, self.forces)

    @cached_property
    def crank_torques(self) -> Torques:
        """The same torques, positive in the sense in which the cranks turn: as people are to see them."""
        return self.torques.turning(self.motion.sense)

    @cached_property
    def turning_inertia(self) -> Number:
        """Moment of inertia of all that is known to turn with both shafts, kg m^2."""
        return turning_inertia(self.machine)

    @cached_property
    def swings(self) -> list[SpeedSwing]:
        """How the speed swings over a turn, at each of the speeds that are looked at but rest."""
        slowest = self.design.speed.slowest
        return [speed_swing(self.machine, self.motion, self.torques, np.maximum(each, slowest)) for each in self.speeds]

    def swung_shafts(self, swing: SpeedSwing) -> LoadedShafts:
        """Return both shafts under their loads as the speed swings; right at the swing's mean speed alone.

        Where they vibrate, they do under these loads, and as they would if the speed were even.
        """
        return self._vibrating(self.still_swung(swing))

    def still_swung(self, swing: SpeedSwing) -> LoadedShafts:
        """Return the same without vibration."""
        forces = joint_forces(self.machine, swung_motion(self.motion, swing), swung_gas(self.gas, swing))
        return self.still_shafts.under(forces, torques(self.machine, self.motion, forces))

    @cached_property
    def case_loads(self) -> CaseLoads:
        """What the moving parts put on the case."""
        return case_loads(self.motion, self.machine, self.forces, self.torques, self.shaking)

    @cached_property
    def mount(self) -> Mount | None:
        """The case with a box and feet taken for what was left out, so that it may rock; None without a mount."""
        return self._taken(1.0)

    def _taken(self, factor: float) -> Mount | None:
        mount = self.design.mount
        return taken_mount(mount, self.around, factor) if mount is not None and missing(mount) else mount

    @cached_property
    def around(self) -> tuple[Span, Span, Span]:
        """From where to where all that the design tells of reaches along x, y and z, m."""
        return around(self.design, self.motion)

    @cached_property
    def case(self) -> Case | None:
        """The case as a body on its feet; None if the design has no mount."""
        return None if self.mount is None else case(self.mount, self.design.gravity)

    @cached_property
    def vibration(self) -> Vibration | None:
        """How the case vibrates at the speeds at which it may be worst; None without a mount."""
        return None if self.case is None else self._shaken(self.case)

    @cached_property
    def bounding_vibrations(self) -> tuple[Vibration, list[Vibration]]:
        """How a case of unknown size vibrates: shifting without turning, and as boxes of several sizes.

        The boxes at few speeds: what they do there is the least that they do.
        """
        mount = self.design.mount
        assert mount is not None
        straight = self._shaken(case(replace(mount, size=None, inertia=None), self.design.gravity))
        boxes = [each for each in map(self._taken, SIZES) if each is not None]
        return straight, [self._shaken(case(box, self.design.gravity), steps=1, most_order=2) for box in boxes]

    def _shaken(self, body: Case, **few: int) -> Vibration:
        return vibration(body, self.case_loads, speeds_to_try(body, self.design.speed, **few))

    @property
    def gas_torque(self) -> Load | None:
        """What the gas turns the cranks with, N m; None without gas, where a hand or motor turns them."""
        return None if isinstance(self.design.gas, NoGas) else self.crank_torques.total

    @cached_property
    def loaded_shafts(self) -> LoadedShafts:
        """Both shafts, bent by their loads; those of a single design vibrate where that is worth counting."""
        return self._vibrating(self.still_shafts)

    @cached_property
    def still_shafts(self) -> LoadedShafts:
        """Both shafts, bent by their loads as if these changed slowly."""
        return load_shafts(self.machine, self.motion, self.forces, self.torques)

    def _vibrating(self, still: LoadedShafts) -> LoadedShafts:
        """Return the shafts under some loads of theirs as they vibrate."""
        if not self.vibrates:
            return still
        peaks = partial(self.shaft_vibration.worst_speeds, self.design.speed.least, self.top_speed)
        return vibrating(replace(self.shaft_vibration, loaded=still), peaks)

    @cached_property
    def rigid(self) -> str:
        """What to give so that no part of the cranks and their supports need count as rigid; empty if nothing does."""
        entries: list[str] = []
        for hand, shaft in zip(HANDS, self.machine.shafts.pair, strict=True):
            entries += layout.left_out(shaft, self.machine.cranks, hand) + supports.left_out(shaft)
        missing = ", ".join(dict.fromkeys(entries))
        rigid = f"give {missing}: left out, they count as rigid" if missing else ""
        return "; ".join(filter(None, (rigid, self.still)))

    @property
    def still(self) -> str:
        """What to do so that vibration of the shafts is looked at, which is done for one design at a time; else empty.

        Of many it has no bound that would be of use: an order of the loads meets a critical speed within nearly every
        range, and how far a pin moves there hangs on the damping, on both shapes and on what the turning changes.
        """
        if self.options is None and not self.without_vibration:
            return ""
        return "check it alone: among many, vibration of the shafts is left out"

    @cached_property
    def exact(self) -> str:
        """What to give so that nothing that can shift the yokes counts as rigid or as exact; empty if nothing does."""
        engine = self.machine
        free = [f"yokes.{name}.guide.length" for name, yoke in engine.yokes.items()
                if yoke.outline is not None and yoke.guided_length is None]  # fmt: skip
        if not free or not np.any(np.asarray(engine.fits.guide_play)):
            return self.rigid
        words = f"give {', '.join(free)}: left out, yokes count as upright along the shafts"
        return f"{self.rigid}; {words}" if self.rigid else words

    @cached_property
    def bearings(self) -> list[Duty]:
        """How hard each bearing works."""
        return duties(self.loaded_shafts, self.design.speed.rated, self.every_speed, self.peaks)

    @cached_property
    def peaks(self) -> list[dict[str, list[Peak]]]:
        """The worst of what the right and the left shaft do, over the cycle and the speeds."""
        return [shaft_peaks(crank, self.every_speed) for crank in self.loaded_shafts.cranks]

    @cached_property
    def teeth(self) -> tuple[ToothDuty, ToothDuty] | None:
        """How hard the teeth of the right and the left gear work; None if the gears are not described for that."""
        gears, tooth = self.design.cranks.gears, self.loaded_shafts.tooth
        if gears is None or tooth is None or gears.face is None or gears.material is None:
            return None
        return tooth_duties(gears, tooth, self.every_speed)

    @cached_property
    def inside(self) -> tuple[InternalLoads, InternalLoads]:
        """Moments, shear and torque inside the right and the left shaft."""
        return internal_loads(self.loaded_shafts)

    @cached_property
    def strengths(self) -> list[Strength | None]:
        """What the sections of the right and the left shaft bear; None without strengths of their material."""
        return [strength(loads.shaft, loads.sections) for loads in self.inside]

    @cached_property
    def part_speeds(self) -> np.ndarray:
        """Speeds at which the strength of shafts and parts is looked at, rad/s, (speeds, options...).

        Stress grows as loads do: convex in speed squared, so its worst is at an end but where the teeth change flank;
        and where the cranks vibrate, at the speeds at which they do so most.
        """
        return np.stack(np.broadcast_arrays(*(self.every_speed if self.vibrates else self.speeds[::2])))

    @cached_property
    def parts(self) -> dict[str, list[PartSafety]]:
        """How safe crankpins, webs, joints, yoke pins, rods, arms and stems are, by limit; for a single design."""
        refuse_many(self.design, "the strength of parts")
        return part_safeties(self.loaded_shafts, self.part_speeds)

    @cached_property
    def torsional_systems(self) -> list[TorsionalSystem]:
        """Both shafts as one twisting system, or as two where no gear joins them."""
        return twist_systems(self.machine)

    @cached_property
    def shaft_vibration(self) -> ShaftVibration:
        """Both cranks as they vibrate; for a single design."""
        refuse_many(self.design, "vibration of the shafts")
        speeds = [float(each) for each in self.speeds]
        return shaft_vibration(self.still_shafts, speeds, float(self.design.shafts.damping_ratio), self.orders)

    @cached_property
    def crossings(self) -> list[Crossing]:
        """Critical speeds up to twice the margin that is asked of them, and their names; for a single design."""
        vibration, margin = self.shaft_vibration, max(float(self.design.limits.critical_speed_margin), 1.0)
        return crossings(vibration, 2 * margin * float(self.design.speed.most))

    @property
    def peak_speeds(self) -> list[float]:
        """The speeds up to overspeed at which the cranks vibrate most, rad/s; for a single design."""
        return self.shaft_vibration.worst_speeds(self.design.speed.least, self.top_speed)

    @property
    def worst_speeds(self) -> list[float]:
        """Those of them within the range."""
        return [each for each in self.peak_speeds if each < float(self.design.speed.most)]

    @cached_property
    def every_speed(self) -> list[np.ndarray]:
        """All speeds that one design is looked at, rad/s, rising: `speeds`, and where its cranks vibrate most."""
        if not self.vibrates:
            return self.speeds
        return [np.asarray(each) for each in sorted({*(float(each) for each in self.speeds), *self.worst_speeds})]

    @property
    def running_speeds(self) -> list[float]:
        """Speeds at which one design's clearances are looked at, rad/s: both ends of running, and where it vibrates.

        What loads shift grows with speed squared, so that it is most at an end but where the cranks vibrate.
        """
        slowest, most = float(self.design.speed.slowest), float(self.design.speed.most)
        between = [float(each) for each in self.every_speed if slowest < float(each) < most] if self.vibrates else []
        return [slowest, *between, most]

    @property
    def alone(self) -> list["Evaluation"]:
        """Each of many options by itself, for what is worked out one at a time; a single design is itself."""
        return [self] if self.options is None else self._singles

    @cached_property
    def _singles(self) -> list["Evaluation"]:
        return [Evaluation(one(self.design, each)) for each in range(self.options or 0)]

    @cached_property
    def _moved_by_degrees(self) -> Motion:
        return self.motion if len(self.motion.theta) == ANGLES else move(self.machine, crank_angles(ANGLES))

    @cached_property
    def _every_degree(self) -> LoadedShafts:
        moved = self._moved_by_degrees
        if moved is self.motion:
            return self.loaded_shafts
        forces = joint_forces(self.machine, moved, gas_state(self.machine, moved))
        return self._vibrating(load_shafts(self.machine, moved, forces, torques(self.machine, moved, forces)))

    @cached_property
    def shapes(self) -> Shapes:
        """All parts as rigid bodies, at every degree of the turn; for a single design."""
        return Shapes(self.design, self._moved_by_degrees, self.weights if self.fitted else None)

    @cached_property
    def bodies(self) -> Bodies:
        """All parts as bodies, and how near they come, at every degree of the turn; for a single design."""
        return Bodies(self._every_degree, self.shapes)

    @cached_property
    def along_cylinder(self) -> AlongCylinder | None:
        """What moves along the cylinder, at every degree of the turn; for a single design."""
        return along_cylinder(self.design, self._moved_by_degrees)

    def rises(self, speeds: np.ndarray) -> list[Rises]:
        """Return how far deflection and play raise what moves along the cylinder, m, (speeds, angles), at every degree.

        As yokes lean along the shafts, their edges rise and sink: each is taken at its lowest and at its highest.
        """
        inside = [] if self.along_cylinder is None else self.along_cylinder.known
        ways = product(*(self.bodies.displaced.carried(each, speeds, "expected") for each in inside))
        return [{each.yoke: rise for each, rise in zip(inside, way, strict=True)} for way in ways]

    @cached_property
    def leaks(self) -> dict[str, float]:
        """Share of what each piston sweeps that leaks past it in a turn at rated speed; for a single design."""
        refuse_many(self.design, "the leak past its pistons")
        return leak_shares(self.design, self.gas, {name: float(each.length) for name, each in self.strokes.items()})

    @property
    def clearances(self) -> list[Clearance]:
        """Every two parts that could meet, the nearest first; for a single design."""
        return self.bodies.all

    @cached_property
    def pairs(self) -> list[YokePair]:
        """Every pair of yokes that could touch."""
        return yoke_pairs(self.loaded_shafts, finely=self.oversampling > 1)

    def tightest_speed(self, pair: YokePair) -> float:
        """Return the speed, of all that are looked at, at which one design's pair has the least gap, rad/s."""
        if pair not in self._tightest:
            self._tightest[pair] = float(min(self.every_speed, key=lambda each: float(pair.least(each)[0])))
        return self._tightest[pair]

    def contact(self, pair: YokePair, case: Expectation = "expected") -> float:
        """Return the speed at which one design's pair first touches, rad/s; inf if it does not up to overspeed."""
        if (pair, case) not in self._contacts:
            self._contacts[pair, case] = float(first_contact(pair, self.top_speed, case))
        return self._contacts[pair, case]

    @cached_property
    def _tightest(self) -> dict[YokePair, float]:
        return {}

    @cached_property
    def _contacts(self) -> dict[tuple[YokePair, Expectation], float]:
        return {}

    @cached_property
    def vibrates(self) -> bool:
        """Whether vibration changes a deflection, a bearing's load or the teeth's by 1 percent or more at any speed.

        Many options count as if it did not, and their rows say so.
        """
        if self.options is not None or self.without_vibration:
            return False
        speeds = np.array([float(each) for each in self.speeds])
        return bool(np.max(self.shaft_vibration.share(speeds)) >= WORTH) or bool(self.worst_speeds)

    @cached_property
    def speeds(self) -> list[np.ndarray]:
        """Speeds at which limits are looked at: both ends of the range, the rated speed, and between, rad/s.

        A load's size is convex in speed squared but where the teeth change flank, so its worst is at an end.
        """
        speed = self.design.speed
        between = [np.sqrt((np.asarray(one) ** 2 + np.asarray(other) ** 2) / 2)
                   for one, other in ((speed.least, speed.rated), (speed.rated, speed.most))]  # fmt: skip
        every = (speed.least, between[0], speed.rated, between[1], speed.most)
        return list(np.broadcast_arrays(*(np.asarray(each, dtype=float) for each in every)))

    @property
    def top_speed(self) -> np.ndarray:
        """The fastest speed with overspeed, rad/s: as far as contact is looked for."""
        return np.asarray(self.design.speed.most) * self.design.speed.overspeed


Made = TypeVar("Made")


def kept_with_it(make: Callable[[Evaluation], Made]) -> Callable[[Evaluation], Made]:
    """Have what is made of an evaluation made once and kept with it, though the evaluation knows nothing of it."""
    name = f"{make.__module__}.{make.__qualname__}"

    @wraps(make)
    def once(evaluation: Evaluation) -> Made:
        if name not in evaluation.kept:
            evaluation.kept[name] = make(evaluation)
        return evaluation.kept[name]

    return once


OVERSAMPLING = 5
"""Harmonics need an angle every 5 degrees; loads that change sides have corners, and these want one every degree."""


def evaluate_finely(design: Design) -> Evaluation:
    """Return a single design worked out as people are to see it: at every degree of the turn, or more finely."""
    return Evaluation(design, OVERSAMPLING)
