"""Readings as measurements.

Expected figures: JCGM 100:2008 (4.3.7: a half width a gives a/sqrt(3); F.2.2.1: a step d gives d/sqrt(12); 4.3.3: U/k
of a certificate), the inch of exactly 25.4 mm (NIST SP 811), and expansion by L·alpha·dT with 23e-6/K for aluminium
(handbook value, from memory).
"""

from __future__ import annotations

import math
from datetime import date
from decimal import Decimal

import pytest

from countershaft.job.taken import InstrumentUsed, Taken, Warmth
from countershaft.metrology.conformity import Verdict
from countershaft.stages.measuring import computed, doubts, estimated, judged, remedies, warmth_matters

DAY = date(2026, 5, 4)


def figures(*texts: str) -> tuple[Decimal, ...]:
    return tuple(Decimal(text) for text in texts)


def dial(**change: object) -> InstrumentUsed:
    told: dict[str, object] = {
        "tag": "I1",
        "name": "dial 1",
        "kind": "dial indicator",
        "unit": "mm",
        "resolution": "0.01",
        "permitted_error": "0.015",
        "calibrated": date(2026, 1, 1),
        "due": date(2027, 1, 1),
    }
    return InstrumentUsed.model_validate({**told, **change})


def test_the_instrument_of_the_list_brings_its_error_and_zero() -> None:
    taken = Taken(used=dial(zero_offset="0.02"))
    value = estimated(figures("0.36"), "mm", resolution=Decimal("0.01"), to="mm", taken=taken)
    step = 0.01 / math.sqrt(12)
    assert value.mean == pytest.approx(0.34)
    assert value.standard == pytest.approx(math.sqrt(step**2 + step**2 + 0.015**2 / 3))


def test_an_inch_instrument_counts_in_millimetres() -> None:
    taken = Taken(used=dial(unit="in", resolution="0.0005", permitted_error="0.001"))
    value = estimated(figures("0.0140"), "in", resolution=Decimal("0.0005"), to="mm", taken=taken)
    assert value.mean == pytest.approx(0.3556)
    expected = 25.4 * math.sqrt(0.0005**2 / 12 + 0.001**2 / 3)
    assert value.standard == pytest.approx(expected)


def test_a_certificate_joins_as_it_is_stated() -> None:
    taken = Taken(used=dial(permitted_error="0", certificate_u="0.006", certificate_k="2"))
    value = estimated(figures("5.00"), "mm", resolution=Decimal("0.01"), to="mm", taken=taken)
    assert value.standard == pytest.approx(math.hypot(0.01 / math.sqrt(12), 0.003))


def test_a_warm_aluminium_part_is_brought_to_20_degrees() -> None:
    warm = Taken(warmth=Warmth(part_c=Decimal(40), tool_c=Decimal(20), material="aluminium"))
    value = estimated(figures("100.046"), "mm", resolution=Decimal("0.001"), to="mm", taken=warm)
    assert value.mean == pytest.approx(100.046 - 100.046 * 23e-6 * 20, abs=1e-9)
    assert any(line.startswith("brought to 20 °C (aluminium") for line in value.working("mm"))
    assert value.standard > 0.001 / math.sqrt(12)


def test_the_rule_of_the_day_decides() -> None:
    value = estimated(figures("0.07"), "mm", resolution=Decimal("0.01"), to="mm")
    plain = judged(value, lower=None, upper=0.07, unit="mm", digits=2, taken=Taken(rule="plain"))
    guarded = judged(value, lower=None, upper=0.07, unit="mm", digits=2)
    assert (plain.verdict, guarded.verdict) == (Verdict.GOOD, Verdict.AGAIN)
    assert "probable that it conforms" in plain.why


@pytest.mark.parametrize(
    ("typed", "asked"),
    [
        ("0.0140", "inch (0.3556 mm)"),
        ("9.1", "Is it"),
        ("3.6", "a slipped decimal point (0.36 mm)"),
    ],
)
def test_a_slip_is_asked_about_and_an_answer_settles_it(typed: str, asked: str) -> None:
    common = {"resolution": Decimal("0.01"), "on": DAY, "lower": 0.30, "upper": 0.40}
    found = doubts(figures(typed), "mm", taken=None, **common)  # type: ignore[arg-type]  # one dict for both calls
    assert asked in " ".join(found)
    assert doubts(figures(typed), "mm", taken=Taken(sure="measured again"), **common) == ()  # type: ignore[arg-type]


def test_readings_of_one_place_may_not_scatter_beyond_the_instrument() -> None:
    readings = figures("0.36", "0.46", "0.36")
    common = {"resolution": Decimal("0.01"), "taken": Taken(used=dial()), "on": DAY}
    assert "reading 2 (0.46) is 0.1 away" in doubts(readings, "mm", **common)[0]  # type: ignore[arg-type]
    assert doubts(readings, "mm", one_place=False, **common) == ()  # type: ignore[arg-type]


