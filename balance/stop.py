"""The force of a rubber stop between two yokes: a spring that touches, by the motion of rigid parts."""

import numpy as np

from balance.cycle.extremes import largest
from balance.cycle.load import Load
from balance.machine.machine import Machine
from balance.motion import Motion
from balance.outlines import edge_heights
from balance.quantities import Number, over_angle, result


@result
class Pressed:
    """The stops over the cycle, pressed alike.

    compression : of each, m, zero while it does not touch, (options..., angles).
    force : of all together, which pushes both yokes apart, N, (options..., angles).
    """

    compression: np.ndarray
    force: np.ndarray

    def heat(self, loss_factor: Number) -> Number:
        """Return the heat of one turn, J, (options...), of all stops together.

        A full cycle of a spring of loss factor eta turns 2 pi eta U into heat, U its largest energy; pressing and
        letting go on one side alone is half of one.
        """
        energy = largest(self.force * self.compression / 2)[0]
        return np.pi * np.asarray(loss_factor) * energy


def pressed(machine: Machine, motion: Motion) -> Pressed | None:
    """Return how the stop is pressed over the cycle; None without one."""
    stop = machine.stop
    if stop is None:
        return None
    upper, lower = stop.between
    clearance = _edge(machine, upper, 0) - _edge(machine, lower, 1)
    gap = motion.yokes[upper].height - motion.yokes[lower].height + over_angle(clearance)
    compression = np.maximum(over_angle(stop.thickness) - gap, 0.0)
    return Pressed(compression, compression * over_angle(np.asarray(stop.spring) * stop.number))


def stop_push(machine: Machine, motion: Motion) -> dict[str, Load]:
    """Return the push of the stop on each of the two yokes that it parts, N along y, by name; it has no speed in it."""
    stops = pressed(machine, motion)
    if stops is None or machine.stop is None:
        return {}
    upper, lower = machine.stop.between
    return {upper: Load(steady=stops.force), lower: Load(steady=-stops.force)}


def _edge(machine: Machine, name: str, which: int) -> np.ndarray:
    """Return the lower (0) or upper (1) edge of a yoke above its pivot line where the stop stands, m, (options...)."""
    outline = machine.yokes[name].outline
    assert outline is not None and machine.stop is not None
    return edge_heights(outline, np.asarray(machine.stop.x, dtype=float)[..., None])[which][..., 0]
