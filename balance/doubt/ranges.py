"""A number that is not known exactly: its law, its bounds, and where the doubt comes from.

Laws, each said by the way in which a design gives its number:
even            a range without more: as likely anywhere in it.
even in ratio   a range of a positive size, wider than a factor 3: as likely in every octave.
normal          a value and a half-width that holds 19 of 20, which is two standard deviations.
cut normal      a making tolerance: three standard deviations are its half-width, and nothing lies beyond.
factor          "about": within a factor 1.5 in 19 of 20, its logarithm normal.
"""

from dataclasses import dataclass, replace
from statistics import NormalDist
from typing import Literal

import numpy as np

Law = Literal["even", "even in ratio", "normal", "cut normal", "factor"]
ABOUT = 1.5  # factor within which an "about" holds in 19 of 20
WIDE = 3.0  # a range of a positive size wider than this factor is as likely in every octave
NORMAL = NormalDist()
"""Its quantiles number by number: scipy's take a fifth of a second to import, as long as half a verdict."""
DEVIATIONS = {"normal": 2.0, "factor": 2.0, "cut normal": 3.0}
"""How many standard deviations the given half-width is."""


@dataclass(frozen=True)
class Range:
    """One doubtful number; low, middle and high in the SI unit `si`.

    low, high : bounds of a range and of a making tolerance; where 19 of 20 lie for a normal and a factor law.
    given : whether the design gives it; else it was taken as usual.   words : as written, or why it was taken.
    name, measure : what people call it, and how to find it at the bench.
    alike : what entries have in common that are one and the same unknown; "" where each is its own.
    """

    law: Law
    low: float
    middle: float
    high: float
    si: str
    given: bool
    words: str
    name: str = ""
    measure: str = ""
    alike: str = ""

    @property
    def ends(self) -> tuple[float, float]:
        """The shares of machines that lie below `low` and below `high`."""
        if self.law not in DEVIATIONS:
            return 0.0, 1.0
        below = NORMAL.cdf(-DEVIATIONS[self.law])
        return below, 1.0 - below

    def about(self, middle: float) -> "Range":
        """Return the same doubt about another number: by the same ratio for the laws of a ratio, else by as much."""
        if middle == self.middle:
            return self
        if self.law in ("factor", "even in ratio"):
            factor = middle / self.middle
            return replace(self, low=self.low * factor, middle=middle, high=self.high * factor)
        more = middle - self.middle
        return replace(self, low=self.low + more, middle=middle, high=self.high + more)

    def at(self, share: np.ndarray) -> np.ndarray:
        """Return the value that a share of all machines lies below, of the shape of `share`; `middle` for a half."""
        if self.law == "even":
            return np.interp(share, (0.0, 0.5, 1.0), (self.low, self.middle, self.high))
        if self.law == "even in ratio":
            return np.exp(np.interp(share, (0.0, 0.5, 1.0), np.log((self.low, self.middle, self.high))))
        clipped = np.clip(share, 1e-9, 1 - 1e-9)
        deviations = np.reshape([NORMAL.inv_cdf(each) for each in np.ravel(clipped)], np.shape(share))
        deviations = deviations / DEVIATIONS[self.law]
        if self.law == "factor":
            return self.middle * np.exp(np.log(ABOUT) * deviations)
        if self.law == "cut normal":
            deviations = np.clip(deviations, -1.0, 1.0)
        return self.middle + (self.high - self.middle) * deviations


def deviation(of: Range) -> float:
    """Return the standard deviation of a range; of a law in ratios that of its logarithm times its middle."""
    if of.law in ("even in ratio", "factor"):
        logs = np.log(of.high / of.low)
        return float(of.middle * (logs / 4 if of.law == "factor" else logs / np.sqrt(12.0)))
    if of.law == "even":
        return float((of.high - of.low) / np.sqrt(12.0))
    return float((of.high - of.low) / (2 * DEVIATIONS[of.law]))


def law_between(low: float, high: float, positive: bool) -> Law:
    """Return the law of a range without more; `positive` tells a size, which has no sign, from a place."""
    return "even in ratio" if positive and low > 0 and high > WIDE * low else "even"


def middle_of(low: float, high: float, law: Law) -> float:
    """Return the number that half of all machines lie below, for a range without more."""
    return float(np.sqrt(low * high)) if law == "even in ratio" else (low + high) / 2
