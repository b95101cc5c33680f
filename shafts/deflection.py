"""How far a shaft gives way at its throws and gear, and what its bearings carry: influence times loads.

The influence is solved once; every speed is then a product. The shaft's own weight and mass are left
out here (they are in the critical speeds). Webs and pins count as rigid: their bending has its own line
in the gap budget.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from balance.quantities import Number
from balance.shaft_loads import ShaftLoads
from shafts.beam import Flexible, Influence, flexible, influence, lever_shares
from shafts.bearings.stiffness import by_contact, compliance
from shafts.shaft import Shaft
from shafts.superposition import Response, Superposition, force_count, force_places


@dataclass(frozen=True, eq=False)
class ShaftResponse:
    """One shaft under its loads; what it does is worked out when it is first asked for.

    loads : all loads, ready to be added up.   found : influence of the stations (see `shaft_influence`).
    gives : radial give of each bearing in its seat, m/N, (options...).
    rated : the speed at which bearings are judged, rad/s; None if they are not.
    on_two : the size of the load on each of two bearings at that speed, N, (bearings, options..., angles), where it was
    worked out before the rest was known.
    """

    loads: Superposition
    found: Influence
    gives: list[Number]
    rated: Number | None = None
    on_two: np.ndarray | None = None

    def under(self, loads: ShaftLoads, theta: np.ndarray) -> "ShaftResponse":
        """Return the same shaft under other courses of the same loads, at other crank angles."""
        return ShaftResponse(Superposition(loads, theta), self.found, self.gives, self.rated)

    @cached_property
    def pins(self) -> dict[str, Response]:
        """Bending of the shaft at each yoke's throw plane, on rigid bearings, m."""
        return self._at_pins(self.found.bending)

    @cached_property
    def seats(self) -> dict[str, Response]:
        """What the bearings' give adds there, m."""
        return self._at_pins(self.found.seating)

    @cached_property
    def shares(self) -> dict[str, np.ndarray]:
        """Load on each bearing per unit load at each yoke's throw plane, (options..., bearings)."""
        return {name: self.found.share[..., place] for place, name in enumerate(self.loads.loads.pins)}

    @cached_property
    def bearings(self) -> list[Response]:
        """Load on each bearing, N."""
        return self.loads.respond(self.bearing_weights)

    @cached_property
    def bearing_sizes(self) -> np.ndarray:
        """Size of the load on each bearing over the cycle at the rated speed, N, (bearings, options..., angles)."""
        assert self.rated is not None
        return self.on_two if self.on_two is not None else self.loads.sizes(self.bearing_weights, self.rated)

    @property
    def bearing_weights(self) -> np.ndarray:
        """Weights of all loads in what each bearing carries, (options..., bearings, forces)."""
        return self.found.share[..., : force_count(self.loads.loads)]

    @cached_property
    def slopes(self) -> list[Response]:
        """Slope at each bearing, rad, bearings' give included."""
        return self._bends["slopes"]

    @property
    def gear(self) -> Response | None:
        """Deflection at the gear, m; None without gears."""
        return next(iter(self._bends["gear"]), None)

    @property
    def gear_slope(self) -> Response | None:
        """Slope at the gear, rad; None without gears."""
        return next(iter(self._bends["gear slope"]), None)

    @cached_property
    def _bends(self) -> dict[str, list[Response]]:
        """Slopes, and deflection and slope at the gear, by kind: all added up in one go."""
        every = iter(self.loads.respond(np.concatenate(list(self.weights.values()), axis=-2)))
        return {kind: [next(every) for _ in range(weights.shape[-2])] for kind, weights in self.weights.items()}

    def on_rigid_bearings(self, kind: str) -> list[Response]:
        """Return slopes, or what the gear does, if bearings and seats did not give; kinds as in `weights`."""
        return self.loads.respond(self._weights(self.found.bending)[kind])

    @cached_property
    def weights(self) -> dict[str, np.ndarray]:
        """Weights of all loads in slopes at bearings, and at the gear, (options..., responses, forces)."""
        return self._weights(self.found.bending + self.found.seating)

    def _weights(self, matrix: np.ndarray) -> dict[str, np.ndarray]:
        count, bearings = force_count(self.loads.loads), len(self.gives)
        gears, rows = int(self.loads.loads.mesh is not None), matrix[..., :count]
        return {
            "slopes": rows[..., count : count + bearings, :],
            "gear": rows[..., count - 1 : count - 1 + gears, :],
            "gear slope": rows[..., count + bearings :, :],
        }

    def at_pins(self, matrix: np.ndarray, names: Sequence[str]) -> np.ndarray:
        """Return from an influence matrix what all forces do at yokes' throw planes, (options..., yokes, forces)."""
        pins = list(self.loads.loads.pins)
        return matrix[..., [pins.index(name) for name in names], : force_count(self.loads.loads)]

    def _at_pins(self, matrix: np.ndarray) -> dict[str, Response]:
        names, count = list(self.loads.loads.pins), force_count(self.loads.loads)
        return dict(zip(names, self.loads.respond(matrix[..., : len(names), :count]), strict=True))


