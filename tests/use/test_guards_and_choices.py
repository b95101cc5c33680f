"""What advice stands on, by hand: how much a doubtful limit must have to spare, and where a bearing may go."""

from dataclasses import replace
from math import inf
from pathlib import Path
from types import SimpleNamespace

import pytest

from designs.counsel import guards
from designs.counsel.free import free_choices
from designs.counsel.guards import guards_of
from designs.counsel.plan import Plan
from designs.counsel.trial import Trial
from designs.doubt import unsure
from designs.evaluate import evaluate_finely
from designs.reading import read_text
from designs.verdict import rows_of
from designs.verdict.row import Doubt, Row

REDESIGN = (Path(__file__).parents[2] / "designs" / "redesign.yaml").read_text("utf-8")
BALL = """{at: 0 mm, ball: {bore: 10 mm, outside: 26 mm, width: 8 mm}, clearance: CN, seat_stiffness: 40 N/um,
       fit: 5 um, seat_fit: 8 um, held_by: glue}"""
WIDE = "needle: {shaft: 10 mm, outside: 14 mm, width: 15 mm, hardness: 60}, seat_stiffness: 40 N/um}"


def row(value=2.0, limit=1.0, sense="at least", unit="N", **doubt) -> Row:
    """A limit whose value lies between 1.4 and 2.8 in 90 of 100 machines."""
    said = {"count": 512, "share": 0.9, "low": 0.87, "high": 0.92, "sure": 0.95, "spread": (1.4, 2.8), "worst": 1.0}
    return Row("key", "what", value, limit, unit, sense, doubt=Doubt(**(said | doubt)))


@pytest.mark.parametrize(
    ("told", "spare"),
    [
        (row(), 0.75 / (2.0 - 0.75)),  # down to 1.4, and a quarter more: of its own value, whatever that comes to
        (row(sense="at most", limit=3.0), 3.0 * 1.0 / (2.0 + 1.0)),  # up to 2.8
        (row(limit=3.0), 3.0 * 0.75 / 1.25),
        (row(sense="at most", limit=0.1), 0.1 * 1.0 / 3.0),  # it can be met, however far the value is beyond it
        (row(limit=100.0, spread=(0.0, 2.8)), 100.0 * 2.5 / 0.5),  # a value that may be nothing: a quarter counts
        (row(limit=3.0, unit="m"), 1.25 * 0.6),
        (row(value=0.0, limit=0.5), 1.25 * 1.4),
        (row(note="by its ends"), 0.6 / 1.4),
        (row(value=None), None),
        (replace(row(), doubt=None), None),
        (row(share=1.0, low=0.99, high=1.0), None),  # in every machine
    ],
)
def test_a_doubtful_limit_must_have_its_spread_to_spare(told: Row, spare: float | None) -> None:
    assert guards_of([told]) == ({} if spare is None else {"key": pytest.approx(spare)})


def test_of_several_rows_of_a_limit_the_widest_spread_counts() -> None:
    found = guards_of([row(spread=(1.9, 2.1)), row(), row(spread=(1.8, 2.1))])
    assert found == {"key": pytest.approx(0.6)}


def places(text: str, which: int) -> set[float]:
    """Return the places that a bearing may move to, mm."""
    dials = {each.name: each for each in free_choices(read_text(text))}
    return {float(each.shown.split()[0]) for each in dials[f"place of bearing {which}"].levels}


def test_a_bearing_moves_where_it_is_clear_of_its_neighbours() -> None:
    """Another bearing of 15 mm in place of 8 keeps this one, and others, farther off; needles are no less a bearing."""
    assert REDESIGN.count(BALL) == 1
    broad = REDESIGN.replace(BALL, "{at: 0 mm, " + WIDE)
    web = -5.0  # where the first web ends
    first, last = (places(broad, which) for which in (1, 2))
    assert not first or min(first) - 7.5 > web
    assert last
    assert min(last) - 4 > 7.5
    assert max(places(REDESIGN, 1), default=0.0) + 4 < 30 - 4


