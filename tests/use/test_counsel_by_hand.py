"""How changes are weighed, by hand: what a limit falls short by, what a change costs, which value is tried."""

from dataclasses import replace
from math import log1p

import numpy as np
import pytest

from designs.counsel import plan as plans
from designs.counsel import trial as trials
from designs.counsel.dial import Dial, Level, Work
from designs.counsel.effects import brought_nearer, effects
from designs.counsel.plan import Looks, Plan, Step, best_places
from designs.counsel.trial import ILLEGAL, Quick, Trial, held_back, reserve
from designs.verdict.figure import Figure, of_limits
from designs.verdict.row import Doubt, Row

NAN = np.nan


def row(key="gap", value: float | None = 2.0, limit: float | None = 1.0, sense="at least", unit="N", **more) -> Row:
    return Row(key, key, value, limit, unit, sense, **more)


def trial(*rows: Row, **more) -> Trial:
    return Trial(None, list(rows), **more)  # no design is asked for


def figure(**said) -> Figure:
    return of_limits([row(**said)])["gap"]


# What a limit falls short by


@pytest.mark.parametrize(
    ("said", "guard", "short"),
    [
        ({"value": 0.5}, 0.0, 1 + log1p(0.5)),
        ({"value": 3.0, "limit": 2.0, "sense": "at most"}, 0.0, 1 + log1p(0.5)),
        ({"value": -3.0, "limit": -2.0}, 0.0, 1 + log1p(0.5)),
        ({"value": 2.0}, 0.0, 0.0),
        ({"value": 1.0}, 0.0, 0.0),
        ({"value": 1.25}, 0.5, 1 + log1p(0.25)),  # half a newton to spare is asked for
        ({"value": 1.75}, 0.5, 0.0),
        ({"value": 1.5}, 0.5, 0.0),
        ({"value": 0.75}, 0.5, 1 + log1p(0.75)),
        ({"value": -3e-4, "limit": 0.0, "unit": "m"}, 0.0, 1 + log1p(0.3)),  # of nothing: a millimetre
        ({"value": -3e-5, "limit": 0.0, "unit": "kg m"}, 0.0, 1 + log1p(0.3)),
        ({"value": -3.0, "limit": 0.0, "unit": "W"}, 0.0, 1 + log1p(3.0)),
        ({"value": -3.0, "limit": 0.0}, 0.0, 1 + log1p(3.0)),
        ({"value": NAN}, 0.0, 1 + log1p(1e3)),
        ({"value": -1e9}, 0.0, 1 + log1p(1e3)),
        ({"value": None}, 0.0, 0.0),
    ],
)
def test_a_limit_falls_short_by_one_and_the_logarithm_of_its_share(said: dict, guard: float, short: float) -> None:
    assert float(trials._shortfalls(figure(**said), guard)) == pytest.approx(short)
    assert trials.short(figure(**said), guard) == pytest.approx(short or 1.0)  # asked of what fails alone


def test_what_is_to_spare_is_counted_to_the_safe_side() -> None:
    assert reserve(figure(value=2.5)) == 1.5
    assert reserve(figure(value=2.5, sense="at most")) == -1.5
    assert np.isnan(reserve(figure(value=None)))


def test_a_limit_that_holds_by_too_little_counts_as_failing() -> None:
    found = trial(row("gap", 1.2), row("fatigue_safety", 3.0), row("slope", 0.5), row("left out", None),
                  guards={"gap": 0.5, "fatigue_safety": 0.5, "slope": 0.5, "gone": 1.0})  # fmt: skip
    assert found.thin == ("gap",)
    assert found.failing == ("gap", "slope")
    assert found.unchecked == ("left out",)
    assert found.shortfall == pytest.approx(1 + log1p(0.3) + 1 + log1p(1.0))
    assert not found.passes
    assert trial(row()).passes
    assert not trial(why_not="it breaks").passes
    assert trial(why_not="it breaks").shortfall == ILLEGAL


def test_what_depends_fails_and_what_nobody_asked_for_is_not_missed() -> None:
    doubt = Doubt(100, 0.5, 0.4, 0.6, 0.95, (0.0, 3.0), None)
    found = trial(row("gap", 2.0, doubt=doubt), row("other", None, asked=False))
    assert found.failing == ("gap",)
    assert found.short("gap") == 1.0
    assert found.unchecked == ()


