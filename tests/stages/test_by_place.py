"""Single readings at several places of a part.

Expected values: by hand.  A reading on a scale of 0.01 mm alone has u = 0.01/√12 = 0.0029 and U = 0.0058 (JCGM 100,
F.2.2.1, k = 2); a range reads the scale at both ends, so U = 0.0058·√2 = 0.0082.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from countershaft.job.entry import Reading
from countershaft.metrology.conformity import Verdict
from countershaft.model.limits import Limit
from countershaft.model.transmission import Transmission
from countershaft.stages.by_place import judged_places
from countershaft.stages.inspection import checked
from tests.small_unit import Log, with_limits

CLOCK = ("12 o'clock", "3 o'clock", "6 o'clock", "9 o'clock")


def limit(**more: Any) -> Limit:
    """Wear of a bushing, at most 0.10 mm, at four places."""
    told = {"id": "rim", "name": "wear of the bushing", "max": "0.10 mm", "worn": "grows", "places": CLOCK}
    return Limit.model_validate({**told, **more})


def unit(**more: Any) -> Transmission:
    """The small unit with that limit."""
    return with_limits(limit(**more))


def read(*values: str, **more: Any) -> Reading:
    """One reading at each place, on a feeler gauge of 0.01 mm."""
    told = {"limit": "rim", "when": "as found", "values": values, "unit": "mm", "instrument": "feeler"}
    return Reading.model_validate({**told, "resolution": "0.01", "taken": {"places": CLOCK}, **more})


def test_the_worst_place_is_judged_by_its_own_uncertainty() -> None:
    """0.12 - 0.0058 lies above 0.10; the others are good, and stand beside it."""
    file = unit()
    log = Log(file)
    log.say(read("0.05", "0.06", "0.12", "0.04"))
    found = checked(file, log.state, file.limit("rim"))
    assert found.value is not None
    assert (found.value.mean, found.judgement.verdict) == (pytest.approx(0.12), Verdict.BAD)
    assert found.value.expanded == pytest.approx(0.00577, abs=1e-5)
    assert [(one.place, one.judgement.verdict.value) for one in found.places if one.judgement] == [
        ("12 o'clock", "good"),
        ("3 o'clock", "good"),
        ("6 o'clock", "bad"),
        ("9 o'clock", "good"),
    ]
    assert found.lines == ("worst of 4 places: 6 o'clock",)


def test_of_a_window_with_two_ends_either_end_can_be_the_worst() -> None:
    file = unit(min="0.02 mm", worn="either")
    log = Log(file)
    log.say(read("0.05", "0.01", "0.09", "0.06"))
    found = checked(file, log.state, file.limit("rim"))
    assert found.value is not None and found.value.mean == pytest.approx(0.01)
    assert found.judgement.verdict is Verdict.BAD


def test_the_mean_of_the_places_is_judged_where_the_file_says_so() -> None:
    """(0.05 + 0.06 + 0.12 + 0.05) / 4 = 0.07; what they differ by is the part's, so U stays 0.0058."""
    found = judged_places(limit(of="mean"), read("0.05", "0.06", "0.12", "0.05"), 2)
    assert (found.value.mean, found.judgement.verdict) == (pytest.approx(0.07), Verdict.GOOD)
    assert found.value.expanded == pytest.approx(0.00577, abs=1e-5)
    assert found.lines == ("mean of 4 places = (0.05 + 0.06 + 0.12 + 0.05) / 4 = 0.070 mm",)
    assert all(one.judgement is None for one in found.places)


def test_a_range_reads_the_scale_at_both_ends_and_needs_no_zero() -> None:
    """0.12 - 0.04 = 0.08, U = 0.0058·√2; a zero that is off by 0.03 is in both and falls out."""
    used = {
        "tag": "I1", "name": "dial", "kind": "dial indicator", "unit": "mm", "resolution": "0.01",
        "permitted_error": "0", "zero_offset": "0.03",
    }  # fmt: skip
    body = read("0.05", "0.06", "0.12", "0.04", taken={"places": CLOCK, "used": used})
    found = judged_places(limit(of="range"), body, 2)
    assert (found.value.mean, found.judgement.verdict) == (pytest.approx(0.08), Verdict.GOOD)
    assert found.value.expanded == pytest.approx(0.00816, abs=1e-5)
    assert found.lines == ("range = 0.09 (6 o'clock) − 0.01 (9 o'clock) = 0.08 mm",)


def test_a_zero_offset_stays_in_the_mean_and_in_its_working() -> None:
    """Read 0.05, 0.06, 0.12, 0.05 on a dial that shows 0.03 at zero: 0.07 - 0.03 = 0.04."""
    used = {
        "tag": "I1", "name": "dial", "kind": "dial indicator", "unit": "mm", "resolution": "0.01",
        "permitted_error": "0", "zero_offset": "0.03",
    }  # fmt: skip
    body = read("0.05", "0.06", "0.12", "0.05", taken={"places": CLOCK, "used": used})
    found = judged_places(limit(of="mean"), body, 2)
    assert found.value.mean == pytest.approx(0.04)
    assert "less the zero offset 0.03 mm: 0.040 mm" in found.value.working("mm", digits=2)


def test_places_that_differ_are_not_asked_about_and_repeats_are() -> None:
    """0.08 apart is no slip of one place; without places it is."""
    file = unit()
    assert Log(file).ask(read("0.05", "0.06", "0.12", "0.04")).accepted
    repeats = {"id": "rim", "name": "wear", "max": "0.10 mm", "readings": 4}
    plain = with_limits(Limit.model_validate(repeats))
    assert "is 0.08 away from another" in Log(plain).refused(read("0.05", "0.06", "0.12", "0.04", taken=None))


def test_every_place_is_asked_for() -> None:
    assert (
        "One reading at each of 4 places is asked for (12 o'clock, 3 o'clock, 6 o'clock, 9 o'clock); got 3."
        in (Log(unit()).refused(read("0.05", "0.06", "0.04", taken=None)))
    )
    elsewhere = read("0.05", "0.06", "0.04", "0.05", taken={"places": ("a", "b", "c", "d")})
    assert "got a, b, c, d" in Log(unit()).refused(elsewhere)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"places": ("12", "12")}, "the place '12' stands twice"),
        ({"places": ("12",)}, "one place alone leaves no choice"),
        ({"places": (), "of": "range"}, "of range needs places"),
        ({"max": None, "worn": "either"}, "a look has no readings at places"),
        ({"readings": 3}, "4 places take 4 readings; leave readings out"),
        (
            {"form": {"kind": "straightness", "positions": ["0 mm", "60 mm", "120 mm"]}},
            "leave places or form out",
        ),
    ],
)
def test_places_that_make_no_sense_are_objected_to(change: dict[str, Any], words: str) -> None:
    with pytest.raises(ValidationError, match=words.replace("(", "\\(")):
        limit(**change)


figures = st.decimals(min_value=0, max_value="0.3", places=2)


@given(st.lists(figures, min_size=4, max_size=4), st.integers(0, 3), st.decimals("0.01", "0.2", places=2))
def test_more_wear_at_one_place_never_makes_the_part_better(values: list[Any], place: int, more: Any) -> None:
    """Good can turn bad with it, bad never good."""
    worn = [one + more if index == place else one for index, one in enumerate(values)]
    before, after = (
        judged_places(limit(), read(*(str(one) for one in found)), 2).judgement for found in (values, worn)
    )
    order = (Verdict.BAD, Verdict.AGAIN, Verdict.GOOD)
    assert order.index(after.verdict) <= order.index(before.verdict)
    assert after.probability <= before.probability + 1e-12
