"""Laws of a case on its feet: free masses, single springs, statics, and roots that must meet what they were asked."""

from dataclasses import replace

import numpy as np
import pytest
from limits.evaluated import SPEED, close, one_yoke, run, size
from random_designs import random_machine

from balance.case.bands import bands
from balance.case.body import case, standing_loads
from balance.case.causes import alone
from balance.case.isolation import worst_velocity
from balance.case.loads import CaseLoads, case_loads
from balance.case.running import lift_off
from balance.case.vibration import nearest_meeting, over_the_cycle, resonant_speeds, speeds_to_try, vibration
from balance.cycle.harmonics import orders
from balance.errors import BadDesign
from balance.flywheel import torque_over_cycle
from balance.machine.machine import Flywheel, Gravity
from balance.machine.mount import Feet, Mount
from balance.machine.yoke import Part, Rod, Slot
from balance.torque import mean

FOUR = tuple((x, -0.03, z) for x in (-0.05, 0.05) for z in (-0.07, 0.04))
EVEN = tuple((x, 0.0, z) for x in (-0.05, 0.05) for z in (-0.06, 0.06))
BOX = Mount(
    mass=2.8, size=(0.12, 0.2, 0.15), cg=(0.004, 0.02, -0.01), feet=Feet(stiffness=4e4, across=2e4, places=FOUR)
)
BENT = np.array([0.3, 0.2])  # of two options, the second has its third foot in line with the others
ROD = Rod(length=0.05, mass=0.01, cg=0.02, inertia=2e-6)


def loads_of(found) -> CaseLoads:
    return case_loads(found.moved, found.machine, found.forces, found.torques, found.shaking)


@pytest.mark.parametrize("hung", [{"slot": Slot()}, {"rod": ROD}])
def test_free_case_moves_by_moment_over_mass_whatever_the_speed(hung: dict) -> None:
    """No outside force, so the common mass centre stays: mass x shift of the case = - sum of m y within it."""
    found = run(one_yoke(hung))
    body = case(Mount(mass=1.7))
    moments = 0.2 * found.moved.yokes["only"].height
    if "rod" in hung:
        ride = found.moved.yokes["only"]
        share = ROD.cg / ROD.length
        moments = moments + 2 * ROD.mass * (share * ride.height + (1 - share) * ride.pin.along)
    expected = -orders(moments)[1:] / 1.7
    response = vibration(body, loads_of(found), np.array([1.0, 40.0, 900.0]))
    for row in response.shift((0.0, 0.3, 0.1))["y"]:
        close(row, expected, size(expected), 1e-9)
    assert np.abs(expected[0]) > 1e-4
    assert response.foot_forces() == []
    assert np.all(response.bench_force()["y"] == 0)


def test_single_spring_swings_as_the_formula_says() -> None:
    """M y'' + c y' + k y = m r w^2 cos(w t), c = 2 zeta sqrt(k M): amplitude m r w^2/|k - M w^2 + i c w|."""
    found = run(one_yoke({"slot": Slot()}))
    mass, stiffness, damping, moment = 2.0, 3e4, 0.07, 0.2 * 0.01
    body = case(Mount(mass=mass, feet=Feet(stiffness=stiffness, damping_ratio=damping)))
    speed = np.array([30.0, 100.0, np.sqrt(stiffness / mass), 300.0])
    impedance = stiffness - mass * speed**2 + 2j * damping * np.sqrt(stiffness * mass) * speed
    response = vibration(body, loads_of(found), speed)
    np.testing.assert_allclose(response.shift((0, 0, 0))["y"][:, 0], moment * speed**2 / impedance, rtol=1e-9)
    np.testing.assert_allclose(
        response.severity((0, 0, 0)), speed**3 * moment / np.abs(impedance) / np.sqrt(2), rtol=1e-9
    )
    np.testing.assert_allclose(body.damping, damping, rtol=1e-12)


