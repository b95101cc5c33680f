"""Two yokes that face each other: the gap between them over the cycle, its least, and its budget."""

from functools import cached_property

import numpy as np

from balance.cycle.extremes import Spot, least, spot_of_least
from balance.cycle.load import Load
from balance.many import refuse_many
from balance.quantities import Number, result
from shafts.gap.curve import GapCurve
from shafts.gap.facing import Facing, facing_yokes
from shafts.gap.items import elastic, lines, making_tolerances, sum_of_lines
from shafts.gap.play_reversal import with_reversals
from shafts.loaded_shafts import Case, LoadedShafts

VIBRATION, REVERSAL = "shaft vibration", "play reversal"
"""Lines that are not a cause's own file: what the cranks' vibration adds, and what is less between two angles."""


@result
class YokePair:
    """Two yokes that face each other.

    finely : whether it is looked at between the angles too, where play reverses (see `play_reversal`); for one design.
    """

    loaded: LoadedShafts
    facing: Facing
    finely: bool = False

    @property
    def upper(self) -> str:
        """The name of the upper yoke."""
        return self.facing.upper

    @property
    def lower(self) -> str:
        """The name of the lower yoke."""
        return self.facing.lower

    def curve(self, case: Case = "expected") -> GapCurve:
        """Return the gap as it waits for a speed."""
        return self._expected if case == "expected" else self._worst

    @cached_property
    def _expected(self) -> GapCurve:
        return self._curve("expected")

    @cached_property
    def _worst(self) -> GapCurve:
        return self._curve("worst")

    def _curve(self, case: Case) -> GapCurve:
        return GapCurve(Load(steady=self.facing.nominal)) + sum_of_lines(self.loaded, self.facing, case)

    def _lines(self, case: Case) -> dict[str, GapCurve]:
        if case not in self._known_lines:
            self._known_lines[case] = lines(self.loaded, self.facing, case)
        return self._known_lines[case]

    @cached_property
    def _known_lines(self) -> dict[Case, dict[str, GapCurve]]:
        return {}

    def items(self, speed: Number, case: Case = "expected") -> dict[str, np.ndarray]:
        """Return what each line of the budget adds to the gap at a speed, m, (options..., places, angles)."""
        shape = self.facing.nominal.shape
        added = {name: each.clearances(speed) for name, each in self._lines(case).items()}
        if self.loaded.vibrates:
            added[VIBRATION] = elastic.of_vibration(self.loaded, self.facing).clearances(speed)
        if self.finely:
            plain, lowered = self.with_reversals(speed, case)
            added[REVERSAL] = lowered - plain
        return {name: np.broadcast_to(each, np.broadcast_shapes(np.shape(each), shape)) for name, each in added.items()}

    def gap(self, speed: Number, case: Case = "expected") -> np.ndarray:
        """Return the gap over the cycle at a speed, m, (options..., angles); negative where they overlap."""
        return np.min(self.clearances(speed, case), axis=-2)

    def clearances(self, speed: Number, case: Case = "expected") -> np.ndarray:
        """Return the gap at each place after all lines, m, (options..., places, angles)."""
        return self.with_reversals(speed, case)[1]

    def least(self, speed: Number, case: Case = "expected") -> tuple[np.ndarray, np.ndarray]:
        """Return the least gap over the cycle at a speed, m, and its crank angle, rad, (options...)."""
        plain, lowered = self.with_reversals(speed, case)
        values = np.min(lowered, axis=-2)
        value, angle = least(values)
        if lowered is plain:
            return value, angle
        index = np.argmin(values, axis=-1)[..., None]
        lowest, before = (np.take_along_axis(each, index, axis=-1)[..., 0] for each in (values, np.min(plain, axis=-2)))
        reversal = lowest < before  # to which no parabola through its neighbours leads
        at = index[..., 0] * (2 * np.pi / values.shape[-1])
        return np.where(reversal, lowest, value), np.where(reversal, at, angle)

    def tightest(self, speed: Number) -> tuple[int, Spot]:
        """Return the place, as an index, and the angle at which one design's expected gap is least at a speed."""
        refuse_many(self.loaded.engine, "where the gap is least")
        plain, lowered = self.with_reversals(speed, "expected")
        corner, angle = (int(each) for each in np.unravel_index(np.argmin(lowered), lowered.shape))
        reversal = lowered[corner, angle] < plain[corner, angle]
        return corner, Spot(angle, 0.0) if reversal else spot_of_least(lowered[corner])

    def with_reversals(self, speed: Number, case: Case) -> tuple[np.ndarray, np.ndarray]:
        """Return the gap at the angles, and with reversals beside them: the very same if there are none."""
        curve = self.curve(case)
        plain = curve.clearances(speed)
        return plain, with_reversals(curve, speed, plain) if self.finely else plain

    @cached_property
    def deviations(self) -> making_tolerances.Deviations:
        """What every making tolerance does to the gap."""
        return making_tolerances.between(self.loaded, self.facing)


def budget(pair: YokePair, speed: Number, case: Case = "expected") -> tuple[float, dict[str, float]]:
    """Return the nominal gap and what each line adds to it, m, where one design's expected gap is least at a speed."""
    corner, spot = pair.tightest(speed)
    items = pair.items(speed, case)
    return spot.of(pair.facing.nominal[corner]), {name: spot.of(each[corner]) for name, each in items.items()}


def yoke_pairs(loaded: LoadedShafts, finely: bool = False) -> list[YokePair]:
    """Return every pair of yokes with outlines whose ranges along the shafts meet, the higher one first.

    finely : see YokePair.
    """
    return [YokePair(loaded, facing, finely) for facing in facing_yokes(loaded.engine, loaded.motion)]
