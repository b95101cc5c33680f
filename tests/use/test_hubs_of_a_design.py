"""How gears, wheels and counterweights are held on their shafts, as a file says it and people read it."""

from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest
from click.testing import CliRunner

from balance.machine.joint import CrossPin, Hub, Joint
from balance.machine.materials import MATERIALS
from designs.changing.edit import edited
from designs.command import group
from designs.counsel.aimed import aimed
from designs.counsel.free import free_choices, hubs
from designs.counsel.plan import start
from designs.design import Design
from designs.evaluate import Evaluation
from designs.fixings import fixing, held
from designs.parts import parts
from designs.reading import read, read_text
from designs.shown import using
from designs.stock import stock_with
from designs.tables import strength
from designs.verdict import parts as part_rows
from designs.verdict import rows_of
from shafts.along import sitting

DESIGNS = Path(__file__).parents[2] / "designs"
STEEL = MATERIALS["steel"]


@pytest.fixture(scope="module")
def redesign() -> Design:
    return read(DESIGNS / "redesign.yaml")


@pytest.fixture(scope="module")
def as_built() -> Design:
    return read(DESIGNS / "as-built.yaml")


def with_hubs(design: Design, gear: Hub | None, wheel: Hub | None) -> Design:
    assert design.cranks.gears is not None
    assert design.flywheel is not None
    gears = replace(design.cranks.gears, hub=gear)
    return replace(design, cranks=replace(design.cranks, gears=gears), flywheel=replace(design.flywheel, hub=wheel))


@pytest.mark.parametrize(
    ("joint", "words", "imperial"),
    [
        (
            Hub(kind="set screws", thread="M3", length=0.01),
            "1 set screw M3, 10 mm long",
            "1 set screw M3, 0.3937 in long",
        ),
        (Hub(kind="set screws", thread="M3", number=2), "2 set screws M3", "2 set screws M3"),
        (Hub(kind="clamped", thread="M4", tightening=2.8), "clamped by 1 screw M4", "clamped by 1 screw M4"),
        (Hub(kind="pinned", pin=CrossPin(diameter=0.002)), "pinned, 2 mm across", "pinned, 0.0787 in across"),
        (
            Joint(kind="pressed", interference=8e-6),
            "pressed, interference at least 8 um",
            "pressed, interference at least 0.315 thou",
        ),
        (Joint(kind="pressed"), "pressed", "pressed"),
        (Joint(kind="screwed", thread="M4"), "screwed, M4", "screwed, M4"),
        (Joint(kind="glued", length=0.006), "glued, 6 mm deep", "glued, 0.2362 in deep"),
        (None, "", ""),
    ],
)
def test_what_holds_is_said_in_the_units_that_people_see(joint: Joint | None, words: str, imperial: str) -> None:
    assert held(joint) == words
    with using("imperial"):
        assert held(joint) == imperial


def test_what_holds_hubs_is_bought(redesign: Design) -> None:
    clamped = Hub(kind="clamped", thread="M3", tightening=1.2, number=2, length=0.008)
    found = {(each.name, each.of, each.size, each.note): each.count for each in parts(Evaluation(redesign))}
    assert found["cross pin", "as the shaft", "round 2.5 mm, 20 mm long", "hub of the gear"] == 2
    assert found["set screw", "cup point", "M4, up to 8 mm long", "hub of the flywheel"] == 4
    assert found["flywheel fixing", "2 set screws M4", "outside 26 mm, hub 12 mm long", ""] == 2
    keyed = with_hubs(redesign, clamped, Hub(kind="keyed", length=0.018))
    found = {(each.name, each.note): each.count for each in parts(Evaluation(keyed)) if each.bought}
    assert found["clamp screw", "hub of the gear; tighten to 1.2 N m"] == 4
    assert found["key", "hub of the flywheel"] == 2
    sizes = {each.name: each.size for each in parts(Evaluation(keyed))}
    assert sizes["key"] == "3 x 3 x 18 mm"  # of a shaft of 10 mm
    bare = with_hubs(redesign, None, Hub(kind="screwed", thread="M6", tightening=2.0))
    found = {each.name: (each.of, each.size, each.note) for each in parts(Evaluation(bare))}
    assert found["gear fixing"] == ("not given", "", "give cranks.gears.hub")
    assert found["nut"] == ("steel", "M6", "hub of the flywheel")


def test_a_hub_wider_than_its_gear_is_in_the_way_of_what_stands_beside_it(redesign: Design) -> None:
    assert redesign.cranks.gears is not None
    wide = with_hubs(redesign, Hub(kind="glued", length=0.020), redesign.flywheel and redesign.flywheel.hub)
    assert {float(each.length) for each in sitting(wide, "right") if each.name == "right gear"} == {0.020}
    found = {row.key: row for row in rows_of(Evaluation(wide))}
    assert found["axial_room"].state == "FAIL"  # 12 mm beside a bearing that ends at 4 mm


