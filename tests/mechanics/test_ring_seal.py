"""O-rings in their glands.

Expected: a ring of constant volume as the least that a section can lose (a second route), and bounds.  Published
values stand in tests/published/test_parts_condition.py.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.mechanics.ring_seal import ORing, SealGland, seal_fit, seal_range, section_loss

RING = ORing(50e-3, 3.53e-3)
GLAND = SealGland(51e-3, 2.9e-3, 4.8e-3)


@given(st.floats(0, 0.24), st.floats(0, 0.01))
def test_more_stretch_makes_a_thinner_section(stretch: float, more: float) -> None:
    assert 0 <= section_loss(stretch) <= section_loss(stretch + more) < 0.13


@pytest.mark.parametrize("stretch", [0.01, 0.02, 0.03, 0.05, 0.1, 0.2])
def test_the_rule_loses_no_less_than_constant_volume_would(stretch: float) -> None:
    constant = 1 - (1 + stretch) ** -0.5
    assert constant <= section_loss(stretch) <= constant + 0.02


def test_the_two_branches_meet() -> None:
    assert section_loss(0.03) == pytest.approx(section_loss(0.0300001), abs=2e-5)


@given(st.floats(1.01, 1.1))
def test_every_direction(more: float) -> None:
    base = seal_fit(RING, GLAND)
    thicker = seal_fit(replace(RING, section=RING.section * more), GLAND)
    assert thicker.squeeze > base.squeeze
    assert thicker.fill == pytest.approx(base.fill * more**2)
    deeper = seal_fit(RING, replace(GLAND, room=GLAND.room * more))
    assert deeper.squeeze < base.squeeze
    assert deeper.fill == pytest.approx(base.fill / more)
    wider = seal_fit(RING, replace(GLAND, seat=GLAND.seat * more))
    assert wider.squeeze < base.squeeze
    assert wider.stretch > base.stretch


def between_(low: float, high: float) -> st.SearchStrategy[tuple[float, float, float]]:
    """Least, something between, greatest."""
    return st.lists(st.floats(low, high), min_size=3, max_size=3).map(lambda three: tuple(sorted(three)))


@given(
    between_(49e-3, 51e-3),
    between_(3.4e-3, 3.7e-3),
    between_(50e-3, 52e-3),
    between_(2.7e-3, 3e-3),
    between_(4.5e-3, 5e-3),
)
def test_what_lies_between_the_limits_lies_in_the_range(
    inside: tuple[float, float, float],
    section: tuple[float, float, float],
    seat: tuple[float, float, float],
    room: tuple[float, float, float],
    width: tuple[float, float, float],
) -> None:
    least, some, most = (
        (ORing(inside[at], section[at]), SealGland(seat[at], room[at], width[at])) for at in range(3)
    )
    told, one = seal_range((least[0], most[0]), (least[1], most[1])), seal_fit(*some)
    for (low, high), value in (
        (told.squeeze, one.squeeze),
        (told.stretch, one.stretch),
        (told.fill, one.fill),
    ):
        assert low - 1e-4 <= value <= high + 1e-4


def test_what_is_wrong_is_told() -> None:
    assert seal_fit(RING, GLAND).cautions == ()
    loose = seal_fit(RING, replace(GLAND, room=3.6e-3))
    assert loose.squeeze < 0
    assert loose.cautions == ("The ring does not touch the other face: it cannot seal.",)
    assert "may be pinched" in seal_fit(RING, replace(GLAND, seat=49e-3)).cautions[0]
    assert "more volume than its gland" in seal_fit(RING, replace(GLAND, width=3.3e-3)).cautions[0]
    assert seal_fit(RING, GLAND).working[0] == "stretch: 51 mm / 50 mm − 1 = 2 %"


def test_what_is_refused() -> None:
    with pytest.raises(OutOfRange, match=r"stretch of an O-ring is 30 %; expected -5 to 25 %"):
        seal_fit(RING, replace(GLAND, seat=65e-3))
    with pytest.raises(
        OutOfRange, match=r"least room is 2\.9 mm and the greatest 2\.8 mm; expected the least first"
    ):
        seal_range((RING, RING), (GLAND, replace(GLAND, room=2.8e-3)))
    with pytest.raises(OutOfRange, match=r"section of an O-ring is 0 m; expected more than zero"):
        ORing(0.05, 0.0)
