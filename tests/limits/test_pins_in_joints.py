"""Pins and their joints against handbooks: notches, threads, torsion, shear.

Screw: VDI 2230, tightening and loosening torque. Press fit: Timoshenko, Strength of Materials, part II (Lame, largest
shear). Shoulder: Peterson, Stress Concentration Factors, D/d = 2; notch sensitivity: Shigley, figures 6-20 and 6-21.
Core of a thread: ISO 724. All from memory, check against the books.
"""

from dataclasses import replace

import numpy as np
import pytest
from limits.gaps import carried
from limits.test_gap_items import simple
from limits.test_part_strength import MARIN, STEEL, STILL, WEIGHT, engine, rod, safeties, size_factor, steepness

from balance.machine.crank import Pin, Throw, Web
from balance.machine.joint import Joint, YokePin
from balance.machine.materials import MATERIALS
from shafts.strength import parts
from shafts.strength.grips import most_interference, pressure
from shafts.strength.joints import grip, notch
from shafts.strength.seats import Seat

SILVER = MATERIALS["silver-steel"]


def seat(joint: Joint, diameter: float = 0.005, material=STEEL) -> Seat:
    """A pin of 5 mm in a web 12 mm wide and 4 mm thick."""
    web = Web(at=-0.012, mass=0.0, thickness=0.004, width=0.012)
    return Seat("right", "pin", 0, web, -0.014, 1.0, 0.0, 0.01, diameter, joint, material, STEEL)


def test_a_tightened_screw_comes_loose_as_vdi_2230_says():
    """M_L = F (-0.16 P + 0.58 d2 mu + D_Km/2 mu), M4 x 0.7: d2 = 3.545 mm, D_Km = (5 + 4)/2 mm, both mu 0.12."""
    held = grip(seat(Joint(kind="screwed", thread="M4", tightening=2.0)))
    force = 2.0 / (0.26 * 0.004)
    loose = force * (-0.16 * 0.7e-3 + 0.58 * 3.545e-3 * 0.12 + 2.25e-3 * 0.12)
    np.testing.assert_allclose(held.torque, loose, rtol=3e-3)
    np.testing.assert_allclose(held.force, 0.12 * force, rtol=1e-9)
    # The clamped ring, 5 mm outside, 4 mm inside, opens where M/W of it is F/A.
    ring, area = np.pi / 32 * (5e-3**4 - 4e-3**4) / 5e-3, np.pi / 4 * (5e-3**2 - 4e-3**2)
    np.testing.assert_allclose(held.moment, force * ring / area, rtol=1e-9)


def test_a_shoulder_no_wider_than_its_thread_has_nothing_to_open():
    held = grip(seat(Joint(kind="screwed", thread="M5", tightening=2.0), diameter=0.004))
    force = 2.0 / (0.26 * 0.005)
    np.testing.assert_allclose(held.moment, force * 0.005 / 4, rtol=1e-9)  # F d/4: a thin ring of that diameter


def test_a_press_fit_bears_no_more_than_the_web_stays_elastic():
    """At s_y/2 (1 - d^2/D^2), where the largest shear at the bore reaches half the yield; 0.3 of it counts."""
    held = grip(seat(Joint(kind="pressed", length=0.004, interference=1e-3)))
    pressed = 390e6 / 2 * (1 - (5 / 12) ** 2)
    film = 0.3 * pressed * np.pi * 0.005 * 0.004
    np.testing.assert_allclose(held.torque, 0.12 * film * 0.0025, rtol=1e-9)
    np.testing.assert_allclose(held.moment, film * 0.004 / 12, rtol=1e-9)
    np.testing.assert_allclose(held.force, film / 2, rtol=1e-9)


@pytest.mark.parametrize("kind", ["pressed", "glued"])
def test_what_sticks_out_of_the_web_holds_nothing(kind):
    through, just = (grip(seat(Joint(kind=kind, length=length, interference=5e-6))) for length in (0.007, 0.004))
    half = grip(seat(Joint(kind=kind, length=0.002, interference=5e-6)))
    assert (through.torque, through.moment, through.force) == (just.torque, just.moment, just.force)
    np.testing.assert_allclose([just.torque / half.torque, just.moment / half.moment], [2, 4], rtol=1e-9)


def test_a_fillet_notches_a_pin_of_one_piece_as_peterson_charts_it():
    """r/d = 0.1 at D/d = 2: K_t 1.74 in bending, 1.47 in torsion; q 0.58 and 0.65 of soft steel at 0.5 mm."""
    bent, twisted = notch(seat(Joint(kind="one piece", fillet=0.5e-3)))
    assert bent == pytest.approx(1 + 0.58 * 0.74, rel=0.03)
    assert twisted == pytest.approx(1 + 0.65 * 0.47, rel=0.03)
    assert notch(seat(Joint(kind="one piece", fillet=0.5e-3), material=MATERIALS["aluminium"]))[0] == pytest.approx(
        1.74, rel=0.03
    )  # taken to feel it in full


