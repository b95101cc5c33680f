"""Numbers that a file gives with a doubt, and what each form means.

5 mm +- 0.02 mm   19 of 20 lie within it: two standard deviations of a normal law (also written with one sign)
3..20 N/um        bounds, as likely anywhere between; a size wider than a factor 3 as likely in every octave
about 8 N/um      within a factor 1.5 in 19 of 20
exactly 0 um      this and nothing else: no usual range is taken
unknown           as if left out: the usual value and its range, where there are such
"""

import re
from collections.abc import Iterator

from balance.doubt.ranges import ABOUT, Law, Range, deviation, law_between, middle_of
from balance.evidence.estimate import Estimate, of_resolution
from designs.reading.complaints import quote
from designs.reading.shapes import Quantity
from designs.reading.units import FRACTION, LONGEST, NUMBER, BadQuantity, allowed, finest, quantity

UNKNOWN = "unknown"
FORMS = "also 'A +- B', 'A..B', 'about A' or 'exactly A'"
_AROUND = re.compile(r"\s*(?:\+-|\+/-|±)\s*")
_NUMBER = re.compile(rf"\s*({NUMBER})\s*(.*)", re.ASCII | re.DOTALL)
_WORDED = (
    (re.compile(r"([0-9]+)-([0-9]+/[0-9]+.*)"), "{} {}"),  # inches as they are spoken: 1-1/4 in
    (re.compile(rf"(?:between |from )?({NUMBER}.*?) ?(?:to|and|or|-|\u2013|\u2026) ?({NUMBER}.*)"), "{}..{}"),
    (re.compile(rf"(?:~|\u2248|ca\.?|circa|approx\.?|approximately|roughly|around|some) ?({NUMBER}.*)"), "about {}"),
    (re.compile(rf"({NUMBER}.*?) ?(?:plus or minus|plus/minus|\+/\u2212) ?({NUMBER}.*)"), "{} +- {}"),
)
"""What people write where a number is in doubt, and the form that is meant."""


def number_of(text: str, shape: Quantity) -> float | Range:
    """Return what a text says where a number is wanted: the number, or its range; raises BadQuantity."""
    word, _, rest = text.strip().partition(" ")
    if word == "exactly":
        return quantity(rest, shape.si)
    if word == "about":
        return _about(rest, text, shape)
    if len(parts := _AROUND.split(text)) == 2:
        return _around(parts[0], parts[1], text, shape)
    if ".." in text:
        first, _, second = text.partition("..")
        return _between(first, second, text, shape)
    if text.strip() == UNKNOWN:
        raise BadQuantity(f"{quote(text)}, for which no usual range is known here", allowed(shape.si))
    try:
        return quantity(text, shape.si)
    except BadQuantity as error:
        meant = next(_meant(text, shape), "")
        if not meant:
            raise
        raise BadQuantity(error.read, f"{allowed(shape.si)}; did you mean {quote(meant)}?") from None


def _meant(text: str, shape: Quantity) -> Iterator[str]:
    """Yield what a text says in words, as a file would say it; none of what is too long to be a number in words."""
    for said, form in _WORDED if len(text) <= LONGEST else ():
        if match := said.fullmatch(" ".join(text.split())):
            try:
                number_of(meant := form.format(*match.groups()), shape)
            except BadQuantity:
                continue
            yield meant


def _about(rest: str, text: str, shape: Quantity) -> Range:
    middle = quantity(rest, shape.si)
    if shape.bound.least < 0 or middle <= 0 or shape.si == "K":
        raise BadQuantity(f"{quote(text)}, a factor on what is no size", "'A +- B' or 'A..B'")
    return _range("factor", middle / ABOUT, middle, middle * ABOUT, text, shape)


def _around(first: str, second: str, text: str, shape: Quantity) -> float | Range:
    middle = quantity(_with_unit(first, second, text, shape), shape.si)
    half = _half_width(second, middle, shape)
    if half < 0:
        raise BadQuantity(f"{quote(text)}, with a half-width below zero", "a half-width of zero or more")
    return middle if half == 0 else _range("normal", middle - half, middle, middle + half, text, shape)


