"""Crankpins, webs, joints, yoke pins, rods, arms and stems by hand: one yoke that hangs still on slowly turning cranks.

Its weight alone loads the parts, half of it on each side; moments are worked out here as cross products in space.
"""

from dataclasses import replace

import numpy as np
import pytest
from limits.gaps import carried
from limits.test_gap_items import simple

from balance.machine.crank import Pin, Throw, Web
from balance.machine.joint import CrossPin, Joint, YokePin
from balance.machine.materials import MATERIALS
from balance.machine.yoke import Arm, Displacer, Part, Rod, Section
from shafts.strength import parts, webs
from shafts.strength.grips import Grip, pressure

STEEL = MATERIALS["steel"]
WEIGHT = 0.4 * 9.81 / 2
RADIUS, PIN_AT, WEB_AT = 0.010, -0.030, -0.012
STILL = np.array([0.0])
MARIN = 4.51 * 470**-0.265 * (1 - 0.08 * 2.326348)  # Shigley: machined, 99 percent, at 470 MPa


def engine(joint=None, shaft_joint=None, hung=None, pin=None, phase=0.0):
    throw = Throw(radius=RADIUS, phase=phase, at=PIN_AT, pin=pin or Pin(diameter=0.005, length=0.032, joint=joint))
    web = Web(at=WEB_AT, mass=0.0, thickness=0.004, width=0.012, joint=shaft_joint)
    return simple(hung, cranks={"throws": {"pin": throw}, "webs": (web,)})


def safeties(key, machine):
    return parts.part_safeties(carried(machine, 96), STILL)[key]


def size_factor(mm):
    return min(1.24 * mm**-0.107, 1.0)


def test_a_crankpin_bends_like_a_cantilever_from_its_webs_face():
    """M = W 16 mm at the face; M/(pi d^3/32) against yielding; the turning crank reverses it: S_e/(K_f sigma)."""
    found = safeties("crankpin_strength", engine(Joint(kind="glued", length=0.004)))[0]
    bent = WEIGHT * 0.016 * 32 / (np.pi * 0.005**3)
    assert found.name == "right crankpin pin"
    np.testing.assert_allclose(found.by["yielding"], 390e6 / bent, rtol=2e-4)
    np.testing.assert_allclose(found.by["fatigue"], 235e6 * MARIN * size_factor(5.0) / (2.0 * bent), rtol=2e-4)
    assert found.unknown == ()


@pytest.mark.parametrize(
    ("joint", "factor"),
    [
        (Joint(kind="pressed", length=0.004, interference=1e-5), 3.0 * 0.47**0.38),
        (Joint(kind="soldered", length=0.004), 2.5),
        (Joint(kind="screwed", thread="M4", tightening=2.0), 2.0),
        (Joint(kind="screwed", thread="M4"), 3.5 * (5 / (4 - 1.2269 * 0.7)) ** 3),
        (Joint(kind="clamped", length=0.004, thread="M3", tightening=1.0), 3.0 * 0.47**0.38),
        (Joint(kind="set screws", length=0.004, thread="M3"), 2.14),  # Shigley, 9th ed., table 7-1
        (Joint(kind="keyed", length=0.004), 2.14),
        (Joint(kind="pinned", length=0.004), 2.14),
        (Joint(kind="pinned", length=0.004, pin=CrossPin(diameter=0.001)), 2.39 / 0.73),  # table A-16 at 0.2
        (None, 1.0),
    ],
)
def test_each_joint_notches_its_pin(joint, factor):
    bent = WEIGHT * 0.016 * 32 / (np.pi * 0.005**3)
    found = safeties("crankpin_strength", engine(joint))[0]
    np.testing.assert_allclose(found.by["fatigue"], 235e6 * MARIN * size_factor(5.0) / (factor * bent), rtol=2e-4)
    assert found.unknown == (() if joint else ("cranks.throws.pin.pin.joint",))


def test_a_pin_of_one_piece_is_the_weaker_the_sharper_its_fillet():
    sharp, round_ = (safeties("crankpin_strength", engine(Joint(kind="one piece", fillet=fillet)))[0].least[0]
                     for fillet in (1e-4, 1.5e-3))  # fmt: skip
    assert sharp < 0.9 * round_


def moments(theta, point):
    """Return the moment of the weight at the crankpin about a point of the web, in space, and the web's direction."""
    arm = np.stack([np.sin(theta), np.cos(theta), 0 * theta], axis=-1)
    pin = RADIUS * arm + np.array([0, 0, PIN_AT])
    force = np.array([0.0, -WEIGHT, 0.0])
    return np.cross(pin - (point * arm + np.array([0, 0, WEB_AT])), force), arm


