"""Where the expected values come from: the sums are done by hand beside each figure."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from countershaft.model.checks import cross_check
from countershaft.model.fit_methods import ByTurningTorque
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


LIMIT = {"id": "TT", "name": "turning torque", "min": "1.9 N·m", "max": "3.1 N·m", "readings": 2,
         "instrument": {"name": "torque gauge", "resolution": "0.1 N·m"}}  # fmt: skip


def test_a_preload_is_followed_as_a_fit() -> None:
    """Its window is that of its limit; one of reused bearings goes along."""
    reused = {**LIMIT, "id": "TR", "min": "1.0 N·m", "max": "1.7 N·m"}
    tree = {"format": 1, "name": "x", "preloads": [{**BASE, "limit_reused": "TR"}], "limits": [LIMIT, reused]}
    (fit,) = Transmission.model_validate(tree).all_fits
    assert (fit.id, fit.unit, fit.lower, fit.upper, fit.goal_value) == ("PL", "N·m", 1.9, 3.1, 2.5)
    assert (fit.readings, fit.instrument.name) == (2, "torque gauge")
    assert isinstance(fit.by, ByTurningTorque)
    assert (str(fit.by.torque_per_mm), str(fit.by.reused_max)) == ("5.0 N·m", "1.7 N·m")


def test_figures_in_pounds_are_converted() -> None:
    """By hand: 20 lbf·in = 20 × 0.112985 = 2.2597 N·m (NIST SP 811, appendix B, from memory)."""
    tree = {"format": 1, "name": "x", "preloads": [{**BASE, "goal": "20 lbf·in"}], "limits": [LIMIT]}
    assert Transmission.model_validate(tree).all_fits[0].goal_value == pytest.approx(2.2597, abs=1e-4)


@pytest.mark.parametrize(
    ("limit", "words"),
    [
        ({"min": None}, "the limit 'TT' has no min, so nothing says when PL is set"),
        (
            {"min": "2.6 N·m"},
            "PL and its limit 'TT' do not agree: goal 2.5 N·m lies outside 2.6 N·m to 3.1 N·m",
        ),
        ({"min": "0.1 mm", "max": "0.2 mm"}, "'mm' does not measure torque"),
    ],
)
def test_a_preload_and_its_limit_must_agree(limit: dict[str, Any], words: str) -> None:
    part = {"id": "P01", "name": "shims"}
    tree = {"format": 1, "name": "x", "parts": [part], "preloads": [BASE], "limits": [{**LIMIT, **limit}]}
    assert words.startswith("PL and") or Transmission.model_validate(tree).all_fits == ()
    told = [
        finding for finding in cross_check(Transmission.model_validate(tree)) if finding.loc[0] == "preloads"
    ]
    assert words in told[0].message and told[0].loc == ("preloads", 0, "limit")


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
