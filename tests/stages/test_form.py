"""Forms as answers of limits.  Expected values: by hand, from faces and circles made with a known form.

What the cores themselves find is held against outside evidence in tests/metrology.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from countershaft.job.at_form import FormSet, FormTaken
from countershaft.job.entry import Reading
from countershaft.job.serial import read_entries, write_entry
from countershaft.metrology.conformity import Verdict
from countershaft.model.limits import Limit
from countershaft.model.transmission import Transmission
from countershaft.stages.form import FormResult, form_result
from countershaft.stages.inspection import Checked, checked, form_of
from tests.small_unit import Log

SQUARE = {
    "A": ["0 mm", "0 mm"],
    "B": ["200 mm", "0 mm"],
    "C": ["200 mm", "100 mm"],
    "D": ["0 mm", "100 mm"],
    "M": ["100 mm", "50 mm"],
}
EDGE = {
    "kind": "flatness_straightedge",
    "places": SQUARE,
    "lines": [["A", "M", "C"], ["B", "M", "D"], ["A", "B"]],
}
GRID = {"kind": "flatness_grid", "rows": 3, "columns": 3, "step_x": "50 mm", "step_y": "50 mm"}
PLATE = {"kind": "flatness_plate", "outer_radius": "80 mm", "inner_radius": "62 mm", "clock": [12, 4, 8]}
EIGHT = [12, "1.5", 3, "4.5", 6, "7.5", 9, "10.5"]
RUNOUT = {"kind": "runout", "clock": EIGHT}
ROUND = {"kind": "roundness", "clock": EIGHT, "radius": "21 mm"}
GEAR = {
    "kind": "backlash", "clock": [12, 4, 8], "pitch_radius": "60 mm", "probe_radius": "90 mm", "pressure_angle_deg": 20,
}  # fmt: skip
BORE = {"kind": "diameters", "sections": ["0 mm", "30 mm"], "directions_deg": [0, 90]}
BOW = {"kind": "shaft_bow", "stations": ["100 mm"], "bearings": ["0 mm", "200 mm"], "clock": [12, 3, 6, 9]}
LINE = {"kind": "straightness", "positions": ["0 mm", "100 mm", "200 mm"]}


def unit(
    form: Mapping[str, Any] | None, low: str | None = None, high: str | None = "0.15 mm"
) -> Transmission:
    """A unit with one limit that is measured by places, and one that is a look."""
    limit = {"id": "F", "name": "the face", "min": low, "max": high, "form": form}
    limits = [
        {key: value for key, value in limit.items() if value is not None},
        {"id": "L", "name": "a look"},
    ]
    return Transmission.model_validate({"format": 1, "name": "u", "limits": limits})


def typed(form: Mapping[str, Any], values: Mapping[str, Any], **more: Any) -> FormTaken:
    """Readings by place, each one figure or several."""
    readings = [
        {"place": place, "values": [one] if isinstance(one, str) else one} for place, one in values.items()
    ]
    body = {"limit": "F", "when": "as found", "form": form, "readings": readings, "unit": "mm"}
    return FormTaken.model_validate({**body, "instrument": "dial", "resolution": "0.01", **more})


def answer(
    form: Mapping[str, Any], values: Mapping[str, Any], whole: Transmission | None = None, **more: Any
) -> Checked:
    """The limit's answer after the readings have joined the log."""
    whole = unit(form) if whole is None else whole
    log = Log(whole)
    log.say(typed(form, values, **more))
    return checked(whole, log.state, whole.limit("F"))


def told(found: Checked) -> FormResult:
    assert found.form is not None
    return found.form


FLAT = dict.fromkeys(("A1", "A2", "A3", "B1", "B2", "B3", "C1", "C2", "C3"), "0.00")


def test_a_face_with_its_middle_high_is_as_far_from_flat_as_the_middle() -> None:
    found = answer(GRID, {**FLAT, "B2": "0.04"})
    assert found.value is not None and found.value.mean == pytest.approx(0.04, abs=1e-9)
    assert found.judgement.verdict is Verdict.GOOD
    assert (told(found).highest, len(told(found).lowest)) == (("B2",), 8)
    # u = √2 · 0.01 / √12, U = 2 u
    assert found.value.expanded == pytest.approx(2 * math.sqrt(2) * 0.01 / math.sqrt(12))


