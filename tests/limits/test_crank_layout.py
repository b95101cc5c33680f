"""A crank that does not join up is refused: how far, where, and what would do; and it is taken up to just there."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from balance.errors import BadDesign
from balance.machine.crank import Cranks, Pin, Throw, Web
from balance.machine.machine import SpeedRange
from balance.machine.materials import MATERIALS
from balance.machine.yoke import Part, Slot, Yoke
from balance.many import legal, unchecked
from designs.reading import BadFile, read_text
from shafts.bearings.bearing import Bearing
from shafts.bearings.bush import Bush
from shafts.crank.layout import layout, left_out
from shafts.engine import Engine
from shafts.shaft import Segment, Shafts

SLACK = 2e-4  # what lengths rounded to a tenth of a millimetre may come to
OVERHUNG, HELD = -0.030, 0.020


def engine(at=OVERHUNG, pin=0.010, webs=None, starts_at=-0.015, bearings=(0.0, 0.040), shaft=0.06) -> Engine:
    """Return one yoke on a pin 10 mm long; overhung its web is 10 mm thick at -20 mm, held webs stand to both sides."""
    if webs is None:
        webs = (-0.020,) if at == OVERHUNG else (at - 0.010, at + 0.010)
    built = tuple(Web(at=each, mass=0.0, thickness=0.010, width=0.015) for each in webs)
    throws = {"pin": Throw(radius=0.01, at=at, pin=Pin(diameter=0.005, length=pin))}
    return Engine(
        speed=SpeedRange(least=0.0, rated=50.0, most=100.0),
        cranks=Cranks(centre_distance=0.06, throws=throws, webs=built),
        yokes={"only": Yoke(throw="pin", slot=Slot(), parts={"all": Part(mass=0.4)})},
        shafts=Shafts(
            material=MATERIALS["steel"],
            segments=(Segment(length=shaft, diameter=0.008),),
            starts_at=starts_at,
            bearings=tuple(Bearing(at=each, bush=Bush(bore=0.008, length=0.008)) for each in bearings),
        ),
    )


def complaints(**changes):
    with pytest.raises(BadDesign) as refused:
        engine(**changes)
    return {".".join(each.where): each for each in refused.value.complaints}


@pytest.mark.parametrize("at", [OVERHUNG, HELD])
def test_what_joins_up_is_taken(at):
    found = engine(at)
    assert [axis.throw for axis in layout(found.shafts, found.cranks, "right").axes].count("pin") == 1
    assert left_out(found.shafts, found.cranks, "right") == []


@pytest.mark.parametrize(("at", "gap"), [(OVERHUNG, 0.3), (OVERHUNG, 1.2), (OVERHUNG, 3.5)])
def test_a_pin_that_does_not_reach_its_web(at, gap):
    found = complaints(at=at, pin=0.010 - 2e-3 * gap)
    assert list(found) == ["cranks.throws.pin.pin.length"]
    each = found["cranks.throws.pin.pin.length"]
    assert each.read == f"{gap:.3g} mm between the crankpin and web 1"
    assert each.allowed == "a pin or shaft that reaches its web"
    engine(at=at, pin=0.010 - 2 * (SLACK - 1e-6))  # a drawing's rounding


@pytest.mark.parametrize("short", [0.3, 2.0])
def test_a_pin_between_two_webs_is_as_long_as_they_are_apart(short):
    each = complaints(at=HELD, pin=0.010 - short * 1e-3)["cranks.throws.pin.pin.length"]
    assert each.read == f"a crankpin {short:.3g} mm shorter than the way between its webs"
    engine(at=HELD + 1e-3, pin=0.010)  # wherever on it its rod pulls
    engine(at=HELD, pin=0.010 - SLACK + 1e-6)


def test_a_pin_that_is_longer_than_its_web_lets_it_be():
    each = complaints(pin=0.010 + 2 * (0.010 + 0.004))["cranks.throws.pin.pin.length"]
    assert each.read == "a crankpin 4 mm longer than reaches through web 1"
    engine(pin=0.010 + 2 * (0.010 + SLACK - 1e-6))  # seated in it and riveted over


@pytest.mark.parametrize("gap", [0.3, 2.0, 6.0])
def test_a_shaft_short_of_its_web(gap):
    each = complaints(starts_at=-0.015 + gap * 1e-3)["shafts.starts_at"]
    assert each.read == f"{gap:.3g} mm between the shaft and web 1"
    engine(starts_at=-0.015 + SLACK - 1e-6)


@pytest.mark.parametrize("deep", [1.0, 4.0])
def test_a_bearing_in_a_web(deep):
    each = complaints(starts_at=-0.020, bearings=(-0.015 - deep * 1e-3, 0.03))["shafts.bearings.0.at"]
    assert each.read == f"{-15 - deep:g} mm, {deep:.3g} mm inside web 1"
    assert each.allowed == "a place on the shaft beside its webs"
    engine(starts_at=-0.020, bearings=(-0.015 + 1e-6, 0.03))


def test_a_bearing_beside_a_throw():
    each = complaints(at=HELD, bearings=(0.0, 0.018))["shafts.bearings.1.at"]
    assert each.read == "18 mm, where crankpin pin is and no shaft"
    assert each.allowed == "a place on the shaft beside its throws"


def test_a_gap_of_one_option_is_that_options_alone():
    fits = engine()
    for pins, legal_ones in (((0.010, 0.004, 0.0097), [True, False, True]),):
        throws = {"pin": unchecked(fits.cranks.throws["pin"], {"pin": unchecked(
            fits.cranks.throws["pin"].pin, {"length": np.array(pins)})})}  # fmt: skip
        many = unchecked(fits, {"cranks": unchecked(fits.cranks, {"throws": throws})})
        assert list(legal(many, 3)) == legal_ones


def test_webs_of_no_stated_size_hold_nothing_and_refuse_nothing():
    bare = engine().cranks.webs[0]
    found = replace(engine(), cranks=replace(engine().cranks, webs=(replace(bare, thickness=None, width=None),)))
    assert left_out(found.shafts, found.cranks, "right") == ["cranks.webs.0.width and .thickness"]
    far = replace(found.cranks.throws["pin"], at=-0.05)
    assert replace(found, cranks=replace(found.cranks, throws={"pin": far}))


def test_pins_without_a_size_are_named_too():
    found = engine()
    bare = replace(found.cranks, throws={"pin": replace(found.cranks.throws["pin"], pin=None)}, webs=())
    assert left_out(found.shafts, bare, "right") == [
        "cranks.throws.pin.pin",
        "cranks.webs, each with width and thickness",
    ]


REDESIGN = (Path(__file__).parents[2] / "designs" / "redesign.yaml").read_text("utf-8")


@pytest.mark.parametrize(
    ("old", "new", "where", "what"),
    [
        (
            "at: -21 mm,\n            pin: {diameter: 6 mm, length: 12 mm",
            "at: -21 mm,\n            pin: {diameter: 6 mm, length: 4 mm",
            "pin.length",
            "a crankpin 8 mm shorter than the way between its webs",
        ),
        ("starts_at: -15 mm", "starts_at: -2 mm", "starts_at", "3 mm between the shaft and web 1"),
    ],
)
def test_a_file_is_refused_at_its_own_line(old, new, where, what):
    assert REDESIGN.count(old) == 1
    line = REDESIGN[: REDESIGN.index(old) + len(old)].count("\n") + 1
    with pytest.raises(BadFile) as refused:
        read_text(REDESIGN.replace(old, new))
    told = str(refused.value)
    assert what in told
    assert where in told
    assert f"{line}" in told
