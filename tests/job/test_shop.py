"""The fold of the shop's own log.  Expected values: by hand from the entries that are folded."""

from __future__ import annotations

import uuid
from datetime import UTC, date, datetime
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from countershaft.job.at_shop import (
    InstrumentCalibrated,
    InstrumentListed,
    InstrumentRetired,
    RuleSaid,
    ShopBody,
    ShopEntry,
)
from countershaft.job.serial import read_shop_entries, write_shop_entry
from countershaft.job.shop import EMPTY_SHOP, fold_shop

DIAL = InstrumentListed.model_validate(
    {
        "id": "I1", "name": "dial 1", "sort": "dial indicator", "unit": "mm", "resolution": "0,01",
        "permitted_error": "0.012", "calibrated": "2025-01-08", "due": "2026-01-08",
    }
)  # fmt: skip
AGAIN = InstrumentCalibrated(
    id="I1", calibrated=date(2026, 1, 12), due=date(2027, 1, 12), zero_offset=Decimal("0.01")
)


def entry(body: ShopBody, day: int = 1) -> ShopEntry:
    """An entry of a day in March."""
    return ShopEntry.model_validate(
        {"id": uuid.uuid4().hex, "at": datetime(2026, 3, day, 8, tzinfo=UTC), "by": "R. Bench", "body": body}
    )


def test_an_empty_log_is_an_empty_shop_that_guards() -> None:
    """Nothing was said: no instrument, and the careful rule."""
    assert fold_shop(()) == EMPTY_SHOP
    assert (EMPTY_SHOP.rule, EMPTY_SHOP.next_id) == ("guarded", "I1")


def test_an_instrument_is_as_it_was_listed() -> None:
    """Its figures are those that were typed, a decimal comma among them."""
    state = fold_shop((entry(DIAL),))
    dial = state.instruments["I1"]
    assert (dial.name, dial.unit, dial.measures, str(dial.listed.resolution)) == (
        "dial 1",
        "mm",
        "length",
        "0.01",
    )
    assert state.next_id == "I2"
    assert [one.id for one in state.measuring("in")] == ["I1"]
    assert state.measuring("kPa") == ()
    assert state.known(" i1") is dial and state.known("I2") is None


def test_a_calibration_holds_from_its_day() -> None:
    """A reading of a day has the zero and the dates that held on it, whichever was typed first."""
    for bodies in ((DIAL, AGAIN), (DIAL, AGAIN, InstrumentCalibrated(
        id="I1", calibrated=date(2024, 1, 5), due=date(2025, 1, 5), permitted_error=Decimal("0.015")))):  # fmt: skip
        dial = fold_shop(entry(body) for body in bodies).instruments["I1"]
        assert dial.standing().calibrated == dial.standing(date(2026, 2, 1)).calibrated == date(2026, 1, 12)
        assert dial.standing().permitted_error == Decimal("0.012")
        assert dial.standing(date(2026, 1, 10)).due == date(2026, 1, 8)
    assert dial.standing(date(2024, 6, 1)).permitted_error == Decimal("0.015")


def test_a_snapshot_has_the_figures_of_its_day() -> None:
    """What a reading of a day keeps: between two calibrations the old dates, after the second the new zero."""
    dial = fold_shop((entry(DIAL), entry(AGAIN))).instruments["I1"]
    before, after = dial.used(date(2026, 1, 10)), dial.used(date(2026, 2, 1))
    assert (before.tag, before.name, before.kind, before.unit) == ("I1", "dial 1", "dial indicator", "mm")
    assert (str(before.resolution), str(before.permitted_error)) == ("0.01", "0.012")
    assert (before.zero_offset, before.due) == (None, date(2026, 1, 8))
    assert (after.zero_offset, after.due) == (Decimal("0.01"), date(2027, 1, 12))
    assert dial.used() == after
    assert dial.used(date(2024, 12, 1)) == before, (
        "before the first known calibration its day speaks against it"
    )


def test_a_retired_instrument_is_kept_apart_with_its_reason() -> None:
    """It is offered no more, its mark is not given again, and why stays."""
    gone = InstrumentRetired(id="I1", because="fell into the press")
    state = fold_shop((entry(DIAL), entry(gone, 2)))
    assert (tuple(state.instruments), tuple(state.retired), state.next_id) == ((), ("I1",), "I2")
    assert state.retired["I1"].why_retired == "fell into the press"
    known = state.known("I1")
    assert known is not None and known.retired is not None and known.retired.at.day == 2


def test_the_last_rule_counts() -> None:
    """A rule stands until another is said."""
    plain, guarded = (RuleSaid(rule=name, because="x") for name in ("plain", "guarded"))
    assert fold_shop((entry(plain),)).rule == "plain"
    assert fold_shop((entry(plain), entry(guarded))).rule == "guarded"


BODIES = st.lists(
    st.sampled_from(
        [
            DIAL,
            DIAL.model_copy(update={"id": "I2", "name": "dial 2"}),
            AGAIN,
            InstrumentRetired(id="I2", because="worn"),
            RuleSaid(rule="plain", because="x"),
        ]
    ),
    max_size=12,
)


@given(BODIES, st.data())
def test_what_is_sent_again_changes_nothing(bodies: list[ShopBody], data: st.DataObject) -> None:
    """Any entry that arrives a second time leaves the state as it was, and stored text gives the same state."""
    entries = [entry(body) for body in bodies]
    state = fold_shop(entries)
    again = data.draw(st.lists(st.sampled_from(entries), max_size=4)) if entries else []
    assert fold_shop((*entries, *again)) == state
    assert fold_shop(read_shop_entries(map(write_shop_entry, entries))) == state
    assert not set(state.instruments) & set(state.retired)