def test_a_hub_longer_than_the_shaft_or_tighter_than_it_bears_does_not_pass(redesign: Design) -> None:
    long = with_hubs(redesign, None, Hub(kind="glued", length=0.04))
    assert "flywheel on the shaft" in state(long, "pin_seats", "FAIL")
    tight = with_hubs(redesign, Hub(kind="pressed", interference=1e-4, length=0.008), None)
    assert "gear, by its interference" in state(tight, "pin_seats", "FAIL")


def state(design: Design, key: str, wanted: str) -> str:
    row = next(each for each in rows_of(Evaluation(design)) if each.key == key)
    assert row.state == wanted
    return f"{row.what} {row.words}"


@pytest.mark.parametrize(
    "hub",
    [
        Hub(kind="set screws", thread="M2", length=0.008),
        Hub(kind="clamped", thread="M2", tightening=0.1, length=0.008, outside=0.022),
        Hub(kind="pressed", interference=1e-6, length=0.008),
        Hub(kind="pinned", pin=CrossPin(diameter=0.0005), length=0.008),
        Hub(kind="glued", length=0.0005),
        Hub(kind="soldered", length=0.0002),
    ],
)
def test_every_hub_that_slips_has_choices_of_which_the_best_holds(redesign: Design, hub: Hub) -> None:
    """Each as it stands in the design that results: larger screws hold more than smaller ones, and so on."""
    weak = with_hubs(redesign, hub, hub)
    before = grip(weak)
    found = {dial.name: dial for dial in hubs.dials(weak, stock_with(weak.stock)) if dial.name.startswith("hub")}
    assert {*found} == {"hub of the gears", "hub of the flywheel"}
    (gear, wheel) = (dial.levels for dial in found.values())
    both = (edited(edited(weak, one.edits(weak)), other.edits(weak)) for one, other in product(gear[-4:], wheel[-4:]))
    assert before < 2 < max(map(grip, both))
    assert all(dial.now == fixing(hub) and dial.aims == ("hub_grip",) for dial in found.values())


def grip(design: Design) -> float:
    row = next(each for each in part_rows.rows(Evaluation(design)) if each.key == "hub_grip")
    assert row.value is not None
    return float(row.value)


@pytest.mark.parametrize(
    ("hub", "what"),
    [
        (Hub(kind="set screws", thread="M12", length=0.03), "gear beneath its M12"),
        (Hub(kind="set screws", thread="M6", length=0.008), "gear along its M6"),
        (Hub(kind="set screws", thread="M4", length=0.008, outside=0.015), "gear around the shaft"),
        (Hub(kind="clamped", thread="M3", tightening=1.0, length=0.008, outside=0.018), "gear around the shaft"),
        (Hub(kind="pinned", pin=CrossPin(diameter=0.003), length=0.004), "gear along its 3 mm pin"),
        (Hub(kind="glued", length=0.008, outside=0.009), "gear around the shaft"),
    ],
)
def test_a_hub_without_room_for_what_holds_it_does_not_pass(redesign: Design, hub: Hub, what: str) -> None:
    assert what in state(with_hubs(redesign, hub, None), "pin_seats", "FAIL")


@pytest.mark.parametrize(
    ("entries", "complaint"),
    [
        ("kind: clamped, thread: M3, tightening: 20 N m", "tightening: read 20 N m; allowed: at most 2.2 N m"),
        ("kind: set screws, thread: M3, tightening: 1 N m", "none here, it belongs to kind: clamped"),
        ("kind: keyed, interference: 5 um", "interference: read an entry beside kind: keyed; allowed: none here"),
    ],
)
def test_what_no_screw_bears_or_another_kind_has_is_refused(entries: str, complaint: str) -> None:
    words = (DESIGNS / "redesign.yaml").read_text("utf-8")
    old = "hub: {kind: pinned, length: 8 mm, outside: 20 mm, pin: {diameter: 2.5 mm}}"
    assert old in words
    with pytest.raises(ValueError, match="hub") as refused:
        read_text(words.replace(old, f"hub: {{length: 8 mm, outside: 20 mm, {entries}}}"))
    assert complaint in str(refused.value)


def test_what_passes_into_a_hub_and_what_it_holds_stand_in_a_table(redesign: Design) -> None:
    table = next(each for each in strength.tables(Evaluation(redesign)) if each.key == "hubs")
    at = [column.key for column in table.columns]
    rows = {row[0]: dict(zip(at, row, strict=True)) for row in table.rows}
    assert [*rows] == ["right gear", "right flywheel", "left gear", "left flywheel"]
    assert rows["right gear"]["held_torque"] / rows["right gear"]["torque"] > grip(redesign) > 2
    bare = next(each for each in strength.tables(Evaluation(with_hubs(redesign, None, None))) if each.key == "hubs")
    assert [row[1] for row in bare.rows][:2] == ["give cranks.gears.hub", "give flywheel.hub"]


@pytest.mark.parametrize("hub", [None, Hub(kind="one piece", length=0.01), Hub(kind="keyed")])
def test_what_is_not_told_or_of_one_piece_has_no_choice(redesign: Design, hub: Hub | None) -> None:
    design = with_hubs(redesign, hub, hub)
    assert not [dial for dial in hubs.dials(design, stock_with(design.stock)) if dial.levels]


PINS = [f"pinned, {each} mm across" for each in ("2", "2.5", "3", "4")]


