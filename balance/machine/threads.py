"""Coarse metric threads: their sizes, the strength of screws, and how tight a screw may be."""

from typing import Literal

import numpy as np

from balance.errors import refuse_unknown

Thread = Literal["M2", "M2.5", "M3", "M4", "M5", "M6", "M8", "M10", "M12"]

THREADS = {
    "M2": (2.0, 0.4),
    "M2.5": (2.5, 0.45),
    "M3": (3.0, 0.5),
    "M4": (4.0, 0.7),
    "M5": (5.0, 0.8),
    "M6": (6.0, 1.0),
    "M8": (8.0, 1.25),
    "M10": (10.0, 1.5),
    "M12": (12.0, 1.75),
}
"""Nominal diameter and coarse pitch, mm, ISO 261."""

STRENGTHS = {
    "4.6": (225.0, 240.0),
    "4.8": (310.0, 340.0),
    "5.6": (280.0, 300.0),
    "5.8": (380.0, 420.0),
    "6.8": (440.0, 480.0),
    "8.8": (580.0, 640.0),
    "9.8": (650.0, 720.0),
    "10.9": (830.0, 940.0),
    "12.9": (970.0, 1100.0),
}
"""Proof stress and least yield stress, MPa, ISO 898-1 table 3, sizes up to M16; from memory."""

TORQUE_FACTOR, TIGHTENED = 0.2, 0.75  # of dry steel; of the proof load; common practice, no source


def stress_area(size: str) -> float:
    """Return the stress area of a coarse thread, m^2: pi/4 (d - 0.9382 P)^2 (ISO 898-1, 9.1.6.1).

    Raises ValueError for a size that is not in THREADS.
    """
    refuse_unknown("thread", size, THREADS)
    diameter, pitch = THREADS[size]
    return float(np.pi / 4 * ((diameter - 0.9382 * pitch) * 1e-3) ** 2)


def most_tightening(size: str) -> float:
    """Return the torque that the strongest screw of a size bears as it is tightened, N m: 0.2 d times its load."""
    return TORQUE_FACTOR * THREADS[size][0] * 1e-3 * TIGHTENED * STRENGTHS["12.9"][0] * 1e6 * stress_area(size)
