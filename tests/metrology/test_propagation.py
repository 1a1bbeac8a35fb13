"""First-order propagation: closed forms, and the derivatives of a computer algebra library."""

from __future__ import annotations

import math

import pytest
import sympy

from countershaft.errors import OutOfRange
from countershaft.metrology.propagation import Input, propagate


def test_a_sum_and_a_product() -> None:
    """By hand: u² of 2a - b is 4·0.3² + 0.8²; of a·b it is (b u_a)² + (a u_b)²."""
    inputs = [Input("a", 10.0, 0.3), Input("b", 4.0, 0.8)]
    assert propagate(lambda a, b: 2 * a - b, inputs).budget.standard == pytest.approx(1.0)
    assert propagate(lambda a, b: a * b, inputs).budget.standard == pytest.approx(math.hypot(1.2, 8.0))


def test_sensitivities_are_the_derivatives() -> None:
    """Pitch of a spring from force, turns and wire, by an algebra library; the formula is nearly straight here."""
    f, n, d = sympy.symbols("f n d")
    formula = 8 * f * n / (d**4 + f)
    point = {f: 12.0, n: 9.0, d: 2.0}
    inputs = [Input("f", 12.0, 1e-4), Input("n", 9.0, 1e-4), Input("d", 2.0, 1e-5)]
    found = propagate(lambda f, n, d: 8 * f * n / (d**4 + f), inputs)
    exact = [float(sympy.diff(formula, one).subs(point)) for one in (f, n, d)]
    assert [row.sensitivity for row in found.budget.contributions] == pytest.approx(exact, rel=1e-6)
    assert found.value == pytest.approx(float(formula.subs(point)))


def test_an_exact_input_keeps_its_sensitivity() -> None:
    """An input without uncertainty stands in the table with its slope and no share."""
    found = propagate(lambda a, b: a * b, [Input("a", 3.0, 0.0), Input("b", 2.0, 0.1, 5)])
    assert found.budget.contributions[0].sensitivity == pytest.approx(2.0)
    assert found.budget.shares == (0.0, pytest.approx(1.0))
    assert found.budget.degrees_of_freedom == pytest.approx(5.0)


def test_nonsense_is_refused() -> None:
    with pytest.raises(OutOfRange, match="has no input"):
        propagate(lambda: 1.0, [])
    with pytest.raises(OutOfRange, match="no finite value near a = 0 ± 1"):
        propagate(lambda a: math.inf if a > 0 else 1.0, [Input("a", 0.0, 1.0)])
