"""How fast a machine may run: found among whole verdicts, and checked again as a file that says so."""

import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from designs.command import group
from designs.evaluate import evaluate_finely
from designs.options import fastest as module
from designs.options.fastest import RPM, Fastest, fastest
from designs.reading import read_text
from designs.verdict import rows_of

DESIGNS = Path(__file__).parents[2] / "designs"
AS_BUILT, REBUILT = ((DESIGNS / f"{name}.yaml").read_text("utf-8") for name in ("as-built", "redesign"))


def failing(text: str, most: float) -> set[str]:
    """Return the limits that a file fails whose fastest speed is another one, rpm."""
    speeds = dict(re.findall(r"\b(least|rated|most): (\d+) rpm", text)[:3])
    assert len(speeds) == 3
    for name, now in speeds.items():
        slower = most if name == "most" else min(int(now), most)
        text = text.replace(f"{name}: {now} rpm", f"{name}: {slower:.0f} rpm", 1)
    return {row.key for row in rows_of(evaluate_finely(read_text(text))) if row.state == "FAIL"}


@pytest.mark.parametrize("text", [AS_BUILT, REBUILT])
def test_what_is_told_is_what_files_with_these_speeds_say(text: str) -> None:
    found = fastest(read_text(text))
    slow = float(read_text(text).speed.least) * RPM
    assert failing(text, found.speed * RPM) - {*found.always} == set()
    assert failing(text, found.first * RPM) - {*found.always} == {*found.beyond} != set()
    assert failing(text, slow) == {*found.always}
    assert found.first - found.speed <= max(10 / RPM, found.first / 100) + 1e-9


def told(fails, monkeypatch, least=200.0, most=1000.0) -> Fastest:
    """Return what is found where limits fail as a function of the fastest speed in rpm says."""
    monkeypatch.setattr(module, "_failing", lambda design, steps: tuple(fails(steps * 10)))
    design = read_text(REBUILT)
    speed = replace(design.speed, least=least / RPM, rated=most / RPM, most=most / RPM)
    return fastest(replace(design, speed=speed))


def test_a_limit_is_closed_in_on_to_a_hundredth(monkeypatch) -> None:
    found = told(lambda rpm: ["gap"] * (rpm > 1234), monkeypatch)
    assert 1234 - 12 <= found.speed * RPM <= 1234 < found.first * RPM
    assert found.beyond == ("gap",)
    assert f"up to {found.speed * RPM:.0f} rpm, in the middle of what is not known; at" in found.words
    assert found.words.endswith("rpm gap would.")


def test_what_fails_at_any_speed_does_not_hide_the_rest(monkeypatch) -> None:
    found = told(lambda rpm: ["power", *["gap"] * (rpm >= 600)], monkeypatch)
    assert (found.always, found.beyond) == (("power",), ("gap",))
    assert found.speed * RPM == pytest.approx(590)
    assert found.words.startswith("What fails at any speed stays (power); else nothing fails up to 590 rpm")


def test_of_what_comes_and_goes_the_lowest_counts(monkeypatch) -> None:
    """A resonance between 700 and 950 rpm: what runs faster than that runs through it on its way."""
    found = told(lambda rpm: ["vibration"] * (700 <= rpm <= 950), monkeypatch)
    assert found.speed * RPM == pytest.approx(690, abs=0.1)


def test_twice_the_fastest_is_as_far_as_is_looked(monkeypatch) -> None:
    found = told(lambda rpm: [], monkeypatch)
    assert (found.speed * RPM, found.first) == (pytest.approx(2000), None)
    assert found.words.endswith("faster was not looked at.")


def test_one_that_fails_just_above_its_slowest_speed(monkeypatch) -> None:
    found = told(lambda rpm: ["gap"] * (rpm > 200), monkeypatch)
    assert found.speed * RPM == pytest.approx(200)
    assert told(lambda rpm: [], monkeypatch, least=0.0, most=1.0).speed * RPM == pytest.approx(20)


def test_check_says_it_where_it_is_asked(monkeypatch) -> None:
    monkeypatch.setattr("designs.command.check.fastest", lambda design: Fastest(100.0, (), ("gap",), 101.0))
    words = ["check", str(DESIGNS / "redesign.yaml")]
    shown = " ".join(CliRunner().invoke(group, [*words, "--fastest"]).stdout.split())
    said = "Nothing fails up to 955 rpm, in the middle of what is not known; at 964 rpm gap would."
    assert f"How fast may it run? {said}" in shown
    data = json.loads(CliRunner().invoke(group, [*words, "--fastest", "--json"]).stdout)["designs"][0]["fastest"]
    assert data == {"speed_rad_per_s": 100.0, "beyond": ["gap"], "fail_at_any_speed": []}
    assert np.isfinite(data["speed_rad_per_s"])
    assert json.loads(CliRunner().invoke(group, [*words, "--json"]).stdout)["designs"][0]["fastest"] is None