def test_the_worst_row_of_a_limit_is_the_one_of_least_margin() -> None:
    rows = [row(value=3.0), row(value=1.5), row(value=None), row(value=2.0)]
    assert trial(*rows).row("gap") is rows[1]
    assert trial(rows[2]).row("gap") is rows[2]
    assert trial(*rows).row("other") is None


def test_a_quick_look_asks_as_much_more_of_what_stands_for_a_limit() -> None:
    """The gap stands for clearance, which is 0.8 less; and for the uneven one, which holds."""
    found = trial(row("gap", 1.5), row("clearance", 0.7), row("gap_uneven", 1.1))
    assert found.looked_guards == {"gap": pytest.approx(0.8)}
    guarded = trial(row("gap", 1.5), row("clearance", 0.7), guards={"clearance": 0.1, "gap": 0.2})
    assert guarded.looked_guards["gap"] == pytest.approx(0.9)
    more = trial(row("gap", 3.5), row("clearance", 0.7), guards={"gap": 5.0})
    assert more.looked_guards["gap"] == pytest.approx(5.0)
    assert trial(row("clearance", 0.7)).looked_guards == {}
    assert trial(row("gap", None), row("clearance", 0.7)).looked_guards == {}


def test_what_vibration_takes_is_held_back_without_it() -> None:
    whole = trial(row("gap", 0.8), row("slope", 0.5), row("new", 0.5), guards={"gap": 0.1})
    still = trial(row("gap", 1.5), row("slope", 0.6), guards={"gap": 0.2, "other": 0.3})
    assert held_back(whole, still) == {"gap": pytest.approx(0.8), "other": 0.3}
    assert held_back(whole, replace(still, guards={"gap": 2.0}))["gap"] == 2.0
    assert "gap" not in held_back(whole, trial(row("gap", None)))


# What a change does to others


def test_what_a_change_mends_and_breaks_and_what_is_left_open() -> None:
    before = trial(row("own", 0.5), row("gap", 0.5), row("slope", 0.5), row("power", 2.0), row("static_safety", 2.0))
    after = trial(row("own", 2.0), row("gap", 2.0), row("slope", 2.0, unlooked="more"), row("power", 0.5),
                  row("static_safety", 2.0))  # fmt: skip
    found = effects(before, after, "own")
    assert (found.fixed, found.open, found.broken) == (("gap",), ("slope",), ("power",))
    assert found.words.startswith("then holds: ")
    assert "; but then fails: " in found.words
    assert effects(after, after, "own").words == ""
    # With what it costs of what still holds, at the end.
    less = trial(row("own", 2.0), row("gap", 2.0), row("slope", 2.0), row("power", 2.0), row("static_safety", 1.5))
    assert effects(before, less, "own").words.rpartition("; ")[2].startswith("costs 0.5")


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (2.0, 1.7, True),  # of what there was to spare 0.3 of the limit are gone
        (2.0, 1.91, False),  # not felt
        (2.0, 1.89, True),
        (9.0, 3.1, False),  # 2.1 of the limit left: ample
        (9.0, 2.9, True),
        (1.5, 2.0, False),
        (np.inf, 2.0, False),
    ],
)
def test_a_cost_is_told_where_it_is_felt(old: float, new: float, told: bool) -> None:
    found = effects(trial(row(value=old)), trial(row(value=new)), "own").cost
    assert bool(found) is told
    assert not effects(trial(row(value=old)), trial(row(value=new)), "gap").cost  # it is the limit in question


def test_of_several_costs_the_largest_is_told_and_none_of_what_failed() -> None:
    before = trial(row("gap", 2.0), row("power", 2.0), row("slope", 0.9), row("left out", None))
    after = trial(row("gap", 1.7), row("power", 1.4), row("slope", 0.2), row("left out", 1.0), row("new", 1.0))
    assert effects(before, after, "own").cost == effects(trial(row("power", 2.0)), trial(row("power", 1.4)), "own").cost


def test_the_limit_that_is_brought_nearest_is_named() -> None:
    before = trial(row("gap", 0.5), row("slope", 0.5), row("power", 0.5))
    after = trial(row("gap", 0.6), row("slope", 0.8), row("power", 2.0))
    assert brought_nearer(before, after) == "slope"
    assert brought_nearer(before, trial(row("gap", 2.0))) == ""


# What a plan costs


def level(shown="", make: int = 0, buy: int = 0) -> Level:
    work = Work((("part", make),) * bool(make), (("part", buy),) * bool(buy))
    return Level(lambda design: (), shown, work)


