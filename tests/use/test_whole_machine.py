"""Machines with one fault each that a maker would find at the bench; values of the rows by hand, and good ones beside.

Each starts from a shipped engine, which passes, or from one with its weights bolted to the faces of wider webs.
"""

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from designs.command.inputs import SHIPPED
from designs.evaluate import Evaluation
from designs.options.varying import varied
from designs.reading import BadFile, read
from designs.stock import stock_with
from designs.verdict import along, bearing_fits, counterweights, cylinder, joined, parts, strength, webs
from shafts.screwed import metal_for_screws
from shafts.strength.grips import pressure

BOLTED = (
    ("width: 16 mm, inertia: 1.55e-6 kg m^2", "width: 27 mm, inertia: 6e-6 kg m^2"),
    ("mass: 19.4 g, cg: [0 mm, 4.73 mm]", "mass: 48.6 g, cg: [0 mm, 4.1 mm]"),
    ("at: -22 mm", "at: -34 mm"),
    ("at: 22 mm", "at: 34 mm"),
    ("    at: 31 mm", "    at: 43 mm"),
    ("at: 53 mm, left_at: 83.5 mm", "at: 66 mm, left_at: 96.5 mm"),
    ("starts_at: -28 mm", "starts_at: -40 mm"),
    ("{length: 15 mm, diameter: 10 mm}", "{length: 27 mm, diameter: 10 mm}"),
    ("{length: 55 mm", "{length: 67 mm"),
    ("{length: 85 mm", "{length: 97 mm"),
    ("at: [-9 mm, 9 mm]", "at: [-18.5 mm, 18.5 mm]\n  on: [web 1, web 2]"),
    ("smallest_radius: 8.05 mm", "smallest_radius: 5.5 mm"),
    ("thickness: 8 mm\n  smallest", "thickness: 11 mm\n  smallest"),
    ("{kind: sector}", "{kind: sector, bolts: {number: 2, diameter: 2.7 mm, radius: 10.5 mm, pitch: 60 deg}}"),
    ("size: M3, property_class: 8.8, number: 2, arrangement: tension, engagement: 4 mm",
     "size: M2.5, property_class: 8.8, number: 2, arrangement: shear, engagement: 6 mm"),
)  # fmt: skip
"""Makes of the rhombic drive a machine whose counterweights are bolted to the outer faces of its webs."""


@cache
def text_of(name: str) -> str:
    text = (SHIPPED / ("rhombic.yaml" if name == "bolted" else f"{name}.yaml")).read_text("utf-8")
    return swapped(text, BOLTED) if name == "bolted" else text


def swapped(text: str, changes) -> str:
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return text


def evaluated(tmp_path: Path, name: str, *changes) -> Evaluation:
    (tmp_path / "broken.yaml").write_text(swapped(text_of(name), changes), "utf-8")
    return Evaluation(read(tmp_path / "broken.yaml"))


def rows(evaluation: Evaluation, *sources) -> dict:
    sources = sources or (webs, joined, along)
    return {row.key: row for source in sources for row in source.rows(evaluation)}


@pytest.mark.parametrize("name", ["redesign", "rhombic", "bolted"])
def test_good_machines_stand_it(tmp_path, name):
    found = rows(evaluated(tmp_path, name))
    assert {"web_metal", "web_mass", "weight_screws", "in_plates", "on_yokes", "pin_seats", "rod_eyes", "gear_mesh",
            "guided_length"} <= set(found)  # fmt: skip
    assert {row.state for row in found.values()} == {"pass"}


