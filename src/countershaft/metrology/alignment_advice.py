"""What a sweep of a converter housing means: which of bore and face fails, and what to do about it, in order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from countershaft.errors import OutOfRange
from countershaft.metrology.clock_face import LengthUnit, length_words
from countershaft.metrology.conformity import Verdict
from countershaft.metrology.decision import Rule, verdict_within
from countershaft.metrology.housing_bore import BoreOffset
from countershaft.metrology.housing_face import FaceTilt
from countershaft.metrology.offset_dowels import DowelChoice, choose_dowels

__all__ = ["AlignmentAdvice", "StandingDowel", "advise"]


@dataclass(frozen=True, slots=True)
class StandingDowel:
    """A dowel of the engine and how far it stands out [m]."""

    name: str
    stands: float
    least: float
    most: float

    @property
    def is_home(self) -> bool:
        """Whether it stands as it should."""
        return self.least <= self.stands <= self.most

    def words(self, unit: LengthUnit = "mm") -> str:
        """How it stands, in one sentence."""
        stands = f"Dowel {self.name} stands {length_words(self.stands, unit)}"
        should = f"{length_words(self.least, unit)} to {length_words(self.most, unit)}"
        if self.is_home:
            return f"{stands}, as it should ({should})."
        why = "it is not home" if self.stands > self.most else "it sits too deep"
        return f"{stands} instead of {should}: {why}."


@dataclass(frozen=True, slots=True)
class AlignmentAdvice:
    """The verdicts on bore and face, and what to do, in the order it should be done.

    `dowels` is the choice of offset dowels, None where none is to be fitted (yet).
    """

    bore: Verdict
    face: Verdict
    sentences: tuple[str, ...]
    dowels: DowelChoice | None


def advise(
    bore: BoreOffset,
    face: FaceTilt | None,
    *,
    bore_limit: float,
    face_limit: float | None = None,
    standing: Sequence[StandingDowel] = (),
    offset_dowels: Mapping[float, int] | None = None,
    unit: LengthUnit = "mm",
    guard: float = 1.0,
) -> AlignmentAdvice:
    """Verdicts on bore and face of a housing, and what to do next.

    Parameters
    ----------
    bore : BoreOffset [m]
        What the sweep of the bore found.
    face : FaceTilt, optional [m]
        What the sweep of the face found; None if it was not swept.
    bore_limit : float [m]
        Most total indicator reading of the bore.
    face_limit : float, optional [m]
        Most total indicator reading of the face.
    standing : Sequence[StandingDowel]
        How far the engine's dowels stand out.
    offset_dowels : Mapping[float, int], optional [m, -]
        Offset dowels at hand: offset to count.
    unit : LengthUnit
        "mm" or "in", for the sentences.
    guard : float [-]
        Width of the guard band in expanded uncertainties: 1 proves good and bad, 0 lets the value alone decide.

    Returns
    -------
    AlignmentAdvice [m]
        Verdicts, sentences, and the choice of offset dowels where one is due.

    Raises
    ------
    OutOfRange
        A limit that is not above zero, a guard band below zero, or a face without its limit.

    Notes
    -----
    The order: a sweep that contradicts itself is swept again.  A dowel that is not home is seated and the housing swept
    again; nothing is chosen before.  A face that runs out is cleaned, and then the housing or the block is at fault:
    a dowel moves the bore, never the face, and what mends the face moves the bore too.  Only then offset dowels.

    References
    ----------
    ISO 14253-1:2017 (good and bad only with the uncertainty on the safe side); common practice, no source, for the
    order of the remedies.

    Examples
    --------
    >>> import math
    >>> from countershaft.metrology.housing_bore import bore_offset
    >>> quarters = [math.radians(turn) for turn in (0, 90, 180, 270)]
    >>> found = bore_offset(quarters, [0.0, -0.06e-3, -0.07e-3, -0.02e-3], standard=0.003e-3)
    >>> advise(found, None, bore_limit=0.25e-3).bore.value
    'good'
    """
    if not bore_limit > 0 or (face_limit is not None and not face_limit > 0):
        raise OutOfRange(
            "the limits of bore and face must be above zero; take them from the service information."
        )
    if face is not None and face_limit is None:
        raise OutOfRange("the face was swept but has no limit; give the one of the service information.")
    if not guard >= 0:
        raise OutOfRange(f"the guard band is {guard:g} expanded uncertainties; it must be zero or above.")
    round_ = _of_bore(bore, bore_limit, guard)
    flat = _of_face(face, face_limit, guard)
    told = [_bore_words(bore, bore_limit, round_, unit), *_face_words(face, face_limit, flat, unit)]
    loose = [dowel for dowel in standing if not dowel.is_home]
    told += [dowel.words(unit) for dowel in loose]
    choice = None
    if not bore.sweep.closes:
        told.append(bore.sweep.closure_words(unit))
    elif loose:
        told.append("Seat it and sweep again before anything else; no offset dowel is chosen until then.")
    elif flat is Verdict.BAD:
        told.append(
            "A dowel moves the bore, never the face: look for dirt, paint or a burr between the faces, then for a "
            "bent housing or block. Mend the face and sweep both again."
        )
    elif round_ is Verdict.BAD:
        choice = choose_dowels(bore, offset_dowels or {}, limit=bore_limit)
        told += _way_out(bore, choice, unit)
    closes = bore.sweep.closes and (face is None or face.sweep is None or face.sweep.closes)
    if Verdict.AGAIN in {round_, flat} and closes and not loose:
        told.append(
            "The limit lies within the uncertainty: sweep again with more places or a finer indicator."
        )
    return AlignmentAdvice(round_, flat, tuple(told), choice)


def _verdict(total: float, standard: float, limit: float, guard: float) -> Verdict:
    return verdict_within(total, 2 * standard, lower=None, upper=limit, rule=Rule("housing", guard))


def _of_bore(bore: BoreOffset, limit: float, guard: float) -> Verdict:
    return (
        _verdict(bore.total, 2 * bore.offset_standard, limit, guard) if bore.sweep.closes else Verdict.AGAIN
    )


def _of_face(face: FaceTilt | None, limit: float | None, guard: float) -> Verdict:
    if face is None or limit is None:
        return Verdict.NOT_MEASURED
    if face.sweep is not None and not face.sweep.closes:
        return Verdict.AGAIN
    return _verdict(face.total, face.standard, limit, guard)


def _bore_words(bore: BoreOffset, limit: float, verdict: Verdict, unit: LengthUnit) -> str:
    total = f"{_runout(bore.total, unit)} ± {_runout(4 * bore.offset_standard, unit)}"
    off = f"it is off by {length_words(bore.offset, unit)}, so leave it"
    what = off if verdict is Verdict.GOOD else bore.words(unit)
    if not bore.sweep.closes:
        what = "the sweep contradicts itself, so do not move the housing by it"
    return f"Bore {verdict.value}: {total} TIR, limit {_runout(limit, unit)}; {what}."


def _face_words(
    face: FaceTilt | None, limit: float | None, verdict: Verdict, unit: LengthUnit
) -> tuple[str, ...]:
    if face is None or limit is None:
        return ("Face not measured.",)
    said = f"Face {verdict.value}: {face.words(unit)}; limit {_runout(limit, unit)}."
    if face.sweep is not None and not face.sweep.closes:
        return said, face.sweep.closure_words(unit)
    return (said,)


def _runout(length: float, unit: LengthUnit) -> str:
    """A runout as indicators show it: hundredths of a millimetre, ten-thousandths of an inch."""
    return length_words(length, unit, extra=1 if unit == "in" else 0)


def _way_out(bore: BoreOffset, choice: DowelChoice, unit: LengthUnit) -> tuple[str, ...]:
    """What to do about a bore that is out while all dowels are home."""
    if choice.keeps_limit:
        return (choice.words(unit),)
    need = length_words(bore.offset, unit)
    return (
        choice.words(unit),
        f"Order a pair of about {need} offset; if there is none, housing or block is at fault.",
    )