def choice(name: str, *levels: Level, family="rods") -> Dial:
    return Dial(name, family, (), "", list(levels))


def test_a_plan_costs_its_work_what_is_missed_what_is_no_longer_seen_and_what_is_let_pass() -> None:
    base = trial(row("gap", 0.5), row("power", None), row("slope", 2.0))
    step = Step(dial := choice("one", level("a", 2, 3)), dial.levels[0])
    other = Step(choice("other", level("b", 1)), level("b", 0, 1))
    plan = Plan(base, (step, other), trial(row("gap", 0.5), row("power", None), row("slope", 2.0)))
    assert plan.weight == pytest.approx(0.06 * 2 + 0.02 * 3)  # a part that two changes touch is made once
    assert plan.cost == pytest.approx(plan.weight + 1 + log1p(0.5))
    unseen = replace(plan, trial=trial(row("gap", None), row("power", None), row("slope", None)))
    assert unseen.cost == pytest.approx(plan.weight + 0.5)  # what failed, or was not seen, was no pass before
    assert plan.names == frozenset({("one", "a"), ("other", "b")})
    again = Step(dial, level("c"))
    assert [each.level.shown for each in plan.with_step(again)] == ["b", "c"]


@pytest.mark.parametrize(("value", "let"), [(3.0, True), (2.999, False), (3.1, True), (1.0, False)])
def test_a_machine_that_shakes_as_before_and_may_is_let_pass(value: float, let: bool) -> None:
    base = trial(row("shaking_force", 3.0, 2.0, "at most"))
    plan = Plan(base, (), trial(row("shaking_force", value, 5.0, "at most")))
    assert bool(plan.let_pass) is let
    assert plan.cost == (1.0 if let else 0.0)
    assert not Plan(trial(row("shaking_force", 3.0, 9.0, "at most")), (), plan.trial).let_pass
    failing = Plan(base, (), trial(row("shaking_force", 6.0, 5.0, "at most")))
    assert not failing.let_pass


# Which value of a choice is tried


def looks(total: list[float], steps: list[Step], before=4.0, slopes=None, **missed: list[float]) -> Looks:
    """A look at steps after which so much is missed in all; before them first."""
    every = np.array([before, *total])
    amounts = {key: np.array(each) for key, each in missed.items()} or {"gap": every}
    found = Quick(amounts, every, np.array(slopes or [1.0] * len(every)))
    base = trial()
    return Looks(Plan(base, (), base), steps, found)


def steps_of(*dials: Dial) -> list[Step]:
    return [Step(dial, each) for dial in dials for each in dial.levels]


def test_choices_that_help_are_those_that_bring_all_or_one_limit_nearer() -> None:
    """A fifth of a shortfall of one limit is worth another look, though all together get worse."""
    dials = [choice(name, level("a")) for name in ("less", "one", "hardly", "none", "breaks", "same")]
    found = looks([3.9, 5.0, 5.0, 4.0, ILLEGAL, 4.0], steps_of(*dials), gap=[2.0, 2.0, 1.79, 1.81, 2.0, 2.0, 2.0],
                  slope=[2.0, 1.9, 3.2, 3.2, 2.0, 2.0, 2.0])  # fmt: skip
    assert [each.name for each in found.helpful] == ["less", "one"]
    assert (found.before, found.failing_before) == (4.0, 2)
    np.testing.assert_array_equal(found.missed("slope"), [1.9, 3.2, 3.2, 2.0, 2.0, 2.0])
    np.testing.assert_array_equal(found.missed("gap_uneven"), found.missed("gap"))  # which stands for it
    np.testing.assert_array_equal(found.missed("unknown"), np.zeros(6))


def test_what_cannot_be_built_fails_more_limits_than_there_are() -> None:
    found = looks([1.0, ILLEGAL, 0.0], steps_of(choice("one", level("a"), level("b"), level("c"))),
                  gap=[2.0, 1.0, 0.0, 0.0], slope=[2.0, 0.0, 0.0, 0.0])  # fmt: skip
    np.testing.assert_array_equal(found.failing, [1, 4, 0])


