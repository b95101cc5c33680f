"""What is worked out at speeds, remembered at each of them, and many speeds a few at a time."""

from collections.abc import Callable
from functools import partial, wraps
from typing import Any

import numpy as np

KEPT = 64  # speeds at which answers are remembered
PIECE = 24  # speeds worked out together

Work = Callable[[np.ndarray], np.ndarray]
"""What makes something of several speeds, (speeds, ...)."""


class Remembered:
    """What some work makes of speeds, remembered at each of them."""

    def __init__(self) -> None:
        self._known, self._last = dict[float, np.ndarray](), (b"", np.zeros(0))

    def __call__(self, work: Work, speeds: np.ndarray) -> np.ndarray:
        """Return it at some speeds, those that are new all at once."""
        if speeds.tobytes() != self._last[0]:
            self._last = speeds.tobytes(), self._looked_up(work, speeds.tolist())
        return self._last[1]

    def _looked_up(self, work: Work, speeds: list[float]) -> np.ndarray:
        new = [each for each in dict.fromkeys(speeds) if each not in self._known]
        if len(self._known) + len(new) > KEPT:
            self._known.clear()
            new = list(dict.fromkeys(speeds))
        fresh = work(np.array(new)) if new else np.zeros(0)
        self._known |= zip(new, fresh, strict=True)
        if new == speeds:
            return fresh
        every = np.stack([self._known[each] for each in speeds])
        if len(speeds) > PIECE:  # held once: where they stood before is let go
            self._known |= zip(speeds, every, strict=True)
        return every


def remembered(work: Callable[..., np.ndarray]) -> Callable[..., np.ndarray]:
    """Let a method whose last argument are speeds remember what it returned at each.

    The work is handed over at each call: what a vibration remembers shall not hold it, or nobody could let go of both.
    """

    @wraps(work)
    def known(vibration: Any, *arguments: Any) -> np.ndarray:
        *of, speeds = arguments
        key = work.__name__, *of
        if key not in vibration.known:
            vibration.known[key] = Remembered()
        return vibration.known[key](partial(work, vibration, *of), speeds)

    return known


def in_pieces(work: Work, speeds: np.ndarray) -> np.ndarray:
    """Return what some work makes of many speeds, a few at a time, as all together would fill the memory."""
    pieces = [work(speeds[start : start + PIECE]) for start in range(0, len(speeds), PIECE)]
    return np.concatenate(pieces) if pieces else np.zeros(0)
