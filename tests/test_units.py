"""Quantities.

Expected values: exact definitions (inch 25.4 mm, pound-force 4.4482216152605 N, US gallon 231 cubic inches; from
memory of NIST SP 811, appendix B), fixed points of the Fahrenheit scale, and identity of print and read.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft import units
from countershaft.errors import QuantityError
from countershaft.units import KINDS, UNITS, Quantity, convert, decimals, meanings, read, show

INCH = Fraction("25.4")
POUND_FORCE = Fraction("4.4482216152605")
PSI = POUND_FORCE / (INCH / 1000) ** 2
GALLON = 231 * (INCH / 1000) ** 3


@pytest.mark.parametrize(
    ("source", "target", "factor"),
    [
        ("in", "mm", INCH),
        ("thou", "µm", INCH),
        ("m", "in", 1000 / INCH),
        ("lbf", "N", POUND_FORCE),
        ("lbf·ft", "N·m", POUND_FORCE * 12 * INCH / 1000),
        ("lbf·in", "N·m", POUND_FORCE * INCH / 1000),
        ("psi", "kPa", PSI / 1000),
        ("bar", "kPa", Fraction(100)),
        ("MPa", "psi", 1_000_000 / PSI),
        ("US qt", "L", GALLON * 1000 / 4),
        ("US gal/min", "L/min", GALLON * 1000),
        ("mph", "km/h", 12 * 5280 * INCH / 1_000_000),
        ("lb", "kg", Fraction("0.45359237")),
        ("turns", "°", Fraction(360)),
        ("h", "s", Fraction(3600)),
        ("ksi", "psi", Fraction(1000)),
        ("GPa", "MPa", Fraction(1000)),
        ("US gal/min", "in³/min", Fraction(231)),
        ("L/min", "mL/min", Fraction(1000)),
        ("lbf/in", "N/mm", POUND_FORCE / INCH),
        ("lb/ft³", "kg/m³", Fraction("0.45359237") / (12 * INCH / 1000) ** 3),
        ("µin/in·°F", "µm/m·K", Fraction(9, 5)),
    ],
)
def test_factors_are_those_of_the_definitions(source: str, target: str, factor: Fraction) -> None:
    assert convert(1, source, target) == float(factor)
    assert convert(factor, target, source) == pytest.approx(1.0, rel=1e-15)


@pytest.mark.parametrize(("column", "pascal"), [("inHg", 3386.389), ("mmHg", 133.322387415)])
def test_a_column_of_mercury_presses_as_the_tables_say(column: str, pascal: float) -> None:
    """Conventional mercury: NIST SP 811, appendix B.8 (from memory), to the digits printed there."""
    assert convert(1, column, "kPa") * 1000 == pytest.approx(pascal, rel=2e-6)


@pytest.mark.parametrize(("fahrenheit", "celsius"), [("32", 0.0), ("212", 100.0), ("-40", -40.0)])
def test_temperatures_have_their_fixed_points(fahrenheit: str, celsius: float) -> None:
    """Ice, steam, and the point at which both scales meet."""
    assert convert(Decimal(fahrenheit), "°F", "°C") == celsius
    assert convert(celsius, "°C", "°F") == float(fahrenheit)


@given(
    st.sampled_from(sorted(UNITS)),
    st.decimals(-9999, 9999, places=3),
    st.integers(0, 3),
)
def test_printed_and_read_is_the_same(unit: str, value: Decimal, places: int) -> None:
    """Every symbol, every figure, with its digits."""
    typed = Quantity(value.quantize(Decimal(1).scaleb(-places)), unit)
    again = read(str(typed), kind=typed.kind)
    assert (str(again.value), again.unit) == (str(typed.value), typed.unit)
    assert again.resolution == Decimal(1).scaleb(-places)


@given(st.sampled_from(sorted(KINDS)), st.floats(-1e6, 1e6), st.data())
def test_there_and_back_is_the_same(kind: str, value: float, data: st.DataObject) -> None:
    """Any two units of one kind."""
    one, other = (data.draw(st.sampled_from(KINDS[kind])) for _ in range(2))
    assert convert(convert(value, one, other), other, one) == pytest.approx(value, rel=1e-12, abs=1e-9)


@given(st.sampled_from(sorted(KINDS)), st.integers(-999_999, 999_999), st.integers(0, 4), st.data())
def test_there_and_back_keeps_the_printed_digits(
    kind: str, steps: int, places: int, data: st.DataObject
) -> None:
    """A printed figure, converted and converted back, prints the same."""
    one, other = (data.draw(st.sampled_from(KINDS[kind])) for _ in range(2))
    figure = Decimal(steps).scaleb(-places)
    back = convert(convert(figure, one, other), other, one)
    assert float(show(back, one, digits=places).removesuffix(one)) == float(figure)


@pytest.mark.parametrize(
    ("typed", "read_as"),
    [
        ("0,36 mm", "0.36 mm"),
        ("−0.5 °", "-0.5 °"),
        ('0.014"', "0.014 in"),
        ("14thou", "14 thou"),
        ("24 Nm (18 ft-lb)", "24 N·m (18 lbf·ft)"),
        ("0.15 mm (0.006 in)", "0.15 mm (0.006 in)"),
        (" 5 um ", "5 µm"),
        ("3 Ω", "3 Ω"),
        (".014 in", "0.014 in"),
        ("0,360 mm", "0.360 mm"),
        ("12,50 mm", "12.50 mm"),
        ("1,234.5 psi", "1234.5 psi"),
        ("1.234,5 psi", "1234.5 psi"),
        ("1,234,567 N", "1234567 N"),
        ("-1,234.5 psi", "-1234.5 psi"),
        ("80 °C (176 °F)", "80 °C (176 °F)"),
    ],
)
def test_what_people_type_is_understood(typed: str, read_as: str) -> None:
    assert str(read(typed)) == read_as


@pytest.mark.parametrize(
    ("typed", "kind", "words"),
    [
        ("", None, "is no figure; expected a number with its unit"),
        ("1.2.3 mm", None, "is no known unit|is no figure"),
        ("1,2,3 mm", None, "is no figure"),
        ("1,234.567.8 mm", None, "is no figure"),
        ("12.34,567.8 mm", None, "is no figure"),
        ("5 mm (1.2.3 in)", None, "'1.2.3' in '5 mm \\(1.2.3 in\\)' is no number"),
        ("1,234 psi", None, "'1,234 psi' can be 1.234 psi or 1234 psi. Type the one that is meant"),
        ("25,402 mm", "length", "can be 25.402 mm or 25402 mm"),
        ("-1,234 N", None, "can be -1.234 N or -1234 N"),
        ("1,234 psi (1,234 psi)", None, "can be 1.234 psi"),
        ("80 °C (170 °F)", None, "the two units disagree; 170 °F is 76.67 °C, not 80"),
        ("0.36", "length", "'0.36' has no unit; expected one of mm, µm, m, in, thou"),
        ("5 furlongs", None, "'furlongs' in '5 furlongs' is no known unit"),
        ("5 kPa", "torque", "which measures pressure; expected torque in N·m, lbf·ft, lbf·in"),
        ("0.15 mm (0.060 in)", "length", "the two units disagree; 0.060 in is 1.524 mm, not 0.15"),
        ("5 mm (5 kPa)", None, "cannot be compared"),
        ("5 mm (5 kPa)", "length", "which measures pressure; expected length"),
    ],
)
def test_what_cannot_be_read_is_said(typed: str, kind: str | None, words: str) -> None:
    with pytest.raises(QuantityError, match=words):
        read(typed, kind=kind)


@pytest.mark.parametrize("typed", ["0.35 mm (0.014 in)", "0.36 mm (0.014 in)", "24 N·m (18 lbf·ft)"])
def test_two_units_may_differ_by_their_rounding(typed: str) -> None:
    """By hand: 0.014 in is 0.3556 mm, its digit half a thou or 0.0127 mm wide either way; 18 lbf·ft is 24.4 N·m."""
    assert read(typed).also_value is not None


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("1,234 psi (85.1 bar)", "1234 psi (85.1 bar)"), ("1,234 mm (0.04858 in)", "1.234 mm (0.04858 in)")],
)
def test_a_second_unit_settles_a_doubtful_comma(typed: str, meant: str) -> None:
    """By hand: 1234 psi are 85.08 bar, 1.234 mm are 0.04858 in."""
    assert str(read(typed)) == meant


@given(st.integers(1, 999), st.integers(0, 999), st.sampled_from(sorted(UNITS)))
def test_a_doubtful_comma_keeps_both_meanings(head: int, tail: int, unit: str) -> None:
    """A comma before three digits is asked about, never guessed."""
    few, many = meanings(f"{head},{tail:03} {unit}")
    assert (str(few), str(many)) == (f"{head}.{tail:03} {unit}", f"{head}{tail:03} {unit}")


def test_figures_are_printed_with_their_digits() -> None:
    assert (show(0.355, "mm", digits=2), show(Decimal("1.5"), "", digits=3)) == ("0.35 mm", "1.500")
    assert (decimals(Decimal("1.80")), decimals(Decimal("1E+2"))) == (2, 0)


def test_figures_of_one_unit_need_no_library(monkeypatch: pytest.MonkeyPatch) -> None:
    """The heavy units library is not asked while units are alike."""

    def never() -> None:
        raise AssertionError("loaded")

    monkeypatch.setattr(units, "_registry", never)
    assert read("0.35 mm").to("mm") == 0.35
    assert convert(Decimal(32), "°F", "°C") == 0.0
