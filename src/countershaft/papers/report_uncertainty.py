"""How sure the readings of a report are: what weighs most in each budget, how probable conformity is, by which rule."""

from __future__ import annotations

from collections.abc import Iterator

from countershaft.job.state import JobState
from countershaft.model.transmission import Transmission
from countershaft.papers.blocks import Block, Heading, Paragraph, Table
from countershaft.papers.measured import odds, shares, taken_words
from countershaft.stages import fit, inspection
from countershaft.stages.inspection import Checked

__all__ = ["uncertainties"]

_WORDS = (
    "Each uncertainty covers about 95 % (JCGM 100). "
    "The verdict follows JCGM 106 and ISO 14253-1, by the rule that the shop had on that day."
)


def uncertainties(transmission: Transmission, state: JobState) -> Iterator[Block]:
    """Every judged reading with its uncertainty in short; nothing where nothing was measured."""
    rows = (*_of_limits(transmission, state), *_of_fits(transmission, state))
    if rows:
        yield Heading("How sure the readings are")
        yield Paragraph(_WORDS)
        yield Table(("Reading", "When", "Value", "Weighs most", "It conforms", "Taken"), rows)


def _of_limits(transmission: Transmission, state: JobState) -> Iterator[tuple[str, ...]]:
    for limit in transmission.limits:
        for when in ("as found", "as left"):
            one = inspection.checked(transmission, state, limit, when=when)
            if one.value is None or one.entry is None:
                continue
            yield (
                limit.name,
                when,
                one.value.stated(limit.unit or "", digits=one.digits),
                _heaviest(one),
                odds(one.judgement),
                taken_words(getattr(one.entry.body, "taken", None)),
            )


def _heaviest(one: Checked) -> str:
    """What weighs most; a value that follows from other readings has no budget of its own."""
    assert one.value is not None, "only measured values have a budget"
    return "follows from other readings" if one.working else shares(one.value.budget)


def _of_fits(transmission: Transmission, state: JobState) -> Iterator[tuple[str, ...]]:
    for now in fit.survey(transmission, state).fits:
        name, digits = now.fit.name, now.fit.digits
        found, left = now.as_found, now.left
        if found is not None and now.as_found_judgement is not None:
            stated = found.stated("mm", digits=digits)
            yield name, "as found", stated, shares(found.budget), odds(now.as_found_judgement), ""
        if left is not None:
            stated = left.stated("mm", digits=digits)
            yield name, "as left", stated, shares(left.budget), odds(now.judgement), ""
