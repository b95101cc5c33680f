"""What a catalogue lists of small deep-groove ball bearings, for tests of ratings.

NSK, Rolling Bearings, lists of single-row deep-groove bearings: size in mm and both ratings in N, with the
balls they hold (common knowledge, from memory): number, diameter and pitch diameter in mm.
"""

CATALOGUE = [
    ((6, 19, 6), 2340, 885, (6, 3.5, 12.5)),
    ((8, 22, 7), 3300, 1370, (7, 3.969, 15)),
    ((10, 26, 8), 4550, 1970, (7, 4.762, 18)),
    ((10, 30, 9), 5100, 2390, (8, 4.762, 20)),
    ((12, 28, 8), 5100, 2370, (8, 4.762, 20)),
    ((12, 32, 10), 6800, 3050, (7, 5.953, 22)),
    ((15, 35, 11), 7650, 3750, (8, 5.953, 25)),
    ((20, 47, 14), 12800, 6600, (8, 7.938, 33.5)),
    ((25, 52, 15), 14000, 7850, (9, 7.938, 39.0)),
]