def test_both_zones_are_told_and_the_minimum_is_judged() -> None:
    """A twisted square with one corner up by 0.04: the two diagonals pass at 0.02 (by hand)."""
    square = {**GRID, "rows": 2, "columns": 2}
    found = answer(square, {"A1": "0.04", "A2": "0.00", "B1": "0.00", "B2": "0.00"})
    assert found.value is not None and found.value.mean == pytest.approx(0.02, abs=1e-6)
    lines = "\n".join(found.value.working("mm", digits=2))
    assert "minimum zone, which is judged (ISO 1101)" in lines
    assert "least squares, beside it" in lines
    assert told(found).beside[0] == ("least squares", "0.020 mm")


def test_a_tilted_face_is_flat() -> None:
    tilted = {
        f"{row}{column}": f"{0.02 * column + 0.05 * 'ABC'.index(row):.2f}"
        for row in "ABC"
        for column in (1, 2, 3)
    }
    found = answer(GRID, tilted)
    assert found.value is not None and found.value.mean == pytest.approx(0, abs=1e-6)
    assert found.value.expanded > 0


def test_a_hollow_under_the_straightedge_is_the_feeler_that_goes_in() -> None:
    gaps = {
        "1 A": "0",
        "1 M": "0.10",
        "1 C": "0",
        "2 B": "0",
        "2 M": "0.10",
        "2 D": "0",
        "3 A": "0",
        "3 B": "0",
    }
    found = answer(EDGE, gaps)
    assert found.value is not None and found.value.mean == pytest.approx(0.10, abs=1e-9)
    assert found.judgement.verdict is Verdict.GOOD
    assert told(found).lowest == ("M",)


def test_a_coned_plate_shows_its_cone() -> None:
    values = {f"outer {hour}": "0.00" for hour in (12, 4, 8)} | {
        f"inner {hour}": "0.24" for hour in (12, 4, 8)
    }
    found = answer(PLATE, values, unit(PLATE, high="0.20 mm"))
    assert found.value is not None and found.value.mean == pytest.approx(0.24, abs=1e-9)
    assert found.judgement.verdict is Verdict.BAD
    assert ("cone", "0.240 mm") in told(found).beside


def test_a_bent_edge() -> None:
    """By hand: the middle of 200 mm stands 0.06 high."""
    found = answer(LINE, {"0 mm": "0.00", "100 mm": "0.06", "200 mm": "0.00"})
    assert found.value is not None and found.value.mean == pytest.approx(0.06, abs=1e-8)


def clock(form: Mapping[str, Any], height: Any) -> dict[str, str]:
    """Readings round the clock from a function of the angle."""
    hours = [Decimal(str(hour)) for hour in form["clock"]]
    return {f"{hour:g}": f"{height(math.radians(float(hour) * 30)):.4f}" for hour in hours}


def test_a_true_circle_off_its_axis_runs_out_by_twice_its_eccentricity() -> None:
    found = answer(RUNOUT, clock(RUNOUT, lambda turn: 0.05 * math.cos(turn)), resolution="0.0001")
    assert found.value is not None and found.value.mean == pytest.approx(0.10, abs=1e-6)
    wave = told(found).wave
    assert wave is not None and wave.eccentricity.amplitude * 1e3 == pytest.approx(0.05, abs=1e-4)


def test_eccentricity_and_what_is_left_can_be_judged_instead() -> None:
    def height(turn: float) -> float:
        return 0.05 * math.cos(turn) + 0.01 * math.cos(2 * turn)

    off = answer({**RUNOUT, "judged": "eccentricity"}, clock(RUNOUT, height), resolution="0.0001")
    left = answer({**RUNOUT, "judged": "form"}, clock(RUNOUT, height), resolution="0.0001")
    assert off.value is not None and off.value.mean == pytest.approx(0.05, abs=1e-4)
    # an oval of 0.01 is 0.02 from crest to hollow; crests and hollows of two lobes stand at the eighths
    assert left.value is not None and left.value.mean == pytest.approx(0.02, abs=1e-4)


