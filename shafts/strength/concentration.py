"""How notches raise the stress, and how far a material feels it.

Stress concentration factors are the usual fits to Peterson's curves: shoulders by Norton, Machine
Design (5th ed.), appendix G; grooves by Pilkey, Peterson's Stress Concentration Factors (3rd ed.),
charts 2.41 and 2.47; cross holes by Shigley's Mechanical Engineering Design (9th ed.), table A-16;
end-milled keyways by its table 7-1; press fits by DIN 743-2 (2012), table 1, for a hub on its seat. All
coefficients are from memory; the tests hold them against each other and against printed examples.
"""

import numpy as np

from balance.quantities import Number, Scalar, result
from shafts.shaft import Notch

USUAL_KEYWAY = (
    0.25  # of the diameter: depth of keyways in thin shafts (DIN 6885, from memory, check against the standard)
)
SHARP = 0.02  # root radius over diameter where none is given: sharp fillet, end-milled keyway; Shigley table 7-1

# D/d, then A and b of K = A (r/d)^b; the first row, K = 1, is a shaft without a step.
SHOULDER_BENDING = np.array([
    (1.00, 1.0, 0.0), (1.01, 0.91938, -0.17032), (1.02, 0.96048, -0.17711), (1.03, 0.98061, -0.18381),
    (1.05, 0.98137, -0.19653), (1.07, 0.97527, -0.20958), (1.10, 0.95120, -0.23757), (1.20, 0.97098, -0.21796),
    (1.50, 0.93836, -0.25759), (2.00, 0.90879, -0.28598), (3.00, 0.89334, -0.30860), (6.00, 0.87868, -0.33243),
])  # fmt: skip
SHOULDER_TORSION = np.array([
    (1.00, 1.0, 0.0), (1.09, 0.90337, -0.12692), (1.20, 0.83425, -0.21649), (1.33, 0.84897, -0.23161),
    (2.00, 0.86331, -0.23865),
])  # fmt: skip
# Four terms in powers of 2 t/D, each c0 + c1 sqrt(t/r) + c2 t/r: for t/r below 2, and from 2 to 50.
GROOVE_BENDING = (
    np.array([(0.594, 2.958, -0.520), (0.422, -10.545, 2.692), (0.501, 14.375, -4.486), (-0.613, -6.573, 2.177)]),
    np.array([(0.965, 1.926, 0.0), (-2.773, -4.414, -0.017), (4.785, 4.681, 0.096), (-1.995, -2.241, -0.074)]),
)
GROOVE_TORSION = (
    np.array([(0.966, 1.056, -0.022), (-0.192, -4.037, 0.674), (0.808, 5.321, -1.231), (-0.567, -2.364, 0.566)]),
    np.array([(1.089, 0.924, 0.018), (-1.504, -2.141, -0.047), (2.486, 2.289, 0.091), (-1.056, -1.104, -0.059)]),
)
# Hole over shaft diameter; share A of the section modulus that is left; factor K on the stress in it.
HOLE_BENDING = np.array([
    (0.0, 1.00, 3.00), (0.05, 0.92, 2.63), (0.075, 0.89, 2.55), (0.10, 0.86, 2.49), (0.125, 0.82, 2.41),
    (0.15, 0.79, 2.39), (0.175, 0.76, 2.38), (0.20, 0.73, 2.39), (0.225, 0.69, 2.40), (0.25, 0.67, 2.42),
    (0.275, 0.66, 2.48), (0.30, 0.64, 2.52),
])  # fmt: skip
HOLE_TORSION = np.array([
    (0.0, 1.00, 2.00), (0.05, 0.95, 1.77), (0.075, 0.93, 1.71), (0.10, 0.92, 1.68), (0.125, 0.89, 1.64),
    (0.15, 0.87, 1.62), (0.175, 0.85, 1.60), (0.20, 0.83, 1.58), (0.225, 0.80, 1.56), (0.25, 0.79, 1.55),
])  # fmt: skip
KEYWAY = 2.14, 3.0
RING_GROOVE = 5.0, 3.0


@result
class StressRaiser:
    """What raises the stress in a section; every field (options...).

    bending, torsion : stress concentration factors on the nominal stress in a round section.
    diameter : of that round section, m.   radius : at the root, m; infinite for factors that are felt in full.
    """

    bending: Scalar
    torsion: Scalar
    diameter: Scalar
    radius: Scalar


def raiser(notch: Notch, diameter: Scalar, other: Scalar, tensile: Scalar) -> StressRaiser:
    """Return what a notch does to the section on one side of it.

    diameter, other : of the shaft on this side and on the other, m.   tensile : strength, Pa, for press fits.
    """
    root = SHARP * diameter if notch.fillet is None else notch.fillet
    if notch.kind == "shoulder":
        return _given_shoulder(notch, root, diameter, other)
    if notch.kind == "cross hole":
        assert notch.diameter is not None
        return StressRaiser(*cross_hole(notch.diameter / diameter), diameter, notch.diameter / 2)
    if notch.kind == "press fit":
        return StressRaiser(*press_fit(tensile), diameter, np.inf)
    if notch.kind == "keyway" or notch.depth is None:
        factors = RING_GROOVE if notch.kind == "groove" else KEYWAY
        return StressRaiser(*factors, _keyed(notch, diameter), root)
    if notch.kind == "groove":
        return StressRaiser(*groove(notch.depth, root, diameter), diameter - 2 * notch.depth, root)
    # A flat: no published factor is known, so the shaft is taken to step down to the circle that is left.
    return shoulder(diameter, diameter - notch.depth, root)


