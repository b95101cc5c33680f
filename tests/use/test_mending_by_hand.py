"""The search for changes that make every limit hold, by hand: machines are sums of what their changes do to limits."""

import os
import signal
import sys
from concurrent.futures import BrokenExecutor
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from designs.command.mend import _never_checked
from designs.counsel import guards, limits, mending, searching
from designs.counsel import plan as plans
from designs.counsel.dial import Dial, Level, Work
from designs.counsel.mending import Mended
from designs.counsel.plan import Looks, Plan, Step
from designs.counsel.searching import Search
from designs.counsel.trial import ILLEGAL, Quick, Trial, short
from designs.verdict.figure import of_limits
from designs.verdict.row import Doubt, Row


class World:
    """Limits of at least 1, and changes that add to what is there.

    stands : the values of the design as it stands.   does : of each change (choice, value), what it adds to limits;
    "broken" means that it cannot be built.   blind : limits that a quick look does not see.
    """

    def __init__(self, stands: dict[str, float], does: dict[tuple[str, str], dict], blind: tuple[str, ...] = ()):
        self.stands, self.does, self.blind = stands, does, blind
        self.looked: list[frozenset] = []

    def dial(self, name: str, make: int = 1, aims: tuple[str, ...] = (), family: str = "", **work: int) -> Dial:
        values = [shown for choice, shown in self.does if choice == name]
        levels = [Level(None, shown, Work(((name, work.get(shown, make)),))) for shown in values]
        return Dial(name, family or name, (), "as it is", levels, aims)

    def values(self, steps: tuple[Step, ...]) -> dict[str, float]:
        found = dict(self.stands)
        for step in steps:
            for key, more in self.does[step.dial.name, step.level.shown].items():
                found[key] = found.get(key, 0.0) + more
        return found

    def trial(self, steps: tuple[Step, ...], base: Trial | None = None, still: bool = False) -> Trial:
        values, guards = self.values(steps), {} if base is None else base.guards
        why = "it breaks" if values.pop("broken", 0.0) else ""
        rows = [] if why else [Row(key, key, value, 1.0, "N", "at least") for key, value in values.items()]
        return Trial(steps, rows, why, guards, still)  # its changes stand for a design

    def planned(self, base: Trial, steps: tuple[Step, ...], upon=None, still: bool = False, known=None) -> Plan:
        return Plan(base, steps, self.trial(steps, base, still) if known is None else known)

    def made(self, base: Trial, steps) -> tuple[Step, ...]:
        return tuple(steps)

    def missed(self, trial: Trial) -> dict[str, float]:
        return {key: short(trial.figures[key]) if key in trial.failing else 0.0 for key in trial.figures}

    def quick(self, trial: Trial, designs, danger=frozenset()) -> Quick:
        trials = [self.trial(each, trial) for each in designs]
        keys = [key for key in self.stands if key not in self.blind]
        amounts = {key: np.array([0.0 if each.why_not else self.missed(each)[key] for each in trials]) for key in keys}
        total = sum(amounts.values()) + np.array([ILLEGAL if each.why_not else 0.0 for each in trials])
        return Quick(amounts, total, np.ones(len(designs)))

    def look(self, plan: Plan, dials, danger=frozenset(), like=None, only=lambda step: True, wanted=None) -> Looks:
        self.looked.append(plan.names)
        self.wanted = wanted
        steps = [step for dial in dials for level in dial.levels if only(step := Step(dial, level))]
        return Looks(plan, steps, self.quick(plan.trial, [plan.steps, *(plan.with_step(each) for each in steps)]))

    def missed_with(self, plan: Plan, step: Step, key: str) -> float:
        return self.missed(self.trial(plan.with_step(step), plan.trial))[key]

    def aimed(self, plan: Plan, dials, key: str, looks) -> Plan:
        """Make the first change that is meant for a limit and brings it nearer; for what a look is blind to."""
        for dial in dials:
            if key in dial.aims and all(step.dial is not dial for step in plan.steps):
                one = self.planned(plan.base, (*plan.steps, Step(dial, dial.levels[0])))
                if self.missed(one.trial)[key] < self.missed(plan.trial)[key]:
                    return one
        return plan

    def search(self, monkeypatch, *dials: Dial, aimed=lambda plan, dials, key, looks: plan, **more) -> Search:
        for name in ("planned", "made", "quick", "look"):
            monkeypatch.setattr(searching, name, getattr(self, name))
        monkeypatch.setattr(plans, "planned", self.planned)
        monkeypatch.setattr(searching, "settled", lambda plan: plan)
        monkeypatch.setattr(searching, "missed_with", self.missed_with)
        monkeypatch.setattr(searching, "aimed", aimed)
        base = self.trial(())
        self.told: list[str] = []
        return Search(Plan(base, (), base), dials, self.told.append, **more)


def lines(first: list[tuple[Step, ...]]) -> list[list[str]]:
    return [[step.level.shown for step in line] for line in first]


def shown(plan: Plan) -> list[str]:
    return [step.level.shown for step in plan.steps]


BOTH = World({"gap": 0.5, "slope": 0.5}, {("rod", "longer"): {"gap": 1.0}, ("shaft", "thicker"): {"slope": 1.0}})


# What it goes on from


def test_changes_that_help_are_made_together_and_no_other(monkeypatch) -> None:
    world = World(BOTH.stands, {**BOTH.does, ("foot", "softer"): {"gap": 0.001}, ("case", "heavier"): {"gap": -0.3}})
    search = world.search(monkeypatch, *map(world.dial, ("rod", "shaft", "foot", "case")))
    found = search.onward()
    assert found.trial.passes
    assert sorted(shown(found)) == ["longer", "thicker"]
    assert len(world.looked) == 1  # one look was enough for both


def test_of_plans_that_pass_the_one_of_least_cost_is_taken(monkeypatch) -> None:
    does = {("rod", "longer"): {"gap": 1.0}, ("yoke", "lighter"): {"gap": 1.0}}
    world = World({"gap": 0.5}, does)
    found = world.search(monkeypatch, world.dial("rod", 3), world.dial("yoke", 2)).onward()
    assert shown(found) == ["lighter"]


