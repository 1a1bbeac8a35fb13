"""What a shop says of itself, outside any job: its instruments, their calibration, and the rule it decides by.

A shop's log is kept apart from the logs of its jobs, with kinds and versions of its own.
Figures are kept as they were typed, in the unit that the instrument shows.
"""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from typing import Annotated, Literal, Union, get_args

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, StringConstraints

from countershaft.job.body import Body, EntryId, Short, Typed, Words
from countershaft.job.taken import RuleName

__all__ = [
    "ANY_SHOP_BODY",
    "SHOP_KINDS",
    "InstrumentCalibrated",
    "InstrumentId",
    "InstrumentKind",
    "InstrumentListed",
    "InstrumentRetired",
    "RuleSaid",
    "ShopBody",
    "ShopEntry",
]


class InstrumentKind(StrEnum):
    """What an instrument is, in one word of a closed list."""

    DIAL_INDICATOR = "dial indicator"
    OUTSIDE_MICROMETER = "outside micrometer"
    DEPTH_GAUGE = "depth gauge"
    BORE_GAUGE = "bore gauge"
    FEELER_GAUGES = "feeler gauges"
    CALIPER = "caliper"
    STRAIGHTEDGE = "straightedge"
    SPRING_SCALE = "spring scale"
    TORQUE_GAUGE = "torque gauge"
    PRESSURE_GAUGE = "pressure gauge"
    OHMMETER = "ohmmeter"
    THERMOMETER = "thermometer"
    OTHER = "other"


#: The mark on an instrument, such as I1; it is never given to another one.
InstrumentId = Annotated[
    str, StringConstraints(strip_whitespace=True, pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]{0,15}$")
]
_Remark = Annotated[str, StringConstraints(strip_whitespace=True, max_length=1000)]


class ShopBody(Body):
    """The base of everything that a shop's own log can say."""


class InstrumentListed(ShopBody):
    """An instrument joins the shop's list.

    All figures are in `unit`, the one that it shows.  `permitted_error` is how far it may be off either way, of its
    standard or its maker's sheet; `certificate_u` is the expanded uncertainty of its calibration with the coverage
    factor `certificate_k`.  One with a `cable` types its value like a keyboard, then Enter.
    """

    kind: Literal["instrument_listed"] = "instrument_listed"
    id: InstrumentId
    name: Short
    sort: InstrumentKind
    unit: Short
    resolution: Typed
    permitted_error: Typed
    zero_offset: Typed | None = None
    calibrated: date | None = None
    due: date | None = None
    certificate_u: Typed | None = None
    certificate_k: Typed | None = None
    cable: bool = False
    note: _Remark = ""


class InstrumentCalibrated(ShopBody):
    """An instrument was calibrated.

    `error_found` is the largest error of its certificate, either way.  A new `permitted_error` replaces the old one,
    none leaves it; the zero offset is the new one, or not known.
    """

    kind: Literal["instrument_calibrated"] = "instrument_calibrated"
    id: InstrumentId
    calibrated: date
    due: date
    zero_offset: Typed | None = None
    error_found: Typed | None = None
    permitted_error: Typed | None = None
    certificate_u: Typed | None = None
    certificate_k: Typed | None = None
    note: _Remark = ""


class InstrumentRetired(ShopBody):
    """An instrument is used no more, because; what was read on it keeps its snapshot."""

    kind: Literal["instrument_retired"] = "instrument_retired"
    id: InstrumentId
    because: Words


class RuleSaid(ShopBody):
    """The rule by which the shop decides from now on, because; what was judged before keeps the rule of its day."""

    kind: Literal["rule_said"] = "rule_said"
    rule: RuleName
    because: Words


ANY_SHOP_BODY = Annotated[
    Union[InstrumentListed, InstrumentCalibrated, InstrumentRetired, RuleSaid],  # noqa: UP007  # one discriminated union
    Field(discriminator="kind"),
]

#: Every kind of body by the name it is stored under.
SHOP_KINDS: dict[str, type[ShopBody]] = {
    body.model_fields["kind"].default: body for body in get_args(get_args(ANY_SHOP_BODY)[0])
}


class ShopEntry(BaseModel):
    """One fact of the shop: who, when, and what; `version` is the version of the body's shape."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    id: EntryId
    at: AwareDatetime
    by: Short
    version: Annotated[int, Field(ge=1)] = 1
    body: ANY_SHOP_BODY
