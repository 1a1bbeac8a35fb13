"""A small invented unit for tests: one set, two elements, five parts, one joint, two fits, three limits."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from countershaft.job.entry import Body, Entry, JobOpened
from countershaft.job.state import JobState, fold
from countershaft.model.limits import Limit
from countershaft.model.transmission import Transmission
from countershaft.stages.outcome import Outcome
from countershaft.stages.review import review

__all__ = ["UNIT", "Log", "with_limits"]

UNIT = Transmission.model_validate(
    {
        "format": 1,
        "name": "small unit",
        "about": {"sources": {"invented": {"kind": "invented for demonstration", "text": "for tests"}}},
        "train": {
            "input": "in",
            "output": "out",
            "sets": [
                {"id": "P", "kind": "single_pinion", "sun": "in", "carrier": "out", "ring": "R",
                 "teeth": {"sun": 30, "ring": 60}},
            ],
            "elements": {"B": {"kind": "brake", "member": "R"}, "K": {"kind": "clutch", "members": ["in", "out"]}},
            "chart": {"N": [], "1": ["B"], "2": ["K"]},
        },
        "parts": [
            {"id": "pan", "name": "pan"},
            {"id": "ball", "name": "check ball", "quantity": 3, "sticks_to": "the plate"},
            {"id": "drum", "name": "drum"},
            {"id": "seal", "name": "seal", "policy": "always new"},
            {"id": "washer", "name": "washer", "policy": "selective"},
        ],
        "fasteners": [
            {"id": "lid", "name": "pan to case", "thread": "M6x1.0", "hand": "left", "length_mm": 20, "grip_mm": 8,
             "places": [{"id": "a"}, {"id": "b"}, {"id": "c"}], "order": ["b", "a", "c"],
             "stages": [{"torque": "5 N·m"}, {"torque": "10 N·m"}], "renew": "sealing washer"},
        ],
        "steps": [
            {"id": "T1", "phase": "teardown", "title": "end play as found", "record": ["play"]},
            {"id": "T2", "phase": "teardown", "title": "pan off", "needs": ["T1"], "off": ["pan"], "loosen": ["lid"]},
            {"id": "T3", "phase": "teardown", "title": "balls out", "needs": ["T2"],
             "off": [{"part": "ball", "count": 3}], "count": "3 check balls"},
            {"id": "T4", "phase": "teardown", "title": "drum out", "needs": ["T2"], "off": ["drum", "seal", "washer"],
             "write_down": ["which way the drum faced"]},
            {"id": "A1", "phase": "build", "title": "drum in", "on": ["drum", "seal", "washer"], "record": ["play"],
             "verify": "the drum turns by hand"},
            {"id": "A2", "phase": "build", "title": "balls in", "needs": ["A1"], "on": [{"part": "ball", "count": 3}]},
            {"id": "A3", "phase": "build", "title": "pan on", "needs": ["A2"], "on": ["pan"], "tighten": ["lid"]},
        ],
        "fits": [
            {"id": "play", "name": "end play", "kind": "end play", "min": "0.25 mm", "max": "0.50 mm",
             "goal": "0.375 mm", "trial": "1.80 mm", "part": "washer", "selective": "washer",
             "sizes_mm": ["1.50", "1.65", "1.80", "1.95", "2.10", "2.25", "2.40"], "readings": 2,
             "instrument": {"name": "dial", "resolution": "0.01 mm"}, "suspects": ["thrust bearing missing"],
             "source": "invented"},
            {"id": "gap", "name": "clearance", "kind": "clutch clearance", "min": "0.90 mm", "max": "1.20 mm",
             "gap": [{"name": "depth"}, {"name": "stack", "sign": "-"}], "part": "washer", "selective": "snap ring",
             "sizes_mm": ["1.8", "2.0", "2.2"], "readings": 1,
             "instrument": {"name": "feeler", "resolution": "0.01 mm"}},
        ],
        "limits": [
            {"id": "wear", "name": "plate thickness", "part": "drum", "min": "1.90 mm", "worn": "shrinks",
             "instrument": {"name": "micrometer", "resolution": "0.01 mm"}, "source": "invented"},
            {"id": "lip", "name": "seal lip", "part": "seal"},
            {"id": "flow", "name": "cooler flow", "stage": "prove", "min": "3.0 L/min", "must": True, "killer": True,
             "readings": 1, "instrument": {"name": "jug", "resolution": "0.1 L/min"}, "source": "invented"},
        ],
    }
)  # fmt: skip

START = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


def with_limits(*limits: Limit) -> Transmission:
    """The small unit with further limits; built anew, since a copy would keep what the first one looked up."""
    told = {name: getattr(UNIT, name) for name in Transmission.model_fields}
    return Transmission.model_validate({**told, "limits": (*UNIT.limits, *limits)})


class Log:
    """A job in memory: asks the stage of each body, and keeps what is accepted."""

    def __init__(self, transmission: Transmission = UNIT) -> None:
        self.transmission = transmission
        opened = JobOpened(tag="J1", vehicle="van", unit=transmission.name, definition="0" * 64)
        self.entries = [self._entry(opened)]

    @property
    def state(self) -> JobState:
        """The state folded from what was kept."""
        return fold(self.entries)

    def ask(self, body: Body) -> Outcome:
        """What the stage says to a body, without keeping it."""
        return review(self.transmission, self.state, self._entry(body))

    def say(self, *bodies: Body) -> Entry:
        """Keep bodies; fails where a stage objects.  Returns the last entry."""
        for body in bodies:
            entry = self._entry(body)
            outcome = review(self.transmission, self.state, entry)
            assert outcome.accepted, (*outcome.objections, *outcome.fields.items())
            self.entries.append(entry)
        return self.entries[-1]

    def refused(self, body: Body) -> str:
        """The words with which a body is refused; fails where it is not."""
        outcome = self.ask(body)
        assert not outcome.accepted, f"{body} was accepted"
        return " ".join(
            (*outcome.objections, *(f"{name}: {words}" for name, words in outcome.fields.items()))
        )

    def _entry(self, body: Body) -> Entry:
        at = START + timedelta(minutes=len(getattr(self, "entries", ())))
        return Entry(id=uuid.uuid4().hex, at=at, by="R. Bench", body=body)


def placed(*names: str, place: str = "mat") -> Sequence[dict[str, object]]:
    """Pieces to a place: "ball:3" is three of them."""
    found = []
    for name in names:
        part, _, count = name.partition(":")
        found.append({"part": part, "count": int(count or 1), "place": place})
    return found
