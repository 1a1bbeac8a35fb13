"""What is said of a joint before its first torque: how its heads stand, and where its holes lie on a picture."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, model_validator

from countershaft.job.body import AsTyped, Body, Digest, Ref, Typed
from countershaft.job.words import Stage

__all__ = ["HeadSeen", "HeightsSeen", "HoleMarked"]


class HeadSeen(BaseModel):
    """One head that was measured: how high it stands when dropped in, or how long the bolt in hand is."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    place: Ref
    height_mm: Annotated[Typed, Field(ge=0, le=1000)] | None = None
    length_mm: Annotated[Typed, Field(gt=0, le=1000)] | None = None

    @model_validator(mode="after")
    def _one_figure(self) -> HeadSeen:
        if (self.height_mm is None) == (self.length_mm is None):
            raise ValueError("a head has either a standing height or a length of its bolt")
        return self


class HeightsSeen(Body):
    """Every bolt of a joint was dropped in and its head looked at, before the first torque.

    `level` says that all heads of one diameter stand as they should; else `heads` names those that were measured, and
    `because` says why the joint is tightened all the same, or why nobody looked.
    """

    STAGE = Stage.BUILD
    kind: Literal["heights_seen"] = "heights_seen"
    joint: Ref
    level: bool = False
    heads: tuple[HeadSeen, ...] = ()
    because: Annotated[str, StringConstraints(strip_whitespace=True, max_length=1000)] = ""
    typed: AsTyped = ""

    @model_validator(mode="after")
    def _says_something(self) -> HeightsSeen:
        if self.level and (self.heads or self.because):
            raise ValueError("all heads are level, or some are named; not both")
        if not (self.level or self.heads or self.because):
            raise ValueError("type at least one figure, or say why nobody looked")
        names = [head.place for head in self.heads]
        if len(set(names)) < len(names):
            raise ValueError("a place is named twice")
        return self


class HoleMarked(Body):
    """A hole was tapped on a picture of its joint, so many picture units from the left and from the top."""

    STAGE = Stage.BUILD
    kind: Literal["hole_marked"] = "hole_marked"
    joint: Ref
    digest: Digest
    place: Ref
    across: Annotated[int, Field(ge=0, le=10_000)]
    down: Annotated[int, Field(ge=0, le=10_000)]
