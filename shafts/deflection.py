"""How far a shaft gives way at its throws and gear, and what its bearings carry: influence times loads.

The influence is solved once; every speed is then a product. The shaft's own weight and mass are left
out here (they are in the critical speeds). Webs and pins count as rigid: their bending has its own line
in the gap budget.
"""

from dataclasses import dataclass

import numpy as np

from balance.growth import Growth, Pull
from balance.quantities import Number, over_angle
from balance.shaft_loads import Mesh, ShaftLoads
from balance.turning import TurningMass
from shafts.beam import Influence, influence, lever_shares
from shafts.bearings.ratings import internals
from shafts.bearings.stiffness import contact_give
from shafts.shaft import Bearing, Shaft


@dataclass(frozen=True, eq=False)
class Response:
    """A deflection, slope or bearing load over the cycle in x and y, as far as speed goes by parts.

    pull : its linear part.   mesh, mesh_weight : the gear teeth and how strongly their separating
    force, which is no linear load, enters along x; (options...).
    """

    pull: Pull
    mesh: Mesh | None
    mesh_weight: Number

    def at(self, speed: Number) -> tuple[np.ndarray, np.ndarray]:
        """Return its x and y at a speed (see Growth.at)."""
        x, y = self.pull.x.at(speed), self.pull.y.at(speed)
        if self.mesh is not None:
            x = x + over_angle(self.mesh_weight) * self.mesh.separating(speed)
        return x, y

    def size(self, speed: Number) -> np.ndarray:
        """Return its size at a speed."""
        x, y = self.at(speed)
        return np.sqrt(x * x + y * y)  # a third of the time that hypot takes; nothing here is near overflow

    def __add__(self, other: "Response") -> "Response":
        return Response(self.pull + other.pull, self.mesh or other.mesh, self.mesh_weight + other.mesh_weight)


@dataclass(frozen=True, eq=False)
class ShaftState:
    """One shaft under its loads.

    pins : bending of the shaft at each yoke's throw plane, on rigid bearings, m.
    seats : what the bearings' give adds there, m.
    shares : load on each bearing per unit load at each yoke's throw plane, (options..., bearings).
    bearings : load on each bearing, N.
    slopes : slope at each bearing, rad, bearings' give included.
    gear, gear_slope : deflection, m, and slope, rad, at the gear; None without gears.
    gives : radial give of each bearing in its seat, m/N, (options...).
    """

    pins: dict[str, Response]
    seats: dict[str, Response]
    shares: dict[str, np.ndarray]
    bearings: list[Response]
    slopes: list[Response]
    gear: Response | None
    gear_slope: Response | None
    gives: list[Number]


def bearing_give(bearing: Bearing, load: Number | None = None) -> Number:
    """Return the radial give of a bearing in its seat, m/N, (options...): the two in series.

    load : its mean load, N. With it, a ball bearing whose balls are known and whose stiffness is not
    stated gives way as contact theory says; without it, or with balls unknown, it is rigid itself.
    """
    gives = [1 / stiffness for stiffness in (bearing.stiffness, bearing.seat_stiffness) if stiffness is not None]
    if load is not None and gives_by_contact(bearing):
        assert bearing.ball is not None
        gives.append(contact_give(internals(bearing.ball), load))
    return sum(gives, np.float64(0.0))


def gives_by_contact(bearing: Bearing) -> bool:
    """Return whether contact theory decides a bearing's give: no stiffness stated, and its balls known somewhere."""
    ball = bearing.ball
    return ball is not None and bearing.stiffness is None and bool(np.any(np.isfinite(internals(ball).diameter)))


def bearing_gives(shaft: Shaft, loads: ShaftLoads, theta: np.ndarray, speed: Number | None) -> list[Number]:
    """Return the give of every bearing, m/N, (options...), contact theory's at its mean load at a speed, rad/s.

    On two bearings the loads do not depend on their give. On more, those with the seats' give alone stand for them.
    """
    seats = [bearing_give(bearing) for bearing in shaft.bearings]
    if speed is None or not any(gives_by_contact(bearing) for bearing in shaft.bearings):
        return seats
    places = _force_places(loads)
    share = lever_shares(shaft, places) if len(seats) == 2 else influence(shaft, places, [], seats).share
    means = [np.mean(combine(loads, share[..., place, :], theta).size(speed), axis=-1) for place in range(len(seats))]
    return [bearing_give(bearing, mean) for bearing, mean in zip(shaft.bearings, means, strict=True)]


