"""A transmission as one record.  Expected: what is looked up in a copy is what the copy holds."""

from __future__ import annotations

import pytest

from countershaft.errors import Unknown
from countershaft.model.limits import Limit
from tests.small_unit import UNIT


def test_a_copy_finds_what_was_changed_in_it() -> None:
    assert UNIT.limit("wear").name == "plate thickness"
    own = Limit.model_validate({"id": "own", "name": "own check", "min": "1 mm"})
    copied = UNIT.model_copy(update={"limits": (own,)})
    assert copied.limit("own") == own
    with pytest.raises(Unknown, match="has no limit 'wear'"):
        copied.limit("wear")
    with pytest.raises(Unknown, match="has no limit 'own'"):
        UNIT.limit("own")
