"""What may be done about the cross-bars of yokes, by hand from the rhombic engine's file.

Its bars are 80 x 8.4 mm of aluminium, 9.5 mm along the shafts about the cranks' plane, and weigh 15 g; rods hang 36 mm
from their middle on pins of 4 mm. Aluminium: 2700 kg/m^3 (of its alloys, from memory).
"""

from pathlib import Path

import pytest
from choices import dials_of, edits_of, offered_of

from designs.counsel.free import yokes
from designs.reading import read_text

RHOMBIC = (Path(__file__).parents[2] / "designs" / "rhombic.yaml").read_text("utf-8")
OUTLINE = "outline: {rectangle: [80 mm, 8.4 mm], z: [-4.75 mm, 4.75 mm]}"
dials, offered = dials_of(yokes), offered_of(yokes)
MASS = "yokes.piston.parts.yoke.mass"


def test_a_thicker_bar_takes_its_outline_and_its_mass_along():
    """2 mm more: 80 x 2 x 9.5 mm weigh 4.1 g."""
    edits = offered(read_text(RHOMBIC), "thicker bar of the piston yoke")["10.4 mm"]
    assert edits["yokes.piston.arm.section.height"] == pytest.approx(10.4e-3)
    assert edits["yokes.piston.outline.rectangle"] == pytest.approx((80e-3, 10.4e-3))
    assert edits[MASS] == pytest.approx(15e-3 + 80 * 2 * 9.5 * 2.7e-6, abs=5e-6)
    assert "yokes.piston.outline.offset" not in edits


@pytest.mark.parametrize(
    ("name", "words", "up"),
    [("piston", "toward", -1), ("piston", "away from", 1), ("displacer", "toward", 1), ("displacer", "away from", -1)],
)
def test_a_bar_may_grow_to_one_side_alone(name: str, words: str, up: int):
    """The piston's stands above the cranks, the displacer's below: the other face stays where it is."""
    edits = offered(read_text(RHOMBIC), f"thicker bar of the {name} yoke, {words} the cranks")["9.4 mm"]
    assert edits[f"yokes.{name}.outline.offset"] == pytest.approx((0, up * 0.5e-3))


def test_a_wider_bar_grows_to_both_sides_along_the_shafts():
    edits = offered(read_text(RHOMBIC), "wider bar of the displacer yoke")["10.5 mm"]
    assert edits["yokes.displacer.outline.z"] == pytest.approx((-5.25e-3, 5.25e-3))
    assert edits["yokes.displacer.parts.yoke.mass"] == pytest.approx(15e-3 + 80 * 8.4 * 2.7e-6, abs=5e-6)


def test_a_larger_bar_grows_both_ways_and_is_weighed_once():
    """A half more: 14.5 x 13 mm (14.25 and 12.6 to the next half), 80 mm long; the outline grows to both sides."""
    edits = offered(read_text(RHOMBIC), "larger bar of the piston yoke")["14.5 x 13 mm"]
    assert edits["yokes.piston.arm.section.width"] == pytest.approx(14.5e-3)
    assert edits["yokes.piston.arm.section.height"] == pytest.approx(13e-3)
    assert edits["yokes.piston.outline.rectangle"] == pytest.approx((80e-3, 13e-3))
    assert edits["yokes.piston.outline.z"] == pytest.approx((-7.25e-3, 7.25e-3))
    assert edits[MASS] == pytest.approx(15e-3 + 80 * (14.5 * 13 - 9.5 * 8.4) * 2.7e-6, abs=1e-5)


def test_a_bar_of_a_stronger_metal_weighs_what_that_does_and_grows_with_heat_as_that_does():
    """80 x 8.4 x 9.5 mm at 2700 kg/m^3 and at 7850 (steel, from memory); a yoke that is of something else stays so."""
    found = offered(read_text(RHOMBIC), "metal of the piston yoke's bar")
    assert [*found] == ["strong-aluminium", "steel"]
    assert found["steel"][MASS] == pytest.approx(15e-3 + 80 * 8.4 * 9.5 * (7.85e-6 - 2.7e-6), abs=1e-5)
    assert "yokes.piston.material" not in found["steel"]
    for metal, grows in (("aluminium", True), ("brass", False)):
        text = RHOMBIC.replace(OUTLINE, f"{OUTLINE}\n    material: {metal}", 1)
        edits = offered(read_text(text), "metal of the piston yoke's bar")["steel"]
        assert ("yokes.piston.material" in edits) == grows
        assert edits["yokes.piston.arm.material"].name == "steel"
    strong = RHOMBIC.replace("height: 8.4 mm}, material: aluminium", "height: 8.4 mm}, material: strong-aluminium")
    assert not offered(read_text(strong), "metal of the piston yoke's bar")
    metal = "{density: 2700 kg/m^3, young: 70 GPa, shear: 26 GPa}"
    own = RHOMBIC.replace("height: 8.4 mm}, material: aluminium", f"height: 8.4 mm}}, material: {metal}")
    assert "metal of the piston yoke's bar" not in dials(read_text(own))


