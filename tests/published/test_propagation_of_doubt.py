"""Draws against worked examples of the guides to uncertainty, JCGM 100 and 101 (2008), and Wilson's interval."""

import numpy as np
import pytest
from scipy.special import stdtrit

from balance.doubt.draws import latin_hypercube
from balance.doubt.ranges import Law, Range
from balance.doubt.shares import wilson
from balance.evidence.estimate import known_by, propagated
from balance.evidence.importance import learned

DRAWS = 200_000


def known(law: Law, middle: float, half: float) -> Range:
    return Range(law, middle - half, middle, middle + half, "", True, "")


def normal(middle: float, deviation: float) -> Range:
    return known("normal", middle, 2 * deviation)


def drawn(*ranges: Range, seed: int = 3) -> list[np.ndarray]:
    shares = latin_hypercube("abcdefgh"[: len(ranges)], DRAWS, seed)
    return [each.at(share) for each, share in zip(ranges, shares, strict=True)]


def shortest(values: np.ndarray, share: float = 0.95) -> tuple[float, float]:
    ordered = np.sort(values)
    count = int(share * len(ordered))
    place = int(np.argmin(ordered[count:] - ordered[:-count]))
    return float(ordered[place]), float(ordered[place + count])


def test_four_normal_and_four_rectangular_quantities() -> None:
    """JCGM 101:2008, 9.2.2 and 9.2.3 (from memory, check against the standard): u 2.00; 95 percent 3.92 and 3.88."""
    for ranges, wide in ((normal(0, 1), 3.92), (known("even", 0, np.sqrt(3)), 3.88)):
        total = np.sum(drawn(*[ranges] * 4), axis=0)
        assert np.std(total) == pytest.approx(2.0, abs=0.01)
        assert np.quantile(total, [0.025, 0.975]) == pytest.approx([-wide, wide], abs=0.03)


def test_one_rectangular_quantity_that_outweighs_the_others() -> None:
    """JCGM 101:2008, 9.2.4 (from memory): three rectangular of deviation 1, one of 10: u 10.1, 95 percent 17.0."""
    one, ten = known("even", 0, np.sqrt(3)), known("even", 0, 10 * np.sqrt(3))
    total = np.sum(drawn(one, one, one, ten), axis=0)
    assert np.std(total) == pytest.approx(10.1, abs=0.1)
    assert np.quantile(total, [0.025, 0.975]) == pytest.approx([-17.0, 17.0], abs=0.05)


@pytest.mark.parametrize(("x1", "mean", "deviation", "high"), [(0.0, 50, 50, 150), (0.010, 150, 112, 367)])
def test_a_square_that_has_no_first_order(x1: float, mean: float, deviation: float, high: float) -> None:
    """JCGM 101:2008, 9.4 (from memory), units of 1e-6: comparison loss; the first-order rule gives 0 and 100."""
    first, second = drawn(normal(x1, 0.005), normal(0.0, 0.005))
    loss = 1e6 * (first**2 + second**2)
    assert np.mean(loss) == pytest.approx(mean, abs=0.6)
    assert np.std(loss) == pytest.approx(deviation, abs=0.8)
    assert shortest(loss) == pytest.approx((0.0, high), abs=2.5)


def test_end_gauge() -> None:
    """JCGM 100:2008, H.1: contributions 25, 9.7, 2.9 and 16.6 nm, together 32 nm; length 50.000838 mm."""
    l_s, d = normal(50.000623e6, 25.0), normal(215.0, 9.7)  # nm
    expansion, apart = known("even", 11.5e-6, 2e-6), known("even", 0.0, 1e-6)  # 1/K: bounds as printed in H.1.3
    around, between = normal(-0.1, 0.41), known("even", 0.0, 0.05)  # K
    nominal, found, a_s, d_a, theta, d_t = 50e6, *drawn(d, expansion, apart, around, between)
    (standard,) = drawn(l_s, seed=4)
    length = standard + found - standard * (d_a * theta + a_s * d_t)
    assert np.mean(length) == pytest.approx(50.000838e6, abs=0.6)
    # The guide's 31.7 nm leaves out second order, which it adds in H.1.7 as 11.7 nm: together 34 nm.
    assert np.std(length) == pytest.approx(34.0, abs=0.5)
    assert np.std(nominal * a_s * d_t) == pytest.approx(16.6, abs=0.4)