INNER = "at: -21 mm,\n            pin: {diameter: 6 mm, length: "
SHEAR = "arrangement: shear, engagement: 6 mm"
RADIAL = "arrangement: tension, engagement: 4.5 mm"
FIRST_PLATE, PLATE_HEIGHT = "{at: 0 mm, thickness: 8 mm", "width: 60 mm, height: 38 mm"
BROKEN = [
    ("holes that touch: 8 mm apart, of 10 and 6 mm", "rhombic", ("26 mm, diameter: 7 mm", "26 mm, diameter: 10 mm"),
     "web_metal", 0.0),
    ("1 mm between holes", "redesign", ("length: 10 mm, diameter: 8 mm", "length: 10 mm, diameter: 10 mm"),
     "web_metal", 1e-3),
    ("half a millimetre round a pin", "redesign", ("6 mm, width: 14 mm", "6 mm, width: 7 mm"), "web_metal", 0.5e-3),
    ("a screw 1 mm too long for its web of 8 mm", "bolted", (SHEAR, SHEAR.replace("6 mm", "9 mm")),
     "weight_screws", -1e-3),
    ("screws on 16 mm, the web ends at 13.5", "bolted", ("radius: 10.5 mm", "radius: 16 mm"),
     "weight_screws", -3.75e-3),
    ("a quarter of a millimetre beside a screw", "bolted", ("radius: 10.5 mm", "radius: 12 mm"),
     "weight_screws", 0.25e-3),
    ("a plate round its web, screwed along the shaft", "redesign", (RADIAL, SHEAR), "weight_screws", -10e-3),
    ("radial screws that run into the shaft's hole", "redesign", ("engagement: 4.5 mm", "engagement: 5.5 mm"),
     "weight_screws", -0.45e-3),
    ("radial screws whose seat the web does not reach", "redesign", ("radius: 9.05 mm", "radius: 10 mm"),
     "weight_screws", -1e-3),
    ("radial screws too thick for the web", "redesign", ("size: M3", "size: M6"), "weight_screws", 2e-3),
    ("a plate of 3 mm for a bearing of 8", "redesign", (FIRST_PLATE, "{at: 0 mm, thickness: 3 mm"), "in_plates", -1e-3),
    ("a plate held 10 mm below the shaft, the ring has 13", "redesign",
     (PLATE_HEIGHT, "width: 60 mm, height: 10 mm"), "in_plates", -3e-3),
    ("a plate of 20 mm round a ring of 26", "redesign", (PLATE_HEIGHT, "width: 20 mm, height: 38 mm"),
     "in_plates", -3e-3),
    ("a plate that runs into a web", "redesign", (FIRST_PLATE, "{at: 0 mm, thickness: 14 mm"), "axial_room", -2.15e-3),
    ("a plate that runs into the flywheel", "redesign", ("{at: 30 mm, thickness: 8 mm", "{at: 30 mm, thickness: 30 mm"),
     "axial_room", -2.15e-3),
    ("a yoke that ends at its pins", "redesign", ("[60 mm, 8 mm]", "[34 mm, 8 mm]"), "on_yokes", -2e-3),
    ("posts beside the yoke", "redesign", ("x: 10 mm, z: -14.8 mm", "x: 10 mm, z: -9 mm"), "on_yokes", -5.5e-3),
    ("an arm higher than its bar", "redesign", ("height: 8 mm}", "height: 20 mm}"), "on_yokes", -12e-3),
    ("a cylinder off its yokes", "rhombic", ("wall: 2.5 mm, z: 0 mm", "wall: 2.5 mm, z: 12 mm"),
     "on_yokes", -10.25e-3),
    ("a seat deeper than its web", "redesign", ("length: 6 mm, interference: 10", "length: 9 mm, interference: 10"),
     "pin_seats", -3e-3),
    ("a pin of 16 mm where the webs stand 12 mm apart", "redesign",
     (f"{INNER}12 mm", f"{INNER}16 mm"),
     "pin_seats", -4e-3),
    ("an eye with 0.1 mm round its pin", "redesign", ("diameter: 6 mm, length: 12", "diameter: 7.8 mm, length: 12"),
     "rod_eyes", -1.07e-3),
    ("a hole that is worn out", "redesign", ("play: 8 um", "play: 0.4 mm"), "rod_eyes", -0.08e-3),
    ("gears as thin as paper", "redesign", ("face: 8 mm", "face: 0.5 mm"), "gear_mesh", -1.5e-3),
    ("teeth that hardly touch", "redesign", ("backlash: 0.06 mm", "backlash: 1.5 mm"), "gear_mesh", -1.2e-3),
    ("a bush of 2 mm on a stem of 6", "redesign", ("guide: {length: 24 mm}", "guide: {length: 2 mm}"),
     "guided_length", -4e-3),
    ("a bush as long as the stem, of which 58 mm are free", "redesign",
     ("guide: {length: 24 mm}", "guide: {length: 60 mm}"), "guided_length", -2e-3),
    ("a skirt of 4 mm in a bore of 42", "redesign", ("length: 26 mm, crown", "length: 4 mm, crown"),
     "guided_length", -6.5e-3),
]  # fmt: skip