def test_natural_frequencies_of_a_case_held_at_the_height_of_its_mass_centre() -> None:
    """Feet at (+-a, 0, +-b) from it: every freedom has its own spring, k sums of squares of arms over the inertia."""
    a, b, (kx, ky, kz), (ix, iy, iz), mass = 0.06, 0.09, (2e4, 5e4, 3e4), (4e-3, 5e-3, 6e-3), 2.2
    feet = Feet(stiffness=ky, across=kx, along_shafts=kz, places=tuple((x, 0.01, z) for x in (-a, a) for z in (-b, b)))
    body = case(Mount(mass=mass, cg=(0.0, 0.01, 0.0), inertia=(ix, iy, iz), feet=feet))
    expected = [kx / mass, ky / mass, kz / mass, ky * b**2 / ix, (kx * b**2 + kz * a**2) / iy, ky * a**2 / iz]
    np.testing.assert_allclose(body.frequency, np.sqrt(np.sort(expected)), rtol=1e-10)
    shares = body.shares()
    wanted = dict(zip(shares, np.sqrt(expected), strict=True))
    for name, share in shares.items():
        assert share[np.argmin(np.abs(body.frequency - wanted[name]))] == pytest.approx(1.0)
    np.testing.assert_allclose(resonant_speeds(body)[2], body.frequency / 3)


def test_box_has_the_inertia_of_a_box() -> None:
    """M (b^2 + c^2)/12 about each axis; own integration over a grid."""
    x, y, z = np.meshgrid(*((np.arange(60) - 29.5) / 60 * side for side in BOX.size), indexing="ij")
    expected = [BOX.mass * np.mean(u**2 + v**2) for u, v in ((y, z), (z, x), (x, y))]
    np.testing.assert_allclose(BOX.inertias, expected, rtol=1e-3)


def test_standing_loads_carry_the_weight_where_it_is() -> None:
    loads = standing_loads(BOX, (0.0, -9.81 * BOX.mass), couple=0.3)
    assert sum(loads) == pytest.approx(9.81 * BOX.mass)
    assert sum(f * (x - BOX.cg[0]) for f, (x, _, _) in zip(loads, FOUR, strict=True)) == pytest.approx(-0.3)
    assert sum(f * (z - BOX.cg[2]) for f, (_, _, z) in zip(loads, FOUR, strict=True)) == pytest.approx(0.0, abs=1e-9)


def test_force_on_the_bench_is_what_the_case_does_not_take() -> None:
    """Newton: shaking less force on the bench = mass x acceleration of the mass centre; likewise moments about z."""
    found = run(random_machine(11, "B"))
    body, loads = case(BOX), loads_of(found)
    response = vibration(body, loads, np.array([35.0, 120.0]))
    shift, sent = response.shift(BOX.cg), response.bench_force()
    for axis in "xy":
        expected = response.force[axis] + BOX.mass * response.frequency**2 * shift[axis]
        close(sent[axis], expected, size(sent[axis]), 1e-9)


@pytest.mark.parametrize("seed", range(8))
def test_roll_on_the_case_is_shaking_and_torque_reaction(seed: int) -> None:
    """Bearings and guides turn the case as the moving parts' spin and the torque that leaves each shaft do."""
    found = run(random_machine(seed))
    machine, total = found.machine, found.torques.total
    share = {"right": 1.0, "left": -1.0, "both": 0.0}
    wheel = machine.cranks.load_on if machine.flywheel is None else machine.flywheel.on
    steady = mean(total)
    reaction = steady * share[machine.cranks.load_on] + (total - steady) * share[wheel]
    roll, angles = loads_of(found).roll, found.moved.theta.size
    full = {part: np.broadcast_to(getattr(reaction, part), angles) for part in ("gas", "inertia")}
    scale = size(*(getattr(total, part) for part in ("gas", "inertia")), 1e-6)
    close(roll.gas, full["gas"], scale)
    close(roll.inertia, full["inertia"] + found.shaking.roll, max(scale, size(found.shaking.roll)))
    assert torque_over_cycle(total, 50.0, angles).shape == (angles,)


def test_lifting_foot_of_a_lumped_mount() -> None:
    """One lumped foot lifts when the force on the bench reaches the weight."""
    found = run(one_yoke({"slot": Slot()}))
    mount = Mount(mass=1.0, feet=Feet(stiffness=1e7, damping_ratio=0.0))
    speed = np.sqrt(9.81 / (0.2 * 0.01))  # m r w^2 = M g on nearly rigid feet
    share = vibration(case(mount), loads_of(found), np.array([speed, 2 * speed])).uplift(Gravity(y=-9.81))
    np.testing.assert_allclose(share, [1.0, 4.0], rtol=3e-3)
    for weight in (9.81, 0.0):  # pulled up, or not held down at all
        assert np.isinf(vibration(case(mount), loads_of(found), np.array([speed])).uplift(Gravity(y=weight)))


