"""Numbers with units: "42 mm" to 0.042 for a field that wants metres. The only user of pint.

A text is split into number and unit by strict patterns before pint sees the unit, so that nothing in
a file is ever evaluated. The units themselves stand in units.txt.
"""

import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from decimal import Decimal
from difflib import get_close_matches
from functools import cache
from pathlib import Path
from typing import Any

from designs.reading.complaints import quote

FRACTION = r"(?:[0-9]{1,4} )?[0-9]{1,4}/[1-9][0-9]{0,3}"  # as inches are marked: 5/16, 1 1/4
NUMBER = rf"[+-]?(?:{FRACTION}|(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{{1,3}})?)"
SPELLINGS = {"in": "inch", "min": "minute", "µm": "um", "μm": "um"}  # micro sign, and Greek letter mu
SPELLINGS |= {"°": "deg", "°C": "degC", "°F": "degF", "%": "percent"}
SPELLINGS |= {"inches": "inch", '"': "inch", "lbs": "lb", "micron": "um", "microns": "um", "rev": "turn"}
TOKENS = (
    'mm cm m um µm μm micron microns in inch inches " thou ft l ml kg g mg lb lbs oz s ms min h K degC °C degF °F '
    "rad mrad deg ° arcmin turn rev rpm Hz N kN lbf kgf J mJ kJ W kW Pa kPa MPa GPa bar mbar atm psi percent %"
).split()
POWER = r"(?:\^-?[1-4]|[²³])?"
TOKEN = f"(?:{'|'.join(sorted(map(re.escape, TOKENS), key=len, reverse=True))}){POWER}"
PRODUCT = rf"{TOKEN}(?:(?: ?[*·] ?| ){TOKEN}){{0,5}}"
OVER = f" ?/ ?{TOKEN}"
UNIT = rf"(?:{PRODUCT}(?:{OVER}){{0,4}}|1?(?:{OVER}){{1,4}})"

SMALLEST, LARGEST = Decimal("1e-30"), Decimal("1e30")  # SI; beyond them products run out of floating-point numbers
# SI; larger than in any engine by orders of magnitude, and near where differences drown in rounding.
PLAUSIBLE = {
    "m": Decimal("1e3"),
    "rad": Decimal("1e4"),
    "rad/s": Decimal("1e6"),
    "kg": Decimal("1e6"),
    "kg m^2": Decimal("1e6"),
    "K": Decimal("1e5"),
}
LONGEST = 80  # characters of a number with its unit
DIGITS = 8  # at the most, of a size told in another unit
SAME = Decimal("3e-7")  # of it, by which it may then differ: 30 nm in 0.1 m
MUCH = 12  # characters of a number that are shown as they were typed
EXAMPLES_FROM, EXAMPLES_TO = Decimal("0.01"), Decimal(10_000)  # numbers that are easy to read
EXAMPLE_NUMBERS = {"K": Decimal(60), "rad/s": Decimal(900), "1/K": Decimal("11.7")}

_COMMA = re.compile(r"[+-]?[0-9]+,[0-9]")
_COMMA_IN = re.compile(r"(?<=[0-9]),(?=[0-9])")
_SPLIT = re.compile(rf"({NUMBER}) ?(.*)", re.ASCII)
_UNIT = re.compile(UNIT)
_LAST_UNIT = re.compile(rf"[0-9.] ?({UNIT})", re.ASCII)
_PITCH = re.compile(r"([0-9]+(?:[.][0-9]+)?) ?(?:DP|dp|P|pitch)", re.ASCII)
_PART = re.compile(rf"([*·/ ]*)({'|'.join(sorted(map(re.escape, TOKENS), key=len, reverse=True))}|1)({POWER})")

