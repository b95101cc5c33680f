"""How much of an engine moves, by mass."""

from balance.machine.machine import Machine
from balance.quantities import Number, Scalar
from balance.turning import HANDS, turning_masses


def moving_mass(machine: Machine) -> Number:
    """Return the mass of yokes with all they carry, and of their rods, kg, (options...)."""
    rods = (yoke.rod for yoke in machine.yokes.values() if yoke.rod is not None)
    both = sum(rod.mass + (rod.mass if rod.left is None else rod.left.mass) for rod in rods)
    return sum(yoke.mass for yoke in machine.yokes.values()) + both


def mass_left(machine: Machine, mass: Scalar) -> Number:
    """Return by how much a whole engine of some mass is heavier than all that moves and turns in it, kg, (options...).

    Counterweights that are sized are not among that.
    """
    turning = sum(each.mass for hand in HANDS for each in turning_masses(machine, hand))
    return mass - (moving_mass(machine) + turning)
