"""Where the mass centre of a web is taken to lie, against plates that are drawn and weighed by shapely."""

from pathlib import Path

import numpy as np
import pytest
import shapely

from balance.bodies.usual import web_centre
from balance.machine.crank import Throw, Web
from designs.reading import read_text

STEEL = 7850.0
SHAFT = (0.0, 0.05)
THROWS = {"inner": Throw(radius=0.009, at=-0.03), "outer": Throw(radius=0.012, phase=np.pi / 2, at=-0.05)}
ENDS = {"first": ((0.0, 0.0), (0.0, 0.009)), "second": ((0.0, 0.009), (0.012, 0.0))}
AT = {"first": -0.02, "second": -0.04}


def holds(web: Web, plate: shapely.Geometry) -> bool:
    found = web_centre(web, THROWS, SHAFT, STEEL)
    low, centre, high = (np.array(each) for each in (found.low, plate.centroid.coords[0], found.high))
    return bool(np.all((low <= centre) & (centre <= high)))


def web(plate: shapely.Geometry, which: str, **size) -> Web:
    return Web(at=AT[which], mass=STEEL * 0.006 * plate.area, **size)


@pytest.mark.parametrize("which", ENDS)
def test_plates_that_people_cut_lie_within_what_is_taken(which: str) -> None:
    one, other = ENDS[which]
    random = np.random.default_rng(5)
    for _ in range(60):
        wide = random.uniform(0.008, 0.014)
        arm = shapely.LineString([one, other]).buffer(wide / 2)
        assert holds(web(arm, which, width=wide, thickness=0.006), arm)
        eyes = [shapely.Point(end).buffer(wide / 2 * random.uniform(1.0, 1.25)) for end in (one, other)]
        eyed = shapely.union_all([arm, *eyes])
        assert holds(web(eyed, which, width=wide, thickness=0.006), eyed)
        disc = shapely.Point(0, 0).buffer(0.012 + random.uniform(0.004, 0.008))
        drilled = disc.difference(shapely.Point(other).buffer(0.002))
        for plate in (disc, drilled, shapely.union(arm, shapely.Point(0, 0).buffer(0.014))):
            assert holds(web(plate, which), plate)  # no size given
            assert holds(web(plate, which, width=wide, thickness=0.006), plate)  # too heavy for an arm


def test_an_arm_of_known_size_is_told_more_closely_than_a_mere_mass() -> None:
    arm = shapely.LineString(ENDS["first"]).buffer(0.006)
    known, bare = (web_centre(web(arm, "first", **size), THROWS, SHAFT, STEEL)
                   for size in ({"width": 0.012, "thickness": 0.006}, {}))  # fmt: skip
    assert known.usual == pytest.approx((0.0, 0.0045)) and known.high[1] - known.low[1] < 0.0045
    assert bare.low[1] < 0 < known.low[1] and "disc" in bare.why and "arm" in known.why


def test_a_collar_stays_round_its_shaft_and_a_web_of_no_centre_is_doubted_in_a_file() -> None:
    assert web_centre(Web(at=0.02, mass=0.01), {}, SHAFT, STEEL) is None
    text = (Path(__file__).parents[2] / "designs" / "as-built.yaml").read_text("utf-8")
    made = read_text(text.replace("cg: [0 mm, 5.5 mm], ", ""), "fan.yaml")
    range_ = made.doubts[("cranks", "webs", "0", "cg", "1")]
    assert range_.low < 0.0055 < range_.high and made.cranks.webs[0].cg[1] == range_.middle
    assert range_.high == pytest.approx(0.65 * 0.009 + 0.03 * (0.009 + 0.012))
    assert made.doubts[("cranks", "webs", "0", "cg", "0")].high < 0.001
