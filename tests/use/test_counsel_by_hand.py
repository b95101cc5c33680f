"""How changes are weighed, by hand: what a limit falls short by, what a change costs, which value is tried."""

from dataclasses import replace
from math import log1p
from types import SimpleNamespace

import numpy as np
import pytest

from balance.machine.carried import Posts
from designs.counsel import advice, mending, searching
from designs.counsel import aimed as aims
from designs.counsel import plan as plans
from designs.counsel import trial as trials
from designs.counsel.dial import Dial, Level, Work
from designs.counsel.effects import brought_nearer, effects
from designs.counsel.free import bodies
from designs.counsel.plan import Looks, Plan, Step, best_places
from designs.counsel.trial import ILLEGAL, Figures, Quick, Trial, held_back, reserve
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
        ({"value": np.inf}, 0.5, 0.0),
        ({"value": np.inf}, np.inf, 1.0),  # it never comes, but for some machines that are drawn
        ({"value": 5.0}, np.inf, 1.0),
        ({"value": 0.5}, np.inf, 1 + log1p(0.5)),
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


def guards(base: Trial, *seen: Row) -> dict[str, float]:
    """Return the guards of a quick look that finds these rows of the design as it stands."""
    of_both = {key: replace(each, value=np.array([each.value, 9.0])) for key, each in of_limits([*seen]).items()
               if each.value is not None}  # fmt: skip
    return Figures(3, [(np.array([1]), {}), (np.array([0, 2]), of_both)], np.zeros(3, bool), frozenset()).guards(base)


def test_a_quick_look_asks_as_much_more_of_what_stands_for_a_limit() -> None:
    """The gap stands for clearance, which is 0.8 less; and for the uneven one, which holds."""
    seen, found = row("gap", 1.5), trial(row("clearance", 0.7), row("gap_uneven", 1.1))
    assert guards(found, seen) == {"gap": pytest.approx(0.8)}
    assert guards(replace(found, guards={"clearance": 0.1, "gap": 0.2}), seen)["gap"] == pytest.approx(0.9)
    assert guards(trial(row("gap", 3.5), row("clearance", 0.7), guards={"gap": 5.0}), seen)["gap"] == 5.0
    assert guards(found) == {}
    assert guards(found, row("gap", None)) == {}


def test_a_quick_look_asks_as_much_more_of_what_fails_without_its_seeing_it() -> None:
    """Vibration takes 0.5 of the gap, which no quick look sees; and of the slope, which it sees fail anyway."""
    found = trial(row("gap", 0.7), row("slope", 0.5), row("fits", 2.0))
    assert guards(found, row("gap", 1.2), row("slope", 0.6), row("fits", 1.0)) == {"gap": pytest.approx(0.5)}
    assert guards(replace(found, guards={"gap": 0.1}), row("gap", 1.2))["gap"] == pytest.approx(0.6)


@pytest.mark.parametrize(("now", "short"), [(None, 0.0), (2.0, 1 + log1p(1e3))])
def test_what_is_not_known_of_a_design_is_not_missed_after_a_change(now: float | None, short: float) -> None:
    """Bearings of no rating, of which one option has another: what was known before and no longer is, is missed."""
    life = replace(figure(value=2.0), key="life", value=np.array([NAN, 3.0]), passed=np.array([False, True]),
                   margin=np.array([NAN, 2.0]))  # fmt: skip
    slope = replace(figure(value=2.0), key="slope_at_bearings")
    found = Figures(2, [(np.arange(2), {"life": life, "slope_at_bearings": slope})], np.zeros(2, bool), frozenset())
    assert found.missed(trial(row("life", now))).missed["life"] == pytest.approx([short, 0.0])


def test_what_vibration_takes_is_held_back_without_it() -> None:
    whole = trial(row("gap", 0.8), row("slope", 0.5), row("new", 0.5), guards={"gap": 0.1})
    still = trial(row("gap", 1.5), row("slope", 0.6), guards={"gap": 0.2, "other": 0.3})
    assert held_back(whole, still) == {"gap": pytest.approx(0.1 + 0.77), "other": 0.3}  # and a tenth more
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


@pytest.mark.parametrize(("old", "new", "told"), [(12.0, 10.7, True), (12.0, 10.9, False), (12.0, 13.3, True),
                                                  (None, 12.0, False), (12.0, None, False)])  # fmt: skip
def test_power_that_a_tenth_is_lost_or_won_of_is_told(old: float | None, new: float | None, told: bool) -> None:
    found = effects(trial(row("power", old)), trial(row("power", new)), "own")
    assert bool(found.power) is told
    if told:
        assert found.power.startswith("power goes from 12.00")
        assert found.words.endswith(found.power)


def test_the_limit_that_is_brought_nearest_is_named() -> None:
    before = trial(row("gap", 0.5), row("slope", 0.5), row("power", 0.5))
    after = trial(row("gap", 0.6), row("slope", 0.8), row("power", 2.0))
    assert brought_nearer(before, after) == "slope"
    assert brought_nearer(before, trial(row("gap", 2.0))) == ""


def test_what_is_brought_nearer_is_told_with_what_is_asked_though_it_holds_in_the_middle() -> None:
    base = trial(row("gap", 0.5))
    before, after = Plan(base, (), base), Plan(base, (), trial(row("gap", 0.7)))
    assert advice.nearer_words(before, after) == "gap goes from 0.50 N to 0.70 N (1.00 N asked)"
    thin = Plan(base, (), trial(row("gap", 1.2), guards={"gap": 0.5}))
    assert advice.nearer_words(before, thin) == (
        "gap goes from 0.50 N to 1.20 N (1.00 N asked, in nearly all that it may be)"
    )
    assert advice.nearer_words(before, Plan(base, (), trial(row("gap", 0.5001)))) == ""


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