def test_noise_alone_is_never_a_sure_zero() -> None:
    """The range of eight readings that are all alike is not zero in truth: 2.847 · u on the mean (d2 of n = 8)."""
    found = answer(RUNOUT, clock(RUNOUT, lambda turn: 0.0 * turn))
    assert found.value is not None
    assert found.value.mean == 0.0
    assert found.value.expanded > 2.847 * 0.01 / math.sqrt(12)
    assert "not linear" in found.value.working("mm")[-1]


def test_an_oval_bore_is_out_of_round_by_its_oval() -> None:
    found = answer(ROUND, clock(ROUND, lambda turn: 0.02 * math.cos(2 * turn)), resolution="0.0001")
    assert found.value is not None and found.value.mean == pytest.approx(0.04, abs=1e-4)


def test_backlash_at_the_pitch_circle_is_the_reading_times_the_radii() -> None:
    """By hand: 0.18 · 60 / 90 = 0.12, the tightest of three; 0.21 · 60 / 90 = 0.14 the loosest."""
    readings = {"12": "0.18", "4": "0.21", "8": "0.195"}
    tight = answer(GEAR, readings, unit(GEAR, low="0.11 mm", high="0.19 mm"), resolution="0.001")
    loose = answer(GEAR, readings, unit(GEAR, low="0.05 mm", high="0.16 mm"), resolution="0.001")
    mean = answer({**GEAR, "judged": "mean"}, readings, resolution="0.001")
    flank = answer(
        {**GEAR, "along": "normal"}, readings, unit(GEAR, low="0.11 mm", high=None), resolution="0.001"
    )
    assert tight.value is not None and tight.value.mean == pytest.approx(0.12)
    assert loose.value is not None and loose.value.mean == pytest.approx(0.14)
    assert mean.value is not None and mean.value.mean == pytest.approx(0.13)
    # by hand: one reading's 0.001/√12 through the lever of 60/90, whole, however many places
    assert mean.value.standard == pytest.approx(2 / 3 * 0.001 / math.sqrt(12))
    assert flank.value is not None and flank.value.mean == pytest.approx(0.12 * math.cos(math.radians(20)))


def test_a_probe_that_may_stand_elsewhere_adds_to_the_uncertainty() -> None:
    within = {**GEAR, "probe_radius_within": "3 mm"}
    readings = {"12": "0.18", "4": "0.18", "8": "0.18"}
    found = answer(within, readings, resolution="0.001")
    # by hand: u² = (2/3 · 0.001/√12)² + (0.12 / 90 · 3/√3)²
    by_hand = math.hypot(2 / 3 * 0.001 / math.sqrt(12), 0.12 / 90 * 3 / math.sqrt(3))
    assert found.value is not None and found.value.standard == pytest.approx(by_hand)


def bore(judged: str) -> float:
    """42.03, 42.01 in the first section, 42.08, 42.04 in the second."""
    readings = {"0 mm 0°": "42.03", "0 mm 90°": "42.01", "30 mm 0°": "42.08", "30 mm 90°": "42.04"}
    form = {**BORE, "judged": judged}
    found = answer(form, readings, unit(form, low="0 mm", high="50 mm"), taken={"sure": "it is so"})
    assert found.value is not None
    return found.value.mean


def test_a_bore_by_its_diameters() -> None:
    """By hand: ovality 0.04 in the second section; means 42.02 and 42.06, so a taper of 0.04."""
    assert bore("ovality") == pytest.approx(0.04)
    assert bore("taper") == pytest.approx(0.04)
    assert bore("smallest") == pytest.approx(42.01)
    assert bore("largest") == pytest.approx(42.08)


def test_the_zero_offset_of_an_instrument_counts_in_a_diameter_and_in_no_difference() -> None:
    used = {"tag": "M1", "name": "micrometer", "kind": "micrometer", "unit": "mm", "resolution": "0.01"}
    taken = {"sure": "yes", "used": {**used, "permitted_error": "0.004", "zero_offset": "0.02"}}
    readings = {"0 mm 0°": "42.03", "0 mm 90°": "42.01", "30 mm 0°": "42.08", "30 mm 90°": "42.04"}
    small = {**BORE, "judged": "smallest"}
    size = answer(small, readings, unit(small, low="1 mm", high="50 mm"), taken=taken)
    oval = answer(BORE, readings, taken=taken)
    assert size.value is not None and size.value.mean == pytest.approx(41.99)
    assert oval.value is not None and oval.value.mean == pytest.approx(0.04)
    # by hand: u² = 0.01²/12 + 0.004²/3
    assert size.value.standard == pytest.approx(math.sqrt(1e-4 / 12 + 1.6e-5 / 3))


