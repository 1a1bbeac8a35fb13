"""Every bench sum through its typed fields.

Expected values are those of tests/published/parts_condition.json, each with its source there: the leak of T11-01, the
hole of T11-06, copper of COPPER-02, the springs of SPRING-01 and T08-04, the press fit of T05-08, heating of T05-10
(ours), the seals of SEAL-01 and SEAL-03.  Budgets are checked against draws of the inputs (JCGM 101).
"""

from __future__ import annotations

import math
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import FormError, Unknown
from countershaft.sums.answer import Figure, Worked, digits_of, key_of, printed, work_out
from countershaft.sums.asked import COUNT, FIGURE, WORD
from countershaft.sums.register import SUMS, answering, find_sum
from countershaft.units import KINDS, UNITS


def done(name: str, **typed: str) -> Worked:
    """A sum with what was typed."""
    return work_out(find_sum(name), typed)


def figure(worked: Worked, key: str) -> Figure:
    """One figure of an answer."""
    return next(one for one in worked.outcome.figures if one.key == key)


def value(worked: Worked, key: str, unit: str) -> float:
    """One figure in a unit."""
    return figure(worked, key).within(unit)[0]


LEAK = {
    "bore": "14.030 mm",
    "inner": "14.000 mm",
    "length": "8.0 mm",
    "pressure": "15 bar",
    "viscosity": "12 mPa·s",
}
COIL = {"wire": "5 mm", "outer": "39.6 mm", "active_coils": "9.5", "total_coils": "11.5", "ends": "ground",
        "free": "105.8 mm", "length": "88.5 mm"}  # fmt: skip
DISC = {
    "outer": "12.5 mm",
    "inner": "6.2 mm",
    "thickness": "0.7 mm",
    "height": "1.0 mm",
    "pressed": "0.23 mm",
}
PRESS = {"shaft": "25.020 mm", "bore": "25.000 mm", "hub_outer": "50 mm", "length": "20 mm", "hub_metal": "steel",
         "shaft_metal": "steel", "hub_bears": "350 MPa", "hub_modulus": "210 GPa", "shaft_modulus": "210 GPa",
         "friction": "0.1", "friction_most": "0.2"}  # fmt: skip
WARM = {"shaft": "60.060 mm", "bore": "60.000 mm", "hub_metal": "steel", "shaft_metal": "steel", "ceiling": "250 °C",
        "hub_expansion": "11 µm/m·K"}  # fmt: skip
RING = {"inside": "50 mm", "section": "2 mm", "seat": "50 mm", "room": "1.6 mm", "width": "3.2 mm"}
VACUUM = {"held": "58 kPa", "blocked": "68 kPa", "good": "80 %", "bad": "70 %"}
WEAR = {
    "size": "14.041 ± 0.003 mm",
    "new": "14.000 mm",
    "new_most": "14.018 mm",
    "limit": "14.050 mm",
    "wears": "grows",
}


@pytest.mark.parametrize(
    ("name", "typed", "key", "unit", "expected", "off"),
    [
        ("leak", LEAK, "flow_middle", "mL/min", 11.597, 0.02),
        ("orifice", {"diameter": "0.1 in", "pressure": "100 psi", "coefficient": "0.63", "density": "1000 kg/m³"},
         "flow", "US gal/min", 1.89, 0.0189),
        ("winding-heat", {"cold": "0.200 ohm", "cold_temperature": "20 °C", "hot": "0.210 ohm"}, "temperature", "°C",
         32.7, 0.05),
        ("coil-spring", COIL, "rate", "N/mm", 16.181, 0.0005),
        ("coil-spring", COIL, "load", "N", 280.0, 0.5),
        ("disc-spring", DISC, "load", "N", 673.0, 0.5),
        ("press-fit", PRESS, "force_least", "N", 9900.0, 10.0),
        ("press-fit", PRESS, "hoop", "MPa", 105.0, 0.5),
        ("warm-fit", WARM, "temperature", "°C", 202.0, 0.5),
        ("o-ring", RING, "squeeze", "%", 20.0, 0.01),
    ],
)  # fmt: skip
def test_published_figures_through_the_fields(
    name: str, typed: dict[str, str], key: str, unit: str, expected: float, off: float
) -> None:
    assert value(done(name, **typed), key, unit) == pytest.approx(expected, abs=off)


