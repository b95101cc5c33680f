"""Formulas of the worked sheet on motion, gas, shaking and counterweights."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import sympy

from balance.cycle.harmonics import orders
from balance.machine.machine import IsothermalGas
from balance.plates.pinned import Pinned
from balance.plates.sector import Sector
from balance.torque import tooth_force
from designs.evaluate import Evaluation
from designs.pages.formula import Formula, given
from shafts.gap.shift import rod_slope

PLACE = 7  # the crank angle of the examples, as an index: no dead centre, no symmetry


def formulas(evaluation: Evaluation) -> Iterator[Formula]:
    """Yield the formulas; examples over the cycle are at one crank angle and the rated speed."""
    for name in evaluation.design.yokes:
        if evaluation.design.yokes[name].rod is not None:
            yield from _motion(evaluation, name)
    if isinstance(evaluation.design.gas, IsothermalGas):
        yield _pressure(evaluation)
    yield _first_order(evaluation)
    if evaluation.weights is not None:
        yield from _weights(evaluation)
    if evaluation.design.cranks.gears is not None:
        yield from _teeth(evaluation)


def _motion(evaluation: Evaluation, name: str) -> Iterator[Formula]:
    machine, moved = evaluation.design, evaluation.motion.yokes[name]
    yoke, throw = machine.yokes[name], machine.throw_of(machine.yokes[name])
    assert yoke.rod is not None
    assert moved.rod is not None
    theta = given("theta", evaluation.motion.theta[PLACE], "rad", "crank angle of this example")
    r = given("r", throw.radius, "m", f"throw radius of {yoke.throw}")
    a = given("alpha", throw.phase, "rad", f"phase of {yoke.throw}")
    c = given("c", machine.cranks.centre_distance, "m", "distance of the shafts")
    b = given("b", yoke.half_span, "m", "half-span of the yoke")
    length = given("l", yoke.rod.length, "m", "rod length")
    side = 1 if yoke.side == "above" else -1
    turned = theta.symbol + a.symbol
    offset = c.symbol / 2 + r.symbol * sympy.sin(turned) - b.symbol
    height = r.symbol * sympy.cos(turned) + side * sympy.sqrt(length.symbol**2 - offset**2)
    numbers = (theta, r, a, c, b, length)
    yield Formula(
        f"Height of the {name} yoke",
        sympy.Symbol("y"),
        height,
        numbers,
        "m",
        float(moved.height[PLACE]),
        "geometry of crank, rod and yoke",
    )
    mass = given("m", evaluation.machine.yokes[name].mass, "kg", "mass of the yoke and all it carries")
    omega = given("omega", machine.speed.rated, "rad/s", "rated speed")
    q = given("y_2", moved.acceleration[PLACE], "m", "second derivative of the height by crank angle")
    yield Formula(
        f"Inertia force of the {name} yoke",
        sympy.Symbol("F"),
        -mass.symbol * omega.symbol**2 * q.symbol,
        (mass, omega, q),
        "N",
        _inertia_force(evaluation, name),
        "Newton's second law",
    )
    tilt = (
        given("e_x", moved.rod.x[PLACE], "1", "rod's direction, across"),
        given("e_y", moved.rod.y[PLACE], "1", "rod's direction, along"),
    )
    yield Formula(
        f"Across over along for the rods of {name}: rise of its side per unit of sideways pin displacement",
        sympy.Symbol("k"),
        tilt[0].symbol / tilt[1].symbol,
        tilt,
        "1",
        float(np.asarray(rod_slope(moved))[PLACE]),
        "a displaced pin lifts its side by u_y + u_x e_x / e_y, since the rod keeps its length",
    )


def _inertia_force(evaluation: Evaluation, name: str) -> float:
    """Return what the joints and the flow of the gas do to a yoke as they overcome its inertia, turned round, N."""
    pivot, push = evaluation.forces[name].pivot, evaluation.gas.push[name]
    growing = np.asarray(pivot.right.y.inertia + pivot.left.y.inertia + push.inertia)
    return -float(growing[PLACE]) * float(evaluation.design.speed.rated) ** 2


def _pressure(evaluation: Evaluation) -> Formula:
    gas, state = evaluation.design.gas, evaluation.gas
    assert isinstance(gas, IsothermalGas)
    assert state.volumes is not None
    assert state.pressure is not None
    hot, cold = given("T_h", gas.hot, "K", "hot space"), given("T_c", gas.cold, "K", "cold space")
    v_h = given("V_h", state.volumes.hot[PLACE], "m^3", "hot volume at this crank angle")
    v_c = given("V_c", state.volumes.cold[PLACE], "m^3", "cold volume at this crank angle")
    v_r = given("V_r", gas.dead.regenerator, "m^3", "regenerator and passages")
    mean = (hot.symbol - cold.symbol) / sympy.log(hot.symbol / cold.symbol)
    sum_of = v_h.symbol / hot.symbol + v_r.symbol / mean + v_c.symbol / cold.symbol
    t_r = (gas.hot - gas.cold) / np.log(gas.hot / gas.cold)
    amounts = state.volumes.hot / gas.hot + gas.dead.regenerator / t_r + state.volumes.cold / gas.cold
    filling = given(
        "M", gas.mean_pressure / np.mean(1 / amounts), "Pa m^3/K", "gas filling, from the stated mean pressure"
    )
    return Formula(
        "Pressure of the gas",
        sympy.Symbol("p"),
        filling.symbol / sum_of,
        (filling, v_h, v_r, v_c, hot, cold),
        "Pa",
        float(state.pressure[PLACE]),
        "Schmidt's isothermal analysis; regenerator at the log-mean temperature",
    )


def _first_order(evaluation: Evaluation) -> Formula:
    size = float(np.abs(orders(evaluation.bare_shaking.y, 1)[1]))
    y_1 = given(
        "Y_1",
        size,
        "kg m",
        "order 1 of the shaking force along the cylinder per unit of speed squared, without counterweights",
    )
    omega = given("omega", evaluation.design.speed.most, "rad/s", "fastest speed")
    return Formula(
        "Shaking force of order 1",
        sympy.Symbol("F_1"),
        y_1.symbol * omega.symbol**2,
        (y_1, omega),
        "N",
        size * float(evaluation.design.speed.most) ** 2,
        "inertia forces grow with the square of speed",
    )


def _weights(evaluation: Evaluation) -> Iterator[Formula]:
    weights, wanted = evaluation.weights, evaluation.design.counterweights
    assert weights is not None
    assert wanted is not None
    if len(weights.planes) == 1 and wanted.aim == "cancel order 1" and not weights.trims:
        y_1 = given("Y_1", np.abs(orders(evaluation.bare_shaking.y, 1)[1]), "kg m", "order 1 per unit of speed squared")
        yield Formula(
            "Mass times radius wanted on each shaft",
            sympy.Symbol("U"),
            y_1.symbol / 2,
            (y_1,),
            "kg m",
            float(weights.planes[0].wanted),
            "two mirrored weights share it; they cancel each other across",
        )
    for number, weight in enumerate(weights.planes):
        edge = weight.shape.edge.chosen if hasattr(weight.shape.edge, "chosen") else weight.shape.edge
        edge = edge.weight if isinstance(edge, Pinned) else edge
        where = f" {number + 1}" if len(weights.planes) > 1 else ""
        if isinstance(edge, Sector):
            whole = replace(weight.shape, edge=edge, holes=())
            yield _sector(whole, edge, where + ", before holes and arm" * bool(whole.moment != weight.shape.moment))
        moment = given("U", weight.shape.moment, "kg m", "mass times radius that is cut")
        omega = given("omega_o", evaluation.top_speed, "rad/s", "overspeed")
        pull = moment.symbol * omega.symbol**2
        yield Formula(
            f"Centrifugal force of counterweight{where} on its fixing at overspeed",
            sympy.Symbol("P"),
            pull,
            (moment, omega),
            "N",
            _pull(evaluation, number),
            "centrifugal force",
        )


def _pull(evaluation: Evaluation, number: int) -> float:
    from balance.weights.retention import pull

    assert evaluation.weights is not None
    return float(pull(evaluation.weights.planes[number].shape.moment, evaluation.top_speed))


def _sector(plate, edge: Sector, where: str) -> Formula:
    rho, t = given("rho", plate.density, "kg/m^3", "density"), given("t", plate.thickness, "m", "thickness")
    beta = given("beta", edge.half_angle, "rad", "half the angle it fills")
    outer, inner = given("R", edge.outer, "m", "outer radius"), given("R_i", edge.inner, "m", "inner radius")
    moment = sympy.Rational(2, 3) * rho.symbol * t.symbol * sympy.sin(beta.symbol) * (outer.symbol**3 - inner.symbol**3)
    return Formula(
        f"Mass times radius of counterweight{where}, a piece of ring",
        sympy.Symbol("U"),
        moment,
        (rho, t, beta, outer, inner),
        "kg m",
        float(plate.moment),
        "integral of r cos(angle) over the piece of ring",
    )


def _teeth(evaluation: Evaluation) -> Iterator[Formula]:
    machine, torques, gears = evaluation.machine, evaluation.torques, evaluation.machine.cranks.gears
    assert gears is not None
    speed = float(machine.speed.rated)
    crossing = np.broadcast_to(torques.mesh.at(speed), evaluation.motion.theta.shape)
    place = int(np.argmax(np.abs(crossing)))
    torque = given("T", crossing[place], "N m", "largest torque across the gears at rated speed")
    c = given("c", machine.cranks.centre_distance, "m", "distance of the shafts")
    force = float(np.broadcast_to(tooth_force(machine, torques).at(speed), crossing.shape)[place])
    yield Formula(
        "Tooth force along the pitch circles",
        sympy.Symbol("F_t"),
        2 * torque.symbol / c.symbol,
        (torque, c),
        "N",
        force,
        "torque over pitch radius",
    )
    tooth = evaluation.loaded_shafts.tooth
    assert tooth is not None
    pressed = given(
        "F_v",
        np.broadcast_to(tooth.at(speed), crossing.shape)[place],
        "N",
        "the same tooth force, as the shafts vibrate under it",
    )
    angle = given("gamma", gears.pressure_angle, "rad", "pressure angle")
    yield Formula(
        "Force that pushes the shafts apart",
        sympy.Symbol("F_r"),
        sympy.Abs(pressed.symbol) * sympy.tan(angle.symbol),
        (pressed, angle),
        "N",
        float(np.broadcast_to(np.abs(tooth.at(speed)), crossing.shape)[place])
        * float(np.tan(evaluation.machine.cranks.working_pressure_angle)),
        "involute teeth",
    )
