"""The shop's own log at the desk.  Expected values: what was said, and words for what was refused."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from countershaft.desk.demo_shop import six_speed
from countershaft.desk.desk import Desk, new_entry_id
from countershaft.errors import EntryRefused, FormError, Unknown
from countershaft.job.at_shop import InstrumentCalibrated, InstrumentListed, InstrumentRetired, RuleSaid
from countershaft.metrology.instrument import calibration_fault
from countershaft.stages.measuring import instrument_of
from countershaft.store.shop import open_store

DIAL: dict[str, Any] = {
    "id": "I1", "name": "dial 1", "sort": "dial indicator", "unit": "mm", "resolution": "0.01",
    "permitted_error": "0.012", "calibrated": "2025-01-08", "due": "2026-01-08",
}  # fmt: skip


class Day:
    """A clock that is set by the test."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 2, 8, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def day() -> Day:
    """2 March 2026."""
    return Day()


@pytest.fixture
def desk(tmp_path: Path, day: Day) -> Iterator[Desk]:
    """A shop with dial 1 on its list."""
    store = open_store(tmp_path / "shop")
    made = Desk(store, now=day)
    made.append_shop(InstrumentListed.model_validate(DIAL), by="R. Bench")
    yield made
    store.close()


def test_a_resent_entry_is_answered_as_before(desk: Desk) -> None:
    """The same form twice lists one instrument, though its name is taken by then."""
    body = InstrumentListed.model_validate({**DIAL, "id": "I2", "name": "dial 2"})
    sent = new_entry_id()
    first = desk.append_shop(body, by="R. Bench", entry_id=sent)
    assert desk.append_shop(body, by="R. Bench", entry_id=sent) == first
    assert list(desk.shop().instruments) == ["I1", "I2"]


def test_what_another_desk_wrote_is_seen(desk: Desk, tmp_path: Path, day: Day) -> None:
    """Two programs on one folder: the second sees the first one's list, and is held to it."""
    store = open_store(tmp_path / "shop")
    other = Desk(store, now=day)
    assert list(other.shop().instruments) == ["I1"]
    desk.append_shop(RuleSaid(rule="plain", because="contract"), by="R. Bench")
    assert other.shop().rule == "plain"
    with pytest.raises(FormError, match="I1 is the mark of dial 1 already"):
        other.append_shop(InstrumentListed.model_validate(DIAL), by="K. Spanner")
    store.close()


def test_what_speaks_against_an_entry_is_raised_and_nothing_written(desk: Desk) -> None:
    """Faults of fields come as such, the rest in whole sentences."""
    before = desk.shop()
    with pytest.raises(FormError, match="must be above 0"):
        desk.append_shop(
            InstrumentListed.model_validate({**DIAL, "id": "I2", "name": "x", "resolution": "0"}),
            by="R. Bench",
        )
    with pytest.raises(EntryRefused, match="There is no instrument 'I9' in this shop"):
        desk.append_shop(InstrumentRetired(id="I9", because="x"), by="R. Bench")
    with pytest.raises(EntryRefused, match="Not written: by"):
        desk.append_shop(InstrumentRetired(id="I1", because="x"), by="")
    assert desk.shop() is before


def test_a_snapshot_stays_what_it_was(desk: Desk, day: Day) -> None:
    """A reading keeps the instrument of its day; what is calibrated later changes nothing in it."""
    used = desk.instrument_used("i1", date(2025, 6, 1))
    day.now = datetime(2026, 3, 3, 8, tzinfo=UTC)
    fresh = InstrumentCalibrated(
        id="I1", calibrated=date(2026, 3, 3), due=date(2027, 3, 3), zero_offset=Decimal("0.01")
    )
    desk.append_shop(fresh, by="R. Bench")
    assert desk.instrument_used("I1", date(2025, 6, 1)) == used
    assert (used.tag, used.calibrated, used.due, used.zero_offset) == (
        "I1", date(2025, 1, 8), date(2026, 1, 8), None,
    )  # fmt: skip
    assert desk.instrument_used("I1", desk.today()).zero_offset == Decimal("0.01")


def test_an_instrument_out_of_calibration_says_so_of_its_day(desk: Desk) -> None:
    """It may be taken; that it had run out is in the snapshot, for the stage to object to."""
    used = desk.instrument_used("I1", date(2026, 3, 2))
    said = calibration_fault(instrument_of(used), date(2026, 3, 2))
    assert said is not None and "dial 1: its calibration ran out on 2026-01-08, 53 days before" in said


def test_a_retired_instrument_is_refused_from_its_day_on(desk: Desk) -> None:
    """Readings of the days before may still be typed in."""
    desk.append_shop(InstrumentRetired(id="I1", because="stem bent"), by="R. Bench")
    assert desk.instrument_used("I1", date(2026, 3, 1)).tag == "I1"
    with pytest.raises(
        EntryRefused, match=r"I1 dial 1 was retired on 2026-03-02 \(stem bent\). Take another"
    ):
        desk.instrument_used("I1", date(2026, 3, 2))
    with pytest.raises(Unknown, match="It has none yet; look at the list"):
        desk.instrument_used("I7", date(2026, 3, 2))


def test_a_job_knows_its_shop(desk: Desk) -> None:
    """Every open job carries the list and the rule."""
    desk.shelve_library()
    six_speed(desk, "J1", vehicle="invented van", by="R. Bench")
    assert desk.job("J1").shop is desk.shop()