def test_a_change_that_breaks_another_limit_by_a_little_is_gone_on_from(monkeypatch) -> None:
    """It lets one hold and costs no more than one in others; what it breaks, no look sees; the next mends it."""
    for more, passes in ((-0.6, True), (-4.0, False)):
        does = {("rod", "longer"): {"gap": 1.0, "grip": more}, ("shaft", "thicker"): {"grip": 4.0}}
        world = World({"gap": 0.99, "grip": 1.5}, does, blind=("grip",))
        dials = world.dial("rod"), world.dial("shaft", aims=("grip",))
        found = world.search(monkeypatch, *dials, aimed=world.aimed).onward()
        assert (found.trial.passes, shown(found)) == (passes, ["longer", "thicker"] if passes else [])


def test_where_nothing_is_nearer_what_breaks_another_limit_more_is_gone_on_from(monkeypatch) -> None:
    """A look sees that the rod costs more grip than it wins of the gap; the shaft then wins that back."""
    for more, passes in ((-0.6, True), (-4.0, False)):
        does = {("rod", "longer"): {"gap": 1.0, "grip": more}, ("shaft", "thicker"): {"grip": 4.0}}
        world = World({"gap": 0.9, "grip": 1.2}, does)
        search = world.search(monkeypatch, world.dial("rod"), world.dial("shaft"))
        found = search.onward()
        assert (found.trial.passes, shown(found)) == (passes, ["longer", "thicker"] if passes else [])
        assert not passes or lines(search.first(2)) == [["longer"], ["thicker"]]


def test_what_wins_less_than_a_hair_is_no_change_to_make(monkeypatch) -> None:
    """A hundredth of a shortfall; it is no detour either, as it lets nothing hold."""
    hair = World({"gap": 0.5}, {("rod", "longer"): {"gap": 0.012}})
    search = hair.search(monkeypatch, hair.dial("rod"))
    assert (search.onward().steps, search.nearest.steps) == ((), ())
    more = World({"gap": 0.5}, {("rod", "longer"): {"gap": 0.03}})
    assert shown(more.search(monkeypatch, more.dial("rod")).onward()) == ["longer"]


def many(count: int, each: float) -> World:
    return World({"gap": 1 - count * each + 1e-9}, {(f"part {n}", "lighter"): {"gap": each} for n in range(count)})


def test_what_cannot_beat_the_best_nor_add_to_it_is_not_tried(monkeypatch) -> None:
    """Two are tried at once. The third does what the first does; the fourth helps another limit, upon the first."""
    does = {("rod", "longer"): {"gap": 0.5}, ("yoke", "lighter"): {"gap": 0.45}, ("web", "wider"): {"gap": 0.4},
            ("shaft", "thicker"): {"slope": 0.3}}  # fmt: skip
    world = World({"gap": 0.6, "slope": 0.7}, does)
    search = world.search(monkeypatch, *map(world.dial, ("rod", "yoke", "web", "shaft")))
    found = search.further(search.planned(()), 3)
    assert [shown(each) for each in found] == [["longer"], ["lighter"], ["longer", "thicker"]]
    assert found[-1].trial.passes
    assert world.wanted == searching.LOOKS
    # A search to the end may go on from others, too, and looks at every critical speed.
    search.looks.clear()
    assert [shown(each) for each in search.further(search.planned(()))][2:4] == [["wider"], ["thicker"]]
    assert world.wanted is None


def test_of_a_choice_that_goes_on_the_value_that_did_best_does(monkeypatch) -> None:
    """The first value of the wheel breaks what no look sees, and so does that of the foot, which has no other."""
    does = {("rod", "longer"): {"gap": 0.7}, ("wheel", "big"): {"speed": 0.5, "grip": -0.9},
            ("foot", "soft"): {"lift": 0.5, "grip": -0.9}, ("wheel", "bigger"): {"speed": 0.4}}  # fmt: skip
    world = World({"gap": 0.3, "speed": 0.7, "lift": 0.7, "grip": 1.0}, does, blind=("grip",))
    search = world.search(monkeypatch, *map(world.dial, ("rod", "wheel", "foot")))
    found = [shown(each) for each in search.further(search.planned(())) if len(each.steps) > 1]
    assert found == [["longer", "bigger"]]


def test_a_change_goes_in_the_place_of_an_earlier_one_of_its_choice(monkeypatch) -> None:
    """Also where it is tried with another one, before that one is known."""
    does = {("foot", "soft"): {"lift": 0.1}, ("rod", "longer"): {"gap": 0.7}, ("web", "wider"): {"slope": 0.5},
            ("foot", "softer"): {"lift": 0.4}}  # fmt: skip
    world = World({"gap": 0.3, "slope": 0.6, "lift": 0.7}, does)
    dials = {name: world.dial(name) for name in ("rod", "web", "foot")}
    search = world.search(monkeypatch, *dials.values())
    soft = search.planned((Step(dials["foot"], dials["foot"].levels[0]),))
    last = search.further(soft, 4)[-1]
    assert sorted(shown(last)) == ["longer", "softer", "wider"]
    assert last.trial.passes


def test_as_long_as_a_choice_looks_better_than_what_was_tried_it_is_tried(monkeypatch) -> None:
    """What the first two and the fourth do unseen harm by, no look sees."""
    does = {(f"rod {n}", "longer"): {"gap": 0.5 - 0.01 * n, "grip": -0.9 * (n in (0, 1, 3))} for n in range(5)}
    world = World({"gap": 0.3, "grip": 1.0}, does, blind=("grip",))
    search = world.search(monkeypatch, *(world.dial(f"rod {n}") for n in range(5)))
    alone = [each.steps[0].dial.name for each in search.further(search.planned(()), 3) if len(each.steps) == 1]
    assert alone == ["rod 0", "rod 1", "rod 2", "rod 3"]