def test_the_best_value_of_a_choice_lets_the_most_limits_hold_or_costs_least() -> None:
    """The nearest value of several; costs within a twentieth are the same."""
    dial = choice("one", level("a", 1), level("b", 1), level("c", 1), level("d", 1))
    fewer = looks([3.0, 2.0, 1.0, 1.5], steps_of(dial), gap=[2.0, 1.5, 1.5, 1.5, 1.5], slope=[2.0, 1.5, 0, 0, 0])
    assert best_places(fewer) == [[1, 0, 2]]  # and the best nearer one, and the best farther one
    equal = looks([3.0, 1.54, 1.5, 1.9], steps_of(dial), gap=[2.0, 1.5, 1.5, 1.5, 1.5])
    assert best_places(equal)[0][0] == 1
    unlike = looks([3.0, 1.56, 1.5, 1.9], steps_of(dial), gap=[2.0, 1.5, 1.5, 1.5, 1.5])
    assert best_places(unlike) == [[2, 1, 3]]
    none = looks([4.0, 4.1, ILLEGAL, 4.0], steps_of(dial), gap=[2.0, 1.5, 1.5, 1.5, 1.5])
    assert best_places(none) == []


def test_the_least_cost_comes_first_then_what_lets_most_limits_hold() -> None:
    cheap, sure, dear = (choice(name, level("a", count)) for name, count in (("cheap", 1), ("sure", 20), ("dear", 30)))
    found = looks([2.0, 1.5, 1.9], steps_of(dear, sure, cheap), gap=[2.0, 1.5, 0.0, 1.5], slope=[2.0, 1.5, 1.5, 1.5])
    assert best_places(found) == [[2], [1], [0]]


def test_of_each_choice_the_stiffer_values_are_looked_at_the_stiffest_first() -> None:
    """By 2 percent at least; weights, wheels, rods and feet change loads, and tell no stiffness."""
    shaft = choice("shaft", level("a"), level("b"), level("c"), family="shafts")
    web = choice("web", level("a"), level("b"), family="webs")
    rod = choice("rod", level("a"))
    found = looks([1.0, 1.0, 1.0, 1.0, ILLEGAL, 1.0], steps_of(shaft, web, rod),
                  slopes=[1.0, 0.9, 0.97, 0.985, 0.7, 0.1, 0.1])  # fmt: skip
    assert plans._stiffer(found.steps, found.seen) == [[4], [1, 2]]


def test_critical_speeds_are_looked_at_where_halving_finds_the_softest_that_hold(monkeypatch) -> None:
    """Of seven values the four stiffest hold: four looks tell which, and others count as they stand."""
    dial = choice("shaft", *(level(str(n)) for n in range(7)), family="shafts")
    found = looks([1.0] * 7, steps_of(dial), slopes=[1.0, *(0.9 - 0.1 * n for n in range(7))])
    asked = []

    def missed(design, guard):
        asked.append((design, guard))
        return 0.0 if design >= 4 else 1.5

    monkeypatch.setattr(plans, "critical_missed", missed)
    guarded = trial(guards={"critical_speed_margin": 0.3})
    amounts = plans._critical(Plan(guarded, (), guarded), found.steps, list(range(8)), found.seen, 2.0)
    assert [each for each, _ in asked] == [7, 4, 2, 3]
    assert {guard for _, guard in asked} == {0.3}
    np.testing.assert_allclose(amounts, [2.0, 2.0, 1.5, 1.5, 0.0, 0.0, 0.0, 0.0])
    asked.clear()
    monkeypatch.setattr(plans, "critical_missed", lambda design, guard: asked.append(design) or 1.5)
    plans._critical(Plan(guarded, (), guarded), found.steps, list(range(8)), found.seen, 2.0)
    assert asked == [7]  # the stiffest does not hold, so none does


def test_critical_speeds_are_taken_over_from_an_earlier_look() -> None:
    dial = choice("shaft", level("a"), level("b"), level("c"))
    first = looks([1.0, 1.0, 1.0], steps_of(dial), critical_speed_margin=[2.0, 0.0, 2.0, 1.5])
    found = plans._as_before(steps_of(choice("shaft", level("c"), level("b"), level("a"), level("new"))), first, 1.2)
    np.testing.assert_allclose(found, [1.2, 1.5, 1.2, 0.0, 1.2])


def test_a_limit_more_counts_with_the_rest() -> None:
    first = Quick({"gap": np.array([1.0, 0.0])}, np.array([1.0, 0.0]), np.ones(2))
    found = first.with_missed("slope", np.array([2.0, 3.0]))
    np.testing.assert_array_equal(found.total, [3.0, 3.0])
    np.testing.assert_array_equal(found.of("slope"), [2.0, 3.0])
