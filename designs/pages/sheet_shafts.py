"""Formulas of the worked sheet on shafts, bearings, gap and vibration."""

from collections.abc import Iterator

import numpy as np
import sympy

from balance.machine.mount import Mount
from designs.evaluate import Evaluation
from designs.pages.formula import Formula, given
from shafts.bearings.play import clearance_range, taken_up
from shafts.bearings.rolling import RollingDuty
from shafts.crank.members import shear_coefficient
from shafts.shaft import Shaft
from shafts.strength.fatigue import cycle, fatigue_safety


def formulas(evaluation: Evaluation) -> Iterator[Formula]:
    """Yield the formulas; the examples are of the right shaft."""
    shaft = evaluation.loaded_shafts.engine.shafts.pair[0]
    if len(shaft.bearings) == 2:
        yield from (_lever_law(evaluation, name) for name in evaluation.loaded_shafts.cranks[0].stations.rods)
        yield from _overhung(evaluation, shaft)
    yield _clearance(evaluation, shaft)
    yield from _lives(evaluation)
    yield from _fatigue(evaluation)
    mount = evaluation.design.mount
    if mount is not None and mount.feet is not None and _bounces(evaluation):
        yield _resonance(evaluation, mount)


def _lever_law(evaluation: Evaluation, name: str) -> Formula:
    first, last = evaluation.loaded_shafts.engine.shafts.pair[0].bearings
    z, one, other = (
        given(
            "z", evaluation.machine.throw_of(evaluation.machine.yokes[name]).at, "m", f"place of the throw of {name}"
        ),
        given("z_1", first.at, "m", "place of bearing 1"),
        given("z_2", last.at, "m", "place of bearing 2"),
    )
    share = (other.symbol - z.symbol) / (other.symbol - one.symbol)
    return Formula(
        f"Load on bearing 1 per unit load at the throw of {name}",
        sympy.Symbol("s"),
        share,
        (z, one, other),
        "1",
        float(evaluation.loaded_shafts.cranks[0].carried_along(name)[0, 0, 0]),
        "lever law",
    )


def _overhung(evaluation: Evaluation, shaft: Shaft) -> Iterator[Formula]:
    """Yield what the bending of a shaft of one diameter alone does at each crankpin beyond its first bearing."""
    if len(shaft.segments) != 1:
        return
    segment, first, last = shaft.segments[0], *shaft.bearings
    crank = evaluation.loaded_shafts.cranks[0]
    for load in crank.loads:
        if load.kind != "rod" or load.at >= first.at:
            continue
        pair = crank.stations.rods[load.name]
        bent = crank.influence_of(crank.chain.flexibility_of("shaft", False), None, [pair])[1, pair[1]]
        begins = min(float(np.min(low)) for kind, low in zip(crank.chain.round.kind, crank.chain.round.low, strict=True)
                     if kind == "shaft")  # fmt: skip
        kappa = shear_coefficient(
            segment.bore / segment.diameter, shaft.material.young / (2 * shaft.material.shear) - 1
        )
        a, e = (
            given("a", first.at - load.at, "m", "overhang of the load"),
            given("e", first.at - begins, "m", "of it, on the shaft itself"),
        )
        span = given("L", last.at - first.at, "m", "between the bearings")
        young, shear = (
            given("E", shaft.material.young, "Pa", "Young's modulus"),
            given("G", shaft.material.shear, "Pa", "shear modulus"),
        )
        d, bore = given("d", segment.diameter, "m", "diameter"), given("d_i", segment.bore, "m", "bore")
        k = given("kappa", kappa, "1", "shear coefficient, Cowper 1966")
        second = sympy.pi / 64 * (d.symbol**4 - bore.symbol**4)
        area = sympy.pi / 4 * (d.symbol**2 - bore.symbol**2)
        bend = (a.symbol**2 * span.symbol + a.symbol**3 - (a.symbol - e.symbol) ** 3) / (3 * young.symbol * second)
        slide = (e.symbol + a.symbol**2 / span.symbol) / (k.symbol * shear.symbol * area)
        yield Formula(
            f"Deflection at the crankpin of {load.name} per newton there, by the shaft's bending alone",
            sympy.Symbol("u"),
            bend + slide,
            (a, e, span, young, shear, d, bore, k),
            "m/N",
            float(bent),
            "unit-load method; what lies inside the web counts as stiff",
        )