def test_there_is_an_end_to_how_many_changes_are_made(monkeypatch) -> None:
    monkeypatch.setattr(searching, "DEEPEST", 3)
    world = many(5, 0.1)
    found = world.search(monkeypatch, *(world.dial(f"part {n}") for n in range(5)), most=40).onward()
    assert not found.trial.passes
    assert len(found.steps) == 3


def test_it_gives_up_after_plans_that_bring_nothing_nearer(monkeypatch) -> None:
    """Detours only: each lets one hold that failed and breaks another."""
    does = {(name, "other"): {"gap": up, "grip": -up} for name, up in (("a", 0.2), ("b", 0.21), ("c", 0.22))}
    for patience, most, looked in ((1, 9, 1), (2, 9, 2), (9, 1, 1), (9, 3, 3)):
        world = World({"gap": 0.9, "grip": 1.0}, does, blind=("grip",))
        world.search(monkeypatch, *map(world.dial, "abc"), patience=patience, most=most).onward()
        assert len(world.looked) == looked


def test_the_nearest_is_kept_though_the_search_goes_elsewhere(monkeypatch) -> None:
    does = {("rod", "longer"): {"gap": 0.2}, ("shaft", "thicker"): {"gap": 0.3}}
    world = World({"gap": 0.1}, does)
    search = world.search(monkeypatch, world.dial("rod"), world.dial("shaft", 90), most=1)
    found = search.onward()
    assert found is search.nearest
    assert shown(found) == ["thicker"]
    assert world.told[0].endswith("the nearest so far fails 1 limits")


# The first changes, one upon the other


def test_what_keeps_it_from_turning_comes_first_and_no_change_may_bring_that_back(monkeypatch) -> None:
    does = {("post", "moved"): {"on_shaft": 1.0}, ("rod", "longer"): {"gap": 1.0, "on_shaft": -0.9},
            ("shaft", "thicker"): {"gap": 0.8}}  # fmt: skip
    world = World({"gap": 0.3, "on_shaft": 0.5}, does)

    def aimed(plan: Plan, dials, key: str, looks) -> Plan:
        assert key == "on_shaft" and looks is None
        (post,) = [dial for dial in dials if dial.name == "post"]
        return plan if "moved" in shown(plan) else world.planned(plan.base, (*plan.steps, Step(post, post.levels[0])))

    search = world.search(monkeypatch, *map(world.dial, ("post", "rod", "shaft")), aimed=aimed)
    assert lines(search.first(2)) == [["moved"], ["thicker"]]
    assert lines(search.first(1)) == [["moved"], ["thicker"]]  # a change more ends it
    assert search.stuck == []


def test_first_changes_end_where_it_passes_or_nothing_is_nearer(monkeypatch) -> None:
    assert len(BOTH.search(monkeypatch, *map(BOTH.dial, ("rod", "shaft"))).first(5)) == 2
    idle = World({"gap": 0.5}, {("rod", "longer"): {"gap": 0.0}})
    assert idle.search(monkeypatch, idle.dial("rod")).first(5) == []


def test_what_keeps_it_from_turning_is_told_first_though_its_value_was_bettered_last(monkeypatch) -> None:
    does = {("rod", "long"): {"on_yokes": 0.5}, ("rod", "longer"): {"on_yokes": 0.5, "gap": 0.5},
            ("foot", "soft"): {"shake": 0.5}}  # fmt: skip
    world = World({"on_yokes": 0.6, "gap": 0.6, "shake": 0.6}, does)
    search = world.search(monkeypatch, world.dial("foot"), world.dial("rod", 2, aims=("on_yokes",)), aimed=world.aimed)
    assert lines(search.first(3)) == [["longer"], ["soft"]]


def test_a_detour_is_taken_for_the_first_changes_where_another_mends_what_it_breaks(monkeypatch) -> None:
    does = {("rod", "longer"): {"gap": 1.0, "grip": -0.6}, ("shaft", "thicker"): {"grip": 1.0}}
    world = World({"gap": 0.99, "grip": 1.5}, does, blind=("grip",))
    dials = world.dial("rod"), world.dial("shaft", aims=("grip",))
    search = world.search(monkeypatch, *dials, aimed=world.aimed)
    assert lines(search.first(2)) == [["longer"], ["thicker"]]
    assert search.first(1) == []  # the first alone would leave it no nearer


def test_what_brings_back_what_was_mended_is_the_last_way_round(monkeypatch) -> None:
    """The web undoes what the rod did, and is nearer than wheel and post; of the wheel the nearer value goes on."""
    does = {("rod", "longer"): {"gap": 1.0, "grip": -0.5}, ("web", "thinner"): {"gap": -0.3, "grip": 0.5},
            ("wheel", "big"): {"grip": 0.5, "speed": -0.8}, ("wheel", "bigger"): {"grip": 0.6, "speed": -0.9},
            ("post", "moved"): {"grip": 0.5, "speed": -0.95}, ("shaft", "thicker"): {"speed": 1.0}}  # fmt: skip
    world = World({"gap": 0.2, "grip": 1.4, "speed": 1.5}, does, blind=("speed",))
    dials = {name: world.dial(name, aims=("speed",) * (name == "shaft")) for name, _ in does}
    search = world.search(monkeypatch, *dials.values(), aimed=world.aimed)
    rod = search.planned((Step(dials["rod"], dials["rod"].levels[0]),))
    others = (dials[name] for name in ("web", "wheel", "post"))
    fresh = [search.planned((*rod.steps, Step(dial, level))) for dial in others for level in dial.levels]
    found = [shown(each) for each in search._around(rod, fresh, 3)]
    assert found == [["longer", "big", "thicker"], ["longer", "moved", "thicker"]]


