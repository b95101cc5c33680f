"""Every number of the shipped designs varied alone: options at once must judge as each by itself.

What an entry does not touch stays one number and is not spread over the options, so each entry takes its own
way through the arrays.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from balance.many import legal, one, planted
from designs.command.inputs import SHIPPED
from designs.design import Design
from designs.evaluate import Evaluation
from designs.gap_sensitivities import numbers
from designs.options.batch import limits_of
from designs.options.figures import TABLE_FIGURES, usual
from designs.reading import read
from designs.verdict.figure import Figure

GEARLESS = "as-built without gears"  # where no torque of the turning masses reaches the shafts' loads
NAMES = ("as-built", "redesign", "rhombic", GEARLESS)
STEPS = np.array([1.0, 1.0002, 1.0001])  # three: two options could be taken for the two yokes, or for x and y
SUBJECTS = (
    "speed",
    "cranks",
    "yokes",
    "shafts",
    "gas",
    "fits",
    "flywheel",
    "counterweights",
    "mount",
    "gravity",
    "limits",
)


@cache
def design(name: str) -> Design:
    found = read(SHIPPED / f"{name.removesuffix(' without gears')}.yaml")
    return replace(found, cranks=replace(found.cranks, gears=None)) if name == GEARLESS else found


def entries(name: str) -> list[tuple[str, ...]]:
    found = design(name)
    stated = [subject for subject in SUBJECTS if getattr(found, subject) is not None]
    return [path for subject in stated for path, value, _ in numbers(getattr(found, subject), (subject,)) if value]


CASES = [(name, ".".join(path)) for name in NAMES for path in entries(name)]


def judged(found: Design) -> dict[str, Figure]:
    evaluation = Evaluation(found)
    evaluation.__dict__["vibrates"] = False  # many options bend as if the loads changed slowly
    tables = {key: usual(evaluation, key) for key in TABLE_FIGURES}
    return limits_of(evaluation) | {key: figure for key, figure in tables.items() if figure is not None}


@cache
def judged_as_it_is(name: str) -> dict[str, Figure]:
    return judged(design(name))


@pytest.mark.parametrize(("name", "entry"), CASES)
def test_options_that_differ_in_one_entry(name: str, entry: str) -> None:
    path = tuple(entry.split("."))
    value = design(name)
    for key in path:
        value = (
            value[int(key)]
            if isinstance(value, tuple)
            else value[key]
            if isinstance(value, dict)
            else getattr(value, key)
        )
    many = planted(design(name), (path,), value * STEPS)
    if not np.all(legal(many, len(STEPS))):
        pytest.skip("a step of it breaks the design")
    together = judged(many)
    for place in range(len(STEPS)):
        alone = judged(one(many, place)) if STEPS[place] != 1 else judged_as_it_is(name)
        for key, figure in alone.items():
            if figure.value is not None:
                found = np.broadcast_to(np.asarray(together[key].value, dtype=float), STEPS.shape)[place]
                np.testing.assert_allclose(found, float(figure.value), rtol=1e-11, atol=1e-14, err_msg=key)


def test_options_in_the_mass_of_a_web_alone_are_options_of_the_loads() -> None:
    path = ("cranks", "webs", "0", "mass")
    many = planted(design(GEARLESS), (path,), design(GEARLESS).cranks.webs[0].mass * STEPS)
    for crank in Evaluation(many).loaded_shafts.cranks:
        assert crank.bearings[0].size(50.0).shape[0] == len(STEPS)
    for crank in Evaluation(design(GEARLESS)).loaded_shafts.cranks:
        assert crank.bearings[0].size(50.0).ndim == 1
