"""Good, bad or measure again: how probable conformity is, by which rule that is judged, and what would decide it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from countershaft.errors import OutOfRange
from countershaft.metrology.conformity import Judgement, Verdict
from countershaft.metrology.distributions import t_probability
from countershaft.metrology.instrument import Instrument
from countershaft.metrology.readings import Estimate

__all__ = [
    "GUARDED",
    "PLAIN",
    "Decision",
    "Remedies",
    "Rule",
    "conformity_probability",
    "decide",
    "verdict_within",
    "what_decides",
]

_ON_THE_LIMIT: Final = (
    "The value lies on the limit as far as this scale tells. "
    "Only one that shows on which side it lies decides it; until then treat it as on the limit."
)

#: Finer steps of the same scale that are worth naming, as parts of the present one.
FINER: Final = (0.5, 0.2, 0.1, 0.05, 0.02, 0.01)


@dataclass(frozen=True, slots=True)
class Rule:
    """How a shop decides: `guard` is the width of the guard band in expanded uncertainties, 0 for none."""

    name: str
    guard: float

    def __post_init__(self) -> None:
        if not 0 <= self.guard <= 10:
            raise OutOfRange(f"rule {self.name!r}: a guard band of {self.guard:g} U; expected 0 to 10.")

    @property
    def words(self) -> str:
        """What the rule asks, in one sentence."""
        if not self.guard:
            return f"Rule: {self.name}. The value alone decides, in a window wider than its uncertainty."
        band = "whole uncertainty" if self.guard == 1 else f"uncertainty times {self.guard:g}"
        return f"Rule: {self.name}. Good needs the {band} inside the limits, bad needs it outside."


#: The value alone decides (simple acceptance); the risk is shared evenly.
PLAIN: Final = Rule("plain", 0.0)
#: Good and bad both need the whole expanded uncertainty on their side.
GUARDED: Final = Rule("guarded", 1.0)


@dataclass(frozen=True, slots=True)
class Decision(Judgement):
    """A verdict with its reason, the probability of conformity, and the window in which a mean is good."""

    probability: float
    rule: Rule
    acceptance: tuple[float | None, float | None]

    @property
    def odds(self) -> str:
        """The probability of conformity in words; never a certainty that is not there."""
        return f"{_percent(self.probability)} probable"


@dataclass(frozen=True, slots=True)
class Remedies:
    """What would turn "measure again" into an answer, if mean and scatter stay as they are; None where nothing does.

    `repeats` counts all readings, `instruments` are names of the shop's list; `both` is a step and a permitted error
    that decide only together.
    """

    repeats: int | None
    resolution: float | None
    permitted_error: float | None
    both: tuple[float, float] | None
    instruments: tuple[str, ...]

    @property
    def possible(self) -> bool:
        """Whether there is a way."""
        return bool(self.repeats or self.resolution or self.permitted_error or self.both or self.instruments)

    def sentences(self, unit: str) -> tuple[str, ...]:
        """Each way in one sentence."""
        found = []
        if self.repeats:
            found.append(f"{self.repeats} readings in all would decide it, if they scatter as before.")
        if self.resolution:
            found.append(f"A scale with steps of {self.resolution:.3g} {unit} would decide it.")
        if self.permitted_error:
            found.append(f"An instrument true to {self.permitted_error:.3g} {unit} would decide it.")
        if self.both:
            step, error = self.both
            found.append(
                f"A scale with steps of {step:.3g} {unit} and true to {error:.3g} {unit} would decide it."
            )
        if self.instruments:
            found.append(f"Of the shop's instruments, these would decide it: {', '.join(self.instruments)}.")
        return tuple(found) or (_ON_THE_LIMIT,)


def conformity_probability(
    mean: float,
    standard: float,
    *,
    lower: float | None,
    upper: float | None,
    degrees_of_freedom: float = math.inf,
) -> float:
    """Probability that the true value lies inside its limits.

    Parameters
    ----------
    mean, standard : float [any]
        Best value and its standard uncertainty, which must be above zero.
    lower, upper : float, optional [any]
        The limits, at least one, in the same unit.
    degrees_of_freedom : float [-]
        How well the standard uncertainty is known; infinity takes the value as normal.

    Returns
    -------
    float [-]
        The probability, 0 to 1.

    Raises
    ------
    OutOfRange
        No limit, limits in the wrong order, or an uncertainty that is not above zero.

    References
    ----------
    JCGM 106:2012, 7.2 (one limit), 7.3 and 7.4 (two limits); JCGM 101:2008, 6.4.9 (Student's t for few readings).

    Examples
    --------
    Printed as 0.66 in JCGM 106, 7.4 (from memory):

    >>> round(conformity_probability(13.6, 1.8, lower=12.5, upper=16.3), 2)
    0.66
    """
    _check_limits(lower, upper)
    if not (standard > 0 and math.isfinite(standard)):
        raise OutOfRange(f"the standard uncertainty is {standard:g}; it must be above zero and finite.")

    def below(limit: float) -> float:
        return t_probability((limit - mean) / standard, degrees_of_freedom=degrees_of_freedom)

    if lower is None:
        assert upper is not None, "one of the two is there"
        return below(upper)
    # Seen from the other side, so that a small tail is not lost beside 1.
    above_lower = t_probability((mean - lower) / standard, degrees_of_freedom=degrees_of_freedom)
    if upper is None:
        return above_lower
    above_upper = t_probability((mean - upper) / standard, degrees_of_freedom=degrees_of_freedom)
    if mean > upper:
        return max(0.0, below(upper) - below(lower))
    return max(0.0, above_lower - above_upper)


def decide(
    value: Estimate,
    *,
    lower: float | None,
    upper: float | None,
    unit: str,
    digits: int = 2,
    rule: Rule = GUARDED,
) -> Decision:
    """Judge a measured value by a rule, never without the probability of conformity.

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
    rule : Rule
        How wide the guard band is.

    Returns
    -------
    Decision
        Good, bad or measure again, why, and how probable conformity is.

    Raises
    ------
    OutOfRange
        No limit is given, or they are in the wrong order.

    Notes
    -----
    With the guard band w = guard · U: good within the limits drawn in by w, bad beyond the limits pushed out by w.
    Without one the mean alone decides; but nothing is good in a window narrower than 2 U, whatever the rule.
    A guard band of 0.82 U (k = 2) leaves 95 % on one side, the default of ISO 14253-1:2017.

    References
    ----------
    JCGM 106:2012, 8.2 (simple acceptance), 8.3 (guard bands); ISO 14253-1:2017, 5 (proving conformity or not).

    Examples
    --------
    >>> from countershaft.metrology.readings import estimate
    >>> play = estimate([0.068], resolution=0.01)
    >>> print(decide(play, lower=0.02, upper=0.07, unit="mm").why)
    0.07 ± 0.006 mm reaches into the guard band at 0.07 mm; 76 % probable that it conforms.
    >>> print(decide(play, lower=0.02, upper=0.07, unit="mm", rule=PLAIN).why)
    0.07 ± 0.006 mm lies inside 0.02 to 0.07 mm; 76 % probable that it conforms.
    """
    _check_limits(lower, upper)
    probability = conformity_probability(
        value.mean, value.standard, lower=lower, upper=upper, degrees_of_freedom=value.degrees_of_freedom
    )
    band = rule.guard * value.expanded
    acceptance = (None if lower is None else lower + band, None if upper is None else upper - band)
    verdict, how = _verdict(value, lower, upper, rule)
    place = _place(how, value.mean, lower, upper, unit, digits)
    why = f"{value.stated(unit, digits=digits)} {place}; {_percent(probability)} probable that it conforms."
    return Decision(verdict, why, probability, rule, acceptance)


def what_decides(
    value: Estimate,
    *,
    lower: float | None,
    upper: float | None,
    rule: Rule = GUARDED,
    most_repeats: int = 20,
    instruments: Sequence[Instrument] = (),
) -> Remedies:
    """What would decide a value that nobody can judge yet: more readings, a finer scale, a truer instrument.

    Parameters
    ----------
    value : Estimate [any]
        The measured value.
    lower, upper : float, optional [any]
        The limits, in the unit of the value; at least one.
    rule : Rule
        How the shop decides.
    most_repeats : int [-]
        How many readings one may ask of a person.
    instruments : Sequence[Instrument]
        The shop's instruments in the same unit, to be named where one would do.

    Returns
    -------
    Remedies
        Each way by itself; with a value that is decided already, none is needed and none is named.

    Raises
    ------
    OutOfRange
        No limit is given, or they are in the wrong order.

    References
    ----------
    JCGM 106:2012, 8.3.2 (the guard band follows from the uncertainty); JCGM 100:2008, 4.2.3 (repeats).

    Examples
    --------
    >>> from countershaft.metrology.readings import estimate
    >>> play = estimate([0.062, 0.068, 0.065], resolution=0.001)
    >>> print(*what_decides(play, lower=0.02, upper=0.07).sentences("mm"))
    5 readings in all would decide it, if they scatter as before.
    """
    _check_limits(lower, upper)

    def decides(forecast: Estimate) -> bool:
        return _verdict(forecast, lower, upper, rule)[0] is not Verdict.AGAIN

    if decides(value):
        return Remedies(None, None, None, None, ())
    count = len(value.readings)
    more = range(count + 1, most_repeats + 1) if value.spread > 0 else range(0)
    repeats = next((n for n in more if decides(value.foreseen(repeats=n))), None)
    step, error = value.resolution, value.permitted_error
    finer = next((s for s in _parts(step) if decides(value.foreseen(resolution=s))), None)
    truer = next((e for e in _parts(error) if decides(value.foreseen(permitted_error=e))), None)
    both = None
    if error and finer is None and truer is None:
        pairs = ((step * part, error * part) for part in FINER)
        both = next(
            (one for one in pairs if decides(value.foreseen(resolution=one[0], permitted_error=one[1]))), None
        )
    able = tuple(
        one.name
        for one in instruments
        if decides(value.foreseen(resolution=one.resolution, permitted_error=one.permitted_error))
    )
    return Remedies(repeats, finer, truer, both, able)


def verdict_within(
    mean: float, expanded: float, *, lower: float | None, upper: float | None, rule: Rule
) -> Verdict:
    """The verdict of a rule on a value of which only its expanded uncertainty is known.

    Parameters
    ----------
    mean, expanded : float [any]
        Best value and expanded uncertainty, zero or above.
    lower, upper : float, optional [any]
        The limits, in the unit of the value; at least one.
    rule : Rule
        How wide the guard band is.

    Returns
    -------
    Verdict
        Good, bad or measure again.

    Raises
    ------
    OutOfRange
        No limit is given, or they are in the wrong order.

    References
    ----------
    JCGM 106:2012, 8.2 and 8.3; ISO 14253-1:2017, 5.

    Examples
    --------
    >>> verdict_within(0.068, 0.006, lower=None, upper=0.07, rule=GUARDED).value
    'measure again'
    """
    _check_limits(lower, upper)
    return _placed(mean, expanded, lower, upper, rule)[0]


def _verdict(value: Estimate, lower: float | None, upper: float | None, rule: Rule) -> tuple[Verdict, str]:
    return _placed(value.mean, value.expanded, lower, upper, rule)


def _placed(
    mean: float, expanded: float, lower: float | None, upper: float | None, rule: Rule
) -> tuple[Verdict, str]:
    """The verdict and how it came about, as a word for the sentence."""
    band = rule.guard * expanded
    low, high = -math.inf if lower is None else lower, math.inf if upper is None else upper
    if mean - band >= low and mean + band <= high:
        # No rule calls good what is less sure than the whole window is wide; with a guard band of 1 U none could.
        narrow = 2 * expanded > high - low
        return (Verdict.AGAIN, "narrow") if narrow else (Verdict.GOOD, "inside")
    if mean + band < low or mean - band > high:
        return Verdict.BAD, "outside"
    return Verdict.AGAIN, "guard"


def _parts(figure: float) -> Iterator[float]:
    return (figure * part for part in FINER if figure)


def _check_limits(lower: float | None, upper: float | None) -> None:
    if lower is None and upper is None:
        raise OutOfRange("neither a lower nor an upper limit is given; there is nothing to judge by.")
    if lower is not None and upper is not None and lower >= upper:
        raise OutOfRange(f"the lower limit {lower:g} is not below the upper limit {upper:g}.")


def _window(lower: float | None, upper: float | None, unit: str, digits: int) -> str:
    if lower is None:
        return f"at most {upper:.{digits}f} {unit}".rstrip()
    if upper is None:
        return f"at least {lower:.{digits}f} {unit}".rstrip()
    return f"{lower:.{digits}f} to {upper:.{digits}f} {unit}".rstrip()


def _place(how: str, mean: float, lower: float | None, upper: float | None, unit: str, digits: int) -> str:
    """Where the value lies, for the sentence."""
    window = _window(lower, upper, unit, digits)
    if how == "inside":
        return f"lies inside {window}" if lower is not None and upper is not None else f"is {window}"
    if how == "narrow":
        return f"is less sure than {window} is wide"
    if how == "guard":
        return f"reaches into the guard band at {_nearest(mean, lower, upper):.{digits}f} {unit}".rstrip()
    if upper is not None and mean > upper:
        return f"lies above {upper:.{digits}f} {unit}".rstrip()
    return f"lies below {lower:.{digits}f} {unit}".rstrip()


def _nearest(mean: float, lower: float | None, upper: float | None) -> float:
    known = [limit for limit in (lower, upper) if limit is not None]
    return min(known, key=lambda limit: abs(limit - mean))


def _percent(probability: float) -> str:
    """Whole per cent, but never a certainty that is not there."""
    if probability > 0.995:
        return "more than 99 %"
    if probability < 0.005:
        return "less than 1 %"
    return f"{probability:.0%}".replace("%", " %")
