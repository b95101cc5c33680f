"""Every formula's doubt, by its own derivatives, against the `uncertainties` package on the plain formula."""

import numpy as np
import pytest
from uncertainties import ufloat, umath

from balance.evidence import brake, dial, pendulum, scales, strings, tapped, unbalance, volumes
from balance.evidence.estimate import Estimate

G = 9.80665
RNG = np.random.default_rng(3)


def pair(value, share=0.01):
    sd = value * share * RNG.uniform(0.3, 1.0)
    return Estimate(value, sd), ufloat(value, sd)


def same(found, plain):
    assert found.value == pytest.approx(plain.nominal_value, rel=1e-10)
    assert found.sd == pytest.approx(plain.std_dev, rel=1e-6)


def length(period):
    return G * period**2 / (4 * np.pi**2)


def test_scales():
    (small, u_small), (big, u_big), (mass, u_mass), (span, u_span) = map(pair, (4.86e-3, 7.45e-3, 12.31e-3, 64.6e-3))
    same(scales.centre_by_one_end(small, mass, span), u_span * u_small / u_mass)
    same(scales.centre_by_both_ends(small, big, span), u_span * u_small / (u_small + u_big))
    same(scales.left_over(small, big, mass), u_small + u_big - u_mass)
    same(scales.weighed(mass, 0.003), u_mass * ufloat(1.0, 0.003))


def test_one_knife_edge():
    (mass, m), (arm, h), (swing, t) = map(pair, (9e-3, 24e-3, 0.36336))
    same(pendulum.inertia_by_one_edge(mass, arm, swing), m * h * (length(t) - h))


def test_two_knife_edges():
    k, apart = 0.0145, 0.044
    arms = 0.018, apart - 0.018
    periods = [2 * np.pi * np.sqrt((k**2 + h**2) / (G * h)) for h in arms]
    (one, u_one), (two, u_two), (span, d) = pair(periods[0], 1e-3), pair(periods[1], 1e-3), pair(apart, 1e-3)
    found = pendulum.two_edges(one, two, span)
    first = d * (length(u_two) - d) / (length(u_one) + length(u_two) - 2 * d)
    assert found.arm.value == pytest.approx(arms[0], rel=1e-9)
    same(found.arm, first)
    same(found.gyration, umath.sqrt(first * (length(u_one) - first)))
    mass, m = pair(9e-3)
    assert found.inertia(mass).value == pytest.approx(9e-3 * k**2, rel=1e-9)
    same(found.inertia(mass), m * ufloat(found.gyration.value, found.gyration.sd) ** 2)


def test_strings():
    (swing, t), (strung, long), (left, x), (right, y), (mass, m) = map(pair, (1.145, 0.5, 18e-3, 19e-3, 9e-3))
    gyration = strings.gyration_by_two_strings(swing, strung, left, right)
    same(gyration, t / (2 * np.pi) * umath.sqrt(G * x * y / long))
    same(strings.inertia_of(mass, gyration), m * ufloat(gyration.value, gyration.sd) ** 2)
    (radius, r), (plate, p), (empty, t0) = map(pair, (0.1, 4e-3, 0.9))
    three = strings.ThreeStrings(strung, radius)
    same(three.inertia(mass, swing), m * G * r**2 * t**2 / (4 * np.pi**2 * long))
    same(three.on_plate(mass, swing, plate, empty), G * r**2 / (4 * np.pi**2 * long) * ((m + p) * t**2 - p * t0**2))


def test_unbalance():
    (radius, r), (added, w) = map(pair, (0.02, 4e-3))
    (low, w1), (high, w2) = map(pair, (4.1e-3, 4.6e-3))
    found = unbalance.rolled((low, high), radius)
    same(found, (w1 + w2) * r / 2 + ufloat(0, 0.5e-3 * 0.02 / (2 * np.sqrt(12))))
    inertia, moment = 3e-5, 1.2e-4
    periods = (
        2 * np.pi * np.sqrt(inertia / (G * moment)),
        2 * np.pi * np.sqrt((inertia + 4e-3 * 0.02**2) / (G * (moment + 4e-3 * 0.02))),
    )
    (bare, t1), (weighted, t2) = (pair(each, 1e-3) for each in periods)
    u = w * r * (length(t2) - r) / (length(t1) - length(t2))
    swung = unbalance.swung(bare, weighted, added, radius)
    assert swung.unbalance.value == pytest.approx(moment, rel=1e-9)
    assert swung.inertia.value == pytest.approx(inertia, rel=1e-9)
    same(swung.unbalance, u)
    same(swung.inertia, length(t1) * u)