def test_an_instrument_out_of_calibration_is_objected_to_on_the_day_of_the_reading() -> None:
    used = Taken(used=dial(due=date(2026, 5, 1)))
    found = doubts(figures("0.36"), "mm", resolution=Decimal("0.01"), taken=used, on=DAY)
    assert found == (
        "dial 1: its calibration ran out on 2026-05-01, 3 days before. Have it calibrated, or use another.",
    )
    earlier = used.model_copy(update={"on": date(2026, 4, 30)})
    assert doubts(figures("0.36"), "mm", resolution=Decimal("0.01"), taken=earlier, on=DAY) == ()


def test_a_ratio_of_two_readings_is_judged_like_a_reading() -> None:
    """First order (JCGM 100, 5.1.6): relative uncertainties of a quotient add as squares."""
    turns = {
        name: estimated(figures(text), "turns", resolution=Decimal("0.1"), to="turns")
        for name, text in (("in", "10.0"), ("out", "2.5"))
    }
    found = computed(lambda a, b: a / b, turns)
    assert found.mean == pytest.approx(4.0)
    expected = 4 * math.hypot(*(one.standard / one.mean for one in turns.values()))
    assert found.standard == pytest.approx(expected, rel=1e-3)
    assert judged(found, lower=3.5, upper=4.5, unit="", digits=2).verdict is Verdict.GOOD


def test_what_would_decide_names_only_instruments_of_the_shop_that_may_be_used() -> None:
    """Steps of 0.001 true to 0.002 leave U = 2·√(0.001²/12 + 0.002²/3) = 0.0024 for the 0.004 to the limit."""
    value = estimated(figures("0.066"), "mm", resolution=Decimal("0.01"), to="mm", taken=Taken(used=dial()))
    fine = {"resolution": "0.001", "permitted_error": "0.002"}
    shop = (
        dial(),
        dial(tag="I2", name="lever 2", **fine),
        dial(tag="I3", name="lever 3", due=date(2026, 5, 1), **fine),
        dial(tag="I4", name="inch lever", unit="in", resolution="0.00005", permitted_error="0.00008"),
    )
    found = remedies(value, lower=0.02, upper=0.07, unit="mm", on=DAY, shop=shop)
    assert found.instruments == ("lever 2", "inch lever")


@pytest.mark.parametrize(
    ("lower", "upper", "unit", "matters"),
    [
        ("41.95", "41.98", "mm", True),  # 41.98 · 23e-6 · 10 = 0.0097 against a tenth of 0.03
        ("0.30", "0.80", "mm", False),  # an end play
        ("24.0", "26.0", "mm", False),  # 0.006 against 0.2
        ("1.6516", "1.6528", "in", True),
        (None, "80.00", "mm", True),  # 0.018 against 0.01, a step of the last digit
        ("1.90", None, "mm", False),
        ("8.0", "12.0", "Ω", False),
    ],
)
def test_warmth_is_asked_for_where_it_would_move_the_verdict(
    lower: str | None, upper: str | None, unit: str, matters: bool
) -> None:
    """By L·alpha·dT with 23e-6/K and 10 K, beside each case."""
    low, high = (None if one is None else Decimal(one) for one in (lower, upper))
    assert warmth_matters(low, high, unit) is matters


@pytest.mark.parametrize(
    ("typed", "unit", "lower", "upper", "asked"),
    [
        ("9.7", "N·m", 0.8, 1.4, "lbf·in (1.096 N·m)"),  # 1 N·m = 8.8507 lbf·in
        ("1.1", "lbf·in", 7.1, 12.4, "N·m (9.736 lbf·in)"),
        ("87", "bar", 5.0, 7.0, "psi (5.998 bar)"),  # 1 bar = 14.504 psi
        ("240", "kPa", 1550.0, 1750.0, "psi (1655 kPa)"),
        ("10.2", "mm", 0.30, 0.60, "thou (0.2591 mm)"),
        ("0.0173", "mm", 0.30, 0.60, "inch (0.4394 mm)"),
        ("11.2", "in", 0.40, 0.48, "mm (0.4409 in)"),
    ],
)
def test_a_figure_in_another_unit_is_asked_about(
    typed: str, unit: str, lower: float, upper: float, asked: str
) -> None:
    """Factors of NIST SP 811, appendix B: lbf·in 0.1129848 N·m, psi 6.894757 kPa, in 25.4 mm."""
    found = doubts(
        figures(typed), unit, resolution=Decimal("0.1"), taken=None, on=DAY, lower=lower, upper=upper
    )
    assert asked in " ".join(found)


def test_a_figure_that_no_unit_explains_is_asked_about_too() -> None:
    """28 mm taken for inches and turned to mm once more: 28 · 25.4 = 711.2."""
    common = {
        "resolution": Decimal("0.1"),
        "taken": None,
        "on": date(2026, 5, 4),
        "lower": 27.5,
        "upper": 28.5,
    }
    (asked,) = doubts((Decimal("711.2"),), "mm", **common)  # type: ignore[arg-type]
    assert "Was it turned from inch to mm twice (28 mm)?" in asked
    (plain,) = doubts((Decimal("99.9"),), "mm", **common)  # type: ignore[arg-type]
    assert plain == "99.9 mm is far from what may be expected. Correct it, or say that it is so."
    assert doubts((Decimal("35.0"),), "mm", **common) == ()  # type: ignore[arg-type]
