"""Why a case vibrates or lifts: what shakes it most, what it meets, and from which speed on a foot leaves the bench."""

import numpy as np

from balance.case.causes import alone
from balance.case.isolation import watched, worst_velocity
from balance.case.running import lift_off
from balance.case.vibration import nearest_meeting
from designs.evaluate import Evaluation
from designs.shown import RPM, said


def why_it_vibrates(evaluation: Evaluation) -> str:
    """Return which cause alone shakes the case most, and which resonance an order of the loads meets."""
    word, velocity = shaken_by(evaluation)
    words = f"mostly {word} ({said(velocity, 'm/s', '.3g')} by itself)"
    assert evaluation.case is not None
    worst = _at_worst(evaluation)
    meeting = nearest_meeting(evaluation.case, worst)
    if meeting is None:
        return words
    order, own = meeting
    return f"{words}; order {order} meets the case's resonance at {own / (2 * np.pi):.1f} Hz near {worst * RPM:.0f} rpm"


def shaken_by(evaluation: Evaluation) -> tuple[str, float]:
    """Return the cause that alone shakes the case most, and its worst velocity, m/s."""
    return max(causes(evaluation).items(), key=lambda each: each[1])


def why_it_lifts(evaluation: Evaluation) -> str:
    """Return from which speed on a foot leaves the bench."""
    assert evaluation.case is not None
    speed = lift_off(evaluation.case, evaluation.case_loads, evaluation.design.speed, evaluation.design.gravity)
    return "" if speed is None else f"a foot leaves the bench from {speed * RPM:.0f} rpm on"


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
    severity = np.max([response.severity(point) for point in watched(response.case.mount).values()], axis=0)
    return float(response.speed[np.argmax(severity)])