def test_crank_on_the_scale():
    arm, reach = pair(0.1)
    at = np.deg2rad([0, 90, 180, 270])
    values, gain = (31.42e-3, 27.90e-3, 30.18e-3, 33.70e-3), ufloat(1.0, 0.003)
    readings = [gain * ufloat(each, 1e-4) for each in values]
    x, y = unbalance.on_scale(at, [Estimate(each, 1e-4) for each in values], arm, 0.003).components
    same(y, reach * (readings[0] - readings[2]) / 2)
    same(x, reach * (readings[1] - readings[3]) / 2)
    # Readings that do not fit each other by 0.4 g are no better than that: one of four is left to tell it by.
    apart = unbalance.on_scale(at, [Estimate(each, 1e-6) for each in (31e-3, 30e-3, 31e-3, 30.4e-3)], Estimate(0.1))
    scatter = abs(31e-3 - 30e-3 + 31e-3 - 30.4e-3) / 2
    assert apart.components[0].sd == pytest.approx(0.1 * scatter / np.sqrt(2), rel=1e-9)


def test_dial():
    forces = np.array([4.9, 9.8, 14.7, 19.6])
    readings = [ufloat(20e-6 + 2.5e-6 * each, 2e-6) for each in forces]
    line = dial.slope(forces, [each.nominal_value for each in readings], 2e-6)
    middle = forces - forces.mean()
    slope = sum(m * r for m, r in zip(middle, readings, strict=True)) / float(middle @ middle)
    same(line.slope, slope)
    same(line.at_zero, sum(readings) / 4 - slope * forces.mean() - ufloat(0, 2e-6))
    (radius, r), travel = pair(0.04), 0.15e-3
    found = dial.backlash([travel] * 3, radius, 0.024, 0.0)
    same(found.backlash, travel * 0.024 / r)


def test_tapped():
    (bare, f1), (loaded, f2), (added, d), (fall, q) = (
        pair(21.79, 1e-3), pair(20.55, 1e-3), pair(0.4, 1e-3), pair(0.31))  # fmt: skip
    stiffness = 4 * np.pi**2 * d / (1 / f2**2 - 1 / f1**2)
    found = tapped.by_added_mass(bare, loaded, added)
    same(found.stiffness, stiffness)
    same(found.mass, stiffness / (4 * np.pi**2 * f1**2))
    ratio = tapped.damping_ratio(fall)
    same(ratio, q / umath.sqrt(4 * np.pi**2 + q**2))
    z = ufloat(ratio.value, ratio.sd)
    same(tapped.undamped(bare, ratio), f1 / umath.sqrt(1 - z**2))


def test_gas_and_brake():
    (pushed, v), (rise, p) = map(pair, (2e-6, 6.3e3))
    same(volumes.closed_volume(pushed, rise, 101e3), v * (101e3 + p) / p)
    (pull, w), (slack, s), (radius, r) = map(pair, (2.4, 0.3, 0.04))
    same(brake.rope_torque(pull, slack, radius), (w - s) * r)


def test_friction_and_pressure_scale_by_correlated_readings():
    """The fit's own covariance against the package carrying every reading through the normal equations.

    The ropes' radii, of brake and of drag, are in all readings of each.
    """
    speed = np.linspace(30.0, 140.0, 6)
    running = np.arange(6) < 3
    ideal = np.where(running, 0.06, 0.0)
    sd = RNG.uniform(4e-4, 9e-4, 6)
    truth = np.array([0.8, 8e-3, 4e-5, 3e-7])
    columns = np.stack([ideal, -np.ones(6), -speed, -(speed**2)], axis=-1)
    torque = columns @ truth
    shared = np.stack([np.where(running, 0.006 * torque, 0.0), np.where(running, 0.0, 0.009 * torque)])
    of = [
        brake.TorqueReadings(torque[part], sd[part], speed[part], ideal[part], shared[number : number + 1, part])
        for number, part in enumerate((running, ~running))
    ]
    found = brake.fit_friction(of[0].and_also(of[1]))
    radii = [ufloat(0.0, 1.0), ufloat(0.0, 1.0)]
    read = [ufloat(value, u) + a * radii[0] + b * radii[1] for value, u, a, b in zip(torque, sd, *shared, strict=True)]
    weighted = columns / sd[:, None]
    product = np.linalg.solve(weighted.T @ weighted, weighted.T) / sd
    for row, each in zip(product, found.values.values(), strict=True):
        plain = sum(float(share) * one for share, one in zip(row, read, strict=True))
        assert each.value == pytest.approx(plain.nominal_value, rel=1e-6)
        assert each.sd == pytest.approx(plain.std_dev, rel=1e-6)