def test_a_way_round_goes_on_until_it_betters_what_it_set_out_from(monkeypatch) -> None:
    """The lever takes back part of what the wheel broke and is cheap; only the web is nearer than without the wheel."""
    does = {("wheel", "big"): {"speed": 0.5, "slope": -0.8}, ("lever", "back"): {"slope": 0.3},
            ("post", "moved"): {"slope": 0.2}, ("web", "thicker"): {"slope": 0.8}}  # fmt: skip
    world = World({"speed": 0.9, "slope": 1.1}, does)
    dials = {name: world.dial(name, make) for name, make in (("wheel", 1), ("lever", 1), ("post", 1), ("web", 25))}
    search = world.search(monkeypatch, *dials.values())
    way = search.planned((Step(dials["wheel"], dials["wheel"].levels[0]),))
    found = search._around(search.base, [way], 3)
    assert [shown(each) for each in found] == [["big", "thicker"]]


def test_what_a_way_round_runs_into_is_cleared(monkeypatch) -> None:
    """A thicker shaft under the large wheel runs into the other one, until that is turned down."""
    does = {("wheel", "big"): {"speed": 0.5, "slope": -0.8}, ("shaft", "thicker"): {"slope": 1.0, "on_yokes": -0.5},
            ("rim", "turned down"): {"on_yokes": 0.5}}  # fmt: skip
    world = World({"speed": 0.9, "slope": 1.1, "on_yokes": 1.2}, does)
    dials = {name: world.dial(name, aims=("on_yokes",) * (name == "rim")) for name, _ in does}
    search = world.search(monkeypatch, *dials.values(), aimed=world.aimed)
    way = search.planned((Step(dials["wheel"], dials["wheel"].levels[0]),))
    assert ["big", "thicker", "turned down"] in [shown(each) for each in search._around(search.base, [way], 3)]


def test_where_nothing_else_helps_what_a_change_runs_into_is_cleared(monkeypatch) -> None:
    does = {("shaft", "thicker"): {"slope": 0.5, "on_yokes": -0.5}, ("rim", "turned down"): {"on_yokes": 0.5}}
    world = World({"slope": 0.9, "on_yokes": 1.2}, does)
    dials = [world.dial(name, aims=("on_yokes",) * (name == "rim")) for name, _ in does]
    assert lines(world.search(monkeypatch, *dials, aimed=world.aimed).first(3)) == [["thicker"], ["turned down"]]


def test_what_few_limits_do_not_need_is_left_out_of_the_first_changes(monkeypatch) -> None:
    """The wheel alone holds both limits: the foot that came first is then needless."""
    does = {("foot", "softer"): {"gap": 0.45, "slope": 0.3}, ("wheel", "big"): {"gap": 1.0, "slope": 1.0}}
    world = World({"gap": 0.5, "slope": 0.6}, does)
    dials = [world.dial("foot", 1), world.dial("wheel", 9)]
    search = world.search(monkeypatch, *dials)
    softer = (Step(dials[0], dials[0].levels[0]),)
    assert lines(search.first(1, softer)) == [["big"]]


def test_what_was_brought_back_may_be_mended_anew(monkeypatch) -> None:
    """A wider bar shakes more, which a heavier plate than the first mends; as it was, the plate betters nothing."""
    does = {("plate", "heavy"): {"shaking": 0.3}, ("plate", "heavier"): {"shaking": 0.7},
            ("bar", "wider"): {"arm": 0.5, "shaking": -0.4}}  # fmt: skip
    world = World({"shaking": 0.8, "arm": 0.9}, does)
    dials = {name: world.dial(name) for name in ("plate", "bar")}
    search = world.search(monkeypatch, *dials.values())
    plate = search.planned((Step(dials["plate"], dials["plate"].levels[0]),))
    wider = search.planned((*plate.steps, Step(dials["bar"], dials["bar"].levels[0])))
    assert wider.trial.failing == ("shaking",)
    found = [shown(each) for each in search._around(plate, [wider], 3)]
    assert ["wider", "heavier"] in found


@pytest.mark.parametrize(("value", "first"), [(0.0, "clearance_carried"), (0.1, "on_yokes")])
def test_parts_that_run_into_each_other_are_mended_before_what_is_missed_more(monkeypatch, value, first) -> None:
    """Behind one clash another may stand, which nothing tells of yet."""
    asked: list[str] = []

    def aimed(plan: Plan, dials, key: str, looks) -> Plan:
        asked.append(key)
        return plan

    world = World({"on_yokes": -2.0, "clearance_carried": value}, {("post", "moved"): {}})
    search = world.search(monkeypatch, world.dial("post"), aimed=aimed)
    search.turning(search.planned(()))
    assert asked[0] == first
    assert len(asked) == 2


def test_what_no_change_brings_nearer_is_stuck_until_another_helped(monkeypatch) -> None:
    asked: list[str] = []

    def aimed(plan: Plan, dials, key: str, looks) -> Plan:
        asked.append(key)
        (post,) = dials
        return world.planned(plan.base, (Step(post, post.levels[0]),)) if key == "on_yokes" and not plan.steps else plan

    world = World({"on_shaft": 0.1, "on_yokes": 0.5}, {("post", "moved"): {"on_yokes": 1.0}})
    search = world.search(monkeypatch, world.dial("post"), aimed=aimed)
    found = search.turning(search.planned(()))
    assert asked == ["on_shaft", "on_yokes", "on_shaft"]  # what is missed the most goes first
    assert (shown(found), search.stuck) == (["moved"], ["on_shaft"])


# What a quick look is blind to


def test_limits_that_no_look_sees_are_aimed_at_one_change_upon_the_other(monkeypatch) -> None:
    does = {(f"joint {n}", "tighter"): {"grip": 0.1} for n in range(5)}

    def aimed(plan: Plan, dials, key: str, looks) -> Plan:
        assert key == "grip" and key in plan.trial.failing and looks is not None
        fresh = [dial for dial in dials if all(step.dial is not dial for step in plan.steps)]
        return world.planned(plan.base, (*plan.steps, Step(fresh[0], fresh[0].levels[0]))) if fresh else plan

    world = World({"grip": 0.55, "gap": 2.0}, does, blind=("grip",))
    dials = [world.dial(f"joint {n}", aims=("grip",)) for n in range(5)]
    search = world.search(monkeypatch, *dials, aimed=aimed)
    found = search.onward()
    assert found.trial.passes
    assert len(found.steps) == 5
    assert len(world.looked) <= 3  # three changes for one limit at a time
    monkeypatch.setattr(searching, "DEEPEST", 2)
    assert len(world.search(monkeypatch, *dials, aimed=aimed).onward().steps) == 2


