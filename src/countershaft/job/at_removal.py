"""What is said of a unit that no file describes: what came off, that all is off, and which order is a must."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints

from countershaft.errors import BadInput
from countershaft.job.body import Body, Words
from countershaft.job.sizes import read_size
from countershaft.job.words import Stage
from countershaft.planning.observed import matching_key

__all__ = ["AllOff", "CameOff", "FastenersOff", "OrderSaid", "SameSaid"]


def _sized(text: str) -> str:
    try:
        read_size(text)
    except BadInput as cause:
        raise ValueError(str(cause)) from cause
    return text


def _named(text: str) -> str:
    if not matching_key(text):
        raise ValueError(f"{text!r} names nothing; say what it is in words, as in: oil pump")
    return text


#: What somebody calls a part.
Called = Annotated[
    str, StringConstraints(strip_whitespace=True, min_length=1, max_length=60), AfterValidator(_named)
]
_Count = Annotated[int, Field(ge=1, le=999)]


class FastenersOff(BaseModel):
    """Fasteners of one size that came out, the size as it was typed."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    size: Annotated[
        str, StringConstraints(strip_whitespace=True, min_length=1, max_length=40), AfterValidator(_sized)
    ]
    count: _Count


class CameOff(BaseModel):
    """What a step of an unknown unit took off: no file says so, the log does.

    `together` says that it came off at once with what was logged before it.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")
    what: Called
    count: _Count
    fasteners: Annotated[tuple[FastenersOff, ...], Field(max_length=9)] = ()
    together: bool = False
    remark: Annotated[str, StringConstraints(strip_whitespace=True, max_length=1000)] = ""


class AllOff(Body):
    """Nothing more comes off this unit; a removal after it opens the teardown again."""

    STAGE = Stage.TEARDOWN
    kind: Literal["all_off"] = "all_off"


class OrderSaid(Body):
    """Somebody says of two parts that one must come off first, that the order is free, or that it is as it was seen."""

    STAGE = Stage.TEARDOWN
    kind: Literal["order_said"] = "order_said"
    before: Called
    after: Called
    how: Literal["must", "free", "as seen"]
    because: Words


class SameSaid(Body):
    """Somebody says that two names are the same part; `called` is the one that stands in the file."""

    STAGE = Stage.TEARDOWN
    kind: Literal["same_said"] = "same_said"
    name: Called
    called: Called
