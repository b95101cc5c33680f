"""Fatigue of shafts: Shigley's Mechanical Engineering Design, 9th ed., chapters 6 and 7, with its solutions manual.

Problem 7-1 as printed in the manual; the other figures from memory, each recomputed from the inputs it comes with.
"""

import numpy as np
import pytest
from shaft_samples import BUSH, bearing_up, one_section

from balance.machine.materials import Material
from shafts.bearings.bearing import Bearing
from shafts.shaft import Notch, Segment, Shaft
from shafts.strength.concentration import KEYWAY, RING_GROOVE, sensitivity, shoulder
from shafts.strength.endurance import reliability_factor, size_factor, specimen_limit, surface_factor
from shafts.strength.fatigue import cycle, elliptic, fatigue_safety, gerber, goodman, soderberg, strength, yield_safety
from shafts.strength.sections import sections

INCH, KPSI, POUND_INCH = 0.0254, 6.894757293168e6, 0.1129848290276
STEEL_1050 = Material(
    density=7850, young=207e9, shear=80e9, tensile_strength=105 * KPSI, yield_strength=82 * KPSI, name="AISI 1050 CD"
)


def criteria(loads, capacity) -> dict[str, float]:
    """Return the safety by each criterion in the worst fibre of the first section."""
    stress = cycle(loads, capacity, np.asarray(0.0))
    limit, tensile, yielding = capacity.endurance[:, None], capacity.tensile, capacity.yielding
    found = {
        "gerber": gerber(stress, limit, tensile),
        "elliptic": elliptic(stress, limit, yielding),
        "soderberg": soderberg(stress, limit, yielding),
        "goodman": goodman(stress, limit, tensile),
    }
    return {name: float(values[0].min()) for name, values in found.items()}


@pytest.mark.parametrize(
    ("criterion", "diameter"), [("gerber", 1.0157), ("elliptic", 1.0122), ("soderberg", 1.0902), ("goodman", 1.0728)]
)
def test_problem_7_1(criterion: str, diameter: float):
    """M 600 and 500, T 400 and 300 lbf in, K_f 2.2, K_fs 1.8, 30/100/80 kpsi: each diameter gives a safety of 2."""
    moment, torque = (500 * POUND_INCH, 600 * POUND_INCH), (300 * POUND_INCH, 400 * POUND_INCH)
    loads = one_section(diameter * INCH, moment, torque)
    capacity = bearing_up(diameter * INCH, (2.2, 1.8), (30 * KPSI, 100 * KPSI, 80 * KPSI))
    np.testing.assert_allclose(criteria(loads, capacity)[criterion], 2.0, rtol=3e-4)  # the digits of the diameter


def stepped() -> Shaft:
    """Return the shaft of example 7-1: 1.100 in beside 1.65 in, fillet 0.11 in, machined."""
    notch = Notch(at=0.1, kind="shoulder", fillet=0.11 * INCH)
    return Shaft(
        material=STEEL_1050,
        segments=(Segment(length=0.1, diameter=1.1 * INCH), Segment(length=0.1, diameter=1.65 * INCH)),
        starts_at=0.0,
        bearings=(Bearing(at=0.0, bush=BUSH), Bearing(at=0.2, bush=BUSH)),
        notches=(notch,),
    )


def test_example_7_1_factors():
    """K_t 1.68, K_ts 1.42 read from the charts; K_f 1.58, K_fs 1.37; k_a 0.787, k_b 0.870, k_e 0.814, S_e 29.3 kpsi.

    The fit of the curves lies 1 and 2.6 percent above what the book reads; from its own readings the rest follows.
    """
    fitted = shoulder(1.65, 1.1, 0.11)
    np.testing.assert_allclose([fitted.bending, fitted.torsion], [1.68, 1.42], rtol=0.03)
    felt = np.array(sensitivity(0.11 * INCH, 105 * KPSI, True))
    np.testing.assert_allclose(1 + felt * (np.array([1.68, 1.42]) - 1), [1.58, 1.37], atol=0.005)
    tensile = 105 * KPSI
    np.testing.assert_allclose(surface_factor("machined", tensile), 0.787, atol=0.001)
    np.testing.assert_allclose(size_factor(1.1 * INCH), 0.870, atol=0.002)  # its constant in mm is rounded
    np.testing.assert_allclose(reliability_factor(0.99), 0.814, atol=0.0005)
    shaft = stepped()
    capacity = strength(shaft, sections(shaft, {}))
    assert capacity is not None
    step = 2  # ends first, then the step, then the notch there
    np.testing.assert_allclose(capacity.endurance[step] / KPSI, 29.3, atol=0.1)


