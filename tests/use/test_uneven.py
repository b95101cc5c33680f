"""Rows and table of a speed that swings over the turn: what they say of the shipped engine, and of heavier wheels."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from designs.evaluate import Evaluation
from designs.reading import read
from designs.tables import evenness
from designs.verdict import gap, shaking, uneven

DESIGN = read(Path(__file__).parents[2] / "designs" / "as-built.yaml")


def with_wheel(inertia: float):
    return replace(DESIGN, flywheel=replace(DESIGN.flywheel, inertia=inertia))


def rows(design) -> dict:
    evaluation = Evaluation(design)
    return {row.key: row for source in (uneven, shaking, gap) for row in source.rows(evaluation)}


def test_with_a_heavy_wheel_the_rows_of_even_turning_say_it_all():
    assert not {"shaking_force_uneven", "gap_uneven"} & set(rows(with_wheel(0.1)))


def test_with_a_light_one_it_shakes_harder_and_the_gap_moves():
    found = rows(with_wheel(1e-5))
    assert float(found["shaking_force_uneven"].value) > 1.05 * float(found["shaking_force"].value)
    assert float(found["gap_uneven"].value) != pytest.approx(float(found["gap"].value), abs=1e-6)


def test_the_table_says_how_far_it_swings():
    evaluation = Evaluation(DESIGN)
    table = next(each for each in evenness.tables(evaluation) if each.key == "speed_swing")
    columns = [column.key for column in table.columns]
    swings = [row[columns.index("fluctuation")] for row in table.rows]
    assert swings == sorted(swings, reverse=True)
    assert 0.5 < swings[0] < 1.0
    for row, swing in zip(table.rows, evaluation.swings, strict=True):
        assert 1 / np.mean(1 / swing.speed) == pytest.approx(row[columns.index("speed")], rel=1e-9)
