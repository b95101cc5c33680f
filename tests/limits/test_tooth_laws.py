"""Laws that gear teeth keep."""

from dataclasses import replace

import numpy as np
import pytest

from balance.cycle.load import Load
from balance.errors import BadDesign
from balance.machine.crank import Cranks, Gears, Throw
from balance.machine.materials import MATERIALS
from shafts.strength.teeth import backlash_angle, surface_endurance, tooth_duties, velocity_factor

ANGLES = np.arange(48) * (2 * np.pi / 48)
GEARS = Gears(module=1e-3, teeth=44, face=6e-3, at=0.01, material=MATERIALS["steel"])
SPEED = [np.asarray(100.0)]


def tooth(*, steady=0.0, gas=0.0, inertia=0.0) -> Load:
    """Return a tooth force with a steady part and parts that go round once a turn."""
    return Load(steady=steady + gas * np.cos(ANGLES), inertia=inertia * np.cos(ANGLES))


def duty(gears: Gears = GEARS, loaded: Load | None = None, speeds=SPEED):
    return tooth_duties(gears, tooth(gas=30.0) if loaded is None else loaded, speeds)[0]


def test_stress_is_in_proportion_to_the_force_and_contact_stress_to_its_root():
    one, four = duty(loaded=tooth(gas=10.0)), duty(loaded=tooth(gas=40.0))
    np.testing.assert_allclose(four.bending, 4 * one.bending, rtol=1e-12)
    np.testing.assert_allclose(four.contact, 2 * one.contact, rtol=1e-12)
    np.testing.assert_allclose(four.bending_safety, one.bending_safety / 4, rtol=1e-12)
    np.testing.assert_allclose(four.pitting_safety, one.pitting_safety / 4, rtol=1e-12)


def test_sense_of_the_force_is_all_the_same():
    one, other = duty(loaded=tooth(steady=20.0, gas=5.0)), duty(loaded=tooth(steady=-20.0, gas=-5.0))
    np.testing.assert_allclose(one.bending, other.bending, rtol=1e-12)
    np.testing.assert_allclose(one.pitting_safety, other.pitting_safety, rtol=1e-12)


def test_twice_the_face_bears_twice_the_pitting_load_and_half_the_bending():
    wide = duty(replace(GEARS, face=12e-3))
    np.testing.assert_allclose(wide.bending, duty().bending / 2, rtol=1e-12)
    np.testing.assert_allclose(wide.pitting_safety, 2 * duty().pitting_safety, rtol=1e-12)


def test_peak_between_two_angles_is_found_at_its_angle():
    shifted = Load(steady=30.0 * np.cos(ANGLES - 0.03))
    found = duty(loaded=shifted)
    np.testing.assert_allclose(found.force, 30 * velocity_factor(0.022 * 100), rtol=1e-4)
    np.testing.assert_allclose(found.angle % np.pi, 0.03, atol=2e-3)


def test_worst_speed_is_the_fastest_where_inertia_decides_and_velocity_tells_at_equal_forces():
    speeds = [np.asarray(50.0), np.asarray(100.0)]
    assert duty(loaded=tooth(inertia=0.01), speeds=speeds).speed == 100
    assert duty(loaded=tooth(gas=30.0), speeds=speeds).speed == 100
    # A pressure that inertia cancels at speed is worst while the engine is slow.
    assert duty(loaded=tooth(gas=30.0, inertia=-30e-4), speeds=speeds).speed == 50


def test_only_a_force_of_both_senses_reverses():
    assert duty(loaded=tooth(gas=30.0)).reverses
    assert not duty(loaded=tooth(steady=40.0, gas=30.0)).reverses
    assert not duty(loaded=tooth(steady=30.0, gas=30.0)).reverses


def test_reversal_at_any_speed_counts_at_every_speed():
    both = tooth(steady=40.0, gas=30.0, inertia=0.01)
    slow, fast = np.asarray(1.0), np.asarray(100.0)
    assert not duty(loaded=both, speeds=[slow]).reverses
    assert duty(loaded=both, speeds=[slow, fast]).reverses
    assert duty(loaded=both, speeds=[fast, slow]).reverses


def test_each_gear_bears_what_its_own_material_bears():
    right, left = tooth_duties(replace(GEARS, left_material=MATERIALS["hardened-steel"]), tooth(gas=30.0), SPEED)
    assert left.bending_safety > right.bending_safety
    assert left.pitting_safety > right.pitting_safety
    np.testing.assert_allclose(left.contact, right.contact, rtol=1e-12)


def test_softer_mate_spreads_the_contact():
    mixed = duty(replace(GEARS, left_material=MATERIALS["acetal"]))
    assert mixed.contact < 0.25 * duty().contact