@pytest.mark.parametrize("phase", [0.0, 7 * 2 * np.pi / 96])
def test_a_web_carries_the_wrench_of_its_pin(phase):
    theta = np.arange(96) * 2 * np.pi / 96
    worst = {"yielding": np.inf, "fatigue": np.inf}
    for point, hole in ((RADIUS, 0.005), (0.0, 0.008)):
        moment, arm = moments(theta, point)
        beside = np.cross(arm, [0.0, 0.0, 1.0])
        net, thick, width = 0.012 - hole, 0.004, 0.012
        flat = np.sum(moment * beside, axis=-1) / (net * thick**2 / 6)
        edge = moment[:, 2] / (thick * (width**3 - hole**3) / (6 * width))
        large, small = max(net, thick), min(net, thick)
        twist = np.sum(moment * arm, axis=-1) / (large * small**2 / (3 + 1.8 * small / large))
        pulled, across = (-WEIGHT * each / (net * thick) for each in (np.cos(theta), np.sin(theta)))
        pull = np.abs(flat) + np.abs(edge) + np.abs(pulled)
        equal = np.sqrt(pull**2 + 3 * (np.abs(twist) + 1.5 * np.abs(across)) ** 2)
        worst["yielding"] = min(worst["yielding"], 390e6 / np.max(equal))
        factor = 2 + (1 - hole / width) ** 3
        limit = 235e6 * MARIN * size_factor(0.808e3 * np.sqrt(net * thick))
        for one in (1, -1):
            corner = factor * (pulled + flat + one * edge)
            bend = np.ptp(corner) / 2, (corner.max() + corner.min()) / 2
            turn = [(1 + 0.65 * (factor - 1)) * each for each in (np.ptp(twist) / 2, (twist.max() + twist.min()) / 2)]
            used = np.hypot(bend[0], 3**0.5 * turn[0]) / limit + np.hypot(bend[1], 3**0.5 * turn[1]) / 470e6
            worst["fatigue"] = min(worst["fatigue"], 1 / used)
    (found, _) = safeties("web_strength", engine(phase=phase))
    np.testing.assert_allclose(found.by["yielding"], worst["yielding"], rtol=1e-9)
    np.testing.assert_allclose(found.by["fatigue"], worst["fatigue"], rtol=1e-6)


def test_a_hole_as_wide_as_its_web_leaves_nothing():
    machine = engine(pin=Pin(diameter=0.013, length=0.032))
    assert safeties("web_strength", machine)[0].least == 0.0


def test_a_pressed_pin_tips_by_its_bending_and_a_pressed_shaft_turns_by_its_torque():
    pressed = Joint(kind="pressed", length=0.004, interference=5e-6)
    pin, shaft = safeties("joint_grip", engine(pressed, pressed))[:2]
    assert (pin.name, shaft.name) == ("right crankpin pin in web 1", "right shaft in web 1")
    held = 0.3 * STEEL.young * 5e-6 / (2 * 0.005) * (1 - (5 / 12) ** 2)  # Lame, alike metals: E delta (1 - d^2/D^2)/2d
    film = held * np.pi * 0.005 * 0.004
    used = WEIGHT * 0.018 / (film * 0.004 / 12) + WEIGHT / (film / 2)
    np.testing.assert_allclose(pin.least, 1 / used, rtol=1e-3)
    held = 0.3 * STEEL.young * 5e-6 / (2 * 0.008) * (1 - (8 / 12) ** 2)
    film = held * np.pi * 0.008 * 0.004
    torque = WEIGHT * RADIUS / (0.12 * film * 0.004)
    used = torque + WEIGHT * 0.022 / (film * 0.004 / 12) + WEIGHT / (film / 2)
    np.testing.assert_allclose(shaft.least, 1 / used, rtol=1e-3)


@pytest.mark.parametrize(("kind", "strength"), [("glued", 3e6), ("soldered", 25e6)])
def test_a_film_carries_shear_and_pressure(kind, strength):
    joint = Joint(kind=kind, length=0.004)
    pin, shaft = safeties("joint_grip", engine(joint, joint))[:2]
    film = strength * np.pi * 0.005 * 0.004
    np.testing.assert_allclose(pin.least, 1 / (WEIGHT * (0.018 * 12 / 0.004 + 2) / film), rtol=1e-3)
    film = strength * np.pi * 0.008 * 0.004
    np.testing.assert_allclose(shaft.least, 1 / (WEIGHT * (RADIUS / 0.004 + 0.022 * 12 / 0.004 + 2) / film), rtol=1e-3)


