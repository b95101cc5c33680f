"""What helps a case that vibrates, lifts or falls over: each line was tried, and says what came of it."""

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from balance.case.causes import alone
from balance.case.isolation import Outcome, apart, heavier, outcome, stiffer, watched, worst_velocity
from balance.case.loads import CaseLoads
from balance.case.running import lift_off
from balance.case.vibration import nearest_meeting
from balance.machine.mount import Mount
from designs.evaluate import Evaluation
from designs.shown import RPM, said

HEAVIER = np.array([1.25, 1.5, 2.0, 3.0])
STIFFER = np.array([0.5, 2.0, 1 / 3, 3.0, 0.2, 5.0, 0.1, 10.0])
APART = np.array([1.25, 1.5, 2.0])
"""Factors that are tried, the mildest first; a case thrice as heavy is as far as a maker would go."""

TRIED = "a case up to 3 times as heavy, feet up to 10 times as soft or as stiff"

Trial = tuple[str, Outcome]


def vibration_change(evaluation: Evaluation) -> str:
    """Return what shakes the case most, where, and which of the changes tried keeps it within the limit."""
    limit = float(evaluation.design.limits.vibration)
    found = [cause(evaluation)]
    assert evaluation.case is not None
    worst = float(_at_worst(evaluation))
    meeting = nearest_meeting(evaluation.case, worst)
    if meeting is not None:
        order, own = meeting
        found.append(
            f"order {order} meets the case's resonance at {own / (2 * np.pi):.1f} Hz near {worst * RPM:.0f} rpm"
        )
    tried = [(word, float(each.real)) for word, each in _trials(evaluation)]
    return "; ".join([*found, _chosen(tried, limit, lambda value: f"{_three(value * 1e3)} mm/s")])


def lifting_change(evaluation: Evaluation) -> str:
    """Return from which speed on a foot lifts, and which of the changes tried keeps all feet down."""
    assert evaluation.case is not None
    limit = float(evaluation.design.limits.uplift)
    speed = lift_off(evaluation.case, evaluation.case_loads, evaluation.design.speed, evaluation.design.gravity)
    found = [] if speed is None else [f"a foot leaves the bench from {speed * RPM:.0f} rpm on"]
    tried = [(word, float(each.uplift)) for word, each in _trials(evaluation, spread=True)]
    return "; ".join([*found, _chosen(tried, limit, _three)])


def standing_change(evaluation: Evaluation) -> str:
    """Return which of the changes tried lets the case stand."""
    limit, mount = float(evaluation.design.limits.standing), evaluation.mount
    assert mount is not None
    tried = [(word, float(each.standing)) for word, each in _mounts(evaluation, mount, spread=True)]
    return _chosen(tried, limit, _three, at_least=True)


def cause(evaluation: Evaluation) -> str:
    """Return in words which cause alone shakes the case most, and how much."""
    word, velocity = max(causes(evaluation).items(), key=lambda each: each[1])
    return f"mostly {word} ({said(velocity, 'm/s', '.3g')} by itself)"


def causes(evaluation: Evaluation) -> dict[str, float]:
    """Return the worst velocity of the case, m/s, with each cause alone."""
    assert evaluation.mount is not None
    design = evaluation.design
    return {
        word: float(worst_velocity(evaluation.mount, loads, design.speed, design.gravity))
        for word, loads in alone(evaluation.case_loads).items()
    }


def _at_worst(evaluation: Evaluation) -> float:
    response = evaluation.vibration
    assert response is not None
    severity = np.max([response.severity(place) for place in watched(response.case.mount).values()], axis=0)
    return float(response.speed[np.argmax(severity)])


def _trials(evaluation: Evaluation, spread: bool = False) -> Iterator[Trial]:
    """Yield each change in words with how the case then fares, the mildest of each kind first."""
    mount = evaluation.mount
    assert mount is not None
    yield from _other_machines(evaluation, mount)
    yield from _mounts(evaluation, mount, spread)


def _other_machines(evaluation: Evaluation, mount: Mount) -> Iterator[Trial]:
    """Yield the same case shaken otherwise: a wheel on each shaft, counterweights that were only proposed."""
    design = evaluation.design
    wheel = design.flywheel
    if wheel is not None and wheel.on != "both":
        halves = replace(wheel, on="both", inertia=wheel.polar_inertia / 2, mass=wheel.wheel_mass / 2, disc=None)
        other = Evaluation(replace(design, flywheel=halves), evaluation.closeness)
        yield "a flywheel on each shaft, of half the inertia", _fares(evaluation, mount, other.case_loads)
    if design.counterweights is not None and not evaluation.fitted:
        fitted = replace(design, counterweights=replace(design.counterweights, fitted=True))
        other = Evaluation(fitted, evaluation.closeness)
        yield "its counterweights fitted", _fares(evaluation, mount, other.case_loads)
        if wheel is not None and wheel.on != "both":
            other = Evaluation(replace(fitted, flywheel=halves), evaluation.closeness)
            yield "its counterweights fitted and a flywheel on each shaft", _fares(evaluation, mount, other.case_loads)


def _mounts(evaluation: Evaluation, mount: Mount, spread: bool) -> Iterator[Trial]:
    """Yield other cases and feet under the same loads; all factors of a kind are worked out at once."""
    kinds: list[tuple[Callable[..., Mount], np.ndarray, Callable[[float], str]]] = [
        (heavier, HEAVIER, lambda factor: f"a case {factor:g} times as heavy")
    ]
    if mount.feet is not None:
        kinds.append((stiffer, STIFFER, _stiff_words))
        if spread and evaluation.design.mount is not None and evaluation.design.mount.feet is not None:
            kinds.insert(0, (apart, APART, lambda factor: f"feet {factor:g} times as far apart"))
    for change, factors, words in kinds:
        for factor in factors:
            yield words(float(factor)), _fares(evaluation, change(mount, float(factor)), evaluation.case_loads)


def _stiff_words(factor: float) -> str:
    return f"feet {factor:g} times as stiff" if factor > 1 else f"feet {1 / factor:g} times as soft"


def _fares(evaluation: Evaluation, mount: Mount, loads: CaseLoads) -> Outcome:
    return outcome(mount, loads, evaluation.design.speed, evaluation.design.gravity)


def _chosen(tried: list[tuple[str, float]], limit: float, words: Callable[[float], str], at_least: bool = False) -> str:
    """Return in words up to three changes that meet a limit, else the best of those tried."""
    fit = [each for each in tried if (each[1] >= limit if at_least else each[1] <= limit)]
    if fit:
        first = fit[:1] + [each for each in fit[1:] if each[0].split()[1] != fit[0][0].split()[1]][:2]
        return "of what was tried, " + "; or ".join(f"{word} gives {words(value)}" for word, value in first)
    finite = [each for each in tried if np.isfinite(each[1])]
    if not finite:
        others = [word for word, _ in tried if "times" not in word]
        return "nothing that was tried keeps it on its feet: " + ", ".join([*others, TRIED])
    word, value = (max if at_least else min)(finite, key=lambda each: each[1])
    return f"no sensible case or feet tried do it; the best of them, {word}, gives {words(value)}"


def _three(value: float) -> str:
    """Return three digits of a value; what is only rounding as zero."""
    return f"{value:.3g}" if abs(value) > 1e-6 else "0"
