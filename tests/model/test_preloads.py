"""Where the expected values come from: the sums are done by hand beside each figure."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from pydantic import ValidationError

from countershaft.model.checks import cross_check
from countershaft.model.preloads import Preload
from countershaft.model.transmission import Transmission

BASE: dict[str, Any] = {
    "id": "PL",
    "name": "preload",
    "limit": "TT",
    "goal": "2.5 N·m",
    "trial": "1.90 mm",
    "torque_per_mm": "5.0 N·m",
    "part": "P01",
    "selective": "shim",
    "sizes_mm": ["1.90", "2.00", "2.10", "2.20"],
}


def test_the_needed_shim_and_the_torque_to_expect() -> None:
    preload = Preload.model_validate(BASE)
    # 1.90 mm + (2.5 - 1.0) / 5.0 mm = 2.20 mm; 1.0 + 0.30 x 5.0 = 2.5 N·m
    assert preload.needed_mm(Decimal("1.0")) == Decimal("2.20")
    assert preload.expected_torque(Decimal("2.20"), Decimal("1.0")) == Decimal("2.5")


def test_figures_in_inches_and_pounds_are_converted() -> None:
    preload = Preload.model_validate({**BASE, "trial": "0.075 in", "goal": "20 lbf·in"})
    # 0.075 in = 1.905 mm; 20 lbf·in = 2.2597 N·m
    assert float(preload.needed_mm(Decimal("1.0"))) == pytest.approx(1.905 + (2.2597 - 1.0) / 5.0, abs=1e-4)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"sizes_mm": ["2.00", "1.90"]}, "must rise without repeats"),
        ({"torque_per_mm": "-5 N·m"}, "must be more than 0"),
    ],
)
def test_a_preload_that_cannot_be_is_refused(changed: dict[str, Any], words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        Preload.model_validate({**BASE, **changed})


def test_its_names_must_lead_somewhere() -> None:
    tree = {"format": 1, "name": "x", "preloads": [{**BASE, "limit_reused": "TR", "source": "sheet"}]}
    told = {finding.loc[2]: finding.message for finding in cross_check(Transmission.model_validate(tree))}
    assert told == {
        "part": "there is no part 'P01'",
        "limit": "there is no limit 'TT'",
        "limit_reused": "there is no limit 'TR'",
        "source": "there is no source 'sheet'",
    }
