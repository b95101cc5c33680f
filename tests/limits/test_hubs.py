"""Hubs on shafts by hand: what passes into a gear, a wheel and a counterweight, what holds it, and what it does."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from limits.evaluated import run
from limits.gaps import carried
from limits.test_gap_items import simple
from random_designs import random_engine

from balance.machine.crank import Gears
from balance.machine.joint import CrossPin, Hub, Joint
from balance.machine.materials import MATERIALS
from balance.machine.wheels import Flywheel
from balance.turning import HANDS
from shafts.loaded_shafts import load_shafts
from shafts.shaft import Notch
from shafts.strength import parts
from shafts.strength.fatigue import safeties, strength
from shafts.strength.grips import grip_of
from shafts.strength.on_shaft import held_places, hubbed
from shafts.strength.stress import internal_loads

STEEL, HARD = MATERIALS["steel"], MATERIALS["hardened-steel"]
WEIGHT = 0.4 * 9.81 / 2
STILL = np.array([0.0])
GLUED = Hub(kind="glued", length=0.01)
GEARS = Gears(module=0.001, teeth=50, at=0.02, face=0.008, material=STEEL, hub=GLUED)
WHEEL = Flywheel(on="right", at=0.045, inertia=1e-4, hub=GLUED)
FILM = 3e6 * np.pi * 0.008 * 0.010  # N, of such a film on 8 mm of shaft


def grips(machine):
    return {each.name: each for each in parts.part_safeties(carried(machine, 96), STILL)["hub_grip"]}


def geared(**wheels):
    cranks = {"throws": simple().cranks.throws, "gears": GEARS}
    return simple(cranks=cranks, **wheels)


def test_a_gear_takes_the_weight_of_the_other_side():
    """The left crank's whole torque W r crosses at the pitch circle: W r/R along the teeth, tan 20 deg of it across."""
    found = grips(geared())
    torque = WEIGHT * 0.010
    tooth = torque / 0.025
    worst = torque / (FILM * 0.004) + tooth / np.cos(np.deg2rad(20)) / (FILM / 2)
    for hand in HANDS:
        np.testing.assert_allclose(found[f"{hand} gear"].by["grip"], 1 / worst, rtol=2e-3)


def test_a_wheel_takes_the_ripple_and_hangs_by_its_weight():
    """Both sides' torque goes to the one wheel at rest, as a yoke that goes up and down gives no mean torque."""
    found = grips(geared(flywheel=replace(WHEEL, mass=0.5)))
    worst = 2 * WEIGHT * 0.010 / (FILM * 0.004) + 0.5 * 9.81 / (FILM / 2)
    assert [*found] == ["right gear", "right flywheel", "left gear"]
    np.testing.assert_allclose(found["right flywheel"].by["grip"], 1 / worst, rtol=2e-3)


@pytest.mark.parametrize("seed", range(12))
def test_what_passes_into_hubs_is_what_acts_on_them(seed):
    """Torque and force of the step along the shaft against the loads by name; a film of so much area tells them apart.

    With as much torque as force in a share, its sum is that of both, at the angle where they are largest together.
    """
    engine = random_engine(seed, "B", flywheel=Flywheel(on="both", at=0.02, left_at=0.025, inertia=1e-4, mass=0.3))
    if engine.cranks.gears is None:
        engine = replace(engine, cranks=replace(engine.cranks, gears=Gears(
            module=engine.cranks.centre_distance / 40, teeth=40, at=0.012, mass=0.03, cg=(1e-4, 0.0))))  # fmt: skip
    engine = replace(engine, cranks=replace(engine.cranks, load_at=0.3, gears=replace(engine.cranks.gears, hub=GLUED)),
                     flywheel=replace(engine.flywheel, hub=GLUED))  # fmt: skip
    found = run(engine)
    loaded = load_shafts(engine, found.moved, found.forces, found.torques)
    speed = float(engine.speed.most)
    by_name = {each.name: each for each in parts.part_safeties(loaded, np.array([speed]))["hub_grip"]}
    for crank in loaded.cranks:
        for part in hubbed(engine, crank.shaft, crank.hand):
            force, torque = acting(crank, part.name.split()[1], speed)
            film = 3e6 * np.pi * part.diameter * 0.010
            used = np.abs(torque) / (film * part.diameter / 2) + np.abs(force) / (film / 2)
            np.testing.assert_allclose(by_name[part.name].by["grip"][0], 1 / np.max(used), rtol=1e-4)
            force, torque = acting(crank, part.name.split()[1], speed * engine.speed.overspeed)
            used = np.abs(torque) / (film * part.diameter / 2) + np.abs(force) / (film / 2)
            np.testing.assert_allclose(by_name[part.name].by["grip at overspeed"][0], 1 / np.max(used), rtol=1e-4)


