"""The base of everything that an entry can say, and the kinds of field that it is made of."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Any, ClassVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StringConstraints

from countershaft.job.words import Stage

__all__ = ["AsTyped", "Body", "Digest", "EntryId", "Money", "Readings", "Ref", "Short", "Typed", "Words"]

Words = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=4000)]
Short = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=120)]
Ref = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=80)]
Digest = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
#: Figures as they were typed, where that was in another unit than the one they are kept in.
AsTyped = Annotated[str, StringConstraints(strip_whitespace=True, max_length=1000)]
EntryId = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{32}$")]


def _decimal_comma(value: Any) -> Any:
    return value.strip().replace(",", ".").replace("−", "-") if isinstance(value, str) else value


Typed = Annotated[
    Decimal, BeforeValidator(_decimal_comma), Field(allow_inf_nan=False, ge=-1_000_000, le=1_000_000)
]
Readings = Annotated[tuple[Typed, ...], Field(min_length=1, max_length=12)]
Money = Annotated[Decimal, BeforeValidator(_decimal_comma), Field(allow_inf_nan=False, ge=0, le=10_000_000)]


class Body(BaseModel):
    """What an entry says.  `STAGE` is the stage it belongs to; `kind` names it in the stored log."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    STAGE: ClassVar[Stage | None] = None
    kind: str