@pytest.mark.parametrize("turned", range(0, 40, 5))
def test_a_tenth_of_a_millimetre_below_a_weight_is_a_shim_whichever_way_it_points(tmp_path, turned):
    """A web of 18 mm ends 9 mm from the shaft: a seat at 9.1 mm touches it, however the sines round; at 9.11 not."""
    phase = ("phase: 0 deg, at: -21", f"phase: {turned} deg, at: -21")
    for seat, state in (("9.1 mm", "pass"), ("9.11 mm", "FAIL")):
        found = rows(evaluated(tmp_path, "redesign", phase, ("radius: 9.05 mm", f"radius: {seat}")), webs)
        assert found["weight_screws"].state == state


@pytest.mark.parametrize(("name", "change", "key", "value"), [each[1:] for each in BROKEN], ids=[e[0] for e in BROKEN])
def test_a_machine_with_one_fault_fails_for_it(tmp_path, name, change, key, value):
    found = rows(evaluated(tmp_path, name, change))[key]
    assert found.state == "FAIL"
    assert float(found.value) == pytest.approx(value, abs=1e-9)
    assert found.change or key == "axial_room"


@pytest.mark.parametrize(("change", "words"), [
    (("mass: 29.2 g", "mass: 16 g"), "gives 16 g at [0.00 mm, 5.18 mm]; its size, holes and pins make 29.2 g"),
    (("cg: [0 mm, 5.18 mm]", "cg: [0 mm, -5.18 mm]"), "at [0.00 mm, −5.18 mm]"),
])  # fmt: skip
def test_a_web_whose_mass_is_not_that_of_its_size_is_told_and_no_pass(tmp_path, change, words):
    """A plate of 18 x 10 mm over 9 mm, less holes of 8 and 6 mm, with 12 mm of pin: 29.2 g."""
    found = rows(evaluated(tmp_path, "redesign", change), webs)["web_mass"]
    assert found.state == "not checked"
    assert words in found.words


def test_screws_of_unknown_length_or_place_are_asked_for(tmp_path):
    for change, asked in (((f"{SHEAR}", "arrangement: shear"), "engagement"),
                          (("on: [web 1, web 2]", "on: shaft"), "counterweights.on")):  # fmt: skip
        found = rows(evaluated(tmp_path, "bolted", change), webs)["weight_screws"]
        assert found.state == "not checked"
        assert asked in found.words


def thin_plate(thickness: float) -> list[tuple[str, str]]:
    """Return what makes thinner plates of the bolted counterweights, on the same faces, 13 mm from the middle."""
    at = 13 + thickness / 2
    return [("thickness: 11 mm\n  smallest", f"thickness: {thickness} mm\n  smallest"),
            ("at: [-18.5 mm, 18.5 mm]", f"at: [-{at} mm, {at} mm]")]  # fmt: skip


@pytest.mark.parametrize(("name", "changes", "asked"), [
    ("bolted", thin_plate(3.7), "3.75 mm thick"),
    ("redesign", [("size: M3", "size: M6")], "9 mm from seat to rim and 10 mm thick"),
    ("redesign", [("largest_radius: 25 mm", "largest_radius: 13.5 mm")], "4.5 mm from seat to rim and 5.5 mm thick"),
    ("redesign", [("size: M3", "size: M8")], "stock.screws.M8, the size of its head"),
])  # fmt: skip
def test_heads_are_sunk_and_those_that_cannot_be_are_not_passed(tmp_path, name, changes, asked):
    """ISO 4762, from memory: heads as high as their thread is thick, M3 5.5 and M6 10 mm wide; half of that below.

    M2.5 takes 2.5 mm and leaves 1.2 of 3.7; M6 is as wide as the plate is thick; from 9.05 to 13.5 mm M3 leaves 1.45.
    """
    assert "with their heads sunk" in rows(evaluated(tmp_path, name), webs)["weight_screws"].what
    found = rows(evaluated(tmp_path, name, *changes), webs)["weight_screws"]
    assert asked in found.unlooked
    assert found.state != "pass"


