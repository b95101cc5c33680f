"""How good the balance must be, and how good it is: grades, and what small slips do to it."""

import numpy as np

from balance.quantities import Number, Scalar, result

GRADES = {
    4000: "crankshaft drives of large slow marine diesels, inherently unbalanced",
    1600: "crankshaft drives of large slow marine diesels, inherently balanced",
    630: "crankshaft drives, inherently unbalanced, elastically mounted",
    250: "crankshaft drives, inherently unbalanced, rigidly mounted",
    100: "complete reciprocating engines for cars, trucks and locomotives",
    40: "car wheels, drive shafts; crankshaft drives, inherently balanced, elastically mounted",
    16: "crankshaft drives, inherently balanced, rigidly mounted; cardan shafts",
    6.3: "general machinery, fans, gears, small electric motors",
    2.5: "compressors, larger motors, machine-tool drives",
    1: "grinding-machine and audio drives",
    0.4: "gyroscopes",
}
"""Balance quality grades in mm/s, ISO 21940-11 table 1 (ISO 1940-1:2003); from memory and shortened."""


def permissible_eccentricity(grade: Scalar, speed: Scalar) -> Number:
    """Return the permissible distance of the mass centre from the axis, m: e = G/Omega (ISO 21940-11, 6.2).

    grade : m/s (G 6.3 is 6.3e-3 m/s).   speed : rad/s.
    """
    return np.asarray(grade) / speed


def permissible_unbalance(grade: Scalar, mass: Scalar, speed: Scalar) -> Number:
    """Return the permissible residual unbalance of a rotor, kg m: U = G m/Omega (ISO 21940-11, 6.2)."""
    return permissible_eccentricity(grade, speed) * mass


def grade_reached(unbalance: Scalar, mass: Scalar, speed: Scalar) -> Number:
    """Return the balance quality of a rotor with an unbalance, kg m, at a speed: e Omega, m/s."""
    return np.asarray(unbalance) / mass * speed


def named_grade(reached: float) -> str:
    """Return the finest grade of the standard that a balance quality, m/s, still meets, as "G 16", with its use.

    Raises ValueError for less than nothing, and for what is no number.
    """
    if not reached >= 0:
        raise ValueError(f"balance quality: read {reached}; allowed: 0 m/s or more")
    fitting = [grade for grade in sorted(GRADES) if grade * 1e-3 >= reached]
    return f"G {fitting[0]:g}: {GRADES[fitting[0]]}" if fitting else "coarser than G 4000"


@result
class Hole:
    """A round hole drilled along the shaft; fields (options...), m and kg/m^3.

    radius : from the shaft to the hole's centre.
    """

    diameter: Number
    depth: Number
    radius: Number
    density: Number

    @property
    def mass(self) -> Number:
        """Mass drilled out, kg."""
        return self.density * np.pi / 4 * np.asarray(self.diameter) ** 2 * self.depth

    @property
    def moment(self) -> Number:
        """Mass x radius taken away, kg m."""
        return self.mass * self.radius


def largest_of_order(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Return the peak size of a force whose complex amplitudes along x and y are given.

    It is half the long axis of the ellipse that the force describes:
    |F|^2 = (|x|^2 + |y|^2)/2 + Re((x^2 + y^2) exp(2 i n theta))/2.
    """
    return np.sqrt((np.abs(x) ** 2 + np.abs(y) ** 2 + np.abs(x**2 + y**2)) / 2)