def acting(crank, name, speed):
    """Force, complex, and torque on a part from outside, at a speed: all that is loaded on the crank at its place."""
    force, torque = 0j, 0.0
    for load in crank.loads:
        if not (load.name == name or (name == "gear" and load.kind == "teeth")):
            continue
        if load.force is not None:
            y = load.force.y.at(speed)
            force = force + load.apart * np.abs(y) + load.force.x.at(speed) + 1j * y
        if load.kind == "turning mass":
            x, y = load.turning
            turn = np.exp(1j * crank.theta)
            pull = (y + 1j * x) * turn * speed**2  # real along +y, imaginary along the crank's outside
            weight = load.mass * (crank.gravity[0] + 1j * crank.gravity[1])
            force = force + crank.sign * pull.imag + 1j * pull.real + weight
            torque = torque + on_axis(load, crank)
        if load.torque is not None:
            torque = torque + load.torque.at(speed)
    return force, torque


def on_axis(load, crank):
    """Torque of an eccentric part's weight about the shaft, as crank angle grows."""
    x, y = load.turning
    sine, cosine = np.sin(crank.theta), np.cos(crank.theta)
    across, along = crank.sign * (x * cosine + y * sine), y * cosine - x * sine
    about = across * crank.gravity[1] - along * crank.gravity[0]  # about +z
    return -crank.sign * about


METALS = STEEL, STEEL


def held(hub, d=0.010, outside=0.020, metals=METALS):
    return grip_of(hub, d, hub.length, outside, metals)


def test_a_pin_bears_by_its_faces_in_shaft_and_hub_and_by_its_sections():
    """Faces by quadrature of pressure times arm: it grows from the middle of the shaft and is even in the hub."""
    pin, bears = 0.002, 0.35 * 390e6
    arms = np.linspace(0.0, 0.005, 4001)
    in_shaft = 2 * np.trapezoid(bears * arms / 0.005 * pin * arms, arms)
    beyond = np.linspace(0.005, 0.006, 4001)
    in_hub = 2 * np.trapezoid(bears * pin * beyond, beyond)
    soft = replace(STEEL, tensile_strength=1e12)  # its sections bear anything
    hub = Hub(kind="pinned", length=0.01, pin=CrossPin(diameter=pin, material=soft))
    np.testing.assert_allclose(held(hub).torque, in_shaft, rtol=1e-6)
    np.testing.assert_allclose(held(hub, outside=0.012).torque, in_hub, rtol=1e-6)
    plain = held(replace(hub, pin=CrossPin(diameter=pin)))
    np.testing.assert_allclose(plain.force, 2 * np.pi / 4 * pin**2 * 0.2 * 470e6, rtol=1e-9)
    np.testing.assert_allclose(plain.torque, plain.force * 0.005, rtol=1e-9)
    assert held(replace(hub, pin=CrossPin(diameter=0.0051))).torque == 0.0  # more than half of the shaft is gone


def test_a_clamp_rubs_along_two_lines():
    """M4 at 2.8 N m: F = 2.8/(0.26 x 4 mm) on each of both lines, at half the diameter; two screws twice that."""
    one = held(Hub(kind="clamped", thread="M4", tightening=2.8, length=0.012))
    force = 2.8 / (0.26 * 0.004)
    np.testing.assert_allclose([one.torque, one.moment, one.force],
                               [2 * 0.12 * force * 0.005, force * 0.001, force / 2], rtol=1e-9)  # fmt: skip
    two = held(Hub(kind="clamped", thread="M4", tightening=2.8, length=0.012, number=2))
    np.testing.assert_allclose(two.torque, 2 * one.torque)


