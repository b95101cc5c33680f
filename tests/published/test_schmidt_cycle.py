"""Schmidt's isothermal analysis: Urieli and Berchowitz, Stirling Cycle Engine Analysis (1984), chapter 4.

V_c = V_clc + V_swc (1 + cos q)/2, V_e = V_cle + V_swe (1 + cos(q + alpha))/2; regenerator at the log-mean
temperature. The volumes were read in the author's own text, the remaining formulas are from memory; against a
fine numerical integral outside the project they hold to 1e-9.
"""

from dataclasses import dataclass

import numpy as np
import pytest

from balance.gas import Volumes, isothermal_pressure, log_mean
from balance.machine.machine import DeadVolumes, IsothermalGas

Q = np.arange(720) * (2 * np.pi / 720)


@dataclass(frozen=True)
class Cycle:
    """Swept, clearance, cooler, regenerator and heater volumes, m^3; temperatures, K; phase, rad; mean pressure, Pa."""

    swept_cold: float = 100e-6
    swept_hot: float = 100e-6
    clear_cold: float = 0.0
    clear_hot: float = 0.0
    cooler: float = 30e-6
    regenerator: float = 40e-6
    heater: float = 30e-6
    cold: float = 300.0
    hot: float = 900.0
    alpha: float = np.pi / 2
    mean: float = 1e6

    @property
    def volumes(self):
        cold = self.clear_cold + self.cooler + self.swept_cold * (1 + np.cos(Q)) / 2
        hot = self.clear_hot + self.heater + self.swept_hot * (1 + np.cos(Q + self.alpha)) / 2
        return Volumes(hot, cold, self.regenerator)

    @property
    def pressure(self):
        gas = IsothermalGas(
            hot=self.hot,
            cold=self.cold,
            mean_pressure=self.mean,
            case_pressure=0.0,
            dead=DeadVolumes(hot=0.0, cold=0.0, regenerator=self.regenerator),
        )
        return isothermal_pressure(gas, self.volumes)

    @property
    def closed(self):
        """Return s, b and beta of the closed form."""
        alike = self.hot == self.cold
        tr = self.cold if alike else (self.hot - self.cold) / np.log(self.hot / self.cold)
        s = self.swept_cold / 2 / self.cold + (self.clear_cold + self.cooler) / self.cold + self.regenerator / tr
        s += (self.heater + self.clear_hot + self.swept_hot / 2) / self.hot
        e, c = self.swept_hot / self.hot, self.swept_cold / self.cold
        amplitude = 0.5 * np.sqrt(e**2 + 2 * e * c * np.cos(self.alpha) + c**2)
        return s, amplitude / s, np.arctan2(e * np.sin(self.alpha), e * np.cos(self.alpha) + c)

    def work(self, swept, phase):
        """Return the closed form of the work of a space per turn, J."""
        _, b, beta = self.closed
        return np.pi * swept * self.mean * np.sin(beta - phase) * (np.sqrt(1 - b**2) - 1) / b


def area(pressure, volume):
    """Return the integral of p dV over the turn; exact for smooth periodic curves."""
    number = np.arange(len(volume) // 2 + 1)
    return 2 * np.pi * np.mean(pressure * np.fft.irfft(1j * number * np.fft.rfft(volume), len(volume)))


def test_reference_case():
    """Own fine integration, no source: M R 0.391155 J/K, p 0.647095 to 1.545369 MPa, W 63.8573 and -21.2858 J."""
    cycle = Cycle()
    pressure, volumes = cycle.pressure, cycle.volumes
    amount = volumes.hot / 900 + volumes.regenerator / log_mean(900.0, 300.0) + volumes.cold / 300
    np.testing.assert_allclose(pressure * amount, 0.391155, atol=5e-7)
    np.testing.assert_allclose([pressure.max(), pressure.min()], [1.545369e6, 0.647095e6], rtol=3e-6)
    hot, cold = area(pressure, volumes.hot), area(pressure, volumes.cold)
    np.testing.assert_allclose([hot, cold], [63.8573, -21.2858], atol=5e-5)
    np.testing.assert_allclose((hot + cold) / hot, 1 - 300 / 900, rtol=1e-9)


@pytest.mark.parametrize(
    "cycle",
    [
        Cycle(),
        Cycle(hot=650.0, clear_hot=9e-6, alpha=np.deg2rad(110)),
        Cycle(swept_cold=60e-6, clear_cold=4e-6, regenerator=0.0, mean=101e3),
        Cycle(hot=300.0, cold=300.0),
    ],
)
def test_closed_form(cycle):
    """P = M R/(s (1 + b cos(q + beta))) with p_mean = M R/(s sqrt(1 - b^2)), and the work of both spaces."""
    _, b, beta = cycle.closed
    shape = cycle.mean * np.sqrt(1 - b**2) / (1 + b * np.cos(Q + beta))
    np.testing.assert_allclose(cycle.pressure, shape, rtol=1e-12)
    scale = cycle.mean * (cycle.swept_cold + cycle.swept_hot)
    cold, hot = area(cycle.pressure, cycle.volumes.cold), area(cycle.pressure, cycle.volumes.hot)
    np.testing.assert_allclose(cold, cycle.work(cycle.swept_cold, 0.0), atol=1e-11 * scale)
    np.testing.assert_allclose(hot, cycle.work(cycle.swept_hot, cycle.alpha), atol=1e-11 * scale)


def test_log_mean_temperature():
    """(T_h - T_k)/ln(T_h/T_k): 546.1 K between 900 and 300 K, and no jump where both are alike."""
    np.testing.assert_allclose(log_mean(900.0, 300.0), 600 / np.log(3), rtol=1e-15)
    np.testing.assert_allclose(log_mean(300.0 * (1 + 1e-6), 300.0), 300.00015, rtol=1e-9)
    assert log_mean(300.0, 300.0) == 300.0


@pytest.mark.parametrize("scale", [1e-3, 300.0])
@pytest.mark.parametrize("apart", [1e-3, 1e-6, 1e-10, 1e-12])
def test_log_mean_of_nearly_equal_temperatures(scale, apart):
    """T (1 + d/2 - d^2/12 + ...) between T and T (1 + d), by series; the plain quotient would lose it to rounding."""
    expected = scale * (1 + apart / 2 - apart**2 / 12)
    np.testing.assert_allclose(log_mean(scale * (1 + apart), scale), expected, rtol=2e-8)
