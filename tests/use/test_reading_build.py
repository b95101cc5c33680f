"""From a file to a design: every value in SI, and every slip told at its line, once."""

from math import pi
from pathlib import Path

import numpy as np
import pytest

from balance.machine.machine import IndicatedGas, IsothermalGas, NoGas
from balance.machine.yoke import Displacer
from designs.reading import BadFile, read, read_text

FAN = Path(__file__).with_name("greenhouse-fan.yaml")
TEXT = FAN.read_text("utf-8")


def complaints(*changes):
    """Return the lines of the error that the fan's text gives after these replacements."""
    text = TEXT
    for old, new in changes:
        assert text.count(old) >= 1, old
        text = text.replace(old, new, 1)
    with pytest.raises(BadFile) as caught:
        read_text(text, "fan.yaml")
    return str(caught.value).splitlines()


def line_of(part):
    return TEXT[: TEXT.index(part)].count("\n") + 1


@pytest.fixture(scope="module")
def fan():
    return read(FAN)


def test_numbers_are_in_si(fan):
    second = fan.cranks.throws["second pin"]
    assert fan.speed.rated == pytest.approx(800 * 2 * pi / 60, rel=1e-15)
    assert (second.radius, second.phase) == (0.0127, pytest.approx(92 * pi / 180, rel=1e-15))
    assert fan.yokes["piston"].rod.inertia == 19e-7
    assert fan.yokes["piston"].outline.polygon == ((-0.026, -0.004), (0.026, -0.004), (0.0, 0.006))
    assert fan.yokes["piston"].parts["piston"].mass == pytest.approx(3 * 28.349523125e-3, rel=1e-15)
    assert isinstance(fan.gas, IsothermalGas)
    assert fan.gas.hot == 893.15
    assert fan.gas.dead.hot == 4.5e-6
    assert fan.limits.bearing_life == 1500 * 3600
    assert fan.cranks.gears.teeth == 48


def test_a_part_may_be_its_mass_alone(fan):
    assert fan.yokes["piston"].parts["yoke"].mass == 0.044
    assert fan.yokes["piston"].parts["yoke"].at is None
    assert fan.yokes["piston"].parts["piston"].at == -0.02


def test_spaces_hyphens_and_underscores_are_the_same_in_keys_but_names_stay(fan):
    assert fan.cranks.centre_distance == 0.048
    assert fan.cranks.load_on == "left"
    assert fan.fits.tolerances.rod_length == 4e-5
    assert list(fan.cranks.throws) == ["first pin", "second pin"]


def test_words_and_unions(fan):
    carried = fan.yokes["displacer"].carries
    assert isinstance(carried, Displacer)
    assert carried.stem_through_piston is False
    assert [each.clearance for each in fan.shafts.bearings] == ["C3", 12e-6]
    assert fan.shafts.notches[0].kind == "set-screw flat"
    assert fan.counterweights is None


def test_materials_by_name_and_of_ones_own(fan):
    alloy = fan.yokes["displacer"].rod.material
    assert (alloy.name, alloy.density, alloy.expansion) == ("fan alloy", 2750.0, 23e-6)
    assert alloy is fan.materials["fan alloy"]
    assert fan.shafts.material.name == "silver-steel"


def test_an_own_material_stands_in_for_a_known_one():
    own = "materials:\n  Bronze-2: {density: 1 kg/l, young: 1 GPa, shear: 1 GPa}\n  bronze: "
    fan = read_text(
        TEXT.replace(
            "materials:\n  fan alloy: ", own + "{density: 9 g/cm^3, young: 1 GPa, shear: 1 GPa}\n  fan alloy: "
        )
    )
    assert fan.cranks.gears.material.density == 9000.0


def test_a_measured_pressure_is_read_from_beside_the_file(tmp_path):
    (tmp_path / "fan.yaml").write_text(_with_table("p.csv"))
    (tmp_path / "p.csv").write_text("angle, pressure\n0, 100\n90, 120\n180, 99\n270, 90\n")
    fan = read(tmp_path / "fan.yaml")
    assert isinstance(fan.gas, IndicatedGas)
    assert fan.gas.table.pressure[1] == 120e3


def _with_table(name):
    start, end = TEXT.index("gas:\n"), TEXT.index("counterweights: none")
    return f"{TEXT[:start]}gas: {{model: indicated, table: {name}, case_pressure: 101 kPa}}\n{TEXT[end:]}"


def test_a_wrong_table_is_told_with_its_own_line(tmp_path):
    (tmp_path / "fan.yaml").write_text(_with_table("p.csv"))
    (tmp_path / "p.csv").write_text("0, 100\n90, x\n")
    with pytest.raises(BadFile, match=r"^p.csv:2:1: gas.table: read 'x'; allowed: two columns"):
        read(tmp_path / "fan.yaml")
    with pytest.raises(BadFile, match="no file"):
        read_text(_with_table("p.csv"))


def test_a_length_without_unit_is_told_with_units_that_fit():
    (line,) = complaints(("length: 40 mm", "length: 42"))
    assert line == (
        f"fan.yaml:{line_of('length: 40 mm')}:19: yokes.piston.rod.length: "
        "read '42'; allowed: a length with its unit, e.g. 42 mm, 1.65 in"
    )


