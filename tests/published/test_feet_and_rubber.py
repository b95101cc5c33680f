"""A body on its feet, its weight counted, and rubber buffers, against handbooks and a maker's table.

Four feet in two planes of symmetry: Harris, Shock and Vibration Handbook, ch. 3, the formulas from memory, check
against the book; the numbers were worked out apart from this code. There z points upward; here y does.
Damping from a decay: Bevan, The Theory of Machines, ch. 15, example 4. Rubber: Gent and Lindley's shape factor as
quoted in Strojniski vestnik 60 (2014) 506; Lindley, Engineering Design with Natural Rubber, by hardness, from memory,
check against the book.
"""

import numpy as np
import pytest

from balance.case.body import case, sag
from balance.machine.machine import Gravity
from balance.machine.mount import Feet, Mount
from balance.machine.rubber import Rubber, buffer_stiffness
from balance.machine.stop import disc_stiffness

UPRIGHT = Gravity(y=-9.80665)


def four(across: float, along: float, half: tuple[float, float], height: float, **more) -> Feet:
    """Four feet at (+-a, -h, +-b), N/m each."""
    a, b = half
    places = tuple((x, -height, z) for x in (-a, a) for z in (-b, b))
    return Feet(stiffness=4 * along, across=4 * across, places=places, **more)


HARRIS = Mount(mass=4.2, inertia=(0.022, 0.026, 0.018), feet=four(12e3, 30e3, (0.08, 0.06), 0.05))


def test_four_feet_in_two_planes_of_symmetry() -> None:
    found = case(HARRIS).frequency / (2 * np.pi)
    np.testing.assert_allclose(found, [14.0736, 15.5248, 21.6249, 26.9021, 26.9626, 36.0291], atol=5e-5)


def test_the_weight_softens_rocking() -> None:
    found = case(HARRIS, UPRIGHT).frequency / (2 * np.pi)
    np.testing.assert_allclose(found, [14.0590, 15.5205, 21.6249, 26.9021, 26.9263, 35.9907], atol=5e-5)


@pytest.mark.parametrize(("each", "falls_by"), [(2e3, 0.910156), (0.6e3, 0.654175), (0.4e3, 0.376720)])
@pytest.mark.parametrize("across", [1e2, 1e6])
def test_case_on_rocking_feet_stands_as_an_inverted_pendulum(each: float, falls_by: float, across: float) -> None:
    """Stable only if 4 k a^2 > m g h, whatever the stiffness sideways; rocking alone falls by sqrt(1 - m g h/k_rot)."""
    feet = four(across, each, (0.06, 0.3), 0.12)
    found = case(Mount(mass=4.2, inertia=(0.022, 0.026, 0.018), feet=feet), UPRIGHT)
    assert np.sqrt(1 - 1 / found.standing) == pytest.approx(falls_by, abs=5e-7)


def test_rocking_alone_falls_by_the_share_of_the_weight() -> None:
    """Sideways as stiff as can be told apart, so that the case rocks about its feet and does nothing else."""
    height, falls_by = 0.12, 0.910156
    mount = Mount(mass=4.2, inertia=(0.022, 0.026, 0.018), feet=four(1e7, 2e3, (0.06, 0.3), height))
    with_weight, without = case(mount, UPRIGHT), case(mount)
    assert with_weight.frequency[0] / without.frequency[0] == pytest.approx(falls_by, abs=2e-4)


def test_softer_than_its_weight_it_falls() -> None:
    found = case(Mount(mass=4.2, inertia=(0.022, 0.026, 0.018), feet=four(12e3, 0.3e3, (0.06, 0.3), 0.12)), UPRIGHT)
    assert found.standing < 1
    assert found.frequency[0] == 0


@pytest.mark.parametrize(
    ("rpm", "ratio", "natural", "pressed"),
    [(1500, 3.31662, 7.5378, 4.372), (1000, 2.44949, 6.8041, 5.366), (3000, 4.58258, 10.9109, 2.087)],
)
def test_choice_of_an_isolator(rpm: float, ratio: float, natural: float, pressed: float) -> None:
    """The sag under the weight alone is g over natural frequency squared; a twentieth to a fifth is passed on."""
    own = rpm / 60 / ratio
    assert own == pytest.approx(natural, abs=5e-5)
    mount = Mount(mass=3.0, feet=Feet(stiffness=3.0 * (2 * np.pi * own) ** 2))
    assert sag(mount, UPRIGHT)[0] * 1e3 == pytest.approx(pressed, abs=5e-4)
    assert sag(Mount(mass=3.0, feet=Feet(stiffness=3.0 * (2 * np.pi * own) ** 2, dynamic_ratio=1.3)), UPRIGHT)[0] == (
        pytest.approx(1.3 * pressed * 1e-3, rel=2e-4)
    )


