"""Which elements explain bad gears.  Expected values: by hand on small charts, and exhaustive search."""

from __future__ import annotations

from itertools import chain, combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.inference.elements import explain

CHART = {
    "R": ("B", "D"),
    "1": ("A", "F"),
    "2": ("A", "C"),
    "3": ("A", "B"),
    "4": ("A", "E"),
    "5": ("B", "E"),
    "6": ("C", "E"),
}


def test_two_bad_gears_meet_in_one_element() -> None:
    """The invented six-speed: bad in 2 and 6, good in the rest, leaves C alone."""
    found = explain(CHART, bad=["2", "6"], good=["1", "3", "4", "5", "R"])
    assert found.explains == (("C",),)
    assert dict(found.cleared)["A"] == ("1", "3", "4")
    assert found.unexplained == ()


def test_a_further_gear_tells_two_suspects_apart() -> None:
    """Bad in 2 with nothing else driven leaves A and C; a gear that uses one of them tells which."""
    found = explain(CHART, bad=["2"], good=[])
    assert found.explains == (("A",), ("C",))
    assert {one.gear for one in found.next_gears} == {"1", "3", "4", "6"}
    six = next(one for one in found.next_gears if one.gear == "6")
    assert (six.uses, six.leaves) == (("C",), ("A",))


def test_a_bad_gear_of_cleared_elements_is_not_explained() -> None:
    """If every element of a bad gear serves a good one, no single slipping element explains it, and it is said."""
    found = explain(CHART, bad=["3"], good=["1", "5"])
    assert found.unexplained == ("3",)
    assert found.explains == ()


@pytest.mark.parametrize(
    ("bad", "good", "words"), [(["9"], [], "not in the chart"), (["2"], ["2"], "both good and bad")]
)
def test_nonsense_is_refused(bad: list[str], good: list[str], words: str) -> None:
    """A gear that is not there, or said twice, is refused with its name."""
    with pytest.raises(OutOfRange, match=words):
        explain(CHART, bad=bad, good=good)


ELEMENTS = "ABCDEF"
CHARTS = st.dictionaries(
    st.sampled_from("123456"), st.sets(st.sampled_from(ELEMENTS), min_size=1, max_size=3), min_size=1
)


@given(CHARTS, st.data())
def test_explanations_equal_an_exhaustive_search(chart: dict[str, set[str]], data: st.DataObject) -> None:
    """Smallest sets of uncleared elements that meet every explained bad gear, against all subsets."""
    gears = sorted(chart)
    bad = data.draw(st.lists(st.sampled_from(gears), unique=True, min_size=1))
    good = data.draw(
        st.lists(st.sampled_from(gears), unique=True).map(
            lambda some: [gear for gear in some if gear not in bad]
        )
    )
    found = explain(chart, bad=bad, good=good, order=ELEMENTS)
    suspects = [
        e for e in ELEMENTS if any(e in chart[g] for g in bad) and not any(e in chart[g] for g in good)
    ]
    explained = [gear for gear in bad if chart[gear] & set(suspects)]
    subsets = chain.from_iterable(combinations(suspects, size) for size in range(1, len(suspects) + 1))
    covers = [pick for pick in subsets if explained and all(chart[gear] & set(pick) for gear in explained)]
    smallest = min((len(pick) for pick in covers), default=0)
    assert set(found.explains) == {pick for pick in covers if len(pick) == smallest}
    assert set(found.unexplained) == set(bad) - set(explained)


def test_a_large_chart_is_answered_at_once() -> None:
    """Forty elements, ten bad gears that share none: more than four at once are not looked for, and nothing hangs."""
    chart = {str(gear): [f"E{gear * 4 + index}" for index in range(4)] for gear in range(10)}
    found = explain(chart, bad=list(chart), good=[])
    assert found.explains == ()
    assert len(found.suspects) == 40
    assert len(explain(chart, bad=["0", "1", "2", "3"], good=[]).explains) == 4**4
