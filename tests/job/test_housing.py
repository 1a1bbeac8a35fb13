"""What is read at the housing, through the stored log.  Expected values: what was written, and the messages by hand."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime
from typing import Any

import pytest
from pydantic import ValidationError

from countershaft.job.entry import Body, ConverterDepths, DowelSeen, Entry, HousingSwept, HubTrial, JobOpened
from countershaft.job.serial import read_entries, write_entry
from countershaft.job.state import fold
from countershaft.job.taken import Taken

SCALE: dict[str, Any] = {"unit": "mm", "instrument": "dial", "resolution": "0.01"}
SWEEP: dict[str, Any] = {
    **SCALE,
    "when": "as found",
    "hours": ("12", "3", "6", "9"),
    "bore": ("0.00", "-0.19", "-0.16", "0.02"),
}


def entry(body: Body) -> Entry:
    return Entry(id=uuid.uuid4().hex, at=datetime(2026, 5, 4, tzinfo=UTC), by="R. Bench", body=body)


@pytest.mark.parametrize(
    "body",
    [
        HousingSwept(
            **SWEEP, face_total="0.09", bore_max="0.25 mm", diameter="11 in", taken=Taken(sure="it is so")
        ),
        DowelSeen(**SCALE, dowel="2", when="as left", values=("10.1",)),
        ConverterDepths(**SCALE, depths=("25.1", "25.2"), plate=("22.4",), answers=("C27",)),
        HubTrial(**SCALE, position=1, hours=("12", "3", "6", "9"), values=("0.1", "0", "-0.1", "0")),
    ],
)
def test_what_is_written_is_read_as_it_was_typed(body: Body) -> None:
    one = entry(body)
    assert read_entries([write_entry(one)]) == (one,)
    assert '"-0.19"' in write_entry(entry(HousingSwept(**SWEEP))), "figures keep their digits"


def test_a_sweep_is_an_answer_to_each_limit_that_it_names() -> None:
    opened = entry(JobOpened(tag="1", vehicle="car", unit="unit", definition="0" * 64))
    swept = entry(HousingSwept(**SWEEP, answers=("C13", "C14")))
    depths = entry(ConverterDepths(**SCALE, depths=("25.1",), answers=("C27",)))
    state = fold([opened, swept, depths])
    assert state.answers("C13") == state.answers("C14") == (swept,)
    assert state.answers("C27") == (depths,)


def test_figures_that_make_no_sweep_are_refused() -> None:
    with pytest.raises(ValidationError, match="one reading of the bore at every place"):
        HousingSwept.model_validate({**SWEEP, "bore": ("0", "0", "0")})
    with pytest.raises(ValidationError, match="greater than or equal to 0"):
        HousingSwept.model_validate({**SWEEP, "rise": "-0.01"})
    with pytest.raises(ValidationError, match="'mm', 'in' or 'thou'"):
        DowelSeen.model_validate({**SCALE, "unit": "N", "dowel": "1", "when": "as found", "values": ("10",)})
