"""A step that one of two others opens: either is enough.  Expected values: decided by hand on three steps."""

from __future__ import annotations

from countershaft.job.state import fold
from countershaft.model.transmission import Transmission
from countershaft.stages.work import work
from tests.small_unit import Log
from tests.stages.walk import done

UNIT = Transmission.model_validate(
    {
        "format": 1,
        "name": "two ways in",
        "steps": [
            {"id": "sensor", "phase": "teardown", "title": "sensor out", "either": [["cover", "pan"]]},
            {"id": "pan", "phase": "teardown", "title": "pan off"},
            {"id": "cover", "phase": "teardown", "title": "cover off", "needs": ["sensor2"]},
            {"id": "sensor2", "phase": "teardown", "title": "other sensor out", "needs": ["pan"]},
        ],
    }
)


def how(log: Log) -> dict[str, str]:
    return {one.step.id: one.how for one in work(UNIT, fold(log.entries), "teardown").steps}


def test_the_plan_puts_one_of_the_ways_first() -> None:
    planned = [one.step.id for one in work(UNIT, fold(()), "teardown").steps]
    assert planned.index("pan") < planned.index("sensor")


def test_either_way_opens_the_step_and_neither_leaves_it_blocked() -> None:
    assert how(Log(UNIT))["sensor"] == "blocked"
    (blocked,) = [one for one in work(UNIT, fold(()), "teardown").steps if one.step.id == "sensor"]
    assert [one.id for one in blocked.blockers] == ["pan"]
    log = Log(UNIT)
    log.say(done("pan"))
    assert how(log)["sensor"] == "open"