def test_resistance_is_brought_to_20_degrees() -> None:
    """IEC 60028: 0.393 % of that at 20 °C for each kelvin, so 1.1572 times at 60 °C."""
    worked = done("winding", reading="6.1 Ω", temperature="140 °F", leads="0.2 ohm")
    assert value(worked, "resistance", "Ω") == pytest.approx(5.9 / 1.1572)
    elsewhere = done("winding", reading="5.9", temperature="60", wanted="25 °C")
    assert value(elsewhere, "resistance", "Ω") == pytest.approx(5.9 * 1.01965 / 1.1572)
    assert figure(elsewhere, "resistance").label == "Resistance at 25 °C"


def test_wear_is_told_in_the_unit_of_the_instrument() -> None:
    metric = done("wear", **WEAR)
    assert metric.outcome.verdict == "good"
    assert value(metric, "left", "mm") == pytest.approx(0.009)
    assert value(metric, "used", "%") == pytest.approx(100 * 23 / 32)
    inches = done("wear", size="0.5535 in", new="0.5512 in", limit="0.5531 in", wears="grows")
    assert inches.outcome.verdict == "bad"
    assert "lies beyond the limit 0.5531" in inches.outcome.why
    shaft = done("wear", size="9.95", new="9.98", limit="9.90", wears="shrinks")
    assert shaft.outcome.verdict == "good"
    assert value(shaft, "left", "mm") == pytest.approx(0.05)


@pytest.mark.parametrize(
    ("size", "words"),
    [
        (
            "0.5528",
            "0.5528 mm is far from new and worn alike. Is it inch? 14.041 mm? Type the one that is meant.",
        ),
        ("14.041 in", "Is it mm? 0.5528 in?"),
        ("140.41", "Is it decimal point? 14.041 mm?"),
    ],
)
def test_a_size_in_the_wrong_unit_is_asked_about_and_not_judged(size: str, words: str) -> None:
    worked = done("wear", **{**WEAR, "size": size})
    assert worked.outcome.verdict == "measure again"
    assert words in worked.outcome.why


def test_a_quarter_more_clearance_doubles_the_leak() -> None:
    """1.2599 = the cube root of 2, by hand."""
    worked = done("leak-growth", bore="20.1000 mm", inner="20.0000 mm", bore_now="20.12599 mm")
    assert value(worked, "growth", "") == pytest.approx(2.0, rel=2e-3)
    assert value(worked, "most", "") / value(worked, "least", "") == pytest.approx(2.5**2)


def test_vacuum_in_inches_of_mercury() -> None:
    worked = done("vacuum", **VACUUM)
    assert value(worked, "share", "%") == pytest.approx(100 * 58 / 68)
    assert worked.outcome.verdict == "good"
    assert done("vacuum", **{**VACUUM, "held": "12 inHg", "blocked": "20 inHg"}).outcome.verdict == "bad"
    assert done("vacuum", **VACUUM, bench="70 kPa").outcome.verdict == "measure again"


def test_vacuum_as_if_the_hose_blocked_read_more() -> None:
    """58/68 of 84 kPa are 71.6 kPa, by hand; without a share that is good, nothing is judged here."""
    worked = done("vacuum", held="58 kPa", blocked="68 kPa", rated="84 kPa")
    assert value(worked, "vacuum", "kPa") == pytest.approx(58 / 68 * 84)
    assert worked.outcome.verdict == ""
    assert not any("good from" in line for one in worked.outcome.figures for line in one.working)
    assert done("vacuum", held="58", blocked="68", bench="70").outcome.verdict == "measure again"


def test_a_spring_on_the_tester() -> None:
    worked = done("spring-tester", length_1="88.5", load_1="280", length_2="67.5", load_2="620")
    assert value(worked, "rate", "N/mm") == pytest.approx(340 / 21)
    assert value(worked, "free", "mm") == pytest.approx(88.5 + 280 * 21 / 340)


