"""The moving machine as plain data: where everything stands at each crank angle, and what acts on it at each speed.

What grows with speed is kept apart as in the core, so the page's script scales it exactly. The gap also
depends on which way loads point, so it is given as computed at each speed of the slider.
"""

from base64 import b64encode
from collections.abc import Sequence
from typing import Any

import numpy as np

from balance.cycle.load import Load
from designs.evaluate import Evaluation
from designs.pages.lens import AT_ONCE, View, lens_words, seen, view
from designs.pages.side import SidePart
from designs.shown import RPM, shown
from designs.summary import tightest_pair
from shafts.gap.pair import YokePair

MOST_ANGLES = 144  # a smooth turn; a design that needs more for its harmonics is thinned out
MOST_SPEEDS = 60
STEPS = (5, 10, 20, 25, 50, 100, 200, 250, 500, 1000)


def packed(values: np.ndarray, kind: str = "<f8") -> str:
    """Return numbers as text that a script turns back into the very same numbers."""
    return b64encode(np.ascontiguousarray(values, dtype=kind).tobytes()).decode()


def slider_speeds(evaluation: Evaluation) -> np.ndarray:
    """Return the speeds of the slider, rpm: round steps from rest to overspeed, every given speed, and the worst."""
    top = float(evaluation.top_speed) * RPM
    step = next((each for each in STEPS if top / each < MOST_SPEEDS), np.ceil(top / MOST_SPEEDS))
    speed = evaluation.design.speed
    given = np.array([float(speed.least), float(speed.rated), float(speed.most), worst_speed(evaluation)]) * RPM
    # To a millionth of a turn a minute, so that a given speed on a round step is not there twice.
    return np.unique(np.round([*(np.arange(0, np.floor(top / step + 1e-9) + 1) * step), *given, top], 6))


def worst_speed(evaluation: Evaluation) -> float:
    """Return the running speed at which yokes come nearest, rad/s; the fastest where none can meet."""
    pair = tightest_pair(evaluation)
    return float(evaluation.design.speed.most) if pair is None else evaluation.tightest_speed(pair)


def ticks(evaluation: Evaluation) -> list[tuple[float, str]]:
    """Return what is marked along the slider of speeds: its place, from 0 to 1, and a word."""
    rpm, speed = slider_speeds(evaluation), evaluation.design.speed
    marked = [(float(speed.least) * RPM, "slowest"), (float(speed.most) * RPM, "fastest")]
    pair = tightest_pair(evaluation)
    contact = np.inf if pair is None else evaluation.contact(pair) * RPM
    marked += [(contact, "first contact")] if np.isfinite(contact) else []
    return [(float(np.interp(at, rpm, np.linspace(0, 1, rpm.size))), f"{name} {at:.0f}") for at, name in marked]


def nearest_of(evaluation: Evaluation) -> int:
    """Return which of its pairs of yokes comes nearest at running speeds; -1 without any."""
    pair = tightest_pair(evaluation)
    return -1 if pair is None else evaluation.pairs.index(pair)


