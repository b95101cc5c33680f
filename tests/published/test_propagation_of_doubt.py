"""Draws against worked examples of the guides to uncertainty, JCGM 100 and 101 (2008), and Wilson's interval."""

import numpy as np
import pytest

from balance.doubt.draws import latin_hypercube
from balance.doubt.ranges import Law, Range
from balance.doubt.shares import wilson

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
