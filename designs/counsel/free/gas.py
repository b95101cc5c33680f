"""What presses on the piston: a hole as thin as a hair, through which gas finds the mean pressure of the case.

Gas that is thinner than the air behind the piston pulls it in on every turn, which shakes speed and loads the crank.
Where it is denser, somebody pumped it: that is left as it is.
"""

from collections.abc import Iterator

from designs.changing.edit import Edit, Keys, text
from designs.counsel.dial import Dial, Level, fixed, path_of
from designs.design import Design
from designs.design.stock import Stock

MEAN: Keys = ("gas", "mean_pressure")
LOWER = 0.99  # of the pressure in the case: what is nearer is as good as that


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield the mean pressure of gas that is thinner than what is behind the piston (common practice, no source)."""
    del stock
    mean, case = (getattr(design.gas, name, None) for name in ("mean_pressure", "case_pressure"))
    if mean is None or case is None or not 0 < float(mean) < LOWER * float(case):
        return
    now, then = (text(float(each), "Pa") for each in (mean, case))
    levels = [Level(fixed(Edit(MEAN, float(case))), f"{then} as in the case, by a hole as fine as a hair")]
    yield Dial("mean pressure of the gas", "gas", (path_of(MEAN),), now, levels)
