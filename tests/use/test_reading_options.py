"""Options: each changes a few entries of a design and keeps the rest."""

from pathlib import Path

import pytest

from balance.machine.machine import IsothermalGas, NoGas
from designs.design import Design
from designs.reading import BadFile, read, read_options

FAN = Path(__file__).with_name("greenhouse-fan.yaml")
TEXT = FAN.read_text("utf-8")


@pytest.fixture
def with_options(tmp_path):
    def write(options):
        path = tmp_path / "fan.yaml"
        path.write_text(TEXT[: TEXT.index("options:")] + f"options:\n{options}\n")
        return path

    return write


def test_an_option_changes_its_entries_and_keeps_the_rest():
    plain_fan, stiffer = read(FAN), read(FAN, "stiffer")
    assert stiffer.shafts.segments[0].diameter == 0.008
    assert stiffer.shafts.segments[0].length == plain_fan.shafts.segments[0].length
    assert stiffer.shafts.bearings[0].ball.outside == 0.022
    assert stiffer.shafts.bearings[1].bush.bore == 0.006
    assert stiffer.yokes["piston"].mass == plain_fan.yokes["piston"].mass


def test_every_option_is_read():
    options = read_options(FAN)
    assert list(options) == ["stiffer", "by hand"]
    assert isinstance(options["by hand"].gas, NoGas)
    assert options["by hand"].limits.gap == 2e-4
    assert isinstance(read(FAN).gas, IsothermalGas)


def test_one_faulty_option_does_not_end_the_others(with_options):
    path = with_options("  good: {limits.gap: 0.2 mm}\n  bad: {limits.gap: 0.2}\n  good too: {limits.gap: 0.4 mm}")
    options = read_options(path)
    assert isinstance(options["good"], Design)
    assert isinstance(options["good too"], Design)
    assert isinstance(options["bad"], BadFile)
    line = path.read_text().splitlines().index("  bad: {limits.gap: 0.2}") + 1
    assert str(options["bad"]).startswith(f"{path}:{line}:21: limits.gap: read '0.2'")


@pytest.mark.parametrize(
    ("change", "key", "words"),
    [
        ("cranks.gear.teeth: 40", "options.new.cranks.gear.teeth", "did you mean 'gears'?"),
        ("limit.gap: 1 mm", "options.new.limit.gap", "did you mean 'limits'?"),
        ("limits.gapp: 1 mm", "limits.gapp", "did you mean 'gap'?"),
        ("shafts.segments.3.diameter: 1 mm", "options.new.shafts.segments.3.diameter", "'3', in a list of 1"),
        ("shafts.segments.-0.diameter: 1 mm", "options.new.shafts.segments.-0.diameter", "'-0', in a list of 1"),
        ("shafts.segments.1: {}", "options.new.shafts.segments.1", "'1', in a list of 1"),
        ("yokes.*.rdo.length: 50 mm", "options.new.yokes.*.rdo.length", "did you mean 'rod'?"),
        ("title.x: 50 mm", "options.new.title.x", "the whole of it replaced"),
        ("materials.*.*.x: 1 mm", "options.new.materials.*.*.x", "whole"),
        ("shafts..bore: 1 mm", "options.new.shafts..bore", "''"),
    ],
)
def test_a_path_that_leads_nowhere_is_told(with_options, change, key, words):
    with pytest.raises(BadFile) as caught:
        read(with_options(f"  new: {{{change}}}"), "new")
    (line,) = str(caught.value).splitlines()
    assert f": {key}: read" in line
    assert words in line


def test_wildcards_go_over_names_and_lists_and_skip_what_has_no_such_entry(with_options):
    path = with_options(
        "  new: {yokes.*.rod.length: 68 mm, shafts.bearings.*.ball.width: 5 mm, cranks.webs.*.on: left}"
    )
    new = read(path, "new")
    assert [yoke.rod.length for yoke in new.yokes.values()] == [0.068, 0.068]
    assert new.shafts.bearings[0].ball.width == 0.005
    assert new.shafts.bearings[1].ball is None
    assert [web.on for web in new.cranks.webs] == ["left", "left"]


def test_optional_entries_may_be_created_and_taken_away(with_options):
    path = with_options(
        "  new: {limits.static safety: 2, flywheel: none, yokes.piston.rod.play: 9 um, cranks.load on: both}"
    )
    new = read(path, "new")
    assert (new.limits.static_safety, new.flywheel, new.yokes["piston"].rod.play) == (2.0, None, 9e-6)
    assert new.cranks.load_on == "both"  # not a second load_on beside load-on


def test_names_with_dots_can_be_reached(with_options):
    path = with_options("  new: {yokes.piston.parts.no. 3 bolt: 5 g, yokes.piston.parts.yoke.mass: 1 g}")
    with pytest.raises(BadFile, match=r"parts\.no"):
        read(path, "new")  # what is not there yet cannot have dots in its name
    path.write_text(
        path.read_text().replace("yoke: 44 g", "no. 3 bolt: 44 g").replace(", yokes.piston.parts.yoke.mass: 1 g", "")
    )
    assert read(path, "new").yokes["piston"].parts["no. 3 bolt"].mass == 0.005


@pytest.mark.parametrize("options", ["  new: 3", "  new:", "  - new", "  new: [limits.gap]"])
def test_options_that_are_no_changes_are_told(with_options, options):
    with pytest.raises(BadFile, match="options"):
        read(with_options(options), "new")


def test_an_unknown_option_is_told_with_the_nearest():
    with pytest.raises(BadFile, match=r"stiffer, by hand; did you mean 'stiffer'"):
        read(FAN, "stifer")
