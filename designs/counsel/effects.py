"""What a change does to all the other limits: which then hold, which then fail, and what it costs of a margin."""

from dataclasses import dataclass

import numpy as np

from designs.counsel.trial import Trial
from designs.table import number_text
from designs.verdict.figure import Figure
from designs.verdict.row import name_of, names_of

FELT = 0.1  # of the limit; a margin that falls by less is not worth a word
POWER, LESS = "power", 0.1  # share of the gas's power that is worth a word, lost or won
AMPLE = 2.0  # of the limit; a margin that is still larger is not worth a word either


@dataclass(frozen=True)
class Effects:
    """What changes in limits.

    fixed, open : keys of limits that come to hold, and that no longer fail but are not wholly looked at.
    broken : keys of limits that come to fail.   cost : in words, what is lost where one still holds.
    power : in words, what the gas then gives, where that is felt.
    """

    fixed: tuple[str, ...]
    open: tuple[str, ...]
    broken: tuple[str, ...]
    cost: str
    power: str = ""

    @property
    def words(self) -> str:
        """In words; nothing where nothing is felt."""
        said = [f"then holds: {_named(self.fixed)}"] * bool(self.fixed)
        said += [f"then fails no more, as far as it is looked at: {_named(self.open)}"] * bool(self.open)
        said += [f"but then fails: {_named(self.broken)}"] * bool(self.broken)
        return "; ".join(filter(None, (*said, self.cost, self.power)))


def _named(keys: tuple[str, ...]) -> str:
    return names_of(keys)


def effects(before: Trial, after: Trial, own: str) -> Effects:
    """Return what changed in every limit but the one in question."""
    mended = [key for key in before.failing if key not in after.failing and key != own]
    fixed = tuple(key for key in mended if key not in after.unchecked)
    left = tuple(key for key in mended if key in after.unchecked)
    broken = tuple(key for key in after.failing if key not in before.failing)
    return Effects(fixed, left, broken, _cost(before, after, {own, *fixed, *left, *broken}),
                   _power(before, after))  # fmt: skip


def brought_nearer(before: Trial, after: Trial) -> str:
    """Return the key of the limit that a change brings nearest, of those that failed and still fail; empty if none."""
    gains = {key: before.short(key) - after.short(key) for key in after.failing if key in before.failing}
    return max(gains, key=gains.__getitem__, default="")


def _cost(before: Trial, after: Trial, told: set[str]) -> str:
    """Return the largest loss of a limit that held and holds."""
    losses: list[tuple[float, str]] = []
    for key, new in after.figures.items():
        old = before.figures.get(key)
        if key in told or old is None or key in before.failing or old.margin is None or new.margin is None:
            continue
        lost = float(old.margin) - float(new.margin)
        if np.isfinite(lost) and lost > FELT and float(new.margin) < AMPLE:
            losses.append((lost, f"costs {_by(old, new)} of {name_of(key)}, {new.text(new.value)} left"))
    return max(losses)[1] if losses else ""


def _power(before: Trial, after: Trial) -> str:
    """Return from what to what the power of the gas goes; nothing where that is hardly anything, or not known."""
    old, new = (each.figures.get(POWER) for each in (before, after))
    if old is None or new is None or old.value is None or new.value is None:
        return ""
    lost = float(old.value) - float(new.value)
    felt = abs(lost) > LESS * abs(float(old.value))
    return f"{name_of(POWER)} goes from {old.text(old.value)} to {new.text(new.value)}" if felt else ""


def _by(old: Figure, new: Figure) -> str:
    assert old.value is not None
    assert new.value is not None
    unit, factor, decimals = new.shown
    return f"{number_text(abs(float(new.value) - float(old.value)) * factor, decimals)} {unit}".strip()
