"""One formula of the worked sheet: its expression, its numbers, and what the computing halves make of it."""

from dataclasses import dataclass

import sympy


@dataclass(frozen=True)
class Given:
    """A number of a formula, in SI."""

    symbol: sympy.Symbol
    value: float
    unit: str
    meaning: str


@dataclass(frozen=True)
class Formula:
    """A formula with this design's numbers, in SI.

    result, expression : left and right side.   unit : of the result.
    computed : what balance or shafts computes for the same thing.
    source : where the formula stands.
    """

    title: str
    result: sympy.Symbol
    expression: sympy.Expr
    givens: tuple[Given, ...]
    unit: str
    computed: float
    source: str

    @property
    def value(self) -> float:
        """What the formula gives with its numbers."""
        return float(self.expression.evalf(17, subs={each.symbol: sympy.Float(each.value, 17) for each in self.givens}))


def given(name: str, value: object, unit: str, meaning: str) -> Given:
    """Return a number of a formula; the name is written as sympy writes symbols ("omega_2")."""
    return Given(sympy.Symbol(name, real=True), float(value), unit, meaning)  # type: ignore[arg-type]