@pytest.mark.parametrize(
    ("criterion", "safety"), [("goodman", 1.626), ("gerber", 1.863), ("elliptic", 1.872), ("soderberg", 1.558)]
)
def test_example_7_1_safety(criterion: str, safety: float):
    """M 1260 lbf in alternating, T 1100 lbf in steady: n 1.62, 1.87, 1.88, 1.56 as printed, recomputed unrounded."""
    loads = one_section(1.1 * INCH, (0.0, 1260 * POUND_INCH), (1100 * POUND_INCH, 0.0))
    capacity = bearing_up(1.1 * INCH, (1.58, 1.37), (29.3 * KPSI, 105 * KPSI, 82 * KPSI))
    np.testing.assert_allclose(criteria(loads, capacity)[criterion], safety, rtol=5e-4)


def test_example_7_1_yielding():
    """n_y = 4.5, and by the whole way from drawing to safety 1.62 within what the curves are read to."""
    loads = one_section(1.1 * INCH, (0.0, 1260 * POUND_INCH), (1100 * POUND_INCH, 0.0))
    capacity = bearing_up(1.1 * INCH, (1.58, 1.37), (29.3 * KPSI, 105 * KPSI, 82 * KPSI))
    np.testing.assert_allclose(yield_safety(loads, capacity, np.asarray(0.0))[0], 4.50, atol=0.01)
    shaft = stepped()
    whole = strength(shaft, sections(shaft, {}))
    assert whole is not None
    notch = [3, 3]  # the section of the notch, on its thinner side
    picked = type(whole)(*(each[notch] if np.ndim(each) else each for each in vars(whole).values()))
    np.testing.assert_allclose(fatigue_safety(loads, picked, np.asarray(0.0))[0], 1.62, rtol=0.02)


@pytest.mark.parametrize(("percent", "factor"), [(50, 1.0), (90, 0.897), (95, 0.868), (99, 0.814), (99.9, 0.753)])
def test_table_6_5(percent: float, factor: float):
    """Reliability factors."""
    np.testing.assert_allclose(reliability_factor(percent / 100), factor, atol=0.0006)


@pytest.mark.parametrize(("tensile", "limit"), [(470e6, 235e6), (1400e6, 700e6), (1800e6, 700e6)])
def test_equation_6_8(tensile: float, limit: float):
    """Half the tensile strength, 700 MPa at most."""
    steel = Material(density=7850, young=207e9, shear=80e9, tensile_strength=tensile)
    np.testing.assert_allclose(specimen_limit(steel), limit, rtol=1e-12)


def test_table_7_1():
    """First estimates: fillet of r/d 0.02 2.7 and 2.2, of 0.1 1.7 and 1.5; keyway 2.14 and 3.0; ring groove 5 and 3.

    The fillets as they come out at the highest shoulder of the curves, D/d = 2 and more, to 7 percent.
    """
    for root, expected in ((0.02, (2.7, 2.2)), (0.1, (1.7, 1.5))):
        found = shoulder(2.0, 1.0, root)
        np.testing.assert_allclose([found.bending, found.torsion], expected, rtol=0.07)
    assert (KEYWAY, RING_GROOVE) == ((2.14, 3.0), (5.0, 3.0))


@pytest.mark.parametrize(
    ("finish", "factor", "power"),
    [("ground", 1.34, -0.085), ("machined", 2.70, -0.265), ("hot rolled", 14.4, -0.718), ("forged", 39.9, -0.995)],
)
@pytest.mark.parametrize("strength", [20, 60, 90, 130, 200])
def test_surface_factors_of_table_6_2(finish, factor, power, strength):
    """Its column in kpsi, three digits: a S_ut^b, never more than 1; a polished surface has 1 throughout."""
    expected = min(factor * strength**power, 1.0)
    np.testing.assert_allclose(surface_factor(finish, strength * KPSI), expected, rtol=4e-3)
    assert surface_factor("polished", strength * KPSI) == 1.0


@pytest.mark.parametrize(
    ("diameter", "factor"),
    [(0.11, 1.0), (0.3, 1.0), (0.5, 0.947), (1.0, 0.879), (2.0, 0.816), (3.0, 0.766), (8.0, 0.656)],
)
def test_size_factors_of_equation_6_20(diameter, factor):
    """In inches: (d/0.3)^-0.107 up to 2 inches, 0.91 d^-0.157 beyond; never more than 1."""
    own = (diameter / 0.3) ** -0.107 if diameter <= 2 else 0.91 * diameter**-0.157
    np.testing.assert_allclose(factor, min(own, 1.0), atol=0.001)
    np.testing.assert_allclose(size_factor(diameter * INCH), factor, atol=0.004)


def test_rules_for_steel_apply_to_steel_alone():
    """Half the strength of steels, at most 700 MPa; four tenths of the others', at most 100 MPa, by stiffness."""
    for young, tensile, limit in (
        (207e9, 600e6, 300e6), (207e9, 1600e6, 700e6), (151e9, 600e6, 300e6), (249e9, 600e6, 300e6),
        (149e9, 200e6, 80e6), (251e9, 200e6, 80e6), (110e9, 600e6, 100e6),
    ):  # fmt: skip
        metal = Material(density=8000, young=young, shear=young / 2.6, tensile_strength=tensile)
        np.testing.assert_allclose(specimen_limit(metal), limit, rtol=1e-12)
