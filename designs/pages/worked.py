"""A formula as it is printed, in words and letters: to show it takes no algebra, which is heavy to load."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Worked:
    """A formula as it is printed: as MathML and LaTeX, its numbers, and the result.

    source : where the formula stands.   numbers : MathML and LaTeX of the symbol, its value with unit, and its meaning.
    """

    title: str
    source: str
    mathml: str
    latex: str
    numbers: list[tuple[str, str, str, str]]
    result: str
