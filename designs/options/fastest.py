"""How fast a machine may run: up to which fastest speed no limit fails, but for those that fail at any speed."""

from dataclasses import dataclass
from functools import partial

import numpy as np

from designs.changing.edit import Edit, checked, edited
from designs.design import Design
from designs.evaluate import evaluate_finely
from designs.many.beside import shared
from designs.shown import RPM
from designs.verdict import rows_of
from designs.verdict.row import failing_keys, names_of

STEP = 10 / RPM  # rad/s: speeds that are tried are whole numbers of it
FARTHEST = 2  # times the fastest speed of the design are looked at
SECTIONS, FINE = 8, 100  # of that range at first; of a speed to which it is found, but for a step


@dataclass(frozen=True)
class Fastest:
    """Up to which fastest speed no further limit fails.

    speed : the highest that was tried and does, rad/s.   always : keys of the limits that fail at the slowest, too.
    beyond, first : keys of those that fail at the next one that was tried, and that speed, rad/s; empty and None where
    nothing more fails up to `speed`, and faster was not looked at.
    """

    speed: float
    always: tuple[str, ...]
    beyond: tuple[str, ...] = ()
    first: float | None = None

    @property
    def words(self) -> str:
        """How fast it may run, in a sentence or two."""
        but = f"What fails at any speed stays ({names_of(self.always)}); else nothing" if self.always else "Nothing"
        up_to = f"{but} fails up to {self.speed * RPM:.0f} rpm, in the middle of what is not known"
        if self.first is None:
            return f"{up_to}; faster was not looked at."
        return f"{up_to}; at {self.first * RPM:.0f} rpm {names_of(self.beyond)} would."


def fastest(design: Design) -> Fastest:
    """Return how fast a single design may run: whole verdicts, each with another fastest speed.

    The range up to twice its own fastest speed is cut into sections, and the first in which more fails is cut again.
    """
    slowest = max(1, int(np.ceil(float(design.speed.least) / STEP - 1e-9)))
    top = max(slowest + 1, int(FARTHEST * float(design.speed.most) / STEP + 1e-9))
    speeds = sorted({slowest, *(slowest + (top - slowest) * n // SECTIONS for n in range(1, SECTIONS + 1))})
    always, *others = shared(partial(_failing, design), speeds)
    found = [tuple(key for key in keys if key not in always) for keys in others]
    place = next((n for n, beyond in enumerate(found) if beyond), None)
    if place is None:
        return Fastest(speeds[-1] * STEP, always)
    low, high, beyond = speeds[place], speeds[place + 1], found[place]
    while high - low > max(1, high // FINE):
        between = sorted({low + (high - low) * n // 3 for n in (1, 2)} - {low})
        for speed, keys in zip(between, shared(partial(_failing, design), between), strict=True):
            if more := tuple(key for key in keys if key not in always):
                high, beyond = speed, more
                break
            low = speed
    return Fastest(low * STEP, always, beyond, high * STEP)


def _failing(design: Design, steps: int) -> tuple[str, ...]:
    """Return the keys of the limits that fail with another fastest speed; the others go no faster than that."""
    most = steps * STEP
    slower = [Edit(("speed", name), min(float(getattr(design.speed, name)), most)) for name in ("least", "rated")]
    made = checked(edited(design, (*slower, Edit(("speed", "most"), most))))
    return failing_keys(rows_of(evaluate_finely(made)))