MADE_OF_PARTS = [
    ("fitted", Work((("weight", 2),))), ("web", Work((("web", 2), ("pin", 2)))), ("feet", Work(buy=(("foot", 4),))),
    ("placed", Work((("weight", 4),))), ("moved", Work()), ("softer", Work(buy=(("foot", 4),))),
    ("wider", Work((("web", 2),))), ("both", Work((("weight", 2), ("pin", 2)))),
]  # fmt: skip


def test_what_touches_no_other_part_goes_with_the_change_that_makes_it() -> None:
    """Each part is made once: more of the same, too; no work, and parts of two changes, are changes of their own."""
    steps = steps_of(*(Dial(name, "rods", (), "as is", [Level(lambda design: (), name, work)])
                       for name, work in MADE_OF_PARTS))  # fmt: skip
    lines = [[step.dial.name for step in line] for line in plans.in_lines(steps)]
    assert lines == [["fitted", "placed"], ["web", "wider"], ["feet", "softer"], ["moved"], ["both"]]
    assert plans.work_of(steps).size == (8, 4)


def test_a_change_stands_where_the_old_one_of_its_choice_stood_or_after_those_of_its_parts() -> None:
    web, feet = (Dial(name, "rods", (), "as is", [Level(lambda design: (), shown, work) for shown in ("1", "2")])
                 for name, work in (("web", Work((("web", 2),))), ("feet", Work(buy=(("foot", 4),)))))  # fmt: skip
    wider = Step(Dial("wider", "rods", (), "as is"), Level(lambda design: (), "3", Work((("web", 2),))))
    plan = Plan(trial(), (Step(web, web.levels[0]), Step(feet, feet.levels[0])), trial())
    assert [step.level.shown for step in plan.beside(Step(web, web.levels[1]))] == ["2", "1"]
    assert [step.dial.name for step in plan.beside(wider)] == ["web", "wider", "feet"]
    assert searching._beside(plan, wider)
    assert searching._beside(plan, Step(web, web.levels[1]))
    assert not searching._beside(plan, plan.steps[0])
    assert not searching._beside(plan, Step(Dial("free", "rods", (), ""), Level(lambda design: (), "4")))


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
    assert best_places(unlike, 4) == [[2, 1, 3, 0]]  # where more are asked for, the rest of what helps
    five = choice("one", *(level(name, 1) for name in "abcde"))
    alike = looks([1.0, 1.3, 1.2, 1.1, 1.05], steps_of(five), gap=[2.0, 0.0, 0.0, 0.0, 0.0, 0.0])
    assert best_places(alike, 5) == [[0, 4, 1, 2]]  # the nearest of the rest first
    none = looks([4.0, 4.1, ILLEGAL, 4.0], steps_of(dial), gap=[2.0, 1.5, 1.5, 1.5, 1.5])
    assert best_places(none) == []
    only = looks([4.0, 1.0, 4.0, 4.0], steps_of(dial), gap=[2.0, 1.5, 1.5, 1.5, 1.5])
    assert best_places(only) == [[1]]  # others leave all as it is


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

    def missed(design, like):
        asked.append((design, like.guards["critical_speed_margin"]))
        return 0.0 if design >= 4 else 1.5

    monkeypatch.setattr(plans, "critical_missed", missed)
    monkeypatch.setattr(plans, "_changed", lambda plan, step: int(step.level.shown) + 1)
    guarded = trial(guards={"critical_speed_margin": 0.3})
    amounts = plans._critical(Plan(guarded, (), guarded), found.steps, found.seen, 2.0)
    assert [each for each, _ in asked] == [7, 4, 2, 3]
    assert {guard for _, guard in asked} == {0.3}
    np.testing.assert_allclose(amounts, [2.0, 2.0, 1.5, 1.5, 0.0, 0.0, 0.0, 0.0])
    asked.clear()
    monkeypatch.setattr(plans, "critical_missed", lambda design, like: asked.append(design) or 1.5)
    plans._critical(Plan(guarded, (), guarded), found.steps, found.seen, 2.0)
    assert asked == [7]  # the stiffest does not hold, so none does
    asked.clear()
    many = choice("shaft", *(level(str(n)) for n in range(60)), family="shafts")
    found = looks([1.0] * 60, steps_of(many), slopes=[1.0, *(0.9 - 0.01 * n for n in range(60))])
    monkeypatch.setattr(plans, "critical_missed", lambda design, like: asked.append(design) or 1.5 * (design < 40))
    plans._critical(Plan(guarded, (), guarded), found.steps, found.seen, 2.0)
    assert len(asked) == 4


def test_critical_speeds_are_looked_at_where_a_choice_may_become_one_of_the_best() -> None:
    """A limit that is missed by two wins two at the most; of equal ones the best two are 1 and 2 without that."""
    dials = [choice(name, level("a"), family="shafts") for name in "abcd"]
    found = looks([1.0, 2.0, 3.9, 4.1], steps_of(*dials))
    assert plans._hopeful(found, 2.0, 2) == [*found.steps[:3], None]
    assert plans._hopeful(found, 2.0, None) == found.steps
    assert plans._hopeful(found, 2.0, 9) == found.steps
    assert plans._stiffer([None, found.steps[1]], Quick({}, np.ones(3), np.array([1.0, 0.5, 0.5]))) == [[2]]


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