@pytest.mark.parametrize(
    ("hits", "count", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718),
     (0, 10, 0.0, 0.2775), (10, 10, 0.7225, 1.0)],
)  # fmt: skip
def test_wilson(hits: int, count: int, low: float, high: float) -> None:
    """Newcombe, Statistics in Medicine 17 (1998), 857, table I (first four from memory)."""
    share, *ends = wilson(hits, count)
    assert share == hits / count
    assert ends == pytest.approx([low, high], abs=5e-5)


def test_end_gauge_by_the_law_of_propagation_and_how_well_its_doubt_is_known() -> None:
    """JCGM 100:2008, H.1.6 and table H.1: u 32 nm with 16 degrees of freedom, t for 99 percent 2.92, so 93 nm."""
    known = (25.0, 18), (9.7, 25.6), (0.58e-6, 50), (0.029, 2)  # nm, nm, 1/K, K
    length, apart, expansion, between = (known_by(0.0, *each) for each in known)
    nominal, around, a_s = 50e6, -0.1, 11.5e-6  # nm, K, 1/K
    shares = length, apart, expansion.times(-nominal * around), between.times(-nominal * a_s)
    assert [each.uncertainty for each in shares] == pytest.approx([25, 9.7, 2.9, 16.6], abs=0.1)
    found = propagated(50.000838e6, *shares)
    assert found.value == 50.000838e6
    assert found.uncertainty == pytest.approx(31.711, abs=1e-3)
    assert found.free == pytest.approx(16.656, abs=5e-3)
    assert stdtrit(int(found.free), 0.995) == pytest.approx(2.92, abs=5e-3)
    assert stdtrit(int(found.free), 0.995) * found.uncertainty == pytest.approx(93, abs=0.5)
    # 19 times of 20, as people are told it: t for 95 percent and 16 degrees is 2.12 (tables of Student's t).
    assert found.half_width == pytest.approx(2.12 * 31.711, rel=1e-3)
    # Repeats alone are as well known as they are; beside what is simply said they cost less than by themselves.
    for free in range(1, 30):
        assert propagated(1.0, known_by(1.0, 0.1, free)).half_width == pytest.approx(0.1 * stdtrit(free, 0.975))
    assert propagated(1.0, known_by(1.0, 0.1, 3), 0.3).half_width < np.hypot(known_by(1.0, 0.1, 3).half_width, 0.6)


def test_a_square_of_two_quantities_that_go_together() -> None:
    """JCGM 101:2008, 9.4.2.2 (from memory): x1 = x2 = 0, u 0.005, r 0.9: 50 and 67e-6, 95 percent from 0 to 185e-6.

    u^2 = 4 u^4 (1 + r^2), 67.27 worked out. Two unknowns of variance 1.9 u^2 whose difference was read to be zero, with
    a doubt that leaves it 0.1 u^2 along its own direction, have variance u^2 and correlation 0.9.
    """
    apart = np.array([1.0, -1.0]) / np.sqrt(2)

    def read(z: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return -0.5 * (19 - 1) * (z @ apart) ** 2, (z @ apart)[:, None]

    found = learned(read, 2, 20_000, seed=4, enough=7_000)
    assert found.rounds > 1
    x = 0.005 * np.sqrt(1.9) * found.z
    both = found.mean(x[:, :, None] * x[:, None, :]) / 0.005**2
    np.testing.assert_allclose(both, [[1, 0.9], [0.9, 1]], atol=0.03)
    loss = 1e6 * np.sum(x**2, axis=1)
    assert found.mean(loss) == pytest.approx(50.0, abs=1.0)
    assert found.sd(loss) == pytest.approx(67.27, abs=1.5)
    order = np.argsort(loss)  # the density falls from zero on, so the shortest interval starts there
    held = np.cumsum(found.weights[order])
    assert loss[order][np.searchsorted(held, 0.95)] == pytest.approx(185, abs=5)
