"""Whether the calibration of the shop's instruments holds today: in words, and the most pressing first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Final

from countershaft.job.shop import ShopInstrument
from countershaft.metrology.instrument import calibration_fault
from countershaft.stages.measuring import instrument_of

__all__ = ["SOON_DAYS", "Due", "Holds", "by_urgency", "due"]

#: From how many days before its end a calibration is said to be due (common practice, no source).
SOON_DAYS: Final = 30


class Holds(StrEnum):
    """Whether a calibration holds, the most pressing answer first."""

    RAN_OUT = "ran out"
    NOT_USABLE = "not usable"
    DUE_SOON = "due soon"
    NO_DATES = "no dates"
    HOLDS = "holds"


@dataclass(frozen=True, slots=True)
class Due:
    """An instrument and whether its calibration holds, in words; `days` are left, None where no date is known."""

    instrument: ShopInstrument
    holds: Holds
    words: str
    days: int | None


def due(instrument: ShopInstrument, today: date) -> Due:
    """Whether the calibration of an instrument holds on a day."""
    gauge = instrument_of(instrument.used(today))
    fault = calibration_fault(gauge, today)
    end = gauge.next_calibration
    if gauge.last_calibration is None or end is None:
        return Due(instrument, Holds.NO_DATES, fault or "", None)
    days = (end - today).days
    if fault is not None:
        return Due(instrument, Holds.RAN_OUT if days < 0 else Holds.NOT_USABLE, fault, days)
    if days > SOON_DAYS:
        return Due(instrument, Holds.HOLDS, f"Calibrated to {end}.", days)
    left = "today is its last day" if days == 0 else f"{days} day{'s' if days != 1 else ''} from now"
    return Due(
        instrument, Holds.DUE_SOON, f"Due on {end}, {left}. Send it in time, or lay out another.", days
    )


def by_urgency(instruments: Iterable[ShopInstrument], today: date) -> tuple[Due, ...]:
    """Every instrument with its state, those that ran out first, then by the days that are left."""
    order = list(Holds)
    found = (due(one, today) for one in instruments)
    return tuple(sorted(found, key=lambda one: (order.index(one.holds), one.days or 0)))