def test_a_look_that_was_begun_elsewhere_holds_where_the_same_limits_are_in_danger(monkeypatch) -> None:
    """Of three values one changes nothing; strength is only looked at where it fails, and anew where it fails since."""
    asked = []

    def found(design, designs, also):
        asked.append((designs, also))
        return Figures(len(designs), [], np.zeros(len(designs), dtype=bool), also)

    dial, base = choice("rod", level("a"), level("as it is"), level("b")), trial(row("gap", 0.5))
    monkeypatch.setattr(plans, "figures", found)
    monkeypatch.setattr(
        plans, "_changed", lambda plan, step: base.design if step.level.shown == "as it is" else step.level.shown
    )
    plan = Plan(base, (), base)
    known = plans.figured(plan, steps_of(dial), base.failing)
    assert known.changing == [0, 2]
    assert asked.pop() == ([base.design, "a", "b"], frozenset())
    looked = plans.look(plan, [dial], known=known)
    assert [step.level.shown for step in looked.steps] == ["a", "b"]
    assert not asked
    weak = trial(row("gap", 0.5), row("yield_safety", 0.5))
    plans.look(Plan(base, (), weak), [dial], known=known)
    assert [also for _, also in asked] == [{"yield_safety"}]


@pytest.mark.parametrize("bad", [set(), {3}, {0, 6}, set(range(7))])
def test_designs_that_cannot_be_worked_out_hide_no_others(monkeypatch, bad: set[int]) -> None:
    monkeypatch.setattr(trials, "picked", lambda options, places: options[places])
    monkeypatch.setattr(trials, "_figures_of", lambda options, also: {} if bad & {*options} else {"of": options})
    found = trials._looked_at(np.arange(10, 17), np.arange(7), ())
    assert np.concatenate([inside for inside, _ in found]).tolist() == [*range(10, 17)]
    assert {int(each) - 10 for inside, figures in found if not figures for each in inside} == bad
    assert all(np.array_equal(figures["of"], inside - 10) for inside, figures in found if figures)


# Changes for what a quick look does not see


def aiming(monkeypatch, missed: dict[str, float], now: float, trials_after=None):
    """Have values miss a limit by so much each; return which were looked at, and the plan as it stands."""
    asked: list[str] = []

    def alone(design, key, like):
        if design is None:
            return now
        asked.append(design)
        return missed[design]

    def after(base, steps, upon=None, still=False, known=None):
        return Plan(base, steps, trials_after[steps[-1].level.shown])

    monkeypatch.setattr(aims, "missed_alone", alone)
    for module in (aims, plans):
        monkeypatch.setattr(module, "planned", after)
    base = trial(row("joint_grip", 0.5), row("gap", 0.9))
    return asked, Plan(base, (), base)


def valued(name: str, *shown: str, make: int = 1) -> Dial:
    work = Work((("part", make),))
    return Dial(
        name, "pins", (), "", [Level(lambda design, each=each: (each,), each, work) for each in shown], ("joint_grip",)
    )


@pytest.fixture
def by_name(monkeypatch):
    """A value makes of a design its own name."""
    monkeypatch.setattr(Level, "of", lambda level, design: level.shown)


def nearest(monkeypatch, missed: dict[str, float], now=2.0, looked=None):
    asked, plan = aiming(monkeypatch, missed, now)
    found = aims._nearest_enough(plan, valued("pin", *missed), "joint_grip", looked, most=2.405)
    return asked, [(each[0], each[2].level.shown) for each in found]


def test_values_are_tried_in_growing_strides_until_the_limit_holds_then_the_nearest_before(
    monkeypatch, by_name
) -> None:
    """The 1st, 2nd, 3rd, 5th and 8th, where it holds; of those passed over from the 3rd on the nearest that holds."""
    missed = {"a": 1.9, "b": 1.8, "c": 1.7, "d": 1.6, "e": 1.5, "f": 0.0, "g": 0.0, "h": 0.0, "i": 0.0}
    asked, found = nearest(monkeypatch, missed)
    assert asked == ["a", "b", "c", "e", "h", "d", "f"]
    assert found == [(0.0, "f")]
    asked, found = nearest(monkeypatch, {"a": 0.0, "b": 0.0})
    assert (asked, found) == (["a"], [(0.0, "a")])


def test_where_none_is_enough_the_best_is_kept_and_the_last_is_tried(monkeypatch, by_name) -> None:
    asked, found = nearest(monkeypatch, {"a": 1.9, "b": 1.8, "c": 1.7, "d": 1.6, "e": 1.55})
    assert asked == ["a", "b", "c", "e"]
    assert found == [(1.55, "e")]
    asked, found = nearest(monkeypatch, {"a": 2.0, "b": 2.5, "c": 2.0})
    assert (asked, found) == (["a", "b", "c"], [])
    # Room between two walls: farther on it is worse again, and what was passed over is tried.
    walled = dict.fromkeys("abcdefghi", 2.5) | {"b": 1.9, "g": 0.0, "i": 3.0}
    asked, found = nearest(monkeypatch, walled)
    assert (asked, found) == (["a", "b", "c", "e", "h", "i", "d", "f", "g"], [(0.0, "g")])
    assert nearest(monkeypatch, {"a": 1.0}, now=0.0) == ([], [])


def test_after_two_values_in_vain_a_choice_is_given_up(monkeypatch, by_name) -> None:
    shown = "abcdefgh"
    steps = steps_of(valued("pin", *shown))
    asked, found = nearest(monkeypatch, dict.fromkeys(shown, 2.0), looked=looks([4.0] * 8, steps))
    assert (asked, found) == (["a", "b"], [])
    hardly = dict.fromkeys(shown, 1.0) | {"a": 2.0 - 4e-7, "b": 2.0 - 8e-7}  # nearer by nothing
    assert nearest(monkeypatch, hardly, looked=looks([4.0] * 8, steps)) == (["a", "b"], [])
    # One that does more harm, as a look sees it, than what is allowed is not tried.
    harm = looks([6.41, 6.40, *[4.0] * 6], steps)
    asked, _ = nearest(monkeypatch, dict.fromkeys(shown, 2.0), looked=harm)
    assert asked == ["b", "c"]


