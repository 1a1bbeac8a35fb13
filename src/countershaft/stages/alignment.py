"""Alignment: every sweep of the housing in a job with the dowels as they stood, and what may join the log.

Every sweep stays in the log and on the page; the newest is judged.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

from countershaft.job.entry import DowelSeen, Entry, HousingSwept
from countershaft.job.state import JobState
from countershaft.metrology.alignment_advice import StandingDowel
from countershaft.metrology.conformity import Judgement, Verdict
from countershaft.metrology.plausibility import second_thoughts
from countershaft.metrology.readings import Estimate
from countershaft.model.housing import Dowel, Housing
from countershaft.model.transmission import Transmission
from countershaft.source import Source
from countershaft.stages.housing_sweep import Asked, SweepRun, metres, swept, told_in
from countershaft.stages.measuring import doubts, estimated, judged
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to

__all__ = ["Alignment", "DowelState", "asked_of", "review", "review_sweep", "survey"]


#: The units that an indicator may show, as they are asked for.
_SPOKEN: Final = {"mm": "mm", "in": "inch", "thou": "thou"}


@dataclass(frozen=True, slots=True)
class DowelState:
    """A dowel of the file; its newest reading is judged, in mm or inches, and those `before` it stay."""

    dowel: Dowel
    source: Source | None
    entry: Entry | None
    body: DowelSeen | None
    value: Estimate | None
    judgement: Judgement
    before: tuple[DowelSeen, ...] = ()


@dataclass(frozen=True, slots=True)
class Alignment:
    """Every sweep of a job, oldest first, and the dowels as they stand now."""

    housing: Housing | None
    runs: tuple[SweepRun, ...]
    dowels: tuple[DowelState, ...]

    @property
    def newest(self) -> SweepRun | None:
        """The sweep that is judged."""
        return self.runs[-1] if self.runs else None

    @property
    def good(self) -> bool:
        """The newest sweep still holds, and neither bore nor face nor a dowel is other than good."""
        run = self.newest
        if run is None or run.changed or run.advice.bore is not Verdict.GOOD:
            return False
        return run.advice.face in {Verdict.GOOD, Verdict.NOT_MEASURED} and all(
            one.is_home for one in run.standing
        )


def survey(transmission: Transmission, state: JobState) -> Alignment:
    """The alignment as its page shows it."""
    housing = transmission.housing
    entries = state.of(HousingSwept)
    runs = tuple(_run_in_job(transmission, state, entry, body, entries) for entry, body in entries)
    dowels = tuple(_dowel(transmission, state, dowel) for dowel in (housing.dowels if housing else ()))
    return Alignment(housing, runs, dowels)


def asked_of(transmission: Transmission, body: HousingSwept) -> Asked:
    """What a sweep is held against: what the file says, else what was typed with the sweep."""
    housing = transmission.housing or Housing()
    bore, face = housing.bore, housing.face
    return Asked(
        bore=bore.max if bore else body.bore_max,
        face=face.max if face else body.face_max,
        diameter=body.diameter or (face.diameter if face else None),
        bushing=body.bushing or housing.bushing,
        closure=housing.closure,
        offset_dowels=housing.offset_dowels,
        bore_source=transmission.source(bore.source or housing.source) if bore else None,
        face_source=transmission.source(face.source or housing.source) if face else None,
    )


def review(transmission: Transmission, state: JobState, entry: Entry) -> Outcome:
    """Whether a sweep or a dowel's reading may join the log; what stands there already is no matter."""
    body, on = entry.body, entry.at.date()
    if isinstance(body, HousingSwept):
        return review_sweep(transmission, body, on)
    return _review_dowel(transmission, body, on) if isinstance(body, DowelSeen) else ACCEPTED


def review_sweep(transmission: Transmission, body: HousingSwept, on: date) -> Outcome:
    """A sweep that contradicts itself joins the log only where somebody says that it is so."""
    asked = asked_of(transmission, body)
    housing = transmission.housing or Housing()
    strange = set(body.answers) - set(housing.checks(face=bool(body.face) or body.face_total is not None))
    if strange:
        names = ", ".join(sorted(strange))
        return object_to(f"The sweep does not answer {names}; the file does not say that it does.")
    missing = _missing(body, asked)
    if missing.fields or (body.taken is not None and body.taken.sure):
        return missing
    run = swept(body, asked)
    slip = _unit_doubt(run)
    if slip:
        return object_to(unit=slip, sure="Correct the unit or the figures, or say that it is so.")
    fields = _contradictions(run)
    if fields:
        fields["sure"] = "The sweep contradicts itself. Written down all the same, it is not judged."
    first = doubts(body.bore, body.unit, resolution=body.resolution, taken=body.taken, on=on, one_place=False)
    if first:
        fields["sure"] = " ".join(first)
    return object_to(**fields)


def _contradictions(run: SweepRun) -> dict[str, str]:
    """What in a sweep contradicts itself, by the field of the form."""
    fields: dict[str, str] = {}
    if not run.bore.sweep.closes:
        fields["bore"] = run.bore.sweep.closure_words(run.unit)
    if run.face is not None and run.face.sweep is not None and not run.face.sweep.closes:
        fields["face"] = run.face.sweep.closure_words(run.unit)
    for one in run.back:
        if not one.holds:
            before = fields.get(one.surface)
            fields[one.surface] = f"{before} {one.words(run.unit)}" if before else one.words(run.unit)
    return fields


