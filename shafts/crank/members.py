"""The members of a crank, shaft lengths, crankpins and webs, and how each yields to what passes through it.

All in the crank's own frame (x, y across, z along), about its origin: a wrench is (fx, fy, mx, my, mz), the force and
its moment about the origin; no load acts along z. At a point s of a member the section carries the moment
M = M_0 - s x f, so its strain energy gives the symmetric 5 x 5 flexibility F of the wrench: the integral of
M^T S M + f^T Q f along it, with S and Q the section's curvature per moment and shear or stretch per force
(Castigliano; Timoshenko beams). The integrals of prismatic members are closed forms.
"""

from dataclasses import replace

import numpy as np

from balance.machine.materials import Material
from balance.quantities import Number, Scalar, result

FX, FY, MX, MY, MZ = range(5)


@result
class Round:
    """Lengths of round bar along z; all (options..., members), those without an option axis broadcast.

    kind : "shaft" or "crankpin" of each.   x, y : its axis, m.   low, high : where it begins and ends, m.
    bend, twist, shear : 1/EI, 1/GJ and 1/(kappa G A).
    """

    kind: tuple[str, ...]
    x: np.ndarray
    y: np.ndarray
    low: np.ndarray
    high: np.ndarray
    bend: np.ndarray
    twist: np.ndarray
    shear: np.ndarray

    @property
    def middle(self) -> np.ndarray:
        """The middle of each along z, m."""
        return (self.low + self.high) / 2

    @property
    def flexibility(self) -> np.ndarray:
        """Flexibility of each for the wrench about the origin, (options..., members, 5, 5)."""
        length = self.high - self.low
        low, high = self.low, self.high
        first, second = length * self.middle, length * (high * high + high * low + low * low) / 3
        twist = self.twist * length
        return _symmetric({
            (FX, FX): self.bend * second + twist * self.y**2 + self.shear * length,
            (FY, FY): self.bend * second + twist * self.x**2 + self.shear * length,
            (FX, FY): -twist * self.x * self.y,
            (FX, MY): -self.bend * first,
            (FY, MX): self.bend * first,
            (FX, MZ): twist * self.y,
            (FY, MZ): -twist * self.x,
            (MX, MX): self.bend * length,
            (MY, MY): self.bend * length,
            (MZ, MZ): twist,
        })  # fmt: skip

    @property
    def twisting(self) -> "Round":
        """The same bars if they did nothing but twist."""
        return replace(self, bend=np.zeros_like(self.bend), shear=np.zeros_like(self.shear))

    @property
    def bending(self) -> "Round":
        """The same bars if they did not twist."""
        return replace(self, twist=np.zeros_like(self.twist))


@result
class Webs:
    """Webs from axis to axis in a plane across z; all (options..., webs).

    start, end : x and y of both axes, m.   z : of the web's middle plane, m.
    twist : 1/GJ about its arm.   out : 1/EI out of its plane.   across : 1/EI in its plane.
    stretch : 1/EA.   shear : 1/(kappa G A).
    """

    start: tuple[np.ndarray, np.ndarray]
    end: tuple[np.ndarray, np.ndarray]
    z: np.ndarray
    twist: np.ndarray
    out: np.ndarray
    across: np.ndarray
    stretch: np.ndarray
    shear: np.ndarray

    @property
    def middle(self) -> np.ndarray:
        """The middle plane of each, m."""
        return self.z

    @property
    def flexibility(self) -> np.ndarray:
        """Flexibility of each for the wrench about the origin, (options..., webs, 5, 5)."""
        (x, y), (end_x, end_y) = self.start, self.end
        length = np.hypot(end_x - x, end_y - y)
        arm = [(end - start) / np.where(length > 0, length, 1.0) for start, end in ((x, end_x), (y, end_y))]
        # Curvature per moment in the plane of the web: twist about the arm, bending about the line across it.
        xx, yy, xy = _turned(self.twist * length, self.out * length, arm)
        fxx, fyy, fxy = _turned(self.stretch * length, self.shear * length, arm)
        bend = self.across * length
        mean_x, mean_y = (x + end_x) / 2, (y + end_y) / 2
        square_x, square_y = (x**2 + x * end_x + end_x**2) / 3, (y**2 + y * end_y + end_y**2) / 3
        product = (2 * x * y + x * end_y + end_x * y + 2 * end_x * end_y) / 6
        z = self.z
        return _symmetric({
            (FX, FX): z**2 * yy + bend * square_y + fxx,
            (FY, FY): z**2 * xx + bend * square_x + fyy,
            (FX, FY): -(z**2) * xy - bend * product + fxy,
            (FX, MX): -z * xy,
            (FX, MY): -z * yy,
            (FY, MX): z * xx,
            (FY, MY): z * xy,
            (FX, MZ): bend * mean_y,
            (FY, MZ): -bend * mean_x,
            (MX, MX): xx,
            (MY, MY): yy,
            (MX, MY): xy,
            (MZ, MZ): bend,
        })  # fmt: skip