def test_changes_meant_for_what_no_look_sees_wait_until_all_else_holds(monkeypatch) -> None:
    asked: list[list[str]] = []

    def aimed(plan: Plan, dials, key: str, looks) -> Plan:
        asked.append(shown(plan))
        return plan

    world = World({"grip": 0.5, "gap": 0.5}, {("rod", "longer"): {"gap": 1.0}}, blind=("grip",))
    found = world.search(monkeypatch, world.dial("rod", aims=("grip",)), aimed=aimed).onward()
    assert shown(found) == ["longer"]
    assert asked[0] == ["longer"]


def test_what_only_runs_into_parts_keeps_no_limit_from_being_aimed_at(monkeypatch) -> None:
    """The wheel looks best and runs into a yoke, which no look sees: then the joint is tried, too."""
    does = {("wheel", "big"): {"speed": 0.9, "on_yokes": -0.4}, ("joint", "tighter"): {"grip": 0.5}}
    world = World({"speed": 0.2, "grip": 0.9, "on_yokes": 1.2}, does, blind=("grip", "on_yokes"))
    dials = [world.dial("wheel"), world.dial("joint", aims=("grip",))]
    assert lines(world.search(monkeypatch, *dials, aimed=world.aimed).first(1)) == [["tighter"]]


def test_where_the_best_values_run_into_parts_the_best_that_runs_into_none_is_tried(monkeypatch) -> None:
    """From 5 mm on a plate lets one limit hold, from 12 mm on two, as a look sees it; from 9 mm on it meets a rod."""
    plates = {("plate", f"{thick} mm"): {"moment": 0.1 * thick, "tilt": 0.07 * thick, "on_yokes": -0.5 * (thick > 8)}
              for thick in range(2, 17)}  # fmt: skip
    world = World({"moment": 0.5, "tilt": 0.2, "on_yokes": 1.2, "speed": 0.5}, plates, blind=("on_yokes",))
    (first,) = lines(world.search(monkeypatch, world.dial("plate")).first(1))
    assert first == ["8 mm"]


# Down to what is needed


def test_what_is_not_needed_is_left_out_the_most_work_first_and_the_rest_made_small(monkeypatch) -> None:
    does = {("rod", "longer"): {"gap": 0.6}, ("rod", "much longer"): {"gap": 0.9}, ("yoke", "lighter"): {"gap": 0.6},
            ("case", "heavier"): {"gap": 0.6}}  # fmt: skip
    world = World({"gap": 0.5}, does)
    rod, yoke, case = world.dial("rod"), world.dial("yoke", 2), world.dial("case", 5)
    steps = (Step(case, case.levels[0]), Step(rod, rod.levels[1]), Step(yoke, yoke.levels[0]))
    search = world.search(monkeypatch, rod, yoke, case)
    found = search.reduced(search.planned(steps))
    assert shown(found) == ["longer"]
    assert world.told == ["leaving out what is not needed"]
    # What is to be kept stays as it is.
    kept = search.reduced(search.planned(steps), kept=(steps[1],))
    assert shown(kept) == ["much longer"]
    assert sorted(shown(search.reduced(search.planned(steps), kept=steps))) == ["heavier", "lighter", "much longer"]


def test_a_smaller_value_must_pass_its_verdict(monkeypatch) -> None:
    """Of four values that look as good, at most three nearer ones are tried; the nearest that passes is taken."""
    does = {("rod", f"{n} longer"): {"gap": 1.0, "grip": 0.1 * n} for n in range(1, 7)}
    world = World({"gap": 0.5, "grip": 0.7}, does, blind=("grip",))
    rod = world.dial("rod")
    search = world.search(monkeypatch, rod)
    assert shown(search.reduced(search.planned((Step(rod, rod.levels[5]),)))) == ["3 longer"]
    world.stands["grip"] = 0.6
    search = world.search(monkeypatch, rod)
    assert shown(search.reduced(search.planned((Step(rod, rod.levels[5]),)))) == ["6 longer"]


def test_a_smaller_value_that_a_look_sees_failing_is_not_tried(monkeypatch) -> None:
    world = World({"gap": 0.5}, {("rod", f"{n} longer"): {"gap": 0.1 * n + 0.01} for n in range(1, 8)})
    rod = world.dial("rod")
    search = world.search(monkeypatch, rod)
    assert shown(search.reduced(search.planned((Step(rod, rod.levels[6]),)))) == ["5 longer"]


def test_kinds_of_change_count_all_that_is_bought() -> None:
    kinds = (("screw", "case", 10), ("foot", "feet", 9), ("washer", "feet", 2))
    levels = [
        (Dial(name, family, (), "", []), Level(None, name, Work((), ((name, buy),)))) for name, family, buy in kinds
    ]
    plan = Plan(Trial(None, []), tuple(Step(*each) for each in levels), Trial(None, []))
    assert mending.families(plan) == ("feet", "case")


def test_guards_ask_for_more_and_plans_are_tried_once(monkeypatch) -> None:
    search = BOTH.search(monkeypatch, rod := BOTH.dial("rod"))
    steps = (Step(rod, rod.levels[0]),)
    assert search.planned(steps) is search.planned(steps)
    search.guard({"gap": 0.8})
    assert search.planned(steps).trial.guards == {"gap": 0.8}
    assert search.planned(steps).trial.failing == ("gap", "slope")


# With the whole verdict, and under all that is not known


