"""The gas: closed volume by a syringe."""

from balance.evidence.estimate import Estimate, propagated


def closed_volume(pushed: Estimate, rise: Estimate, ambient: float) -> Estimate:
    """Return the whole closed volume before the push, the syringe included, m^3: V = dV (p0 + dp)/dp.

    pushed : volume dV taken in by the plunger, m^3.   rise : of pressure dp, Pa.   ambient : absolute p0, Pa.
    p V is constant once the heat of the push is gone, so wait ten seconds (Boyle). dV/d(dp) = -dV p0/dp^2.
    """
    share = (ambient + rise.value) / rise.value
    return propagated(pushed.value * share, pushed.times(share), rise.times(pushed.value * ambient / rise.value**2))
