"""The checks of the three invented units: what a plain comparison calls pass or fail, against our verdicts.

Expected: readings and verdicts of the scenarios that the demo files were made from (invented, so no outside evidence
of any limit).  They compare figure with limit; a verdict with uncertainty may only differ where the figure stands
nearer to its limit than its uncertainty, and each such case is named here with its reason.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.job.entry import Reading
from countershaft.metrology.conformity import Verdict
from countershaft.metrology.decision import Decision
from countershaft.model.transmission import Transmission
from countershaft.stages.inspection import Checked, checked
from tests.small_unit import Log

CASES: dict[str, list[dict[str, Any]]] = json.loads(
    Path(__file__).with_name("demo_checks.json").read_text(encoding="utf-8")
)
UNITS = {name: read_transmission(library_text(name), name) for name in CASES}
PLAIN = {"pass": Verdict.GOOD, "fail": Verdict.BAD}

#: Where the scenario says pass or fail and the uncertainty does not allow it, and why.
UNDECIDED = {
    ("demo-c", "C03", "0.07"): "0.07 on a scale of 0.01 stands on its limit of 0.07: as probable as not",
    ("demo-a", "C08", "0.0"): "no crack found is 0.0 on a rule of 0.1, and on the limit of none",
}


def measured(unit: Transmission, limit_id: str, figure: str) -> Checked:
    """A limit with the same figure read as often as it asks, on the scale that the file names."""
    limit = unit.limit(limit_id)
    assert limit.instrument is not None and limit.instrument.resolution is not None and limit.unit is not None
    log = Log(unit)
    log.say(
        Reading.model_validate(
            {
                "limit": limit_id,
                "when": "as found",
                "values": [figure] * (len(limit.places) or limit.readings),
                "unit": limit.unit,
                "instrument": limit.instrument.name,
                "resolution": f"{limit.instrument.resolution.to(limit.unit):g}",
                "taken": {"sure": "read by a second person: it is so"},
            }
        )
    )
    return checked(unit, log.state, limit)


FIGURES = [
    (name, case["limit"], figure, verdict)
    for name, cases in CASES.items()
    for case in cases
    for figure, verdict in ((case["as_found"], case["verdict_as_found"]), (case["after_repair"], "pass"))
    if figure is not None and (name, case["limit"], figure) != ("demo-c", "C01", "0.95")
    and (name, case["limit"], figure) != ("demo-c", "C05", "0.24")
]  # fmt: skip


@pytest.mark.parametrize(("name", "limit", "figure", "verdict"), sorted(set(FIGURES)))
def test_the_scenario_is_reproduced_as_far_as_the_uncertainty_allows(
    name: str, limit: str, figure: str, verdict: str
) -> None:
    found = measured(UNITS[name], limit, figure)
    why = UNDECIDED.get((name, limit, figure))
    assert found.judgement.verdict is (Verdict.AGAIN if why else PLAIN[verdict]), why or found.judgement.why


@pytest.mark.parametrize(("limit", "figure"), [("C01", "0.95"), ("C05", "0.24")])
def test_what_the_trainer_leaves_bad_on_purpose_is_bad(limit: str, figure: str) -> None:
    """The learner must call it; the scenario leaves it after the repair too."""
    assert measured(UNITS["demo-c"], limit, figure).judgement.verdict is Verdict.BAD


def test_a_pump_on_its_limit_is_measured_again() -> None:
    """0.07 against at most 0.07: as probable as not, and never a bare yes."""
    found = measured(UNITS["demo-c"], "C03", "0.07").judgement
    assert isinstance(found, Decision)
    assert found.verdict is Verdict.AGAIN
    assert found.probability == pytest.approx(0.5, abs=1e-6)
    assert "50 % probable that it conforms" in found.why


@pytest.mark.parametrize("key", UNDECIDED)
def test_what_is_undecided_is_nearer_to_its_limit_than_its_uncertainty(key: tuple[str, str, str]) -> None:
    name, limit_id, figure = key
    limit, found = UNITS[name].limit(limit_id), measured(UNITS[name], limit_id, figure)
    assert found.value is not None and limit.max is not None
    assert abs(found.value.mean - float(limit.max.value)) < found.value.expanded