@pytest.mark.parametrize(
    ("hub", "shown"),
    [
        (Hub(kind="pressed", interference=25e-6, length=0.008),
         ["pressed, interference at least 27 um", "pressed, interference at least 29 um", *PINS]),
        (Hub(kind="set screws", thread="M4", length=0.008, outside=0.017),
         ["2 set screws M4", *PINS, "clamped by 1 screw M2", "pressed, interference at least 20 um"]),
        (Hub(kind="clamped", thread="M2", tightening=0.3, length=0.005, outside=0.0195),
         [*PINS, "clamped by 1 screw M2.5", "clamped by 1 screw M3", "pressed, interference at least 20 um"]),
    ],
)  # fmt: skip
def test_choices_have_room_in_hub_and_shaft(redesign: Design, hub: Hub, shown: list[str]) -> None:
    """On 10 mm: no more interference than 30 um, no screw that its wall or length is too thin for."""
    design = with_hubs(redesign, hub, None)
    found = next(dial for dial in hubs.dials(design, stock_with(design.stock)) if dial.name == "hub of the gears")
    assert [each.shown for each in found.levels] == shown


def test_a_hub_may_be_as_long_as_what_it_holds_or_as_short_as_half_its_shaft(redesign: Design) -> None:
    keyed = Hub(kind="keyed", length=0.006)
    levels = {
        dial.name: dial.levels for dial in hubs.dials(with_hubs(redesign, keyed, keyed), stock_with(redesign.stock))
    }
    assert [each.shown for each in levels["length of the hub of the gears"]] == ["7 mm", "8 mm", "5 mm"]
    assert levels["length of the hub of the flywheel"][5].work.words == "make 2 hubs of the flywheel"
    assert not levels["hub of the gears"]


def test_no_choice_is_left_of_a_wheel_that_another_change_took_away(redesign: Design) -> None:
    found = [dial for dial in hubs.dials(redesign, stock_with(redesign.stock)) if dial.name == "hub of the flywheel"]
    assert found[0].levels[0].edits(replace(redesign, flywheel=None)) == ()


def test_a_weight_on_the_shaft_asks_how_it_is_held_once_it_is_fitted(as_built: Design) -> None:
    assert as_built.counterweights is not None
    bare = replace(as_built, counterweights=replace(as_built.counterweights, hub=None))
    fitted = replace(bare, counterweights=replace(bare.counterweights, fitted=True))  # type: ignore[type-var]
    assert "counterweights.hub" not in state(bare, "hub_grip", "FAIL")
    row = next(each for each in rows_of(Evaluation(fitted)) if each.key == "hub_grip")
    assert "counterweights.hub" in row.unlooked


@pytest.mark.usefixtures("unadvised")
def test_what_is_missing_is_named_beside_what_fails(tmp_path: Path) -> None:
    words = (DESIGNS / "redesign.yaml").read_text("utf-8")
    wheel = "material: steel,\n   hub: {kind: set screws, thread: M4, number: 2, length: 12 mm, outside: 26 mm}}"
    assert wheel in words
    path = tmp_path / "fan.yaml"
    slips = words.replace(wheel, "material: steel}")
    path.write_text(slips.replace("pin: {diameter: 2.5 mm}", "pin: {diameter: 5.1 mm}"), "utf-8")
    shown = CliRunner().invoke(group, ["check", str(path)])
    assert "Not wholly checked: hub grip; give flywheel.hub." in shown.output
    path.write_text(slips, "utf-8")
    assert "Not checked: hub grip; give flywheel.hub." in CliRunner().invoke(group, ["check", str(path)]).output


def test_a_gear_off_the_shaft_wants_a_longer_shaft_and_not_a_shorter_hub() -> None:
    words = (DESIGNS / "redesign.yaml").read_text("utf-8")
    assert words.count("    at: 12 mm\n") == 1
    off = start(read_text(words.replace("    at: 12 mm\n", "    at: 92 mm\n")), still=True)
    assert {"on_shaft", "pin_seats"} <= set(off.trial.failing)
    better = aimed(off, free_choices(off.base.design), "pin_seats", None)
    assert [step.dial.name for step in better.steps] == ["longer shafts"]
    assert not better.trial.failing


def test_a_flywheel_that_slips_is_helped_by_what_holds_it(tmp_path: Path) -> None:
    path = tmp_path / "fan.yaml"
    words = (DESIGNS / "redesign.yaml").read_text("utf-8")
    weak = words.replace(
        "thread: M4, number: 2, length: 12 mm, outside: 26 mm", "thread: M2, length: 12 mm, outside: 26 mm"
    )
    path.write_text(weak, "utf-8")
    shown = CliRunner().invoke(group, ["check", str(path)])
    assert shown.exit_code == 1
    assert "1. hub of the flywheel from 1 set screw M2 to" in shown.output
    mended = CliRunner().invoke(group, ["mend", str(path), "-o", str(tmp_path / "better.yaml")])
    assert mended.exit_code == 0, mended.output
    assert CliRunner().invoke(group, ["check", str(tmp_path / "better.yaml")]).exit_code == 0
