"""Where a piece is: in a tagged place, in its own hole, sent out, scrapped; and that it went from one to another."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, model_validator

from countershaft.job.body import Body, Ref

__all__ = ["OWN_HOLES", "SCRAPPED", "UNSAID", "Moved", "Spot", "Stowed"]

_Count = Annotated[int, Field(ge=1, le=9999)]
_Text = Annotated[str, StringConstraints(strip_whitespace=True, max_length=120)]


class Spot(BaseModel):
    """Where pieces are outside the unit; `name` is the tag of the place, or whom they were sent to."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    how: Literal["place", "own holes", "sent out", "scrapped", "not said"]
    name: _Text = ""

    @model_validator(mode="after")
    def _named(self) -> Spot:
        if (self.how in ("place", "sent out")) != bool(self.name):
            wanted = "a name" if self.how in ("place", "sent out") else "no name"
            raise ValueError(f"a spot of kind {self.how!r} has {wanted}; got {self.name!r}")
        return self

    def words(self) -> str:
        """The spot as a person says it."""
        if self.how == "place":
            return self.name
        return f"sent out to {self.name}" if self.how == "sent out" else _WORDS[self.how]


_WORDS = {
    "own holes": "parked in their own holes",
    "scrapped": "scrapped",
    "not said": "out of the unit, nobody said where",
}

OWN_HOLES = Spot(how="own holes")
SCRAPPED = Spot(how="scrapped")
UNSAID = Spot(how="not said")


class Stowed(BaseModel):
    """Where the fasteners of one joint went when they came out."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    joint: Ref
    count: _Count
    spot: Spot


class Moved(Body):
    """Pieces of a part or fasteners of a joint went elsewhere; `words` says why, or what replaces them."""

    kind: Literal["moved"] = "moved"
    sort: Literal["part", "joint"]
    what: Ref
    count: _Count
    start: Spot
    to: Spot
    words: Annotated[str, StringConstraints(strip_whitespace=True, max_length=1000)] = ""

    @model_validator(mode="after")
    def _goes_somewhere(self) -> Moved:
        if self.start == self.to:
            raise ValueError(f"they are there already: {self.to.words()}; choose another place")
        if self.to.how == "not said":
            raise ValueError("say where they went")
        return self