def test_a_stack_of_discs() -> None:
    """T08-07: two in parallel and four in series."""
    worked = done("disc-spring", outer="25", inner="12.2", thickness="1.5", height="2.05", pressed="1.65", nested="2",
                  sets="4", between="0.02", edges="0.03")  # fmt: skip
    assert value(worked, "load", "N") == pytest.approx(5852, abs=0.5)
    assert value(worked, "pressing", "N") == pytest.approx(5852 / 0.95, rel=1e-3)
    assert value(worked, "releasing", "N") == pytest.approx(5852 / 1.05, rel=1e-3)
    assert value(worked, "length", "mm") == pytest.approx(4 * (0.55 + 3.0) - 1.65)


def test_a_warm_length_shrinks_back() -> None:
    """300 mm of aluminium at 30 °C under steel at 30 °C: 300 · 11.5 · 10 µm/m = 34.5 µm, by hand."""
    worked = done("size-at-20", length="300.000", metal="aluminium", temperature="30 °C")
    assert value(worked, "length", "mm") == pytest.approx(300 - 0.0345)
    assert value(worked, "correction", "µm") == pytest.approx(-34.5)


def test_grip_of_a_sleeve_in_a_warm_case() -> None:
    """40 mm and 80 K: 40 · 11.5 · 80 µm/m = 36.8 µm less, by hand."""
    typed = {
        "shaft": "40.040",
        "bore": "40.000",
        "hub_metal": "aluminium",
        "shaft_metal": "steel",
        "ceiling": "150",
    }
    worked = done("warm-fit", **typed, at="100")
    assert value(worked, "left", "µm") == pytest.approx(40 - 36.8)


def test_limits_of_a_bore_and_its_shaft() -> None:
    """40 H7/k6: 40.000 to 40.025 in 40.002 to 40.018, 23 µm of play to 18 µm of grip (ISO 286-2)."""
    worked = done("size-limits", nominal="40 mm", bore="H7", shaft="k6")
    said = {one.key: printed(one, one.metric) for one in worked.outcome.figures}
    assert said == {
        "bore_least": "40.000 mm", "bore_greatest": "40.025 mm", "shaft_least": "40.002 mm",
        "shaft_greatest": "40.018 mm", "fit_loose": "23 µm", "fit_tight": "18 µm",
    }  # fmt: skip
    assert [one.label for one in worked.outcome.figures[4:]] == [
        "Play at the loosest",
        "Grip at the tightest",
    ]
    assert printed(worked.outcome.figures[1], "in") == "1.5758 in"
    alone = done("size-limits", nominal="40 mm", shaft="g6")
    assert [one.key for one in alone.outcome.figures] == ["shaft_least", "shaft_greatest"]
    assert done("size-limits", nominal="40 mm").outcome.remarks


@pytest.mark.parametrize("name", SUMS)
def test_both_systems_are_equal(name: str) -> None:
    """The examples in inches are those in millimetres, rounded: bare figures of either system give nearly the same."""
    one = find_sum(name)
    fields = [field for field in one.fields if field.needed]
    both = [
        work_out(one, {field.name: bare(field.shown(inch=inch)) for field in fields}, inch=inch)
        for inch in (False, True)
    ]
    for metric, inches in zip(*(worked.outcome.figures for worked in both), strict=True):
        assert metric.key == inches.key
        assert metric.budget is not None
        assert inches.budget is not None
        apart = 3 * (metric.budget.expanded + inches.budget.expanded) + 0.02 * abs(metric.value)
        assert metric.value == pytest.approx(inches.value, abs=apart)


def bare(text: str) -> str:
    """An example without its unit, where that is the one of its system."""
    return " ".join(word for word in text.split() if word not in UNITS)


@pytest.mark.parametrize("name", SUMS)
def test_a_sum_says_what_it_is_and_every_figure_opens_its_working(name: str) -> None:
    one = find_sum(name)
    assert one.name == name
    assert one.title
    assert one.source
    assert one.asks.endswith("?")
    worked = work_out(
        one, {field.name: field.example for field in one.fields if field.needed or field.name == "rated"}
    )
    for found in worked.outcome.figures:
        assert found.working
        assert all(unit == "" or unit in UNITS for unit in found.units)
        lines = worked.working(found)
        assert found.expanded is None or any(line.startswith("U = ") for line in lines)
    for field in one.fields:
        assert field.kind in (WORD, FIGURE, COUNT) or field.metric in KINDS[field.kind]
    offered = {found.kind for found in worked.outcome.figures if found.answers}
    assert offered == set(one.answers)
    known = {field.name for field in one.fields}
    assert {field for _, field in one.blame} <= known, "a refusal leads to a field that is there"


