"""Lengths of plain shaft that twist as a crank throw does: Ker Wilson's and Carter's empirical formulas.

Both from memory, with no published example at hand; the throw is that of Timoshenko's closed form. They were fitted to
real crankshafts, so all that can be asked is that they lie between free and constrained bearings.
"""

import pytest
from published.crank_throws import THROW, constrained_form, free_form, rigidities

LENGTHS = {"ker_wilson": 0.168796, "carter": 0.156571}  # m, own numbers


def ker_wilson(throw):
    """Return D^4 [(Lj + 0.4 Dj)/Dj^4 + (Lc + 0.4 Dc)/Dc^4 + (R - 0.2 (Dj + Dc))/(T W^3)], m, D that of the journal."""
    journal, pin, between_journals, between_pins = parts(throw)
    web = (throw["radius"] - 0.2 * (journal + pin)) / (throw["thickness"] * throw["width"] ** 3)
    return journal**4 * ((between_journals + 0.4 * journal) / journal**4 + (between_pins + 0.4 * pin) / pin**4 + web)


def carter(throw):
    """Return D^4 [(Lj + 0.8 T)/Dj^4 + 0.75 Lc/Dc^4 + 1.5 R/(T W^3)], m."""
    journal, pin, between_journals, between_pins = parts(throw)
    web = 1.5 * throw["radius"] / (throw["thickness"] * throw["width"] ** 3)
    straight = (between_journals + 0.8 * throw["thickness"]) / journal**4 + 0.75 * between_pins / pin**4
    return journal**4 * (straight + web)


def parts(throw):
    """Return diameters of journal and pin and their lengths between the faces of webs, m."""
    thickness = throw["thickness"]
    return throw["journal"], throw["pin"], 2 * throw["side"] - thickness, throw["pin_length"] - thickness


@pytest.mark.parametrize(("formula", "name"), [(ker_wilson, "ker_wilson"), (carter, "carter")])
def test_empirical_lengths_lie_between_free_and_constrained_bearings(formula, name):
    found = formula(THROW)
    assert found == pytest.approx(LENGTHS[name], abs=0.6e-6)
    twist = found / rigidities(THROW)[0]
    assert constrained_form(THROW)[0] < twist < free_form(THROW)