def test_bevan_damped_swing() -> None:
    """50 lb on 100 lb/in, b/a^2 = 20.79: 4.424 undamped, 4.398 damped a second, ratio 0.994."""
    pound, inch = 0.45359237, 0.0254
    gravity = 32.2 * 12 * inch  # as the book counts it
    mass, stiffness = 50 * pound, 100 * pound * gravity / inch
    share = 1 / (2 * np.sqrt(20.79))  # of x'' + a x' + b x = 0
    found = case(Mount(mass=mass, feet=Feet(stiffness=stiffness, damping_ratio=share)))
    own = found.frequency[-1] / (2 * np.pi)
    assert own == pytest.approx(4.424, abs=5e-4)
    assert np.sqrt(1 - found.damping[-1] ** 2) == pytest.approx(0.994, abs=5e-5)
    assert own * np.sqrt(1 - found.damping[-1] ** 2) == pytest.approx(4.398, abs=5e-4)


def test_stiffness_of_a_bonded_buffer() -> None:
    """50 IRHD, 20 x 10 mm: 94.342 N/mm in compression, 20.106 N/mm in shear; E_a/E = 1 + 2 S^2 at k = 1."""
    pressed, sheared = buffer_stiffness(0.020, 0.010, 50.0)
    assert pressed * 1e-3 == pytest.approx(94.342, abs=5e-4)
    assert sheared * 1e-3 == pytest.approx(20.106, abs=5e-4)


@pytest.mark.parametrize(("diameter", "height", "factor"), [(20, 10, 1.5), (25, 20, 1.195313)])
def test_a_flat_buffer_is_stiffer_by_its_shape(diameter, height, factor) -> None:
    """Gent and Lindley: E (1 + 2 k S^2) A/h, S = D/(4 h); k 0.73 and E 2.20 MPa at 50 IRHD, the factor that of k = 1.

    A buffer of a foot and a stop between yokes are the same rubber.
    """
    pressed, _ = buffer_stiffness(diameter * 1e-3, height * 1e-3, 50.0)
    bare = 2.20e6 * np.pi / 4 * (diameter * 1e-3) ** 2 / (height * 1e-3)
    assert (pressed / bare - 1) / 0.73 == pytest.approx(factor - 1, rel=1e-5)
    assert disc_stiffness(50.0, diameter * 1e-3, height * 1e-3) == pytest.approx(pressed, rel=1e-9)


def test_hardness_stiffens_the_rubber_and_moving_more() -> None:
    """Lindley's table of moduli, and its stiffening by hardness: dynamic over static 1.15 at 40 to 1.8 at 70."""
    for hardness, shear, ratio in ((40, 0.45e6, 1.15), (50, 0.64e6, 1.3), (60, 1.06e6, 1.5), (70, 1.73e6, 1.8)):
        rubber = Rubber(diameter=0.02, height=0.02, hardness=float(hardness), number=4)
        feet = Feet(rubber=rubber)
        assert feet.stiffnesses[0] == pytest.approx(4 * ratio * shear * np.pi / 4 * 0.02)
        assert feet.loss == pytest.approx(0.1)
        assert feet.viscous == 0


@pytest.mark.parametrize(
    ("off", "factor"),
    [(1, 1.038), (2, 1.087), (3, 1.118), (4, 1.161), (5, 1.205), (6, 1.251), (7, 1.298), (8, 1.348), (9, 1.399),
     (10, 1.458)],
)  # fmt: skip
def test_stiffness_of_a_hardness_that_is_off(off: int, factor: float) -> None:
    """A maker's list (GMT, introduction to its mounts): stiffness by how many degrees Shore the hardness is off.

    Lindley's table is less steep below 50 degrees and steeper above: of both ways the wider is at least the list's.
    """
    low, middle, high = (buffer_stiffness(0.02, 0.02, 50.0 + each)[1] for each in (-off, 0.0, off))
    assert middle / low == pytest.approx(factor, rel=0.04)
    assert factor < high / middle < 1.15 * factor