def test_a_budget_is_that_of_many_draws() -> None:
    """The first-order budget of a leak beside 20 000 draws of its rectangular inputs; 3 % between the two."""
    worked = done("leak", **{**LEAK, "bore": "14.030 ± 0.001 mm", "inner": "14.000 ± 0.001 mm"})
    told = figure(worked, "flow_middle")
    assert told.budget is not None
    chance = Random(7)

    def drawn() -> float:
        moved = {name: one.value + (2 * chance.random() - 1) * math.sqrt(3) * one.standard
                 for name, one in worked.inputs.given.items()}  # fmt: skip
        found = worked.sum.compute(worked.inputs.moved(moved))
        return next(one.value for one in found.figures if one.key == "flow_middle")

    values = [drawn() for _ in range(20_000)]
    mean = math.fsum(values) / len(values)
    spread = math.sqrt(math.fsum((one - mean) ** 2 for one in values) / len(values))
    assert told.budget.standard == pytest.approx(spread, rel=0.03)


def test_a_cube_that_bends_is_told() -> None:
    """15 µm ± 3 µm of clearance: (18/15)³ is 0.73 more and (12/15)³ 0.49 less, by hand."""
    typed = {**LEAK, "bore": "14.030 ± 0.006 mm", "inner": "14.0000 mm"}
    worked = done("leak", **typed)
    told = figure(worked, "flow_middle")
    assert told.uneven is not None
    up, down = (one / told.value for one in told.uneven)
    bend = 2 * (0.006**2 + 0.0005**2) ** 0.5 / 3**0.5 / 0.03
    assert (up, down) == (
        pytest.approx((1 + bend) ** 3 - 1, rel=0.01),
        pytest.approx(1 - (1 - bend) ** 3, rel=0.01),
    )
    assert worked.working(told)[-1] == (
        "the formula bends: by Bore alone it may be 10 more or 6.3 mL/min less; measure that finer"
    )
    assert (
        figure(done("leak", **{**LEAK, "bore": "14.030 mm", "inner": "14.000 mm"}), "flow_middle").uneven
        is None
    )


def test_a_figure_at_the_end_of_its_range_still_says_how_far_it_may_be_off() -> None:
    """A disc pressed flat: one side of its deflection is beyond it, and the slope comes from the other."""
    worked = done("disc-spring", **{**DISC, "pressed": "0.30 mm"})
    told = figure(worked, "load")
    assert told.expanded is not None
    assert told.expanded > 0.005 * told.value
    held = done("vacuum", held="68.0 kPa", blocked="68.0 kPa", good="80 %")
    assert figure(held, "share").expanded is not None
    with pytest.raises(FormError, match="is off by more than the whole range"):
        done("leak", **{**LEAK, "bore": "14.03 ± 9 mm"})


@pytest.mark.parametrize(
    ("name", "typed", "field", "words"),
    [
        ("leak", {**LEAK, "inner": "14.04 mm"}, "inner", "expected a smaller one"),
        ("leak", {**LEAK, "eccentricity": "1.5"}, "eccentricity", "expected 0 to 1"),
        ("leak", {**LEAK, "inner": "13 mm"}, "bore", "at most 2% of the diameter"),
        ("vacuum", {**VACUUM, "held": "75 kPa"}, "held", "more than the blocked hose"),
        ("vacuum", {**VACUUM, "blocked": "150 kPa"}, "blocked", "all that the atmosphere gives"),
        ("vacuum", {**VACUUM, "good": "60 %"}, "good", "bad below ≤ good from"),
        ("winding", {"reading": "0.1", "temperature": "20", "leads": "0.2"}, "leads", "expected less in the leads"),
        ("winding", {"reading": "5", "temperature": "400"}, "temperature", "expected -50 to 200 °C"),
        ("coil-spring", {**COIL, "outer": "80 mm", "length": "200 mm"}, "length", "expected"),
        ("coil-spring", {**COIL, "wire": "15 mm"}, "outer", "spring index"),
        ("disc-spring", {**DISC, "thickness": "7 mm", "height": "8 mm"}, "reduced", "have flats"),
        ("disc-spring", {**DISC, "pressed": "0.5 mm"}, "pressed", "turns inside out"),
        ("press-fit", {**PRESS, "shaft": "24.9 mm"}, "shaft", "that is play"),
        ("press-fit", {**PRESS, "shaft": "25.3 mm"}, "hub_bears", "make the hub"),
        ("press-fit", {**PRESS, "friction": "0.3"}, "friction", "the least first"),
        ("press-fit", {**PRESS, "hub_outer": "20 mm"}, "hub_outer", "rising order"),
        ("warm-fit", {**WARM, "ceiling": "120 °C"}, "ceiling", "expected at most 120 °C"),
        ("o-ring", {**RING, "seat": "80 mm"}, "seat", "take another ring"),
        ("size-at-20", {"length": "80", "metal": "steel", "temperature": "900 °C"}, "temperature", "within 200 K"),
        ("size-limits", {"nominal": "600 mm", "bore": "H7"}, "nominal", "The tables end there"),
        ("wear", {**WEAR, "limit": "13.9 mm"}, "limit", "is not above the greatest new size"),
    ],
)  # fmt: skip
def test_a_refusal_stands_at_its_field(name: str, typed: dict[str, str], field: str, words: str) -> None:
    with pytest.raises(FormError) as told:
        done(name, **typed)
    assert set(told.value.fields) == {field}
    assert words in told.value.fields[field]


