"""Whether a calibration holds.  Expected values: days counted on the calendar by hand."""

from __future__ import annotations

import uuid
from datetime import UTC, date, datetime
from typing import Any

import pytest

from countershaft.job.at_shop import InstrumentListed, ShopEntry
from countershaft.job.shop import ShopInstrument, fold_shop
from countershaft.stages.calibration import Holds, by_urgency, due

TODAY = date(2026, 3, 2)


def listed(**changed: Any) -> ShopInstrument:
    """A dial that differs from a good one in what is given."""
    body = {
        "id": "I1", "name": "dial 1", "sort": "dial indicator", "unit": "mm", "resolution": "0.01",
        "permitted_error": "0.012", "calibrated": "2025-09-01", "due": "2026-09-01", **changed,
    }  # fmt: skip
    entry = ShopEntry(
        id=uuid.uuid4().hex,
        at=datetime(2026, 1, 2, tzinfo=UTC),
        by="R. Bench",
        body=InstrumentListed.model_validate(body),
    )
    (one,) = fold_shop((entry,)).instruments.values()
    return one


@pytest.mark.parametrize(
    ("end", "holds", "days", "words"),
    [
        ("2026-03-01", Holds.RAN_OUT, -1, "dial 1: its calibration ran out on 2026-03-01, 1 day before."),
        ("2026-03-02", Holds.DUE_SOON, 0, "Due on 2026-03-02, today is its last day."),
        ("2026-03-03", Holds.DUE_SOON, 1, "Due on 2026-03-03, 1 day from now."),
        ("2026-04-01", Holds.DUE_SOON, 30, "Due on 2026-04-01, 30 days from now."),
        ("2026-04-02", Holds.HOLDS, 31, "Calibrated to 2026-04-02."),
    ],
)
def test_the_days_are_counted(end: str, holds: Holds, days: int, words: str) -> None:
    """The last day still counts; from 30 days before it the end is said."""
    found = due(listed(due=end), TODAY)
    assert (found.holds, found.days) == (holds, days)
    assert found.words.startswith(words)


@pytest.mark.parametrize("missing", [{"due": None}, {"calibrated": None, "due": None}])
def test_without_dates_nothing_is_promised(missing: dict[str, Any]) -> None:
    """One date is as good as none."""
    found = due(listed(**missing), TODAY)
    assert found.holds is Holds.NO_DATES and found.days is None
    assert "its last or next calibration is not known" in found.words


def test_a_zero_that_is_off_keeps_it_from_use() -> None:
    """0.05 at zero is more than 0.012 permitted and a step of 0.01."""
    found = due(listed(zero_offset="0.05"), TODAY)
    assert found.holds is Holds.NOT_USABLE and "it shows 0.05 at zero" in found.words


def test_the_most_pressing_stands_first() -> None:
    """Ran out, longest ago first; unusable; soon; no dates; then by the days that are left."""
    ends = {
        "far": "2027-09-01",
        "near": "2026-09-01",
        "soon": "2026-03-20",
        "out": "2026-02-01",
        "long out": "2025-12-01",
    }
    every = [listed(id=name.replace(" ", "-"), name=name, due=end) for name, end in ends.items()]
    every += [listed(id="n", name="none", due=None), listed(id="z", name="zero", zero_offset="1")]
    assert [one.instrument.name for one in by_urgency(every, TODAY)] == [
        "long out", "out", "zero", "soon", "none", "near", "far",
    ]  # fmt: skip