def test_a_screwed_pin_is_clamped_by_its_tightening():
    """M4 x 0.7 at 2 N m: F = 2/(0.26 x 4 mm); the shoulder of 5 mm opens at F (5^2 + 4^2)/(8 x 5)."""
    found = safeties("joint_grip", engine(Joint(kind="screwed", thread="M4", tightening=2.0)))[0]
    clamped = 2.0 / (0.26 * 0.004)
    used = WEIGHT * 0.016 / (clamped * 41e-6 / 0.040) + WEIGHT / (0.12 * clamped)
    np.testing.assert_allclose(found.least, 1 / used, rtol=1e-3)


def test_a_pressed_joint_without_interference_holds_nothing():
    """No load at all against no hold at all is no pass either."""
    loose = Joint(kind="pressed", length=0.004, interference=0.0)
    assert [each.least for each in safeties("joint_grip", engine(loose, loose))[:2]] == [0.0, 0.0]
    assert Grip(0.0, 1.0, 1.0).used(0.0, 0.0, 0.0) == np.inf
    assert Grip(2.0, 4.0, 8.0).used(1.0, 1.0, 1.0) == 0.875


def test_no_more_interference_counts_than_the_web_bears():
    grips = [safeties("joint_grip", engine(Joint(kind="pressed", length=0.004, interference=each)))[0].least[0]
             for each in (5e-6, 1e-4, 1e-3)]  # fmt: skip
    assert grips[0] < grips[1] == grips[2]


@pytest.mark.parametrize("joint", [None, Joint(kind="pressed", length=0.004), Joint(kind="screwed", thread="M4")])
def test_a_joint_that_is_not_described_says_what_to_give(joint):
    found = safeties("joint_grip", engine(joint))[0]
    assert not found.by
    assert found.unknown[0].startswith("cranks.throws.pin.pin.joint")


def rod(**more):
    sizes = {"section": 20e-6, "thickness": 0.004, "width": 0.010, "material": STEEL}
    return Rod(length=0.05, **(sizes | more))


def steepness(machine):
    return np.min(carried(machine, 96).motion.yokes["only"].rod.y)


@pytest.mark.parametrize(
    ("held", "lever", "factor"), [("one end", 0.002, 3.0 * 0.47**0.38), ("both ends", (0.006 / 3 + 0.001) / 2, 1.0)]
)
def test_a_yoke_pin_bends_by_its_rods_force(held, lever, factor):
    pin = YokePin(diameter=0.003, held=held, wall=0.006, material=STEEL)
    machine = engine(hung={"rod": rod(yoke_pin=pin)})
    found = safeties("yoke_pin_strength", machine)[0]
    bent = WEIGHT / steepness(machine) * lever * 32 / (np.pi * 0.003**3)
    np.testing.assert_allclose(found.by["yielding"], 390e6 / bent, rtol=1e-9)
    # The weight never reverses it: only what the leaning rod adds alternates.
    assert found.by["fatigue"] < 470e6 / (factor * bent) * 1.03


def test_a_rod_is_pressed_along_and_buckles_across_its_thin_side():
    """Shank 5 x 4 mm, 50 mm long, on two pins: Johnson's parabola about the axis of I = 5 x 4^3/12."""
    machine = engine(hung={"rod": rod()})
    thrust = WEIGHT / steepness(machine)
    np.testing.assert_allclose(safeties("rod_strength", machine)[0].by["yielding"], 390e6 / (thrust / 20e-6), rtol=1e-9)
    slender = 0.05**2 * 12 / 0.004**2
    johnson = 20e-6 * 390e6 * (1 - 390e6 * slender / (4 * np.pi**2 * 207e9))
    found = safeties("rod_buckling", machine)[0]
    assert found.weakest == "buckling out of its plane"
    np.testing.assert_allclose(found.least, johnson / thrust, rtol=1e-9)


def test_a_rod_that_pulls_tears_its_eye():
    pin = YokePin(diameter=0.003, held="one end", material=STEEL)
    machine = replace(engine(hung={"rod": rod(yoke_pin=pin)}), gravity=replace(engine().gravity, y=9.81))
    found = safeties("rod_strength", machine)[0]
    middle = 3.0 * WEIGHT / 20e-6  # the eye at the crankpin: 10 less 5 mm by 4 mm; the rod's lean adds a little
    assert 0.85 < found.by["fatigue of its eye at the crankpin"] * middle / 470e6 < 1.0
    assert np.all(np.isinf(safeties("rod_strength", engine(hung={"rod": rod(yoke_pin=pin)}))[0].by[
        "fatigue of its eye at the crankpin"]))  # fmt: skip


