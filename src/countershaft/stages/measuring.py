"""Readings as measurements: their estimate, their verdict, and what is asked before they are believed.

Every stage that takes figures asks here, so that one reading means the same on every page.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Final, Literal

from countershaft import units
from countershaft.job.taken import InstrumentUsed, RuleName, Taken, Warmth
from countershaft.metrology.budget import RECTANGULAR, Contribution, from_certificate, from_step
from countershaft.metrology.computed import Computed, compute
from countershaft.metrology.decision import GUARDED, PLAIN, Decision, Remedies, Rule, decide, what_decides
from countershaft.metrology.expansion import EXPANSION, Thermal, temperature_matters, to_reference
from countershaft.metrology.instrument import Instrument, calibration_fault
from countershaft.metrology.plausibility import second_thoughts, stray_reading
from countershaft.metrology.readings import Correction, Estimate, estimate

__all__ = [
    "RULES",
    "combined",
    "computed",
    "doubts",
    "estimated",
    "instrument_of",
    "judged",
    "remedies",
    "warmth_matters",
]

RULES: Final[dict[RuleName, Rule]] = {"plain": PLAIN, "guarded": GUARDED}

#: A handbook's expansion is good to about a tenth, a thermometer held to the part to 1 K (common practice, no source).
_EXPANSION_WITHIN: Final = 0.1
_KELVIN_WITHIN: Final = 1.0

#: How many steps an instrument of which nothing else is known may be off, either way (common practice, no source).
_UNKNOWN: Final = 2.5

#: How many times its limit a value may reach unasked; common practice, no source.
_FAR: Final = 3.0


def estimated(
    values: Sequence[Decimal], unit: str, *, resolution: Decimal, to: str, taken: Taken | None = None
) -> Estimate:
    """The best value of readings and its uncertainty, in the unit `to`.

    With the shop's instrument its permitted error, zero offset and certificate are in it; with temperatures the mean
    is brought to 20 °C.
    """
    used = taken.used if taken else None
    readings = [units.convert(value, unit, to) for value in values]
    step = _difference(resolution, unit, to)
    warm = taken.warmth if taken else None
    correction, thermal = _warm(math.fsum(readings) / len(readings), warm) if warm else (None, ())
    if used is None:
        return estimate(readings, resolution=step, others=thermal, correction=correction)
    certified = used.certificate_u is not None and used.certificate_k is not None
    others = (*(_certificate(used, to) if certified else ()), *thermal)
    return estimate(
        readings,
        resolution=step,
        permitted_error=_difference(used.permitted_error, used.unit, to),
        zero_offset=None if used.zero_offset is None else _difference(used.zero_offset, used.unit, to),
        others=others,
        correction=correction,
    )


def judged(
    value: Estimate,
    *,
    lower: float | None,
    upper: float | None,
    unit: str,
    digits: int,
    taken: Taken | None = None,
) -> Decision:
    """The verdict by the rule that the shop had when the value was taken; guarded where none is said."""
    rule = RULES[taken.rule if taken else "guarded"]
    return decide(value, lower=lower, upper=upper, unit=unit, digits=digits, rule=rule)


def combined(
    places: Sequence[str], values: Sequence[Estimate], of: Literal["mean", "range"], unit: str, *, digits: int
) -> tuple[Estimate, tuple[str, ...]]:
    """The mean or the range of single readings at several places, with its working.

    What the places differ by is the part's, and no uncertainty of the mean of just these places.
    The instrument's error moves all of them alike, so the mean is as uncertain as one of them (the safe side).
    A range is a difference on one scale: its zero falls out, and the step counts at both ends.
    """
    means, first = [one.mean for one in values], values[0]
    if of == "mean":
        read = [one.readings[0] for one in values]
        raw, middle = (math.fsum(figures) / len(values) for figures in (read, means))
        terms = " + ".join(f"{one:.{digits}f}" for one in read)
        line = f"mean of {len(values)} places = ({terms}) / {len(values)} = {raw:.{digits + 1}f} {unit}"
        warm = first.correction
        moved = replace(warm, amount=middle - raw + (first.zero_offset or 0.0)) if warm else None
        return replace(first, readings=(raw,), mean=middle, correction=moved), (line,)
    low, high = (means.index(pick(means)) for pick in (min, max))
    found = estimate(
        [means[high] - means[low]],
        resolution=first.resolution,
        permitted_error=first.permitted_error,
        others=(from_step(first.resolution, name="step of the scale, other end"),),
    )
    line = (
        f"range = {means[high]:.{digits}f} ({places[high]}) − {means[low]:.{digits}f} ({places[low]}) "
        f"= {found.mean:.{digits}f} {unit}"
    )
    return found, (line,)


def computed(formula: Callable[..., float], inputs: Mapping[str, Estimate], *, seed: int = 1) -> Computed:
    """A figure from measured ones (a ratio, a leak), judged like a reading; drawn where the formula is curved."""
    return compute(formula, inputs, seed=seed)


def remedies(
    value: Estimate,
    *,
    lower: float | None,
    upper: float | None,
    unit: str,
    on: date,
    rule: Rule = GUARDED,
    shop: Iterable[InstrumentUsed] = (),
) -> Remedies:
    """What would decide a value that is to be measured again; of the shop's instruments only those in calibration."""
    usable = [
        instrument_of(one, to=unit) for one in shop if calibration_fault(instrument_of(one), on) is None
    ]
    return what_decides(value, lower=lower, upper=upper, rule=rule, instruments=usable)


#: How far a part that was just washed, or just came off, may be from the instrument (common practice, no source).
_KELVIN_APART: Final = 10.0