def _clearance(evaluation: Evaluation, shaft: Shaft) -> Formula:
    bearing, crank = shaft.bearings[0], evaluation.loaded_shafts.cranks[0]
    size = (evaluation.motion.theta.size,)
    x, y = (np.broadcast_to(each, size) for each in crank.bearings[0].on_bench(evaluation.design.speed.rated))
    place = int(np.argmax(np.hypot(x, y)))
    least, most = clearance_range(bearing)
    middle = (least + most) / 2
    g = given("g", middle, "m", "radial clearance, middle of its range")
    f_x, f_y = given("F_x", x[place], "N", "largest load at rated speed, across"), given("F_y", y[place], "N", "along")
    shift = g.symbol / 2 * f_y.symbol / sympy.sqrt(f_x.symbol**2 + f_y.symbol**2)
    return Formula(
        "Shift of the shaft in right bearing 1 along the cylinder as its clearance is taken up",
        sympy.Symbol("v"),
        shift,
        (g, f_x, f_y),
        "m",
        float(taken_up((x, y), middle)[1][place]),
        "half the clearance, along the load",
    )


def _lives(evaluation: Evaluation) -> Iterator[Formula]:
    for duty in evaluation.bearings:
        if not isinstance(duty, RollingDuty) or not np.isfinite(duty.life):
            continue
        c, p = (
            given("C", duty.rating.dynamic, "N", "basic dynamic rating"),
            given("P", duty.equivalent, "N", "equivalent load"),
        )
        omega = given("omega", evaluation.design.speed.rated, "rad/s", "rated speed")
        exponent = sympy.Rational(round(3 * duty.kind.exponent), 3)
        life = (c.symbol / p.symbol) ** exponent * 10**6 * 2 * sympy.pi / omega.symbol / 3600
        yield Formula(
            f"Life of {duty.name}, L10",
            sympy.Symbol("L"),
            life,
            (c, p, omega),
            "h",
            float(duty.life) / 3600,
            "ISO 281:2007",
        )


def _fatigue(evaluation: Evaluation) -> Iterator[Formula]:
    loads, capacity = evaluation.inside[0], evaluation.strengths[0]
    if capacity is None:
        return
    speed = float(evaluation.design.speed.most)
    safety = np.asarray(fatigue_safety(loads, capacity, speed))
    section, stress = int(np.argmin(safety)), cycle(loads, capacity, speed)
    used = stress.alternating[section] / capacity.endurance[section] + stress.steady[section] / capacity.tensile
    fibre = int(np.argmax(used))
    if not np.isfinite(safety[section]):
        return
    s_a = given("sigma_a", stress.alternating[section, fibre], "Pa", "alternating stress, von Mises, notch counted")
    s_m = given("sigma_m", stress.steady[section, fibre], "Pa", "mean stress, von Mises, notch counted")
    s_e, s_u = (
        given("S_e", capacity.endurance[section], "Pa", "endurance limit"),
        given("S_u", capacity.tensile, "Pa", "tensile strength"),
    )
    n = 1 / (s_a.symbol / s_e.symbol + s_m.symbol / s_u.symbol)
    yield Formula(
        f"Safety against fatigue of the right shaft at the fastest speed, {loads.sections.name(section)}",
        sympy.Symbol("n"),
        n,
        (s_a, s_e, s_m, s_u),
        "1",
        float(safety[section]),
        "DE-Goodman; Shigley, 9th edition, section 7-4",
    )


def _bounces(evaluation: Evaluation) -> bool:
    """Return whether the case has a mode that is a shift along the cylinder and nothing else."""
    case = evaluation.case
    return case is not None and bool(np.max(case.shares()["along the cylinder"]) > 1 - 1e-9)


def _resonance(evaluation: Evaluation, mount: Mount) -> Formula:
    assert mount.feet is not None
    assert evaluation.case is not None
    k, m = (
        given("k", mount.feet.stiffnesses[1], "N/m", "of all feet, along the cylinder"),
        given("m", mount.mass, "kg", "mass of the case"),
    )
    wanted = np.sqrt(float(mount.feet.stiffnesses[1]) / float(mount.mass))
    nearest = float(min(np.ravel(evaluation.case.frequency), key=lambda each: abs(each - wanted)))
    return Formula(
        "Natural frequency of the case along the cylinder",
        sympy.Symbol("f"),
        sympy.sqrt(k.symbol / m.symbol) / (2 * sympy.pi),
        (k, m),
        "Hz",
        nearest / (2 * np.pi),
        "mass on a spring",
    )
