"""The worked sheet: every printed formula gives what the computing halves compute."""

from pathlib import Path

import pytest
import sympy

from designs.evaluate import Evaluation
from designs.pages import sheet
from designs.pages.formula import Formula, given
from designs.reading import read

SHIPPED = Path(sheet.__file__).parents[1]
CASES = [(path.stem, None) for path in sorted(SHIPPED.glob("*.yaml"))]
CASES += [("as-built", "counterweighted"), ("as-built", "8 mm shafts")]
KEY = (
    "Height of",
    "Inertia force",
    "Pressure of the gas",
    "Shaking force of order 1",
    "Mass times radius",
    "Centrifugal force of counterweight",
    "Tooth force",
    "Load on bearing 1",
    "Life of",
    "Safety against fatigue",
    "Natural frequency",
)


@pytest.fixture(scope="module", params=CASES, ids=str)
def formulas(request):
    name, option = request.param
    return sheet.formulas(Evaluation(read(SHIPPED / f"{name}.yaml", option)))


def test_every_formula_gives_what_is_computed(formulas):
    for each in formulas:
        assert each.value == pytest.approx(each.computed, rel=1e-9, abs=1e-15), each.title


def test_every_symbol_of_a_formula_has_its_number(formulas):
    for each in formulas:
        assert {number.symbol for number in each.givens} == each.expression.free_symbols, each.title
        assert each.source


def test_the_key_formulas_are_there(formulas):
    titles = [each.title for each in formulas]
    assert len(titles) == len(set(titles))
    for words in KEY:
        assert any(title.startswith(words) for title in titles), words


def test_printed_forms_are_whole(formulas):
    for formula, each in zip(formulas, map(sheet.work, formulas), strict=True):
        assert each.mathml.startswith("<math")
        assert each.mathml.endswith("</math>")
        assert "=" in each.latex
        assert float(each.result.split()[0]) == pytest.approx(formula.value, rel=1e-5)


def test_a_formula_is_worked_out_from_its_numbers():
    # 3 N on an arm of 2 m, by hand.
    force, arm = given("F", 3, "N", "force"), given("a", 2, "m", "arm")
    made = Formula("Torque", sympy.Symbol("T"), force.symbol * arm.symbol, (force, arm), "N m", 6.0, "lever")
    assert made.value == 6.0
    assert sheet.work(made).result == "6 N m"
