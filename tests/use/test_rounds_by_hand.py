"""Advice followed round after round, by hand: machines are sums of what their changes do to one limit."""

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest

from designs.counsel import rounds
from designs.counsel.advice import Counsel, as_told
from designs.counsel.dial import Dial, Level, Work
from designs.counsel.free import free_choices
from designs.counsel.plan import Plan, Step
from designs.counsel.trial import Trial
from designs.design import Design
from designs.reading import read
from designs.verdict.row import Row

AS_BUILT = Path(__file__).parents[2] / "designs" / "as-built.yaml"


@pytest.fixture(scope="module")
def built() -> Design:
    return read(AS_BUILT)


class World:
    """A gap of at least 1 that changes add to.

    adds : what each does, by its name.   work : pieces of it to make, if not one.   told : what was said.
    """

    def __init__(self, monkeypatch, stands: float, adds: dict[str, float], advice: list[list[str]], **work: int):
        self.stands, self.adds = stands, adds
        self.steps = {name: Step(Dial(name, name, (), "", [level]), level) for name in adds
                      if (level := Level(None, name, Work(((name, work.get(name, 1)),))))}  # fmt: skip
        self.told: list[str] = []
        self.asked: list[tuple] = []
        waiting = iter(advice)

        def advised(plan: Plan, keep) -> tuple[Step, ...]:
            self.asked.append((names(plan), keep))
            return tuple(self.steps[name] for name in next(waiting, []))

        monkeypatch.setattr(rounds, "_advice", advised)
        monkeypatch.setattr(rounds, "drawn", lambda plan: plan)
        monkeypatch.setattr(rounds, "planned", self.planned)
        monkeypatch.setattr(rounds, "changed_entries", lambda design, steps: {step.dial.name: "" for step in steps})

    def trial(self, steps: tuple[Step, ...] = ()) -> Trial:
        gap = self.stands + sum(self.adds[step.dial.name] for step in steps)
        return Trial(None, [Row("gap", "gap", gap, 1.0, "mm", "at least")])

    def planned(self, base: Trial, steps: tuple[Step, ...]) -> Plan:
        assert base.guards == {}  # its draws say whether it holds
        return Plan(base, steps, self.trial(steps))

    def come_to(self, keep=()) -> Plan:
        base = replace(self.trial(), guards={"gap": 0.1})
        return rounds.in_rounds(Plan(base, (), base), keep, self.told.append)


def names(plan: Plan) -> list[str]:
    return [step.dial.name for step in plan.steps]


def test_each_round_goes_on_from_the_one_before_until_it_passes(monkeypatch) -> None:
    world = World(monkeypatch, 0.0, {"rod": 0.4, "yoke": 0.3, "wheel": 0.5}, [["rod"], ["yoke", "wheel"], ["rod"]])
    found = world.come_to(("case",))
    assert found.trial.passes
    assert names(found) == ["rod", "yoke", "wheel"]
    assert world.asked == [([], ("case",)), (["rod"], ("case",))]
    assert world.told == ["round 1 of advice: 1 limits fail", "round 2 of advice: 1 limits fail",
                          "leaving out what is not needed"]  # fmt: skip


def test_what_a_later_round_makes_needless_is_left_out(monkeypatch) -> None:
    world = World(monkeypatch, 0.0, {"rod": 0.4, "shaft": 0.1, "wheel": 0.9}, [["rod", "shaft"], ["wheel"]])
    assert names(world.come_to()) == ["shaft", "wheel"]


def test_the_most_work_is_left_out_first(monkeypatch) -> None:
    world = World(monkeypatch, 0.5, {"rod": 0.5, "wheel": 0.5}, [["rod", "wheel"]], wheel=3)
    assert names(world.come_to()) == ["rod"]


def test_without_an_end_the_nearest_is_told(monkeypatch) -> None:
    world = World(monkeypatch, 0.0, {"rod": 0.4, "yoke": -0.3}, [["rod"], ["yoke"]])
    found = world.come_to()
    assert names(found) == ["rod"]
    assert not found.trial.passes
    assert len(world.asked) == 3
    world = World(monkeypatch, 0.0, {"rod": 0.01}, [["rod"]] * 99)
    assert len(world.come_to().steps) == len(world.asked) == rounds.ROUNDS


