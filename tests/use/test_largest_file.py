"""Files with very much in them: refused with the number allowed, or worked out in little memory and time."""

import copy
import gc
import json
import math
import re
import subprocess
import sys
import weakref
from pathlib import Path
from typing import Any

import pytest
import yaml

from balance.machine.crank import Cranks
from balance.machine.machine import Machine
from balance.machine.mount import Feet, Mount
from balance.machine.yoke import Outline, Yoke
from balance.quantities import Most, mark
from designs.command.inputs import SHIPPED
from designs.command.new import FURTHER
from designs.counsel import trial
from designs.design import Design
from designs.evaluate import Evaluation, evaluate_finely
from designs.reading import BadFile, read, read_text
from designs.verdict import counterweights
from shafts.shaft import Shaft

TREE = yaml.load((SHIPPED / "redesign.yaml").read_text("utf-8"), yaml.BaseLoader)


def most(cls: type, name: str) -> int:
    """Return how many a definition allows of something."""
    return mark(next(each.type for each in cls.__dataclass_fields__.values() if each.name == name), Most).count


def ring(count: int, x: float, y: float) -> list[list[str]]:
    turns = (2 * math.pi * place / count for place in range(count))
    return [[f"{x + 5 * math.cos(turn):.4f} mm", f"{y + 5 * math.sin(turn):.4f} mm"] for turn in turns]


def with_counts(whole: dict[str, Any] = TREE) -> dict[str, Any]:
    """Return a design with as many of everything as is allowed."""
    tree = copy.deepcopy(whole)
    count = {
        name: most(cls, name)
        for cls, name in [
            *((Shaft, "segments"), (Shaft, "bearings"), (Shaft, "notches"), (Cranks, "throws"), (Cranks, "webs")),
            *((Machine, "yokes"), (Machine, "walls"), (Yoke, "parts"), (Outline, "polygon"), (Feet, "places")),
            *((Mount, "points"), (Design, "materials"), (Design, "options")),
        ]
    }
    shafts, cranks, mount = tree["shafts"], tree["cranks"], tree["mount"]
    pieces = count["segments"]
    shafts["segments"] = [{"length": f"{63 / pieces} mm", "diameter": f"{10 - n % 2 / 10} mm"} for n in range(pieces)]
    one = shafts["bearings"][0]
    places = [30 * n / (count["bearings"] - 1) for n in range(count["bearings"])]
    narrow = one | {"ball": one["ball"] | {"width": "4 mm"}}
    shafts["bearings"] = [{**narrow, "at": f"{at} mm"} for at in places]
    notch = {"kind": "groove", "depth": "0.3 mm", "fillet": "0.3 mm"}
    shafts["notches"] = [{**notch, "at": f"{0.2 + n} mm"} for n in range(count["notches"])]
    inner = next(iter(cranks["throws"].values()))
    for number in range(count["throws"] - len(cranks["throws"])):
        cranks["throws"][f"throw {number}"] = {**inner, "at": f"{-60 - 12 * number} mm"}
    cranks["webs"] += [{"at": f"{-n} mm", "mass": "1 g"} for n in range(count["webs"] - len(cranks["webs"]))]
    piston = {key: value for key, value in tree["yokes"]["piston"].items() if key != "carries"}
    for number in range(count["yokes"] - len(tree["yokes"])):
        at = -60 - 12 * number
        outline = {"rectangle": ["60 mm", "8 mm"], "z": [f"{at - 4} mm", f"{at + 4} mm"]}
        tree["yokes"][f"yoke {number}"] = {**piston, "throw": f"throw {number}", "outline": outline}
    for each in tree["yokes"].values():
        each["parts"] = {f"part {n}": "1 g" for n in range(count["parts"])}
    tree["walls"] = {
        f"wall {n}": {"polygon": ring(count["polygon"], 90, 12 * n - 100), "z": ["-40 mm", "0 mm"]}
        for n in range(count["walls"])
    }
    around = ring(max(count["places"], 3), 0, 0)
    mount["feet"]["places"] = [[x, "-90 mm", y] for x, y in around]
    mount["points"] = {f"point {n}": ["0 mm", f"{n} mm", "0 mm"] for n in range(count["points"])}
    material = {"density": "7850 kg/m^3", "young": "200 GPa", "shear": "80 GPa"}
    tree["materials"] = {f"metal {n}": material for n in range(count["materials"])}
    tree["options"] = {f"option {n}": {"limits.gap": f"{n + 1} um"} for n in range(count["options"])}
    return tree


USED = """
import os, resource, sys
from pathlib import Path
for name in ("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[name] = "1"
from designs.doubt import under_doubt
from designs.evaluate import evaluate_finely
from designs.reading import read
from designs.counsel.advised import judge
evaluation = evaluate_finely(read(sys.argv[1]))
under_doubt(evaluation, judge(evaluation))
used = resource.getrusage(resource.RUSAGE_SELF)
# Its ru_maxrss would count what the process held from which this one was split off.
most = next(line for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM"))
print(most.split()[1], used.ru_utime + used.ru_stime)
"""


