"""Advice and mending: what they say is done again, on the design and on its file, and must come out as said."""

import re
from dataclasses import fields, is_dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner
from random_designs import random_engine as any_engine
from random_engines import random_engine as facing_engine

from balance.machine.counterweights import Counterweights
from designs.changing.edit import checked, edited, text, unit_at
from designs.command import group
from designs.command import mend as mending
from designs.command.inputs import SHIPPED
from designs.counsel.advice import Advice, Counsel
from designs.counsel.advised import judge
from designs.counsel.free import free_choices
from designs.counsel.mending import drawn, families, mend
from designs.counsel.plan import Step, look, planned, start, work_of
from designs.counsel.trial import CRITICAL, ILLEGAL, STRENGTH_KEYS, TORSIONAL, tried
from designs.design import Design
from designs.evaluate import Evaluation, evaluate_finely
from designs.options.writing import with_entries, with_option
from designs.reading import changes, design_of, read, read_tree
from designs.reading.source import parse
from designs.verdict import STILL, verdict_of

FAN = Path(__file__).parent / "greenhouse-fan.yaml"
SEEDS = (5, 9)  # of random designs whose every line of advice is done again: two small ones; 200 passed once


def run(*words: str):
    result = CliRunner().invoke(group, list(words), catch_exceptions=True)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def spoilt(tmp_path: Path, *changes: tuple[str, str]) -> Path:
    """Return the redesign with some of its text changed."""
    words = (SHIPPED / "redesign.yaml").read_text("utf-8")
    for old, new in changes:
        assert old in words
        words = words.replace(old, new)
    file = tmp_path / "spoilt.yaml"
    file.write_text(words, "utf-8")
    return file


def random_design(seed: int) -> Design:
    """Return a design of any arrangement, or one whose yokes face each other, with counterweights now and then."""
    engine = any_engine(seed) if seed % 2 else facing_engine(seed)
    parts = {each.name: getattr(engine, each.name) for each in fields(engine)}
    if seed % 3 == 0:
        reach = float(engine.cranks.centre_distance) / 2 - 1e-3
        parts["counterweights"] = Counterweights(
            thickness=4e-3, smallest_radius=5e-3, largest_radius=reach, at=-0.006, fitted=True
        )
    return Design(**parts)


@pytest.fixture(scope="module")
def built() -> Counsel:
    """Return the counsel on the engine as built, which remembers what it tried."""
    design = read(SHIPPED / "as-built.yaml")
    return Counsel(design, verdict_of(evaluate_finely(design)))


def done_again(design: Design, advice: Advice) -> dict:
    """Return the verdict on a design with the entries of an advice changed by their keys, and nothing else known."""
    for step in advice.plan.steps:
        design = edited(design, step.level.edits(design))
    rows = judge(evaluate_finely(checked(design)))
    return {key: [row for row in rows if row.key == key] for key in {row.key for row in rows}}


def does_what_it_says(design: Design, counsel: Counsel | None = None) -> int:
    """Do every line of advice on a design again; return how many there were."""
    counsel = counsel or Counsel(design, verdict_of(evaluate_finely(design)))
    failing = list(counsel.base.trial.failing)
    verdicts: dict[frozenset, dict] = {}  # limits often lead to the same change
    for key in failing:
        advice = counsel.advice(key)
        if advice.plan.names not in verdicts:
            verdicts[advice.plan.names] = done_again(design, advice)
        again = verdicts[advice.plan.names]
        holds = all(row.state not in ("FAIL", "depends") for row in again.get(key, []))
        assert holds == advice.holds, advice.sentence
        assert advice.holds or advice.sentence.startswith("nothing that was tried")
        for other in advice.effects.fixed:
            assert all(row.state != "FAIL" for row in again.get(other, []))
        for other in advice.effects.broken:
            assert any(row.state in ("FAIL", "depends") for row in again[other])
        said = re.search(r"then ([−-]?[\d.e+]+)", advice.sentence)
        if said and key in again:
            assert advice.plan.trial.figures[key].text(advice.plan.trial.figures[key].value) == said[1]
    return len(failing)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_line_of_advice_on_random_designs_does_what_it_says(seed: int) -> None:
    assert does_what_it_says(random_design(seed))


def test_every_line_of_advice_on_the_engine_as_built_does_what_it_says(built: Counsel) -> None:
    assert does_what_it_says(built.base.trial.design, built) == 15


