"""What a measured value says against its limits: good, bad, or measure again."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from countershaft.errors import OutOfRange
from countershaft.metrology.readings import Estimate

__all__ = ["Judgement", "Verdict", "judge"]


class Verdict(StrEnum):
    """The only answers that a check can have."""

    GOOD = "good"
    BAD = "bad"
    AGAIN = "measure again"
    NOT_MEASURED = "not measured"


@dataclass(frozen=True, slots=True)
class Judgement:
    """A verdict and the reason for it in one sentence."""

    verdict: Verdict
    why: str


def judge(
    value: Estimate, *, lower: float | None, upper: float | None, unit: str, digits: int = 2
) -> Judgement:
    """Compare a measured value with its limits, uncertainty included.

    Good only when the whole interval of about 95 % lies inside; bad only when it lies wholly outside; in between
    nobody can tell, and the answer is to measure again.

    Parameters
    ----------
    value : Estimate [any]
        The measured value.
    lower, upper : float, optional [any]
        The limits, in the unit of the value; at least one.
    unit : str
        The unit, for the sentence.
    digits : int [-]
        Digits behind the point, for the sentence.

    Returns
    -------
    Judgement
        The verdict and why.

    Raises
    ------
    OutOfRange
        No limit is given, or they are in the wrong order.

    References
    ----------
    ISO 14253-1:2017, rules for proving conformity and nonconformity; JCGM 106:2012, 8.3 (guarded acceptance).

    Examples
    --------
    >>> from countershaft.metrology.readings import estimate
    >>> judge(estimate([0.07], resolution=0.01), lower=0.02, upper=0.07, unit="mm").verdict.value
    'measure again'
    """
    if lower is None and upper is None:
        raise OutOfRange("neither a lower nor an upper limit is given; there is nothing to judge by.")
    if lower is not None and upper is not None and lower >= upper:
        raise OutOfRange(f"the lower limit {lower:g} is not below the upper limit {upper:g}.")
    low, high = value.interval
    said = value.stated(unit, digits=digits)
    if upper is not None and low > upper:
        return Judgement(Verdict.BAD, f"{said} lies above {upper:.{digits}f} {unit}.")
    if lower is not None and high < lower:
        return Judgement(Verdict.BAD, f"{said} lies below {lower:.{digits}f} {unit}.")
    if upper is not None and high > upper:
        return Judgement(Verdict.AGAIN, _undecided(said, upper, unit, digits))
    if lower is not None and low < lower:
        return Judgement(Verdict.AGAIN, _undecided(said, lower, unit, digits))
    return Judgement(Verdict.GOOD, f"{said} {_keeps(lower, upper, unit, digits)}.")


def _undecided(said: str, limit: float, unit: str, digits: int) -> str:
    return (
        f"{said} reaches across the limit {limit:.{digits}f} {unit}; nobody can tell. "
        "Take more readings, or use an instrument with a finer scale."
    )


def _keeps(lower: float | None, upper: float | None, unit: str, digits: int) -> str:
    if lower is None:
        return f"is at most {upper:.{digits}f} {unit}, as allowed"
    if upper is None:
        return f"is at least {lower:.{digits}f} {unit}, as asked"
    return f"lies inside {lower:.{digits}f} to {upper:.{digits}f} {unit}"
