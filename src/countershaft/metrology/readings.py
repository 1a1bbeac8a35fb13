"""The best value of repeated readings and its uncertainty, after the GUM (JCGM 100)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from countershaft.errors import OutOfRange
from countershaft.metrology.budget import (
    Budget,
    Contribution,
    combine,
    from_half_width,
    from_repeats,
    from_step,
)

__all__ = ["Correction", "Estimate", "estimate", "uncertainty_places"]


@dataclass(frozen=True, slots=True)
class Correction:
    """An amount that is added to the mean, in its unit: what for, and how it was found."""

    name: str
    amount: float
    how: str


@dataclass(frozen=True, slots=True)
class Estimate:
    """The mean of some readings, how far it may be off, and the working behind both.

    All figures are in the unit of the readings.  `mean` has the zero offset taken off; `expanded` is the half width
    that covers about 95 %; `others` are contributions that are not of the instrument (temperature, say), and
    `correction` is what the mean was corrected by for them.
    """

    readings: tuple[float, ...]
    resolution: float
    mean: float
    spread: float
    standard: float
    degrees_of_freedom: float
    factor: float
    expanded: float
    budget: Budget
    permitted_error: float = 0.0
    zero_offset: float | None = None
    others: tuple[Contribution, ...] = ()
    correction: Correction | None = None

    @property
    def interval(self) -> tuple[float, float]:
        """The mean less and plus its expanded uncertainty."""
        return self.mean - self.expanded, self.mean + self.expanded

    def stated(self, unit: str, *, digits: int) -> str:
        """Value and uncertainty as they are printed.

        At most two significant digits of U (JCGM 100, 7.2.6), and at most one digit more than the readings have.
        """
        places = uncertainty_places(self.expanded, digits=digits)
        return f"{self.mean:.{min(digits, places)}f} ± {self.expanded:.{places}f} {unit}".rstrip()

    def working(self, unit: str, *, digits: int = 3) -> tuple[str, ...]:
        """The formula with its numbers, line by line."""
        places = digits + 1
        lines = list(self.value_lines(unit, digits=digits))
        count = len(self.readings)
        if count > 1:
            lines.append(f"scatter of {count} readings s = {self.spread:.{places}f} {unit}: u = s / √{count}")
        scale = f"step of the scale {self.resolution:g} {unit}: u = {self.resolution:g} / √12"
        lines.append(f"{scale} = {self.resolution / math.sqrt(12):.{places}f} {unit}")
        lines.extend(
            f"{one.name}: u = {one.how or f'{one.effect:.{places}f}'} = {one.effect:.{places}f} {unit}"
            for one in _beside(self.resolution, self.permitted_error, self.zero_offset, self.others)
        )
        return (*lines, *self.total_lines(unit, digits=digits))

    def value_lines(self, unit: str, *, digits: int = 3) -> tuple[str, ...]:
        """How the best value was found, line by line."""
        places = digits + 1
        count = len(self.readings)
        values = " + ".join(f"{reading:.{digits}f}" for reading in self.readings)
        raw = math.fsum(self.readings) / count
        lines = [f"mean = ({values}) / {count} = {raw:.{places}f} {unit}"]
        if self.zero_offset is not None:
            lines.append(
                f"less the zero offset {self.zero_offset:.{digits}f} {unit}: {self.mean:.{places}f} {unit}"
            )
        if self.correction is not None:
            one = self.correction
            amount = f"{one.amount:+.{places}f}".replace("-", "−")
            lines.append(f"{one.name}: {one.how} = {amount} {unit}, so {self.mean:.{places}f} {unit}")
        return tuple(lines)

    def total_lines(self, unit: str, *, digits: int = 3) -> tuple[str, ...]:
        """What all contributions come to together."""
        places = digits + 1
        freedom = "∞" if math.isinf(self.degrees_of_freedom) else f"{self.degrees_of_freedom:.1f}"
        return (
            f"together u = {self.standard:.{places}f} {unit}, degrees of freedom {freedom}",
            f"U = {self.factor:.2f} · u = {self.expanded:.{places}f} {unit} (covers about 95 %)",
        )

    def foreseen(
        self,
        *,
        repeats: int | None = None,
        resolution: float | None = None,
        permitted_error: float | None = None,
    ) -> Estimate:
        """The same mean and scatter as more repeats or another instrument would give them.

        A forecast: it holds as far as the scatter stays what it was.
        """
        count = len(self.readings) if repeats is None else repeats
        found = _joined(
            self.spread,
            count,
            self.resolution if resolution is None else resolution,
            self.permitted_error if permitted_error is None else permitted_error,
            self.zero_offset,
            self.others,
        )
        return _estimate(self, found)


def _estimate(known: Estimate, found: Budget) -> Estimate:
    return replace(
        known,
        standard=found.standard,
        degrees_of_freedom=found.degrees_of_freedom,
        factor=found.factor,
        expanded=found.expanded,
        budget=found,
    )


def _joined(
    spread: float,
    count: int,
    resolution: float,
    permitted_error: float,
    zero_offset: float | None,
    others: tuple[Contribution, ...],
) -> Budget:
    repeats = (from_repeats(spread, count),) if count > 1 and spread > 0 else ()
    beside = _beside(resolution, permitted_error, zero_offset, others)
    return combine([*repeats, from_step(resolution), *beside])


def _beside(
    resolution: float, permitted_error: float, zero_offset: float | None, others: tuple[Contribution, ...]
) -> tuple[Contribution, ...]:
    """All contributions but the scatter and the step of the scale."""
    permitted = (from_half_width("permitted error", permitted_error),) if permitted_error else ()
    zero = () if zero_offset is None else (from_step(resolution, name="zero, read on the same scale"),)
    return (*permitted, *zero, *others)


def uncertainty_places(expanded: float, *, digits: int) -> int:
    """How many digits behind the point an expanded uncertainty is printed with.

    Parameters
    ----------
    expanded : float [any]
        The expanded uncertainty, above zero.
    digits : int [-]
        Digits behind the point of the readings.

    Returns
    -------
    int [-]
        At most two significant digits of it, and at most one digit more than the readings have.

    Raises
    ------
    OutOfRange
        The uncertainty is not above zero.

    References
    ----------
    JCGM 100:2008, 7.2.6: an uncertainty is given with at most two significant digits.

    Examples
    --------
    >>> uncertainty_places(0.0058, digits=2), uncertainty_places(5.77, digits=0)
    (3, 1)
    """
    if not expanded > 0:
        raise OutOfRange(f"the uncertainty is {expanded:g}; it must be above zero.")
    return max(0, min(digits + 1, 1 - math.floor(math.log10(expanded))))


def estimate(
    readings: Sequence[float],
    *,
    resolution: float,
    permitted_error: float = 0.0,
    zero_offset: float | None = None,
    others: Sequence[Contribution] = (),
    correction: Correction | None = None,
) -> Estimate:
    """Mean of repeated readings with the uncertainty of their scatter, of the instrument, and of what else is known.

    Parameters
    ----------
    readings : Sequence[float] [any]
        One or more readings of one quantity, all in one unit.
    resolution : float [any]
        One step of the instrument's scale, in the same unit.
    permitted_error : float [any]
        How far the instrument may be off, either way, in the same unit; 0 leaves it out.
    zero_offset : float, optional [any]
        What the instrument shows at zero, read on its own scale; it is taken off the mean.
    others : Sequence[Contribution]
        Further contributions, with their sensitivities.
    correction : Correction, optional [any]
        What is added to the mean, to bring it to 20 °C for example; its uncertainty stands among the others.

    Returns
    -------
    Estimate [any]
        Mean, standard and expanded uncertainty, in the same unit.

    Raises
    ------
    OutOfRange
        No reading, a figure that is not finite, a resolution that is not positive, or a negative permitted error.

    Notes
    -----
    Type A: s / sqrt(n) with n - 1 degrees of freedom.
    Type B: a value read to one step lies evenly within it, so step / sqrt(12), known exactly; the permitted error
    lies evenly within its limits, so error / sqrt(3); a zero that is read brings the step in once more.
    Welch-Satterthwaite joins them, and never below 1 degree of freedom.
    Equal readings have no scatter; then the instrument alone speaks.

    References
    ----------
    JCGM 100:2008, 4.2 (type A), 4.3.7 and F.2.2.1 (resolution), 3.2.4 (known offsets), G.4.1 (degrees of freedom).

    Examples
    --------
    >>> found = estimate([0.36, 0.36, 0.36], resolution=0.01)
    >>> round(found.mean, 4), round(found.expanded, 4)
    (0.36, 0.0058)
    >>> found = estimate([0.36, 0.37, 0.36], resolution=0.01, permitted_error=0.012, zero_offset=0.01)
    >>> round(found.mean, 4), round(found.expanded, 4), found.budget.largest.name
    (0.3533, 0.0178, 'permitted error')
    """
    if not readings:
        raise OutOfRange("there is no reading; type at least one.")
    if not all(math.isfinite(reading) for reading in readings):
        raise OutOfRange("a reading is not a finite number; type it again.")
    if not resolution > 0:
        raise OutOfRange(f"the step of the scale is {resolution:g}; it must be above zero.")
    if not (permitted_error >= 0 and math.isfinite(permitted_error)):
        raise OutOfRange(f"the permitted error is {permitted_error:g}; it must be zero or above.")
    if zero_offset is not None and not math.isfinite(zero_offset):
        raise OutOfRange("the zero offset is not a finite number; read it again.")
    count = len(readings)
    mean = math.fsum(readings) / count
    deviations = math.fsum((reading - mean) ** 2 for reading in readings)
    spread = math.sqrt(deviations / (count - 1)) if count > 1 else 0.0
    if spread < 1e-9 * resolution:  # equal readings: what is left is rounding of the binary mean
        spread = 0.0
    rest = tuple(others)
    found = _joined(spread, count, resolution, permitted_error, zero_offset, rest)
    return Estimate(
        readings=tuple(readings),
        resolution=resolution,
        mean=mean - (zero_offset or 0.0) + (correction.amount if correction else 0.0),
        spread=spread,
        standard=found.standard,
        degrees_of_freedom=found.degrees_of_freedom,
        factor=found.factor,
        expanded=found.expanded,
        budget=found,
        permitted_error=permitted_error,
        zero_offset=zero_offset,
        others=rest,
        correction=correction,
    )
