"""What a table reaches.  Expected values: by hand, and by trying all sizes."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from countershaft.planning.reach import beyond, no_step, shown
from countershaft.planning.shelf import Family, Gap, Term

STEPS = st.lists(st.integers(1, 40), min_size=1, max_size=5, unique=True).map(sorted)


@given(st.lists(STEPS, min_size=1, max_size=3), st.integers(-60, 120), st.integers(1, 8))
def test_a_window_between_steps_is_found_by_trying_all(
    tables: list[list[int]], rest: int, width: int
) -> None:
    families = {
        f"p{number}": Family(f"f{number}", tuple(Fraction(size, 10) for size in table))
        for number, table in enumerate(tables)
    }
    terms = tuple(Term(f"p{number}", Fraction((-1) ** number)) for number in range(len(tables)))
    lower = Fraction(1, 7)
    gap = Gap("g", Fraction(rest, 10), 0.0, terms, lower, lower + Fraction(width, 50), lower)
    sums = [
        gap.rest + sum(term.factor * size for term, size in zip(terms, sizes, strict=True))
        for sizes in product(*(families[term.place].table for term in terms))
    ]
    found = no_step(gap, families)
    if any(gap.lower <= one <= gap.upper for one in sums):
        assert found is None
        return
    assert found is not None
    assert found.below == max((one for one in sums if one < gap.lower), default=None)
    assert found.above == min((one for one in sums if one > gap.upper), default=None)


def test_two_shims_together_that_are_out_of_reach() -> None:
    """Two shims of at most 1.2 + 0.05 take 2.5 of 3.0, and 0.2 is wanted: 0.5 stays at least."""
    family = Family("shim", (Fraction(1), Fraction(11, 10), Fraction(12, 10)))
    terms = (Term("left"), Term("right"))
    gap = Gap(
        "total", Fraction(3), 0.0, terms, Fraction(1, 10), Fraction(3, 10), Fraction(2, 10), ("a cup is off",)
    )
    found = beyond(gap, {"left": family, "right": family})
    assert found is not None
    assert (found.direction, found.needed, found.suspects) == ("out of reach", None, ("a cup is off",))
    assert found.why.startswith("total: the tables leave 0.5 to 1.1, and 0.2 is wanted.")


def test_lengths_are_shown_without_idle_zeros() -> None:
    texts = [shown(Fraction(text)) for text in ("-0.07", "2.10", "-0.00001", "10", "2.0955")]
    assert texts == ["−0.07", "2.1", "0", "10", "2.0955"]
