"""How fast it is; not part of the timed suite: `python -m pytest tests/benchmarks` (add -k for one of them).

`python tests/benchmarks/table.py` prints the same as a table, side by side with other ways to do it.
"""

import os

import pytest
from benchmarks import cases

from designs.counsel.advised import judge
from designs.evaluate import Evaluation

COUNTS = (1_000, 10_000, 100_000)
MILLION = pytest.mark.skipif("QUIETCRANK_MILLION" not in os.environ, reason="a minute; set QUIETCRANK_MILLION=1 for it")


@pytest.mark.parametrize("count", [*COUNTS, pytest.param(1_000_000, marks=MILLION)])
def test_many_options(benchmark, count):
    design, keys = cases.options(count), cases.limits(cases.one(cases.options(1), 0))
    passing = benchmark.pedantic(cases.judged, (design, keys), rounds=1)
    benchmark.extra_info["options per second"] = count / benchmark.stats.stats.min
    assert 0 < passing < count


def test_a_plain_loop_over_single_designs(benchmark):
    designs = [cases.one(cases.options(20), place) for place in range(20)]
    keys = cases.limits(designs[0])

    def loop():
        return [cases.batch.limits_of(Evaluation(design)) for design in designs]

    assert all(set(each) == set(keys) for each in benchmark(loop))


def test_the_whole_verdict_on_one_design(benchmark):
    design = cases.one(cases.options(1), 0)
    assert benchmark(lambda: judge(Evaluation(design)))


@pytest.mark.parametrize("name", cases.SHIPPED)
def test_the_vibration_of_one_design(benchmark, name):
    taken = benchmark.pedantic(cases.dynamics, (name,), rounds=1)
    benchmark.extra_info["of its verdict without vibration"] = taken / cases.without_vibration(name)


def test_the_joint_forces_of_many(benchmark):
    assert benchmark.pedantic(cases.forces_of_many, (10_000,), rounds=3) > 0


def test_the_joint_forces_by_mujoco(benchmark):
    pytest.importorskip("mujoco")
    assert benchmark.pedantic(cases.forces_by_mujoco, (3,), rounds=3) > 0


def test_check_from_cold(benchmark):
    assert benchmark.pedantic(cases.cold_check, rounds=1) > 0


def test_the_libraries_from_cold(benchmark):
    assert benchmark.pedantic(cases.cold_imports, rounds=1) > 0


def test_memory_does_not_grow_with_the_number_of_options():
    few, many = cases.memory_of(4_096), cases.memory_of(65_536)
    # The options' own numbers grow: five entries of eight bytes each.
    assert many < few + 65_536 * 5 * 8 * 4 / 1e6 + 30
    assert many < 300  # MB, of the largest process