@pytest.mark.parametrize(("tensile", "factor"), [(799e6, 3.5), (801e6, 4.5)])
def test_an_untightened_thread_carries_all_in_its_core(tensile, factor):
    """ISO 724: the core of M4 has 3.141 mm."""
    bent, twisted = notch(seat(Joint(kind="screwed", thread="M4"), material=replace(STEEL, tensile_strength=tensile)))
    np.testing.assert_allclose([bent, twisted], factor * (5 / 3.141) ** 3, rtol=1e-3)


def test_silver_soldering_softens_hard_steel():
    """To 550 MPa of 700, and yield alike; the endurance limit and its surface are those of what is left."""
    soldered = Pin(diameter=0.005, length=0.032, joint=Joint(kind="soldered", length=0.004), material=SILVER)
    found = safeties("crankpin_strength", engine(pin=soldered))[0]
    bent = WEIGHT * 0.016 * 32 / (np.pi * 0.005**3)
    np.testing.assert_allclose(found.by["yielding"], 430e6 * 550 / 700 / bent, rtol=2e-4)
    limit = 275e6 * 4.51 * 550**-0.265 * (1 - 0.08 * 2.326348) * size_factor(5.0)
    np.testing.assert_allclose(found.by["fatigue"], limit / (2.5 * bent), rtol=2e-4)
    glued = replace(soldered, joint=Joint(kind="glued", length=0.004))
    np.testing.assert_allclose(
        safeties("crankpin_strength", engine(pin=glued))[0].by["yielding"], 430e6 / bent, rtol=2e-4
    )


@pytest.mark.parametrize(("held", "share"), [("one end", 1.0), ("both ends", 0.5)])
def test_a_short_yoke_pin_is_sheared_before_it_bends(held, share):
    """At the neutral axis of a round bar 4/3 of the mean shear, by von Mises times the root of three."""
    pin = YokePin(diameter=0.003, held=held, wall=0.0002, material=STEEL)
    machine = engine(hung={"rod": rod(thickness=0.0002, yoke_pin=pin)})
    shear = 4 / 3 * share * WEIGHT / steepness(machine) / (np.pi / 4 * 0.003**2)
    found = safeties("yoke_pin_strength", machine)[0]
    np.testing.assert_allclose(found.by["yielding"], 390e6 / (np.sqrt(3) * shear), rtol=1e-9)


def test_an_inner_crankpin_is_twisted_by_what_hangs_on_the_outer_one():
    """The weight on the outer pin, 30 mm on and 10 sqrt 2 mm beside: M = W dz all round, T = W times what is level."""
    throws = {
        "inner": Throw(radius=0.01, phase=np.pi / 2, at=-0.030,
                       pin=Pin(diameter=0.004, length=0.020, joint=Joint(kind="glued", length=0.004))),
        "pin": Throw(radius=0.01, at=-0.050, pin=Pin(diameter=0.004, length=0.012)),
    }  # fmt: skip
    webs = tuple(Web(at=at, mass=0.0, thickness=0.004, width=0.012) for at in (-0.018, -0.042))
    machine = simple(None, cranks={"throws": throws, "webs": webs}, shaft={"starts_at": -0.016})
    found = {each.name: each for each in parts.part_safeties(carried(machine, 96), STILL)["crankpin_strength"]}
    theta = np.arange(96) * 2 * np.pi / 96
    level = 0.01 * (np.sin(theta) - np.sin(theta + np.pi / 2))
    bent = WEIGHT * 0.030 * 32 / (np.pi * 0.004**3)  # at the face of the first web, at -20 mm
    twisted = WEIGHT * level * 16 / (np.pi * 0.004**3)
    equal = np.sqrt(bent**2 + 3 * twisted**2).max()
    np.testing.assert_allclose(found["right crankpin inner"].by["yielding"], 390e6 / equal, rtol=1e-3)
    # Bending turns with the crank, once each way; the torque swings about zero, and is notched 1 + 0.65 (2 - 1).
    limit = 235e6 * MARIN * size_factor(4.0)
    used = np.hypot(2.0 * bent, np.sqrt(3) * 1.65 * np.ptp(twisted) / 2) / limit
    np.testing.assert_allclose(found["right crankpin inner"].by["fatigue"], 1 / used, rtol=0.02)


