"""Printed tables and bands by turns.  Expected values: by hand, and choosing the same size without the table."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.planning.gap_fits import Measured
from countershaft.planning.selective import choose
from countershaft.planning.size_tables import Row, band_by_turns, read_table, table_of_sizes

SIZES = (("A", "1.8"), ("B", "2.0"), ("C", "2.3"))


def rows() -> tuple[Row, ...]:
    """The table that three sizes make, with 1.8 in place and 0.4 to aim at."""
    return table_of_sizes(
        [(code, Fraction(size)) for code, size in SIZES], trial=Fraction("1.8"), goal=Fraction("0.4")
    )


@given(st.integers(310, 1040))
def test_a_table_says_the_size_that_is_chosen_without_it(thousandths: int) -> None:
    """Readings on the edge of two rows aside, where both sizes are equally near."""
    reading = Fraction(thousandths, 1000)
    if any(reading in {row.low, row.high} for row in rows()):
        return
    row = read_table(rows(), Measured(reading)).row
    sizes = [Decimal(size) for _, size in SIZES]
    needed = Decimal("1.8") + Decimal(thousandths) / 1000 - Decimal("0.4")
    chosen = choose(
        needed=needed, goal=Decimal("0.4"), lower=Decimal(-9), upper=Decimal(9), table=sizes, at_hand=sizes
    )
    assert row is not None
    assert row.size == Fraction(chosen.size or 0)


def test_a_reading_near_an_edge_names_both_rows() -> None:
    """0.495 with u = 0.005, edge at 0.500: 84 % and 16 % by the normal table."""
    found = read_table(rows(), Measured(Fraction("0.495"), 0.005))
    assert [(code, round(chance, 2)) for code, chance in found.chances] == [("A", 0.84), ("B", 0.16)]
    assert found.why == "0.495 mm belongs to A. It could be B as well: read again, or use a finer instrument."


def test_beyond_and_between() -> None:
    far = read_table(rows(), Measured(Fraction("1.2")), suspects=("the ring is not seated",))
    assert (far.row, far.suspects) == (None, ("the ring is not seated",))
    assert far.why.startswith("1.2 mm lies beyond the table, 0.3 to 1.05 mm.")
    holed = (rows()[0], rows()[2])
    assert "a line may be missing" in read_table(holed, Measured(Fraction("0.6"))).why


def test_a_band_by_turns() -> None:
    """2.5 of the band's end at 1.25 and a lever of 0.8: 2.5 turns; 2.6 would be 2.6, set to 2 5/8."""
    found = band_by_turns(Fraction("2.5"), pitch=Fraction("1.25"), ratio=Fraction("0.8"))
    assert (found.turns, found.off) == (Fraction(5, 2), 0)
    other = band_by_turns(Fraction("2.6"), pitch=Fraction("1.25"), ratio=Fraction("0.8"))
    assert (other.turns, other.clearance) == (Fraction(21, 8), Fraction("2.625"))
    assert other.standard == pytest.approx(0.02)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (lambda: read_table([], Measured(Fraction(1))), "the table has no rows"),
        (lambda: read_table([Row(Fraction(2), Fraction(1), "X", Fraction(1))], Measured(Fraction(1))), "swap the two"),
        (lambda: read_table([rows()[0], rows()[0]], Measured(Fraction(1))), "rows A and A overlap"),
        (lambda: table_of_sizes([("A", Fraction(1))], trial=Fraction(1), goal=Fraction(1)), "two sizes or more"),
        (lambda: band_by_turns(Fraction(0), pitch=Fraction(1)), "must be above zero"),
    ],
)  # fmt: skip
def test_slips_are_refused(asked: Callable[[], object], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        asked()
