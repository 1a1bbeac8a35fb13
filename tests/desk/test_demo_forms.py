"""Forms of the demo units.  Expected values: tests/definitions/demo_facts.json, invented figures of the demo shop.

They show that the demo files and the demo readings come to the figures and verdicts that were invented for them, and
nothing about any real unit.
"""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.desk.demo_bench import Facts, form_taken
from countershaft.desk.demo_shop import FACTS_A, FACTS_B, FACTS_C
from countershaft.metrology.conformity import Verdict
from countershaft.stages.inspection import checked
from tests.small_unit import Log

KNOWN: dict[str, Any] = json.loads(
    (Path(__file__).parents[1] / "definitions" / "demo_facts.json").read_text(encoding="utf-8"),
    parse_float=Decimal,
)
TYPED: dict[str, Facts] = {"demo-a": FACTS_A, "demo-b": FACTS_B, "demo-c": FACTS_C}
FORMS = [(name, one) for name in TYPED for one in KNOWN[name]["forms"]]


@pytest.mark.parametrize(("name", "fact"), FORMS, ids=[f"{name} {one['id']}" for name, one in FORMS])
def test_a_demo_form_comes_to_its_figure_and_verdict(name: str, fact: dict[str, Any]) -> None:
    unit = read_transmission(library_text(name), name)
    limit = unit.limit(fact["id"])
    log = Log(unit)
    for when, key in (("as found", "as_found"), ("as left", "after_repair")):
        log.say(form_taken(limit, when, TYPED[name].places[f"{limit.id} {when}"]))
        found = checked(unit, log.state, limit, when=when)
        assert found.value is not None
        assert round(Decimal(found.value.mean), 2) == fact[key], when
        if when == "as found":
            expected = Verdict.GOOD if fact["verdict_as_found"] == "pass" else Verdict.BAD
            assert found.judgement.verdict is expected, found.judgement.why


def test_every_form_of_the_files_has_its_facts() -> None:
    for name in TYPED:
        unit = read_transmission(library_text(name), name)
        placed = [limit.id for limit in unit.limits if limit.form is not None]
        assert placed == [one["id"] for one in KNOWN[name]["forms"]]
