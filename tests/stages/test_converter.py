"""The converter on its way in.

Expected figures: depth, gap and hub runout of demo A (shared invented demo: 25.1 mm in 24 to 26, 2.7 mm in 1.0 to 4.5,
0.13 mm of 0.28).  Re-clocking by hand: a plate 0.10 mm off toward 0° and a converter 0.10 mm off toward 0° add up to
0.40 mm TIR; turned by 120° they leave |0.1 + 0.1·e^(i·120°)| = 0.1, so 0.20 mm TIR.
"""

from __future__ import annotations

import math
from functools import cache
from typing import Any

import pytest

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.job.entry import ConverterDepths, HubTrial
from countershaft.metrology.conformity import Verdict
from countershaft.model.transmission import Transmission
from countershaft.stages.converter import survey
from countershaft.stages.inspection import checked
from tests.small_unit import Log


@cache
def demo_a() -> Transmission:
    return read_transmission(library_text("demo-a"), "demo-a.yaml")


def depths(*pads: str, **change: Any) -> ConverterDepths:
    told = {"depths": pads, "unit": "mm", "instrument": "depth gauge", "resolution": "0.1"}
    return ConverterDepths.model_validate({**told, **change})


def trial(position: int, offset: float, way: float, **change: Any) -> HubTrial:
    """A trial whose hub is off by `offset` mm toward `way` degrees: r = offset · cos(θ - way), to a thousandth."""
    values = tuple(f"{offset * math.cos(math.radians(30 * hour - way)):.3f}" for hour in (12, 3, 6, 9))
    told = {"position": position, "hours": ("12", "3", "6", "9"), "values": values, "unit": "mm"}
    return HubTrial.model_validate({**told, "instrument": "dial", "resolution": "0.001", **change})


def test_depth_and_gap_of_demo_a_are_good() -> None:
    log = Log(demo_a())
    log.say(depths("25.1", "25.2", "25.1", plate=("22.4",), answers=("C27", "C28")))
    found = survey(log.transmission, log.state).depths
    assert found is not None and found.gap is not None and found.gaps is not None
    assert found.depth.judgement.verdict is Verdict.GOOD
    assert [round(gap * 1e3, 2) for gap in found.gaps.gaps] == [2.7, 2.8, 2.7]
    assert found.gap.judgement.verdict is Verdict.GOOD
    assert any("25.10 + 0.00 - 22.40 = 2.70 mm" in line for line in found.gap.working)
    deep = checked(log.transmission, log.state, log.transmission.limit("C27"))
    gap = checked(log.transmission, log.state, log.transmission.limit("C28"), when="as left")
    assert (deep.judgement.verdict, gap.judgement.verdict) == (Verdict.GOOD, Verdict.GOOD)


def test_a_straightedge_is_taken_off_and_a_spacer_put_on() -> None:
    """50.1 - 25.0 = 25.1 deep; gap 25.1 + 2.0 - 22.4 = 4.7, more than 4.5."""
    log = Log(demo_a())
    log.say(depths("50.1", straightedge="25.0", spacer="2.0", plate=("22.4",)))
    found = survey(log.transmission, log.state).depths
    assert found is not None and found.gap is not None
    assert round(found.depth.value.mean, 3) == 25.1
    assert round(found.gap.value.mean, 3) == 4.7
    assert found.gap.judgement.verdict is Verdict.BAD


def test_a_converter_that_is_not_home_is_told_before_it_breaks_the_pump() -> None:
    log = Log(demo_a())
    log.say(depths("18.2", "18.3", "18.2", plate=("18.2",)))
    found = survey(log.transmission, log.state).depths
    assert found is not None and found.depth.judgement.verdict is Verdict.BAD
    assert found.sentences[0].startswith("NOTICE: gap 0.00 mm to 0.10 mm. The converter is not seated")
    assert "turn and push it until it drops" in found.sentences[1]


def test_depths_that_cannot_be_meant_are_asked_about() -> None:
    log = Log(demo_a())
    assert "Is it mm (0.9882 in)" in log.refused(depths("25.1", unit="in"))
    assert "3 pads but 2 figures of the plate" in log.refused(
        depths("25.1", "25.1", "25.1", plate=("1", "2"))
    )
    assert "do not answer C28" in log.refused(depths("25.1", answers=("C28",)))


def test_the_hub_of_demo_a_is_good_and_needs_no_trial() -> None:
    log = Log(demo_a())
    log.say(trial(0, 0.065, 40))
    found = survey(log.transmission, log.state)
    assert found.newest is not None
    assert found.newest.total.value.mean == pytest.approx(0.13, abs=0.006)
    assert found.newest.total.judgement.verdict is Verdict.GOOD
    assert found.advice == ()


def test_two_trials_tell_in_which_position_the_hub_runs_truest() -> None:
    log = Log(demo_a())
    log.say(trial(0, 0.20, 0))
    once = survey(log.transmission, log.state)
    assert once.newest is not None and once.newest.total.judgement.verdict is Verdict.BAD
    assert once.advice == ("Bolt the converter on in another position and read the hub again.",)
    # position 1 turns the converter by 120°: 0.1 + 0.1·e^(i·120°) = 0.1·e^(i·60°)
    log.say(trial(1, 0.10, 60))
    found = survey(log.transmission, log.state)
    assert found.clocking is not None
    assert [round(total * 1e3, 2) for total, _ in found.clocking.totals] == [0.4, 0.2, 0.2]
    assert found.newest is not None and found.newest.total.judgement.verdict is Verdict.GOOD


def test_a_hub_that_no_position_mends_names_the_part() -> None:
    """Plate 0.30, converter 0.05: the best position leaves 2·0.26 mm."""
    log = Log(demo_a())
    arrow = 0.30 + 0.05 * complex(math.cos(math.radians(120)), math.sin(math.radians(120)))
    log.say(trial(0, 0.35, 0), trial(1, abs(arrow), math.degrees(math.atan2(arrow.imag, arrow.real))))
    (said,) = survey(log.transmission, log.state).advice
    assert "No position mends it: the drive plate or crank flange alone makes 0.60 mm TIR." in said


def test_a_trial_of_a_position_that_is_not_there_is_refused() -> None:
    log = Log(demo_a())
    assert "in positions 0 to 2" in log.refused(trial(3, 0.1, 0))
    assert "four different places" in log.refused(trial(0, 0.1, 0, hours=("12", "3", "6", "12")))
    with pytest.raises(ValueError, match="one reading at every place"):
        trial(0, 0.1, 0, values=("0", "0"))