@pytest.mark.parametrize(
    "mount", [replace(BOX, feet=None), replace(BOX, size=None), BOX], ids=["free", "shifts only", "six"]
)
def test_worst_speed_is_not_missed(mount: Mount) -> None:
    """A scan of 4000 speeds finds nothing worse than the speeds that are tried, and nothing much better is claimed."""
    loads = loads_of(run(random_machine(3, "B")))
    body = case(mount)
    scan = np.linspace(SPEED.slowest, SPEED.most, 4000)
    found = np.max(vibration(body, loads, scan).severity(mount.cg))
    tried = np.max(vibration(body, loads, speeds_to_try(body, SPEED)).severity(mount.cg))
    assert tried == pytest.approx(found, rel=2e-3)


def test_options_at_once_are_the_options_one_by_one() -> None:
    loads = loads_of(run(random_machine(5, "B")))
    masses, stiffness, off = np.array([1.0, 2.0, 5.0]), np.array([1e4, 5e4, 2e5]), np.array([0.004, 0.0, -0.01])
    level = replace(BOX, feet=replace(BOX.feet, places=EVEN), cg=(0.0, 0.0, 0.0))  # in the middle nothing couples
    together = replace(level, mass=masses, cg=(off, 0 * off, off), feet=replace(level.feet, stiffness=stiffness))
    all_at_once = worst_velocity(together, loads, SPEED)
    for place, (mass, k) in enumerate(zip(masses, stiffness, strict=True)):
        feet, cg = replace(level.feet, stiffness=k), (off[place], 0.0, off[place])
        alone = worst_velocity(replace(level, mass=mass, cg=cg, feet=feet), loads, SPEED)
        assert all_at_once[place] == pytest.approx(alone, rel=1e-9)


@pytest.mark.parametrize("mount", [BOX, replace(BOX, size=None)], ids=["six", "shifts only"])
def test_options_of_the_machine_itself_are_the_options_one_by_one(mount: Mount) -> None:
    """Other yokes on the same case: each option shakes it as it does alone."""
    yoke = one_yoke({"rod": ROD}).yokes["only"]

    def shaken(mass) -> np.ndarray:
        built = replace(one_yoke({"rod": ROD}), yokes={"only": replace(yoke, parts={"all": Part(mass=mass)})})
        return worst_velocity(mount, loads_of(run(built)), SPEED)

    masses = np.array([0.05, 0.2, 0.11])
    np.testing.assert_allclose(shaken(masses), [float(shaken(float(mass))) for mass in masses], rtol=1e-9)


def test_the_worst_place_is_the_one_that_moves_most() -> None:
    """Of two watched places, in either order, the one that alone is worse decides."""
    loads = loads_of(run(random_machine(5, "B")))
    places = {"low": (0.0, 0.0, 0.0), "high": (0.0, 0.4, 0.3)}
    alone = {name: float(worst_velocity(replace(BOX, points={name: at}), loads, SPEED)) for name, at in places.items()}
    assert alone["high"] > 1.1 * alone["low"]
    for names in (("low", "high"), ("high", "low")):
        both = worst_velocity(replace(BOX, points={name: places[name] for name in names}), loads, SPEED)
        assert float(both) == pytest.approx(alone["high"], rel=1e-12)


def test_orders_meet_resonances() -> None:
    body = case(Mount(mass=1.0, feet=Feet(stiffness=300.0**2)))
    assert nearest_meeting(body, 100.5) == (3, pytest.approx(300.0))
    assert nearest_meeting(body, 500.0) is None
    wave = over_the_cycle(np.array([0, 2j, 0, 0, 0, 0, 0, 0.5]))
    theta = np.arange(wave.size) * 2 * np.pi / wave.size
    close(wave, -2 * np.sin(2 * theta) + 0.5 * np.cos(8 * theta), 1.0)


