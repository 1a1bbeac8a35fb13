"""A sweep of the converter housing as a stage reads it: bore and face judged together, with what to do.

Places run clockwise from 12 o'clock, seen from the gearbox.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from countershaft import units
from countershaft.errors import OutOfRange
from countershaft.job.entry import Entry, HousingSwept
from countershaft.metrology.alignment_advice import AlignmentAdvice, StandingDowel, advise
from countershaft.metrology.clock_face import METRES, LengthUnit, clock_angle, length_words
from countershaft.metrology.conformity import Judgement, Verdict
from countershaft.metrology.housing_bore import BoreOffset, bore_offset
from countershaft.metrology.housing_face import FaceTilt, face_from_total, face_tilt
from countershaft.metrology.readings import Estimate, estimate
from countershaft.source import Source
from countershaft.stages.measuring import RULES, estimated, judged
from countershaft.units import Quantity

__all__ = ["Asked", "Return", "SweepRun", "metres", "swept", "told_in"]


@dataclass(frozen=True, slots=True)
class Asked:
    """What a sweep is held against [m]; a length that nobody gave is None."""

    bore: Quantity | None
    face: Quantity | None
    diameter: Quantity | None
    bushing: Quantity | None
    closure: Quantity | None
    offset_dowels: tuple[Quantity, ...]
    bore_source: Source | None = None
    face_source: Source | None = None


@dataclass(frozen=True, slots=True)
class Return:
    """What the indicator read at the first place, and when it came back to it [m]."""

    surface: str
    difference: float
    allowed: float

    @property
    def holds(self) -> bool:
        """Whether it came back to the same figure, as far as the reading can be trusted."""
        return abs(self.difference) <= self.allowed * (1 + 1e-9)

    def words(self, unit: LengthUnit) -> str:
        """The return in one sentence, with what to do."""
        off, most = length_words(abs(self.difference), unit), length_words(self.allowed, unit)
        said = f"{self.surface.capitalize()}: back at the first place the indicator is off by {off}, allowed {most}"
        return (
            f"{said}." if self.holds else f"{said}. It slipped or its stand moved: fasten it and sweep again."
        )


@dataclass(frozen=True, slots=True)
class SweepRun:
    """One sweep with what it means, in SI.

    `back` holds the returns that were read; `closes` is whether the sweep agrees with itself in every way.
    `changed` names dowels that were read again after the sweep: it no longer says how the housing stands.
    """

    body: HousingSwept
    entry: Entry | None
    asked: Asked
    bore: BoreOffset
    face: FaceTilt | None
    back: tuple[Return, ...]
    standing: tuple[StandingDowel, ...]
    changed: tuple[str, ...]
    advice: AlignmentAdvice
    bore_estimate: Estimate
    face_estimate: Estimate | None
    bore_judgement: Judgement
    face_judgement: Judgement

    @property
    def unit(self) -> LengthUnit:
        """The unit that its sentences are told in."""
        return told_in(self.body.unit)

    @property
    def closes(self) -> bool:
        """Whether bore and face close and the indicator came back."""
        face = self.face is None or self.face.sweep is None or self.face.sweep.closes
        return self.bore.sweep.closes and face and all(one.holds for one in self.back)

    @property
    def shift(self) -> float | None:
        """How far the lean of the face carries the axis off at the hub bushing [m]."""
        if self.face is None or self.asked.bushing is None:
            return None
        return self.face.shift_at(self.asked.bushing.to("m"))

    @property
    def shift_expanded(self) -> float:
        """Half width that covers about 95 % of that shift [m]."""
        if self.face is None or self.asked.bushing is None:
            return 0.0
        return 2 * self.face.standard / self.face.diameter * self.asked.bushing.to("m")

    @property
    def bore_working(self) -> tuple[str, ...]:
        """The working of the bore, line by line, with the closure of the sweep."""
        returns = (one.words(self.unit) for one in self.back if one.surface == "bore")
        closure = self.bore.sweep.closure_words(self.unit)
        corrected = bool(self.body.sag or self.body.rise)
        found = self.bore.working(self.unit)[0 if corrected else 1 :]
        return (*_sums(self.body), *found, closure, *returns, *_reading_lines(self.body))

    @property
    def face_working(self) -> tuple[str, ...]:
        """The working of the face, line by line."""
        if self.face is None:
            return ()
        closure = (self.face.sweep.closure_words(self.unit),) if self.face.sweep is not None else ()
        returns = (one.words(self.unit) for one in self.back if one.surface == "face")
        return (*self.face.working(self.unit), *closure, *returns, *_reading_lines(self.body))

    @property
    def shift_working(self) -> tuple[str, ...]:
        """The working of the shift at the bushing."""
        if self.face is None or self.asked.bushing is None or self.shift is None:
            return ()
        u = self.unit
        total, across = length_words(self.face.total, u, extra=1), length_words(self.face.diameter, u)
        far, shift = length_words(self.asked.bushing.to("m"), u), length_words(self.shift, u, extra=1)
        off = length_words(self.shift_expanded, u, extra=1)
        return (f"shift = total / diameter · distance = {total} / {across} · {far} = {shift}, U = {off}",)


def told_in(unit: str) -> LengthUnit:
    """The unit of the sentences about readings that were typed in a unit."""
    return "mm" if unit == "mm" else "in"


def metres(value: Decimal, unit: str) -> float:
    """A typed length in metres."""
    return units.convert(value, unit, "m")


def swept(
    body: HousingSwept,
    asked: Asked,
    standing: tuple[StandingDowel, ...] = (),
    *,
    changed: tuple[str, ...] = (),
    entry: Entry | None = None,
) -> SweepRun:
    """What one sweep means; raises OutOfRange where the figures cannot be a sweep."""
    unit, u = told_in(body.unit), _reading(body).standard * METRES[told_in(body.unit)]
    bore, face = _bore(body, asked, u), _face(body, asked, u)
    if asked.bore is None:
        raise OutOfRange("a sweep is judged against the most runout of the bore; give that limit.")
    said = advise(
        bore,
        face if asked.face is not None else None,
        bore_limit=asked.bore.to("m"),
        face_limit=asked.face.to("m") if asked.face is not None and face is not None else None,
        standing=standing,
        offset_dowels={size.to("m"): 2 for size in asked.offset_dowels},
        unit=unit,
        guard=RULES[body.taken.rule if body.taken else "guarded"].guard,
    )
    back = tuple(_returns(body, asked, u))
    said = _with_returns(_with_changes(said, changed), back, unit)
    bore_value = _known(bore.total, 2 * bore.offset_standard, body)
    face_value = _known(face.total, face.standard, body) if face is not None else None
    return SweepRun(
        body=body,
        entry=entry,
        asked=asked,
        bore=bore,
        face=face,
        back=back,
        standing=standing,
        changed=changed,
        advice=said,
        bore_estimate=bore_value,
        face_estimate=face_value,
        bore_judgement=_judgement(said.bore, bore_value, asked.bore, body),
        face_judgement=_judgement(said.face, face_value, asked.face, body),
    )


def _bore(body: HousingSwept, asked: Asked, u: float) -> BoreOffset:
    sag, rise = metres(body.sag, body.unit), metres(body.rise, body.unit)
    return bore_offset(
        _angles(body),
        [metres(one, body.unit) for one in body.bore],
        standard=u,
        sag=sag,
        sag_standard=u if body.sag else 0.0,
        crank_rise=rise,
        crank_rise_standard=u if body.rise else 0.0,
        closure_limit=asked.closure.to("m") if asked.closure is not None else None,
    )


def _face(body: HousingSwept, asked: Asked, u: float) -> FaceTilt | None:
    if asked.diameter is None:
        return None
    across = asked.diameter.to("m")
    if body.face:
        return face_tilt(
            _angles(body),
            [metres(one, body.unit) for one in body.face],
            diameter=across,
            standard=u,
            closure_limit=asked.closure.to("m") if asked.closure is not None else None,
        )
    if body.face_total is None:
        return None
    return face_from_total(metres(body.face_total, body.unit), diameter=across, standard=u)


def _angles(body: HousingSwept) -> list[float]:
    return [clock_angle(float(hour)) for hour in body.hours]


def _returns(body: HousingSwept, asked: Asked, u: float) -> Iterator[Return]:
    """The returns that were read; two readings differ by 2·√2·u in about 95 of 100 cases."""
    allowed = asked.closure.to("m") if asked.closure is not None else 2 * math.sqrt(2) * u
    pairs = (("bore", body.bore[:1], body.bore_back), ("face", body.face[:1], body.face_back))
    for surface, first, back in pairs:
        if first and back is not None:
            yield Return(surface, metres(back, body.unit) - metres(first[0], body.unit), allowed)


def _with_changes(said: AlignmentAdvice, changed: tuple[str, ...]) -> AlignmentAdvice:
    if not changed:
        return said
    names = " and ".join(changed)
    words = f"Dowel {names} was read again after this sweep: sweep again; what is said here was before."
    return replace(said, sentences=(words, *said.sentences[:2]), dowels=None)


def _with_returns(said: AlignmentAdvice, back: tuple[Return, ...], unit: LengthUnit) -> AlignmentAdvice:
    """A sweep in which the indicator did not come back to its first figure is judged by nobody."""
    lost = [one for one in back if not one.holds]
    if not lost:
        return said
    surfaces = {one.surface for one in lost}
    return AlignmentAdvice(
        bore=Verdict.AGAIN if "bore" in surfaces else said.bore,
        face=Verdict.AGAIN if "face" in surfaces else said.face,
        sentences=tuple(one.words(unit) for one in lost),
        dowels=None,
    )


def _reading(body: HousingSwept) -> Estimate:
    """One reading of the sweep with its uncertainty; a zero offset cancels, since only differences count."""
    used = body.taken.used if body.taken else None
    plain = body.taken
    if plain is not None and used is not None:
        plain = plain.model_copy(update={"used": used.model_copy(update={"zero_offset": None})})
    unit = told_in(body.unit)
    return estimated(body.bore[:1], body.unit, resolution=body.resolution, to=unit, taken=plain)


def _reading_lines(body: HousingSwept) -> tuple[str, ...]:
    """Where the uncertainty of one reading comes from."""
    unit = told_in(body.unit)
    lines = _reading(body).working(unit, digits=3 if unit == "mm" else 4)
    bare = body.taken is None or body.taken.used is None
    missing = ("nothing is known of the indicator but its step, so its permitted error is not in this",)
    return ("one reading:", *lines[1:], *(missing if bare else ()))


def _sums(body: HousingSwept) -> tuple[str, ...]:
    """How the offset follows from the readings, with their numbers."""
    named = {f"r{hour.normalize():f}": value for hour, value in zip(body.hours, body.bore, strict=True)}
    read = ", ".join(f"{name} = {value}" for name, value in named.items()).replace("-", "−")
    lines = [f"readings at the hours of the clock: {read} {body.unit}"]
    if set(named) == {"r12", "r3", "r6", "r9"}:
        top, right, bottom, left = (_typed(named[name]) for name in ("r12", "r3", "r6", "r9"))
        lines += [
            f"closure = r12 + r6 − (r3 + r9) = {top} + {bottom} − ({right} + {left}) {body.unit}",
            f"x = (r3 − r9) / 2 = ({right} − {left}) / 2 {body.unit}",
            f"y = (r12 − r6) / 2 = ({top} − {bottom}) / 2 {body.unit}",
        ]
    else:
        lines.append(
            "x and y by least squares: r = mean + x · sin θ + y · cos θ, θ clockwise from 12 o'clock"
        )
    return tuple(lines)


def _typed(value: Decimal) -> str:
    return f"({value})".replace("-", "−") if value < 0 else str(value)


def _known(value: float, standard: float, body: HousingSwept) -> Estimate:
    """A computed figure in the unit of the sentences; it is as uncertain as one read on a scale of √12 times u."""
    metre = METRES[told_in(body.unit)]
    return estimate([value / metre], resolution=standard / metre * math.sqrt(12))


def _judgement(
    verdict: Verdict, value: Estimate | None, limit: Quantity | None, body: HousingSwept
) -> Judgement:
    """The verdict of the advice with its reason in one sentence."""
    if value is None or limit is None:
        return Judgement(Verdict.NOT_MEASURED, "nobody has swept it yet.")
    unit = told_in(body.unit)
    digits = 2 if unit == "mm" else 4
    found = judged(value, lower=None, upper=limit.to(unit), unit=unit, digits=digits, taken=body.taken)
    return (
        found
        if found.verdict is verdict
        else Judgement(verdict, "the sweep contradicts itself: sweep again.")
    )
