"""Ways through the small unit that the tests of several stages begin with."""

from __future__ import annotations

from countershaft.job.entry import Chosen, Reading, Remeasured, Shelf, StepDone, Tightened, Trial
from tests.small_unit import UNIT, Log, placed

__all__ = ["apart", "built", "close_play", "done", "play_as_found", "taken"]


def done(step: str, *pieces: str, **more: object) -> StepDone:
    """A step that was done, with its pieces on the mat."""
    return StepDone.model_validate({"step": step, "placed": placed(*pieces), **more})


def play_as_found(*values: str) -> Reading:
    """The end play as found."""
    return Reading.model_validate(
        {
            "limit": "play",
            "when": "as found",
            "values": values,
            "unit": "mm",
            "instrument": "dial",
            "resolution": "0.01",
        }
    )


def apart(log: Log, *, upto: str = "T4") -> Log:
    """Take the small unit apart, up to and with a step."""
    steps = {
        "T1": done("T1"),
        "T2": done("T2", "pan"),
        "T3": done("T3", "ball:3", counted="3"),
        "T4": done("T4", "drum", "seal", "washer", written="flange to the front"),
    }
    log.say(play_as_found("0.44", "0.45"))
    for name, step in steps.items():
        log.say(step)
        if name == upto:
            break
    return log


def taken() -> Log:
    """The small unit, wholly apart."""
    return apart(Log())


def close_play(log: Log, *, trial: str = "0.66", left: str = "0.36") -> Log:
    """Close the end play: trial 1.80, needed 2.085, chosen 2.10."""
    log.say(
        Trial.model_validate(
            {"fit": "play", "size_mm": "1.80", "values_mm": [trial, trial], "resolution_mm": "0.01"}
        ),
        Shelf(fit="play", sizes_mm=UNIT.fit("play").sizes_mm),
        Chosen.model_validate({"fit": "play", "size_mm": "2.10"}),
        Remeasured.model_validate({"fit": "play", "values_mm": [left, left], "resolution_mm": "0.01"}),
    )
    return log


def built() -> Log:
    """The small unit, taken apart and wholly built."""
    log = close_play(taken())
    log.say(done("A1", new=("seal",), verified=True), done("A2"))
    for number in (1, 2):
        log.say(Tightened(joint="lid", round=number, places=("b", "a", "c")))
    log.say(done("A3", new=("with:lid",)))
    return log
