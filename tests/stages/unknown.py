"""A job on a unit that no file describes, in memory."""

from __future__ import annotations

from countershaft.job.at_removal import CameOff, FastenersOff
from countershaft.job.entry import Body, Entry, StepDone
from countershaft.job.removals import as_logged, next_number, removal
from countershaft.model.transmission import Transmission
from countershaft.stages.outcome import Outcome
from countershaft.stages.review import review
from tests.small_unit import Log

__all__ = ["BARE", "Unknown"]

BARE = Transmission(format=1, name="grey box")


class Unknown(Log):
    """A log whose file is what the log itself writes."""

    def __init__(self, base: Transmission = BARE) -> None:
        super().__init__(base)

    @property
    def file(self) -> Transmission:
        """The file with what was logged."""
        return as_logged(self.transmission, self.state)

    def ask(self, body: Body) -> Outcome:
        """What the stage says to a body."""
        return review(self.file, self.state, self._entry(body))

    def say(self, *bodies: Body) -> Entry:
        """Keep bodies; fails where a stage objects."""
        for body in bodies:
            outcome = self.ask(body)
            assert outcome.accepted, (*outcome.objections, *outcome.fields.items())
            self.entries.append(self._entry(body))
        return self.entries[-1]

    def body(
        self,
        what: str,
        count: int = 1,
        place: str = "mat",
        *sizes: str,
        together: bool = False,
        parked: bool = False,
    ) -> StepDone:
        """A removal with the next number; sizes as "6:M8x25"."""
        fasteners = tuple(
            FastenersOff(size=size, count=int(number))
            for number, size in (one.split(":", 1) for one in sizes)
        )
        off = CameOff(what=what, count=count, fasteners=fasteners, together=together)
        return removal(next_number(self.file, self.state), off, place, parked=parked)

    def off(self, what: str, count: int = 1, place: str = "mat", *sizes: str, **more: bool) -> Entry:
        """Log a removal."""
        return self.say(self.body(what, count, place, *sizes, **more))