def test_one_value_is_looked_at_once_for_a_limit(monkeypatch, by_name) -> None:
    asked, plan = aiming(monkeypatch, {"a": 1.9, "b": 1.8}, 2.0)
    for _ in range(2):
        found = aims._nearest_enough(plan, valued("pin", "a", "b"), "joint_grip", None, most=2.405)
        assert (asked, [each[0] for each in found]) == (["a", "b"], [1.8])
    assert plan.trial.alone["", "", "joint_grip"] == 2.0
    assert replace(plan.trial, guards={"joint_grip": 0.1}).alone == {}  # with other guards all is missed by more


@pytest.mark.parametrize("looked", [False, True])
def test_however_many_choices_are_meant_for_a_limit_each_is_tried(monkeypatch, by_name, looked: bool) -> None:
    """Of thirty, the one that makes the most work is the only one that helps."""
    monkeypatch.setattr(aims, "shared", lambda work, each: [work(one) for one in each])
    dials = [valued(f"choice {make}", f"{make}", make=make) for make in range(1, 31)]
    missed = {f"{make}": 2.0 if make < 30 else 0.0 for make in range(1, 31)}
    _, plan = aiming(monkeypatch, missed, 2.0, {"30": trial(row("gap", 0.9))})
    seen = looks([4.0] * 30, steps_of(*dials)) if looked else None
    plan = replace(plan, trial=trial(row("joint_grip", 0.5), row("gap", 0.9)))
    monkeypatch.setattr(aims, "STANDS", ("joint_grip",))
    assert [each.dial.name for each in aims.aimed(plan, dials, "joint_grip", seen).steps] == ["choice 30"]


def test_the_change_that_is_worth_the_most_for_a_limit_is_made(monkeypatch, by_name) -> None:
    """What holds by less work goes first; two are tried at once, others no more. It must not cost more elsewhere."""
    monkeypatch.setattr(aims, "shared", lambda work, each: [work(one) for one in each])  # here all is noted
    dear, cheap, other = valued("dear", "d", make=9), valued("cheap", "c", make=2), Dial("other", "pins", (), "", [])
    dearest = valued("dearest", "e", make=20)
    after = {"c": trial(row("gap", 0.9)), "d": trial(), "e": trial()}
    asked, plan = aiming(monkeypatch, {"c": 0.0, "d": 0.0, "e": 0.0}, 2.0, after)
    dials = [dearest, dear, cheap, other]
    seen = looks([4.0, 4.0, 4.0], steps_of(dearest, dear, cheap))
    assert [each.dial.name for each in aims.aimed(plan, dials, "joint_grip", seen).steps] == ["cheap"]
    assert asked == ["c", "d"]
    after["c"] = trial(row("gap", 0.2), row("slope", 0.1))  # the limit holds, and it costs others 0.73: a way round
    assert aims.aimed(plan, [cheap], "joint_grip", seen).steps
    after["c"] = trial(row("gap", 0.2), row("slope", 0.1), row("power", 0.1))  # 2.4 are too many
    assert aims.aimed(plan, [cheap], "joint_grip", seen) is plan
    after["c"] = trial(row("gap", 0.2), row(aims.STANDS[0], 0.1))  # it would not turn
    assert aims.aimed(plan, [cheap], "joint_grip", seen) is plan
    after["c"] = trial(row("joint_grip", 0.4))  # nearer in all, not in the limit itself
    assert aims.aimed(plan, [cheap], "joint_grip", seen) is plan
    after["c"] = trial(row("joint_grip", 0.6), row("gap", 0.9))
    assert aims.aimed(plan, [cheap], "joint_grip", seen).steps
    after["c"] = trial(why_not="it breaks")
    assert aims.aimed(plan, [cheap], "joint_grip", seen) is plan
    assert aims.aimed(plan, [dear, cheap], "gap", seen) is plan  # none is meant for it


def test_where_what_holds_by_itself_breaks_others_the_next_choices_are_tried(monkeypatch, by_name) -> None:
    """All make the same part: a thick web holds and leaves no metal; a tight joint, further down, holds as well."""
    monkeypatch.setattr(aims, "shared", lambda work, each: [work(one) for one in each])  # here all is noted
    dials = [valued(name, name) for name in ("thick", "wide", "tight", "deep")]
    after = {"thick": trial(row("gap", 0.9), row("web_metal", 0.1)), "tight": trial(row("gap", 0.9))}
    asked, plan = aiming(monkeypatch, {"thick": 0.0, "wide": 2.0, "tight": 0.0, "deep": 0.0}, 2.0, after)
    seen = looks([4.0] * 4, steps_of(*dials))
    assert [each.dial.name for each in aims.aimed(plan, dials, "joint_grip", seen).steps] == ["tight"]
    assert asked == ["thick", "wide", "tight", "deep"]
    del after["tight"]  # none but the thick web, then: it is a way round
    assert [each.dial.name for each in aims.aimed(plan, dials[:2], "joint_grip", seen).steps] == ["thick"]


def test_beyond_a_value_that_is_chosen_the_next_ones_are_tried_first(monkeypatch, by_name) -> None:
    """A joint that is 8 mm deep already: 6 and 7 mm in vain would say nothing of 9 mm."""
    shown = ("6", "7", "8", "9")
    dial = valued("depth", *shown)
    asked, plan = aiming(monkeypatch, dict.fromkeys(shown, 3.0) | {"9": 0.0}, 2.0)
    monkeypatch.setattr(aims, "made", lambda base, steps: steps[-1].level.shown)
    chosen = Plan(plan.base, (Step(dial, dial.levels[2]),), plan.trial)
    found = aims._nearest_enough(chosen, dial, "joint_grip", looks([4.0] * 4, steps_of(dial)), most=2.405)
    assert asked == ["9"]
    assert [(missed, step.level.shown) for missed, _, step in found] == [(0.0, "9")]
    assert [each.shown for each in aims._onward(chosen, dial)] == ["9", "6", "7"]