#: What people, children and cats type into a field.
ODD = (
    "0", "-1", "9" * 60, "1e400", "nan", "inf", "±", "5 ±", "± 5", "5 ± 0", "1 ± 9999", "1,234", "½", "٣", "5 psi",
    "-400 °C", "0 %", "120 %", "1000000 in", "0.000001 µm", "3.000", "999999999 GPa", "1/2", "−3", "\x00", " ",
)  # fmt: skip


@given(st.sampled_from(sorted(SUMS)), st.booleans(), st.data())
def test_nothing_that_is_typed_breaks_a_sum(name: str, inch: bool, data: st.DataObject) -> None:
    """An answer is finite, printable and the same when it is typed again; else each fault has its field."""
    typed = {
        field.name: data.draw(st.sampled_from([*([field.shown(inch=inch)] * 6), *ODD]), label=field.name)
        for field in find_sum(name).fields
    }
    try:
        worked = work_out(find_sum(name), typed, inch=inch)
    except FormError as fault:
        told = fault.fields
    else:
        told = {}
    if told:
        assert all(told.values())
        return
    again = work_out(find_sum(name), worked.inputs.typed)
    for one, same in zip(worked.outcome.figures, again.outcome.figures, strict=True):
        assert one.value == same.value
        assert math.isfinite(one.value)
        assert worked.working(one)
        assert all(printed(one, unit) and key_of(one, unit) for unit in one.units)


def test_figures_are_printed_as_finely_as_they_are_known() -> None:
    worked = done("winding", reading="5.9 ± 0.1", temperature="60 ± 5 °C")
    assert printed(figure(worked, "resistance"), "Ω") == "5.10 ± 0.15 Ω"
    assert [digits_of(*one) for one in ((5.1, 0.16), (1234.0, None), (0.0, None), (5.0, 30.0))] == [
        2,
        0,
        0,
        0,
    ]
    assert key_of(figure(worked, "resistance"), "Ω") == "resistance_ohm"
    leak = figure(done("leak", **LEAK), "flow_wall")
    assert [key_of(leak, unit) for unit in leak.units] == ["flow_wall_ml_per_min", "flow_wall_in3_per_min"]


def test_figures_of_another_unit_are_brought_over_in_the_open() -> None:
    worked = done("winding", reading="5.9", temperature="140 °F")
    assert worked.brought == ("Temperature of the winding: 140 °F = 60 °C",)
    assert worked.working(figure(worked, "resistance"))[0] == worked.brought[0]


def test_the_sums_that_answer_a_limit() -> None:
    assert [one.name for one in answering("Ω")] == ["winding"]
    assert [one.name for one in answering("lbf")] == ["coil-spring", "disc-spring"]
    assert [one.name for one in answering("%")] == ["vacuum", "o-ring"]
    assert answering("kg") == ()
    with pytest.raises(Unknown, match="There is no sum 'tea'; there are wear, leak"):
        find_sum("tea")