@pytest.mark.parametrize(
    ("old", "new", "key", "words"),
    [
        ("length: 40 mm", "lenght: 40 mm", "yokes.piston.rod.lenght", "did you mean 'length'?"),
        ("rated: 800 rpm", "rated: 15 Hz", "speed.rated", "15 rpm"),
        ("rated: 800 rpm, ", "", "speed.rated", "read nothing"),
        ("radius: 9 mm", "radius: -9 mm", "cranks.throws.first pin.radius", "read '-9 mm'; allowed: more than 0 m"),
        ("teeth: 48", "teeth: 47.5", "cranks.gears.teeth", "whole number"),
        ("teeth: 48", "teeth: -48", "cranks.gears.teeth", "more than 0"),
        ("teeth: 48", "teeth: 40", "cranks.centre_distance", "48 mm, so the gears do not reach each other"),
        ("load-on: left", "load-on: lefft", "cranks.load_on", "right, left, both; did you mean 'left'?"),
        (
            "stem_through_piston: no",
            "stem_through_piston: maybe",
            "yokes.displacer.carries.stem_through_piston",
            "yes or no",
        ),
        ("kind: piston", "kind: pistn", "yokes.piston.carries.kind", "did you mean 'piston'?"),
        ("kind: piston, ", "", "yokes.piston.carries", "read no 'kind:'"),
        ("throw: first pin", "throw: first pn", "yokes.piston.throw", "did you mean 'first pin'?"),
        ("material: bronze", "material: bronce", "cranks.gears.material", "did you mean 'bronze'?"),
        ("young: 70 GPa", "young: 70 GPA", "materials.fan alloy.young", "unit that is not known"),
        ("young: 70 GPa, ", "", "materials.fan alloy.young", "read nothing"),
        ("cg: [0 mm, 2.5 mm]", "cg: 2.5 mm", "cranks.webs.0.cg", "[a length, a length]"),
        ("cg: [0 mm, 2.5 mm]", "cg: [0 mm, 2.5 mm, 0 mm]", "cranks.webs.0.cg", "a list of 3"),
        ("cg: [0 mm, 2.5 mm]", "cg: [0 mm, 2.5 g]", "cranks.webs.0.cg.1", "'2.5 g', which is not a length"),
        ("clearance: C3", "clearance: C9", "shafts.bearings.0.clearance", "C2, CN, C3, C4, C5; or a length"),
        ("clearance: 12 um", "clearance: -12 um", "shafts.bearings.1.clearance", "'-12 um'; allowed: at least 0 m"),
        ("[{length: 60 mm, diameter: 6 mm}]", "{length: 60 mm}", "shafts.segments", "a list"),
        ("yoke: 44 g", "yoke: 44 mm", "yokes.piston.parts.yoke.mass", "which is not a mass"),
        ("yoke: 44 g", "yoke:", "yokes.piston.parts.yoke", "read nothing"),
        ("hot: 620 degC", "hot: -300 degC", "gas.hot", "'-300 degC'; allowed: more than 0 K"),
        ("model: isothermal", "model: adiabatic", "gas.model", "none, isothermal, indicated"),
        ("least: 180 rpm", "least: 1800 rpm", "speed.least", "a slowest speed above the usual one"),
        ("length: 40 mm", "length: 10 mm", "yokes.piston", "rod"),
        ("bearing life: 1500 h", "bearing life: 1500 h, bearing_life: 1 h", "limits.bearing_life", "second time"),
        ("title: greenhouse fan", "title: [fan]", "title", "a text"),
        ("limits: {", "limits: 3 {", "", ""),
    ],
)
def test_each_slip_is_told_once_at_its_line(old, new, key, words):
    if not key:
        assert len(complaints((old, new))) == 1
        return
    (line,) = complaints((old, new))
    assert f": {key}" in line
    assert words in line
    assert line.startswith("fan.yaml:")


def test_the_line_is_that_of_the_slip():
    (line,) = complaints(("clearance: 12 um", "clearance: -12 um"))
    assert line.startswith(f"fan.yaml:{line_of('clearance: 12 um')}:")


def test_all_slips_are_told_at_once_in_order():
    lines = complaints(
        ("rated: 800 rpm", "rated: 800"), ("teeth: 48", "teeth: 4x"), ("hot: 620 degC", "hott: 620 degC")
    )
    assert [line.split(": ")[1] for line in lines] == ["speed.rated", "cranks.gears.teeth", "gas.hott"]


def test_a_wrong_part_brings_no_complaints_of_what_holds_it():
    (line,) = complaints(("young: 70 GPa", "young: 70"))  # the rod that is made of it says nothing
    assert "materials.fan alloy.young" in line
    (line,) = complaints(("first pin: {radius: 9 mm", "first pin: {radius: 9"))  # nor the yoke that hangs on it
    assert "cranks.throws.first pin.radius" in line


def test_two_own_materials_of_one_name_are_refused():
    (line,) = complaints(("materials:\n", "materials:\n  fan-alloy: {density: 1 kg/l, young: 1 GPa, shear: 1 GPa}\n"))
    assert "materials.fan alloy: read the same name twice" in line


def test_a_model_without_needs_may_be_its_word_alone():
    start, end = TEXT.index("gas:\n"), TEXT.index("counterweights: none")
    assert isinstance(read_text(f"{TEXT[:start]}gas: none\n{TEXT[end:]}").gas, NoGas)


def test_a_thousand_slips_do_not_bury_the_first():
    with pytest.raises(BadFile) as caught:
        read_text("\n".join(f"key {n}: {n}" for n in range(1000)), "fan.yaml")
    lines = str(caught.value).splitlines()
    assert len(lines) < 50
    assert lines[-1].startswith("... and ")


def test_numbers_are_single_floats(fan):
    assert np.ndim(fan.cranks.centre_distance) == 0
    assert type(fan.cranks.centre_distance) is float
