"""Advice as a file that follows it would be judged: doubts, feet, entries, and what keeps a machine from turning."""

from dataclasses import replace
from pathlib import Path

import pytest

from balance.machine.mount import Feet
from designs.counsel.advice import entries_words
from designs.counsel.aimed import aimed
from designs.counsel.dial import Dial
from designs.counsel.free import free_choices
from designs.counsel.guards import as_written, settled
from designs.counsel.plan import Plan, Step, planned, start
from designs.counsel.searching import Search
from designs.counsel.trial import CRITICAL, Trial, critical_missed, tried
from designs.evaluate import Evaluation
from designs.options.side_by_side import Line
from designs.reading import read_text
from designs.stock import usual
from designs.verdict.figure import Figure
from designs.verdict.row import Row

REDESIGN = (Path(__file__).parents[2] / "designs" / "redesign.yaml").read_text("utf-8")


def changed(*changes: tuple[str, str]) -> str:
    text = REDESIGN
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def named(dials: list[Dial], name: str) -> Dial:
    return next(each for each in dials if each.name == name)


@pytest.fixture(scope="module")
def plan() -> Plan:
    """Return the redesign, without vibration of its shafts, with nothing changed."""
    return start(read_text(REDESIGN), still=True)


def test_a_changed_entry_is_in_no_doubt_any_more_but_of_making(plan: Plan) -> None:
    design = plan.base.design
    dials = free_choices(design)
    feet = named(dials, "feet")
    steps = (Step(feet, next(each for each in feet.levels if "rubber" in each.shown)),)
    steps += (Step(rods := named(dials, "displacer rods"), rods.levels[0]),)
    made = replace(plan, steps=steps, trial=replace(plan.trial, design=steps[1].level.of(steps[0].level.of(design))))
    left = as_written(made).doubts
    assert not [path for path in left if path[:2] == ("mount", "feet")]
    assert ("yokes", "displacer", "rod", "length") in left  # a tolerance stays, whatever the length


def test_a_guard_that_alone_stands_against_a_change_gives_way_to_draws(plan: Plan) -> None:
    """A margin asked for by a design that is far more doubtful: this one holds in all machines that it may be."""
    reserve = plan.trial.figures["vibration"].limit - plan.trial.figures["vibration"].value
    asked = replace(plan, trial=replace(plan.trial, guards={"vibration": 1.01 * float(reserve)}))
    assert asked.trial.thin == ("vibration",)
    assert "vibration" not in settled(asked).trial.failing


def test_what_a_change_neither_brings_nearer_nor_settles_is_not_drawn_anew(plan: Plan) -> None:
    """It stands as it stood: in doubt. What it was before, as well as after, failed in too many machines."""
    reserve = plan.trial.figures["vibration"].limit - plan.trial.figures["vibration"].value
    doubtful = replace(plan.trial, guards={"vibration": 1.01 * float(reserve)})
    assert settled(same := Plan(doubtful, (), doubtful)) is same
    assert same.trial.failing == ("vibration",)


def test_a_foot_from_stock_is_what_its_line_says() -> None:
    """Stiffness in the line, in the trial and of the same rubber typed into a file are one."""
    feet = named(free_choices(read_text(REDESIGN)), "feet")
    rubber = {name: foot for name, foot in (usual().feet or {}).items() if foot.rubber is not None}
    assert len(rubber) >= 4
    for name, foot in rubber.items():
        size = foot.rubber
        assert name.endswith(f"{float(size.diameter) * 1e3:g} x {float(size.height) * 1e3:g} mm, "
                             f"hardness {float(size.hardness):g}")  # fmt: skip
        assert float(Feet(rubber=replace(size, number=1)).stiffnesses[1]) == pytest.approx(foot.springs)
        level = next(each for each in feet.levels if name in each.shown)
        assert f"({foot.springs / 1e3:.3g} N/mm each" in level.shown


def test_every_entry_that_a_change_touches_is_said(plan: Plan) -> None:
    bar = named(free_choices(plan.base.design), "bar of the displacer rods")
    step = Step(bar, bar.levels[0])
    said = entries_words(plan.base.design, step)
    edits = step.level.edits(plan.base.design)
    assert len(edits) >= 4
    assert all(edit.keys[-1] in said for edit in edits)
    assert "mass" in entries_words(plan.base.design, step, beside=True)


def test_no_change_is_of_a_number_that_no_part_stands_for(plan: Plan) -> None:
    assert not [
        each.name for each in free_choices(plan.base.design) if any(path.startswith("gas.") for path in each.paths)
    ]


