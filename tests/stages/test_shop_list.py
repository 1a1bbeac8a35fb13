"""What speaks against an entry of the shop's log.  Expected values: the words of each refusal."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime
from typing import Any

import pytest

from countershaft.job.at_shop import (
    InstrumentCalibrated,
    InstrumentListed,
    InstrumentRetired,
    RuleSaid,
    ShopBody,
    ShopEntry,
)
from countershaft.job.shop import ShopState, fold_shop
from countershaft.stages.outcome import Outcome
from countershaft.stages.shop_list import review_shop

DIAL: dict[str, Any] = {
    "id": "I1", "name": "dial 1", "sort": "dial indicator", "unit": "mm", "resolution": "0.01",
    "permitted_error": "0.012", "calibrated": "2025-09-01", "due": "2026-09-01",
}  # fmt: skip
OLD = {**DIAL, "id": "I2", "name": "old dial"}


def entry(body: ShopBody) -> ShopEntry:
    """An entry of 2 March 2026."""
    return ShopEntry.model_validate(
        {"id": uuid.uuid4().hex, "at": datetime(2026, 3, 2, tzinfo=UTC), "by": "R. Bench", "body": body}
    )


@pytest.fixture
def shop() -> ShopState:
    """A shop with dial 1 in use and an old dial retired."""
    bodies = (
        InstrumentListed.model_validate(DIAL),
        InstrumentListed.model_validate(OLD),
        InstrumentRetired(id="I2", because="stem bent"),
    )
    return fold_shop(entry(body) for body in bodies)


def listed(shop: ShopState, **changed: Any) -> Outcome:
    """The answer to a new instrument that differs from a good one in what is given."""
    good = {**DIAL, "id": "I3", "name": "dial 3"}
    return review_shop(shop, entry(InstrumentListed.model_validate({**good, **changed})))


def test_a_good_one_is_taken(shop: ShopState) -> None:
    """Nothing speaks against an instrument with a name of its own."""
    assert listed(shop).accepted
    assert listed(shop, name="old dial").accepted, "a retired one gives its name back"


@pytest.mark.parametrize(
    ("changed", "field", "words"),
    [
        ({"id": "I1"}, "id", "I1 is the mark of dial 1 already; a mark is never given twice. Take I3."),
        ({"id": "i2"}, "id", "i2 is the mark of old dial already, now retired; a mark is never given twice. Take I3."),
        ({"name": "Dial 1"}, "name", "I1 is called 'dial 1' already. Give each its own name, such as 'Dial 1 2'."),
        ({"unit": "furlong"}, "unit", "'furlong' is no unit that is known here; take one of mm, µm, m, in"),
        ({"resolution": "0"}, "resolution", "One step of the scale is 0; it must be above 0."),
        ({"resolution": "-0.01"}, "resolution", "One step of the scale is -0.01; it must be above 0."),
        ({"permitted_error": "-0.01"}, "permitted_error", "type it without a sign, as 0.01"),
        ({"due": "2025-09-01"}, "due", "The next calibration (2025-09-01) is not after the last (2025-09-01)"),
        ({"due": "2024-09-01"}, "due", "The next calibration (2024-09-01) is not after the last (2025-09-01)"),
        ({"calibrated": "2026-03-03", "due": None}, "calibrated", "2026-03-03 has not come yet; today is 2026-03-02."),
        ({"calibrated": None}, "calibrated", "It is due on 2026-09-01, but when it was calibrated is missing."),
        ({"certificate_k": "2"}, "certificate_u", "k = 2 stands without its U."),
        ({"certificate_u": "0.002"}, "certificate_k", "U = 0.002 stands without its k."),
        ({"certificate_u": "-0.002", "certificate_k": "2"}, "certificate_u", "type it as 0.002"),
        ({"certificate_u": "0.002", "certificate_k": "0.5"}, "certificate_k", "k is 0.5; a certificate prints 1 to 4"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_said_at_its_field(
    shop: ShopState, changed: dict[str, Any], field: str, words: str
) -> None:
    """One fault, one field, and what to do."""
    outcome = listed(shop, **changed)
    assert list(outcome.fields) == [field] and words in outcome.fields[field]


def test_every_fault_is_told_at_once(shop: ShopState) -> None:
    """Nobody mends one only to be told of the next."""
    outcome = listed(shop, name="dial 1", unit="ell", resolution="0", permitted_error="-1", due="2020-01-01")
    assert set(outcome.fields) == {"name", "unit", "resolution", "permitted_error", "due"}


def test_no_dates_and_a_calibration_that_ran_out_may_be_listed(shop: ShopState) -> None:
    """The list is the truth of the shop, not the wish; what is out is shown as out."""
    assert listed(shop, calibrated=None, due=None).accepted
    assert listed(shop, calibrated="2024-01-01", due="2025-01-01").accepted


CALIBRATED: dict[str, Any] = {"id": "I1", "calibrated": "2026-02-20", "due": "2027-02-20"}


def test_a_calibration_that_found_too_much_is_refused(shop: ShopState) -> None:
    """0.03 found against 0.012 permitted: out, unless a wider error is permitted."""
    found = {**CALIBRATED, "error_found": "-0.03"}
    outcome = review_shop(shop, entry(InstrumentCalibrated.model_validate(found)))
    assert "found -0.03 mm, more than the permitted 0.012 mm" in outcome.fields["error_found"]
    wider = {**found, "permitted_error": "0.03"}
    assert review_shop(shop, entry(InstrumentCalibrated.model_validate(wider))).accepted


def test_a_retired_or_unknown_instrument_is_not_touched(shop: ShopState) -> None:
    """Both say what is there instead."""
    again = InstrumentCalibrated.model_validate({**CALIBRATED, "id": "I2"})
    (words,) = review_shop(shop, entry(again)).objections
    assert words.startswith("I2 old dial was retired on 2026-03-02 (stem bent). Take another;")
    (words,) = review_shop(shop, entry(InstrumentRetired(id="I9", because="x"))).objections
    assert words == "There is no instrument 'I9' in this shop. It has I1; look at the list."
    (words,) = review_shop(shop, entry(InstrumentRetired(id="i1", because="x"))).objections
    assert "'i1' is written 'I1' on the list" in words


def test_a_rule_is_always_taken(shop: ShopState) -> None:
    """Either rule may be chosen at any time."""
    assert review_shop(shop, entry(RuleSaid(rule="plain", because="the customer's contract"))).accepted
