"""Custody: where every piece of every part is, as the log tells it.

A piece is in the unit, in a tagged place, or in the unit again.  It is in exactly one of these at any time.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from countershaft.job.entry import StepDone
from countershaft.job.state import JobState
from countershaft.model.steps import Step
from countershaft.model.transmission import Transmission

__all__ = ["Custody", "Lying", "custody", "pieces"]


@dataclass(frozen=True, slots=True)
class Lying:
    """Pieces of one part in one tagged place."""

    part: str
    name: str
    count: int
    place: str


@dataclass(frozen=True, slots=True)
class Custody:
    """Where everything is.

    `lying` is what is out of the unit and where; `off` and `on` count the pieces that were taken off and put on.
    """

    lying: tuple[Lying, ...]
    off: dict[str, int]
    on: dict[str, int]

    def out(self, part: str) -> int:
        """How many pieces of a part are out of the unit now; below zero where more went on than had come off."""
        return self.off.get(part, 0) - self.on.get(part, 0)

    @property
    def places(self) -> tuple[str, ...]:
        """Every tagged place in which something lies, in the order in which it was first used."""
        return tuple(dict.fromkeys(one.place for one in self.lying))


def pieces(transmission: Transmission, step: Step) -> dict[str, int]:
    """Part -> how many pieces a step takes off or puts on; a part without a count means all of it."""
    found: Counter[str] = Counter()
    for piece in step.off if step.phase == "teardown" else step.on:
        found[piece.part] += piece.count or transmission.part(piece.part).quantity
    return dict(found)


def custody(transmission: Transmission, state: JobState) -> Custody:
    """Follow the pieces through the log.

    A step that two benches said is counted once, by its newest entry; what was taken off is laid out before anything
    is put on, so that the pieces add up in whatever order two benches wrote.
    """
    lying: dict[tuple[str, str], int] = {}
    off: Counter[str] = Counter()
    on: Counter[str] = Counter()
    done = [(transmission.step(key), entry.body) for key, entry in state.done_steps.items()]
    for _, body in done:
        for placed in body.placed if isinstance(body, StepDone) else ():
            off[placed.part] += placed.count
            key = (placed.part, placed.place)
            lying[key] = lying.get(key, 0) + placed.count
    for step, _ in done:
        if step.phase == "build":
            for part, count in pieces(transmission, step).items():
                on[part] += count
                _take(lying, part, count)
    return Custody(
        lying=tuple(
            Lying(part, transmission.part(part).name, count, place)
            for (part, place), count in lying.items()
            if count
        ),
        off=dict(off),
        on=dict(on),
    )


def _take(lying: dict[tuple[str, str], int], part: str, count: int) -> None:
    """Take pieces of a part out of the places where they lie, the first place first."""
    for key in [key for key in lying if key[0] == part]:
        taken = min(count, lying[key])
        lying[key] -= taken
        count -= taken
