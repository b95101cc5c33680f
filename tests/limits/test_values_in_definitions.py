"""What a definition takes: values by what they are, whatever their type, and other definitions of the right kind."""

import copy
import pickle
from dataclasses import replace

import numpy as np
import pytest

from balance.errors import BadDesign
from balance.machine.counterweights import Counterweights
from balance.machine.crank import Cranks, Gears, Throw, Web
from balance.machine.machine import Machine, PressureTable, SpeedRange
from balance.machine.mount import Feet, Mount
from balance.machine.outline import Outline
from balance.machine.yoke import Part, Rod, Yoke
from balance.motion import move

SPEED = SpeedRange(least=50.0, rated=100.0, most=150.0)
THROW = Throw(radius=9e-3, at=0.0)
CRANKS = Cranks(centre_distance=40e-3, throws={"outer": THROW})
YOKE = Yoke(throw="outer", half_span=20e-3, rod=Rod(length=60e-3), parts={"piston": 40e-3})


def web(**given):
    return Web(**{"at": 0.0, "mass": 0.1, **given})


@pytest.mark.parametrize(
    ("made", "key", "said"),
    [
        (lambda: web(mass="0.1"), "mass", "'0.1'"),
        (lambda: web(mass=True), "mass", "yes"),
        (lambda: web(mass=None), "mass", "None"),
        (lambda: web(mass=1j), "mass", "1j"),
        (lambda: web(mass=[]), "mass", "shape"),
        (lambda: web(mass=np.ones((2, 2))), "mass", "shape"),
        (lambda: web(mass=[0.1, np.nan]), "mass", "nan"),
        (lambda: web(mass=np.inf), "mass", "inf"),
        (lambda: web(cg=5.0), "cg", "a row of 2"),
        (lambda: web(cg=(1e-3, 0.0, 0.0)), "cg", "3 values"),
        (lambda: web(cg=np.zeros(3)), "cg", "3 values"),
        (lambda: web(cg=(0.0, np.nan)), "cg.1", "nan"),
        (lambda: web(material="steel"), "material", "Material"),
        (lambda: web(on=["right"]), "on", "['right']"),
        (lambda: Gears(module=1e-3, teeth=40.5, at=0.0), "teeth", "whole"),
        (lambda: Mount(mass=1.0, points={"top": (0.0, 0.1)}), "points.top", "2 values"),
        (lambda: Mount(mass=1.0, points={"top": (0.0, 0.1, np.inf)}), "points.top.2", "inf"),
        (lambda: Outline(polygon=[[0, 0], [1, 0, 3], [1, 1]], z=(0, 1)), "polygon.1", "3 values"),
        (lambda: Counterweights(thickness=0.01, largest_radius=0.03, at=(0.0, 0.1, 0.2)), "at", "3 values"),
        (lambda: Cranks(centre_distance=0.04, throws=[THROW]), "throws", "by name"),
        (lambda: Cranks(centre_distance=0.04, throws={"outer": 9e-3}), "throws.outer", "Throw"),
        (lambda: Cranks(centre_distance=0.04, throws={"outer": THROW}, webs=web()), "webs", "a row of Web"),
        (lambda: Machine(speed=CRANKS, cranks=CRANKS, yokes={"piston": YOKE}), "speed", "SpeedRange"),
        (lambda: Machine(speed=SPEED, cranks=CRANKS, yokes={"piston": YOKE}, gas="none"), "gas", "IsothermalGas"),
        (lambda: replace(YOKE, throw=3), "throw", "a text"),
        (lambda: replace(YOKE, parts={"piston": "heavy"}), "parts.piston", "Part"),
        (lambda: PressureTable(angle=list("abcd"), pressure=[1e5] * 4), "angle", "numbers"),
        (lambda: web(at=[0.0, 0.1], mass=[0.1, 0.2, 0.3]), "mass", "3 options"),
        (
            lambda: replace(CRANKS, centre_distance=[0.04, 0.05], throws={"outer": replace(THROW, radius=[1e-3] * 3)}),
            "throws.outer.radius",
            "3 options",
        ),
    ],
)
def test_what_is_of_the_wrong_kind_is_refused_with_its_place(made, key, said):
    with pytest.raises(BadDesign) as error:
        made()
    assert ".".join(error.value.complaints[0].where) == key
    assert said in str(error.value)


def test_lists_arrays_and_scalars_are_read_by_what_they_hold():
    assert web(mass=np.float32(0.5)).mass == web(mass=np.array(0.5)).mass == 0.5
    assert web(cg=np.array([1e-3, 0.0])).cg == web(cg=[1e-3, 0]).cg == (1e-3, 0.0)
    assert Gears(module=1e-3, teeth=40.0, at=0.0).teeth == 40
    assert Outline(polygon=np.array([[0, 0], [1, 0], [1, 1]]), z=(0, 1)).corners[1] == (1.0, 0.0)
    assert len(Feet(stiffness=1e4, places=[[0, 0, 0], [0.1, 0, 0], [0, 0, 0.1]]).places) == 3
    assert replace(CRANKS, webs=[web()]).webs[0].mass == 0.1
    assert YOKE.parts["piston"].mass == YOKE.mass == 40e-3
    assert isinstance(YOKE.parts["piston"], Part)


def test_what_was_given_may_change_afterwards_and_the_definition_does_not():
    masses, throws, angles = np.array([0.1, 0.2]), {"outer": THROW}, np.arange(4.0)
    part, cranks = web(mass=masses), Cranks(centre_distance=40e-3, throws=throws)
    table = PressureTable(angle=angles, pressure=[1e5] * 4)
    masses[0], angles[0], throws["inner"] = 9.0, 9.0, None
    assert part.mass[0] == 0.1 and table.angle[0] == 0.0 and list(cranks.throws) == ["outer"]
    with pytest.raises(TypeError, match="not changed"):
        cranks.throws["inner"] = THROW
    with pytest.raises(ValueError, match="read-only"):
        part.mass[0] = 0.3
    for copied in (pickle.loads(pickle.dumps(cranks)), copy.deepcopy(cranks), replace(cranks, load_on="left")):
        assert copied.throws["outer"].radius == 9e-3


def test_definitions_and_results_are_shown_in_short():
    """A definition as it would be written; a result with its arrays by shape and range, on one line."""
    machine = Machine(speed=SPEED, cranks=CRANKS, yokes={"piston": YOKE})
    assert repr(CRANKS) == "Cranks(centre_distance=0.04, throws={'outer': Throw(radius=0.009, at=0)})"
    assert "walls" not in repr(machine)
    shown = repr(move(machine))
    assert shown.startswith("Motion(theta=<72 from 0 to 6.1") and "YokeMotion(...)" in shown
    assert "\n" not in shown and len(shown) < 200