def _keyed(notch: Notch, diameter: Scalar) -> Scalar:
    """Return the diameter that a keyway leaves, m: up to the usual depth its factors say all.

    Beyond it the shaft is taken to dwindle, to nothing where the keyway cuts it through: safe.
    """
    if notch.kind != "keyway" or notch.depth is None:
        return diameter
    deeper = np.maximum(np.asarray(notch.depth) - USUAL_KEYWAY * diameter, 0.0)
    return diameter - deeper / (1 - USUAL_KEYWAY)


def _given_shoulder(notch: Notch, root: Scalar, diameter: Scalar, other: Scalar) -> StressRaiser:
    large = np.maximum(diameter, other) if notch.diameter is None else notch.diameter
    # Where neither segments nor notch say how high the shoulder is, twice the shaft is nearly the worst there is.
    large = np.where(np.asarray(large) > np.minimum(diameter, other), large, 2 * np.minimum(diameter, other))
    factors = shoulder(large, diameter, root)
    smaller = np.asarray(diameter) <= other
    return StressRaiser(
        np.where(smaller, factors.bending, 1.0), np.where(smaller, factors.torsion, 1.0), diameter, root
    )


def shoulder(large: Scalar, small: Scalar, fillet: Scalar) -> StressRaiser:
    """Return the factors of a round shaft that steps from `large` to `small` with a fillet, m; 1 without a step."""
    step, root = np.maximum(np.asarray(large) / small, 1.0), np.asarray(fillet) / small
    return StressRaiser(
        _interpolated(SHOULDER_BENDING, step, root), _interpolated(SHOULDER_TORSION, step, root), small, fillet
    )


def _interpolated(table: np.ndarray, step: np.ndarray, root: np.ndarray) -> np.ndarray:
    """Return K at D/d between the rows of a table, from K of both."""
    sizes, factor, power = table.T
    step = np.minimum(step, sizes[-1])
    row = np.clip(np.searchsorted(sizes, step, side="right") - 1, 0, len(sizes) - 2)
    low, high = (np.maximum(factor[each] * root ** power[each], 1.0) for each in (row, row + 1))
    return low + (high - low) * (step - sizes[row]) / (sizes[row + 1] - sizes[row])


def groove(depth: Scalar, root: Scalar, diameter: Scalar) -> tuple[np.ndarray, np.ndarray]:
    """Return the factors in bending and torsion of a U-shaped groove round a shaft, on the section it leaves, m."""
    steep = np.clip(np.asarray(depth) / root, 0.25, 50.0)
    rise = 2 * np.asarray(depth) / diameter
    terms = np.stack(np.broadcast_arrays(1.0, np.sqrt(steep), steep), axis=-1)[..., None, :]
    powers = np.asarray(rise)[..., None] ** np.arange(4)
    shape = steep[..., None] < 2
    sums = (
        np.sum(np.where(shape, np.sum(terms * low, axis=-1), np.sum(terms * high, axis=-1)) * powers, axis=-1)
        for low, high in (GROOVE_BENDING, GROOVE_TORSION)
    )
    bending, torsion = (np.maximum(each, 1.0) for each in sums)
    return bending, torsion


def cross_hole(ratio: Scalar) -> tuple[np.ndarray, np.ndarray]:
    """Return the factors in bending and torsion of a hole across a shaft, `ratio` of its diameter, on the full section.

    Beyond the tables (0.30 and 0.25 of the diameter) they rise on in a straight line.
    """
    bending, torsion = (_hole(table, np.asarray(ratio, dtype=float)) for table in (HOLE_BENDING, HOLE_TORSION))
    return bending, torsion


def _hole(table: np.ndarray, ratio: np.ndarray) -> np.ndarray:
    sizes, left, factor = table.T
    full = factor / left
    rise = max((full[-1] - full[-2]) / (sizes[-1] - sizes[-2]), 0.0)
    return np.interp(ratio, sizes, full) + rise * np.maximum(ratio - sizes[-1], 0.0)


def press_fit(tensile: Scalar) -> tuple[Number, Number]:
    """Return the fatigue notch factors in bending and torsion under a hub that is pressed on; strength in Pa."""
    bending = 3.0 * (np.asarray(tensile) / 1e9) ** 0.38
    return bending, 0.56 * bending + 0.1


def sensitivity(radius: Scalar, tensile: Scalar, steel: Scalar) -> tuple[np.ndarray, np.ndarray]:
    """Return the notch sensitivity in bending and in torsion, 0 to 1.

    Neuber's constant of steels by Shigley (9th ed.), equation 6-35, for strengths from 50 to 220 kpsi;
    other metals are taken to feel a notch in full.   radius : m.   tensile : Pa.
    """
    kpsi = np.clip(np.asarray(tensile) / 6.894757e6, 50.0, 220.0)
    inches = np.sqrt(np.asarray(radius) / 0.0254)
    bending = 0.246 - 3.08e-3 * kpsi + 1.51e-5 * kpsi**2 - 2.67e-8 * kpsi**3
    torsion = 0.190 - 2.51e-3 * kpsi + 1.35e-5 * kpsi**2 - 2.67e-8 * kpsi**3
    return tuple(np.where(steel, 1 / (1 + each / inches), 1.0) for each in (bending, torsion))  # type: ignore[return-value]
