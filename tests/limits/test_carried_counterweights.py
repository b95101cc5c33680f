"""What carries a counterweight, and plates that sit on a crankpin, against shapely and by hand."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from balance.machine.counterweights import BoltCircle, Counterweights, SectorShape, SegmentShape
from balance.machine.crank import Cranks, Pin, Throw, Web
from balance.plates.pinned import PinArm
from balance.weights.balancing import weights_of
from balance.weights.carrier import carrier_of, could_be, pin_arm
from balance.weights.on_pin import plate_on_pin

ENDS = (-0.017, 0.040)
CRANKS = Cranks(
    centre_distance=0.05,
    throws={
        "inner": Throw(radius=0.009, at=-0.027, pin=Pin(diameter=0.004, length=0.013)),
        "outer": Throw(radius=0.012, phase=1.5, at=-0.046, pin=Pin(diameter=0.005, length=0.012)),
    },
    webs=(Web(at=-0.017, mass=0.02, thickness=0.006), Web(at=-0.0365, mass=0.02, thickness=0.006)),
)
STOCK = Counterweights(thickness=0.008, smallest_radius=0.006, largest_radius=0.023, at=0.0)


def carried(at: float, **entries):
    return carrier_of(replace(STOCK, at=at, **entries), 0, CRANKS, ENDS)


@pytest.mark.parametrize(
    ("at", "name"),
    [
        (-0.009, "shaft"),  # from -13 mm: clear of web 1, which ends at -14 mm
        (0.030, "shaft"),
        (-0.017, "web 1"),  # within it: of one piece
        (-0.024, "web 1"),  # -28 to -20 mm: touches the web's outer face
        (-0.0243, ""),  # 0.3 mm short of it
        (-0.0295, "web 2"),  # -33.5 to -25.5 mm: face to face with web 2, which begins at -39.5 mm and ends at -33.5 mm
        (-0.054, "pin outer"),  # -58 to -50 mm over a pin that ends at -52 mm
        (-0.0559, "pin outer"),
        (-0.0561, ""),  # beyond its end
        (0.044, ""),  # beyond the shaft's far end
    ],
)
def test_what_carries_a_plate_follows_from_its_place(at, name):
    found = carried(at)
    assert found.name == name
    assert bool(found.carried) == bool(name)


def test_what_is_said_to_carry_it_must_reach_it():
    assert carried(-0.009, on="shaft").name == "shaft"
    assert carried(-0.017, on="shaft").name == "shaft"  # though it stands in web 1: then both fill one place
    assert not carried(-0.009, on="web 1").carried
    assert not carried(-0.009, on="pin").carried
    assert carried(-0.054, on="pin").name == "pin outer"


def test_no_shaft_runs_along_a_crankpin_held_on_both_sides():
    """A crank in the middle of a long shaft: at the throw there is a pin, and no shaft."""
    through = (-0.08, 0.04)
    found = carrier_of(replace(STOCK, at=-0.046), 0, replace(CRANKS, webs=()), through)
    assert not found.carried


def test_a_web_or_pin_of_unknown_size_might_carry_it():
    bare = replace(CRANKS, webs=(Web(at=-0.017, mass=0.02),), throws={"inner": Throw(radius=0.009, at=-0.027)})
    found = carrier_of(replace(STOCK, at=-0.024), 0, bare, ENDS)
    assert found.unknown == ("cranks.webs.0.thickness",)
    assert carrier_of(replace(STOCK, at=-0.040), 0, bare, ENDS).unknown == ("cranks.throws.inner.pin",)
    assert carrier_of(replace(STOCK, at=-0.060), 0, bare, ENDS).unknown == ()  # beyond what any could reach


def test_places_that_are_proposed_carry():
    for name, (low, high) in could_be(STOCK, CRANKS, ENDS).items():
        for at in (low + 1e-5, (low + high) / 2, high - 1e-5):
            assert carried(at).carried, name


def test_options_are_carried_as_each_alone():
    at = np.array([-0.009, -0.017, -0.0243, -0.054])
    together = carried(at)
    for place, each in enumerate(at):
        alone = carried(float(each))
        assert bool(together.carried[place]) == bool(alone.carried)
        chosen = [name for name, there in together.chosen.items() if np.broadcast_to(there, at.shape)[place]]
        assert chosen == ([alone.name] if alone.name else [])


def polar_moment(ring: shapely.LinearRing) -> float:
    """Integral of the distance squared over what a ring encloses, by Green's theorem over its edges."""
    x, y = np.array(ring.coords)[:-1].T
    nx, ny = np.roll(x, -1), np.roll(y, -1)
    cross = x * ny - nx * y
    return abs(np.sum(cross * (x**2 + x * nx + nx**2 + y**2 + y * ny + ny**2))) / 12