def _review_dowel(transmission: Transmission, body: DowelSeen, on: date) -> Outcome:
    """A dowel must be in the file, and the figure be a dowel's."""
    dowels = transmission.housing.dowels if transmission.housing else ()
    dowel = next((one for one in dowels if one.name == body.dowel), None)
    if dowel is None:
        names = ", ".join(one.name for one in dowels)
        return object_to(f"There is no dowel {body.dowel!r} in the file; it has {names or 'none'}.")
    low, high = dowel.min.to(body.unit), dowel.max.to(body.unit)
    asked = doubts(
        body.values, body.unit, resolution=body.resolution, taken=body.taken, on=on, lower=low, upper=high
    )
    return object_to(sure=f"Dowel {dowel.title}: {' '.join(asked)}") if asked else ACCEPTED


def _missing(body: HousingSwept, asked: Asked) -> Outcome:
    """What a sweep cannot be judged without."""
    fields: dict[str, str] = {}
    places = {hour % 12 for hour in body.hours}
    if len(places) < 4:
        fields["bore"] = (
            f"{len(places)} different places are read; at least four are needed, or nothing checks it."
        )
    if asked.bore is None:
        fields["bore_max"] = "type the most runout of the bore that the service information allows."
    if body.face or body.face_total is not None:
        if asked.face is None:
            fields["face_max"] = "the face was swept; type the most runout of it that is allowed."
        if asked.diameter is None:
            fields["diameter"] = "type the diameter of the circle that the plunger ran on."
    typed = {
        "bore_max": asked.bore,
        "face_max": asked.face,
        "diameter": asked.diameter,
        "bushing": asked.bushing,
    }
    for name, length in typed.items():
        if length is not None and not length.value > 0:
            fields[name] = f"{length} is no such length; it must be above 0."
    return object_to(**fields)


def _unit_doubt(run: SweepRun) -> str:
    """A question about a sweep that another unit explains better; empty where there is none."""
    body, limit = run.body, run.asked.bore
    assert limit is not None, "a sweep without a limit was refused"
    metre = metres(Decimal(1), body.unit)
    total, given = run.bore.total / metre, limit.to(body.unit)
    meant = {f"{_SPOKEN[unit]}?": unit for unit in _SPOKEN}
    found = [one for one in second_thoughts(total, body.unit, upper=given) if one.question in meant]
    if found:
        return (
            f"In {body.unit} the bore would run out {total:.4g} {body.unit}, and {limit} is allowed: "
            f"{found[0].question} Choose the unit that the indicator shows."
        )
    half = body.resolution / 2
    odd = next((one for one in (*body.bore, *body.face) if one % half), None)
    if odd is not None:
        return (
            f"{odd} {body.unit} does not stand on a scale with steps of {body.resolution} {body.unit}. "
            "Choose the unit that the indicator shows, or type its step."
        )
    return ""


def _run_in_job(
    transmission: Transmission,
    state: JobState,
    entry: Entry,
    body: HousingSwept,
    entries: tuple[tuple[Entry, HousingSwept], ...],
) -> SweepRun:
    """A sweep of the log, with the dowels as they stood when it was made."""
    at = state.position[entry.id]
    after = next((state.position[one.id] for one, _ in entries if state.position[one.id] > at), math.inf)
    standing, changed = [], []
    for dowel in transmission.housing.dowels if transmission.housing else ():
        seen = [
            (state.position[one.id], said) for one, said in state.of(DowelSeen) if said.dowel == dowel.name
        ]
        before = [said for place, said in seen if place < at]
        later = [said for place, said in seen if at < place < after]
        used = before[-1] if before else later[0] if later else None
        if used is not None:
            standing.append(_standing(dowel, used))
        if len(later) > (0 if before else 1):
            changed.append(dowel.title)
    return swept(body, asked_of(transmission, body), tuple(standing), changed=tuple(changed), entry=entry)


def _standing(dowel: Dowel, body: DowelSeen) -> StandingDowel:
    values = [metres(one, body.unit) for one in body.values]
    return StandingDowel(
        dowel.title,
        round(math.fsum(values) / len(values), 12),
        round(dowel.min.to("m"), 12),
        round(dowel.max.to("m"), 12),
    )


def _dowel(transmission: Transmission, state: JobState, dowel: Dowel) -> DowelState:
    """A dowel with its newest reading."""
    housing = transmission.housing
    source = transmission.source(dowel.source or (housing.source if housing else None))
    seen = [(entry, body) for entry, body in state.of(DowelSeen) if body.dowel == dowel.name]
    if not seen:
        judgement = Judgement(Verdict.NOT_MEASURED, "nobody has read how far it stands out.")
        return DowelState(dowel, source, None, None, None, judgement)
    entry, body = seen[-1]
    unit = told_in(body.unit)
    value = estimated(body.values, body.unit, resolution=body.resolution, to=unit, taken=body.taken)
    judgement = judged(
        value,
        lower=dowel.min.to(unit),
        upper=dowel.max.to(unit),
        unit=unit,
        digits=2 if unit == "mm" else 3,
        taken=body.taken,
    )
    return DowelState(dowel, source, entry, body, value, judgement, tuple(said for _, said in seen[:-1]))
