"""What a transmission file says about itself: the unit, its fluid, its cautions, where its figures come from."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from countershaft.model.fields import Count, Figure, Mass, Name, Record, Text, Torque, Volume
from countershaft.source import Source, SourceKind

__all__ = ["About", "Caution", "SourceNote"]


class Caution(Record):
    """A hazard at the place where it matters, with its signal word (ANSI Z535.4 meanings)."""

    signal: Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]
    text: Text


class SourceNote(Record):
    """One entry of the file's list of sources."""

    kind: SourceKind
    text: Text

    def as_source(self) -> Source:
        """The source as the rest of the program carries it."""
        return Source(self.kind, self.text)


class About(Record):
    """The unit as a whole.  `sources` names the sources; other sections point at them by that name.

    `orientations` lists how the unit can lie, each with what that means; steps point at them with `lies`.
    `turning_min` is how long it takes to turn it from one to another.
    """

    code: Text | None = None
    layout: Text | None = None
    mass: Mass | None = None
    fluid: Text | None = None
    fluid_volume: Volume | None = None
    engine_torque: Torque | None = None
    stall_torque_ratio: Figure | None = None
    orientations: dict[Text, Text] = Field(default_factory=dict)
    turning_min: Count | None = None
    note: Text | None = None
    cautions: tuple[Caution, ...] = ()
    sources: dict[Name, SourceNote] = Field(default_factory=dict)
