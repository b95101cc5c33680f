"""Many options at once against the same options one by one, in this process, in others, and on a real cluster."""

from dataclasses import replace
from itertools import product
from pathlib import Path

import numpy as np
import pytest

from balance.errors import BadDesign
from balance.many import legal, one, picked, planted
from balance.motion import angle_count
from designs.evaluate import Evaluation
from designs.many.chunks import split
from designs.options import batch
from designs.options.figures import usual
from designs.options.varying import variation, varied
from designs.reading import design_of, read_text
from designs.reading.source import parse
from designs.verdict import MANY, STILL, gap
from designs.verdict.figure import of_limits

TEXT = (Path(__file__).parents[1] / "use" / "greenhouse-fan.yaml").read_text("utf-8")
FACING = TEXT.replace(
    "    carries: {kind: displacer",
    "    outline: {rectangle: [52 mm, 8 mm], z: [-40 mm, -20 mm]}\n    carries: {kind: displacer",
).replace("counterweights: none", "counterweights: {fitted: yes, thickness: 6 mm, largest_radius: 20 mm, at: -12 mm}")
RANGES = {
    "cranks.throws.second pin.radius": (0.011, 0.013),
    "cranks.throws.second pin.phase": (1.3, 1.9),
    "yokes.displacer.rod.length": (0.060, 0.068),
    "yokes.piston.half_span": (0.013, 0.016),
    "yokes.displacer.parts.displacer": (0.04, 0.08),
    "shafts.segments.*.diameter": (0.004, 0.009),
    "shafts.bearings.0.at": (-0.010, -0.006),
    "cranks.gears.backlash": (0.0, 1e-4),
    "gas.mean_pressure": (0.8e5, 2e5),
    "speed.most": (120.0, 200.0),
}


def many(count, seed=0, text=FACING, ranges=RANGES):
    """Return a design of as many random options."""
    tree, generator = parse(text, "fan"), np.random.default_rng(seed)
    design = design_of(tree)
    for path, (least, most) in ranges.items():
        design = planted(design, targets(path, tree, design), generator.uniform(least, most, count))
    return design


def targets(path, tree, design):
    unit = {"gas.mean_pressure": "Pa", "speed.most": "rad/s", "cranks.throws.second pin.phase": "rad"}.get(path, "m")
    unit = "kg" if ".parts." in path else unit
    return variation(f"{path}=1 {unit},2 {unit}", tree, design, any_size=True).targets


def limits_alone(design):
    evaluation = Evaluation(design, without_vibration=True)
    return of_limits([row for source in MANY for row in source.rows(evaluation)])


def agree(design, verdicts, places):
    for place in places:
        alone = limits_alone(one(design, int(place)))
        for row, key in enumerate(verdicts.keys):
            if alone[key].value is not None:
                np.testing.assert_allclose(
                    verdicts.values[row, place], float(alone[key].value), rtol=1e-12, atol=1e-15, err_msg=key
                )
            assert verdicts.passed[row, place] == (alone[key].passed is None or bool(alone[key].passed)), key


KEYS = tuple(limits_alone(one(many(1), 0)))


def test_options_together_are_what_they_are_alone():
    design = many(40)
    verdicts = batch.judge_options(design, KEYS)
    assert np.all(verdicts.legal)
    agree(design, verdicts, range(0, 40, 2))


def test_limits_that_vibration_bears_upon_say_that_many_are_judged_without_it():
    """By name; one alone counts it, and says what it comes to."""
    rows = [row for source in MANY for row in source.rows(Evaluation(many(3)))]
    silent = {row.key for row in rows if "vibration of the shafts is left out" not in row.unlooked}
    assert {row.key for row in rows if row.key in STILL and row.checked}.isdisjoint(silent)
    assert silent.isdisjoint(STILL) or not any(row.checked for row in rows if row.key in silent & set(STILL))
    assert {row.key for row in rows} - silent <= set(STILL)
    alone = [row for source in MANY for row in source.rows(Evaluation(one(many(3), 0)))]
    assert not any("vibration of the shafts" in row.unlooked for row in alone)
    still = {
        row.key: row.value
        for source in MANY
        for row in source.rows(Evaluation(one(many(3), 0), without_vibration=True))
    }
    changed = {row.key for row in alone if row.value is not None and not np.allclose(row.value, still[row.key])}
    assert changed
    assert changed <= set(STILL)


