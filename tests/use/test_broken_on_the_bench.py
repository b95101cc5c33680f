"""The shipped engine broken in one way each, as a maker would notice it: the limit that fails is the reason."""

from pathlib import Path

import pytest

from designs.evaluate import Evaluation
from designs.reading import BadFile, read_text
from designs.verdict import rows_of

FAN = (Path(__file__).parents[2] / "designs" / "redesign.yaml").read_text("utf-8")
BROKEN = {
    "bush longer than its stem is free": ("guided_length", {"stem_length: 62 mm": "stem_length: 20 mm"}),
    "tube stem bored to foil": ("stem_strength", {"stem_bore: 4 mm": "stem_bore: 5.9 mm"}),
    "gear in a web": ("axial_room", {"    at: 12 mm\n": "    at: -6 mm\n"}),
    "plate as thick as reaches the web": ("axial_room", {"{at: 0 mm, thickness: 8 mm": "{at: 0 mm, thickness: 20 mm"}),
    "piston like a coin": ("guided_length", {"length: 26 mm, crown": "length: 3 mm, crown"}),
    "posts of wire": ("stem_buckling", {"posts: {diameter: 5 mm": "posts: {diameter: 1 mm"}),
    "yoke of sheet": ("arm_strength", {"{width: 12 mm, height: 8 mm}": "{width: 12 mm, height: 1.2 mm}"}),
    "displacer of another bore": ("running_fit", {"kind: displacer, bore: 42 mm": "kind: displacer, bore: 40 mm"}),
    "displacer that rubs as its stem leans": ("running_fit", {"diameter: 41.2 mm": "diameter: 41.95 mm"}),
    "aluminium weights": (
        "counterweight_moment",
        {"  material: steel\n  thickness": "  material: aluminium\n  thickness"},
    ),
    "no wall about a yoke pin": ("rod_eyes", {"yoke_pin: {diameter: 4 mm": "yoke_pin: {diameter: 7.9 mm"}),
    "no metal beside a crankpin": ("web_metal", {"pin: {diameter: 6 mm": "pin: {diameter: 8.5 mm"}),
    "wheel beyond the shaft's end": ("on_shaft", {"left_at: 72 mm": "left_at: 100 mm"}),
    "hot end cold": ("power", {"hot: 480 degC": "hot: 55 degC", "cold: 55 degC": "cold: 480 degC"}),
    "web split by its press fit": ("pin_seats", {"10 mm, interference: 12 um": "10 mm, interference: 90 um"}),
    "teeth without backlash": ("gear_mesh", {"backlash: 0.06 mm": "backlash: 0 mm"}),
    "bush like a washer": ("guided_length", {"guide: {length: 24 mm}": "guide: {length: 2 mm}"}),
    "cylinder down to the yokes": ("clearance_carried", {"82 mm, length: 118 mm": "40 mm, length: 160 mm"}),
    "plate narrower than its ring": ("in_plates", {"thickness: 8 mm, width: 60 mm": "thickness: 8 mm, width: 20 mm"}),
    "shaft half way in its web": ("pin_seats", {"  starts_at: -15 mm\n": "  starts_at: -11 mm\n"}),
    "bearing between two collars": (
        "pushed_on",
        {
            "length: 88 mm, diameter: 10 mm}]": "length: 29 mm, diameter: 10 mm}, {length: 59 mm, diameter: 12 mm}]",
            "{length: 10 mm, diameter: 8 mm}": "{length: 10 mm, diameter: 12 mm}",
        },
    ),
    "rods wider than their pins": ("rods_on_pins", {"width: 8 mm, thickness: 4 mm": "width: 8 mm, thickness: 15 mm"}),
}


def broken(changes: dict[str, str]) -> str:
    text = FAN
    for old, new in changes.items():
        assert old in text
        text = text.replace(old, new)
    return text


@pytest.mark.parametrize("what", BROKEN)
def test_it_fails_for_what_is_broken(what: str) -> None:
    key, changes = BROKEN[what]
    failing = [row.key for row in rows_of(Evaluation(read_text(broken(changes)))) if row.state == "FAIL"]
    assert key in failing


@pytest.mark.parametrize(
    "changes",
    [{"diameter: 6 mm, length: 12 mm": "diameter: 6 mm, length: 5 mm"}, {"at: 30 mm, ball": "at: 84 mm, ball"}],
)
def test_what_cannot_be_put_together_is_refused(changes: dict[str, str]) -> None:
    with pytest.raises(BadFile, match=r"shorter than the way between its webs|off the shaft"):
        read_text(broken(changes))