def test_what_is_as_bad_in_two_parts_is_mended_in_both(monkeypatch, by_name) -> None:
    """The worst of two like joints tells nothing of one that is mended: both are, and what is unlike stays."""
    pins = [replace(valued(name, "tight", "tighter"), paths=(f"cranks.{name}.joint.kind",)) for name in ("one", "two")]
    deeper = replace(valued("three", "deep"), paths=("cranks.three.joint.length",))
    monkeypatch.setattr(aims, "made", lambda base, steps: "+".join(step.level.shown for step in steps))
    monkeypatch.setattr(aims, "shared", lambda work, each: [work(one) for one in each])  # here all is noted
    seen = looks([4.0] * 5, steps_of(*pins, deeper))
    alone = dict.fromkeys(("tight", "tighter", "deep"), 2.0)
    asked, plan = aiming(monkeypatch, alone | {"tight+tight": 2.0, "tighter+tighter": 2.0}, 2.0)
    assert aims.aimed(plan, [*pins, deeper], "joint_grip", seen) is plan
    assert asked[-2:] == ["tight+tight", "tighter+tighter"]
    after = {"tighter": trial(row("gap", 0.9)), "tight": trial(row("joint_grip", 0.5), row("gap", 0.9))}
    asked, plan = aiming(monkeypatch, alone | {"tight+tight": 1.9, "tighter+tighter": 0.0}, 2.0, after)
    both = aims.aimed(plan, [*pins, deeper], "joint_grip", seen)
    assert [(step.dial.name, step.level.shown) for step in both.steps] == [("one", "tighter"), ("two", "tighter")]
    otherwise = [replace(each, name=f"{each.name} in another way") for each in pins]
    mixed = [pins[0], otherwise[0], pins[1], otherwise[1], deeper]
    again = aims.aimed(plan, mixed, "joint_grip", looks([4.0] * 9, steps_of(*mixed)))
    assert [step.dial for step in again.steps] in (pins, otherwise)  # two ways to change one part are one change
    after["tighter"] = trial(row("gap", 0.1), row("slope", 0.1), row("power", 0.1))
    around = aims.aimed(plan, [*pins, deeper], "joint_grip", seen)  # it holds, and what it breaks may then be mended
    assert [step.level.shown for step in around.steps] == ["tighter", "tighter"]
    after["tighter"] = trial(*(row(key, 0.1) for key in ("gap", "slope", "power", "torsional_margin")))
    assert aims.aimed(plan, [*pins, deeper], "joint_grip", seen) is plan


def test_for_what_keeps_a_machine_from_turning_other_limits_may_suffer(monkeypatch, by_name) -> None:
    dial = valued("pin", "a")
    key = next(each for each in aims.STANDS if each not in ("joint_grip", "gap"))
    dial = replace(dial, aims=(key,))
    after = {"a": trial(row("gap", 0.1), row("slope", 0.1))}
    _, plan = aiming(monkeypatch, {"a": 0.0}, 2.0, after)
    stuck = trial(row(key, 0.5), row("gap", 0.9))
    plan = Plan(stuck, (), stuck)
    assert aims.clashing(plan) == pytest.approx(1 + log1p(0.5))
    assert aims.aimed(plan, [dial], key, None).steps
    assert aims.clashing(Plan(stuck, (), trial(why_not="it breaks"))) == ILLEGAL
    # One that breaks nothing that held goes before a cheaper one that does.
    whole = replace(valued("whole", "w", make=30), aims=(key,))
    aiming(monkeypatch, {"a": 0.0, "w": 0.0}, 2.0, after | {"w": trial(row("gap", 0.9))})
    assert aims.aimed(plan, [dial, whole], key, None).steps[0].dial is whole
    aiming(monkeypatch, {"a": 0.0}, 2.0, after)
    after["a"] = trial(row(key, 0.51))  # nearer by a hundredth: not worth a part
    assert aims.aimed(plan, [dial], key, None) is plan
    assert aims.unseen(Plan(stuck, (), trial(row("gap_uneven", 0.5), row("joint_grip", 0.5))), ["gap"]) == [
        "joint_grip"
    ]


# Plans beside each other


def test_kinds_of_change_are_told_those_with_the_most_work_first() -> None:
    kinds = (("a", "rods", 2, 0), ("b", "shafts", 2, 4), ("c", "rods", 1, 0), ("d", "feet", 0, 9))
    values = [(choice(name, level(name, make, buy), family=family)) for name, family, make, buy in kinds]
    steps = tuple(Step(each, each.levels[0]) for each in values)
    plan = Plan(trial(), steps, trial())
    assert mending.families(plan) == ("rods", "shafts", "feet")
    assert mending._by_work(plan) == (2, 9, 4)  # the part that several touch is made once
    assert mending._changes(plan) == (("a", "a"), ("b", "b"), ("c", "c"), ("d", "d"))
    dials = [step.dial for step in steps]
    assert [each.level for each in mending._steps_named(dials, (("c", "c"),))] == dials[2].levels


@pytest.mark.parametrize(("deepest", "count"), [(1, 0), (2, 1), (3, 2), (9, 3)])
def test_no_more_changes_are_tried_together_than_are_asked_for(monkeypatch, deepest: int, count: int) -> None:
    steps = steps_of(*(choice(name, level(name)) for name in "abcd"))
    base = Plan(trial(row(value=-9.0)), (), trial(row(value=-9.0)))
    asked = []

    def planned(base, steps, upon=None, still=False, known=None):
        asked.append(len(steps))
        return Plan(base, steps, trial(row(value=-9.0 + 2 * len(steps))))

    for module in (searching, plans):
        monkeypatch.setattr(module, "planned", planned)
    search = searching.Search(base, [step.dial for step in steps], lambda words: None)
    single = [search.planned((step,)) for step in steps]
    asked.clear()
    seen = looks([3.9] * 4, steps, gap=[4.0, *[3.9] * 4])
    several = search._together(replace(seen, plan=base), list(range(4)), single, deepest)
    assert [len(each.steps) for each in several] == sorted(set(asked)) == list(range(2, 2 + count))