@pytest.mark.parametrize("seed", range(24))
def test_a_plate_on_a_pin_balances_with_its_arm_eye_and_hole(seed):
    """Whatever the plate, pin and direction: shapely's mass, mass centre and polar moment of what is drawn."""
    pick = np.random.default_rng(seed)
    bolts = BoltCircle(number=1, diameter=0.003, radius=0.016) if seed % 3 == 0 else None
    shape = SectorShape(bolts=bolts) if seed % 2 else SegmentShape()
    inner, outer, solved = (
        pick.uniform(0.003, 0.009),
        pick.uniform(0.021, 0.03),
        "thickness" if seed % 5 == 0 else "extent",
    )
    stock = replace(STOCK, shape=shape, smallest_radius=inner, largest_radius=outer, solve_for=solved)
    arm = PinArm(pick.uniform(0.008, 0.014), pick.uniform(-3, 3), pick.uniform(0.003, 0.006))
    wanted = pick.uniform(1e-4, 3e-4) * np.exp(1j * pick.uniform(-3, 3))
    found = plate_on_pin(stock, np.array(wanted), arm)
    assert abs(found.moment - wanted) < 1e-9 * abs(wanted)
    plate, face = found.plate, found.plate.edge.outline
    assert face.geom_type == "Polygon"  # in one piece
    for x, y, diameter in plate.holes:
        face = face.difference(shapely.Point(x, y).buffer(diameter / 2, quad_segs=300))
    sheet = float(plate.density * plate.thickness)
    assert float(plate.mass) == pytest.approx(face.area * sheet, rel=1e-4)
    assert float(plate.moment) == pytest.approx(face.area * face.centroid.y * sheet, rel=1e-3)
    assert face.centroid.x == pytest.approx(0.0, abs=1e-4 * abs(face.centroid.y))
    assert float(plate.moment) == pytest.approx(abs(wanted), rel=1e-9)
    x, y, diameter = plate.holes[-1]
    assert (np.hypot(x, y), diameter) == pytest.approx((arm.radius, arm.pin))
    place = np.angle(wanted) + np.arctan2(x, y) - arm.angle
    assert np.exp(1j * place) == pytest.approx(1.0)
    polar = polar_moment(face.exterior) - sum(map(polar_moment, face.interiors))
    assert float(plate.inertia) == pytest.approx(polar * sheet, rel=1e-3)


def test_a_plate_that_cannot_make_up_for_its_arm_falls_short():
    arm = PinArm(0.012, 0.3, 0.005)
    stock = replace(STOCK, thickness=0.002)
    (weight,) = weights_of(stock, [np.array(4e-4 * np.exp(2.0j))], {}, (arm,)).planes
    assert float(weight.short) > 1e-5
    assert float(weight.short) >= abs(float(weight.wanted) - float(weight.shape.moment)) - 1e-15


def test_options_on_the_pin_and_off_it_are_made_as_each_alone():
    at = np.array([-0.009, -0.054])
    stock = replace(
        STOCK, at=at, shape=SectorShape(bolts=BoltCircle(number=2, diameter=0.003, radius=0.016, pitch=0.5))
    )
    arm = pin_arm(stock, 0, CRANKS, ENDS)
    moment = np.array([2e-4 * np.exp(1.0j)] * 2)
    (together,) = weights_of(stock, [moment], {}, (arm,)).planes
    for place, each in enumerate(at):
        alone_stock = replace(stock, at=float(each))
        (alone,) = weights_of(alone_stock, [moment[place]], {}, (pin_arm(alone_stock, 0, CRANKS, ENDS),)).planes
        for what in ("mass", "moment", "inertia", "hole_edge_distance"):
            assert getattr(together.shape, what)[place] == pytest.approx(float(getattr(alone.shape, what)), rel=1e-9)
        assert together.angle[place] == pytest.approx(float(alone.angle))
        assert together.shape.edge.reach[place] == pytest.approx(float(alone.shape.edge.reach))
    assert pin_arm(replace(stock, at=-0.009), 0, CRANKS, ENDS) is None
