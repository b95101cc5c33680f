"""Many options computed at once are each what they are alone: arrays (options..., angles) against single machines."""

from dataclasses import fields, is_dataclass, replace
from typing import Any

import numpy as np
import pytest
from limits.evaluated import close, largest, named_forces, one_yoke, run, size
from random_designs import random_machine

from balance.machine.crank import Gears
from balance.machine.machine import Gravity, Machine, PressureTable
from balance.machine.yoke import Rod, RodMasses
from balance.many import one, options_of
from balance.quantities import Unit, mark

OPTIONS = 3
KEPT_WHOLE = (Gears, PressureTable)  # gears fit their centre distance alone; a table is an array already


def several(part: Any, generator: np.random.Generator) -> Any:
    """Return a definition with every number in it, down to the last, as an array of slightly different ones."""
    if isinstance(part, dict):
        return {name: several(each, generator) for name, each in part.items()}
    if not is_dataclass(part) or isinstance(part, KEPT_WHOLE):
        return tuple(several(each, generator) for each in part) if isinstance(part, tuple) else part
    return replace(part, **{each.name: _field(each, getattr(part, each.name), generator) for each in fields(part)})


def _field(field: Any, value: Any, generator: np.random.Generator) -> Any:
    if mark(field.type, Unit) is None:
        return several(value, generator)
    return value if field.name == "centre_distance" else _varied(value, generator)


def _varied(value: Any, generator: np.random.Generator) -> Any:
    if isinstance(value, dict):
        return {name: _varied(each, generator) for name, each in value.items()}
    if isinstance(value, tuple):
        return tuple(_varied(each, generator) for each in value)
    return value * (1 + generator.uniform(0, 1e-3, OPTIONS)) if isinstance(value, float) else value


def alone(part: Any, option: int) -> Any:
    """Return one option of a definition that holds several."""
    if isinstance(part, dict):
        return {name: alone(each, option) for name, each in part.items()}
    if isinstance(part, tuple):
        return tuple(alone(each, option) for each in part)
    if isinstance(part, np.ndarray):
        return float(part[option])
    if not is_dataclass(part) or isinstance(part, KEPT_WHOLE):
        return part
    return replace(part, **{each.name: alone(getattr(part, each.name), option) for each in fields(part)})


def one_of(values: Any, option: int, count: int) -> np.ndarray:
    """Return the values of one option; a load that is the same for all has no options axis."""
    values = np.asarray(values)
    assert values.ndim < 2 or values.shape[0] in (1, OPTIONS)
    return np.broadcast_to(values, (OPTIONS, count))[option]


def together(seed: int) -> Machine:
    return several(random_machine(seed), np.random.default_rng(seed))


@pytest.mark.parametrize("seed", range(25))
def test_options_together_and_alone(seed: int) -> None:
    machine = together(seed)
    every = run(machine)
    count = len(every.moved.theta)
    assert every.shaking.y.shape == (OPTIONS, count)
    for option in range(OPTIONS):
        single = run(alone(machine, option), count)
        for (name, here), (_, there) in zip(named_forces(every), named_forces(single), strict=True):
            for part in ("steady", "inertia"):  # of many, weight may stand with the gas
                scale = largest(single, name, part)
                close(one_of(getattr(here, part), option, count), getattr(there, part), scale, 1e-11)
        for way in ("x", "y", "pitch", "yaw", "roll"):
            scale = size(single.shaking.x, single.shaking.y)
            close(one_of(getattr(every.shaking, way), option, count), getattr(single.shaking, way), scale, 1e-11)


@pytest.mark.parametrize("left", [None, RodMasses(mass=0.02, cg=0.02, inertia=4e-6)])
def test_an_engine_that_lies_on_its_side_in_one_option_only(left: RodMasses | None) -> None:
    """Gravity across the cylinder in some options and not in others acts in those alone."""
    machine = one_yoke({"rod": Rod(length=0.05, mass=0.01, cg=0.02, inertia=2e-6, left=left)})
    across = np.array([0.0, 9.81, -3.0])
    every = run(replace(machine, gravity=Gravity(x=across, y=-2.0)))
    count = len(every.moved.theta)
    for option, pull in enumerate(across):
        single = run(replace(machine, gravity=Gravity(x=float(pull), y=-2.0)))
        for (name, here), (_, there) in zip(named_forces(every), named_forces(single), strict=True):
            for part in ("steady", "inertia"):  # of many, weight may stand with the gas
                scale = largest(single, name, part)
                close(one_of(getattr(here, part), option, count), getattr(there, part), scale, 1e-11)


def numbers(part: Any) -> list[Any]:
    """Return every value that a definition holds, in order."""
    if isinstance(part, dict):
        return [found for each in part.values() for found in numbers(each)]
    if isinstance(part, tuple):
        return [found for each in part for found in numbers(each)]
    if is_dataclass(part) and not isinstance(part, type):
        return [found for each in fields(part) for found in numbers(getattr(part, each.name))]
    return [part]


@pytest.mark.parametrize("seed", range(12))
def test_one_option_of_many_is_that_option_and_keeps_tables_whole(seed: int) -> None:
    machine = together(seed)
    assert options_of(machine) == OPTIONS
    assert options_of(alone(machine, 0)) is None
    for option in range(OPTIONS):
        for here, there in zip(numbers(one(machine, option)), numbers(alone(machine, option)), strict=True):
            assert np.shape(here) == np.shape(there)
            np.testing.assert_array_equal(here, there)