def test_a_part_that_a_later_round_makes_otherwise_is_made_once(built: Design) -> None:
    first = first_value(built, "diameter of the flywheel")
    later, rods = Step(first.dial, first.dial.levels[1]), first_value(built, "rods")
    base = Plan(Trial(built, []), (), Trial(built, []))
    assert rounds._once_each(base, (first, rods, later)) == (rods, later)
    assert rounds._once_each(base, (rods, later)) == (rods, later)


def test_what_passes_is_left_alone(monkeypatch) -> None:
    assert World(monkeypatch, 1.5, {"rod": 0.4}, []).come_to().steps == ()


def test_a_change_is_said_to_set_out_from_what_then_stands(built: Design) -> None:
    """The second wheel was offered for the first design; once the first one is made it is told from that."""
    wheel = first_value(built, "diameter of the flywheel")
    other = Step(wheel.dial, wheel.dial.levels[1])
    rods = first_value(built, "rods")
    told = as_told(Plan(Trial(built, []), (rods, wheel, other), Trial(built, []))).steps
    assert [each.dial.now for each in told[:2]] == [rods.dial.now, wheel.dial.now]
    assert told[2].dial.now == wheel.level.shown != wheel.dial.now
    assert [each.level for each in told] == [rods.level, wheel.level, other.level]
    # Offered in a round of its own, and no more without what went before it: then its entries say what stands.
    alone = Step(replace(wheel.dial, name="diameter as it was bought"), wheel.dial.levels[1])
    assert as_told(Plan(Trial(built, []), (wheel, alone), Trial(built, []))).steps[1].dial.now == wheel.level.shown


def test_every_choice_can_be_told_after_every_other_one(built: Design) -> None:
    """A diaphragm has no stem, a displacer no crown: choices that name all of them name what some have not."""
    first = first_value(built, "rods")
    last = [Step(dial, dial.levels[0]) for dial in free_choices(built) if dial.levels and dial is not first.dial]
    for step in last:
        told = as_told(Plan(Trial(built, []), (first, step), Trial(built, [])))
        assert [each.dial.name for each in told.steps] == [first.dial.name, step.dial.name]


def test_a_round_heeds_what_is_not_known_of_the_design_as_it_then_stands(monkeypatch) -> None:
    """What is advised last has all that goes before it; without any there is no change."""

    class Told:
        def __init__(self, *said):
            self.said, self.heeded = said, None
            told.append(self)

        def heed(self, rows) -> None:
            self.heeded = rows

        @property
        def best(self) -> list[Plan]:
            return [Plan(trial, ("rod",), trial), Plan(trial, ("rod", "wheel"), trial)] if self.heeded else []

    told: list[Told] = []
    monkeypatch.setattr(rounds, "Counsel", Told)
    monkeypatch.setattr(rounds, "as_written", lambda plan: "as it stands")
    for rows in ([Row("gap", "gap", 0.5, 1.0, "mm", "at least")], []):
        trial = Trial(None, rows, orders=7)
        assert rounds._advice(Plan(trial, (), trial), ("case",)) == (("rod", "wheel") if rows else ())
        assert told[-1].said == ("as it stands", rows, 7, ("case",))


def test_a_second_plate_is_no_choice_of_a_round(monkeypatch, built: Design) -> None:
    kept = []
    monkeypatch.setattr(rounds, "as_written", lambda plan: None)
    monkeypatch.setattr(rounds, "Counsel", lambda design, rows, orders, keep: kept.append(keep) or SimpleNamespace(
        heed=lambda rows: None, best=[]))  # fmt: skip
    trial = Trial(built, [])
    for name, paths in (("engine on a base plate", ("mount.mass",)), ("feet", ())):
        assert rounds._advice(Plan(trial, (first_value(built, name),), trial), ("case",)) == ()
        assert kept[-1] == ("case", *paths)


def first_value(design: Design, name: str) -> Step:
    dial = next(each for each in free_choices(design) if name in (each.family, each.name) and each.levels)
    return Step(dial, dial.levels[0])


def test_what_is_kept_is_no_choice_of_a_round(built: Design) -> None:
    rows = [Row("gap", "gap", 0.5, 1.0, "mm", "at least")]
    every = Counsel(built, rows).dials
    kept = Counsel(built, rows, keep=("yokes.*.rod",)).dials
    assert {dial.name for dial in every} - {dial.name for dial in kept} >= {"displacer rods", "diaphragm rods"}
    assert {dial.family for dial in every} - {dial.family for dial in kept} == {"rods"}
