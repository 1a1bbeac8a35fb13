"""What entries about the housing and the converter say in the log, in one line of words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from countershaft.job.entry import Body, ConverterDepths, DowelSeen, HousingSwept, HubTrial

__all__ = ["HOUSING_KINDS", "clock_label", "housing_words"]

HOUSING_KINDS = (HousingSwept, DowelSeen, ConverterDepths, HubTrial)


def housing_words(body: Body) -> str:
    """One line for an entry of these kinds."""
    if isinstance(body, HousingSwept):
        return "; ".join(_sweep(body))
    if isinstance(body, DowelSeen):
        return f"{body.when}; dowel {body.dowel} stands {_list(body.values)} {body.unit}; {body.instrument}"
    if isinstance(body, ConverterDepths):
        return "; ".join(_depths(body))
    assert isinstance(body, HubTrial), "no other kind is told here"
    return f"position {body.position}; {_round(body.hours, body.values)} {body.unit}; {body.instrument}"


def clock_label(hour: Decimal | int) -> str:
    """An hour of the clock face as people say it: "3 o'clock", "4:30"."""
    whole = int(hour) or 12
    return f"{whole} o'clock" if hour == int(hour) else f"{whole}:{int(hour % 1 * 60):02d}"


def _sweep(body: HousingSwept) -> Iterator[str]:
    yield f"{body.when}{f', after {body.after}' if body.after else ''}"
    yield f"bore at {_round(body.hours, body.bore)} {body.unit}"
    if body.bore_back is not None:
        yield f"back at {body.bore_back} {body.unit}"
    if body.face:
        yield f"face at {_round(body.hours, body.face)} {body.unit}"
    if body.face_total is not None:
        yield f"face total {body.face_total} {body.unit}"
    if body.sag:
        yield f"sag {body.sag} {body.unit}"
    if body.rise:
        yield f"crank rises {body.rise} {body.unit}"
    yield body.instrument


def _depths(body: ConverterDepths) -> Iterator[str]:
    yield f"pads {_list(body.depths)} {body.unit}"
    if body.straightedge:
        yield f"over a straightedge of {body.straightedge} {body.unit}"
    if body.plate:
        yield f"plate {_list(body.plate)} {body.unit}"
    if body.spacer:
        yield f"spacer {body.spacer} {body.unit}"
    yield body.instrument


def _round(hours: Sequence[Decimal], values: Sequence[Decimal]) -> str:
    return ", ".join(f"{clock_label(hour)} {value}" for hour, value in zip(hours, values, strict=True))


def _list(values: Sequence[Decimal]) -> str:
    return ", ".join(map(str, values))