def thinning(count: int) -> int:
    """Return of how many crank angles one is shown, so that what is shown still goes evenly round the turn."""
    return next(every for every in range(1, count + 1) if count % every == 0 and count // every <= MOST_ANGLES)


def frames(
    evaluation: Evaluation, sides: Sequence[SidePart] = (), rpm: np.ndarray | None = None, glass: View | None = None
) -> dict[str, Any]:
    """Return everything that the moving drawing needs, in SI but for speeds in rpm; numbers are packed.

    sides : parts of the view from the side at the angles shown, mm.   rpm : the speeds that it can be seen at; those of
    the slider if left out, and then with what takes its time, the lens and the speed of first contact.
    glass : how the lens shows it, if not as it shows best.
    """
    whole, rpm = rpm is None, slider_speeds(evaluation) if rpm is None else rpm
    start = worst_speed(evaluation) * RPM if whole else rpm[0]
    every = thinning(evaluation.motion.theta.size)
    speed = evaluation.design.speed
    return {
        "units": {kind: list(shown(kind)) for kind in ("m", "N")},
        "nearest": max(nearest_of(evaluation), 0),
        "angles": len(evaluation.motion.theta[::every]),
        "rpm": packed(rpm),
        "start": int(np.argmin(np.abs(rpm - start))),
        "range": [float(speed.least) * RPM, float(speed.most) * RPM],
        "yokes": [_yoke(evaluation, name, every) for name in evaluation.motion.yokes],
        "shaking": {
            "x": _curve(evaluation, evaluation.shaking.x, every),
            "y": _curve(evaluation, evaluation.shaking.y, every),
        },
        "pairs": [_pair(pair, rpm / RPM, every) | ({"contact": _contact(evaluation, pair)} if whole else {})
                  for pair in evaluation.pairs],
        "sides": {number: [packed(part.low, "<f4"), packed(part.high, "<f4")]
                  for number, part in enumerate(sides) if part.moving},
        "lens": _lens(evaluation, rpm / RPM, glass) if whole else [],
    }  # fmt: skip


def _contact(evaluation: Evaluation, pair: YokePair) -> float | None:
    contact = evaluation.contact(pair)
    return contact * RPM if np.isfinite(contact) else None


def _lens(evaluation: Evaluation, speeds: np.ndarray, glass: View | None) -> list[tuple[str, str, str, str, str]]:
    """Return what the lens shows at each speed: both faces and overlap as paths, the number, and what is said."""
    pair = tightest_pair(evaluation)
    shown = None if pair is None else glass or view(evaluation, pair)
    if shown is None:
        return []
    return [
        (each.upper, each.lower, each.between, each.words, lens_words(shown, each, float(speed)))
        for each, speed in zip(seen(shown, speeds), speeds, strict=True)
    ]


def _curve(evaluation: Evaluation, values: Any, every: int) -> str:
    return packed(np.broadcast_to(values, evaluation.motion.theta.shape)[::every])


def _load(evaluation: Evaluation, load: Load, every: int) -> dict[str, str]:
    return {"steady": _curve(evaluation, load.steady, every), "growing": _curve(evaluation, load.inertia, every)}


def _yoke(evaluation: Evaluation, name: str, every: int) -> dict[str, Any]:
    moved, forces = evaluation.motion.yokes[name], evaluation.forces[name]
    yoke = evaluation.machine.yokes[name]
    found: dict[str, Any] = {
        "name": name,
        "height": _curve(evaluation, moved.height, every),
        "pin_x": _curve(evaluation, moved.pin.x, every),
        "pin_y": _curve(evaluation, moved.pin.along, every),
        "pivot": None if yoke.rod is None else float(yoke.half_span),
    }
    for hand in ("right", "left"):
        pull = getattr(forces.pin, hand)
        found[hand] = {"x": _load(evaluation, pull.x, every), "y": _load(evaluation, pull.y, every)}
    return found


def _pair(pair: YokePair, speeds: np.ndarray, every: int) -> dict[str, Any]:
    # A few speeds at a time: all of them with every item, place and angle would take gigabytes where angles are many.
    few = max(1, AT_ONCE // pair.facing.nominal.size)
    parts = [_at_speeds(pair, speeds[start : start + few], every) for start in range(0, speeds.size, few)]
    gap, least_of, angle, worst, blame = (np.concatenate(each) for each in zip(*parts, strict=True))
    return {
        "name": f"{pair.upper} over {pair.lower}",
        "gap": packed(gap, "<f4"),
        "least": packed(least_of),
        "angle": packed(angle),
        "worst": packed(worst),
        "blame": [int(each) for each in blame],
        "items": list(pair.items(0.0)),
    }


def _at_speeds(pair: YokePair, speeds: np.ndarray, every: int) -> tuple[np.ndarray, ...]:
    """Return the gap at the shown angles, the least gap and its angle, the worst case, and what takes the most."""
    shape = (speeds.size, *pair.facing.nominal.shape)
    items = [np.broadcast_to(each, shape) for each in pair.items(speeds).values()]
    gaps = pair.facing.nominal + sum(items)  # as pair.clearances does, which would work all items out once more
    gap = np.min(gaps, axis=-2)
    least_of, angle = pair.least(speeds)
    tightest = np.argmin(gaps.reshape(speeds.size, -1), axis=-1)
    taken = np.stack([each.reshape(speeds.size, -1)[np.arange(speeds.size), tightest] for each in items])
    return gap[:, ::every], least_of, angle, pair.least(speeds, "worst")[0], np.argmin(taken, axis=0)
