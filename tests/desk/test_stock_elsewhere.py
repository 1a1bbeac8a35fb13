"""Stock that is taken over from another job on the same file.  Expected values: what was said there, and its day."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

from countershaft.definitions.library import library_text
from countershaft.desk.desk import Desk, new_entry_id
from countershaft.desk.stock_elsewhere import stock_elsewhere, take_over
from countershaft.job.at_shop import InstrumentListed
from countershaft.job.entry import JobOpened, PieceMeasured
from countershaft.job.taken import Taken
from countershaft.store.shop import open_store
from tests.stages.choices import piece


def test_a_piece_is_taken_over_with_the_day_on_which_it_was_measured(tmp_path: Path) -> None:
    """Its micrometer was in calibration then; that it has run out since is nothing to ask about."""
    clock = [datetime(2025, 12, 1, 8, tzinfo=UTC)]
    store = open_store(tmp_path / "shop")
    desk = Desk(store, now=lambda: clock[0])
    listed = {
        "id": "I1", "name": "micrometer", "sort": "outside micrometer", "unit": "mm", "resolution": "0.001",
        "permitted_error": "0.004", "calibrated": "2025-01-08", "due": "2026-01-08",
    }  # fmt: skip
    desk.append_shop(InstrumentListed.model_validate(listed), by="R. Bench")
    digest = desk.add_definition(library_text("demo-a"), file="demo-a.yaml")
    name = desk.definition(digest).name
    for tag in ("J1", "J2"):
        desk.open_job(JobOpened(tag=tag, vehicle="van", unit=name, definition=digest), by="R. Bench")
    taken = Taken(used=desk.instrument_used("I1", date(2025, 12, 1)))
    measured = piece("end-plates-132", "plate 7", "2.850").model_copy(update={"taken": taken})
    desk.append("J1", measured, by="R. Bench")
    clock[0] = datetime(2026, 3, 2, 8, tzinfo=UTC)
    found = stock_elsewhere(desk, desk.job("J2"))
    assert found is not None
    take_over(desk, "J2", found, by="R. Bench", entry_id=new_entry_id())
    (body,) = desk.job("J2").state.bodies(PieceMeasured)
    assert body.taken is not None
    assert (body.label, body.taken.on, body.taken.used) == ("plate 7", date(2025, 12, 1), taken.used)
    store.close()