def test_a_bar_that_fills_its_outline_is_among_the_larger_ones():
    text = RHOMBIC.replace(
        "arm: {section: {width: 9.5 mm, height: 8.4 mm}", "arm: {section: {width: 6 mm, height: 6 mm}"
    )
    found = offered(read_text(text), "larger bar of the piston yoke")
    assert [*found] == ["7.5 x 7.5 mm", "9.5 x 8.4 mm", "9 x 9 mm", "10.5 x 10.5 mm", "12 x 12 mm"]
    assert set(found["9.5 x 8.4 mm"]) == {f"yokes.piston.arm.section.{each}" for each in ("width", "height")} | {MASS}


def test_a_bar_grows_within_its_outline_first_and_only_then_takes_that_along():
    """A section of 8.5 x 5 mm in a stepped bar of 9.5 x 8.4 mm: 1 mm more either way fits, 2 mm more do not."""
    text = RHOMBIC.replace(
        "arm: {section: {width: 9.5 mm, height: 8.4 mm}", "arm: {section: {width: 8.5 mm, height: 5 mm}"
    )
    found, outline = dials(read_text(text)), "yokes.piston.outline"
    wide, thick = (offered(read_text(text), f"{each} bar of the piston yoke") for each in ("wider", "thicker"))
    assert set(wide["9.5 mm"]) == {"yokes.piston.arm.section.width", MASS}
    assert wide["9.5 mm"][MASS] == pytest.approx(15e-3 + 80 * 5 * 2.7e-6, abs=5e-6)
    assert wide["10.5 mm"][f"{outline}.z"] == pytest.approx((-5.25e-3, 5.25e-3))
    assert set(thick["7 mm"]) == {"yokes.piston.arm.section.height", MASS}
    assert thick["9 mm"][f"{outline}.rectangle"] == pytest.approx((80e-3, 9e-3))
    assert not [name for name in found if name.startswith("thicker bar of the piston yoke,")]  # nothing to choose


def test_a_bar_that_ends_before_its_pins_is_made_longer():
    """Pins reach to 38 mm from the middle; 3 mm beyond them make 82 mm, 26.8 x 8.4 x 9.5 mm more."""
    short = read_text(RHOMBIC.replace(OUTLINE, OUTLINE.replace("80 mm", "55.2 mm"), 1))
    edits = offered(short, "longer bar of the piston yoke")["82 mm"]
    assert edits["yokes.piston.outline.rectangle"] == pytest.approx((82e-3, 8.4e-3))
    assert edits[MASS] == pytest.approx(15e-3 + 26.8 * 8.4 * 9.5 * 2.7e-6, abs=5e-6)
    assert not [name for name in dials(read_text(RHOMBIC)) if name.startswith("longer")]


def test_what_is_not_told_of_a_bar_is_not_made_up():
    """A bar of unknown section has no strength to mend; a corner-by-corner outline is the maker's own."""
    corners = "outline: {polygon: [[-40 mm, -4.2 mm], [40 mm, -4.2 mm], [0 mm, 4.2 mm]], z: [-4.75 mm, 4.75 mm]}"
    own = read_text(RHOMBIC.replace(OUTLINE, corners, 1))
    assert not [name for name in dials(own) if "piston" in name]
    unnamed = read_text(RHOMBIC.replace("parts: {yoke: 15 g, piston: 34 g", "parts: {bar: 15 g, piston: 34 g", 1))
    (level, *_) = dials(unnamed)["thicker bar of the piston yoke"].levels
    assert not [entry for entry in edits_of(level, unnamed) if "parts" in entry]


def test_a_bush_is_as_long_as_its_stem_is_thick_and_fits_on_it():
    """A stem of 6 mm, 102 mm long from the pivots, past a bar that rises 4.2 mm: 97.8 mm are free."""

    def of(length: str) -> dict:
        said = read_text(RHOMBIC.replace("guide: {length: 20 mm}", f"guide: {{length: {length}}}"))
        return offered(said, "guide of the displacer") if "guide of the displacer" in dials(said) else {}

    assert [*of("4 mm")] == ["6 mm", "9 mm", "12 mm"]
    assert of("110 mm") == {"97.8 mm": {"yokes.displacer.guide.length": pytest.approx(97.8e-3)}}
    assert not of("20 mm")
