"""Sling tension against published tables.

Where the expected values come from: `rigging.json`, two rigging tables that were read; three printed figures are off by
one in the last digit, so one and a half of it are allowed.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from countershaft.mechanics.rigging import leg_tension, sling_factor

CASES: dict[str, dict[str, Any]] = {
    case["id"]: case
    for case in json.loads(Path(__file__).with_name("rigging.json").read_text(encoding="utf-8"))
}


@pytest.mark.parametrize("degrees", CASES["T10-01"]["inputs"]["angle_deg"])
def test_tension_by_angle(degrees: int) -> None:
    printed = CASES["T10-01"]["expected"][str(degrees)]
    assert sling_factor(math.radians(degrees)) == pytest.approx(printed, abs=0.0015)


@pytest.mark.parametrize("degrees", [60, 45])
def test_two_legs_of_a_thousand_pounds(degrees: int) -> None:
    """Pounds of force in, pounds of force out."""
    inputs = CASES["T10-03"]["inputs"]
    found = leg_tension(inputs["W_lb"], legs=inputs["legs"], angle=math.radians(degrees))
    assert found == pytest.approx(CASES["T10-03"]["expected"][str(degrees)], abs=0.6)