def test_metal_below_a_sunk_head_is_what_it_leaves_of_the_plate(tmp_path):
    """M2.5 in 4 mm: 1.5 mm are left, more than half its diameter; and the drawing says that heads are sunk."""
    thin = evaluated(tmp_path, "bolted", *thin_plate(4.0))
    heads = {size: each.head for size, each in stock_with(None).screws.items()}
    found = [each for each in metal_for_screws(thin.design, thin.weights, heads) if "heads" in each.what]
    assert [(round(each.width, 9), each.least) for each in found] == [(1.5e-3, 1.25e-3)] * len(found)
    assert len(found) == 4


def test_a_pin_of_its_whole_length_is_taken_for_that(tmp_path):
    """24 mm where the webs stand 12 mm apart leaves the 6 mm of each seat: it was measured with them."""
    found = rows(evaluated(tmp_path, "redesign", (f"{INNER}12 mm", f"{INNER}24 mm")), joined)["pin_seats"]
    assert found.state == "pass"


def test_what_the_pin_carries_is_held_by_its_joint(tmp_path):
    """The press fit of a plate that tips about 3 mm of pin; a tenth of the interference holds a tenth."""
    tight, loose = (rows(evaluated(tmp_path, "redesign", ("interference: 10 um", f"interference: {each} um")),
                         counterweights)["retention"] for each in (10, 1))  # fmt: skip
    assert "grip on the crankpin" in tight.what
    assert (tight.state, loose.state) == ("pass", "FAIL")
    assert float(loose.value) == pytest.approx(float(tight.value) / 10, rel=1e-6)
    assert "grip on the crankpin would fail first" in loose.change


def test_of_many_plates_those_on_a_pin_are_held_by_it():
    """Of three thicknesses the thinnest does not reach the pin: each is held as it is by itself."""

    def holds(*sizes):
        many = Evaluation(varied(read(SHIPPED / "redesign.yaml"), "counterweights.thickness", sizes))
        return {row.key: np.ravel(row.value) for row in counterweights.rows(many)}

    sizes, keys = (0.010, 0.008, 0.003), ("retention", "thread_tightening")
    many, alone = holds(*sizes), [holds(size) for size in sizes]
    for key in keys:
        assert many[key] == pytest.approx([float(each[key][0]) for each in alone], rel=1e-9)
    assert many["retention"][2] > 2 * max(many["retention"][:2])


def test_the_grip_of_a_plate_on_its_pin_by_hand():
    """3 mm of a pin of 6 mm lie in a plate of 10 mm: it turns about the pin, and tips 5 - 1.5 mm beside it."""
    evaluation = Evaluation(read(SHIPPED / "redesign.yaml"))
    design, weight = evaluation.design, evaluation.weights.planes[1]
    plate, pin = design.counterweights.material, design.shafts.material
    most = plate.yield_strength * (1 - 0.5**2) / 2  # what an eye of 12 mm bears elastic
    film = 0.3 * min(float(pressure(10e-6, 6e-3, 12e-3, plate, pin)), most) * np.pi * 6e-3 * 3e-3
    aside = 12e-3 * abs(np.sin(float(weight.angle) - np.pi / 2))
    used = aside / (0.12 * film * 3e-3) + 3.5e-3 / (film * 3e-3 / 12) + 1 / (film / 2)
    pulled = float(weight.shape.moment) * (1.25 * float(design.speed.most)) ** 2
    found = rows(evaluation, counterweights)["retention"]
    assert float(found.value) == pytest.approx(1 / used / pulled, rel=1e-6)


