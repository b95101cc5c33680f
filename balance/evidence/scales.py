"""Masses and mass centres from a scale."""

from balance.evidence.estimate import Estimate, propagated


def weighed(reading: Estimate, gain_sd: float = 0.0) -> Estimate:
    """Return a mass, kg, from a scale's reading: m = reading, u^2 = u(reading)^2 + (m u(gain))^2.

    gain_sd : doubt of the scale's factor, as a share; check it with water, 1 ml = 1 g, or a known mass. All readings
    of one scale share it, so it cancels in any ratio of them. Definition of a factor of calibration.
    """
    return propagated(reading.value, reading, reading.value * gain_sd)


def as_good_as(reading: Estimate, error_sd: float) -> Estimate:
    """Return a reading that is no better than its scale, kg: the larger of its own doubt and the scale's."""
    return Estimate(reading.value, max(reading.sd, error_sd))


def centre_by_one_end(yoke_end: Estimate, mass: Estimate, span: Estimate) -> Estimate:
    """Return a rod's mass centre from its crankpin, m: h = D R/m (moments about the crankpin's support).

    yoke_end : what the scale reads under the yoke pin, kg, the crankpin end on an edge at the same height.
    mass : of the rod, kg.   span : D between the two supports, m.
    u(h)^2 = (D u(R)/m)^2 + (h u(m)/m)^2 + (h u(D)/D)^2. For a level rod; a tilt e costs 1 - cos e of span alike at
    both ends, so nothing, but supports at unlike heights cost more. Moments of parallel forces, any book of statics.
    """
    centre = span.value * yoke_end.value / mass.value
    return propagated(
        centre,
        yoke_end.times(span.value / mass.value),
        mass.times(centre / mass.value),
        span.times(centre / span.value),
    )


def centre_by_both_ends(yoke_end: Estimate, crankpin_end: Estimate, span: Estimate) -> Estimate:
    """Return a rod's mass centre from its crankpin, m: h = D R_y/(R_y + R_c); a factor of the scale cancels.

    yoke_end, crankpin_end : what the scale reads under each end, the other one on an edge, kg.   span : D, m.
    dh/dR_y = D R_c/(R_y + R_c)^2, dh/dR_c = -D R_y/(R_y + R_c)^2.
    """
    both = yoke_end.value + crankpin_end.value
    centre = span.value * yoke_end.value / both
    return propagated(
        centre,
        yoke_end.times(span.value * crankpin_end.value / both**2),
        crankpin_end.times(span.value * yoke_end.value / both**2),
        span.times(centre / span.value),
    )


def left_over(yoke_end: Estimate, crankpin_end: Estimate, mass: Estimate) -> Estimate:
    """Return by how much two ends on the scale miss the mass, kg: R_y + R_c - m, which is zero but for doubt."""
    missed = yoke_end.value + crankpin_end.value - mass.value
    return propagated(missed, yoke_end, crankpin_end, mass)
