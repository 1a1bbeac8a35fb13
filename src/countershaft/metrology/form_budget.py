"""Uncertainty of a form that is found from readings at places: what one reading may be off, carried to the result."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from countershaft.errors import OutOfRange
from countershaft.metrology.budget import (
    STUDENT,
    USUAL_COVERAGE,
    Contribution,
    combine,
    coverage_factor,
    from_half_width,
    from_step,
)
from countershaft.metrology.chance import Normal
from countershaft.metrology.monte_carlo import Simulated, first_order_holds, simulate
from countershaft.metrology.readings import Estimate

__all__ = ["FormEstimate", "PlaceReading", "form_estimate", "moved_by_each", "one_reading", "simulated_form"]

#: Draws of a form are the same each time, so that a page shows the same figure twice.
SEED = 20_261
#: Trials after which a simulation of a form stops.
MOST_TRIALS = 100_000


@dataclass(frozen=True, slots=True)
class PlaceReading:
    """What the reading at one place may be off, in the unit of the readings.

    `scatter` is the pooled standard deviation of readings that were repeated at their places, with its degrees of
    freedom; each place was read `repeats` times.
    """

    resolution: float
    permitted_error: float = 0.0
    scatter: float = 0.0
    freedom: float = math.inf
    repeats: int = 1

    def contributions(self, slope: float) -> tuple[Contribution, ...]:
        """What step, permitted error and scatter each give to a result that moves by `slope` with one reading."""
        found = [replace(from_step(self.resolution), sensitivity=slope)]
        if self.permitted_error:
            found.append(replace(from_half_width("permitted error", self.permitted_error), sensitivity=slope))
        if self.scatter:
            spread, root = self.scatter, f"√{self.repeats}"
            standard, how = spread / math.sqrt(self.repeats), f"{spread:.3g} / {root}"
            name = "scatter at the places"
            found.append(Contribution(name, standard, slope, self.freedom, how, spread, root, STUDENT))
        return tuple(found)

    @property
    def standard(self) -> float:
        """Standard uncertainty of the reading at one place."""
        return combine(self.contributions(1.0)).standard


@dataclass(frozen=True, slots=True)
class FormEstimate(Estimate):
    """A form with its uncertainty; its working is that of the form, line by line.

    `slope` is how much the standard uncertainty of the result is per that of one reading; `simulated` the Monte Carlo
    result where the form is not linear in its readings.
    """

    slope: float = 1.0
    one: PlaceReading = field(default_factory=lambda: PlaceReading(1.0))
    lines: tuple[str, ...] = ()
    simulated: Simulated | None = None

    def working(self, unit: str, *, digits: int = 3) -> tuple[str, ...]:
        """How the figure was found, and what its uncertainty is made of."""
        return (*self.lines, *self.budget.working(unit, digits=digits + 2), *self._by_draws(unit, digits + 2))

    def value_lines(self, unit: str, *, digits: int = 3) -> tuple[str, ...]:
        """How the form was found from its places, line by line."""
        return self.lines

    def total_lines(self, unit: str, *, digits: int = 3) -> tuple[str, ...]:
        """What the contributions come to together."""
        return (*Estimate.total_lines(self, unit, digits=digits), *self._by_draws(unit, digits + 2))

    def _by_draws(self, unit: str, places: int) -> tuple[str, ...]:
        if self.simulated is None:
            return ()
        low, high = self.simulated.interval
        said = f"by {self.simulated.trials} draws (seed {SEED}): {low:.{places}f} to {high:.{places}f} {unit}"
        if self.expanded == self.budget.expanded:
            return (f"{said}, as the budget says",)
        beside = ", with what the draws do not know," if self._more_than_drawn(high, low) else ""
        return (
            f"{said}; the form is not linear, so U = the farther end{beside} = {self.expanded:.{places}f} {unit}",
        )

    def _more_than_drawn(self, high: float, low: float) -> bool:
        """Whether few repeats, or a certificate, make it more uncertain than the draws are wide."""
        return self.expanded > 1.0001 * max(high - self.mean, self.mean - low)

    def foreseen(
        self,
        *,
        repeats: int | None = None,
        resolution: float | None = None,
        permitted_error: float | None = None,
    ) -> Estimate:
        """The same form as another instrument would give it, by the budget."""
        one = PlaceReading(
            self.one.resolution if resolution is None else resolution,
            self.one.permitted_error if permitted_error is None else permitted_error,
            self.one.scatter,
            self.one.freedom,
            self.one.repeats if repeats is None else repeats,
        )
        return form_estimate(self.mean, one, slope=self.slope, lines=self.lines, others=self.others)


def one_reading(
    readings: Sequence[Sequence[float]], *, resolution: float, permitted_error: float = 0.0
) -> PlaceReading:
    """What one reading may be off, its scatter pooled over all places that were read more than once.

    Parameters
    ----------
    readings : Sequence[Sequence[float]] [any]
        The readings of each place.
    resolution : float [any]
        One step of the scale, in the same unit.
    permitted_error : float [any]
        How far the instrument may be off, either way, in the same unit.

    Returns
    -------
    PlaceReading [any]
        Step, permitted error and pooled scatter.

    Raises
    ------
    OutOfRange
        A place without a reading, or a step that is not above zero.

    References
    ----------
    JCGM 100:2008, 4.2.4 and H.3.6 (a pooled estimate of variance); 4.3.7 (step and permitted error).

    Examples
    --------
    >>> one = one_reading([[0.01, 0.02], [0.03, 0.03]], resolution=0.01)
    >>> round(one.scatter, 6), one.freedom, one.repeats
    (0.005, 2.0, 2)
    """
    if not readings or not all(readings):
        raise OutOfRange("a place has no reading; type at least one at each.")
    if not resolution > 0 or not permitted_error >= 0:
        raise OutOfRange(
            f"a step of {resolution:g} and a permitted error of {permitted_error:g} are no instrument's."
        )
    freedom = sum(len(one) - 1 for one in readings)
    squares = math.fsum((value - math.fsum(one) / len(one)) ** 2 for one in readings for value in one)
    scatter = math.sqrt(squares / freedom) if freedom else 0.0
    if scatter < 1e-9 * resolution:  # equal readings: what is left is rounding of the binary mean
        scatter = 0.0
    fewest = min(len(one) for one in readings)
    return PlaceReading(resolution, permitted_error, scatter, float(freedom) if scatter else math.inf, fewest)


def form_estimate(
    value: float,
    one: PlaceReading,
    *,
    slope: float,
    lines: Sequence[str] = (),
    others: Sequence[Contribution] = (),
    simulated: Simulated | None = None,
) -> FormEstimate:
    """A form with the uncertainty that its readings give it.

    Parameters
    ----------
    value : float [any]
        The form, in the unit of the readings.
    one : PlaceReading [any]
        What one reading may be off.
    slope : float [-]
        Standard uncertainty of the form per that of one reading: √2 at most for a zone or a total reading.
    lines : Sequence[str]
        How the form was found, line by line.
    others : Sequence[Contribution]
        What else makes it uncertain.
    simulated : Simulated, optional
        Monte Carlo result of the same form by its readings alone; its interval counts where the budget's does not
        hold, widened by Student's factor where repeats are few and by the `others`.

    Returns
    -------
    FormEstimate [any]
        Value, uncertainty and working.

    References
    ----------
    JCGM 100:2008, 5.1.2; JCGM 101:2008, 8 (where the first-order budget does not hold, the simulation counts).

    Examples
    --------
    >>> import math
    >>> found = form_estimate(0.04, PlaceReading(0.01), slope=math.sqrt(2))
    >>> round(found.mean, 3), round(found.expanded, 4)
    (0.04, 0.0082)
    """
    budget = combine([*one.contributions(slope), *others])
    standard, freedom, expanded = budget.standard, budget.degrees_of_freedom, budget.expanded
    normal = coverage_factor(math.inf)
    drawn = normal * combine(one.contributions(slope)).standard
    if simulated is not None and not first_order_holds(value, drawn, simulated, digits=1):
        low, high = simulated.interval
        # The draws know neither that few repeats are few, nor what is beside the readings.
        farther = max(high - value, value - low) * budget.factor / normal
        expanded = math.hypot(farther, *(budget.factor * other.effect for other in others))
        standard, freedom = expanded / normal, math.inf
    return FormEstimate(
        readings=(value,),
        resolution=one.resolution,
        mean=value,
        spread=0.0,
        standard=standard,
        degrees_of_freedom=freedom,
        factor=expanded / standard,
        expanded=expanded,
        budget=budget,
        permitted_error=one.permitted_error,
        others=tuple(others),
        slope=slope,
        one=one,
        lines=tuple(lines),
        simulated=simulated,
    )


def simulated_form(formula: Callable[..., float], inputs: Sequence[tuple[float, float]]) -> Simulated:
    """A form that is not linear in its inputs, by Monte Carlo with a fixed seed.

    Parameters
    ----------
    formula : Callable[..., float] [any]
        Takes one drawn value of each input.
    inputs : Sequence[tuple[float, float]] [any]
        Value and standard uncertainty of each.

    Returns
    -------
    Simulated [any]
        Mean, standard uncertainty and shortest interval of the usual coverage.

    References
    ----------
    JCGM 101:2008, 7.

    Examples
    --------
    The largest less the smallest of three equal readings is never zero in truth:

    >>> found = simulated_form(lambda *all: max(all) - min(all), [(0.0, 1.0)] * 3)
    >>> 1.6 < found.mean < 1.8
    True
    """
    drawn = [Normal(value, standard) for value, standard in inputs]
    return simulate(formula, drawn, seed=SEED, probability=USUAL_COVERAGE, digits=1, most=MOST_TRIALS)


def moved_by_each(formula: Callable[[Sequence[float]], float], readings: Sequence[float], by: float) -> float:
    """How much a form moves when each reading alone moves up, root sum of squares, per unit of the move.

    Parameters
    ----------
    formula : Callable[[Sequence[float]], float] [any]
        The form of all readings.
    readings : Sequence[float] (n,) [any]
        The readings.
    by : float [any]
        How far each is moved, above zero.

    Returns
    -------
    float [-]
        The slope for `form_estimate`.

    Notes
    -----
    A form such as a largest less a smallest has kinks where two places tie; moving a reading up and down gives two
    slopes there, and the steeper one counts, which is the safe side.  A gap cannot fall below zero, so a reading of
    zero or less than the move is moved up only.

    References
    ----------
    JCGM 100:2008, 5.1.3, note 2 (sensitivities by moving each input).

    Examples
    --------
    >>> round(moved_by_each(lambda row: row[1] - (row[0] + row[2]) / 2, [0.0, 0.05, 0.0], 0.01), 4)
    1.2247
    """
    middle = formula(readings)
    squares = []
    for place, reading in enumerate(readings):
        moves = [by] if reading < by else [by, -by]
        moved = [[*readings[:place], reading + move, *readings[place + 1 :]] for move in moves]
        squares.append(max(abs(formula(row) - middle) for row in moved) ** 2)
    return math.sqrt(math.fsum(squares)) / by
