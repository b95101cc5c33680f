"""How much of an engine moves, by mass."""

from balance.machine.machine import Machine
from balance.quantities import Number, Scalar
from balance.turning import mass_on_shafts


def moving_mass(machine: Machine) -> Number:
    """Return the mass of yokes with all they carry, and of their rods, kg, (options...)."""
    rods = (yoke.rod for yoke in machine.yokes.values() if yoke.rod is not None)
    both = sum(rod.mass + (rod.mass if rod.left is None else rod.left.mass) for rod in rods)
    return sum(yoke.mass for yoke in machine.yokes.values()) + both


def mass_left(machine: Machine, mass: Scalar) -> Number:
    """Return by how much a whole engine of some mass is heavier than all that moves and turns in it, kg, (options...).

    machine : as it runs, with its counterweights, if they are to count.
    """
    return mass - (moving_mass(machine) + mass_on_shafts(machine))
