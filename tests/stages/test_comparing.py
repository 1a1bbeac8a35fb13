"""People who measure blind on the small unit.

Expected values: E_n by hand after ISO 13528, 9.7 (difference over the root of both U squared); the same table through
numpy's variance for the study.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from countershaft.errors import Unknown
from countershaft.job.entry import ComparisonSet, MeasuredBlind
from countershaft.job.taken import InstrumentUsed, Taken
from countershaft.stages.comparing import comparison, comparisons, next_name
from tests.small_unit import UNIT, Log


def begun(**change: Any) -> ComparisonSet:
    told = {
        "comparison": "K1",
        "what": "plate",
        "limit": "wear",
        "unit": "mm",
        "people": ["Ana", "Ben"],
        "trials": 2,
    }
    return ComparisonSet.model_validate({**told, **change})


def blind(person: str, *values: str, piece: int = 1, instrument: str = "micrometer") -> MeasuredBlind:
    return MeasuredBlind.model_validate({
        "comparison": "K1", "person": person, "piece": piece, "values": values,
        "instrument": instrument, "resolution": "0.01",
    })  # fmt: skip


def test_nothing_is_told_before_all_have_measured() -> None:
    log = Log()
    log.say(begun())
    log.say(blind("Ben", "2.00", "2.00"))
    now = comparison(UNIT, log.state, "K1")
    assert (now.pairs, now.study, now.complete) == ((), None, False)
    assert [(turn.person, turn.piece) for turn in now.turns] == [("Ana", 1)]


@pytest.mark.parametrize(("second", "agree"), [("2.00", True), ("2.01", False)])
def test_two_results_are_judged_by_what_each_could_know(second: str, agree: bool) -> None:
    """Equal readings leave the step alone: U = 2 · 0.01 / √12 = 0.00577 each; 0.01 / (0.00577 · √2) = 1.22."""
    log = Log()
    log.say(begun())
    log.say(blind("Ana", "2.00", "2.00"))
    log.say(blind("Ben", second, second, instrument="another"))
    now = comparison(UNIT, log.state, "K1")
    assert now.complete and now.agree is agree
    expected = (2.00 - float(second)) / (2 * 0.01 / math.sqrt(12) * math.sqrt(2))
    # Type A without scatter leaves infinite freedom, so the factor is the normal's 1.96 or the handbook's 2.
    assert now.pairs[0].agreement.e_n == pytest.approx(expected, rel=0.03, abs=1e-9)


def test_a_study_tells_repeatability_from_people() -> None:
    """Repeatability² is the mean variance within a cell, by numpy; nobody's interaction is far from luck here."""
    table = {
        ("Ana", 1): (2.00, 2.01),
        ("Ana", 2): (2.10, 2.11),
        ("Ben", 1): (2.04, 2.05),
        ("Ben", 2): (2.14, 2.13),
    }
    log = Log()
    log.say(begun(pieces=2))
    for (person, piece), values in table.items():
        log.say(blind(person, *(f"{value:.2f}" for value in values), piece=piece))
    study = comparison(UNIT, log.state, "K1").study
    assert study is not None
    cells = np.array(list(table.values()))
    crossed = cells.reshape(2, 2, 2)
    within = ((crossed - crossed.mean(axis=2, keepdims=True)) ** 2).sum()
    means = crossed.mean(axis=2)
    whole = means.mean()
    mixed = 2 * ((means - means.mean(1, keepdims=True) - means.mean(0, keepdims=True) + whole) ** 2).sum()
    assert study.pooled
    assert study.repeatability**2 == pytest.approx((within + mixed) / 5)
    assert study.people > study.repeatability


def test_a_known_zero_is_no_difference_between_people() -> None:
    """Ben's instrument shows 0.03 too much at zero, and it is known: his readings are 0.03 higher and he agrees."""
    log = Log()
    log.say(begun(pieces=2))
    off = {
        "tag": "I9",
        "name": "own",
        "kind": "micrometer",
        "unit": "mm",
        "resolution": "0.01",
        "permitted_error": "0",
    }
    used = InstrumentUsed.model_validate(
        {**off, "zero_offset": "0.03", "calibrated": "2026-01-01", "due": "2027-01-01"}
    )
    for piece, value in ((1, "2.00"), (2, "2.10")):
        log.say(blind("Ana", value, value, piece=piece))
        shown = f"{float(value) + 0.03:.2f}"
        log.say(
            blind("Ben", shown, shown, piece=piece).model_copy(update={"taken": Taken(used=used, sure="so")})
        )
    found = comparison(UNIT, log.state, "K1")
    assert found.agree
    assert found.study is not None and found.study.people == pytest.approx(0, abs=1e-9)


def test_what_does_not_belong_is_refused() -> None:
    log = Log()
    log.say(begun())
    assert "Cid is not in this comparison; there are Ana, Ben" in log.refused(blind("Cid", "2.00", "2.00"))
    assert "There is no piece 2" in log.refused(blind("Ana", "2.00", "2.00", piece=2))
    assert log.refused(blind("Ana", "2.00")) == "values: 2 readings are asked for; got 1."
    log.say(blind("Ana", "2.00", "2.00"))
    assert "has measured piece 1 already" in log.refused(blind("Ana", "2.01", "2.00"))
    assert "There is a comparison K1 already" in log.refused(begun())
    assert "does not measure the same" in log.refused(begun(comparison="K2", unit="N·m"))
    assert "judged by eye" in log.refused(begun(comparison="K2", limit="lip"))
    with pytest.raises(Unknown, match="has no comparison 'K7'"):
        comparison(UNIT, log.state, "K7")
    with pytest.raises(ValueError, match="each person is named once"):
        begun(people=["Ana", "ana"])


def test_a_slip_of_the_unit_is_asked_about_even_when_blind() -> None:
    log = Log()
    log.say(begun())
    assert "inch (2.032 mm)" in log.refused(blind("Ana", "0.080", "0.080"))


def test_names_go_on_and_everyone_has_an_order_of_pieces() -> None:
    log = Log()
    assert next_name(log.state) == "K1"
    log.say(begun(pieces=5))
    assert next_name(log.state) == "K2"
    turns = comparisons(UNIT, log.state)[0].turns
    assert sorted(turn.piece for turn in turns if turn.person == "Ben") == [1, 2, 3, 4, 5]
    assert [turn.person for turn in turns] == ["Ana"] * 5 + ["Ben"] * 5