def test_a_line_of_advice_names_its_entry_and_its_work(built: Counsel) -> None:
    """A gap that is 0.13 mm on the drawing and 0.08 mm short of nothing under load is opened by a rod."""
    said = built.advice("gap").sentence
    assert re.search(r"rods \(yokes\.\w+\.rod\.length\) from [\d.]+ mm to [\d.]+ mm: then 0\.1\d+ mm, holds", said)
    assert "make 2" in said


def test_the_three_best_changes_are_each_tried_upon_those_before_and_bring_it_nearer(built: Counsel) -> None:
    short = [built.base.trial.shortfall, *(plan.trial.shortfall for plan in built.best)]
    assert len(built.best) == 3
    assert all(one > other for one, other in pairwise(short))
    steps = [len(plan.steps) for plan in built.best]
    assert all(fewer < more for fewer, more in pairwise([0, *steps]))
    # Where the counterweights are made, they are put where they do the most: no part is made twice.
    parts = [work_of(plan.steps[count:]).make for count, plan in zip([0, *steps], built.best, strict=False)]
    names = [name for made in parts for name, _ in made]
    assert len(names) == len(set(names))
    assert dict(built.best[0].work.make) == {"counterweight": 4}


def test_what_only_the_case_changes_is_judged_as_if_all_were_judged_again(built: Counsel) -> None:
    """Other feet, and a plate under the case: every row, of the case and of all else, is that of the design alone."""
    base = built.base.trial
    dials = [dial for dial in built.dials if dial.paths[0].startswith("mount.")]
    assert len(dials) >= 2
    for dial in dials:
        level = next(each for each in dial.levels if each.edits(base.design))
        near, alone = tried(level.of(base.design), base), tried(level.of(base.design))
        assert [row.key for row in near.rows] == [row.key for row in alone.rows]
        for one, other in zip(near.rows, alone.rows, strict=True):
            assert (one.state, one.what) == (other.state, other.what)
            assert one.value is None or np.all(np.asarray(one.value) == np.asarray(other.value))