def test_what_another_process_tried_takes_the_design_of_this_one(monkeypatch) -> None:
    """So that what is changed from it shares what is the same, as if it had been tried here."""
    monkeypatch.setattr(trials, "checked", lambda design, like: design)
    monkeypatch.setattr(trials, "_judged", lambda *_: pytest.fail("it is known already"))
    there, like = trial(row(), still=True, orders=12), trial(row(), guards={"gap": 0.1})
    found = trials.tried("here", like, True, there)
    assert found.design == "here"
    assert found.rows is there.rows
    assert (found.orders, found.still, found.guards) == (12, True, {"gap": 0.1})


def test_less_is_less_to_make_then_a_nearer_value() -> None:
    dial = choice("one", level("a", 2), level("b", 2, 5), level("c", 1))
    steps = [Step(dial, each) for each in dial.levels]
    assert searching._less(steps[2], steps[0], 0)
    assert not searching._less(steps[0], steps[2], 2)
    assert searching._less(steps[0], steps[1], 1)
    assert not searching._less(steps[1], steps[1], 1)


def test_a_value_is_told_with_its_unit_or_that_there_is_none() -> None:
    assert advice.amount_of(figure(value=12.0)) == "12.00 N"
    assert advice.amount_of(figure(value=None)) == "-"
    assert advice.amount_of(figure(value=np.inf)) == "none"
    assert advice._after(trial(row(value=0.5)), "gap").endswith(", still fails")
    assert advice._after(trial(row(value=2.0)), "gap").endswith(", holds")
    assert advice._after(trial(row(value=2.0, unlooked="more")), "gap").endswith(
        "fails no more, as far as it is looked at"
    )
    assert "not in all of it" in advice._after(trial(row(value=1.2), guards={"gap": 0.5}), "gap")
    assert advice._after(trial(), "gap") == "it is no longer asked for"
    both = trial(row(value=1.2), row("power", value=0.5), guards={"gap": 0.5, "power": 0.5})
    assert (both.failing, both.outright) == (("gap", "power"), ("power",))
    assert advice.still_words(trial(row(value=2.0)), "gap") == ""
    assert advice._fits("cranks.webs.0.width", "cranks.webs.*.width")
    assert not advice._fits("cranks.webs.0.1.width", "cranks.webs.*.width")


def test_what_is_nearer_is_seen_in_the_limits_that_are_wanted() -> None:
    base = trial(row("gap", 0.5), row("slope", 0.5))
    before = Plan(base, (), base)
    nearer = Plan(base, (), trial(row("gap", 0.6), row("slope", 0.1)))
    assert advice._closer(nearer, before, {"gap"})
    assert not advice._closer(nearer, before, {"gap", "slope"})
    assert not advice._closer(before, before, {"gap"})
    assert not advice._closer(Plan(base, (), trial(why_not="it breaks")), before, {"gap"})
    step = Step(choice("one", level("a", 2, 3)), level("a", 2, 3))
    assert before.weight_with(step) == pytest.approx(0.18)


# What is advised upon one limit


def counselled(
    monkeypatch, base: Trial, looked: Looks | dict, after: dict[str, Trial]
) -> tuple[advice.Counsel, list[str]]:
    """Return advice whose looks and verdicts are given by hand, and the plans that got a verdict, in their order."""
    asked: list[str] = []

    def verdict(trial_, steps, upon=None, still=False, known=None):
        name = "+".join(step.level.shown for step in steps)
        asked.append(name)
        return Plan(trial_, steps, after[name])

    def seen(plan, dials, like=None, wanted=None, known=None):
        return looked if isinstance(looked, Looks) else looked["+".join(step.level.shown for step in plan.steps)]

    monkeypatch.setattr(advice, "look", seen)
    for module in (advice, plans):
        monkeypatch.setattr(module, "planned", verdict)
    monkeypatch.setattr(advice, "settled", lambda plan: plan)
    found = advice.Counsel(None, base.rows)
    # What to do first is looked for elsewhere, and looks are given.
    found.__dict__ |= {"dials": [], "_first": ([], []), "_figured": None}
    return found, asked


def test_one_change_is_told_if_it_is_enough_and_does_no_harm_the_least_work_first(monkeypatch) -> None:
    """Cheaper ones that harm, as a look sees it or as a verdict does, and one that cannot be built are no help."""
    names = ("harms", "breaks", "dear", "fine", "unbuilt")
    steps = steps_of(*(choice(name, level(name, make)) for name, make in zip(names, (1, 2, 9, 5, 1), strict=True)))
    found = looks([2.5, 1.0, 1.0, 1.0, ILLEGAL], steps, before=3.0, gap=[2.0, 0, 0, 0, 0, 0],
                  slope=[1.0, 2.5, 1.0, 1.0, 1.0, 1.0])  # fmt: skip
    base = trial(row("gap", 0.5), row("slope", 0.9))
    after = {"breaks": trial(row("slope", 0.9), row("power", 0.1)), "fine": trial(row("slope", 0.9))}
    counsel, asked = counselled(monkeypatch, base, found, after)
    told = counsel.advice("gap")
    assert asked == ["breaks", "fine"]
    assert told.holds
    assert [step.level.shown for step in told.plan.steps] == ["fine"]
    assert told.sentence.startswith("fine () from")
    assert "make 5 parts" in told.sentence