def test_a_heavy_rod_bends_as_it_swings():
    machine = engine(hung={"rod": rod(mass=0.05, cg=0.025, inertia=1e-5)})
    slow, fast = (next(iter(parts.rod_safeties(carried(machine, 96), np.array([speed])))).by["yielding"][0]
                  for speed in (1.0, 400.0))  # fmt: skip
    loaded = carried(machine, 96)
    moved = loaded.motion.yokes["only"]
    across = moved.rod.y * -0.5 * moved.pin.across - moved.rod.x * (-0.5 * moved.pin.along + 0.5 * moved.acceleration)
    bent = 0.128 * 0.05 * 0.05 * np.max(np.abs(across)) * 400**2 / (0.004 * 0.005**2 / 6)
    assert fast < 390e6 / bent
    assert slow > 10 * fast


@pytest.mark.parametrize("gravity", [-9.81, 9.81])
def test_an_arm_bends_at_the_yokes_middle(gravity):
    arm = Arm(section=Section(width=0.006, height=0.008), material=STEEL)
    machine = engine(hung={"rod": rod(), "arm": arm})
    machine = replace(machine, gravity=replace(machine.gravity, y=gravity))
    force = carried(machine, 96).forces["only"].pivot.right.x.at(0.0)
    moment = WEIGHT * 0.02 + np.abs(force) * 0.004
    stress = moment / (0.006 * 0.008**2 / 6) + np.abs(force) / 48e-6
    np.testing.assert_allclose(safeties("arm_strength", machine)[0].by["yielding"], 390e6 / stress.max(), rtol=1e-9)


def test_a_hole_for_the_stem_weakens_an_arm():
    arm = Arm(section=Section(width=0.006, height=0.008), material=STEEL)
    plain, bored = (safeties("arm_strength", engine(hung={"rod": rod(), "arm": arm, "carries": each}))[0]
                    for each in (None, Displacer(bore=0.03, stem_diameter=0.003)))  # fmt: skip
    np.testing.assert_allclose(bored.by["yielding"], plain.by["yielding"] / 2, rtol=1e-9)
    np.testing.assert_allclose(bored.by["fatigue"], plain.by["fatigue"] / (2 * 2.125), rtol=1e-9)


def test_a_stem_buckles_like_a_pole():
    """4 mm, 60 mm long, fixed at the yoke: the effective length is twice its own; all the weight presses it."""
    carries = Displacer(bore=0.03, stem_diameter=0.004, stem_length=0.06, stem_material=STEEL)
    machine = engine(hung={"rod": rod(), "carries": carries})
    slender = 0.12**2 * 16 / 0.004**2
    johnson = np.pi * 4e-6 * 390e6 * (1 - 390e6 * slender / (4 * np.pi**2 * 207e9))
    euler = np.pi * 4e-6 * np.pi**2 * 207e9 / slender
    critical = euler if slender > 2 * np.pi**2 * 207e9 / 390e6 else johnson
    np.testing.assert_allclose(safeties("stem_buckling", machine)[0].least, critical / (2 * WEIGHT), rtol=1e-9)
    straight = safeties("stem_strength", machine)[0].by["yielding"]
    np.testing.assert_allclose(straight, 390e6 / (2 * WEIGHT / (np.pi * 4e-6)), rtol=1e-9)
    beside = {"all": Part(mass=0.4, at=PIN_AT + 0.005)}
    yoke = replace(machine.yokes["only"], parts=beside)
    bent = safeties("stem_strength", replace(machine, yokes={"only": yoke}))[0].by["yielding"]
    stress = 2 * WEIGHT * (1 / (np.pi * 4e-6) + 0.005 * 32 / (np.pi * 0.004**3))
    np.testing.assert_allclose(bent, 390e6 / stress, rtol=1e-9)


def test_softer_ring_grips_less():
    brass = MATERIALS["brass"]
    assert pressure(1e-5, 0.005, 0.012, brass, STEEL) < 0.75 * pressure(1e-5, 0.005, 0.012, STEEL, STEEL)


def test_a_webs_endurance_falls_with_its_size():
    assert webs.web_endurance(STEEL, 0.02, 0.01, engine().shafts) < webs.web_endurance(
        STEEL, 0.005, 0.004, engine().shafts
    )