def mended(monkeypatch, world: World, dials: list[Dial], vibrating=None, drawing=lambda plan: plan):
    """Have `mend` find its choices, whole verdicts and drawings here."""
    world.search(monkeypatch)

    def planned(base: Trial, steps: tuple[Step, ...], upon=None, still: bool = False, known=None) -> Plan:
        plan = world.planned(base, steps, upon, still, known)
        return plan if still or vibrating is None else replace(plan, trial=vibrating(plan.trial))

    monkeypatch.setattr(mending, "planned", planned)
    monkeypatch.setattr(searching, "planned", planned)
    monkeypatch.setattr(plans, "planned", planned)
    monkeypatch.setattr(mending, "drawn", drawing)
    monkeypatch.setattr(mending, "in_rounds", lambda base, keep, told: base.settled)
    monkeypatch.setattr(mending, "start", lambda design: Plan(base := world.trial(()), (), base))
    monkeypatch.setattr(mending, "free_choices", lambda design, keep: [each for each in dials if each.name not in keep])
    monkeypatch.setattr(mending, "usable_processors", lambda: 1)
    words: list[str] = []
    return words, lambda keep=(): mending.mend(None, keep, words.append)


def test_the_least_work_comes_first_and_then_plans_of_another_kind(monkeypatch) -> None:
    does = {("rod", "longer"): {"gap": 1.0}, ("yoke", "lighter"): {"gap": 1.0}, ("case", "heavier"): {"gap": 1.0}}
    world = World({"gap": 0.5}, does)
    dials = [world.dial("rod", 1), world.dial("yoke", 2), world.dial("case", 3)]
    words, mend = mended(monkeypatch, world, dials)
    found = mend()
    assert [shown(each) for each in found.plans] == [["longer"], ["lighter"]]
    assert found.nearest is found.plans[0]
    assert not found.interrupted
    assert "other ways: without rod" in words
    assert [shown(each) for each in mend(("rod",)).plans] == [["lighter"], ["heavier"]]


def test_two_other_ways_are_looked_at_those_that_are_missed_least(monkeypatch) -> None:
    """The first plan makes three kinds of change; without each, what it misses then decides."""
    does = {("rod", "longer"): {"gap": 1.0}, ("shaft", "thicker"): {"slope": 1.0}, ("foot", "softer"): {"shake": 1.0},
            ("foot 2", "softest"): {"shake": 1.0}, ("shaft 2", "thickest"): {"slope": 1.0}}  # fmt: skip
    world = World({"gap": 0.1, "slope": 0.5, "shake": 0.5}, does)
    dials = [world.dial("rod"), world.dial("shaft"), world.dial("foot"), world.dial("foot 2", 5),
             world.dial("shaft 2", 5)]  # fmt: skip
    words, mend = mended(monkeypatch, world, dials)
    found = mend()
    assert [sorted(shown(each)) for each in found.plans] == [
        ["longer", "softer", "thicker"], ["longer", "softer", "thickest"], ["longer", "softest", "thicker"]
    ]  # fmt: skip
    assert any(each.startswith("other ways: without ") and each.count("without") == 2 for each in words)
    assert not any("without rod" in each for each in words)


def test_what_vibration_takes_is_asked_for_on_top(monkeypatch) -> None:
    """With all looked at the gap is 0.3 less: it goes on from there until that is to spare."""
    does = {("rod", "longer"): {"gap": 0.6}, ("yoke", "lighter"): {"gap": 0.4}}
    world = World({"gap": 0.5}, does)

    def vibrating(trial: Trial) -> Trial:
        return replace(trial, rows=[replace(row, value=row.value - 0.3) for row in trial.rows])

    words, mend = mended(monkeypatch, world, [world.dial("rod"), world.dial("yoke")], vibrating)
    found = mend()
    assert [sorted(shown(each)) for each in found.plans] == [["lighter", "longer"]]
    assert sum(each.endswith("wants more to spare") for each in words) == 1


def test_it_is_drawn_a_few_times_and_each_time_asks_for_more(monkeypatch) -> None:
    """No drawing lets it hold: after four that is told as the nearest."""
    does = {(f"part {n}", "lighter"): {"gap": 0.5} for n in range(9)}
    world, drawings = World({"gap": 0.6}, does), []

    def drawing(plan: Plan) -> Plan:
        if not plan.steps:
            return plan
        drawings.append(len(plan.steps))
        failing = [replace(row, value=0.9) for row in plan.trial.rows]
        guards = {"gap": 0.5 * len(plan.steps)}
        return Plan(plan.base, plan.steps, replace(plan.trial, rows=failing, guards=guards))

    words, mend = mended(monkeypatch, world, [world.dial(f"part {n}") for n in range(9)], drawing=drawing)
    found = mend()
    assert found.plans == []
    assert not found.nearest.trial.passes
    assert drawings == [1, 2, 3, 4, 5]  # four, and the nearest for what is told
    assert sum(each.endswith("wants more to spare") for each in words) == 4


@pytest.mark.parametrize("passes", [True, False])
def test_what_passes_or_cannot_be_built_is_left_as_it_is(monkeypatch, passes: bool) -> None:
    world = World({"gap": 2.0} if passes else {"broken": 1.0}, {("rod", "longer"): {"gap": 1.0}})
    _, mend = mended(monkeypatch, world, [world.dial("rod")])
    found = mend()
    assert (found.plans, found.nearest.steps, world.looked) == ([], (), [])


def test_what_stops_it_ends_with_what_was_found(monkeypatch) -> None:
    def stop(*said) -> None:
        raise KeyboardInterrupt

    _, mend = mended(monkeypatch, BOTH, [BOTH.dial("rod"), BOTH.dial("shaft")])
    monkeypatch.setattr(mending, "_in_processes", stop)
    found = mend()
    assert found.interrupted
    assert sorted(shown(found.nearest)) == ["longer", "thicker"]


