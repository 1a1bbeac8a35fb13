"""Choosing a selective part.  Expected values: by hand, an exhaustive search, and invented demo facts (consistency)."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.planning.selective import choose


def decimals(*texts: str) -> list[Decimal]:
    """Decimals from their texts."""
    return [Decimal(text) for text in texts]


TABLE = decimals("1.50", "1.65", "1.80", "1.95", "2.10", "2.25", "2.40")


def chosen(needed: str, at_hand: list[Decimal] | None = None):  # type: ignore[no-untyped-def]  # short in tests
    """Choose from the table above for a window of 0.25 to 0.50 around 0.375."""
    return choose(
        needed=Decimal(needed),
        goal=Decimal("0.375"),
        lower=Decimal("0.25"),
        upper=Decimal("0.50"),
        table=TABLE,
        at_hand=TABLE if at_hand is None else at_hand,
    )


def test_the_nearest_size_and_the_gap_it_leaves() -> None:
    """By hand: 2.085 is needed, 2.10 is nearest and leaves 0.375 + 2.085 - 2.10 = 0.36."""
    found = chosen("2.085")
    assert (found.size, found.gap, found.inside) == (Decimal("2.10"), Decimal("0.360"), True)


def test_a_size_far_off_the_table_is_no_choice() -> None:
    """More than half a step beyond the end gives the direction and no size."""
    found = chosen("5.43")
    assert (found.size, found.off_table) == (None, "thicker")
    assert "a part is missing, or something is not seated" in found.why
    assert chosen("1.20").off_table == "thinner"


def test_half_a_step_beyond_the_end_rounds_to_the_end() -> None:
    """2.47 is within half a step of 2.40."""
    assert chosen("2.47").size == Decimal("2.40")


def test_half_a_step_is_the_last_that_rounds() -> None:
    """Steps of 0.15: 0.075 beyond either end still rounds, a thousandth more is off the table."""
    assert (chosen("2.475").size, chosen("2.476").off_table) == (Decimal("2.40"), "thicker")
    assert (chosen("1.425").size, chosen("1.424").off_table) == (Decimal("1.50"), "thinner")


def test_of_two_equally_near_the_thinner_goes_in() -> None:
    """2.175 lies midway between 2.10 and 2.25; the thinner leaves the gap open."""
    assert chosen("2.175").size == Decimal("2.10")
    assert chosen("2.175", decimals("2.25", "2.10")).size == Decimal("2.10")


def test_the_shelf_decides_and_a_better_size_is_named() -> None:
    """With only 1.95 at hand the gap is 0.51, outside; nothing is chosen and 2.10 is named to order."""
    found = chosen("2.085", decimals("1.95"))
    assert (found.size, found.gap, found.inside, found.order) == (
        None,
        Decimal("0.510"),
        False,
        Decimal("2.10"),
    )
    assert "not on the shelf" in found.why


def test_an_empty_shelf_names_what_to_order() -> None:
    """Nothing at hand still says what comes nearest."""
    found = chosen("2.085", [])
    assert (found.size, found.order) == (None, Decimal("2.10"))


@given(st.decimals("1.43", "2.47", places=3), st.lists(st.sampled_from(TABLE), unique=True, min_size=1))
def test_nothing_at_hand_comes_nearer(needed: Decimal, at_hand: list[Decimal]) -> None:
    """Against every size at hand: none leaves a gap nearer to the goal."""
    found = chosen(str(needed), at_hand)
    assert found.gap is not None
    distances = [abs(needed - size) for size in at_hand]
    assert abs(found.gap - Decimal("0.375")) == min(distances)
    assert (found.size is not None) == (Decimal("0.25") <= found.gap <= Decimal("0.50"))


def test_a_stranger_on_the_shelf_is_refused() -> None:
    """A size that the table does not hold is a slip."""
    with pytest.raises(OutOfRange, match="not in the table"):
        chosen("2.085", decimals("2.11"))


def off_centre(needed: str, at_hand: list[Decimal]):  # type: ignore[no-untyped-def]  # short in tests
    """Choose for a window of 0.25 to 0.50 with its goal near the lower end."""
    return choose(
        needed=Decimal(needed), goal=Decimal("0.27"), lower=Decimal("0.25"), upper=Decimal("0.50"),
        table=TABLE, at_hand=at_hand,
    )  # fmt: skip


def test_a_size_that_stays_inside_goes_before_a_nearer_one_outside() -> None:
    """By hand: 2.035 needed; 2.10 leaves 0.205, outside; 1.95 is farther off (0.085) and leaves 0.355, inside."""
    found = off_centre("2.035", TABLE)
    assert (found.size, found.gap, found.order) == (Decimal("1.95"), Decimal("0.355"), None)
    found = off_centre("2.035", decimals("2.10"))
    assert (found.size, found.inside, found.order) == (None, False, Decimal("1.95"))
    assert found.why.endswith("1.95 mm would stay inside (0.355 mm); it is not on the shelf.")


@given(st.decimals("1.43", "2.47", places=3), st.lists(st.sampled_from(TABLE), unique=True, min_size=1))
def test_what_can_stay_inside_does(needed: Decimal, at_hand: list[Decimal]) -> None:
    """Against every size at hand: one is chosen exactly when one of them leaves a gap inside the window."""
    found = off_centre(str(needed), at_hand)
    gaps = [Decimal("0.27") + needed - size for size in at_hand]
    assert (found.size is not None) == any(Decimal("0.25") <= gap <= Decimal("0.50") for gap in gaps)


def test_a_goal_outside_its_window_is_refused() -> None:
    """A slip of the file is said, not rounded away."""
    with pytest.raises(OutOfRange, match=r"goal 0\.6 mm does not lie inside 0\.25 to 0\.50 mm"):
        choose(needed=Decimal(2), goal=Decimal("0.6"), lower=Decimal("0.25"), upper=Decimal("0.50"), table=TABLE,
               at_hand=TABLE)  # fmt: skip