def test_bolts_of_a_weight_keep_metal_between_them(tmp_path):
    """Of 2.7 mm, 15 degrees apart on 10.5 mm: 2 x 10.5 sin 7.5 less 2.7, where half of 2.7 is wanted."""
    found = rows(evaluated(tmp_path, "bolted", ("pitch: 60 deg", "pitch: 15 deg")), counterweights)[
        "counterweight_holes"
    ]
    assert found.state == "FAIL"
    assert float(found.value) == pytest.approx((21 * np.sin(np.deg2rad(7.5)) - 2.7) * 1e-3)
    assert float(found.limit) == pytest.approx(1.35e-3)


def test_a_piston_that_rattles_or_seizes_fails(tmp_path):
    """0.5 mm of play lets past several times what it sweeps; of one size with its bore nothing runs."""
    loose = rows(evaluated(tmp_path, "redesign", ("41.97 mm", "41.5 mm")), cylinder)["piston_leak"]
    wide = rows(evaluated(tmp_path, "redesign", ("{bore: 42 mm, starts", "{bore: 42.47 mm, starts")), cylinder)
    assert loose.state == wide["piston_leak"].state == "FAIL"
    assert float(loose.value) == pytest.approx(6.58, rel=0.01)
    assert rows(evaluated(tmp_path, "redesign", ("41.97 mm", "42 mm")), joined)["running_fit"].state == "FAIL"


def test_posts_are_struts(tmp_path):
    """Euler's load falls with the fourth power of the diameter: 1 mm bears a 625th of what 5 mm do."""
    thin = evaluated(tmp_path, "redesign", ("posts: {diameter: 5 mm", "posts: {diameter: 1 mm"))
    found = rows(thin, parts)["stem_buckling"]
    assert found.state == "FAIL"
    assert "posts of piston" in found.what


def test_two_sizes_are_no_fit_though_glue_fills_a_tenth(tmp_path):
    found = rows(evaluated(tmp_path, "redesign", ("88 mm, diameter: 10 mm", "88 mm, diameter: 9.9 mm")), bearing_fits)
    assert found["bearing_fit"].state == "FAIL"


def test_a_deep_keyway_weakens_its_shaft_and_one_to_the_middle_is_refused(tmp_path):
    keyed = "  notches: [{at: 0.1 mm, kind: keyway, depth: %s mm}]\n  plates:    "
    usual, deep = (rows(evaluated(tmp_path, "redesign", ("  plates:    ", keyed % depth)), strength)["fatigue_safety"]
                   for depth in (2.4, 4.9))  # fmt: skip
    assert float(deep.value) < 0.8 * float(usual.value)  # at which the press fit in its web is weaker
    with pytest.raises(BadFile, match="less than half of it"):
        evaluated(tmp_path, "redesign", ("  plates:    ", keyed % 5))


NEEDLE = "needle: {shaft: 10 mm, outside: 14 mm, width: 8 mm, hardness: 60}, seat_stiffness: 40 N/um, fit: h5"


@pytest.mark.parametrize(("seat", "state"), [
    ("seat_fit: N6", "pass"), ("seat_fit: R7", "pass"), ("seat_fit: H7", "not checked"), ("seat_fit: G7", "FAIL"),
    ("seat_fit: H7, held_by: glue", "pass"), ("seat_fit: 8 um", "FAIL"), ("seat_fit: -8 um", "pass"),
])  # fmt: skip
def test_the_seat_of_a_drawn_cup_is_judged(tmp_path, seat, state):
    """A maker's table of bearing fits: N6 (N7) in iron, R6 (R7) in light alloy; G7 is wider by 6 um at least."""
    ball = ("ball: {bore: 10 mm, outside: 26 mm, width: 8 mm}, clearance: CN, seat_stiffness: 40 N/um,\n"
            "       fit: 5 um, seat_fit: 8 um, held_by: glue")  # fmt: skip
    found = rows(evaluated(tmp_path, "redesign", (ball, f"{NEEDLE}, {seat}")), bearing_fits)["bearing_seat"]
    assert found.state == state
    if state == "FAIL" and "G7" in seat:
        assert float(found.value) == pytest.approx(6e-6)
