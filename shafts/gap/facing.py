"""Which yokes face each other, one above the other, and where they can touch first."""

import numpy as np

from balance.cycle.load import Load, over_places
from balance.motion import Motion
from balance.outlines import facing, ranges_meet
from balance.quantities import result
from shafts.engine import Engine
from shafts.loaded_shafts import LoadedShafts


@result
class Facing:
    """Two yokes that face each other.

    upper, lower : their names.   x : places at which they can touch first, m, (options..., places).
    nominal : gap there with rigid parts and no play, m, (options..., places, angles); inf where they do not face.
    """

    upper: str
    lower: str
    x: np.ndarray
    nominal: np.ndarray

    @property
    def yokes(self) -> tuple[tuple[str, float], ...]:
        """Each yoke by name, with +1 for the upper one, whose rise opens the gap, and -1 for the lower."""
        return ((self.upper, 1.0), (self.lower, -1.0)) if self.lower else ((self.upper, 1.0),)

    def tooth(self, loaded: LoadedShafts) -> Load | None:
        """Return the tangential force of the teeth as it meets places, N, (options..., 1, angles)."""
        return None if loaded.tooth is None else loaded.tooth.each(over_places)


def alone(name: str, x: np.ndarray) -> Facing:
    """Return one yoke by itself: lines of the budget then say how far it rises at places x, m, (places,)."""
    return Facing(name, "", x, np.zeros((len(x), 1)))


def facing_yokes(engine: Engine, motion: Motion) -> list[Facing]:
    """Return every two yokes with outlines whose ranges along the shafts meet, the higher one first."""
    names = [name for name, yoke in engine.yokes.items() if yoke.outline is not None]
    names.sort(key=lambda name: -float(np.mean(motion.yokes[name].height)))
    pairs = [(one, other) for index, one in enumerate(names) for other in names[index + 1 :]]
    # Among many options one yoke may be the higher one in some and the lower one in others: then both ways are pairs.
    both_ways = [pair for one, other in pairs for pair in ((one, other), (other, one))]
    return [meeting for pair in both_ways if (meeting := _facing(engine, motion, *pair)) is not None]


def _facing(engine: Engine, motion: Motion, upper: str, lower: str) -> Facing | None:
    above, below = (engine.yokes[name].outline for name in (upper, lower))
    assert above is not None and below is not None
    meet = ranges_meet(above.z, below.z, engine.fits.axial_play) & _is_above(motion, upper, lower)
    if not np.any(meet):
        return None
    x, clearance = facing(above, below)
    clearance = np.where(np.asarray(meet)[..., None], clearance, np.inf)
    if not np.any(np.isfinite(clearance)):
        return None
    x, clearance = _distinct(x, clearance)
    height = motion.yokes[upper].height - motion.yokes[lower].height
    return Facing(upper, lower, x, height[..., None, :] + clearance[..., None])


def _is_above(motion: Motion, upper: str, lower: str) -> np.ndarray:
    """Return whether a yoke is the higher one, on the mean, (options...); of two at one height, the first is."""
    height, other = (np.mean(motion.yokes[name].height, axis=-1) for name in (upper, lower))
    names = list(motion.yokes)
    return (height >= other) if names.index(upper) < names.index(lower) else (height > other)


def _distinct(x: np.ndarray, clearance: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Leave out places at which no option's yokes face each other, and those that say what others say already."""
    x, clearance = np.broadcast_arrays(x, clearance)
    # One place says what another does if it is the same in every option; adding zero makes one zero of both.
    said = {(x[..., index] + 0.0).tobytes() + (clearance[..., index] + 0.0).tobytes(): index
            for index in reversed(range(x.shape[-1])) if np.any(np.isfinite(clearance[..., index]))}  # fmt: skip
    kept = sorted(said.values())
    return x[..., kept], clearance[..., kept]
