"""Every number of the shipped designs varied alone: two options at once must judge as each by itself.

What an entry does not touch stays one number and is not spread over the options, so each entry takes its own
way through the arrays.
"""

from functools import cache

import numpy as np
import pytest

from designs.command.inputs import SHIPPED
from designs.design import Design
from designs.evaluate import Evaluation
from designs.many import legal, one, planted
from designs.options.batch import limits_of
from designs.options.figures import Figure
from designs.reading import read
from designs.steps import numbers

NAMES = ("as-built", "redesign", "rhombic")
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
    return read(SHIPPED / f"{name}.yaml")


def entries(name: str) -> list[tuple[str, ...]]:
    found = design(name)
    stated = [subject for subject in SUBJECTS if getattr(found, subject) is not None]
    return [path for subject in stated for path, value, _ in numbers(getattr(found, subject), (subject,)) if value]


CASES = [(name, ".".join(path)) for name in NAMES for path in entries(name)]


def judged(found: Design) -> dict[str, Figure]:
    evaluation = Evaluation(found)
    evaluation.__dict__["vibrates"] = False  # many options bend as if the loads changed slowly
    return limits_of(evaluation)


@pytest.mark.parametrize(("name", "entry"), CASES)
def test_two_options_that_differ_in_one_entry(name: str, entry: str) -> None:
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
    many = planted(design(name), (path,), np.array([value, value * 1.0002]))
    if not np.all(legal(many, 2)):
        pytest.skip("a step of it breaks the design")
    together = judged(many)
    for place in (0, 1):
        alone = judged(one(many, place))
        for key, figure in alone.items():
            if figure.value is not None:
                found = np.broadcast_to(np.asarray(together[key].value, dtype=float), (2,))[place]
                np.testing.assert_allclose(found, float(figure.value), rtol=1e-11, atol=1e-14, err_msg=key)