@pytest.mark.parametrize(
    ("wrong", "where"),
    [
        (lambda: Mount(mass=1.0, size=(0.1, 0.1, 0.1), inertia=(1e-3, 1e-3, 1e-3)), ()),
        (lambda: Mount(mass=1.0, inertia=(1e-3, 1e-3, 3e-3)), ("inertia",)),
        (lambda: Mount(mass=0.0), ("mass",)),
        (lambda: Feet(stiffness=1e4, places=FOUR[:2]), ("places",)),
        (lambda: Feet(stiffness=1e4, places=tuple((x, 2 * x, 3 * x) for x in (0.0, 0.1, 0.3))), ("places",)),
        (lambda: Feet(stiffness=1e4, places=tuple((x, 2 * x, 3 * x) for x in (0.0, -0.1, -0.3))), ("places",)),
        (lambda: Feet(stiffness=1e4, places=((0.1, 0.0, 0.2),) * 3), ("places",)),
        (lambda: Feet(stiffness=1e4, places=tuple((0.1 + x, 0.05, 2 * x) for x in (0.0, 0.1, 0.3))), ("places",)),
        (lambda: Feet(stiffness=1e4, places=((0.0, 0.0, 0.0), (0.1, 0.0, 0.0), (BENT, 0.0, BENT - 0.2))), ("places",)),
    ],
)
def test_mounts_that_cannot_be_are_refused(wrong, where: tuple) -> None:
    with pytest.raises(BadDesign) as caught:
        wrong()
    assert caught.value.complaints[0].where == where


@pytest.mark.parametrize("flip", [1, -1])
@pytest.mark.parametrize("flat", range(3))
def test_feet_in_any_plane_hold_a_case(flat: int, flip: int) -> None:
    """Three feet that all stand at one x, one y or one z, gone round either way, span a triangle."""
    corners = [(0.1, 0.0), (0.0, 0.1), (-0.1, -0.05)][::flip]
    places = tuple(tuple(np.insert(corner, flat, 0.03)) for corner in corners)
    assert len(Feet(stiffness=1e4, places=places).places) == 3


def test_a_flat_body_is_one_that_can_be() -> None:
    """A sheet's moment of inertia through its plane is the sum of the two within it (perpendicular axes)."""
    assert Mount(mass=1.0, inertia=(1e-3, 3e-3, 2e-3)).turns


def test_the_foot_that_lifts_first_decides() -> None:
    """Each foot's upward push over the cycle, order by order, over what it bears standing: the largest share."""
    loads = loads_of(run(random_machine(11, "B")))
    speed, turn = np.array([60.0, 140.0]), np.linspace(0, 2 * np.pi, 7201)[:, None]
    response = vibration(case(BOX), loads, speed)
    standing = standing_loads(BOX, (0.0, -9.81 * BOX.mass), 0.2)
    shares = []
    for foot, load in zip(response.foot_forces(), standing, strict=True):
        force = [np.sum((row * np.exp(1j * np.arange(1, 9) * turn)).real, axis=-1).max() for row in foot["y"]]
        shares.append(np.array(force) / load)
    assert np.max(shares) > 1.2 * np.min(shares)
    np.testing.assert_allclose(response.uplift(Gravity(y=-9.81), 0.2), np.max(shares, axis=0), rtol=2e-3)


def test_every_meeting_of_an_order_and_a_resonance_is_tried() -> None:
    """Lightly damped, so that the worst speed is the resonance itself, at a whole share of each natural frequency."""
    body = case(replace(BOX, feet=replace(BOX.feet, damping_ratio=1e-3)))
    tried, met = speeds_to_try(body, SPEED), 0
    for frequency in body.frequency:
        for order in range(1, 9):
            if SPEED.least < frequency / order < SPEED.most:
                met += 1
                assert np.min(np.abs(tried - frequency / order)) < 1e-4 * frequency
    assert met > 12


def test_vibration_at_rest_is_refused() -> None:
    loads = loads_of(run(one_yoke({"slot": Slot()})))
    with pytest.raises(ValueError, match="more than zero"):
        vibration(case(BOX), loads, np.array([0.0, 10.0]))


@pytest.mark.parametrize("seed", range(30))
def test_any_mounted_machine_keeps_newtons_law(seed: int) -> None:
    """Along x and y: shaking less the force on the bench = mass x acceleration of the mass centre, at every speed."""
    found = run(random_machine(seed))
    mount = found.machine.mount or BOX
    body = case(mount)
    response = vibration(body, loads_of(found), speeds_to_try(body, found.machine.speed))
    shift, sent = response.shift(mount.cg), response.bench_force()
    for axis in "xy":
        taken = -mount.mass * response.frequency**2 * shift[axis]
        scale = size(response.force["x"], response.force["y"], sent["x"], sent["y"], taken)
        close(response.force[axis] - sent[axis], taken, scale, 1e-8)
    assert np.all(response.severity(mount.cg) >= 0)