def test_set_screws_hold_less_on_a_hard_shaft_and_more_by_two():
    hub = Hub(kind="set screws", thread="M5", length=0.012)
    one, hard, two = held(hub), held(hub, metals=(STEEL, HARD)), held(replace(hub, number=2))
    assert (hard.torque, two.torque) == (one.torque / 2, pytest.approx(1.3 * one.torque))
    assert held(replace(hub, number=3)).torque == two.torque
    np.testing.assert_allclose([one.torque, one.moment], [one.force * 0.005, one.force * 0.006])
    unknown = replace(STEEL, tensile_strength=None)
    assert held(hub, metals=(STEEL, unknown)).torque == hard.torque


@pytest.mark.parametrize(
    ("hub", "entries"),
    [
        (None, ("cranks.gears.hub",)),
        (Hub(kind="pressed", length=0.01), ("cranks.gears.hub.interference",)),
        (Hub(kind="set screws", thread="M3"), ("cranks.gears.hub.length",)),
        (
            Hub(kind="clamped", length=0.01),
            ("cranks.gears.hub.thread", "cranks.gears.hub.tightening", "cranks.gears.hub.outside"),
        ),
        (Hub(kind="pinned", length=0.01), ("cranks.gears.hub.pin",)),
        (Hub(kind="keyed", length=0.01, material=replace(STEEL, yield_strength=None)), ("yield_strength of steel",)),
    ],
)
def test_a_hub_that_is_not_described_says_what_to_give(hub, entries):
    machine = geared()
    machine = replace(machine, cranks=replace(machine.cranks, gears=replace(GEARS, hub=hub)))
    found = grips(machine)["right gear"]
    assert (found.by, found.unknown) == ({}, entries)


def test_a_wheel_with_a_rim_says_how_wide_its_hub_is_before_it_is_pressed_or_pinned():
    pressed = Hub(kind="pressed", length=0.01, interference=1e-5)
    sized = {"inertia": None, "diameter": 0.08, "thickness": 0.01, "material": STEEL, "hub": pressed}
    assert grips(geared(flywheel=replace(WHEEL, **sized)))["right flywheel"].unknown == ()
    rim = grips(geared(flywheel=replace(WHEEL, **sized, inside=0.05)))["right flywheel"]
    assert rim.unknown == ("flywheel.hub.outside",)
    bare = grips(geared(flywheel=replace(WHEEL, hub=replace(pressed, outside=0.02))))["right flywheel"]
    assert bare.unknown == ("flywheel.hub.material",)


def test_a_hub_is_as_wide_as_what_is_solid_around_it():
    """A gear to the roots of its teeth, 1.25 modules below the pitch circle (ISO 53); a plain disc; else as given."""
    disc = replace(WHEEL, inertia=None, diameter=0.08, thickness=0.01, material=STEEL)
    machine = geared(flywheel=disc)
    assert [each.own_outside for each in hubbed(machine, machine.shafts, "right")] == pytest.approx([0.0475, 0.08])
    boss = replace(machine, flywheel=replace(disc, hub=replace(GLUED, outside=0.02)))
    assert [*hubbed(boss, boss.shafts, "right")][1].own_outside == 0.02


def test_a_thin_shaft_takes_no_key():
    machine = geared()
    thin = replace(machine.shafts, segments=(replace(machine.shafts.segments[0], diameter=0.006),))
    keyed = Hub(kind="keyed", length=0.01)
    machine = replace(machine, shafts=thin, cranks=replace(machine.cranks, gears=replace(GEARS, hub=keyed)))
    assert "beyond 6 and up to 30 mm" in grips(machine)["right gear"].unknown[0]


def test_of_one_piece_nothing_slips():
    machine = geared()
    whole = replace(machine, cranks=replace(machine.cranks, gears=replace(GEARS, hub=Hub(kind="one piece"))))
    assert np.all(np.isinf(grips(whole)["right gear"].least))