def test_a_bent_shaft_between_true_bearings() -> None:
    """By hand: an eccentricity of 0.03 toward 3 o'clock is a bow of 0.03 and 0.06 on the indicator."""
    readings = {"100 mm 12": "0.00", "100 mm 3": "0.03", "100 mm 6": "0.00", "100 mm 9": "-0.03"}
    found = answer(BOW, readings)
    assert found.value is not None and found.value.mean == pytest.approx(0.06, abs=1e-9)
    assert dict(told(found).beside)["high side"].startswith("90°")


def test_thou_and_millimetres_tell_the_same_form() -> None:
    """1 thou is exactly 0.0254 mm; the limit is in mm."""
    thou = answer(GRID, {**FLAT, "B2": "2"}, unit="thou", resolution="1")
    assert thou.value is not None and thou.value.mean == pytest.approx(0.0508)
    assert thou.value.standard == pytest.approx(math.sqrt(2) * 0.0254 / math.sqrt(12))


def test_repeats_bring_their_scatter() -> None:
    twice = {**GRID, "repeats": 2}
    values = {name: ["0.00", "0.01"] for name in FLAT}
    found = answer(twice, {**values, "B2": ["0.04", "0.05"]})
    assert found.value is not None and found.value.mean == pytest.approx(0.04, abs=1e-9)
    assert "scatter at the places" in "\n".join(found.value.working("mm"))


def refused(
    form: Mapping[str, Any], values: Mapping[str, Any], whole: Transmission | None = None, **more: Any
) -> str:
    return Log(unit(form) if whole is None else whole).refused(typed(form, values, **more))


def test_places_that_scatter_beyond_the_instrument_are_asked_about() -> None:
    """Two readings of one place 0.10 apart; of an unknown dial 2.5 steps each way and one step are believed."""
    values = {name: ["0.00", "0.00"] for name in FLAT}
    said = refused({**GRID, "repeats": 2}, {**values, "B2": ["0.00", "0.10"]})
    assert said.startswith("sure: At B2: reading")
    assert "this instrument explains 0.06" in said
    answer({**GRID, "repeats": 2}, {**values, "B2": ["0.00", "0.10"]}, taken={"sure": "it is so"})


def test_lines_that_contradict_each_other_are_asked_about() -> None:
    """One diagonal laid twice, 0.30 and 0 in its middle: each gap there is 0.10 from the line through all (by hand)."""
    twice = {**EDGE, "lines": [["A", "M", "C"], ["B", "M", "D"], ["A", "M", "C"]]}
    gaps = {
        f"{line} {name}": "0" for line, names in enumerate(("AMC", "BMD", "AMC"), start=1) for name in names
    }
    said = refused(twice, {**gaps, "1 M": "0.30"}, unit(twice, high="0.2 mm"))
    assert "The lines disagree by 0.100 mm where they cross; this instrument explains 0.030" in said


def test_a_form_far_from_its_limit_is_asked_about() -> None:
    """0.002 in of a face typed as inches where mm stand: 25.4 times too large."""
    said = refused(GRID, {**FLAT, "B2": "2.0"})
    assert "Is it thou (" in said or "a slipped decimal point (" in said


def test_a_negative_gap_is_refused_and_says_why() -> None:
    gaps = {
        "1 A": "0",
        "1 M": "-0.10",
        "1 C": "0",
        "2 B": "0",
        "2 M": "0.10",
        "2 D": "0",
        "3 A": "0",
        "3 B": "0",
    }
    assert "a feeler is never negative" in refused(EDGE, gaps)
    assert "none below zero" in refused(GEAR, {"12": "-0.18", "4": "0.21", "8": "0.195"})