NAMES = {
    "": "a number",
    "m": "a length",
    "m^2": "an area",
    "m^3": "a volume",
    "kg": "a mass",
    "kg/m^3": "a density",
    "kg m": "a mass times radius",
    "kg m^2": "a moment of inertia",
    "rad": "an angle",
    "rad/s": "a speed of turning",
    "m/s": "a velocity",
    "m/s^2": "an acceleration",
    "N": "a force",
    "N m": "a torque",
    "Pa": "a pressure or stress",
    "Pa m/s": "a pressure times rubbing speed",
    "K": "a temperature",
    "1/K": "an expansion per degree",
    "N/m": "a stiffness",
    "N s/m": "a damping",
    "s": "a time",
    "Hz": "a frequency",
    "W": "a power",
}
INCH = 25.4  # mm
EXAMPLES = (
    "mm", "in", "um", "thou", "mm^2", "cm^2", "in^2", "cm^3", "ml", "l", "in^3", "g", "kg", "oz", "lb",
    "g/cm^3", "kg/m^3", "g mm", "kg mm", "g cm", "kg m^2", "g cm^2", "g mm^2", "kg mm^2", "deg", "rad",
    "mrad", "arcmin", "rpm", "rad/s", "deg/s", "mm/s", "m/s", "in/s", "m/s^2", "N", "kN", "lbf", "kgf", "N m", "N mm",
    "lbf in", "kPa", "bar", "MPa", "GPa", "psi", "atm", "MPa m/s", "degC", "K", "degF", "um/m/K", "1/K", "N/mm",
    "N/um", "N/m", "lbf/in", "N s/m", "N s/mm", "N m/rad", "N mm/deg", "h", "min", "s", "ms", "Hz", "W", "kW",
    "percent",
)  # fmt: skip


class BadQuantity(ValueError):
    """A text that is no number with a fitting unit; `read` and `allowed` say why, as text."""

    def __init__(self, read: str, allowed: str):
        super().__init__(read, allowed)
        self.read, self.allowed = read, allowed


def quantity(text: str, si: str) -> float:
    """Return a text such as "42 mm" as a number in the SI unit `si`.

    Raises BadQuantity if the text is not a number and a unit, the unit does not fit `si`, or the
    number is too large or too small to compute with.
    """
    written = " ".join(text.split())
    match = _SPLIT.fullmatch(written) if len(written) <= LONGEST else None
    if not match or _COMMA.match(written):
        if _COMMA.match(written):
            meant = f"{_COMMA_IN.sub('.', written)}, if that is meant"
            raise BadQuantity(f"{quote(text)}, with a decimal comma (write a point)", f"{meant}; {allowed(si)}")
        raise BadQuantity(quote(text), allowed(si))
    number, unit = match.groups()
    factor, offset = _factor(unit, si, text)
    return _computable(value_of(number) * factor + offset, quote(text), si)


def in_unit_of(text: str, like: str) -> str:
    """Return a text such as "12.7 mm" in the unit of another one, "0.5 in": with as few digits as give the same size.

    As it is where the other one ends in no unit that fits, or where it takes too many digits.
    """
    match, other = _SPLIT.fullmatch(text), list(_LAST_UNIT.finditer(like))
    if match is None or not _UNIT.fullmatch(match[2]) or not other or other[-1].end() != len(like.rstrip()):
        return text
    unit, wanted = match[2], other[-1][1]
    if unit == wanted or _dimension(unit) != _dimension(wanted):
        return text
    factor, offset = _conversion(unit, wanted)
    exact = value_of(match[1]) * factor + offset
    rounds = (Decimal(f"{exact:.{digits}g}") for digits in range(1, DIGITS + 1))
    short = next((each for each in rounds if abs(each - exact) <= SAME * abs(exact)), None)
    return text if short is None else f"{short.normalize():f} {wanted}"


def value_of(number: str) -> Decimal:
    """Return the value of a text that fits the pattern NUMBER."""
    sign = -1 if number.startswith("-") else 1
    *whole, last = number.lstrip("+-").split(" ")
    above, _, below = last.partition("/")
    return sign * (sum(map(Decimal, whole), Decimal(0)) + Decimal(above) / Decimal(below or 1))


def finest(number: str) -> Decimal:
    """Return one step of the last digit of such a text; of a fraction one of its parts."""
    _, over, below = number.partition("/")
    return 1 / Decimal(below) if over else Decimal((0, (1,), int(Decimal(number).as_tuple().exponent)))


def _computable(value: Decimal, read: str, si: str) -> float:
    most = PLAUSIBLE.get(si, LARGEST)
    if value and not SMALLEST < abs(value) < most:
        size = "small" if abs(value) <= SMALLEST else "large"
        raise BadQuantity(f"{read}, which is too {size} to compute with", allowed(si))
    return float(value)