def test_a_drawn_plan_asks_for_as_much_as_it_is_spread_and_a_little_more_than_before(monkeypatch) -> None:
    rows = [Row("gap", "gap", 1.2, 1.0, "N", "at least"), Row("slope", "slope", 1.2, 1.0, "N", "at least")]
    base = Trial(None, rows, guards={"gap": 0.5, "slope": 0.5, "other": 0.1})
    monkeypatch.setattr(guards, "as_written", lambda plan: None)
    monkeypatch.setattr(guards, "evaluate_finely", lambda design: None)
    monkeypatch.setattr(guards, "under_doubt", lambda evaluation, rows: SimpleNamespace(rows=rows))
    monkeypatch.setattr(guards, "guards_of", lambda rows: {"gap": 0.9, "slope": 0.1, "new": 0.2})
    found = guards.drawn(Plan(base, (), base))
    assert found.trial.guards == pytest.approx({"gap": 0.9, "slope": 0.525, "other": 0.1, "new": 0.2})
    assert found.base.guards == found.trial.guards
    unbuilt = Plan(base, (), Trial(None, [], "it breaks"))
    assert guards.drawn(unbuilt) is unbuilt


def test_searches_go_to_as_many_processes_as_there_are_searches_and_processors(monkeypatch) -> None:
    monkeypatch.setattr(mending, "_search_without", lambda *said: said)
    wanted, asked = [(1, 2, 3, 4), (5, 6, 7, 8)], []

    def crew(work, each, workers):
        asked.append(workers)
        return map(work, each)

    monkeypatch.setattr(mending, "in_parallel", crew)
    for processors, jobs, workers in ((1, wanted, 1), (2, wanted[:1], 1), (2, wanted, 2), (8, wanted, 2)):
        monkeypatch.setattr(mending, "usable_processors", lambda count=processors: count)
        assert mending._in_processes(jobs) == jobs
        assert asked.pop() == workers


@pytest.mark.skipif(sys.platform in ("darwin", "win32"), reason="only a copy of this process is killed at work")
def test_a_search_that_is_killed_is_not_waited_for(monkeypatch) -> None:
    monkeypatch.setattr(mending, "_search_without", lambda *_: os.kill(os.getpid(), signal.SIGKILL))
    monkeypatch.setattr(mending, "usable_processors", lambda: 2)
    with pytest.raises(BrokenExecutor):
        mending._in_processes([(1,), (2,)])


def test_what_broke_a_limit_that_nothing_mended_any_more_is_left_out_and_searched_anew(monkeypatch) -> None:
    """The thickest plate wins most and runs into a yoke; without what does so, the thinner one and longer reach do."""
    does = {("plate", "thickest"): {"shaking": 1.0, "clearance": -0.9}, ("plate", "thick"): {"shaking": 0.6},
            ("reach", "farther"): {"shaking": 0.4}}  # fmt: skip
    world = World({"shaking": 0.2, "clearance": 1.1}, does, blind=("clearance",))
    plate, reach = world.dial("plate", 4), world.dial("reach", 9)
    search = world.search(monkeypatch, plate, reach)
    thickest = next(level for level in plate.levels if level.shown == "thickest")
    search.nearest = search.planned((Step(plate, thickest),))
    assert search.nearest.trial.failing == ("clearance",)
    monkeypatch.setattr(
        mending, "missed_alone", lambda design, key, like: float("thickest" in {each.level.shown for each in design})
    )
    monkeypatch.setattr(Level, "of", lambda level, steps: (*steps, Step(plate, level)))
    spent = set[tuple[str, str]]()
    other = mending._turned_back(search, spent)
    assert world.told == ["back to before plate, which broke clearance"]
    assert {dial.name: [level.shown for level in dial.levels] for dial in other.dials} == {
        "plate": ["thick"], "reach": ["farther"]
    }  # fmt: skip
    assert sorted(shown(other.onward())) == ["farther", "thick"]
    assert spent == {("plate", "clearance")}
    assert mending._turned_back(search, spent) is None  # not twice from the same
    search.nearest = search.planned(())  # what fails from the start was broken by nobody
    assert mending._turned_back(search, set()) is None


def test_what_made_work_of_others_is_left_out_where_nothing_that_broke_is_left(monkeypatch) -> None:
    """The weight's place runs into a bearing, which then moves; what is still broken is gone back from first."""
    does = {("place", "inward"): {"weights": 1.0, "room": -0.5}, ("bearing", "moved"): {"room": 0.5},
            ("reach", "less"): {"weights": 1.0}, ("wheel", "thick"): {"slope": -0.5}}  # fmt: skip
    world = World({"weights": 0.2, "room": 1.1, "speed": 0.5, "slope": 1.1}, does)
    dials = [world.dial(name) for name, _ in does]
    search = world.search(monkeypatch, *dials)
    place, bearing, _, wheel = (Step(dial, dial.levels[0]) for dial in dials)
    monkeypatch.setattr(mending, "missed_alone", lambda design, key, like: 1.0)
    monkeypatch.setattr(Level, "of", lambda level, steps: (*steps, level))
    search.nearest = search.planned((place, bearing))
    assert search.nearest.trial.failing == ("speed",)
    other = mending._turned_back(search, set())
    assert world.told == ["back to before place, which broke room"]
    assert [dial.name for dial in other.dials] == ["bearing", "reach", "wheel"]  # none of its values is fine
    search.nearest = search.planned((place, bearing, wheel))
    mending._turned_back(search, set())
    assert world.told[1:] == ["back to before wheel, which broke slope"]


