"""The machine as mujoco sees it: rigid bodies on hinges and slides, loops closed by unknown forces.

mujoco's inverse dynamics knows no loop forces. So the rods hang on the crankpins as open chains, the
yokes float on slides and a hinge, and the forces that close the loops are the unknowns of
    M(q) qacc + bias(q, qvel) = applied + J^T forces + crank torques,
one row a degree of freedom. The hinge of each yoke is free: the guide takes no tilting moment.
Everything stands on a floating case whose own six rows then are the reactions on the case.
Signs and axes: x across, y along the cylinder, z along the shafts; the right crank turns clockwise seen from +z.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

import mujoco
import numpy as np
from engines.symbols import placed, rods

from balance.machine.crank import Web
from balance.machine.machine import Machine

SIDES = {"right": 1, "left": -1}
PARTS = ("gas", "gravity", "inertia")


@dataclass
class Answer:
    """What mujoco finds at one angle for one part of the load; forces (x, y) in N, torques in N m.

    pivot, pin : by (yoke, hand): force on the yoke at the pivot, and on the crankpin.
    guide : by yoke: force by the guide on the yoke along x.
    torque : by hand: of rods and weights on the crank, in its sense of turning.
    bearings : by hand: of everything but the gear teeth on the shaft.
    case : force (x, y, z) and couple about the origin that the moving parts put on the case.
    """

    pivot: dict[tuple[str, str], np.ndarray] = field(default_factory=dict)
    pin: dict[tuple[str, str], np.ndarray] = field(default_factory=dict)
    guide: dict[str, float] = field(default_factory=dict)
    torque: dict[str, float] = field(default_factory=dict)
    bearings: dict[str, np.ndarray] = field(default_factory=dict)
    case: np.ndarray = field(default_factory=lambda: np.zeros(6))


def turning(machine: Machine, hand: str) -> Iterator[tuple[float, float, tuple[float, float]]]:
    """Yield place along the shaft, mass and mass centre (crank frame) of all that turns with one shaft."""
    cranks, wheel = machine.cranks, machine.flywheel
    for web in cranks.webs:
        assert isinstance(web, Web)
        if web.on in (hand, "both"):
            yield web.at, web.mass, web.cg
    if cranks.gears is not None:
        yield cranks.gears.at, cranks.gears.mass, cranks.gears.cg
    if wheel is not None and wheel.on in (hand, "both"):
        yield wheel.at, wheel.mass, (0.0, 0.0)


class Multibody:
    """A machine built in mujoco, and its joint forces at given crank angles."""

    def __init__(self, machine: Machine, theta: np.ndarray):
        self.machine = machine
        self.theta = theta
        self.moved = {name: placed(machine, yoke, theta) for name, yoke in machine.yokes.items()}
        self._masses: dict[str, tuple[float, float]] = {}
        self._spec = mujoco.MjSpec()
        case = self._body(self._spec.worldbody, "case", (0, 0, 0))
        case.add_freejoint()
        for hand in SIDES:
            self._add_crank(case, hand)
        for name in machine.yokes:
            self._add_yoke(case, name)
        self.model = self._spec.compile()
        self.data = mujoco.MjData(self.model)
        for name, (mass, inertia) in self._masses.items():  # massless bodies are legal here, not in the compiler
            self.model.body(name).mass[:] = mass
            self.model.body(name).inertia[:] = inertia

    def _body(self, parent, name: str, place, mass: float = 0.0, inertia: float = 0.0, centre=(0, 0, 0)):
        body = parent.add_body(name=name, pos=place)
        body.explicitinertial = True
        body.mass, body.inertia, body.ipos = 1.0, (1.0, 1.0, 1.0), centre
        self._masses[name] = (mass, inertia)
        return body

    def _add_crank(self, case, hand: str) -> None:
        cranks, sign = self.machine.cranks, SIDES[hand]
        crank = self._body(case, hand, (sign * cranks.centre_distance / 2, 0, 0))
        crank.add_joint(name=hand, type=mujoco.mjtJoint.mjJNT_HINGE, axis=(0, 0, -sign))
        for number, (at, mass, (x, y)) in enumerate(turning(self.machine, hand)):
            self._body(crank, f"{hand} mass {number}", (sign * x, y, at), mass)
        for name, yoke in self.machine.yokes.items():
            if yoke.rod is not None:
                throw = cranks.throws[yoke.throw]
                place = throw.radius * np.sin(throw.phase) * sign, throw.radius * np.cos(throw.phase), throw.at
                one = rods(yoke)[0 if hand == "right" else 1]
                rod = self._body(crank, f"{name} {hand}", place, one.mass, one.inertia, (one.cg, 0, 0))
                rod.add_joint(name=f"{name} {hand}", type=mujoco.mjtJoint.mjJNT_HINGE, axis=(0, 0, 1))

    def _add_yoke(self, case, name: str) -> None:
        yoke = self.machine.yokes[name]
        body = self._body(case, name, (0, 0, 0))
        for kind, axis in (("SLIDE", (1, 0, 0)), ("SLIDE", (0, 1, 0)), ("HINGE", (0, 0, 1))):
            label = f"{name} {'xyz'[axis.index(1)]}"
            body.add_joint(name=label, type=getattr(mujoco.mjtJoint, f"mjJNT_{kind}"), axis=axis)
        for key, part in yoke.parts.items():
            at = self.machine.cranks.throws[yoke.throw].at if part.at is None else part.at
            self._body(body, f"{name} {key}", (0, 0, at), part.mass)

    def answer(self, index: int, part: str, push: dict[str, float]) -> Answer:
        """Return the forces at theta[index] of one part of the load: push on each yoke (N along y) and its own."""
        moving = part == "inertia"
        self.model.opt.gravity[:] = (self.machine.gravity.x, self.machine.gravity.y, 0) if part == "gravity" else 0
        self._place(index, moving)
        model, data = self.model, self.data
        data.xfrc_applied[:] = 0
        mujoco.mj_kinematics(model, data)
        mujoco.mj_comPos(model, data)
        mujoco.mj_comVel(model, data)
        needed = np.zeros(model.nv)
        mujoco.mj_rne(model, data, 1, needed)
        found = Answer(case=-needed[:6])
        for name, force in push.items():
            needed[self._dof(f"{name} y")] -= force
        self._solve(needed, found)
        self._pins(push, found)
        return found

    def _dof(self, joint: str) -> int:
        return int(self.model.joint(joint).dofadr[0])

    def _place(self, index: int, moving: bool) -> None:
        model, data = self.model, self.data
        data.qpos[:] = model.qpos0
        data.qvel[:] = data.qacc[:] = 0
        motions = dict.fromkeys(SIDES, (self.theta[index], 1.0, 0.0))
        for name, moved in self.moved.items():
            motions[f"{name} y"] = tuple(each[index] for each in moved.height)
            angle, rate, change = (each[index] for each in moved.angle)
            if self.machine.yokes[name].rod is not None:  # hinge angle: the rod's own less that of its crank
                motions[f"{name} right"] = angle + self.theta[index], rate + 1, change
                motions[f"{name} left"] = np.pi - angle - self.theta[index], -rate - 1, -change
        for joint, (place, rate, change) in motions.items():
            data.qpos[model.joint(joint).qposadr[0]] = place
            if moving:
                data.qvel[self._dof(joint)], data.qacc[self._dof(joint)] = rate, change

    def _contacts(self) -> Iterator[tuple[str, str, str, np.ndarray, np.ndarray]]:
        """Yield yoke, hand, the other body, the point of contact and the directions in which force can pass."""
        for name, yoke in self.machine.yokes.items():
            throw = self.machine.cranks.throws[yoke.throw]
            for hand, sign in SIDES.items():
                other = f"{name} {hand}" if yoke.rod is not None else hand
                frame, origin = self.data.body(other).xmat.reshape(3, 3), self.data.body(other).xpos
                if yoke.rod is not None:
                    yield name, hand, other, origin + frame @ (yoke.rod.length, 0, 0), np.eye(3)[:2]
                else:
                    across, along = sign * throw.radius * np.sin(throw.phase), throw.radius * np.cos(throw.phase)
                    yield name, hand, other, origin + frame @ (across, along, throw.at), np.eye(3)[1:2]

    def _jacobian(self, point: np.ndarray, body: str) -> np.ndarray:
        jacobian = np.zeros((3, self.model.nv))
        mujoco.mj_jac(self.model, self.data, jacobian, None, point, self.model.body(body).id)
        return jacobian

    def _solve(self, needed: np.ndarray, found: Answer) -> None:
        columns, owners = [], []
        for name, hand, other, point, ways in self._contacts():
            closing = self._jacobian(point, name) - self._jacobian(point, other)
            columns += list(ways @ closing)
            owners += [(name, hand, way) for way in ways]
        singles = [*(f"{name} x" for name in self.machine.yokes), *SIDES]
        columns += [np.eye(self.model.nv)[self._dof(each)] for each in singles]
        matrix = np.array(columns).T[6:]  # the case's own rows hold nothing unknown: what closes a loop is internal
        forces = np.linalg.solve(matrix, needed[6:])
        for (name, hand, way), force in zip(owners, forces[: len(owners)], strict=True):
            found.pivot[name, hand] = found.pivot.get((name, hand), np.zeros(3)) + force * way
        found.guide = dict(zip(self.machine.yokes, forces[len(owners) : -2], strict=True))
        found.torque = dict(zip(SIDES, -forces[-2:], strict=True))

    def _pins(self, push: dict[str, float], found: Answer) -> None:
        """Feed the forces back, and read the rods' and the cranks' hinge forces from mujoco's own recursion."""
        model, data = self.model, self.data
        for name, hand, other, point, _ in self._contacts():
            force = -found.pivot[name, hand]
            body = data.body(other)
            body.xfrc_applied[:3] += force
            body.xfrc_applied[3:] += np.cross(point - body.xipos, force)
        mujoco.mj_rnePostConstraint(model, data)
        for (name, hand), force in found.pivot.items():
            if self.machine.yokes[name].rod is not None:
                found.pin[name, hand] = -data.body(f"{name} {hand}").cfrc_int[3:]
            else:
                found.pin[name, hand] = -force
        found.bearings = {hand: -data.body(hand).cfrc_int[3:] for hand in SIDES}
