"""Random engines as many options at once: every row that a batch judges is what it is of each alone."""

from dataclasses import fields, replace

import numpy as np
import pytest
from engines.test_batch import limits_alone
from limits.test_bounds import near_to
from random_engines import random_engine

from balance.many import legal, one
from designs.design import Design
from designs.options import batch
from shafts.bearings.ball import Ball
from shafts.bearings.bearing import Bearing
from shafts.engine import Engine
from shafts.shaft import Shaft, Shafts

COUNT = 12
BALL = Ball(bore=0.008, outside=0.022, width=0.007)


def designed(engine: Engine) -> Design:
    return Design(**{each.name: getattr(engine, each.name) for each in fields(engine)})


def on_balls(engine: Engine) -> Engine:
    """Return the engine with ball bearings that yield by contact theory in the first place of each shaft."""

    def rolling(shaft: Shaft) -> Shaft:
        first, *others = shaft.bearings
        ball = Bearing(at=first.at, ball=BALL, clearance="C3", seat_stiffness=first.seat_stiffness)
        return replace(shaft, bearings=(ball, *others))

    right, left = (rolling(shaft) for shaft in engine.shafts.pair)
    names = [each.name for each in fields(Shaft)]
    parts = [{name: getattr(shaft, name) for name in names} for shaft in (right, left)]
    return replace(engine, shafts=Shafts(**parts[0], left=None if engine.shafts.left is None else Shaft(**parts[1])))


@pytest.mark.parametrize("balls", [False, True])
@pytest.mark.parametrize("bearings", [2, 3, 4])
@pytest.mark.parametrize("seed", range(4))
def test_every_row_of_many_is_that_of_each_alone(seed: int, bearings: int, balls: bool) -> None:
    engine = random_engine(seed, bearings)
    design = near_to(designed(on_balls(engine) if balls else engine), seed, COUNT)
    whole = np.flatnonzero(legal(design, COUNT))  # a shorter rod may not reach round
    assert len(whole) >= COUNT // 2
    alone = {int(place): limits_alone(one(design, int(place))) for place in whole[::4]}
    keys = tuple(alone[int(whole[0])])
    assert {"gap", "contact", "slope"} <= {key.split("_")[0] for key in keys}
    verdicts = batch.judge_options(design, keys)
    np.testing.assert_array_equal(np.flatnonzero(verdicts.legal), whole)
    for place, figures in alone.items():
        for row, key in enumerate(keys):
            if figures[key].value is not None:
                found, wanted = verdicts.values[row, place], float(figures[key].value)
                np.testing.assert_allclose(found, wanted, rtol=1e-9, atol=1e-15, err_msg=key)
            assert verdicts.passed[row, place] == (figures[key].passed is None or bool(figures[key].passed)), key
