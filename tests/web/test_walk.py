"""The walk through the figures of a form, tap by tap.

Expected values: 1 in = 25.4 mm exactly (international yard and pound agreement of 1959), conversions by hand;
what each key does, from the page itself.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from urllib.parse import parse_qsl, urlsplit

import pytest

from countershaft.errors import FormError, QuantityError
from countershaft.web.forms.figures import asked, figure_in, turned
from countershaft.web.forms.form import Aim, Answers, Field, Form, readings
from countershaft.web.forms.walk import Walk, address, cells, may_finish, tapped, walk_of
from countershaft.web.pages.doubted import doubted

PLAY = Aim("mm", lower=Decimal("0.30"), upper=Decimal("0.45"), lowest=Decimal(0))
PRELOAD = Aim("mm", lower=Decimal("-0.11"), upper=Decimal("-0.05"))
RUNOUT = Aim("mm", upper=Decimal("0.10"), lowest=Decimal(0))
UNIT = Field(
    "unit", "Typed in", "choice", options=(("mm", "mm"), ("in", "in"), ("thou", "thou")), values=("mm",)
)


def form(*fields: Field) -> Form:
    """A form that writes nothing."""
    return Form("End play", fields, lambda _answers: (), "/")


THREE = form(readings("values", "Readings", count=3, unit="", aim=PLAY), UNIT)


def walked(made: Form, *taps: str, start: Walk | None = None) -> Walk:
    """A walk after some taps; a figure stands for typing it and pressing Enter."""
    walk = start or walk_of({}, made, new_id="w")
    for tap in taps:
        typed = tap.startswith("=")
        walk = tapped(made, replace(walk, typed=tap[1:]) if typed else walk, "next" if typed else tap)
    return walk


def test_a_walk_goes_through_every_cell_in_order() -> None:
    made = form(
        Field("size_mm", "Size of the trial shim", "figure", unit="mm", values=("1.80",), needed=True),
        readings("values_mm", "Readings", count=2, unit="mm"),
        readings("bore", "Bore", count=2, unit="mm", cell_labels=("12 o'clock", "3 o'clock")),
        Field("resolution", "One step", "figure", folded=True, values=("0.01",)),
        Field("words", "Words", "area"),
    )
    assert [cell.label for cell in cells(made)] == [
        "Size of the trial shim",
        "Reading 1 of 2",
        "Reading 2 of 2",
        "Bore, 12 o'clock",
        "Bore, 3 o'clock",
    ]
    assert cells(made, ("resolution",))[0].label == "One step"


def test_three_readings_are_three_taps() -> None:
    walk = walked(THREE, "take:0.36", "take:0.37", "take:0.36")
    assert walk.complete
    assert walk.answers(THREE).many("values") == ("0.36", "0.37", "0.36")


def test_digits_make_a_figure_and_the_last_sign_is_rubbed_out() -> None:
    walk = walked(THREE, "digit:.", "digit:3", "digit:6", "digit:.", "digit:5")
    assert walk.typed == "0.365"
    assert walked(THREE, "rub", start=walk).typed == "0.36"
    assert walked(THREE, "rub", "next", start=walk).texts["values"] == ("0.36", "", "")


def test_rubbing_in_an_empty_cell_goes_back_to_the_one_before() -> None:
    walk = walked(THREE, "=0.36", "rub")
    assert (walk.at, walk.typed, walk.texts["values"][0]) == ("values.0", "", "0.36")
    again = walked(THREE, "rub", start=walk)
    assert (again.typed, again.texts["values"][0]) == ("0.3", "")


def test_enter_takes_what_stands_in_a_cell_already() -> None:
    made = form(
        Field("size_mm", "Size", "figure", unit="mm", values=("1.80",), needed=True),
        readings("values", "Readings", count=1, unit="mm"),
    )
    walk = walked(made, "next", "=0.5")
    assert walk.complete and walk.answers(made).one("size_mm") == "1.80"


def test_the_sign_is_turned_round_and_back() -> None:
    made = form(readings("values", "Readings", count=1, unit="mm", aim=PRELOAD))
    walk = walked(made, "digit:0", "digit:.", "digit:0", "digit:8", "sign")
    assert walk.typed == "-0.08"
    assert walked(made, "sign", start=walk).typed == "0.08"
    assert walked(made, "next", start=walk).complete


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("-0.3", "-0.3 mm is below nothing, and this cannot be."),
        ("−0,3", "−0,3 mm is below nothing"),
        ("0.3x", "'x' in '0.3x' is no known unit"),
        ("abc", "'abc' is no figure"),
        ("14 psi", "'14 psi' is in psi, which measures pressure; expected length"),
        ("9999999", "beyond any instrument of a bench"),
        ("", "Nothing is typed for Reading 1 of 3."),
    ],
)
def test_what_cannot_be_is_refused_at_once_with_the_reason(typed: str, why: str) -> None:
    with pytest.raises(FormError) as refused:
        walked(THREE, f"={typed}")
    assert why in refused.value.fields["typed"]


def test_a_value_with_a_unit_stays_as_typed_and_is_sent_exactly() -> None:
    walk = walked(THREE, "=  14 thou ", "=0,36", "=.014in")
    assert walk.texts["values"] == ("14 thou", "0,36", ".014in")
    sent = asked(THREE, walk.answers(THREE))
    assert sent.many("values") == ("0.3556", "0,36", "0.3556")
    assert sent.typed == "14 thou, 0,36, .014in"


def test_another_unit_leaves_the_cells_before_it_as_they_were() -> None:
    walk = walked(THREE, "=0.36", "unit:in", "=0.0142")
    assert walk.texts["values"] == ("0.36 mm", "0.0142", "")
    assert walk.answers(THREE).one("unit") == "in"
    assert asked(THREE, walk.answers(THREE)).many("values") == ("0.014173228", "0.0142")


def test_a_bare_figure_that_two_units_explain_is_asked_about() -> None:
    """0.002 mm and 0.002 in = 0.0508 mm are both a runout below 0.10 mm; 0.02 in would be 0.508 mm."""
    made = form(readings("values", "Readings", count=1, unit="", aim=RUNOUT), UNIT)
    walk = walked(made, "=0.002")
    assert walk.ask and not walk.complete
    answered = walked(made, "unit:in", start=walk)
    assert answered.complete and asked(made, answered.answers(made)).one("values") == "0.002"
    assert walked(made, "=0.02").complete
    assert walked(made, "=0.002 mm").complete


def test_a_tapped_unit_is_not_asked_about_again() -> None:
    made = form(readings("values", "Readings", count=2, unit="", aim=RUNOUT), UNIT)
    assert walked(made, "unit:mm", "=0.002", "=0.002").complete


def test_mending_one_cell_leads_back_to_the_end() -> None:
    walk = walked(THREE, "=0.36", "=0.63", "=0.36")
    mended = walked(THREE, "go:values.1", "=0.37", start=replace(walk, complete=False))
    assert mended.complete and mended.texts["values"] == ("0.36", "0.37", "0.36")


def test_an_answer_about_old_figures_does_not_go_with_new_ones() -> None:
    """Who said "it is so" and then corrects a figure is asked about the new one."""
    walk = replace(
        walked(THREE, "=0.36", "=0.63", "=0.36", "sure:read by a second person: it is so"), complete=False
    )
    mended = walked(THREE, "go:values.1", "=0.37", start=walk)
    assert mended.complete and mended.answers(THREE).one("sure") == ""


def test_readings_of_several_places_may_differ() -> None:
    """Only readings of one place have one that is astray; a bore that is swept differs from place to place."""
    walk = Walk("w", {"bore": ("0.00", "0.09", "0.01")}, at="bore.2")
    places = form(readings("bore", "Bore", count=3, unit="mm", cell_labels=("12", "4", "8")))
    plain = form(readings("bore", "Bore", count=3, unit="mm"))
    assert "go:bore.1" not in [one.tap for one in doubted(places, walk, "Is it so?").choices]
    assert "go:bore.1" in [one.tap for one in doubted(plain, walk, "Is it so?").choices]


def test_the_question_of_the_stage_is_answered_with_one_tap() -> None:
    walk = replace(walked(THREE, "=0.014", "=0.0142", "=0.0139"), complete=False)
    inches = walked(THREE, "instead:values.0=0.014 in|values.1=0.0142 in|values.2=0.0139 in", start=walk)
    assert inches.complete
    assert asked(THREE, inches.answers(THREE)).many("values") == ("0.3556", "0.36068", "0.35306")
    sure = walked(THREE, "sure:measured again: it is so", start=walk)
    assert sure.complete and sure.answers(THREE).one("sure") == "measured again: it is so"


def test_a_needed_cell_that_is_empty_is_gone_back_to() -> None:
    start = replace(walk_of({}, THREE, new_id="w"), at="values.2")
    walk = walked(THREE, "=0.36", start=start)
    assert (walk.at, walk.complete) == ("values.0", False)


def test_what_is_not_needed_may_stay_open() -> None:
    """After the last needed cell the rest is skipped with one tap, or one by one with Next."""
    face = replace(readings("face", "Face", count=2, unit="mm"), needed=False)
    made = form(readings("bore", "Bore", count=2, unit="mm"), face)
    walk = walked(made, "=0.01")
    assert may_finish(made, walk) and not may_finish(made, walked(made))
    assert walked(made, "digit:0", "finish", start=walk).texts["bore"] == ("0.01", "0")
    behind = walked(made, "=0.02", start=walk)
    assert may_finish(made, behind) and walked(made, "finish", start=behind).complete
    assert walked(made, "next", "next", start=behind).complete


def test_an_address_holds_the_whole_walk() -> None:
    walk = walked(THREE, "=14 thou", "unit:in", "digit:0", "strip:higher")
    link = address("/jobs/J1/measure/reading", walk, key="build:EP", back="/jobs/J1/inspect")
    sent: dict[str, tuple[str, ...]] = {}
    for name, text in parse_qsl(urlsplit(link).query, keep_blank_values=True):
        sent[name] = (*sent.get(name, ()), text)
    assert sent["key"] == ("build:EP",) and sent["back"] == ("/jobs/J1/inspect",)
    assert walk_of(sent, THREE, new_id="other") == walk


def test_an_address_with_nonsense_begins_at_the_first_cell() -> None:
    sent = {"at": ("nothing.9",), "shift": ("x",), "due": ("nothing",), "f.nothing": ("1",)}
    assert walk_of(sent, THREE, new_id="w") == Walk("w", {}, at="values.0")


def test_what_is_sent_twice_is_one_entry_and_what_is_mended_another() -> None:
    walk = walked(THREE, "=0.36", "=0.36", "=0.36")
    assert walk.entry_id(THREE) == walked(THREE, "=0.36", "=0.36", "=0.36").entry_id(THREE)
    assert walk.entry_id(THREE) != walked(THREE, "=0.36", "=0.36", "=0.37").entry_id(THREE)


@pytest.mark.parametrize(
    ("typed", "unit", "figure"),
    [
        ("14 thou", "mm", "0.3556"),
        ("0.014 in", "mm", "0.3556"),
        ('1/8"', "mm", "3.175"),
        ("1 1/4 in", "mm", "31.75"),
        ("  +0.012 mm", "mm", "0.012"),
        (" +0.012 ", "mm", "0.012"),
        ("0,36", "mm", "0,36"),
        ("3.5", "in", "3.5"),
        ("25.4 mm", "in", "1"),
        ("100 kPa", "bar", "1"),
    ],
)
def test_figures_are_read_with_their_unit(typed: str, unit: str, figure: str) -> None:
    assert figure_in(typed, unit) == figure


def test_a_third_of_an_inch_has_no_decimal_and_is_refused() -> None:
    with pytest.raises(QuantityError, match="halves to 64ths"):
        figure_in("1/3 in", "mm")


def test_lengths_there_and_back_are_exact() -> None:
    for step in range(1, 400, 7):
        inches = Decimal(step).scaleb(-4)
        assert turned(turned(inches, "in", "mm"), "mm", "in") == inches


def test_a_plain_form_refuses_what_cannot_be_and_a_unit_of_another_kind() -> None:
    with pytest.raises(FormError) as refused:
        asked(THREE, Answers({"values": ("0.36", "-0.36", "0.36")}))
    assert "-0.36 mm is below nothing" in refused.value.fields["values"]
    with pytest.raises(FormError) as refused:
        asked(THREE, Answers({"values": ("0.36", "14 psi")}))
    assert "measures pressure; expected length" in refused.value.fields["values"]


def test_cells_without_a_unit_are_sent_as_they_were_typed() -> None:
    sent = asked(THREE, Answers({"values": ("0.36", "", "0,37"), "unit": ("mm",)}))
    assert (sent.texts["values"], sent.typed) == (("0.36", "", "0,37"), "")