def _half_width(text: str, middle: float, shape: Quantity) -> float:
    """Return a half-width: a difference, so that degrees count from each other and not from zero; or a percentage."""
    if shape.si and re.search(r"(%|percent)\s*$", text):
        return quantity(text, "") * abs(middle)
    match = _NUMBER.fullmatch(text)
    nothing = quantity(f"0 {match[2]}".strip(), shape.si) if match else 0.0
    return quantity(text, shape.si) - nothing


def _between(first: str, second: str, text: str, shape: Quantity) -> Range:
    low, high = quantity(_with_unit(first, second, text, shape), shape.si), quantity(second.strip(), shape.si)
    if not low < high:
        raise BadQuantity(f"{quote(text)}, a range turned round", "a range from the smaller to the larger value")
    law = law_between(low, high, positive=shape.bound.least >= 0)
    return _range(law, low, middle_of(low, high, law), high, text, shape)


def _with_unit(first: str, second: str, text: str, shape: Quantity) -> str:
    """Return the first number with the unit of the second, where it has none; the last number must have its own."""
    one, other = _NUMBER.fullmatch(first), _NUMBER.fullmatch(second)
    if shape.si and other and not other[2].strip():
        raise BadQuantity(f"{quote(text)}, without a unit at its end", f"a unit after the last number; {FORMS}")
    percent = other is not None and other[2].strip() in ("%", "percent")
    if one and not one[2].strip() and other and not percent:
        return f"{one[1]} {other[2]}".strip()
    return first.strip()


def _range(law: Law, low: float, middle: float, high: float, text: str, shape: Quantity) -> Range:
    for end in (low, high):
        if not shape.bound.holds(end):
            raise BadQuantity(f"{quote(text)}, which reaches {end:.6g} {shape.si}".strip(), f"{shape.bound} {shape.si}")
    return Range(law, low, middle, high, shape.si, True, " ".join(text.split()))


def reading_of(text: str, shape: Quantity) -> Estimate:
    """Return what was found, with its doubt, as a text says it; raises BadQuantity.

    `A +- B` holds 19 times of 20. A range is even between its ends. A number alone is as likely anywhere within its
    last digit; `exactly` makes it exact.
    """
    number = number_of(text, shape)
    if isinstance(number, Range):
        return Estimate(number.middle, deviation(number))
    if not shape.bound.holds(number):
        raise BadQuantity(quote(text), f"{shape.bound} {shape.si}".strip())
    if text.strip().startswith("exactly") or _AROUND.search(text):
        return Estimate(number)
    return of_resolution(number, _last_digit(text, shape))


def _last_digit(text: str, shape: Quantity) -> float:
    """Return what one step of the last digit written is, in SI."""
    written = _NUMBER.fullmatch(text)
    assert written is not None  # it was read as a number just now
    one, nothing = (quantity(f"{number} {written[2]}".strip(), shape.si) for number in (f"{finest(written[1]):e}", "0"))
    return one - nothing


def doubt_at(where: tuple[str, ...]) -> str:
    """Return why an entry takes no doubt, "" if it does."""
    for head, why in _EXACT.items():
        if where[: len(head)] == head:
            return why
    return ""


_EXACT: dict[tuple[str, ...], str] = {
    ("counterweights",): "the counterweights are cut from these numbers as they stand, so a number by itself",
    ("limits",): "a limit is what you ask for, so a number by itself",
    ("measured",): "one reading of several, or what an instrument is good for: a number by itself",
    ("stock",): "what is sold or at hand is of one size: a number by itself",
    ("fits", "tolerances"): "a tolerance is a half-width already, so a number by itself",
}


def pattern(number: str) -> str:
    """Return the pattern, for a schema, of every form that a number with a doubt may have."""
    plain = rf"[+-]?(?:{FRACTION}|[0-9.]+(?:[eE][+-]?[0-9]{{1,3}})?)"
    first = f"(?:{number}|{plain})"
    around = rf" ?(?:\+-|\+/-|±) ?(?:{number}|{plain} ?(?:%|percent))"
    return rf"^\s*(?:(?:exactly |about )?{number}|{first}{around}|{first} ?\.\. ?{number}|{UNKNOWN})\s*$"