def test_root_of_steel_endures_half_its_strength_and_of_others_a_third():
    """Common practice for the second; all else alike, their safeties stand as 3 to 2."""
    steel = MATERIALS["steel"]
    soft = replace(steel, young=steel.young / 2, shear=steel.shear / 2)
    one, other = duty(), duty(replace(GEARS, material=soft))
    np.testing.assert_allclose(one.bending_strength / other.bending_strength, 1.5, rtol=1e-12)


def test_pitting_of_what_is_not_steel_is_not_guessed():
    assert surface_endurance(MATERIALS["brass"]) is None
    found = duty(replace(GEARS, material=MATERIALS["brass"]))
    assert found.pitting_safety is None
    assert found.bending_safety > 0


def test_stated_strengths_override_the_material():
    found = duty(replace(GEARS, material=MATERIALS["brass"], bending_strength=50e6, contact_strength=300e6))
    np.testing.assert_allclose(found.bending_safety, 50e6 / found.bending, rtol=1e-12)
    np.testing.assert_allclose(found.pitting_safety, (300e6 / found.contact) ** 2, rtol=1e-12)


def test_too_few_teeth_give_no_number():
    assert np.isnan(duty(replace(GEARS, teeth=9)).bending_safety)


def test_no_force_breaks_nothing():
    found = duty(loaded=tooth(gas=0.0))
    assert (found.bending_safety, found.pitting_safety) == (np.inf, np.inf)


def test_backlash_lets_one_crank_run_ahead_by_its_share_of_the_pitch_circle():
    """All of the pitch circle is all of a turn."""
    around = 2 * np.pi * GEARS.pitch_radius
    np.testing.assert_allclose(backlash_angle(GEARS, around), 2 * np.pi, rtol=1e-12)


@pytest.mark.parametrize("option", range(3))
def test_many_options_are_each_what_they_are_alone(option):
    faces, gas, speed = np.array([4e-3, 6e-3, 8e-3]), np.array([10.0, 20.0, 30.0]), np.array([80.0, 90.0, 100.0])
    many = Load(steady=gas[:, None] * np.cos(ANGLES), inertia=np.full((3, 48), 1e-3))
    one = Load(steady=gas[option] * np.cos(ANGLES), inertia=np.full(48, 1e-3))
    together = tooth_duties(replace(GEARS, face=faces), many, [speed / 2, speed])
    alone = tooth_duties(replace(GEARS, face=float(faces[option])), one, [speed[option] / 2, speed[option]])
    for left, right in zip(together, alone, strict=True):
        for field in ("bending_safety", "pitting_safety", "speed", "angle", "force"):
            np.testing.assert_allclose(getattr(left, field)[option], getattr(right, field), rtol=1e-12, err_msg=field)


def cranks(distance: float, angle: float = 25.0) -> Cranks:
    gears = replace(GEARS, pressure_angle=np.deg2rad(angle))
    return Cranks(centre_distance=distance, gears=gears, throws={"pin": Throw(radius=0.01, at=0.0)})


def test_teeth_set_apart_meet_at_a_steeper_angle():
    """ISO 21771-1: the base circles stay, so their common tangent crosses the line of centres at r_b = (c/2) cos a."""
    base = 0.022 * np.cos(np.deg2rad(25.0))
    for distance in (0.0438, 0.044, 0.0442):
        np.testing.assert_allclose(distance / 2 * np.cos(cranks(distance).working_pressure_angle), base, rtol=1e-12)
    assert cranks(0.0442).working_pressure_angle > np.deg2rad(25.0) > cranks(0.0438).working_pressure_angle


def test_teeth_set_closer_than_their_base_circles_push_along_the_line_of_centres_no_more():
    """Base circles of 44 cos(5 deg) = 43.83 mm touch before a centre distance of 43.76 mm is reached."""
    assert cranks(0.04376, 5.0).working_pressure_angle == 0.0


def test_teeth_are_those_of_the_standard_rack_unless_said_otherwise():
    """ISO 53: a pressure angle of 20 degrees."""
    np.testing.assert_allclose(GEARS.pressure_angle, np.pi / 9, rtol=1e-15)


@pytest.mark.parametrize(("distance", "fault"), [(0.04374, "overlap"), (0.04426, "do not reach each other")])
def test_gears_more_than_a_quarter_module_from_mesh_are_refused(distance, fault):
    """Common practice, no source: no setting for backlash explains more."""
    with pytest.raises(BadDesign, match=fault):
        cranks(distance)
    cranks(0.044 + (distance - 0.044) * 0.24 / 0.26)