def test_a_change_aimed_at_one_limit_is_drawn_before_it_is_said_to_hold(monkeypatch) -> None:
    """In the middle of what is not known it holds by a hair; drawn, it asks for more to spare than there is."""
    base = trial(row("critical_speed_margin", 0.9))
    middle = Plan(base, (*steps_of(choice("web", level("10 mm"))),), trial(row("critical_speed_margin", 1.01)))
    drawn = replace(middle, trial=replace(middle.trial, guards={"critical_speed_margin": 0.05}))
    counsel, _ = counselled(monkeypatch, base, looks([1.0], [], before=1.0), {})
    monkeypatch.setattr(advice, "aimed", lambda plan, dials, key, looked: middle)
    monkeypatch.setattr(advice, "settled", lambda plan: drawn if plan is middle else plan)
    told = counsel.advice("critical_speed_margin")
    assert not told.holds
    assert "still fails" in told.sentence or "not in all of it" in told.sentence


@pytest.mark.parametrize(("yokes", "carried", "stuck"), [(2.0, 0.9, []), (0.9, 2.0, ["on_yokes"])])
def test_only_what_fails_as_it_stands_is_said_to_stay(monkeypatch, yokes: float, carried: float, stuck) -> None:
    """What a change breaks is told with that change; it is no reason why the machine cannot be put together."""
    (step,) = steps_of(choice("posts", level("posts", 1)))
    base = trial(row("on_yokes", 0.2), row("clearance_carried", 2.0))
    after = {"posts": trial(row("on_yokes", yokes), row("clearance_carried", carried))}
    counsel, _ = counselled(monkeypatch, base, looks([1.0], [step]), after)
    del counsel.__dict__["_first"]
    found = SimpleNamespace(looks={}, guards={}, stuck=["clearance_carried", "on_yokes"], base=counsel.base,
                            first=lambda *said: [(step,)], planned=lambda steps: counsel.base,
                            guard=lambda guards: None)  # fmt: skip
    monkeypatch.setattr(advice, "Search", lambda *said: found)
    assert len(counsel.best) == 1
    assert counsel.stuck == stuck


@pytest.mark.parametrize(("then", "told"), [(1.1, ["one", "two"]), (0.95, ["one"])])
def test_what_vibration_alone_lets_fail_is_gone_on_from(monkeypatch, then: float, told: list[str]) -> None:
    """A search leaves vibration out: it holds the slope at 1.2, which is 0.9 with it; another change is looked for."""
    one, two = steps_of(choice("one", level("one", 1)), choice("two", level("two", 1)))
    base = trial(row("slope", 0.2))
    after = {"one": trial(row("slope", 0.9)), "one+two": trial(row("slope", then))}
    counsel, _ = counselled(monkeypatch, base, looks([1.0], [one]), after)
    del counsel.__dict__["_first"]
    guards: list[dict] = []

    def still(steps: tuple[Step, ...]) -> Plan:
        return Plan(base, steps, trial(row("slope", 1.2 if steps else 0.4)))

    def first(count: int, upon: tuple[Step, ...] = ()) -> list[tuple[Step, ...]]:
        return [(one,), (two,)] if upon else [(one,)]

    found = SimpleNamespace(looks={}, guards={}, stuck=[], base=counsel.base, guard=guards.append,
                            first=first, planned=still)  # fmt: skip
    monkeypatch.setattr(advice, "Search", lambda *said: found)
    monkeypatch.setattr(advice.Counsel, "_ahead", lambda counsel, wanted: None)
    assert [plan.steps[-1].level.shown for plan in counsel.best] == told
    assert guards[-1] == {"slope": pytest.approx(1.1 * 0.3)}


def test_where_no_single_change_is_enough_several_are_made_one_upon_the_other(monkeypatch) -> None:
    """The limit in question weighs three times as much as all others; what brings it no nearer is not tried."""
    one, two, idle = (choice(name, level(name, 1)) for name in ("one", "two", "idle"))
    steps = steps_of(one, two, idle)
    looked = {
        "": looks([3.0, 2.6, 2.0], steps, before=3.5, gap=[2.5, 1.2, 1.6, 2.5], slope=[1.0, 1.8, 1.0, 0.9]),
        "one": looks([3.0, 1.0, 3.0], steps, before=3.0, gap=[1.2, 1.2, 0.0, 1.2], slope=[1.8, 1.8, 1.0, 1.8]),
    }
    base = trial(row("gap", 0.2), row("slope", 0.9))
    after = {"one": trial(row("gap", 0.7), row("slope", 0.8)), "two": trial(row("gap", 0.6), row("slope", 0.9)),
             "one+two": trial(row("slope", 0.9))}  # fmt: skip
    counsel, asked = counselled(monkeypatch, base, looked, after)
    told = counsel.advice("gap")
    assert asked == ["one", "one+two"]
    assert told.holds
    assert told.sentence.startswith("no single change that was tried is enough; one () from")
    # No more searches of its own: what comes nearest of all that was tried.
    again = counsel.advice("slope")
    assert not again.holds
    assert again.sentence.startswith("nothing that was tried")


def test_what_comes_nearest_is_told_where_nothing_is_enough_with_the_least_work_of_several(monkeypatch) -> None:
    base = trial(row("gap", 0.2))
    counsel, _ = counselled(monkeypatch, base, looks([], []), {})
    values = (("far", 1, 0.3), ("near", 4, 0.6), ("lighter", 2, 0.6), ("worse", 1, 0.1))
    tried_ones = {name: Plan(base, tuple(steps_of(choice(name, level(name, make)))), trial(row("gap", value)))
                  for name, make, value in values}  # fmt: skip
    counsel._planned = {each.names: each for each in tried_ones.values()}
    assert counsel._nearest("gap") is tried_ones["lighter"]
    counsel._planned = {tried_ones["worse"].names: tried_ones["worse"]}
    told = counsel._told("gap", counsel._nearest("gap"))
    assert told.sentence == "nothing that was tried, of what can be bought, brings it nearer"
    assert not counsel._told("gap", Plan(base, (), trial(why_not="it breaks"))).holds