@pytest.mark.parametrize("name", ["as-built", "redesign", "rhombic"])
def test_a_quick_look_sees_what_the_whole_verdict_sees(name: str) -> None:
    """For a handful of changes the shortfall of each limit is that of the design alone, to what its angles leave."""
    base = start(read(SHIPPED / f"{name}.yaml"))
    looks = look(base, free_choices(base.trial.design))
    for place in range(0, len(looks.steps), len(looks.steps) // 4):
        alone = tried(looks.steps[place].level.of(base.trial.design))
        if alone.why_not:
            assert looks.total[place] >= ILLEGAL
            continue
        seen = {*looks.seen.missed} - {*STRENGTH_KEYS, CRITICAL, TORSIONAL}
        failing = {key for key, missed in looks.seen.missed.items() if missed[1 + place] > 0}
        # It leaves out vibration, by which shafts too thin fail a limit more: all else it sees alike.
        still = verdict_of(Evaluation(alone.design, without_vibration=True))
        assert failing & seen == {row.key for row in still if row.state == "FAIL"} & seen
        assert failing & seen <= set(alone.failing)
        assert failing & (seen - {*STILL}) == set(alone.failing) & (seen - {*STILL})


def same(one: Any, other: Any) -> None:
    if is_dataclass(one):
        assert type(one) is type(other)
        for each in fields(one):
            if each.name == "doubts":
                continue  # what is not known of a number stands about the number in the file
            same(getattr(one, each.name), getattr(other, each.name))
    elif isinstance(one, dict):
        assert one.keys() == other.keys()
        for key in one:
            same(one[key], other[key])
    elif isinstance(one, tuple):
        assert len(one) == len(other)
        for pair in zip(one, other, strict=True):
            same(*pair)
    elif isinstance(one, float):
        assert one == pytest.approx(other, rel=1e-9, abs=1e-15)
    elif not isinstance(one, np.ndarray):
        assert one == other


@pytest.mark.parametrize("file", [SHIPPED / "as-built.yaml", SHIPPED / "redesign.yaml", FAN])
def test_every_stock_value_is_written_into_the_file_as_it_was_tried(file: Path) -> None:
    """The first and last value of every choice: the file with it is read again and is the design that was tried."""
    tree, words = read_tree(file), file.read_text("utf-8")
    design = design_of(tree, file)
    for level in (level for dial in free_choices(design) for level in dial.levels[:: max(1, len(dial.levels) - 1)]):
        made, edits = level.of(design), level.edits(design)
        if not edits or tried_illegal(made):
            continue
        values = {edit.keys: text(edit.value, unit_at(design, edit.keys)) for edit in edits}
        written = with_entries(words, tree, values)
        same(made, design_of(parse(written, file.name), file))
        assert written.count("#") == words.count("#")  # no comment is lost


def tried_illegal(design: Design) -> bool:
    try:
        checked(design)
    except ValueError:
        return True
    return False


def test_entries_are_added_where_there_are_none() -> None:
    words = "a:\n  b: 1   # first\n  c: {d: 2}\ne: {}\nf: 3\n"
    tree = parse(words, "text")
    written = with_entries(words, tree, {("a", "x"): "4", ("a", "c", "y", "z"): "5", ("e", "w"): "6", ("f",): "[7, 8]"})
    assert written == "a:\n  b: 1   # first\n  c: {d: 2, y: {z: 5}}\n  x: 4\ne: {w: 6}\nf: [7, 8]\n"


def test_an_option_takes_further_changes_and_the_design_stays_as_it_is() -> None:
    """The last change of an entry holds, so one that a pattern set before is set anew beside it."""
    words = (
        "rods: {long: 3, short: 2}   # kept\noptions:\n"
        "  wide:\n    rods.*: 5   # as it was\n  thin: {rods.long: 4, shafts: {}}\nshafts: {left: {at: 1}}\n"
    )
    tree = parse(words, "text")
    values = {("rods", "long"): "7", ("shafts", "left", "by", "more"): "8", ("shafts", "left", "by", "less"): "9"}
    wide = with_option(words, tree, "wide", values)
    assert wide.replace("    rods.long: 7\n    shafts.left.by: {more: 8, less: 9}\n", "") == words
    thin = with_option(words, tree, "thin", {("rods", "long"): "7"})
    assert thin == words.replace("rods.long: 4", "rods.long: 7")
    made = changes.changed(parse(wide, "text"), "wide")
    assert [leaf.value for leaf in made.entries["rods"].entries.values()] == ["7", "5"]


SHORT = ("length: 65.2 mm", "length: 64.55 mm")
NARROW = "may_change: [yokes.*.rod.length, flywheel.on]\n"


def test_mending_finds_the_rods_and_the_wheel_and_its_file_checks(tmp_path: Path) -> None:
    """In an option of a design. A displacer rod 0.65 mm too short closes the gap; a wheel on one shaft rocks the case.

    Rods a little longer would do in the middle of what is not known, but not in 19 of 20 machines.
    """
    file = spoilt(
        tmp_path,
        ("length: 65.2 mm", "length: 64.55 mm"),
        ("{on: both", "{on: right"),
        ("speed:\n", NARROW + "options:\n  slower: {speed.most: 1499 rpm}\n\nspeed:\n"),
    )
    out = tmp_path / "mended.yaml"
    result = run("mend", str(file), "--option", "slower", "-o", str(out))
    assert result.exit_code == 0, result.stdout
    assert result.stdout.startswith("MENDED")
    assert "Fails: vibration, speed fluctuation, gap" in result.stdout
    assert run("check", str(out), "--option", "slower").exit_code == 0
    text = out.read_text("utf-8")
    added = text.partition("{speed.most: 1499 rpm, ")[2].partition("}")[0]
    assert text.replace(", " + added, "") == file.read_text("utf-8")  # nothing else changed
    assert "flywheel.on: both" in added
    assert "yokes.displacer.rod.length" in added


def gone(*_) -> None:
    """Fail as writing does where its reader went away."""
    raise BrokenPipeError


@pytest.mark.parametrize(
    ("short", "enough", "show", "ended"),
    [("64.55 mm", "65 mm", mending._show, 0), ("2.5413386 in", "2.559055 in", gone, 1)],
)
def test_mending_a_design_changes_its_own_entries(tmp_path: Path, monkeypatch, short, enough, show, ended) -> None:
    """In the unit in which the file has them: 65 mm are 2.5590551 in. Though nobody reads what is shown."""
    monkeypatch.setattr(mending, "_show", show)
    file = spoilt(
        tmp_path, (SHORT[0], f"length: {short}"), ("speed:\n", "may_change: [yokes.displacer.rod.length]\nspeed:\n")
    )
    out = tmp_path / "mended.yaml"
    assert CliRunner().invoke(group, ["mend", str(file), "-o", str(out)]).exit_code == ended
    pairs = zip(file.read_text("utf-8").splitlines(), out.read_text("utf-8").splitlines(), strict=True)
    (new,) = [new for old, new in pairs if old != new]
    assert new.strip().startswith(f"rod: {{length: {enough},")


def test_what_is_kept_is_kept_and_nothing_is_written_that_does_not_pass(tmp_path: Path) -> None:
    file = spoilt(tmp_path, SHORT, ("speed:\n", NARROW + "speed:\n"))
    out = tmp_path / "mended.yaml"
    result = run("mend", str(file), "--keep", "yokes.*.rod", "-o", str(out))
    assert result.exit_code == 1
    assert "gap comes to" in result.stdout
    assert not out.exists()
    assert run("mend", str(file), "--keep", "yokes.displacr").exit_code == 2


def test_the_nearest_is_written_where_it_is_asked_for_and_none_passes(tmp_path: Path) -> None:
    """A longer rod keeps the yokes apart; that one wheel alone rocks the case is left."""
    narrow = "may_change: [yokes.displacer.rod.length]\nspeed:\n"
    file = spoilt(tmp_path, SHORT, ("{on: both", "{on: right"), ("speed:\n", narrow))
    out = tmp_path / "nearest.yaml"
    result = run("mend", str(file), "-o", str(out), "--nearest")
    assert result.exit_code == 1
    (told,) = [line for line in result.stdout.splitlines() if line.startswith("wrote ")]
    assert told.endswith("the nearest, which still fails vibration, speed fluctuation")
    assert failing_in(out) == {"vibration", "speed_fluctuation"} < failing_in(file)
    kept = run("mend", str(file), "--keep", "yokes", "-o", str(tmp_path / "no.yaml"), "--nearest")
    assert "not written" in kept.stderr  # nothing may change, so nothing is nearer
    assert not (tmp_path / "no.yaml").exists()


def failing_in(file: Path) -> set[str]:
    return {row.key for row in tried(read(file)).rows if row.state == "FAIL"}


def test_the_least_change_is_found_with_nothing_that_is_not_needed(tmp_path: Path) -> None:
    file = spoilt(
        tmp_path, ("length: 65.2 mm", "length: 64.55 mm"), ("speed:\n", "may_change: [yokes.*.rod.length]\nspeed:\n")
    )
    found = mend(read(file))
    (plan,) = found.plans
    assert families(plan) == ("rods",)
    (step,) = plan.steps
    # Guards may ask for a step or two more than draws would; half of the way does not hold in nearly all machines.
    now, then = (float(each.split()[0]) for each in (step.dial.now, step.level.shown))
    lengths = {level: float(level.shown.split()[0]) - now for level in step.dial.levels}
    nearer = [level for level, away in lengths.items() if away * (then - now) > 0 and abs(away) < abs(then - now)]
    before = planned(found.base.trial, (Step(step.dial, nearer[len(nearer) // 2]),))
    assert not drawn(before).settled.trial.passes


def test_what_passes_is_left_alone() -> None:
    result = run("mend", str(SHIPPED / "redesign.yaml"))
    assert result.exit_code == 0
    assert "nothing to mend" in result.stdout


def test_a_shaft_takes_its_bearings_hub_and_webs_along() -> None:
    design = read(SHIPPED / "redesign.yaml")
    dial = next(each for each in free_choices(design) if each.name == "shafts with their bearings")
    for level in dial.levels:
        made = level.of(design)
        bore = float(made.shafts.segments[-1].diameter)
        assert all(float(each.ball.bore) == bore for each in made.shafts.bearings)
        assert float(made.counterweights.smallest_radius) >= bore / 2 + 1.9e-3
        assert float(made.cranks.webs[0].width) >= bore + 3.9e-3


def test_own_stock_narrows_what_is_offered(tmp_path: Path) -> None:
    (tmp_path / "mine.yaml").write_text("shafts: [12 mm]\nbearings: [[12 mm, 28 mm, 8 mm]]\n", "utf-8")
    for said in ("stock: mine.yaml\n", "stock: {shafts: [12 mm], bearings: [[12 mm, 28 mm, 8 mm]]}\n"):
        design = read(spoilt(tmp_path, ("speed:\n", f"{said}speed:\n")))
        dial = next(each for each in free_choices(design) if each.name == "shafts with their bearings")
        assert [level.shown for level in dial.levels] == ["12 mm on 12 x 28 x 8 mm bearings"]


def test_no_plate_that_meets_a_rod_and_no_foot_that_is_crushed() -> None:
    design = read(SHIPPED / "redesign.yaml")
    for dial in free_choices(design):
        for level in dial.levels:
            made = level.of(design)
            if made.mount.feet is not design.mount.feet:
                each = float(made.mount.feet.stiffnesses[1]) / 4
                assert float(made.mount.mass) * 9.80665 / 4 / each <= 0.015
            rods = [(float(made.throw_of(yoke).at), float(yoke.rod.thickness)) for yoke in made.yokes.values()]
            if made.counterweights.thickness != design.counterweights.thickness:
                half = float(made.counterweights.thickness) / 2
                apart = [
                    abs(float(z) - at) - half - thick / 2 for z in made.counterweights.planes for at, thick in rods
                ]
                before = [
                    abs(float(z) - at) - 0.005 - thick / 2 for z in design.counterweights.planes for at, thick in rods
                ]
                assert min(apart) >= min(0.5e-3, min(before)) - 1e-9


def nearest_rod(weights: Counterweights, rods: list[tuple[float, float]]) -> float:
    """Return the least way along the shafts between a weight and a rod (place, thickness)."""
    half = float(weights.thickness) / 2
    return min(abs(float(z) - at) - half - thick / 2 for z in weights.planes for at, thick in rods)


def test_what_a_quick_look_is_blind_to_has_choices_of_its_own(tmp_path: Path) -> None:
    """A hole narrower than the stem is bored out to the nearest size that clears it: 6.1 mm for a stem of 6 mm."""
    words = (SHIPPED / "rhombic.yaml").read_text("utf-8")
    file = tmp_path / "narrow.yaml"
    file.write_text(words.replace("hole: 6.4 mm", "hole: 5.9 mm"), "utf-8")
    counsel = Counsel(read(file), verdict_of(evaluate_finely(read(file))))
    assert counsel.base.trial.failing == ("stem_holes",)
    found = counsel.advice("stem_holes")
    (step,) = found.plan.steps
    assert (found.holds, step.dial.paths, step.level.shown) == (True, ("yokes.piston.hole",), "6.1 mm")
    assert [plan.trial.failing for plan in counsel.best] == [()]


def test_what_fails_by_vibration_alone_is_helped_too(tmp_path: Path) -> None:
    """Without vibration the slope at the gears is 0.451 mrad, with it 0.466; allowed are 0.458 here."""
    words = (SHIPPED / "rhombic.yaml").read_text("utf-8")
    file = tmp_path / "stricter.yaml"
    file.write_text(words.replace("limits: {", "limits: {slope_at_gears: 0.458 mrad, "), "utf-8")
    design = read(file)
    assert "slope_at_gears" not in tried(design, still=True).failing
    counsel = Counsel(design, verdict_of(evaluate_finely(design)))
    assert counsel.base.trial.failing == ("slope_at_gears",)
    assert [plan.trial.failing for plan in counsel.best] == [()]
    assert counsel.advice("slope_at_gears").holds


def test_a_second_wheel_stands_where_it_clears_the_first(tmp_path: Path) -> None:
    """Wheels of 90 mm on shafts 52 mm apart cannot stand beside each other: 18 mm and 2 mm behind it does."""
    file = spoilt(tmp_path, ("{on: both, at: 52 mm, left_at: 72 mm", "{on: right, at: 52 mm"))
    design = read(file)
    (dial,) = [dial for dial in free_choices(design) if dial.paths == ("flywheel.on",)]
    assert dial.levels[0].shown == "both, the left one at 72 mm"
    assert float(dial.levels[0].of(design).flywheel.left_at) == pytest.approx(0.072)


def test_a_mass_that_moves_with_a_crankpin_moves_the_web_s_centre() -> None:
    """Of a web the pin's mass is a part: its moment grows by the pin's mass times the way that it is moved."""
    design = read(SHIPPED / "redesign.yaml")
    dial = next(each for each in free_choices(design) if each.name == "radius of the inner throw")
    level = next(each for each in dial.levels if each.shown == "9.5 mm")
    pin = design.cranks.throws["inner"].pin
    mass = np.pi / 4 * float(pin.diameter) ** 2 * float(pin.length) * float(design.shafts.material.density)
    place = min((0, 1), key=lambda n: abs(float(design.cranks.webs[n].at) - float(design.cranks.throws["inner"].at)))
    old, new = (each.cranks.webs[place] for each in (design, level.of(design)))
    assert new.mass * new.cg[1] - old.mass * old.cg[1] == pytest.approx(mass * 0.5e-3, abs=2e-7)