def test_each_room_says_which_limits_it_judges():
    evaluation = Evaluation(many(20))
    for source in MANY:
        assert {row.key for row in source.rows(evaluation)} <= set(source.KEYS)
    assert len({key for source in MANY for key in source.KEYS}) == sum(len(source.KEYS) for source in MANY)


@pytest.mark.parametrize("key", KEYS)
def test_a_limit_asked_for_alone_is_what_it_is_among_all(key):
    design = many(20)
    alone, among = batch.judge_options(design, (key,)), batch.judge_options(design, KEYS)
    np.testing.assert_array_equal(alone.of(key), among.of(key))
    np.testing.assert_array_equal(alone.passed[0], among.passed[KEYS.index(key)])


def test_options_that_touch_at_a_speed_do_so_at_the_speed_at_which_they_would_alone():
    ranges = {"yokes.displacer.rod.length": (0.0652, 0.0659), "shafts.segments.*.diameter": (0.0024, 0.0036)}
    design = many(120, ranges=ranges)
    verdicts = batch.judge_options(design, KEYS)
    contact = verdicts.of("contact")
    at_a_speed = np.flatnonzero((contact > 0) & np.isfinite(contact))
    assert len(at_a_speed) >= 5
    assert np.any(contact == 0)
    assert np.any(np.isinf(contact))
    agree(design, verdicts, [*at_a_speed, *range(5)])


def test_the_tightest_angle_and_its_speed_are_those_found_alone():
    design = many(40)
    together = gap.rows(Evaluation(design))[0]
    for place in range(0, 40, 4):
        evaluation = Evaluation(one(design, place))
        evaluation.__dict__["vibrates"] = False
        alone = gap.rows(evaluation)[0]
        np.testing.assert_allclose(together.speed[place], alone.speed, rtol=1e-12)
        np.testing.assert_allclose(together.angle[place], alone.angle, rtol=1e-9)


def test_options_that_need_more_angles_are_what_they_are_alone():
    ranges = {"yokes.displacer.rod.length": (0.0222, 0.06), "cranks.throws.second pin.radius": (0.011, 0.0129)}
    design = many(60, ranges=ranges)
    counts = np.where(legal(design, 60), angle_count(design), 0)
    assert len(set(counts)) > 2
    verdicts = batch.judge_options(design, KEYS)
    # One rod from 22 to 60 mm: the displacer yoke changes from the lower to the higher one on the way.
    agree(design, verdicts, [int(np.flatnonzero(counts == each)[0]) for each in set(counts) - {0}])


def test_what_does_not_vary_may_be_left_a_single_number():
    few = varied(design_of(parse(FACING, "fan")), "yokes.displacer.rod.length", [0.062, 0.064, 0.066])
    all_arrays = varied(few, "limits.gap", np.full(3, 1e-4))
    found, other = (batch.judge_options(design, KEYS) for design in (few, all_arrays))
    np.testing.assert_array_equal(found.values, other.values)


@pytest.mark.parametrize("seed", range(3))
def test_legal_options_are_those_that_can_be_built_alone(seed):
    ranges = {
        "yokes.displacer.rod.length": (0.016, 0.028),
        "cranks.centre_distance": (0.0475, 0.0485),
        "shafts.bearings.0.at": (-0.03, 0.0),
        "shafts.segments.*.diameter": (-0.001, 0.009),
        "speed.most": (60.0, 120.0),
        "counterweights.largest_radius": (-0.01, 0.02),
    }
    text = FACING.replace("centre distance", "centre_distance").replace(
        "at: -12 mm}", "at: -12 mm, smallest_radius: 8 mm}"
    )
    design = many(60, seed, text, ranges)
    found = legal(design, 60)
    for place in range(60):
        single = one(design, place)
        assert found[place] == _can_be_built(single), place
    assert 0 < np.sum(found) < 60


def _can_be_built(part):
    """Make every definition again, with its checks."""
    if isinstance(part, tuple):
        return all(_can_be_built(each) for each in part)
    if isinstance(part, dict):
        return all(_can_be_built(each) for each in part.values())
    if not hasattr(part, "__dataclass_fields__"):
        return True
    try:
        replace(part)
    except BadDesign:
        return False
    return all(_can_be_built(getattr(part, name)) for name in part.__dataclass_fields__)


