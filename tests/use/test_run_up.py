"""What the picture of a run-up shows of the case: how far its feet move, its resonances, from where it is not real."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from balance.case.body import foot_places
from balance.case.vibration import vibration
from designs.evaluate import Evaluation
from designs.pages.plots_shafts import run_up as picture
from designs.pages.run_up import run_up
from designs.reading import read

DESIGNS = Path(__file__).parents[2] / "designs"


@pytest.fixture(scope="module")
def built() -> Evaluation:
    return Evaluation(read(DESIGNS / "as-built.yaml"))


def test_the_case_moves_as_its_orders_add_up(built: Evaluation):
    case = run_up(built, 4).case
    place = int(np.argmax(case.moved))
    found = vibration(built.case, built.case_loads, case.speeds[[place]])
    theta, most = 2 * np.pi / 720 * np.arange(720), 0.0
    for foot in foot_places(built.case.mount):
        for spectrum in found.shift(foot).values():
            waves = np.exp(1j * np.outer(np.arange(1, spectrum.shape[-1] + 1), theta))
            most = max(most, float(np.max(np.abs(np.real(spectrum[0] @ waves)))))
    assert case.moved[place] == pytest.approx(most, rel=1e-3)
    for speed, order in case.peaks:
        assert np.min(np.abs(built.case.frequency / (order * speed) - 1)) < 1e-6
    assert 1 in [order for _, order in case.peaks]


def test_it_says_from_where_the_case_is_not_real(built: Evaluation):
    case, words = run_up(built, 4).case, picture(built)
    lifts = vibration(built.case, built.case_loads, case.speeds).uplift(built.design.gravity)
    assert np.all((lifts >= 1)[case.speeds == case.lifts])
    assert f"not real from {case.lifts * 30 / np.pi:.0f} rpm" in words
    assert ">not real<" in words


def test_without_a_mount_there_is_no_case(built: Evaluation):
    bare = Evaluation(replace(built.design, mount=None))
    assert run_up(bare, 4).case is None
    assert "the case moves" not in picture(bare)