def test_a_torque_is_no_length() -> None:
    assert "unit: 'N·m' is no length; use one of mm" in refused(GRID, FLAT, unit="N·m")
    look = typed(GRID, FLAT, limit="L")
    assert "a look is no length" in Log(unit(GRID)).refused(look)


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"A1": "0"}, "1 of 9 places are read; read A2, A3"),
        ({**FLAT, "Z9": "0"}, "there is no place 'Z9'"),
        ({**FLAT, "A1": ["0", "0"]}, "1 reading of the place 'A1' asked; got 2"),
    ],
)
def test_readings_belong_to_their_places(values: Mapping[str, Any], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        typed(GRID, values)


def test_a_place_is_given_once() -> None:
    body = typed(GRID, FLAT).model_dump(mode="json")
    body["readings"].append(body["readings"][0])
    with pytest.raises(ValueError, match="'A1' is given 2 times"):
        FormTaken.model_validate(body)


def test_an_entry_is_stored_and_read_again() -> None:
    log = Log(unit(EDGE))
    gaps = {
        "1 A": "0",
        "1 M": "0.10",
        "1 C": "0",
        "2 B": "0",
        "2 M": "0.10",
        "2 D": "0",
        "3 A": "0",
        "3 B": "0",
    }
    log.say(typed(EDGE, gaps))
    kept = log.state.entries
    assert read_entries(map(write_entry, kept)) == kept


def test_a_limit_without_places_gets_them_in_the_job() -> None:
    plain = unit(None)
    log = Log(plain)
    assert form_of(plain, log.state, "F") is None
    log.say(FormSet.model_validate({"limit": "F", "form": GRID}))
    found = form_of(plain, log.state, "F")
    assert found is not None and found.kind == "flatness_grid"
    assert "is no length" in log.refused(FormSet.model_validate({"limit": "L", "form": GRID}))


def test_the_places_of_the_file_stand_above_those_of_the_job() -> None:
    whole = unit(EDGE)
    log = Log(whole)
    log.say(FormSet.model_validate({"limit": "F", "form": GRID}))
    found = form_of(whole, log.state, "F")
    assert found is not None and found.kind == "flatness_straightedge"


def test_as_found_trial_and_as_left_are_kept_apart() -> None:
    whole = unit(GRID)
    log = Log(whole)
    for when, height in (("as found", "0.20"), ("trial", "0.08"), ("as left", "0.02")):
        log.say(typed(GRID, {**FLAT, "B2": height}, when=when))
    heights = [
        checked(whole, log.state, whole.limit("F"), when=when).value
        for when in ("as found", "trial", "as left")
    ]
    assert [round(one.mean, 3) for one in heights if one is not None] == [0.2, 0.08, 0.02]


def test_one_figure_read_elsewhere_still_answers() -> None:
    whole = unit(GRID)
    log = Log(whole)
    body = {"limit": "F", "when": "as found", "values": ["0.05"] * 3, "unit": "mm", "instrument": "x"}
    log.say(Reading.model_validate({**body, "resolution": "0.01"}))
    assert checked(whole, log.state, whole.limit("F")).judgement.verdict is Verdict.GOOD


heights = st.lists(st.integers(-9, 9), min_size=9, max_size=9)


@settings(max_examples=60, deadline=None)
@given(heights, st.integers(1, 20), st.integers(1, 20))
def test_a_wider_limit_never_turns_good_to_bad(rows: list[int], narrow: int, more: int) -> None:
    values = {name: [Decimal(row) / 100] for name, row in zip(FLAT, rows, strict=True)}
    limits = [Decimal(narrow) / 50, Decimal(narrow + more) / 50]
    form = Limit.model_validate({"id": "F", "name": "f", "max": "1 mm", "form": GRID}).form
    assert form is not None
    verdicts = []
    for high in limits:
        whole = unit(GRID, high=f"{high} mm")
        log = Log(whole)
        log.say(
            typed(
                GRID, {name: [str(one) for one in row] for name, row in values.items()}, taken={"sure": "yes"}
            )
        )
        verdicts.append(checked(whole, log.state, whole.limit("F")).judgement.verdict)
    assert not (verdicts[0] is Verdict.GOOD and verdicts[1] is not Verdict.GOOD)
    result = form_result(form, values, "mm", resolution=Decimal("0.01"), to="mm")
    least = float(dict(result.beside)["least squares"].removesuffix(" mm"))
    assert result.value.mean <= least + 0.0006  # least squares is told to a thousandth
