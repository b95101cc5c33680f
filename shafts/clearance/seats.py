"""Bodies of what the shafts run in: the rings of rolling bearings, and bushes."""

from collections.abc import Iterator

from balance.obstacles import Obstacle, about
from balance.turning import HANDS
from shafts.engine import Engine
from shafts.shaft import Bearing

BUSH = 1.5  # outside over bore of a bush whose outside is not given (common practice, no source)


def bearing_size(bearing: Bearing) -> tuple[float, float, bool]:
    """Return the outside diameter and width of a bearing, m, and whether the outside is taken."""
    kind = bearing.inside
    if kind.outside is None:
        return BUSH * float(kind.bore), float(kind.width), True
    return float(kind.outside), float(kind.width), False


def seat_bodies(engine: Engine) -> Iterator[Obstacle]:
    """Yield every bearing of both shafts as a round body that stands still."""
    import shapely

    half = float(engine.cranks.centre_distance) / 2
    for shaft, (hand, sign) in zip(engine.shafts.pair, HANDS.items(), strict=True):
        for index, bearing in enumerate(shaft.bearings, start=1):
            outside, width, taken = bearing_size(bearing)
            yield Obstacle(
                f"{hand} bearing {index}", hand, about(bearing.at, width), shapely.points(sign * half, 0.0),
                outside / 2, ("case", ""), (), (sign * half, 0.0, outside / 2), "bearing",
                "a ball bearing's outside, or more room about the bush" if taken else "",
            )  # fmt: skip
