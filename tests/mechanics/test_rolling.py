"""The direction of rolling power.

Expected values: all answers of small random systems, by trying every combination of sides with sympy; and single
loops worked by hand.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import product

import pytest
import sympy
from hypothesis import given, settings
from hypothesis import strategies as st

from countershaft.mechanics import rolling
from countershaft.mechanics.rolling import Roller, Rolling, rolling_ways


def roller_of(pivot: int, base: int, pull: dict[int, int], sense: int, efficiency: Fraction) -> Roller:
    """A roller by its efficiency."""
    return Roller(pivot, base, pull, sense, efficiency.numerator, efficiency.denominator)


def forces(rollers: list[Roller], way: Rolling) -> tuple[Fraction, ...]:
    """The forces y of an answer, as fractions."""
    return tuple(
        Fraction(roller.step(inward)[1] * number, way.shared)
        for roller, inward, number in zip(rollers, way.inward, way.numbers, strict=True)
    )


def by_trying_all(rollers: list[Roller]) -> set[tuple[Fraction, ...]]:
    """Every consistent answer, from the equations written afresh for every combination of sides."""
    found = set()
    size = len(rollers)
    for sides in product((False, True), repeat=size):
        factors = [Fraction(*roller.step(inward)[:2]) for roller, inward in zip(rollers, sides, strict=True)]
        matrix = sympy.Matrix(
            size,
            size,
            lambda q, r, factors=factors: (
                rollers[q].pivot * (q == r)
                + rollers[q].pull.get(r, 0)
                * (sympy.Rational(factors[r].numerator, factors[r].denominator) - 1)
            ),
        )
        if matrix.det() == 0:
            continue
        y = [Fraction(str(value)) for value in matrix.LUsolve(sympy.Matrix([one.base for one in rollers]))]
        powers = [value * roller.sense for value, roller in zip(y, rollers, strict=True)]
        if all(power >= 0 if inward else power <= 0 for power, inward in zip(powers, sides, strict=True)):
            found.add(tuple(y))
    return found


@st.composite
def systems(draw: st.DrawFn) -> list[Roller]:
    size = draw(st.integers(1, 4))
    pulls = st.dictionaries(st.integers(0, size - 1), st.integers(-60, 60).filter(bool))
    return [
        roller_of(
            draw(st.integers(1, 5)),
            draw(st.integers(-4, 4)),
            draw(pulls),
            draw(st.sampled_from([1, -1])),
            draw(st.sampled_from([Fraction(9, 10), Fraction(19, 20), Fraction(49, 50), Fraction(1)])),
        )
        for _ in range(size)
    ]


@settings(max_examples=150)
@given(systems())
def test_every_answer_is_found_and_no_other(rollers: list[Roller]) -> None:
    """Strong feedback makes none, one or several answers; all are found."""
    found = rolling_ways(rollers)
    assert found.complete
    answers = [forces(rollers, way) for way in found.ways]
    assert len(set(answers)) == len(answers)
    assert set(answers) == by_trying_all(rollers)


def test_a_wedge_has_two_answers() -> None:
    """y = −1 − 20·(s − 1)·y: outward s = 9/10 gives y = 1, and inward s = 10/9 gives y = −9/29.

    With the sense −1, y = 1 is power going out, and y = −9/29 is power coming in; both agree with their side.
    """
    wedge = [roller_of(1, -1, {0: 20}, -1, Fraction(9, 10))]
    assert {forces(wedge, way) for way in rolling_ways(wedge).ways} == {(Fraction(1),), (Fraction(-9, 29),)}


def test_a_mesh_without_power_counts_once() -> None:
    """The second mesh carries nothing: both of its sides agree, and it is one answer."""
    rollers = [roller_of(1, 1, {}, 1, Fraction(9, 10)), roller_of(1, 0, {0: 0}, 1, Fraction(9, 10))]
    assert [forces(rollers, way) for way in rolling_ways(rollers).ways] == [(1, 0)]


def test_a_search_that_gives_up_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two loops that feed each other a hundredfold need more parts than one."""
    loops = [
        roller_of(1, 1, {0: 100, 1: -90}, 1, Fraction(9, 10)),
        roller_of(1, 1, {0: 80}, -1, Fraction(9, 10)),
    ]
    assert rolling_ways(loops).complete
    monkeypatch.setattr(rolling, "_MOST_PARTS", 1)
    assert not rolling_ways(loops).complete
