"""What can be had of a selective part: pieces measured one by one, counts of sizes, and price lists.

Stock belongs to a family: the pieces that fit the same places.  It is named as `stages.stock` names it.
"""

from __future__ import annotations

from typing import Annotated, Final, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from countershaft.job.body import AsTyped, Body, Readings, Ref, Short, Typed
from countershaft.job.taken import Taken
from countershaft.job.words import Stage

__all__ = ["OFF_MARK_MM", "PieceGone", "PieceMeasured", "PriceLine", "PriceList", "SizeCount", "SizesCounted"]

#: How far a piece may be off the size that is marked on it, as long as nobody measured it: 0.02 mm either way
#: (common practice, no source).
OFF_MARK_MM: Final = "0.02"

_Size = Annotated[Typed, Field(gt=0)]
_OffMark = Annotated[Typed, Field(ge=0, le=1)]
_RECORD: Final = ConfigDict(frozen=True, extra="forbid")


class SizeCount(BaseModel):
    """How many pieces of one size lie there."""

    model_config = _RECORD
    size_mm: _Size
    count: Annotated[int, Field(ge=0, le=999)]


class PriceLine(BaseModel):
    """One size that can be ordered: its price in whole cents, and the days until it is here."""

    model_config = _RECORD
    size_mm: _Size
    price_cents: Annotated[int, Field(ge=0, le=100_000_000)]
    days: Annotated[int, Field(ge=0, le=999)]


class SizesCounted(Body):
    """How many pieces of each size lie on the shelf that nobody measured one by one.

    A size that is not named has none.  `off_mark_mm` is how far a piece may be off its size, either way.
    """

    STAGE = Stage.FIT
    kind: Literal["sizes_counted"] = "sizes_counted"
    family: Ref
    counts: tuple[SizeCount, ...]
    off_mark_mm: _OffMark

    @model_validator(mode="after")
    def _each_once(self) -> SizesCounted:
        _once([one.size_mm for one in self.counts])
        return self


class PieceMeasured(Body):
    """One piece on the shelf under its own label, with the size that was measured on it.

    `again` says that a piece of this label is known and was measured anew.
    """

    STAGE = Stage.FIT
    kind: Literal["piece_measured"] = "piece_measured"
    family: Ref
    label: Ref
    marked_mm: _Size | None = None
    values_mm: Readings
    resolution_mm: _Size
    again: bool = False
    typed: AsTyped = ""
    taken: Taken | None = None


class PieceGone(Body):
    """A measured piece that is not on the shelf any more: scrapped, lent, or used elsewhere."""

    STAGE = Stage.FIT
    kind: Literal["piece_gone"] = "piece_gone"
    label: Ref
    because: Short


class PriceList(Body):
    """The sizes that can be ordered, each as often as wanted; a list takes the place of the one before it.

    `currency` is a word, such as the name of the money; `off_mark_mm` is how far a delivered piece may be off.
    """

    STAGE = Stage.FIT
    kind: Literal["price_list"] = "price_list"
    family: Ref
    currency: Short
    lines: tuple[PriceLine, ...]
    off_mark_mm: _OffMark

    @model_validator(mode="after")
    def _each_once(self) -> PriceList:
        _once([one.size_mm for one in self.lines])
        return self


def _once(sizes: list[Typed]) -> None:
    twice = next((size for size in sizes if sizes.count(size) > 1), None)
    if twice is not None:
        raise ValueError(f"size {twice} mm stands there twice; give it once")