def _factor(unit: str, si: str, text: str) -> tuple[Decimal, Decimal]:
    """Return what a number in `unit` is multiplied with, and what is then added, to get it in `si`."""
    if unit and not _UNIT.fullmatch(unit):
        # The same number in another unit would be another size, so examples have numbers of their own.
        near = "".join(f"; the nearest unit is {each}" for each in get_close_matches(unit, fitting(si), 1, 0.5))
        raise BadQuantity(
            f"{quote(text)}, with a unit that is not known here", allowed(si) + (_pitch(text, si) or near)
        )
    if _dimension(unit) != _dimension(si):
        wrong = f", which is not {name(si)}" if si else ", with a unit"
        raise BadQuantity(quote(text) + (wrong if unit else ""), allowed(si, text))
    return _conversion(unit, si)


def _pitch(text: str, si: str) -> str:
    """Return which module a diametral pitch is, "24 DP": teeth on each inch of the pitch diameter."""
    match = _PITCH.fullmatch(text.strip())
    if match is None or si != "m" or not float(match[1]):
        return ""
    return f"; a diametral pitch of {match[1]} is a module of {INCH / float(match[1]):.6g} mm"


@contextmanager
def _hidden(package: str) -> Iterator[None]:
    """Hide a package while another is imported: pint would load it, if installed, only to wrap its arrays."""
    if package in sys.modules:
        yield
        return
    sys.modules[package] = None  # type: ignore[assignment]  # the documented way to make an import fail
    try:
        yield
    finally:
        del sys.modules[package]


@cache
def _registry() -> Any:
    with _hidden("dask"):
        import pint  # takes longer to import than all else here

    # Decimals keep a factor such as 1 cm^3 = 1e-6 m^3 exact, which floats would not.
    units: Any = pint.UnitRegistry(None, non_int_type=Decimal, cache_folder=None)
    units.load_definitions(Path(__file__).with_name("units.txt").read_text("utf-8").splitlines())
    return units


@cache
def _unit(text: str) -> Any:
    """Return the pint unit of a unit text that fits the pattern UNIT."""
    parts: list[str] = []
    for between, token, power in _PART.findall(text):
        sign = "/" if "/" in between else "*" if parts else ""
        power = {"²": "^2", "³": "^3"}.get(power, power).replace("^", "**")
        parts.append(f"{sign}{SPELLINGS.get(token, token)}{power}")
    expression = "".join(parts)
    return _registry().parse_units(f"1{expression}" if expression.startswith("/") else expression)


@cache
def _dimension(text: str) -> Any:
    return _unit(text).dimensionality


@cache
def _conversion(unit: str, si: str) -> tuple[Decimal, Decimal]:
    at_zero, at_one = _converted(Decimal(0), unit, si), _converted(Decimal(1), unit, si)
    return at_one - at_zero, at_zero


def _converted(number: Decimal, unit: str, other: str) -> Decimal:
    return _registry().Quantity(number, _unit(unit)).to(_unit(other)).magnitude


@cache
def fitting(si: str) -> tuple[str, ...]:
    """Return the usual units that fit an SI unit, the SI unit itself if no other does."""
    return tuple(each for each in EXAMPLES if _dimension(each) == _dimension(si)) or (si,)


def name(si: str) -> str:
    """Return what a number with this SI unit is called, e.g. "a length"."""
    return NAMES.get(si, f"a value in {si}")


def allowed(si: str, text: str = "") -> str:
    """Return what would have been accepted, with examples that start from the number in `text`, if it has one."""
    if not si:
        return "a number without a unit, e.g. 1.25"
    match = _SPLIT.fullmatch(" ".join(text.split())) if len(text) <= LONGEST else None
    number = value_of(match[1]) if match else Decimal(0)
    if not EXAMPLES_FROM <= abs(number) <= EXAMPLES_TO:
        number = EXAMPLE_NUMBERS.get(si, Decimal(12))
    first, *others = fitting(si)
    values = [(_converted(number, first, each), each) for each in others]
    readable = [f"{float(value):.3g} {each}" for value, each in values if EXAMPLES_FROM <= abs(value) < 1000]
    start = f"{number:f}" if len(f"{number:f}") <= MUCH else f"{float(number):.3g}"  # a third has digits without end
    return f"{name(si)} with its unit, e.g. {', '.join([f'{start} {first}', *readable[:2]])}"
