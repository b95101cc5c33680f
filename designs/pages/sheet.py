"""The worked sheet: the key formulas, each with this design's own numbers.

A formula is one sympy expression. The page prints it and what it gives; a test compares that with what
the computing halves make of the same design, so that what is printed is what is computed.
"""

from collections.abc import Callable, Iterator
from typing import Any

import sympy

from designs.evaluate import Evaluation
from designs.pages import sheet_balance, sheet_shafts
from designs.pages.formula import Formula
from designs.pages.worked import Worked

SOURCES: tuple[Callable[[Evaluation], Iterator[Formula]], ...] = (sheet_balance.formulas, sheet_shafts.formulas)
"""Where formulas come from, in the order in which they are shown."""


def formulas(evaluation: Evaluation) -> list[Formula]:
    """Return every formula that this design has numbers for."""
    return [formula for source in SOURCES for formula in source(evaluation)]


def work(formula: Formula) -> Worked:
    """Return a formula ready to be printed."""
    equation = sympy.Eq(formula.result, formula.expression, evaluate=False)
    numbers = [
        (_mathml(each.symbol, "inline"), sympy.latex(each.symbol), shown(each.value, each.unit), each.meaning)
        for each in formula.givens
    ]
    result = shown(formula.value, formula.unit)
    return Worked(formula.title, formula.source, _mathml(equation), sympy.latex(equation), numbers, result)


def _mathml(expression: Any, display: str = "block") -> str:
    body = sympy.printing.mathml(expression, printer="presentation")
    return f'<math xmlns="http://www.w3.org/1998/Math/MathML" display="{display}">{body}</math>'


def shown(value: float, unit: str) -> str:
    """Return a number in SI with as many digits as the reader needs to work it out again."""
    return f"{value:.6g} {'' if unit == '1' else unit}".strip()
