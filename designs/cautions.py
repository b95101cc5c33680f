"""What is said where work can hurt someone: the same sentence for the same caution on every screen and page."""

LOOSE = (
    "A turning part that comes loose is a projectile: guard it, lock its fasteners, wear eye protection, and stay out "
    "of the plane in which it turns."
)
OVERSPEED = "Try new turning parts at overspeed first, driven from outside, behind a shield, with nobody near."
CODES = "This does not replace local codes or a licensed engineer's judgement where people can be hurt."
COLD = "Measure on a cold machine that stands still, unless a card says otherwise."

CAUTION = f"{LOOSE} {CODES}"
"""Below every verdict."""
AT_THE_BENCH = f"{COLD} {CODES}"
"""With everything that is to be read at the machine."""
CAUTIONS = (
    LOOSE,
    OVERSPEED,
    "Lock every fastener with thread lock, tab washer or wire, and look at it again after the first run: vibration "
    "loosens screws.",
    "Hot ends and burners burn and set fire to things; let the engine cool before you touch it.",
    "A pressurised case can burst. Fit a relief valve, test the case with water and not with air, and keep to the "
    "local rules for pressure vessels.",
    "All is computed from what the design file says, without friction and under the assumptions stated.",
    CODES,
)
"""All of them, for a page."""