@pytest.mark.parametrize(
    ("hub", "notches"),
    [
        (GLUED, [Notch(at=0.015, kind="press fit"), Notch(at=0.025, kind="press fit")]),
        (Hub(kind="keyed", length=0.01), [Notch(at=0.015, kind="keyway"), Notch(at=0.025, kind="keyway")]),
        (Hub(kind="set screws", length=0.01), [Notch(at=0.02, kind="set-screw flat")]),
        (Hub(kind="pinned", pin=CrossPin(diameter=0.002)), [Notch(at=0.02, kind="cross hole", diameter=0.002)]),
        (Hub(kind="pinned"), []),
        (Hub(kind="one piece"), []),
        (None, []),
    ],
)
def test_a_hub_is_a_notch_to_its_shaft(hub, notches):
    """The shaft bears as much as one whose file gives the same notches, and less than one without."""
    machine = geared()
    machine = replace(machine, cranks=replace(machine.cranks, gears=replace(GEARS, hub=hub)))
    given = replace(machine, shafts=replace(machine.shafts, notches=tuple(notches)),
                    cranks=replace(machine.cranks, gears=replace(GEARS, hub=None)))  # fmt: skip
    found, wanted = (least_fatigue(each) for each in (machine, given))
    np.testing.assert_allclose(found, wanted, rtol=1e-12)
    assert [each.at for each in held_places(machine, machine.shafts, "right")] == pytest.approx(
        [each.at for each in notches]
    )


def least_fatigue(machine):
    loaded = carried(machine, 96)
    inside = internal_loads(loaded)[0]
    capacity = strength(inside.shaft, inside.sections)
    return np.sort(safeties(inside, capacity, STILL)[2], axis=None)


def test_a_notch_of_its_kind_that_is_given_there_stands_for_it():
    machine = geared()
    keyed = replace(machine.cranks, gears=replace(GEARS, hub=Hub(kind="keyed", length=0.01)))
    own = Notch(at=0.0155, kind="keyway", depth=0.001)
    machine = replace(machine, cranks=keyed, shafts=replace(machine.shafts, notches=(own,)))
    (other,) = held_places(machine, machine.shafts, "right")
    assert (other.name, other.at) == ("keyed gear", pytest.approx(0.025))


@pytest.mark.parametrize("kind", ["pressed", "glued", "set screws", "pinned", "keyed", "clamped"])
def test_more_shaft_and_more_length_never_hold_less(kind):
    own = {
        "pressed": {"interference": 8e-6},
        "set screws": {"thread": "M4"},
        "pinned": {"pin": CrossPin(diameter=0.002)},
        "clamped": {"thread": "M4", "tightening": 2.0},
    }
    hub = Hub(kind=kind, length=0.01, **own.get(kind, {}))
    sizes = [held(hub, d=each, outside=0.03) for each in (0.0065, 0.0075, 0.009, 0.0115, 0.014)]
    if kind != "pressed":  # of which a given interference presses a thicker shaft less
        assert all(np.all(np.asarray(one.torque) <= other.torque) for one, other in pairwise(sizes))
    long = held(replace(hub, length=0.02), outside=0.03)
    short = held(hub, outside=0.03)
    assert np.all(np.asarray([long.torque, long.moment, long.force]) >= [short.torque, short.moment, short.force])


def test_a_web_may_be_pinned_or_clamped_on_its_shaft_and_notches_it_at_its_face():
    from limits.test_part_strength import engine

    pinned = engine(shaft_joint=Joint(kind="pinned", length=0.004, pin=CrossPin(diameter=0.002)))
    assert parts.part_safeties(carried(pinned, 96), STILL)["joint_grip"][1].by["grip"] > 0
    (hole,) = held_places(pinned, pinned.shafts, "right")
    assert (hole.name, hole.notch.kind, hole.notch.diameter) == ("pinned web 1", "cross hole", 0.002)
    assert float(hole.at) == pytest.approx(-0.010)
