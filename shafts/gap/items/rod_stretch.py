"""Rod stretch: rods shorten under thrust by N l / (E A), and let their side of the yoke down."""

from balance.cycle.load import Load
from balance.machine.yoke import Yoke
from balance.quantities import Number, over_angle
from balance.turning import HANDS
from shafts.gap.curve import GapCurve
from shafts.gap.facing import Facing
from shafts.gap.items.rod_pin_play import rod_thrust
from shafts.gap.shift import at_places, spread
from shafts.loaded_shafts import Case, LoadedShafts

NAME = "rod stretch"


def line(loaded: LoadedShafts, facing: Facing, case: Case) -> GapCurve:
    """Return what the rods' stretch adds to the gap; nothing of rods without section and material."""
    plain = Load()
    for name, sign in facing.yokes:
        yoke, moved = loaded.engine.yokes[name], loaded.motion.yokes[name]
        shorter = shortening(yoke)
        if moved.rod is None or shorter is None:
            continue
        for hand, side in HANDS.items():
            rise = rod_thrust(loaded, name, hand) * (-over_angle(shorter) / moved.rod.y)
            plain = plain + spread(rise, at_places(yoke, moved, facing.x, side) * sign)
    return GapCurve(plain)


def shortening(yoke: Yoke) -> Number | None:
    """Return how much shorter a yoke's rods get per unit of thrust, m/N, (options...); None if no section is given."""
    rod = yoke.rod
    if rod is None or rod.section is None or rod.material is None:
        return None
    return rod.length / (rod.material.young * rod.section)