def shaft_state(shaft: Shaft, loads: ShaftLoads, theta: np.ndarray, speed: Number | None = None) -> ShaftState:
    """Return how one shaft bends and what its bearings carry.

    speed : at which ball bearings without a stated stiffness are worked out, rad/s; rigid if None.
    """
    gives = bearing_gives(shaft, loads, theta, speed)
    found = shaft_influence(shaft, loads, gives)
    names, count = list(loads.pins), _force_count(loads)
    both = found.bending + found.seating

    def respond(weights: np.ndarray) -> Response:
        return combine(loads, weights[..., :count], theta)

    slopes = [respond(both[..., count + place, :]) for place in range(len(shaft.bearings))]
    return ShaftState(
        pins={name: respond(found.bending[..., place, :]) for place, name in enumerate(names)},
        seats={name: respond(found.seating[..., place, :]) for place, name in enumerate(names)},
        shares={name: found.share[..., place] for place, name in enumerate(names)},
        bearings=[respond(found.share[..., place, :]) for place in range(len(shaft.bearings))],
        slopes=slopes,
        gear=None if loads.mesh is None else respond(both[..., count - 1, :]),
        gear_slope=None if loads.mesh is None else respond(both[..., -1, :]),
        gives=gives,
    )


def shaft_influence(shaft: Shaft, loads: ShaftLoads, gives: list[Number] | None = None) -> Influence:
    """Return the influence matrix; stations: pins, turning masses, mesh, then slopes at bearings and gear.

    gives : radial give of each bearing, m/N; that of stated stiffnesses alone if left out.
    """
    couples = [bearing.at for bearing in shaft.bearings]
    if loads.mesh is not None:
        couples.append(loads.mesh.at)
    if gives is None:
        gives = [bearing_give(bearing) for bearing in shaft.bearings]
    return influence(shaft, _force_places(loads), couples, gives)


def combine(loads: ShaftLoads, weights: np.ndarray, theta: np.ndarray) -> Response:
    """Return the sum of all loads on a shaft, each with its weight.

    weights : (options..., forces) in the order of the stations: pins, turning masses, mesh. Loads that weigh
    nothing, as those inward of a part that bends, cost nothing.
    """
    pins = list(loads.pins.values())
    weighing = [place for place in range(weights.shape[-1]) if np.any(weights[..., place])]
    pulls = [pull * over_angle(weights[..., place]) for place, (_, pull) in enumerate(pins) if place in weighing]
    turning = weights[..., len(pins) : len(pins) + len(loads.turning)]
    pulls += _turning(loads, turning, theta) if np.any(turning) else []
    mesh_weight: Number = 0.0
    if loads.mesh is not None:
        mesh_weight = weights[..., -1]
        if weights.shape[-1] - 1 in weighing:
            pulls.append(Pull(y=loads.mesh.tangential * over_angle(mesh_weight)))
    return Response(sum(pulls, Pull()), loads.mesh, mesh_weight)


def _turning(loads: ShaftLoads, weights: np.ndarray, theta: np.ndarray) -> list[Pull]:
    """Return centrifugal force and weight of all turning masses, added up before they are spread over angle."""
    if not loads.turning:
        return []
    each = [(mass, weights[..., place]) for place, mass in enumerate(loads.turning)]
    mass = sum(body.mass * weight for body, weight in each)
    whole = TurningMass(
        0.0, mass, sum(body.across * weight for body, weight in each), sum(body.along * weight for body, weight in each)
    )
    heavy = Pull(*(Growth(gravity=over_angle(mass * pull)) for pull in loads.gravity))
    return [whole.push(theta, loads.sign), heavy]


def _force_places(loads: ShaftLoads) -> list[Number]:
    """Return where forces act, in the order of the stations: pins, turning masses, mesh."""
    places = [at for at, _ in loads.pins.values()] + [mass.at for mass in loads.turning]
    return places if loads.mesh is None else [*places, loads.mesh.at]


def _force_count(loads: ShaftLoads) -> int:
    return len(loads.pins) + len(loads.turning) + (loads.mesh is not None)