@pytest.mark.parametrize(("value", "drawn"), [(2.0, []), (1.7, []), (1.55, ["key"])])
def test_a_limit_that_held_in_all_machines_is_drawn_again_once_it_has_too_little_to_spare(
    monkeypatch, value: float, drawn: list[str]
) -> None:
    """Down to 1.4 of 2.0, and a quarter more, it wants 0.6 beyond the limit: of 1.7 it has 0.7, of 1.55 no more."""
    base = Trial(None, [row(share=1.0, low=0.99, high=1.0)])
    after = Plan(base, (), Trial(None, [replace(row(value), doubt=None)]))
    asked: list[str] = []

    def standing(evaluation, rows, keys):
        asked.extend(keys)
        return [row(value)]  # it depends

    monkeypatch.setattr(guards, "as_written", lambda plan: SimpleNamespace(doubts={}))
    monkeypatch.setattr(guards, "evaluate_finely", lambda design: None)
    monkeypatch.setattr(guards, "standing", standing)
    monkeypatch.setattr(guards, "unsure", lambda evaluation, rows, keys: [])
    assert list(guards.settled(after).trial.failing) == drawn
    assert asked == drawn


@pytest.mark.parametrize(("value", "holds"), [(1.0, ["key"]), (1.0 + 1e-9, ["key"]), (1.1, []), (0.9, [])])
def test_a_limit_that_is_brought_to_its_end_and_no_farther_is_drawn(
    monkeypatch, value: float, holds: list[str]
) -> None:
    """What is spread at all breaks it in half of all machines; one that still fails is told as failing anyway."""
    base, asked = Trial(None, [replace(row(0.5), doubt=None)]), list[str]()

    def standing(evaluation, rows, keys):
        asked.extend(keys)
        return [row(value, share=2 / 3, spread=(0.95, 1.05), note="by its ends")]

    monkeypatch.setattr(guards, "as_written", lambda plan: SimpleNamespace(doubts={}))
    monkeypatch.setattr(guards, "evaluate_finely", lambda design: None)
    monkeypatch.setattr(guards, "standing", standing)
    monkeypatch.setattr(guards, "unsure", lambda evaluation, rows, keys: [])
    found = guards.settled(Plan(base, (), Trial(SimpleNamespace(doubts={}), [replace(row(value), doubt=None)])))
    assert asked == holds
    assert list(found.trial.failing) == (["key"] if holds or value < 1 else [])


@pytest.mark.parametrize(
    ("vibrating", "failing", "guard"),
    [
        (row(0.9, spread=(0.8, 1.0)), ["key"], 0.6 + 0.125 / (0.9 - 0.125)),
        (row(1.2, share=1.0, low=0.99, high=1.0), [], 0.3),
        (row(1.6, share=1.0, low=0.99, high=1.0), [], 0.0),
    ],
)
def test_a_plan_without_vibration_is_drawn_with_it(monkeypatch, vibrating: Row, failing: list[str], guard) -> None:
    """At 1.5 without vibration and 0.9 with it, a further change must win 0.1, and what it is spread: not a hair."""
    base, still = Trial(None, [replace(row(0.5), doubt=None)]), replace(row(1.5), doubt=None)
    source = type("Source", (), {"rows": staticmethod(lambda evaluation: [vibrating])})
    monkeypatch.setattr(guards, "as_written", lambda plan: SimpleNamespace(doubts={}))
    monkeypatch.setattr(guards, "evaluate_finely", lambda design: None)
    monkeypatch.setattr(guards, "source_of", lambda key, trial: source)
    monkeypatch.setattr(guards, "standing", lambda evaluation, rows, keys: [each for each in rows if each.key in keys])
    plan = Plan(base, (), Trial(SimpleNamespace(doubts={}), [still], guards={"key": 0.55}, still=True))
    found = guards.settled(plan).trial
    assert list(found.failing) == failing
    assert found.guards["key"] == pytest.approx(guard)


@pytest.mark.parametrize(("share", "failing"), [(0.7, ["key"]), (1.0, [])])
def test_what_never_comes_in_the_middle_may_come_in_machines_drawn(monkeypatch, share: float, failing) -> None:
    """A speed of contact is none in the middle of what is not known: no number to spare tells of the others."""
    never = row(inf, share=share, low=share - 0.01, high=share, spread=(0.5, inf))
    monkeypatch.setattr(guards, "as_written", lambda plan: SimpleNamespace(doubts={}))
    monkeypatch.setattr(guards, "evaluate_finely", lambda design: None)
    monkeypatch.setattr(guards, "unsure", lambda evaluation, rows, keys: ["key"])
    monkeypatch.setattr(guards, "standing", lambda evaluation, rows, keys: [never])
    after = Trial(SimpleNamespace(doubts={}), [replace(never, doubt=None)])
    found = guards.settled(Plan(Trial(None, [row(0.5)]), (), after))
    assert list(found.trial.failing) == failing


