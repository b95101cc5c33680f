"""Without files: what the packages say of themselves, and many values at one entry."""

import doctest
from importlib import import_module
from pkgutil import iter_modules

import numpy as np
import pytest

import balance
import shafts
from balance.errors import BadDesign
from balance.many import one
from designs.command import VERSION
from designs.command.inputs import SHIPPED
from designs.evaluate import Evaluation
from designs.options.varying import varied
from designs.reading import read
from designs.verdict import rows_of
from shafts.bent_line import bent_line
from shafts.gap.pair import budget
from shafts.knock import knocks
from shafts.strength.parts import part_safeties
from shafts.weighing import unknowns_for


@pytest.mark.parametrize("package", [balance, shafts])
def test_a_package_shows_what_there_is(package):
    """Its example holds, each name it lists can be had, and its version is that of the command."""
    found = doctest.testmod(package)
    assert found.attempted and not found.failed
    inside = {each.name for each in iter_modules(package.__path__)}
    assert set(package.__all__) == inside and inside <= set(dir(package))
    for name in package.__all__:
        assert getattr(package, name) is import_module(f"{package.__name__}.{name}")
    assert package.__version__ == VERSION


def test_one_entry_takes_many_values():
    """Each of them is what it is alone."""
    design = read(SHIPPED / "as-built.yaml")
    values = [0.005, 0.006, 0.008]
    many = Evaluation(varied(design, "shafts.segments.*.diameter", values))
    assert many.options == 3
    slopes = np.max([peak.size for peak in many.peaks[0]["gear slope"]], axis=0)
    for place, value in enumerate(values):
        alone = Evaluation(varied(design, "shafts.segments.*.diameter", [value]))
        expected = np.max([peak.size for peak in alone.peaks[0]["gear slope"]], axis=0)
        np.testing.assert_allclose(slopes[place], expected[0], rtol=1e-9)


def test_a_varied_design_is_not_changed_afterwards():
    values = np.array([0.005, 0.006])
    design = varied(read(SHIPPED / "as-built.yaml"), "shafts.segments.*.diameter", values)
    values[0] = 1.0
    with pytest.raises(ValueError, match="read-only"):
        design.shafts.segments[0].diameter[0] = 1.0
    assert one(design, 0).shafts.segments[0].diameter == 0.005
    with pytest.raises(ValueError, match="read 2; allowed: 0 to 1"):
        one(design, 2)


@pytest.fixture(scope="module")
def three() -> Evaluation:
    return Evaluation(varied(read(SHIPPED / "as-built.yaml"), "shafts.segments.*.diameter", [0.005, 0.006, 0.008]))


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (rows_of, "the whole verdict"),
        (lambda three: three.clearances, "pieces of a shaft"),
        (lambda three: three.weight_clearances, "counterweights"),
        (lambda three: three.along_cylinder, "along the cylinder"),
        (lambda three: three.crossings, "vibration of the shafts"),
        (lambda three: three.worst_speeds, "vibration of the shafts"),
        (lambda three: three.parts, "strength of parts"),
        (lambda three: three.leaks, "leak"),
        (lambda three: knocks(three.loaded_shafts, 100.0), "reversals"),
        (lambda three: budget(three.pairs[0], 100.0), "the gap"),
        (lambda three: bent_line(three.loaded_shafts, 0, np.zeros(1)), "bent line"),
        (lambda three: unknowns_for(three.design), "its shaking"),
    ],
)
def test_what_is_for_a_single_design_says_so_of_many(three, asked, said):
    with pytest.raises(BadDesign, match=f"read 3 options; allowed: a single design for .*{said}.*one"):
        asked(three)


def test_strength_of_many_wants_its_speeds_for_each(three):
    with pytest.raises(ValueError, match=r"speeds of shape \(3,\) for 3 options"):
        part_safeties(three.loaded_shafts, np.array([50.0, 100.0, 150.0]))


@pytest.mark.parametrize(
    ("path", "values", "said"),
    [
        ("shafts.segments.*.diametre", [0.005], "has a number"),
        ("title", [0.005], "has a number"),
        ("shafts.segments.*.diameter", 0.005, "one axis"),
        ("shafts.segments.*.diameter", ["5 mm", "6 mm"], "'5 mm'; allowed: one axis of numbers in SI"),
        ("shafts.segments.*.diameter", [True], "True"),
        ("shafts.segments.*.diameter", [[0.005], [0.006, 0.007]], "no common shape"),
        ("shafts.segments.*.diameter", [0.005, np.nan], "nan"),
        ("shafts.segments.*.diameter", [0.005, -0.001], "-0.001"),
    ],
)
def test_what_cannot_be_varied_is_refused(path, values, said):
    with pytest.raises(BadDesign, match=said):
        varied(read(SHIPPED / "as-built.yaml"), path, values)


def test_an_evaluation_is_of_a_design_and_says_which(three):
    assert repr(three) == "Evaluation('Greenhouse fan engine, as built', 3 options)"
    with pytest.raises(BadDesign, match="read a str; allowed: a Design"):
        Evaluation("as-built.yaml")
