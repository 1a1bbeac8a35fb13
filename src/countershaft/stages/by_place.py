"""Single readings at several places of a part: each a value of its own; the worst, their mean or their range judged."""

from __future__ import annotations

from dataclasses import dataclass

from countershaft.job.entry import Reading
from countershaft.job.taken import Taken
from countershaft.metrology.conformity import Verdict
from countershaft.metrology.decision import Decision
from countershaft.metrology.readings import Estimate
from countershaft.model.limits import Limit
from countershaft.stages.measuring import combined, estimated, judged

__all__ = ["AtPlace", "ByPlace", "judged_limit", "judged_places", "places_of", "too_few"]


@dataclass(frozen=True, slots=True)
class AtPlace:
    """The value at one of several places; its own verdict where the worst place decides."""

    place: str
    value: Estimate
    judgement: Decision | None


@dataclass(frozen=True, slots=True)
class ByPlace:
    """What is judged of all places, with every one of them; `lines` say how it follows from them."""

    value: Estimate
    judgement: Decision
    places: tuple[AtPlace, ...]
    lines: tuple[str, ...]


def places_of(limit: Limit, body: Reading) -> tuple[str, ...]:
    """The place of each reading, as it was said with the readings, else in the order of the file; empty for repeats."""
    names = (body.taken.places if body.taken else ()) or limit.places
    return names if limit.places and len(names) == len(body.values) else ()


def too_few(limit: Limit, body: Reading) -> str:
    """What is wrong with the number and the places of the readings of a limit; empty where nothing is."""
    got, places = len(body.values), limit.places
    if not places:
        return (
            f"{limit.readings} readings are asked for; got {got}. Take the rest."
            if got < limit.readings
            else ""
        )
    if got != len(places):
        return (
            f"One reading at each of {len(places)} places is asked for ({', '.join(places)}); got {got}. "
            "Take the rest, or say why it is not measured."
        )
    said = body.taken.places if body.taken else ()
    if said and set(said) != set(places):
        return f"The places are {', '.join(places)}; got {', '.join(said)}."
    return ""


def judged_limit(limit: Limit, value: Estimate, digits: int, taken: Taken | None) -> Decision:
    """The verdict on a value by a measured limit."""
    unit = str(limit.unit)
    lower, upper = (None if end is None else end.to(unit) for end in (limit.min, limit.max))
    return judged(value, lower=lower, upper=upper, unit=unit, digits=digits, taken=taken)


def judged_places(limit: Limit, body: Reading, digits: int) -> ByPlace:
    """Readings at several places, judged as the limit asks."""
    unit, taken = str(limit.unit), body.taken
    names = places_of(limit, body)
    values = [
        estimated((one,), body.unit, resolution=body.resolution, to=unit, taken=taken) for one in body.values
    ]
    if limit.of != "worst":
        value, lines = combined(names, values, limit.of, unit, digits=digits)
        places = tuple(AtPlace(name, one, None) for name, one in zip(names, values, strict=True))
        return ByPlace(value, judged_limit(limit, value, digits, taken), places, lines)
    verdicts = [judged_limit(limit, value, digits, taken) for value in values]
    found = tuple(map(AtPlace, names, values, verdicts))
    worst = min(range(len(found)), key=lambda index: _how_bad(verdicts[index]))
    lines = (f"worst of {len(found)} places: {names[worst]}",)
    return ByPlace(values[worst], verdicts[worst], found, lines)


def _how_bad(found: Decision) -> tuple[int, float]:
    """The worse, the smaller: bad before undecided before good, then by how probable conformity is."""
    return (Verdict.BAD, Verdict.AGAIN, Verdict.GOOD).index(found.verdict), found.probability
