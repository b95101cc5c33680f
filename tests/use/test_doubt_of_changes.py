"""What is not known of a design with a change is what its file, with the change written into it, leaves open."""

import re
from pathlib import Path

import pytest

from designs.counsel.free import free_choices
from designs.counsel.guards import as_written
from designs.counsel.plan import MAKING, Plan, Step, changed_entries
from designs.counsel.trial import Trial
from designs.design import Design
from designs.doubt.unknowns import unknowns_of
from designs.options.writing import with_entries
from designs.reading import BadFile, read_text
from designs.reading.source import parse
from designs.shown import file_words, using

DESIGNS = Path(__file__).parents[2] / "designs"
SOFT = "seat_stiffness: 5..30 N/um"
INERTIA = 2e-3  # inertia of a rod is written to three digits


def text_of(name: str) -> str:
    """Return a shipped design; "soft" is one whose seats are known within a range, and one of them not at all."""
    if name != "soft":
        return (DESIGNS / f"{name}.yaml").read_text("utf-8")
    text = text_of("as-built")
    assert text.count("seat_stiffness: 8 N/um") == 2
    return text.replace("seat_stiffness: 8 N/um", SOFT, 1).replace(", seat_stiffness: 8 N/um", "", 1)


def ends(design: Design) -> dict[tuple[str, ...], tuple[float, float]]:
    """Return the ends of every range but those of making."""
    entries = (each for unknown in unknowns_of(design) for each in unknown.entries)
    return {path: (range_.low, range_.high) for path, range_ in entries if range_.law != MAKING}


def with_step(text: str, step: Step) -> str:
    return with_entries(text, parse(text, "here"), changed_entries(read_text(text), (step,)))


@pytest.mark.parametrize("name", ["as-built", "counterweighted", "redesign", "rhombic", "soft"])
def test_a_change_is_judged_with_what_its_file_leaves_open(name: str) -> None:
    text = text_of(name)
    design = read_text(text)
    base, looked = Trial(design, []), 0
    for dial in free_choices(design):
        step = Step(dial, dial.levels[-1])
        if not step.level.edits(design):
            continue
        try:
            read = read_text(with_step(text, step))
        except BadFile:
            continue  # it cannot be built
        tried = as_written(Plan(base, (step,), Trial(step.level.of(design), [])))
        found, wanted = ends(tried), ends(read)
        assert found.keys() == wanted.keys(), dial.name
        for path, range_ in found.items():
            assert range_ == pytest.approx(wanted[path], rel=INERTIA, abs=1e-12), (dial.name, path)
        looked += 1
    assert looked > 40


def test_a_shaft_that_is_described_anew_keeps_the_ranges_of_the_file_and_what_it_left_out() -> None:
    """Cut short, the left one is told whole: 12.2 N/um, the middle of 5..30, is nobody's number."""
    text = text_of("redesign")
    first, second = (line for line in text.splitlines() if "seat_stiffness" in line)
    given = re.search(r"seat_stiffness: [^,}]+", first)
    text = text.replace(first, first.replace(given[0], SOFT)).replace(
        second, re.sub(r", seat_stiffness: [^,}]+", "", second)
    )
    design = read_text(text)
    dial = next(each for each in free_choices(design) if each.name == "one flywheel past the other shaft's end")
    said = changed_entries(design, (Step(dial, dial.levels[0]),))[("shafts", "left")]
    assert said.count("seat_stiffness") == 1
    assert SOFT in said
    with using("imperial"):
        assert SOFT in file_words(said, to_write=True)
