"""The shop's instruments in a form: which of them serve, which is in the hand, and which was tapped."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from typing import Final

from countershaft.desk.desk import OpenJob
from countershaft.errors import FormError
from countershaft.job.at_shop import InstrumentKind
from countershaft.job.shop import ShopInstrument
from countershaft.job.taken import InstrumentUsed
from countershaft.web.forms.form import Answers, Field

__all__ = ["ANOTHER", "tool_answered", "tool_field", "tool_in_hand", "tools_for", "used_on"]

#: What is tapped, and sent, where the instrument is none of the shop's list.
ANOTHER: Final = "another"

#: The most of the list that are shown to tap; any other one is typed by its mark.
_MOST: Final = 8

#: By which piece of its name a transmission file means a kind (common practice, no source).
_MEANT: Final[dict[InstrumentKind, tuple[str, ...]]] = {
    InstrumentKind.DIAL_INDICATOR: ("dial",),
    InstrumentKind.OUTSIDE_MICROMETER: ("micrometer",),
    InstrumentKind.DEPTH_GAUGE: ("depth",),
    InstrumentKind.BORE_GAUGE: ("bore",),
    InstrumentKind.FEELER_GAUGES: ("feeler",),
    InstrumentKind.CALIPER: ("caliper",),
    InstrumentKind.STRAIGHTEDGE: ("straightedge",),
    InstrumentKind.SPRING_SCALE: ("spring scale", "spring balance"),
    InstrumentKind.TORQUE_GAUGE: ("torque",),
    InstrumentKind.PRESSURE_GAUGE: ("pressure", "vacuum"),
    InstrumentKind.OHMMETER: ("ohmmeter", "multimeter"),
    InstrumentKind.THERMOMETER: ("thermometer",),
    InstrumentKind.OTHER: (),
}

#: How well an instrument fits what the file asks for, the best first.
_BY_NAME, _BY_KIND, _BY_QUANTITY = 0, 1, 2


def tools_for(job: OpenJob, asked: str, unit: str, offered: Sequence[str] = ()) -> tuple[ShopInstrument, ...]:
    """The shop's instruments that measure the quantity of a unit, the best fitting what the file asks for first.

    Where only some units are `offered`, an instrument must show one of them.
    """
    found = [one for one in job.shop.measuring(unit) if not offered or one.unit in (unit, *offered)]
    return tuple(sorted(found, key=lambda one: _fit(one, asked)))


def tool_in_hand(job: OpenJob, asked: str, tools: Sequence[ShopInstrument]) -> ShopInstrument | None:
    """The instrument to begin with: of the best fitting the one used last on this job, or the only one there is."""
    fitting = [one for one in tools if _fit(one, asked) < _BY_QUANTITY]
    best = [one for one in fitting if _fit(one, asked) == _fit(fitting[0], asked)]
    for tag in _used_before(job):
        if any(one.id == tag for one in best):
            return next(one for one in best if one.id == tag)
    return best[0] if len(best) == 1 else None


def tool_field(tools: Sequence[ShopInstrument], in_hand: ShopInstrument | None) -> tuple[Field, ...]:
    """The instruments to tap, and the way to any other; no field where the shop has none that serves."""
    if not tools:
        return ()
    shown = tools[:_MOST]
    more = (
        f"name and step, or the mark of one of the other {len(tools) - _MOST}" if len(tools) > _MOST else ""
    )
    chosen = in_hand.id if in_hand is not None else ANOTHER
    options = (
        *((one.id, f"{one.id} {one.name}", _hint(one)) for one in shown),
        (ANOTHER, ANOTHER, more or "name and step, typed below"),
    )
    return (Field("used", "Measured with", "choice", options=options, values=(chosen,)),)


def tool_answered(job: OpenJob, tools: Sequence[ShopInstrument], answers: Answers) -> ShopInstrument | None:
    """The shop's instrument that was tapped, or typed by its mark or name; None for any other.

    Raises FormError where it is used no more.
    """
    tapped = answers.one("used")
    typed = answers.one("instrument").casefold() if tapped in ("", ANOTHER) else ""
    for one in tools:
        if one.id == tapped or typed in (one.id.casefold(), one.name.casefold()):
            return one
    if tapped in ("", ANOTHER):
        return None
    known = job.shop.known(tapped)
    if known is not None and known.retired is not None:
        when = f"{known.retired.at:%Y-%m-%d}"
        raise FormError(
            {"used": f"{known.id} {known.name} was retired on {when} ({known.why_retired}). Tap another."}
        )
    raise FormError({"used": f"{tapped} is no instrument that measures this here. Tap one of those shown."})


def used_on(job: OpenJob, used: InstrumentUsed | None, on: date | None) -> InstrumentUsed | None:
    """The same instrument as it stood on the day of a reading that is typed in afterwards."""
    known = job.shop.known(used.tag) if used is not None and on is not None else None
    return known.used(on) if known is not None else used


def _fit(one: ShopInstrument, asked: str) -> int:
    """How well an instrument fits the words of the file."""
    words = asked.casefold()
    if one.name.casefold() == words:
        return _BY_NAME
    meant = _MEANT[one.sort] or tuple(re.findall(r"\w{4,}", one.name.casefold()))
    return _BY_KIND if any(piece in words for piece in meant) else _BY_QUANTITY


def _used_before(job: OpenJob) -> list[str]:
    """The marks of the instruments used on this job, the newest first."""
    taken = (getattr(entry.body, "taken", None) for entry in reversed(job.state.live))
    used = (one.used for one in taken if one is not None)
    return list(dict.fromkeys(one.tag for one in used if isinstance(one, InstrumentUsed)))


def _hint(one: ShopInstrument) -> str:
    """Step, calibration and cable in a few words."""
    now = one.standing()
    dates = f"calibrated to {now.due}" if now.due else "no calibration dates"
    cable = ("cable",) if one.listed.cable else ()
    return " · ".join((f"{one.listed.resolution} {one.unit}", dates, *cable))
