"""The instruments of a shop: what they can tell apart, how far they may be off, and whether they may be used."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from countershaft.errors import OutOfRange
from countershaft.metrology.budget import Contribution
from countershaft.metrology.readings import Estimate, estimate

__all__ = ["Instrument", "calibration_fault", "measured_with"]


@dataclass(frozen=True, slots=True)
class Instrument:
    """One instrument of the shop's list.

    All figures are in one unit.  `permitted_error` is how far it may be off either way, of its standard or its
    maker's sheet; `zero_offset` what it shows at zero, None where nobody looked.
    """

    name: str
    kind: str
    resolution: float
    permitted_error: float
    zero_offset: float | None = None
    last_calibration: date | None = None
    next_calibration: date | None = None

    def __post_init__(self) -> None:
        if not self.resolution > 0:
            raise OutOfRange(f"{self.name}: one step is {self.resolution:g}; it must be above zero.")
        if not self.permitted_error >= 0:
            raise OutOfRange(
                f"{self.name}: permitted error {self.permitted_error:g}; it must be zero or above."
            )
        both = self.last_calibration is not None and self.next_calibration is not None
        if both and self.next_calibration <= self.last_calibration:  # type: ignore[operator]  # both are there
            raise OutOfRange(
                f"{self.name}: the next calibration ({self.next_calibration}) is not after the last "
                f"({self.last_calibration}); correct one of the two."
            )


def calibration_fault(instrument: Instrument, on: date) -> str | None:
    """Why an instrument must not be trusted on a day.

    Parameters
    ----------
    instrument : Instrument
        The instrument.
    on : date
        The day of the measurement.

    Returns
    -------
    str, optional
        The reason in one sentence, or None where nothing speaks against it.

    References
    ----------
    ISO 10012:2003, 7.1 (equipment is used only within its interval of confirmation).

    Examples
    --------
    >>> dial = Instrument("dial 3", "dial indicator", 0.01, 0.012, 0.0, date(2026, 1, 8), date(2027, 1, 8))
    >>> calibration_fault(dial, date(2026, 11, 25)) is None
    True
    >>> print(calibration_fault(dial, date(2027, 1, 20)))
    dial 3: its calibration ran out on 2027-01-08, 12 days before. Have it calibrated, or use another.
    """
    last, due = instrument.last_calibration, instrument.next_calibration
    if last is None or due is None:
        return f"{instrument.name}: its last or next calibration is not known. Enter both, or use another."
    if on < last:
        return f"{instrument.name}: its calibration of {last} came after {on}; nothing is known of it before."
    if on > due:
        days = (on - due).days
        return (
            f"{instrument.name}: its calibration ran out on {due}, {days} day{'s' if days != 1 else ''} before. "
            "Have it calibrated, or use another."
        )
    zero = instrument.zero_offset
    if zero is not None and abs(zero) > instrument.permitted_error + instrument.resolution:
        return (
            f"{instrument.name}: it shows {zero:g} at zero, more than its permitted error of "
            f"{instrument.permitted_error:g} and a step. Set its zero, or use another."
        )
    return None


def measured_with(
    readings: Sequence[float], instrument: Instrument, *, others: Sequence[Contribution] = ()
) -> Estimate:
    """Mean of repeated readings with all that the instrument adds to their uncertainty.

    Parameters
    ----------
    readings : Sequence[float] [any]
        One or more readings of one quantity, in the instrument's unit.
    instrument : Instrument
        What they were read on.
    others : Sequence[Contribution]
        Further contributions, of temperature for example.

    Returns
    -------
    Estimate [any]
        The mean less the zero offset, and its uncertainty with the budget.

    References
    ----------
    JCGM 100:2008, as told at `estimate`.

    Examples
    --------
    >>> dial = Instrument("dial 3", "dial indicator", 0.01, 0.012, zero_offset=0.02)
    >>> print(measured_with([0.38, 0.38], dial).stated("mm", digits=2))
    0.36 ± 0.016 mm
    """
    return estimate(
        readings,
        resolution=instrument.resolution,
        permitted_error=instrument.permitted_error,
        zero_offset=instrument.zero_offset,
        others=others,
    )