def test_a_search_of_its_own_ends_where_nothing_comes_nearer(monkeypatch) -> None:
    steps = steps_of(choice("one", level("one", 1)))
    found = looks([2.0], steps, before=2.5, gap=[2.5, 2.0])
    counsel, asked = counselled(monkeypatch, trial(row("gap", 0.2)), found, {"one": trial(row("gap", 0.1))})
    assert not counsel.advice("gap").plan.steps
    assert asked == ["one"]
    same = looks([2.5], steps, before=2.5, gap=[2.5, 2.5])
    counsel, asked = counselled(monkeypatch, trial(row("gap", 0.2)), same, {})
    assert (counsel.advice("gap").plan.steps, asked) == ((), [])


def test_of_several_for_one_limit_the_least_cost_in_all_goes_first(monkeypatch) -> None:
    """Alike in the limit itself: others count, and then work."""
    one, two, three = (choice(name, level(name, make)) for name, make in (("one", 1), ("two", 1), ("three", 9)))
    steps = steps_of(one, two, three)
    base, after = trial(row("gap", 0.2)), {name: trial(row("gap", 0.1)) for name in ("one", "two", "three")}
    for total, order in (([2.9, 2.2, 2.2], ["two", "three"]), ([2.2, 2.9, 2.2], ["one", "three"])):
        found = looks(total, steps, before=2.5, gap=[2.5, 2.0, 2.0, 2.0])
        counsel, asked = counselled(monkeypatch, base, found, after)
        counsel.advice("gap")
        assert asked == order
    dear = looks([2.2, 2.2], steps_of(three, two), before=2.5, gap=[2.5, 2.0, 2.0])
    counsel, asked = counselled(monkeypatch, base, dear, after)
    counsel.advice("gap")
    assert asked == ["two", "three"]


def test_a_plan_goes_on_from_the_one_without_its_last_change(monkeypatch) -> None:
    monkeypatch.setattr(Level, "of", lambda level, design: f"{design}+{level.shown}")
    monkeypatch.setattr(
        plans, "tried", lambda design, like=None, still=False, known=None: Trial(design, [], still=still)
    )
    base = trial()
    one, two = steps_of(choice("one", level("a")), choice("two", level("b")))
    upon = Plan(base, (one,), Trial("as it was tried", []))
    assert plans.planned(base, (one, two), upon).trial.design == "as it was tried+b"
    assert plans.planned(base, (one, two), Plan(base, (), base)).trial.design == "None+a+b"
    assert plans.planned(base, (one, two), still=True).trial.still


def test_what_cannot_be_built_without_the_next_line_is_told_with_it() -> None:
    """A thinner web that its pin does not reach, and then a longer pin."""
    lines = [
        (step,) for step in steps_of(choice("rods", level("a")), choice("web", level("b")), choice("pin", level("c")))
    ]
    base = trial(row(value=0.2))
    verdicts = [trial(row(value=0.5)), Trial(None, [], "no pin in the web"), trial(row(value=0.8))]
    counsel = SimpleNamespace(
        base=Plan(base, (), base),
        _ahead=lambda wanted: None,
        planned=lambda steps, upon, guards: Plan(base, steps, verdicts[len(steps) - 1]),
    )
    plans_told = advice.Counsel._followed(counsel, SimpleNamespace(guards={}), lines)
    assert [[step.dial.name for step in each.steps] for each in plans_told] == [[], ["rods"], ["rods", "web", "pin"]]


@pytest.mark.parametrize(
    ("seen", "drawn", "left"),
    [((2.0,), (0.5,), ("gap",)), ((2.0,), (2.0,), ()), ((0.5,), (2.0,), ("gap",))],
)
def test_that_nothing_is_left_is_said_of_the_design_as_it_is_drawn(monkeypatch, seen, drawn, left) -> None:
    """What fails as it stands is left; else what the machines that are drawn do not keep."""
    base, (one,) = trial(row(value=0.2)), steps_of(choice("rods", level("a")))

    def told(values) -> Plan:
        return Plan(base, (one,), trial(*(row(value=each) for each in values)))

    monkeypatch.setattr(advice, "drawn", lambda plan: told(drawn))
    monkeypatch.setattr(advice.Counsel, "best", [told(seen)])
    assert object.__new__(advice.Counsel).left == left


# Free choices


def test_a_yoke_reaches_as_far_as_its_posts_where_it_ends_before_them() -> None:
    """Posts of 4 mm at -10 mm reach from -12 to -8 mm; in half millimetres from there on, on the side that is short."""
    posts = Posts(diameter=4e-3, x=10e-3, z=-10e-3)

    def ends(low: float, high: float) -> list[tuple]:
        yoke = SimpleNamespace(outline=SimpleNamespace(z=(low, high)))
        return [(dial.name.split()[4], [edit.value for level in dial.levels for edit in level.edits(None)])
                for dial in bodies._wider("piston", yoke, posts)]  # fmt: skip

    assert ends(-19e-3, -8e-3) == []
    ((word, found),) = ends(-19e-3, -9e-3)
    assert (word, found[0], found[1], len(found)) == ("inward", (-19e-3, -8e-3), (-19e-3, -7.5e-3), 5)
    ((word, found),) = ends(-11.7e-3, -8e-3)
    assert (word, [each[0] for each in found]) == ("outward", pytest.approx([-12.2e-3 - n * 5e-4 for n in range(5)]))