ALL_HOLD = {"share": 1.0, "low": 0.99, "high": 1.0}
CORNERS = {"share": 1.0, "note": "in two corners"}


@pytest.mark.parametrize(
    ("before", "value", "few", "whole"),
    [
        (row(**ALL_HOLD), 1.9, ["key"], ["key"]),  # nearer: a few machines are drawn, and as these are unsure, all
        (row(**ALL_HOLD), 2.1, [], []),  # farther off
        (row(0.5), 1.9, ["key"], ["key"]),  # it failed, and holds
        (row(**CORNERS), 1.9, ["key"], ["key"]),
        (replace(row(), doubt=None), 1.9, [], []),  # in no doubt
    ],
)
def test_what_a_change_brings_nearer_is_drawn(monkeypatch, before: Row, value: float, few, whole) -> None:
    asked: dict[str, list[str]] = {"few": [], "whole": []}

    def note(which: str, returned):
        def noted(evaluation, rows, keys):
            asked[which] += keys
            return returned

        return noted

    monkeypatch.setattr(guards, "as_written", lambda plan: SimpleNamespace(doubts={}))
    monkeypatch.setattr(guards, "evaluate_finely", lambda design: None)
    monkeypatch.setattr(guards, "unsure", note("few", few))
    monkeypatch.setattr(guards, "standing", note("whole", [row(value)]))
    after = Trial(SimpleNamespace(doubts={}), [replace(row(value), doubt=None)])
    found = guards.settled(Plan(Trial(None, [before]), (), after))
    assert asked == {"few": few, "whole": whole}
    assert list(found.trial.failing) == whole


@pytest.mark.parametrize(
    ("before", "value", "drawn"),
    [(2.0, 1.2, True), (2.0, 1.3, False), (1.205, 1.2, False), (0.5, 1.2, True), (0.5, 0.9, False)],
)
def test_what_holds_by_little_in_corners_is_looked_at_anew(before: float, value: float, drawn: bool) -> None:
    """A quarter of the limit is near, a hundredth of it no change; what fails is told anyway."""
    base = Trial(None, [row(before, **CORNERS)])
    plan = Plan(base, (), Trial(None, [replace(row(value), doubt=None)]))
    assert guards._near_in_corners(plan) == (["key"] if drawn else [])


@pytest.mark.parametrize(("value", "drawn"), [(1.9, True), (2.1, False)])
def test_a_clearance_is_near_as_long_as_it_is_less_than_twice_what_it_should_be(value: float, drawn: bool) -> None:
    plan = Plan(
        Trial(None, [row(3.0, unit="m", **CORNERS)]), (), Trial(None, [replace(row(value, unit="m"), doubt=None)])
    )
    assert guards._near_in_corners(plan) == (["key"] if drawn else [])


@pytest.mark.parametrize(("before", "value", "limit", "drawn"), [
    (-2.0, 9.0, 1.0, True),  # parts that met are 9 m apart: those that come next, while these may meet elsewhere
    (3.0, 9.0, 1.0, False),
    (2e-3, 0.9e-3, 0.0, True),  # of a limit of zero a millimetre
    (2e-3, 1.1e-3, 0.0, False),
    (None, 0.9e-3, 0.0, True),  # not looked at before
    (None, 1.1e-3, 0.0, False),
])  # fmt: skip
def test_parts_that_met_are_looked_at_anew_and_a_limit_of_zero_has_a_scale(before, value, limit, drawn) -> None:
    base, now = (replace(row(each, unit="m", **CORNERS), limit=limit) for each in (before, value))
    plan = Plan(Trial(None, [base]), (), Trial(None, [replace(now, doubt=None)]))
    assert guards._near_in_corners(plan) == (["key"] if drawn else [])


def test_few_draws_tell_which_limit_may_not_hold() -> None:
    """Of all that hold in the redesign only the one whose limit is set a hair beyond its value."""
    plain = evaluate_finely(read_text(REDESIGN))
    slope = next(each for each in rows_of(plain) if each.key == "slope_at_gears")
    assert unsure(plain, [slope], {"slope_at_gears", "gap"}) == []
    tight = REDESIGN.replace("limits: {", f"limits: {{slope_at_gears: {float(slope.value) * 1001:.6f} mrad, ")
    near = evaluate_finely(read_text(tight))
    assert unsure(near, [replace(slope, limit=near.design.limits.slope_at_gears)], {"slope_at_gears"}) == [slope.key]
