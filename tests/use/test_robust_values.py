"""Whatever a design file says, the answer is a finite verdict and finite tables, or what is wrong, and where.

Warnings are errors in these tests, so that a silent overflow or 0/0 on the way to an answer shows. What is drawn is
read by the command and judged; what is advised upon a verdict judges other designs alike and takes far longer, so a
few of the odd ones alone go all the way.
"""

import json
import math
import re
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner, Result
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from use.test_reading_fuzz import VALUES, paths_of, with_value

from designs.command import group, halves
from designs.command.inputs import SHIPPED
from designs.counsel.advised import judge
from designs.design import Design
from designs.evaluate import Evaluation, evaluate_finely

TREES = {file.stem: yaml.load(file.read_text("utf-8"), yaml.BaseLoader) for file in sorted(SHIPPED.glob("*.yaml"))}
for each in TREES.values():
    each.pop("options", None)
NUMBER = re.compile(r"(-?[0-9.]+(?:e-?[0-9]+)?)( .*)?")


def at(node, path):
    for key in path:
        node = node[key]
    return node


NUMBERS = {
    name: [path for path in paths_of(tree) if isinstance(at(tree, path), str) and NUMBER.fullmatch(at(tree, path))]
    for name, tree in TREES.items()
}
FACTORS = (0.0, 1e-12, 1e-6, 1e-3, 0.5, 0.99, 1.0001, 1.5, 3.0, 100.0, 1e6, 1e12, -1.0)


def check(text: str, folder: Path, command: str = "shafts") -> Result:
    """Judge a text: a finite verdict and a command's plain finite JSON, or status 2 and a message with the name."""
    file = folder / "fan.yaml"
    file.write_text(text, "utf-8")
    made: list[Evaluation] = []

    def kept(design: Design) -> Evaluation:
        made.append(evaluate_finely(design))
        return made[-1]

    with pytest.MonkeyPatch.context() as patch:  # what the command works out is judged, too, and not worked out again
        patch.setattr(halves, "evaluate_finely", kept)
        result = CliRunner().invoke(group, [command, str(file), "--json"])
    assert result.exception is None or isinstance(result.exception, SystemExit), repr(result.exception)
    if result.exit_code == 2:
        assert result.stderr.startswith(str(file))
        assert "allowed:" in result.stderr
        return result
    assert result.exit_code in (0, 1, 3)
    assert result.stderr == ""
    finite(json.loads(result.stdout))
    if command != "check":
        for row in judge(made[0]):
            assert not any(math.isnan(value) for value in (row.value, row.limit) if value is not None), row.key
    return result


def finite(value) -> None:
    """Assert that data holds no number that is none."""
    if isinstance(value, dict | list):
        for each in value.values() if isinstance(value, dict) else value:
            finite(each)
    elif isinstance(value, float):
        assert math.isfinite(value)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("fuzz")


few = settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))


@few
@given(st.data())
def test_numbers_far_from_the_usual(folder: Path, data: st.DataObject) -> None:
    """One to three numbers multiplied by zero, by little, or by much."""
    name = data.draw(st.sampled_from(list(TREES)))
    tree = TREES[name]
    for path in data.draw(st.lists(st.sampled_from(NUMBERS[name]), min_size=1, max_size=3, unique=True)):
        number, unit = NUMBER.fullmatch(at(TREES[name], path)).groups()
        tree = with_value(tree, path, f"{float(number) * data.draw(st.sampled_from(FACTORS)):.12g}{unit or ''}")
    check(yaml.safe_dump(tree, sort_keys=False), folder)


@few
@given(st.data())
def test_entries_left_out_or_in_another_place(folder: Path, data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(list(TREES)))
    paths = [path for path in paths_of(TREES[name]) if path]
    to = data.draw(st.sampled_from(paths))
    value = data.draw(st.one_of(st.sampled_from(paths).map(lambda path: at(TREES[name], path)), VALUES))
    tree = with_value(TREES[name], to, value)
    check(yaml.safe_dump(tree, sort_keys=False, allow_unicode=True), folder)


@few
@given(st.data())
def test_any_bytes_in_the_middle(folder: Path, data: st.DataObject) -> None:
    text = (SHIPPED / "rhombic.yaml").read_bytes()
    start, length = data.draw(st.integers(0, len(text))), data.draw(st.integers(0, 60))
    content = text[:start] + data.draw(st.binary(max_size=12)) + text[start + length :]
    file = folder / "fan.yaml"
    file.write_bytes(content)
    result = CliRunner().invoke(group, ["balance", str(file), "--json"])
    assert result.exception is None or isinstance(result.exception, SystemExit), repr(result.exception)
    assert result.exit_code in (0, 1, 2, 3)
    assert (result.exit_code == 2) == bool(result.stderr)


# Cases that were wrong once, and corners of what is legal