def bearing_gives(
    shaft: Shaft, acting: Superposition, speed: Number | None, on_two: np.ndarray | None = None
) -> list[Number]:
    """Return the give of every bearing, m/N, (options...), contact theory's at its mean load at a speed, rad/s.

    on_two : size of the loads on two bearings (see ShaftResponse), free of their give. On more, or where it
    is left out, those with the seats' give alone stand for them.
    """
    seats = [compliance(bearing) for bearing in shaft.bearings]
    if speed is None or not any(by_contact(bearing) for bearing in shaft.bearings):
        return seats
    sizes = on_two
    if sizes is None:
        sizes = acting.sizes(influence(shaft, force_places(acting.loads), [], seats).share, speed)
    return [compliance(bearing, mean) for bearing, mean in zip(shaft.bearings, np.mean(sizes, axis=-1), strict=True)]


def shaft_state(
    shaft: Shaft, loads: ShaftLoads, theta: np.ndarray, speed: Number | None = None, bends: Flexible | None = None
) -> ShaftResponse:
    """Return how one shaft bends and what its bearings carry.

    speed : at which bearings are judged, and ball bearings without a stated stiffness worked out, rad/s; these count as
    rigid if None.
    bends : the shaft at its stations, if that is known already.
    """
    acting = Superposition(loads, theta)
    on_two = None
    if speed is not None and len(shaft.bearings) == 2:
        on_two = acting.sizes(lever_shares(shaft, force_places(loads)), speed)
    gives = bearing_gives(shaft, acting, speed, on_two)
    (bends,) = (bends,) if bends is not None else flexible_shafts(shaft, [loads])
    return ShaftResponse(acting, bends.on(gives), gives, speed, on_two)


def shaft_influence(shaft: Shaft, loads: ShaftLoads) -> Influence:
    """Return the influence matrix with bearings that give as is stated of them.

    Stations: pins, turning masses, mesh, then slopes at bearings and gear.
    """
    (bends,) = flexible_shafts(shaft, [loads])
    return bends.on([compliance(bearing) for bearing in shaft.bearings])


def flexible_shafts(shaft: Shaft, sides: list[ShaftLoads]) -> list[Flexible]:
    """Return one shaft at its stations under each of several sets of loads; what they share is worked out once."""
    couples = [bearing.at for bearing in shaft.bearings]
    if sides[0].mesh is not None:
        couples.append(sides[0].mesh.at)
    every = [force_places(loads) for loads in sides]
    distinct: list[Number] = []
    for place in (place for places in every for place in places):
        if not any(_same(place, other) for other in distinct):
            distinct.append(place)
    whole = flexible(shaft, distinct, couples)
    return [whole.at([_index(place, distinct) for place in places]) for places in every]


def _index(place: Number, among: list[Number]) -> int:
    return next(number for number, other in enumerate(among) if _same(place, other))


def _same(one: Number, other: Number) -> bool:
    several = isinstance(one, np.ndarray) or isinstance(other, np.ndarray)
    return np.array_equal(one, other) if several else one == other
