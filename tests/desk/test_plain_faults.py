"""Faults of entries in plain words: no name of a library and no English of its own stands in them."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from countershaft.desk.plain_faults import in_plain_words
from countershaft.job.at_places import SCRAPPED
from countershaft.job.entry import Body, CameOff, Moved


@pytest.mark.parametrize(
    ("kind", "given", "said"),
    [
        (CameOff, {"what": "x" * 61, "count": 1}, "too long; at most 60 characters."),
        (CameOff, {"what": "pan", "count": "two"}, "'two' is no whole number"),
        (CameOff, {"what": "pan", "count": 0}, "0 is too small; expected at least 1."),
        (CameOff, {"count": 1}, "this is needed."),
        (
            Moved,
            {"sort": "part", "what": "P1", "count": 1, "start": SCRAPPED, "to": SCRAPPED},
            "they are there already: scrapped; choose another place",
        ),
    ],
)
def test_every_fault_is_told_as_at_the_bench(kind: type[Body], given: dict[str, Any], said: str) -> None:
    with pytest.raises(ValidationError) as caught:
        kind.model_validate(given)
    (fault,) = caught.value.errors()
    assert in_plain_words(fault).startswith(said)