def test_options_that_cannot_be_built_do_not_touch_the_others():
    tree = parse(FACING, "fan")
    design = design_of(tree)
    lengths = np.array([0.062, 0.010, 0.066, np.nan])
    mixed = planted(design, targets("yokes.displacer.rod.length", tree, design), lengths)
    verdicts = batch.judge_options(mixed, KEYS)
    assert list(verdicts.legal) == [True, False, True, False]
    assert not np.any(verdicts.passes[[1, 3]])
    np.testing.assert_array_equal(verdicts.values[:, [0, 2]], batch.judge_options(picked(mixed, [0, 2]), KEYS).values)
    with pytest.raises(BadDesign):
        varied(design, "yokes.displacer.rod.length", lengths)


def test_columns_that_only_tables_have_are_worked_out_one_by_one():
    design = many(3)
    found = batch.judge_options(design, ("strokes.stroke[displacer]", "contact.contact_worst"))
    for place in range(3):
        evaluation = Evaluation(one(design, place))
        stroke = evaluation.strokes["displacer"].length
        np.testing.assert_allclose(found.of("strokes.stroke[displacer]")[place], stroke, rtol=1e-12)
        worst = usual(evaluation, "contact.contact_worst")
        np.testing.assert_allclose(found.of("contact.contact_worst")[place], worst.value, rtol=1e-12)


def test_processes_give_what_this_process_gives(monkeypatch):
    design = many(90)
    blocks = list(split(design, 20))
    here = list(batch.judge_many(blocks, KEYS, workers=1))
    there = list(batch.judge_many(blocks, KEYS, workers=2))
    for one_block, other in zip(here, there, strict=True):
        np.testing.assert_array_equal(one_block.values, other.values)
    monkeypatch.setattr("designs.many.chunks.CHUNK", 7)
    for one_block, other in zip(here, batch.judge_many(blocks, KEYS, workers=1), strict=True):
        np.testing.assert_allclose(one_block.values, other.values, rtol=1e-12)


@pytest.mark.filterwarnings("ignore")  # what the cluster's own libraries warn of is not ours to mend
def test_a_real_cluster_gives_what_this_process_gives():
    distributed = pytest.importorskip("distributed")
    design = many(60)
    blocks = list(split(design, 20))
    here = list(batch.judge_many(blocks, KEYS, workers=1))
    local = {"n_workers": 1, "threads_per_worker": 1, "processes": True, "dashboard_address": None}
    with distributed.LocalCluster(**local) as cluster, distributed.Client(cluster) as client:
        there = list(batch.judge_many(blocks, KEYS, executor=client.get_executor()))
    for one_block, other in zip(here, there, strict=True):
        np.testing.assert_array_equal(one_block.values, other.values)


def test_blocks_are_drawn_as_they_are_needed():
    drawn = []

    def blocks():
        for number in range(50):
            drawn.append(number)
            yield many(2, number)

    found = batch.judge_many(blocks(), ("shaking_force",), workers=1)
    next(found)
    assert len(drawn) <= 2


@pytest.mark.parametrize(("mixed", "aim"), list(product((True, False), ("shaking_force", "gap"))))
def test_single_figures_follow_their_own_entries(mixed, aim):
    """A heavier yoke shakes more, and a longer rod opens the gap, in whatever order the options come."""
    entry = {"shaking_force": "yokes.displacer.parts.displacer", "gap": "yokes.displacer.rod.length"}[aim]
    least, most = {"shaking_force": (0.05, 0.08), "gap": (0.064, 0.067)}[aim]
    tree, design = (
        parse(TEXT if aim == "shaking_force" else FACING, "fan"),
        read_text(TEXT if aim == "shaking_force" else FACING),
    )
    if aim == "shaking_force":
        text = TEXT.replace("limits: {", "limits: {shaking force: 40 N, ")
        tree, design = parse(text, "fan"), read_text(text)
    values = np.linspace(least, most, 30)
    if mixed:
        values = np.random.default_rng(0).permutation(values)
    found = batch.judge_options(planted(design, targets(entry, tree, design), values), (aim,)).of(aim)
    assert np.all(np.diff(found[np.argsort(values)]) > 0)
