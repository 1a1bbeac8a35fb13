"""How sure the readings of a report are: each in its slot, with what weighs most, how probable, and by which rule."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from countershaft.figures.slot_gauge import slot_gauge
from countershaft.job.state import JobState
from countershaft.metrology.conformity import Judgement
from countershaft.metrology.readings import Estimate
from countershaft.model.transmission import Transmission
from countershaft.papers.blocks import Block, Gauge, Gauges, Heading, Paragraph, Table
from countershaft.papers.measured import Slot, odds, shares, slot_of, taken_words
from countershaft.stages import fit, inspection

__all__ = ["uncertainties"]

_WORDS = (
    "Each uncertainty covers about 95 % (JCGM 100). "
    "The verdict follows JCGM 106 and ISO 14253-1, by the rule that the shop had on that day."
)


@dataclass(frozen=True, slots=True)
class _Judged:
    """A judged value as the report tells it."""

    slot: Slot
    when: str
    value: Estimate
    judgement: Judgement
    weighs: str
    taken: str

    def row(self) -> tuple[str, ...]:
        stated = self.value.stated(self.slot.unit, digits=self.slot.digits)
        return self.slot.name, self.when, stated, self.weighs, odds(self.judgement), self.taken

    def gauge(self) -> Gauge:
        drawn = slot_of(self.slot, self.value, self.judgement, when=self.when)
        return Gauge(f"{self.slot.name}, {self.when}", slot_gauge(drawn), self.judgement.verdict.value)


def uncertainties(transmission: Transmission, state: JobState) -> Iterator[Block]:
    """Every judged reading with its uncertainty in short; nothing where nothing was measured.

    The newest reading of each check and fit stands in its slot.
    """
    found = (*_of_limits(transmission, state), *_of_fits(transmission, state))
    if not found:
        return
    newest = {one.slot.name: one for one in found}
    yield Heading("How sure the readings are")
    yield Paragraph(_WORDS)
    yield Gauges(tuple(one.gauge() for one in newest.values()))
    yield Table(
        ("Reading", "When", "Value", "Weighs most", "It conforms", "Taken"), tuple(one.row() for one in found)
    )


def _of_limits(transmission: Transmission, state: JobState) -> Iterator[_Judged]:
    for limit in transmission.limits:
        for when in ("as found", "as left"):
            one = inspection.checked(transmission, state, limit, when=when)
            if one.value is None or one.entry is None or limit.unit is None:
                continue
            lower, upper = (None if end is None else end.to(limit.unit) for end in (limit.min, limit.max))
            yield _Judged(
                Slot(limit.name, lower, upper, None, limit.unit, one.digits),
                when,
                one.value,
                one.judgement,
                # A value that follows from other readings has no budget of its own.
                "follows from other readings" if one.working else shares(one.value.budget),
                taken_words(getattr(one.entry.body, "taken", None)),
            )


def _of_fits(transmission: Transmission, state: JobState) -> Iterator[_Judged]:
    for now in fit.survey(transmission, state).fits:
        found = [(now.found.windows[0], "as found", now.as_found, now.as_found_judgement)]
        found += [(one.window, "as left", one.value, one.judgement) for one in now.lefts]
        for window, when, value, judgement in found:
            if value is not None and judgement is not None:
                name = now.fit.name if len(now.lefts) == 1 else f"{now.fit.name}: {window.name}"
                low, high, goal = (float(end) for end in (window.lower, window.upper, window.goal))
                slot = Slot(name, low, high, goal, window.unit, window.digits)
                yield _Judged(slot, when, value, judgement, shares(value.budget), "")