def changed(name: str, **changes: str) -> str:
    """Return a shipped design with entries changed or added; keys are paths with two underscores between."""
    tree = TREES[name]
    for key, value in changes.items():
        *path, last = (int(each) if each.isdigit() else each for each in key.split("__"))
        inner = at(tree, path)
        inner = [*inner] if isinstance(inner, list) else {**inner}
        inner[last] = value
        tree = with_value(tree, path, inner)
    return yaml.safe_dump(tree, sort_keys=False)


ODD = {
    "a flywheel beside which the shaft weighs nothing": ("rhombic", {"flywheel__inertia": "9e5 kg m^2"}),
    "feet without any damping at resonance": ("as-built", {"mount__feet__damping_ratio": "0"}),
    "no flywheel inertia": ("as-built", {"flywheel__inertia": "0 kg m^2", "flywheel__mass": "0 kg"}),
    "from rest": ("as-built", {"speed__least": "0 rpm"}),
    "one speed alone": ("as-built", {"speed__least": "1000 rpm", "speed__most": "1000 rpm"}),
    "hardly turning": ("as-built", {"speed__least": "0 rpm", "speed__rated": "1e-9 rpm", "speed__most": "1e-9 rpm"}),
    "a rod that leans as far as it may": (
        "as-built", {"yokes__diaphragm__rod__length": "19.16 mm", "yokes__diaphragm__rod__cg": "5 mm",
                     "speed__least": "1000 rpm", "speed__most": "1000 rpm"}
    ),
    "alike in heat": ("as-built", {"gas__hot": "55 degC"}),
    "no dead volume": ("as-built", {"gas__dead": {"hot": "0 cm^3", "cold": "0 cm^3", "regenerator": "0 cm^3"}}),
    "bearings side by side": ("as-built", {"shafts__bearings__1__at": "5 mm"}),
    "bearings of card side by side": (
        "as-built", {f"shafts__bearings__{n}": {"at": f"{n * 0.1} mm", "ball": {
            "bore": "5 mm", "outside": "16 mm", "width": "0.1 mm"}, "seat_stiffness": "8 N/um"} for n in (0, 1)}
    ),
    "a throw of a hair": ("rhombic", {"cranks__throws__common__radius": "1e-6 mm"}),
    "a yoke without mass": ("as-built", {"yokes__displacer__parts": {"yoke": "0 g"}}),
    "rods straight up": ("rhombic", {"yokes__piston__half_span": "22 mm"}),
    "rods that meet": ("rhombic", {"yokes__piston__half_span": "0 mm", "yokes__piston__rod__length": "40 mm"}),
    "a million turns of phase": ("as-built", {"cranks__throws__outer__phase": "360090 deg"}),
}  # fmt: skip
ALL_THE_WAY = {"rhombic"}  # designs of which little fails, so that little is advised
MUCH_FAILS = {"rods that meet", "a throw of a hair", "a flywheel beside which the shaft weighs nothing"}


@pytest.mark.parametrize("odd", ODD)
def test_odd_but_legal(folder: Path, odd: str) -> None:
    name, changes = ODD[odd]
    command = "check" if name in ALL_THE_WAY and odd not in MUCH_FAILS else "shafts"
    assert check(changed(name, **changes), folder, command).exit_code in (0, 1, 3)


WRONG = {
    "two bearings in one place": ("rhombic", {"shafts__bearings__0__at": "22 mm"}, "where another bearing stands"),
    "bearings a hair apart": ("as-built", {"shafts__bearings__1__at": "1e-6 mm"}, "allowed: at least 5 mm from the"),
    "bearings half in one another": ("as-built", {"shafts__bearings__1__at": "2.5 mm"}, "allowed: at least 5 mm from"),
    "a bearing of no width": ("as-built", {"shafts__bearings__1__ball__width": "1e-9 mm"}, "at least 0.0001 m"),
    "a shaft of five kilometres": ("as-built", {"shafts__segments__0__diameter": "5e9 mm"}, "too large"),
    "flat teeth": ("as-built", {"cranks__gears__pressure_angle": "60 deg"}, "pressure_angle"),
    "a groove through the shaft": (
        "as-built",
        {"shafts__notches": [{"at": "12 mm", "kind": "groove", "depth": "2.5 mm"}]},
        "cuts the shaft through",
    ),
    "a hole as wide as the shaft": (
        "as-built",
        {"shafts__notches": [{"at": "12 mm", "kind": "cross hole", "diameter": "5 mm"}]},
        "cuts the shaft through",
    ),
    "a rod that does not reach": ("as-built", {"yokes__diaphragm__rod__length": "17.9 mm"}, "too short to reach"),
    "a yoke on no throw": ("as-built", {"yokes__displacer__throw": "third"}, "yokes.displacer.throw"),
}  # fmt: skip


@pytest.mark.parametrize(("name", "changes", "said"), WRONG.values(), ids=WRONG)
def test_wrong_and_named(folder: Path, name: str, changes: dict, said: str) -> None:
    result = check(changed(name, **changes), folder)
    assert result.exit_code == 2
    assert said in result.stderr
    assert re.search(r"fan\.yaml:[0-9]+", result.stderr)