FAULTS = {
    "clearance_wheels": ("diameter: 90 mm, thickness: 18 mm", "diameter: 120 mm, thickness: 18 mm"),
    "on_shaft": ("{length: 88 mm, diameter: 10 mm}", "{length: 60 mm, diameter: 10 mm}"),
    "displacer_to_hot_end": ("length: 118 mm, dome: 5 mm", "length: 114 mm, dome: 5 mm"),
    "on_yokes": ("wall: 2.5 mm, z: -30 mm", "wall: 2.5 mm, z: -19 mm"),
}
"""What keeps the redesign from being put together or turned, one fault each."""


@pytest.fixture(scope="module")
def stuck() -> Plan:
    """Return the redesign with all of these faults."""
    return start(read_text(changed(*FAULTS.values())), still=True)


@pytest.mark.parametrize("key", list(FAULTS)[1:])
def test_what_keeps_a_machine_from_turning_has_a_choice_that_mends_it(stuck: Plan, key: str) -> None:
    assert key in stuck.trial.failing
    better = aimed(stuck, free_choices(stuck.base.design), key, None)
    assert len(better.steps) == 1
    assert key not in better.trial.failing
    assert planned(stuck.base, better.steps, still=True).trial.failing == better.trial.failing


def test_what_keeps_a_machine_from_turning_comes_first_and_the_worst_of_it(stuck: Plan) -> None:
    """One wheel in the place of two, thicker: one as thick is less work, but a lighter engine shakes more."""
    dials = free_choices(stuck.base.design)
    search = Search(stuck, dials, lambda words: None)
    ((step,),) = search.first(1)
    assert step.dial.name == "one flywheel past the other shaft's end on a longer shaft"
    as_thick = named(dials, "one flywheel past the other shaft's end")
    lighter = search.planned((Step(as_thick, as_thick.levels[0]),))
    found = search.planned((step,))
    assert found.weight > lighter.weight
    assert found.trial.short("vibration") < lighter.trial.short("vibration") - (found.weight - lighter.weight)
    assert "clearance_wheels" not in found.trial.failing


def test_a_change_is_tried_with_the_orders_of_the_design(plan: Plan) -> None:
    design = read_text(REDESIGN)  # all of it new, so that nothing is taken over
    own = Evaluation(design).shaft_vibration.orders
    assert plan.trial.orders == own
    again, more = (tried(design, replace(plan.trial, orders=orders), still=True) for orders in (None, 2 * own))
    told = [(row.key, row.value) for row in plan.trial.rows]
    assert [(row.key, row.value) for row in again.rows] == told
    assert more.orders == 2 * own
    assert [(row.key, row.value) for row in more.rows] != told
    assert more.figures[CRITICAL].value == pytest.approx(plan.trial.figures[CRITICAL].value, rel=1e-2)
    assert critical_missed(design, plan.trial) == 0.0


def test_a_limit_of_zero_crossed_has_no_percentage() -> None:
    def figure(value: float) -> Figure:
        return Figure("clearance", "clearance", "m", value, 1e-4, value >= 1e-4, "more", value / 1e-4 - 1)

    line = Line("clearance", (figure(-1e-3), figure(3e-3), figure(-2e-3)))
    assert line.difference(1) is None
    assert line.difference(2) == pytest.approx(-1.0)
    assert "%" not in line.cell(1)


def test_to_shake_as_before_and_be_allowed_to_is_no_gain(plan: Plan) -> None:
    def trial(value: float, limit: float) -> Trial:
        return Trial(plan.base.design, [Row("shaking_force", "shaking force", value, limit, "N", "at most")])

    base = trial(7.0, 6.0)
    allowed, less = (Plan(base, (), each) for each in (trial(7.0, 8.0), trial(5.0, 6.0)))
    assert allowed.let_pass == ("shaking_force",)
    assert not less.let_pass
    assert less.cost < allowed.cost


def test_rods_of_the_wrong_length_are_made_anew_before_posts_that_would_strike_elsewhere() -> None:
    """The piston rods 3 mm too long: a shorter post would leave the yokes in each other, and the crown too low."""
    clashes = start(read_text(changed(("rod: {length: 42 mm", "rod: {length: 45 mm"))), still=True)
    assert {"gap", "displacer_to_piston"} <= set(clashes.trial.failing)
    better = aimed(clashes, free_choices(clashes.base.design), "displacer_to_piston", None)
    assert [step.dial.name for step in better.steps] == ["piston rods"]
    assert not {"gap", "displacer_to_piston"} & set(better.trial.failing)
