"""Shafts on three bearings: Popov, Mechanics of Solids, ex. 13.2 and 13.3.

Two equal spans under an even load, as shares of w L and w L^2; spans and sections of the frame are own.
"""

import numpy as np
from engines.space_frame import Metal, round_section, solve
from published.frames import ALL, chain, slender

THREE = {"ends": 0.375, "middle": 1.25}  # p. 693
CLAMPED = {"clamp_moment": 1 / 14, "middle": 8 / 7}  # p. 694: one end built in
SPAN, LOAD = 0.05, 300.0  # m, N/m


def held_by(ends, parts=4):
    """Return what points 0, middle and last are held with, (holds,), under the even load along y.

    Each bar passes on w l/2 and w l^2/12 at both of its ends, as if clamped there: exact for bars without shear.
    """
    metal = Metal(206e9, 79.4e9)
    count = 2 * parts + 1
    points = np.zeros((count, 3))
    points[:, 2] = np.linspace(0, 2 * SPAN, count)
    frame = chain(
        points, slender(round_section(5e-3, metal)), metal, {0: ends, parts: (1,), count - 1: (0, 1)}, (0, 1, 0)
    )
    piece = SPAN / parts
    loads = np.zeros((1, count, 6))
    loads[0, :-1, 1] += LOAD * piece / 2
    loads[0, 1:, 1] += LOAD * piece / 2
    # A force along y a way along z off turns against axis x.
    loads[0, :-1, 3] -= LOAD * piece**2 / 12
    loads[0, 1:, 3] += LOAD * piece**2 / 12
    return solve(frame, loads).held[0]


def test_example_13_2_three_bearings():
    held = held_by((0, 1, 2, 5))
    found = -np.array([held[1], held[4], held[6]]) / (LOAD * SPAN)
    np.testing.assert_allclose(found, [THREE["ends"], THREE["middle"], THREE["ends"]], rtol=1e-11)


def test_example_13_3_one_end_built_in():
    held = held_by(ALL)
    np.testing.assert_allclose(-held[6] / (LOAD * SPAN), CLAMPED["middle"], rtol=1e-11)
    np.testing.assert_allclose(held[3] / (LOAD * SPAN**2), CLAMPED["clamp_moment"], rtol=1e-11)