def used(path: Path) -> tuple[int, float]:
    """Return the kilobytes and the seconds of processor time that a verdict takes, with all that is not known drawn.

    What is advised upon it tries other designs, each for about as much.
    """
    ended = subprocess.run([sys.executable, "-c", USED, str(path)], capture_output=True, text=True, check=True)
    kilobytes, seconds = ended.stdout.split()
    return int(kilobytes), float(seconds)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="kilobytes are counted otherwise elsewhere")
def test_the_largest_legal_file_takes_little(tmp_path: Path) -> None:
    """500 MB; and no more time than a few of the shipped design, whatever this machine has to do besides."""
    path = tmp_path / "largest.yaml"
    path.write_text(json.dumps(with_counts()), "utf-8")
    kilobytes, seconds = used(path)
    _, usual = used(SHIPPED / "redesign.yaml")
    print(kilobytes, seconds, usual)
    assert kilobytes < 500_000
    assert seconds < 4 * usual


def with_every_entry(path: Path) -> Path:
    """Return a file with every entry that a new design offers, and as many of each as may be.

    300 critical speeds lie within its range.
    """
    path.unlink(missing_ok=True)
    parts = [SHIPPED / "redesign.yaml", FURTHER]
    text = "\n".join(part.read_text("utf-8") for part in parts)
    offered = re.sub(r"^#: ?", "", "\n".join(line for line in text.splitlines() if line.startswith("#:")), flags=re.M)
    whole = merged(yaml.load(text, yaml.BaseLoader), yaml.load(offered, yaml.BaseLoader))
    path.write_text(json.dumps(with_counts(whole)), "utf-8")
    return path


def merged(one: dict[str, Any], other: dict[str, Any]) -> dict[str, Any]:
    both = dict(one)
    for key, value in other.items():
        both[key] = merged(both[key], value) if isinstance(value, dict) and isinstance(both.get(key), dict) else value
    return both


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="kilobytes are counted otherwise elsewhere")
def test_a_file_with_every_entry_takes_little(tmp_path: Path) -> None:
    """500 MB, with the first change that is advised on each of its limits' account."""
    kilobytes, _ = used(with_every_entry(tmp_path / "every.yaml"))
    assert kilobytes < 500_000


def test_what_a_tried_change_was_worked_out_from_is_let_go() -> None:
    """Rows of a trial hold numbers and words alone, and nothing that was worked out holds itself."""
    gc.collect()
    gc.disable()
    try:
        made = []
        with pytest.MonkeyPatch.context() as patched:
            patched.setattr(trial, "evaluate_finely", lambda design: kept(made, evaluate_finely(design)))
            found = trial.tried(read(SHIPPED / "as-built.yaml"))
        assert found.failing
        assert made
        assert not any(each() for each in made)
    finally:
        gc.enable()


def test_words_that_wait_hold_nothing_of_what_was_worked_out() -> None:
    """Rows of drawn machines are kept while one after the other is worked out: each would hold 100 MB."""
    gc.collect()
    gc.disable()
    try:
        evaluation = evaluate_finely(read(SHIPPED / "redesign.yaml"))
        rows, held = list(counterweights.rows(evaluation)), weakref.ref(evaluation)
        assert any(callable(row.advice) for row in rows)
        del evaluation
        assert held() is None
    finally:
        gc.enable()


def kept(made: list[Any], evaluation: Evaluation) -> Evaluation:
    made.append(weakref.ref(evaluation))
    return evaluation


def too_many(path: tuple[str, ...]) -> dict[str, Any]:
    tree = with_counts()
    part: Any = tree
    for key in path:
        part = part[key]
    if isinstance(part, dict):
        part["one more"] = next(iter(part.values()))
    else:
        part.append(part[-1])
    return tree


@pytest.mark.parametrize(
    "path",
    [
        *(("shafts", "segments"), ("shafts", "bearings"), ("shafts", "notches"), ("cranks", "throws")),
        *(("cranks", "webs"), ("yokes",), ("yokes", "piston", "parts"), ("walls",), ("walls", "wall 0", "polygon")),
        *(("mount", "feet", "places"), ("mount", "points"), ("materials",), ("options",)),
    ],
    ids=".".join,
)
def test_one_more_is_refused_with_the_number_allowed(path: tuple[str, ...]) -> None:
    with pytest.raises(BadFile) as refused:
        read_text(json.dumps(too_many(path)), "fan.yaml")
    said = str(refused.value)
    assert ".".join(path) in said
    assert "of them; allowed: at most" in said


def test_a_path_of_very_many_keys_is_refused() -> None:
    text = yaml.safe_dump(TREE) + f"options:\n  deep:\n    ? {'a.' * 100_000}a\n    : 1 mm\n"
    from designs.reading import design_of
    from designs.reading.changes import changed
    from designs.reading.source import parse

    with pytest.raises(BadFile, match="at most 40"):
        design_of(changed(parse(text, "fan.yaml"), "deep"))