def test_a_crankpin_without_webs_says_so():
    machine = simple(
        None, cranks={"throws": {"pin": Throw(radius=0.01, at=-0.03, pin=Pin(diameter=0.005, length=0.01))}}
    )
    found = parts.part_safeties(carried(machine, 96), STILL)["crankpin_strength"][0]
    assert found.unknown == ("cranks.webs, each with width and thickness",)
    # It is looked at where it ends, 5 mm from its rod.
    bent = WEIGHT * 0.005 * 32 / (np.pi * 0.005**3)
    shear = np.sqrt(3) * 4 / 3 * WEIGHT / (np.pi / 4 * 0.005**2)
    np.testing.assert_allclose(found.by["yielding"], 390e6 / max(bent, shear), rtol=2e-3)
    np.testing.assert_allclose(found.by["fatigue"], 235e6 * MARIN * size_factor(5.0) / bent, rtol=2e-3)


@pytest.mark.parametrize(("held", "unknown"), [("both ends", ("yokes.only.rod.yoke_pin.wall",)), ("one end", ())])
def test_a_wall_is_asked_for_where_a_pin_stands_between_two(held, unknown):
    pin = YokePin(diameter=0.003, held=held, material=STEEL)
    assert safeties("yoke_pin_strength", engine(hung={"rod": rod(yoke_pin=pin)}))[0].unknown == unknown


def test_a_steel_pin_in_an_aluminium_web():
    """Shigley, equation 3-56, 15 um on 8 in 20 mm: nu 0.327 and 0.294; (464/336 + nu)/69 and (1 - nu)/207 GPa."""
    assert pressure(15e-6, 0.008, 0.020, MATERIALS["aluminium"], STEEL) == pytest.approx(66.575e6, rel=1e-4)


def test_two_throws_in_line_are_joined_by_a_web_without_an_arm():
    """The weight passes from the outer pin straight into the inner one, W times 30 mm at the first web.

    At the second one, 8 mm from it and across a hole of 4 mm, it bends and twists a web that reaches outward.
    """
    pins = (Pin(diameter=0.004, length=0.020), Pin(diameter=0.004, length=0.012))
    throws = {name: Throw(radius=0.01, at=at, pin=pin)
              for name, at, pin in zip(("inner", "pin"), (-0.030, -0.050), pins, strict=True)}  # fmt: skip
    webs = tuple(Web(at=at, mass=0.0, thickness=0.004, width=0.012) for at in (-0.018, -0.042))
    machine = simple(None, cranks={"throws": throws, "webs": webs}, shaft={"starts_at": -0.016})
    strengths = parts.part_safeties(carried(machine, 96), STILL)
    found = {each.name: each for kind in ("crankpin_strength", "web_strength") for each in strengths[kind]}
    bent = WEIGHT * 0.030 * 32 / (np.pi * 0.004**3)
    np.testing.assert_allclose(found["right crankpin inner"].by["yielding"], 390e6 / bent, rtol=1e-3)
    theta = np.arange(96) * 2 * np.pi / 96
    flat = WEIGHT * 0.008 * np.abs(np.cos(theta)) / (0.008 * 0.004**2 / 6) + WEIGHT * np.abs(np.cos(theta)) / 32e-6
    twist = WEIGHT * 0.008 * np.abs(np.sin(theta)) / (0.008 * 0.004**2 / (3 + 1.8 * 0.5))
    shear = twist + 1.5 * WEIGHT * np.abs(np.sin(theta)) / 32e-6
    (second,) = [each for name, each in found.items() if name.startswith("right web 2")]
    np.testing.assert_allclose(second.by["yielding"], 390e6 / np.sqrt(flat**2 + 3 * shear**2).max(), rtol=1e-9)


def test_a_web_that_yields_all_round_lets_go_of_what_is_pressed_in_it():
    """Through the ring radial stress grows by Y/r once all of it yields (Tresca), here summed; then Lame's own formula.

    5 mm in 12 mm of the same steel: delta = 2 d p/(E (1 - (d/D)^2)).
    """
    radius = np.linspace(2.5e-3, 6e-3, 20_001)
    borne = np.trapezoid(STEEL.yield_strength / radius, radius)
    expected = 2 * 5e-3 * borne / (STEEL.young * (1 - (5 / 12) ** 2))
    pressed = Joint(kind="pressed", length=0.004, interference=8e-6)
    assert most_interference(pressed, 0.005, 0.012, (STEEL, STEEL)) == pytest.approx(expected, rel=1e-6)
    assert most_interference(Joint(kind="glued", length=0.004), 0.005, 0.012, (STEEL, STEEL)) is None