def _turned(along: np.ndarray, across: np.ndarray, arm: list[np.ndarray]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return xx, yy and xy of a tensor with these values along an arm of unit direction (x, y) and across it."""
    x, y = arm
    return along * x**2 + across * y**2, along * y**2 + across * x**2, (along - across) * x * y


def _symmetric(entries: dict[tuple[int, int], np.ndarray]) -> np.ndarray:
    """Return the symmetric 5 x 5 matrices with these entries, (..., 5, 5), the rest zero."""
    shape = np.broadcast_shapes(*(each.shape for each in entries.values()))
    matrix = np.zeros((5, 5, *shape))  # each entry lies by itself while it is filled: that is quicker, and turned once
    for (row, column), value in entries.items():
        matrix[row, column] = matrix[column, row] = value
    return np.ascontiguousarray(np.moveaxis(matrix, (0, 1), (-2, -1)))


def round_section(diameter: Scalar, bore: Scalar, material: Material) -> tuple[Number, Number, Number]:
    """Return 1/EI, 1/GJ and 1/(kappa G A) of a round bar.

    diameter, bore : outside and inside, m.   kappa by Cowper, J. Appl. Mech. 33 (1966), 335.
    """
    diameter, bore = np.asarray(diameter), np.asarray(bore)
    area = np.pi / 4 * (diameter**2 - bore**2)
    second = np.pi / 64 * (diameter**4 - bore**4)
    shear = material.shear * shear_coefficient(bore / diameter, _poisson(material)) * area
    return 1 / (material.young * second), 1 / (material.shear * 2 * second), 1 / shear


def shear_coefficient(hollow: Scalar, poisson: Scalar) -> Number:
    """Return Cowper's shear coefficient of a round bar (J. Appl. Mech. 33 (1966), 335).

    hollow : inside over outside diameter.   poisson : Poisson's ratio.   Dimensionless, (options...).
    """
    inner = (1 + hollow**2) ** 2
    return 6 * (1 + poisson) * inner / ((7 + 6 * poisson) * inner + (20 + 12 * poisson) * hollow**2)


def web_section(thickness: Scalar, width: Scalar, material: Material) -> tuple[Number, Number, Number, Number, Number]:
    """Return 1/GJ, 1/EI out of plane, 1/EI in plane, 1/EA and 1/(kappa G A) of a web of rectangular section.

    Torsion constant a b^3 (1/3 - 0.21 b/a (1 - b^4/(12 a^4))), a the longer side (Roark's Formulas for Stress and
    Strain, table of torsion); kappa = 10 (1 + nu)/(12 + 11 nu) (Cowper).
    """
    thin, wide = np.minimum(thickness, width), np.maximum(thickness, width)
    torsion = wide * thin**3 * (1 / 3 - 0.21 * thin / wide * (1 - thin**4 / (12 * wide**4)))
    poisson = _poisson(material)
    area = thickness * width
    shear = material.shear * 10 * (1 + poisson) / (12 + 11 * poisson) * area
    return (
        1 / (material.shear * torsion),
        12 / (material.young * width * thickness**3),
        12 / (material.young * thickness * width**3),
        1 / (material.young * area),
        1 / shear,
    )


def _poisson(material: Material) -> Number:
    return material.young / (2 * material.shear) - 1