def test_loss_factor_is_the_same_at_every_frequency() -> None:
    """M y'' + k (1 + i eta) y = m r w^2: amplitude m r w^2/|k - M w^2 + i eta k|, eta/2 of critical at resonance."""
    found = run(one_yoke({"slot": Slot()}))
    mass, stiffness, eta, moment = 2.0, 3e4, 0.15, 0.2 * 0.01
    body = case(Mount(mass=mass, feet=Feet(stiffness=stiffness, loss_factor=eta)))
    speed = np.array([20.0, 60.0, np.sqrt(stiffness / mass), 300.0])
    expected = moment * speed**2 / (stiffness - mass * speed**2 + 1j * eta * stiffness)
    response = vibration(body, loads_of(found), speed)
    np.testing.assert_allclose(response.shift((0, 0, 0))["y"][:, 0], expected, rtol=1e-9)
    np.testing.assert_allclose(body.damping, eta / 2, rtol=1e-12)
    sent = response.bench_force()["y"][:, 0]
    np.testing.assert_allclose(sent, expected * stiffness * (1 + 1j * eta), rtol=1e-9)
    lost = eta * stiffness * speed * np.abs(expected) ** 2 / 2  # pi eta k y^2 a turn
    np.testing.assert_allclose(response.power(), lost, rtol=1e-9)


@pytest.mark.parametrize("seed", range(4))
def test_causes_add_up_to_the_whole(seed: int) -> None:
    loads = loads_of(run(random_machine(seed, "B")))
    steady, growing = loads.by_order(BOX)
    parts = [each.by_order(BOX) for each in alone(loads).values()]
    close(sum(part[0] for part in parts), steady, size(steady, 1e-6))
    close(sum(part[1] for part in parts), growing, size(growing))


def test_torque_ripple_is_what_one_shafts_wheel_takes_up() -> None:
    """The reaction of a wheel on the right shaft is the swing of the torque; wheels on both cancel each other's."""
    machine = random_machine(3, "B")
    for on, share in (("right", 1.0), ("left", -1.0), ("both", 0.0)):
        wheel = Flywheel(on=on, inertia=1e-3, at=0.05)
        found = run(replace(machine, flywheel=wheel, cranks=replace(machine.cranks, load_on="both")))
        ripple, total = alone(loads_of(found))["torque ripple"].roll, found.torques.total
        swing = (total - mean(total)) * share
        for part in ("gas", "inertia"):
            close(getattr(ripple, part) + 0 * found.moved.theta, getattr(swing, part) + 0 * found.moved.theta,
                  size(getattr(total, part), 1e-9))  # fmt: skip


def test_speed_of_lift_off() -> None:
    """On nearly rigid feet a foot lifts where m r w^2 = M g."""
    loads = loads_of(run(one_yoke({"slot": Slot()})))
    expected = np.sqrt(9.81 / (0.2 * 0.01))
    body = case(Mount(mass=1.0, feet=Feet(stiffness=1e8, damping_ratio=0.0)))
    wide = replace(SPEED, least=10.0, rated=100.0, most=4 * expected)
    assert lift_off(body, loads, wide, Gravity(y=-9.81)) == pytest.approx(expected, rel=1e-3)
    assert lift_off(body, loads, replace(wide, rated=20.0, most=0.9 * expected), Gravity(y=-9.81)) is None


def test_bands_to_avoid_reach_to_half_power() -> None:
    """One spring shaken in order 1: at the ends of its band the square of amplitude over w^2 is half that on top."""
    loads = loads_of(run(one_yoke({"slot": Slot()})))
    own, damping = 110.0, 0.02
    body = case(Mount(mass=2.0, feet=Feet(stiffness=2.0 * own**2, across=1.0, damping_ratio=damping)))
    wide = replace(SPEED, least=20.0, rated=100.0, most=300.0)
    (band,) = bands(body, loads, wide, 1e-3)
    assert band.order == 1
    assert band.least == pytest.approx(own * np.sqrt(1 - 2 * damping))
    assert band.most == pytest.approx(own * np.sqrt(1 + 2 * damping))
    speeds = np.array([band.least, own, band.most])
    size_over = np.abs(vibration(body, loads, speeds).shift((0, 0, 0))["y"][:, 0]) / speeds**2
    np.testing.assert_allclose((size_over[[0, 2]] / size_over[1]) ** 2, 0.5, rtol=0.03)
    assert bands(body, loads, wide, 1e3) == []