def test_what_lets_the_last_limit_hold_and_runs_into_a_part_is_gone_on_from_once_that_is_cleared(monkeypatch) -> None:
    """The thicker shaft clears its margin and strikes the wheel by more than it wins; the wheel is then turned down."""
    does = {("shaft", "thicker"): {"margin": 0.6, "clearance_wheels": -1.9},
            ("wheel", "smaller"): {"clearance_wheels": 1.8, "margin": -0.1}}  # fmt: skip
    for wheels, passes in ((("clearance_wheels",), True), ((), False)):
        world = World({"margin": 0.5, "clearance_wheels": 1.2}, does, blind=("clearance_wheels",))
        shaft, wheel = world.dial("shaft"), world.dial("wheel", aims=wheels)
        found = world.search(monkeypatch, shaft, wheel, aimed=world.aimed).onward()
        assert (found.trial.passes, shown(found)) == (passes, ["thicker", "smaller"] if passes else [])
    world = World({"margin": 0.5, "gap": 0.5, "slope": 0.5, "clearance_wheels": 1.2}, does, blind=("clearance_wheels",))
    dials = world.dial("shaft"), world.dial("wheel", aims=("clearance_wheels",))
    assert shown(world.search(monkeypatch, *dials, aimed=world.aimed).onward()) == []  # others are left, too


@pytest.mark.parametrize("key", ["torsional_margin", "yield_safety", "critical_speed_margin"])
def test_a_limit_that_fails_for_the_first_time_is_looked_at_though_no_look_saw_it_before(monkeypatch, key: str) -> None:
    world = World({"gap": 1.2, key: 0.5}, {("shaft", "thicker"): {key: 0.6}})
    search = world.search(monkeypatch, world.dial("shaft"))
    search._seen = {"gap"}
    assert [shown(each) for each in search.further(search.planned(()))] == [["thicker"]]
    blind = World({"gap": 1.2, "grip": 0.5}, {("shaft", "thicker"): {"grip": 0.6}}, blind=("grip",))
    search = blind.search(monkeypatch, blind.dial("shaft"))
    search._seen = {"gap"}
    assert search.further(search.planned(())) == []


def test_only_what_no_way_looks_at_is_said_not_to_be_mended() -> None:
    """Weights that are only proposed are looked at once they are fitted; nobody gave how a bearing fits."""

    def plan(*unlooked: str) -> Plan:
        known = {
            key: (None, "not given") if key in unlooked else (1.2, "") for key in ("counterweight_own", "bearing_fit")
        }
        rows = [Row(key, key, value, 1.0, "N", "at least", unlooked=why) for key, (value, why) in known.items()]
        trial = Trial(None, rows)
        return Plan(trial, (), trial)

    before = plan("counterweight_own", "bearing_fit")
    assert before.trial.unchecked == ("counterweight_own", "bearing_fit")
    looked, blind = plan("bearing_fit"), plan("counterweight_own", "bearing_fit")
    assert _never_checked(Mended(before, [looked, blind], blind)) == ("bearing_fit",)
    assert _never_checked(Mended(before, [], looked)) == ("bearing_fit",)
    assert _never_checked(Mended(before, [], before)) == before.trial.unchecked


# What stands in the way


def in_the_way(monkeypatch, world: World, *dials: Dial, aimed=lambda plan, dials, key, looks: plan) -> list[str]:
    monkeypatch.setattr(limits, "look", world.look)
    monkeypatch.setattr(limits, "planned", world.planned)
    monkeypatch.setattr(limits, "aimed", aimed)
    base = world.trial(())
    return list(limits.in_the_way(Plan(base, (), base), dials))


def test_of_each_limit_that_fails_the_best_further_change_is_told(monkeypatch) -> None:
    """Of all that can be built, the one with which it is missed least; and what fails with it that held."""
    does = {("rod", "longer"): {"gap": 0.2}, ("yoke", "lighter"): {"gap": 0.3, "slope": -9.0},
            ("case", "heavier"): {"gap": 0.4, "broken": 1.0}}  # fmt: skip
    world = World({"gap": 0.5, "slope": 2.0, "power": 0.5}, does)
    gap, power = in_the_way(monkeypatch, world, *map(world.dial, ("rod", "yoke", "case")))
    assert gap.endswith("gap comes to 0.50 N, not 1.00: yoke at lighter would bring it to 0.80 N"
                        "; but then fails slope")  # fmt: skip
    assert power.endswith(limits.NOTHING_NEARER)
    assert in_the_way(monkeypatch, world)[0].endswith(limits.NOTHING_NEARER)


def test_a_change_must_bring_it_nearer_to_be_told(monkeypatch) -> None:
    for more, told in ((0.0, False), (-0.1, False), (1e-7, False), (0.1, True)):
        world = World({"gap": 0.5}, {("rod", "longer"): {"gap": more}})
        (said,) = in_the_way(monkeypatch, world, world.dial("rod"))
        assert said.endswith("would bring it to 0.60 N") is told
        assert said.endswith(limits.NOTHING_NEARER) is not told


def test_what_no_look_sees_is_aimed_at(monkeypatch) -> None:
    world = World({"grip": 0.5}, {("joint", "tighter"): {"grip": 0.2}}, blind=("grip",))
    joint = world.dial("joint")

    def aimed(plan: Plan, dials, key: str, looks) -> Plan:
        return world.planned(plan.base, (Step(joint, joint.levels[0]),))

    assert in_the_way(monkeypatch, world, joint, aimed=aimed)[0].endswith("joint at tighter would bring it to 0.70 N")
    assert in_the_way(monkeypatch, world, joint)[0].endswith(limits.NOTHING_NEARER)


def test_a_limit_that_depends_and_fails_in_the_middle_is_told_by_its_own_words(monkeypatch) -> None:
    doubt = Doubt(100, 0.5, 0.4, 0.6, 0.95, (0.0, 3.0), None)
    world = World({"gap": 0.5}, {})
    rows = [Row("slope", "slope of the shaft", 0.9, 1.0, "N", "at least", doubt=doubt),
            Row("gap", "gap of the yokes", 0.9, 1.0, "N", "at least", doubt=doubt)]  # fmt: skip
    monkeypatch.setattr(limits, "look", world.look)
    base = Trial((), rows)
    said = list(limits.in_the_way(Plan(base, (), base), []))
    assert [each.split(" ")[0] for each in said] == ["slope", "gap"]
    assert all("comes to" not in each for each in said)
    assert of_limits(rows)
