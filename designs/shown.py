"""Quantities as text, in the units a person thinks in: the one place where a number in SI becomes words.

What is computed, and JSON, stays SI. Which units people see is chosen once, for a command (`using`).
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from typing import Literal

import numpy as np

System = Literal["metric", "imperial"]
Shown = tuple[str, float, int]
"""Unit as people read it, factor from SI, decimals."""

RPM = 30 / np.pi
"""Revolutions per minute in one rad/s."""

METRIC: dict[str, Shown] = {
    "m": ("mm", 1e3, 3),
    "um": ("µm", 1e6, 1),
    "rad": ("deg", 180 / np.pi, 1),
    "mrad": ("mrad", 1e3, 3),
    "rad/s": ("rpm", RPM, 0),
    "kg": ("g", 1e3, 1),
    "heavy": ("kg", 1.0, 3),
    "kg m": ("g mm", 1e6, 1),
    "kg m^2": ("g cm^2", 1e7, 2),
    "kg/m^3": ("kg/m^3", 1.0, 0),
    "N": ("N", 1.0, 2),
    "N m": ("N mm", 1e3, 1),
    "Pa": ("kPa", 1e-3, 1),
    "stress": ("MPa", 1e-6, 1),
    "N/m": ("N/mm", 1e-3, 1),
    "m/s": ("mm/s", 1e3, 2),
    "m/s^2": ("m/s^2", 1.0, 2),
    "m^3": ("cm^3", 1e6, 2),
    "m^2": ("mm^2", 1e6, 1),
    "s": ("h", 1 / 3600, 0),
    "W": ("W", 1.0, 2),
    "J": ("mJ", 1e3, 2),
    "Hz": ("Hz", 1.0, 1),
    "rad/s^2": ("rad/s^2", 1.0, 1),
    "N/s": ("N/s", 1.0, 0),
    "pv": ("MPa m/s", 1e-6, 3),
    "turns": ("million turns", 1e-6, 1),
    "share": ("percent", 100.0, 1),
    "1": ("", 1.0, 3),
    "SI": ("", 1.0, 6),
    "": ("", 1.0, 3),
}
INCH, POUND, GRAVITY = 0.0254, 0.45359237, 9.80665  # international yard and pound (1959), standard gravity
FORCE = POUND * GRAVITY
OUNCE = POUND / 16
IMPERIAL: dict[str, Shown] = METRIC | {
    "m": ("in", 1 / INCH, 4),
    "um": ("thou", 1e3 / INCH, 3),
    "kg": ("oz", 1 / OUNCE, 3),
    "heavy": ("lb", 1 / POUND, 3),
    "kg m": ("oz in", 1 / (OUNCE * INCH), 4),
    "kg m^2": ("oz in^2", 1 / (OUNCE * INCH**2), 3),
    "kg/m^3": ("lb/in^3", INCH**3 / POUND, 4),
    "N": ("lbf", 1 / FORCE, 3),
    "N m": ("lbf in", 1 / (FORCE * INCH), 3),
    "Pa": ("psi", INCH**2 / FORCE, 2),
    "stress": ("psi", INCH**2 / FORCE, 0),
    "N/m": ("lbf/in", INCH / FORCE, 1),
    "m/s": ("in/s", 1 / INCH, 3),
    "m/s^2": ("in/s^2", 1 / INCH, 1),
    "m^3": ("in^3", 1 / INCH**3, 3),
    "m^2": ("in^2", 1 / INCH**2, 4),
    "J": ("lbf in", 1 / (FORCE * INCH), 4),
    "N/s": ("lbf/s", 1 / FORCE, 1),
    "pv": ("psi ft/min", INCH**2 / FORCE * 60 / 0.3048, 0),
}
SYSTEMS = {"metric": METRIC, "imperial": IMPERIAL}
_system: ContextVar[System] = ContextVar("system", default="metric")


@contextmanager
def using(system: System) -> Iterator[None]:
    """Show quantities in one system of units for as long as this lasts."""
    before = _system.set(system)
    try:
        yield
    finally:
        _system.reset(before)


def chosen() -> System:
    """Return the system that people see now, to be handed to a thread or process (`choose`)."""
    return _system.get()


def choose(system: System) -> None:
    """Show quantities in one system of units from now on, in this thread or process."""
    _system.set(system)


def imperial() -> bool:
    """Return whether people see inches and pounds now."""
    return _system.get() == "imperial"


def shown(kind: str, decimals: int = 3) -> Shown:
    """Return unit, factor and decimals in which a kind of quantity is shown now; unknown kinds as they are."""
    return SYSTEMS[_system.get()].get(kind, (kind, 1.0, decimals))


def said(value: float, kind: str, form: str = ".3g") -> str:
    """Return a quantity with its unit, in a sentence.

    form : how its number is written in metric units; in others it has as many digits that matter, three at least.
    """
    return f"{number(value, kind, form)} {shown(kind)[0]}".strip()


def number(value: float, kind: str, form: str = ".3g") -> str:
    """Return the same without its unit."""
    text = _positional(f"{float(value) * METRIC[kind][1] + 0.0:{form}}")
    if imperial() and METRIC[kind] != IMPERIAL[kind]:
        digits = max(3, len(re.sub(r"e.*|[^0-9]", "", text).lstrip("0")))
        converted = float(value) * IMPERIAL[kind][1]
        text = np.format_float_positional(converted, precision=digits, fractional=False, trim="-")
    if not float(text):
        text = text.lstrip("-")  # what rounds to nothing has no sign
    return text.replace("-", "\N{MINUS SIGN}") if "e" not in text else text


def _positional(text: str) -> str:
    """Return a number of up to six digits before the point without an exponent."""
    return f"{float(text):.0f}" if "e+" in text and abs(float(text)) < LARGEST else text


LARGEST = 1e6
"""From here on a number is told with its exponent."""
FILE_UNITS = {
    "mm": ("m", 1e-3), "mm^2": ("m^2", 1e-6), "cm^3": ("m^3", 1e-6), "g": ("kg", 1e-3), "kg": ("heavy", 1.0),
    "kg m^2": ("kg m^2", 1.0), "N/mm": ("N/m", 1e3), "N/um": ("N/m", 1e6), "N": ("N", 1.0), "um": ("um", 1e-6),
    "kPa": ("Pa", 1e3), "N m": ("N m", 1.0),
}  # fmt: skip
"""Units in which changes are written into a file: kind, and factor to SI."""
DIGITS, WRITTEN = 4, 6
"""Of values that people read, and of those that they write into a file: no shop can tell these from what was tried."""
_NUMBER = r"-?[0-9]+(?:\.[0-9]*)?|-?\.[0-9]+"
_UNIT = "|".join(re.escape(each) for each in sorted(FILE_UNITS, key=len, reverse=True))
_VALUE = re.compile(rf"(?<![\w.])(?<![0-9] x )({_NUMBER}) ({_UNIT})(?![\w/^]| on )")


def file_words(words: str, to_write: bool = False) -> str:
    """Return values as a file says them in the units that people see now; what is sold by a size keeps it.

    to_write : whether people are to write them into a file.
    """

    def converted(match: re.Match[str]) -> str:
        kind, factor = FILE_UNITS[match[2]]
        unit, more, decimals = shown(kind)
        places = kind == "m" and not to_write
        digits = WRITTEN if to_write else decimals if places else DIGITS
        value = float(match[1]) * factor * more
        return f"{np.format_float_positional(value, digits, fractional=places, trim='-')} {unit}"

    if not imperial():
        return words
    parts = re.split(r"(\([^);]*)", words)  # names of stock stand first in brackets
    return "".join(part if part.startswith("(") else _VALUE.sub(converted, part) for part in parts)


def complaint_words(complaint: object) -> str:
    """Return what is wrong with a file in the units that people see now; what is quoted, or an example, stays."""
    parts = re.split(r"('[^']*'|\"[^\"]*\"|\be\.g\..*)", str(complaint))
    return "".join(part if part.startswith(("'", '"', "e.g.")) else file_words(part) for part in parts)


BENCH = {
    "mm": ("in", 1e-3 / INCH), "um": ("thou", 1e-3 / INCH), "g": ("oz", 1e-3 / OUNCE), "kg": ("lb", 1 / POUND),
    "N": ("lbf", 1 / FORCE), "kPa": ("psi", 1e3 * INCH**2 / FORCE), "degC": ("degF", 1.8),
}  # fmt: skip
"""Units in which a person reads tools at the bench, and factor."""
_LISTED = r"(?:___|[0-9.]+(?:(?:, | to | and |, then )[0-9.]+)*)"
_READ = re.compile(rf"(scale of [0-9.]+ g(?: to [0-9.]+ g)?)|({_LISTED}) ({'|'.join(BENCH)})(?![\w/^])")


def bench_words(words: str) -> str:
    """Return steps at the bench, and what is to be written down, in the units that people see now; scales as sold."""

    def converted(match: re.Match[str]) -> str:
        if match[1]:
            return match[1]
        unit, factor = BENCH[match[3]]
        return f"{re.sub('[0-9.]+', lambda each: f'{float(each[0]) * factor:.2g}', match[2])} {unit}"

    return _READ.sub(converted, words) if imperial() else words


_LENGTHS = {
    "metric": re.compile(r"[0-9] ?(?:mm|cm|um|µm|m)\b"),
    "imperial": re.compile(r"[0-9] ?(?:inch|inches|in|thou|ft)\b|[0-9] ?\""),
}


def system_of(file: Path) -> System:
    """Return the system in which a design file gives most of its lengths; metric where it gives as many in each.

    Of a file that is too large, or cannot be read, nothing is said here: whoever reads it as a design complains.
    """
    from designs.reading.source import LARGEST  # the reader is not needed to show a quantity

    try:
        if not file.is_file():
            return "metric"
        with file.open("rb") as opened:
            read = opened.read(LARGEST).decode("utf-8", "replace")
    except OSError:  # a name that is too long, too
        return "metric"
    lines = (line.partition(" #")[0] for line in read.splitlines())
    text = "\n".join(line for line in lines if not line.lstrip().startswith("#"))
    counts = {name: len(pattern.findall(text)) for name, pattern in _LENGTHS.items()}
    return "imperial" if counts["imperial"] > counts["metric"] else "metric"