def warmth_matters(lower: Decimal | None, upper: Decimal | None, unit: str) -> bool:
    """Whether ten kelvin would move a length by more than a tenth of its window, so that the form asks for warmth.

    A single limit has no window; ten steps of its last printed digit stand for it.
    """
    known = [one for one in (lower, upper) if one is not None]
    if units.UNITS[unit][0] != "length" or not known:
        return False
    size = max(abs(_difference(one, unit, "mm")) for one in known)
    step = 10 * Decimal(1).scaleb(-max(units.decimals(one) for one in known))
    window = upper - lower if lower is not None and upper is not None else step
    part = Thermal(EXPANSION["aluminium"], _KELVIN_APART)
    tool = Thermal(EXPANSION["steel"], 0.0)
    return temperature_matters(size, part, tool, against=_difference(window, unit, "mm"))


def doubts(
    values: Sequence[Decimal],
    unit: str,
    *,
    resolution: Decimal,
    taken: Taken | None,
    on: date,
    lower: float | None = None,
    upper: float | None = None,
    one_place: bool = True,
) -> tuple[str, ...]:
    """What must be asked before these figures are believed; nothing where `taken` has the answer already.

    `lower` and `upper` are what may be expected, in `unit`; `on` is the day of the entry.  Readings of several places
    (`one_place` false) may differ by more than the instrument explains.
    """
    if taken is not None and taken.sure:
        return ()
    used = taken.used if taken else None
    asked = [*_uncalibrated(used, (taken.on if taken else None) or on)]
    if lower is not None or upper is not None:
        asked += [words for value in values for words in _far(value, unit, lower, upper)]
    if one_place:
        error = _difference(used.permitted_error, used.unit, unit) if used else _UNKNOWN * float(resolution)
        readings = [float(value) for value in values]
        stray = stray_reading(readings, resolution=float(resolution), permitted_error=error)
        asked += [stray.why] if stray else []
    return tuple(dict.fromkeys(asked))


def _uncalibrated(used: InstrumentUsed | None, on: date) -> Iterator[str]:
    fault = calibration_fault(instrument_of(used), on) if used else None
    if fault is not None:
        yield fault


def _meant(question: str) -> str:
    """What was perhaps meant, as it stands within a sentence."""
    words = question.removesuffix("?")
    return "a slipped decimal point" if words == "decimal point" else words


def _far(value: Decimal, unit: str, lower: float | None, upper: float | None) -> Iterator[str]:
    """A question about a figure that another unit or another decimal point would explain."""
    found = second_thoughts(float(value), unit, lower=lower, upper=upper)
    if found:
        meant = " or ".join(f"{_meant(doubt.question)} ({doubt.candidate:.4g} {unit})" for doubt in found[:2])
        yield (
            f"{value} {unit} is far from what may be expected. Is it {meant}? Correct it, or say that it is so."
        )
    elif upper is not None and float(value) > _FAR * upper > 0:
        low, back = lower or 0.0, float(value) / 25.4
        twice = (
            f"Was it turned from inch to mm twice ({back:.4g} {unit})? "
            if unit == "mm" and low <= back <= upper
            else ""
        )
        yield f"{value} {unit} is far from what may be expected. {twice}Correct it, or say that it is so."


def instrument_of(used: InstrumentUsed, *, to: str | None = None) -> Instrument:
    """The instrument of a snapshot, in its own unit or in another of the same kind."""

    def told(amount: Decimal) -> float:
        return float(amount) if to is None else _difference(amount, used.unit, to)

    return Instrument(
        name=used.name,
        kind=used.kind,
        resolution=told(used.resolution),
        permitted_error=told(used.permitted_error),
        zero_offset=None if used.zero_offset is None else told(used.zero_offset),
        last_calibration=used.calibrated,
        next_calibration=used.due,
    )


def _difference(amount: Decimal, unit: str, to: str) -> float:
    """An amount between two figures in another unit; a step of 1 °F is 5/9 of a step of 1 °C."""
    return units.convert(amount, unit, to) - units.convert(Decimal(0), unit, to)


def _certificate(used: InstrumentUsed, to: str) -> tuple[Contribution, ...]:
    assert used.certificate_u is not None, "asked for only where it is there"
    assert used.certificate_k is not None, "asked for only where it is there"
    stated = _difference(used.certificate_u, used.unit, to)
    return (from_certificate("calibration certificate", stated, factor=float(used.certificate_k)),)


def _warm(length: float, warm: Warmth) -> tuple[Correction, tuple[Contribution, ...]]:
    """What brings a warm length to 20 °C."""
    part = _thermal(EXPANSION[warm.material], float(warm.part_c))
    tool = _thermal(EXPANSION["steel"], float(warm.tool_c))
    found = to_reference(length, part, tool)
    how = (
        f"{length:.4g} · ({tool.coefficient * 1e6:g}e-6 · {tool.above_reference:g} K − "
        f"{part.coefficient * 1e6:g}e-6 · {part.above_reference:g} K)"
    )
    told = tuple(
        replace(one, within=one.standard * math.sqrt(3), divisor="√3", shape=RECTANGULAR)
        for one in found.contributions
    )
    return Correction(f"brought to 20 °C ({warm.material}, steel scale)", found.correction, how), told


def _thermal(coefficient: float, celsius: float) -> Thermal:
    return Thermal(
        coefficient=coefficient,
        above_reference=celsius - 20.0,
        coefficient_standard=coefficient * _EXPANSION_WITHIN / math.sqrt(3),
        temperature_standard=_KELVIN_WITHIN / math.sqrt(3),
    )
