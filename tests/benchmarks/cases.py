"""What is timed: one design, many options of it, the command from cold, and the same forces by mujoco."""

import os
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from itertools import product
from pathlib import Path

import numpy as np

from balance.many import one, picked, planted
from designs.design import Design
from designs.evaluate import Evaluation, evaluate_finely
from designs.many.chunks import CHUNK, split
from designs.options import batch
from designs.options.varying import variation
from designs.reading import design_of, read, read_tree
from designs.verdict import MANY, rows_of
from designs.verdict.figure import of_limits

ROOT = Path(__file__).parents[2]
DESIGN = ROOT / "designs" / "redesign.yaml"
SHIPPED = ("as-built", "counterweighted", "redesign", "rhombic")
RUN_UP = 32  # speeds, as in the picture of it
RANGES = {
    "cranks.throws.outer.radius": ("mm", 11.5, 12.5),
    "yokes.displacer.rod.length": ("mm", 64.6, 66.0),
    "yokes.displacer.parts.displacer.mass": ("g", 30.0, 40.0),
    "shafts.segments.*.diameter": ("mm", 6.0, 12.0),
    "shafts.bearings.1.at": ("mm", 24.0, 34.0),
}
"""Entries that vary, in the units of the file: throws, rods, masses, shafts and bearings all at once."""


def options(count: int) -> Design:
    """Return a design of as many random options."""
    tree, generator = read_tree(DESIGN), np.random.default_rng(0)
    design = design_of(tree, DESIGN)
    for path, (unit, least, most) in RANGES.items():
        entry = variation(f"{path}={least} {unit}..{most} {unit}", tree, design, any_size=True)
        design = planted(design, entry.targets, entry.si(generator.uniform(least, most, count)))
    return design


def limits(design: Design) -> tuple[str, ...]:
    """Return the limits that are judged for many options at once."""
    return tuple(batch.limits_of(Evaluation(design)))


CORE = ("shaking_force", "gap", "contact", "slope_at_bearings", "slope_at_gears", "deflection_at_gears",
        "bearing_life", "static_safety", "bearing_speed")  # fmt: skip
"""Motion, all loads, counterweights, deflection of the shafts, bearings, gap and contact; no mount, no teeth."""


def judged(design: Design, keys: tuple[str, ...], workers: int | None = None) -> int:
    """Judge all options and return how many pass; nothing is kept, as in a search of any length."""
    return sum(int(np.sum(each.passes)) for each in batch.judge_many(split(design), keys, workers=workers))


def rate(count: int, keys: tuple[str, ...] | None = None) -> float:
    """Return how many options are judged in a second, by all limits or by those with `keys`."""
    design, keys = options(count), keys or limits(one(options(1), 0))
    start = time.perf_counter()
    judged(design, keys)
    return count / (time.perf_counter() - start)


def one_by_one(count: int) -> float:
    """Return how many options a plain loop over single designs judges in a second, by the same limits."""
    designs = [one(options(count), place) for place in range(count)]
    start = time.perf_counter()
    for design in designs:
        evaluation = Evaluation(design)
        evaluation.__dict__["vibrates"] = False  # the batch does not look at that either
        of_limits([row for source in MANY for row in source.rows(evaluation)])
    return count / (time.perf_counter() - start)


def dynamics(name: str, runs: int = 5) -> float:
    """Return the least time of a processor for all vibration of the shafts of a shipped design, s.

    Its equations, the speeds at which they vibrate most, what they do there, critical speeds by name, and a run-up.
    """
    design, found = read(ROOT / "designs" / f"{name}.yaml"), []
    for _ in range(runs):
        evaluation = evaluate_finely(design)
        assert evaluation.still_shafts  # what the loads do by themselves is no vibration
        start, speeds = time.process_time(), np.linspace(float(design.speed.least), float(evaluation.top_speed), RUN_UP)
        vibration = evaluation.shaft_vibration
        vibration.share(np.array([float(each) for each in evaluation.every_speed]))
        assert evaluation.crossings is not None and vibration.whole(speeds).size
        found.append(time.process_time() - start)
    return min(found)


def without_vibration(name: str, runs: int = 5) -> float:
    """Return the least time of a processor for the verdict on a shipped design without vibration of its shafts, s."""
    design, found = read(ROOT / "designs" / f"{name}.yaml"), []
    for _ in range(runs):
        start = time.process_time()
        assert rows_of(Evaluation(design, without_vibration=True))
        found.append(time.process_time() - start)
    return min(found)


def forces_by_mujoco(count: int) -> float:
    """Return of how many designs mujoco finds the joint forces in a second: the same angles, the same three parts."""
    from engines.multibody import PARTS, Multibody

    designs = [one(options(count), place) for place in range(count)]
    start = time.perf_counter()
    for design in designs:
        evaluation = Evaluation(design)
        theta, pushes = evaluation.motion.theta, evaluation.gas.push
        body = Multibody(design, theta)
        for place, part in product(range(len(theta)), PARTS):
            values = {name: np.broadcast_to(getattr(each, part), theta.shape)[place] for name, each in pushes.items()}
            body.answer(place, part, values)
    return count / (time.perf_counter() - start)


def forces_of_many(count: int) -> float:
    """Return of how many designs the joint forces are found in a second, on one processor."""
    design = options(count)
    start = time.perf_counter()
    for begin in range(0, count, CHUNK):
        assert Evaluation(picked(design, slice(begin, begin + CHUNK))).forces
    return count / (time.perf_counter() - start)


def best_of(runs: int, timed: Callable[[], float]) -> float:
    """Return the largest of several rates: what the machine can do when nothing else runs."""
    return max(timed() for _ in range(runs))


def cold(*command: str, runs: int = 5) -> float:
    """Return the least time that a new Python takes for a command, s."""
    found = []
    for _ in range(runs):
        start = time.perf_counter()
        subprocess.run([sys.executable, *command], cwd=ROOT, stdout=subprocess.DEVNULL, check=False)
        found.append(time.perf_counter() - start)
    return min(found)


def cold_check() -> float:
    """Return how long `quietcrank check` takes from cold, s."""
    return cold("-c", f"from designs.command import group; group(['check', {str(DESIGN)!r}])")


def cold_imports() -> float:
    """Return how long Python takes to load the libraries that any such program needs, s."""
    return cold("-c", "import numpy, scipy.linalg, yaml")


def memory() -> float:
    """Return the most memory that this process and its children have held, MB."""
    unit = 1 if sys.platform == "darwin" else 1024
    return (
        max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)) * unit / 1e6
    )


def memory_of(count: int) -> float:
    """Return the most memory that judging so many options takes, MB, in a process of its own."""
    code = f"from benchmarks import cases; cases.rate({count}); print(cases.memory())"
    path = os.pathsep.join([str(ROOT), str(ROOT / "tests")])
    done = subprocess.run(
        [sys.executable, "-c", code], env=os.environ | {"PYTHONPATH": path}, capture_output=True, text=True, check=True
    )
    return float(done.stdout)
