"""Reading what was typed into a sum.

Expected values by hand: exact inches (25.4 mm), the step of the last digit, a ± that is a difference (9 °F are 5 K).
"""

from __future__ import annotations

import pytest

from countershaft.errors import FormError
from countershaft.sums.asked import COUNT, FIGURE, WORD, Asked, Inputs, in_unit, read_inputs, width_in_unit

SIZE = Asked("size", "Size", "length", "mm", "in", "2.00 mm", "0.08 in", measured=True)
WARM = Asked("warm", "Warm", "temperature", "°C", "°F", "60 °C", needed=False, measured=True)
PLAIN = Asked("plain", "Plain", FIGURE, example="0.5", needed=False)
PIECES = Asked("pieces", "Pieces", COUNT, example="3", needed=False)
WAY = Asked("way", "Way", WORD, needed=False, options=(("up", "upward"), ("down", "downward")))
FIELDS = (SIZE, WARM, PLAIN, PIECES, WAY)


def read(*, inch: bool = False, **typed: str) -> Inputs:
    """The fields with what was typed."""
    return read_inputs(FIELDS, {"size": "1 mm", **typed}, inch=inch)


@pytest.mark.parametrize(
    ("typed", "inch", "metres", "half", "step", "kept"),
    [
        ("0,36", False, 0.36e-3, 0, 0.01e-3, "0,36 mm"),
        ("0.014", True, 0.3556e-3, 0, 25.4e-6, "0.014 in"),
        ("0.014 in", False, 0.3556e-3, 0, 25.4e-6, "0.014 in"),
        ("14 thou", False, 0.3556e-3, 0, 25.4e-6, "14 thou"),
        ('0.014"', False, 0.3556e-3, 0, 25.4e-6, '0.014"'),
        ("14.041 ± 0.003 mm", False, 14.041e-3, 3e-6, 1e-6, "14.041 ± 0.003 mm"),
        ("14.041 mm +/- 0.003", False, 14.041e-3, 3e-6, 1e-6, "14.041 mm +/- 0.003"),
        ("14.041±0.003", False, 14.041e-3, 3e-6, 1e-6, "14.041±0.003 mm"),
        ("0.5528 ± 0.0001 in", False, 0.5528 * 25.4e-3, 2.54e-6, 2.54e-6, "0.5528 ± 0.0001 in"),
        ("14.04 mm ± 5 µm", False, 14.04e-3, 5e-6, 10e-6, "14.04 mm ± 5 µm"),
    ],
)
def test_a_length_is_kept_as_it_was_typed(
    typed: str, inch: bool, metres: float, half: float, step: float, kept: str
) -> None:
    one = read(size=typed, inch=inch).given["size"]
    assert one.value == pytest.approx(metres, rel=1e-12)
    assert (one.half_width, one.step) == (pytest.approx(half, abs=1e-15), pytest.approx(step))
    assert one.text == kept


def test_what_was_kept_reads_the_same_in_either_system() -> None:
    kept = read(size="0.36 ± 0.01", warm="140 ± 9 °F", plain="0,5", pieces="3", way="up").typed
    assert kept == {
        "size": "0.36 ± 0.01 mm",
        "warm": "140 ± 9 °F",
        "plain": "0,5",
        "pieces": "3",
        "way": "up",
    }
    assert read_inputs(FIELDS, kept, inch=True).given == read_inputs(FIELDS, kept).given


def test_a_temperature_is_off_by_a_difference() -> None:
    for typed in ("140 ± 9 °F", "60 ± 5 °C", "60 °C ± 5 K"):
        one = read(warm=typed).given["warm"]
        assert (one.value, one.half_width) == (pytest.approx(60), pytest.approx(5))


def test_standard_uncertainty_is_that_of_the_step_and_the_half_width() -> None:
    """A step of 0.01 alone: 0.01/√12; with ± 0.01: √(0.01²/3 + 0.01²/12)."""
    assert read(size="0.36").given["size"].standard == pytest.approx(0.01e-3 / 12**0.5)
    one = read(size="0.36 ± 0.01").given["size"]
    assert one.standard == pytest.approx(1e-3 * (0.01**2 / 3 + 0.01**2 / 12) ** 0.5)
    assert one.bound == pytest.approx(0.015e-3)
    assert read(plain="0.5").given["plain"].standard == 0.0
    assert read(plain="0.5 ± 0.1").given["plain"].standard == pytest.approx(0.1 / 3**0.5)


@pytest.mark.parametrize(
    ("name", "typed", "words"),
    [
        ("size", "", "is needed; type it, such as 2.00 mm."),
        ("size", "much", "'much' is no figure; expected a number with its unit"),
        ("size", "3 psi", "is in psi, which measures pressure; expected length in mm"),
        ("size", "1,234", "can be 1.234 mm or 1234 mm. Type the one that is meant."),
        ("size", "1 ± 2 ± 3", "has more than one ±"),
        ("size", "1 ±", "needs a figure on both sides of its ±"),
        ("plain", "± 0.1", "needs a figure on both sides of its ±"),
        ("size", "1 ± -2 mm", "is below zero"),
        ("size", "1 ± wide", "is no known unit|is no figure"),
        ("plain", "0.5 mm", "is no plain figure; type one such as 0.5."),
        ("plain", "--", "is no plain figure"),
        ("pieces", "2.5", "is no whole number above zero"),
        ("pieces", "0", "is no whole number above zero"),
        ("pieces", "2 ± 1", "is no whole number above zero"),
        ("way", "sideways", "'sideways' is none of up, down."),
        ("wrong", "1", "there is no field 'wrong' here; the fields are size, warm"),
    ],
)
def test_what_cannot_be_read_is_named_at_its_field(name: str, typed: str, words: str) -> None:
    with pytest.raises(FormError) as told:
        read(**{name: typed})
    assert set(told.value.fields) == {name}
    with pytest.raises(FormError, match=words):
        raise told.value


def test_all_faults_are_told_at_once() -> None:
    with pytest.raises(FormError) as told:
        read(size="x", warm="y", pieces="z")
    assert set(told.value.fields) == {"size", "warm", "pieces"}


def test_figures_go_back_into_any_unit_of_their_kind() -> None:
    assert in_unit(0.0254, "length", "in") == pytest.approx(1)
    assert in_unit(60.0, "temperature", "°F") == pytest.approx(140)
    assert width_in_unit(5.0, "temperature", "°F") == pytest.approx(9)
    assert in_unit(2.5, FIGURE, "") == 2.5
