"""Steps: what comes off or goes on, what it needs first, how, and what to look out for."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from countershaft.model.about import Caution
from countershaft.model.fields import Count, Name, Record, Text

__all__ = ["Piece", "Step"]


class Piece(Record):
    """A part that comes off or goes on at a step; without `count` it is all of it."""

    part: Name
    count: Count | None = None
    note: Text | None = None


def _piece(value: Any) -> Any:
    return {"part": value} if isinstance(value, str) else value


Pieces = tuple[Annotated[Piece, BeforeValidator(_piece, json_schema_input_type=Piece | Name)], ...]


class Step(Record):
    """One step of work.

    Teardown steps have `off` and `loosen`, build steps `on` and `tighten`; a step without either is a look, a
    measurement or a record.  `hold` says what must be held at the same time, `lies` how the unit must lie.
    `record` names fits or limits to measure at this step; `write_down` what else to note.
    """

    id: Name
    phase: Literal["teardown", "build"]
    title: Text
    needs: tuple[Name, ...] = ()
    off: Pieces = ()
    on: Pieces = ()
    loosen: tuple[Name, ...] = ()
    tighten: tuple[Name, ...] = ()
    how: Text | None = None
    tool: Text | None = None
    hold: Text | None = None
    lies: Text | None = None
    count: Text | None = Field(default=None, description="what must be counted aloud, and how many")
    photo: bool = False
    cautions: tuple[Caution, ...] = ()
    record: tuple[Name, ...] = ()
    write_down: tuple[Text, ...] = ()
    verify: Text | None = None
    people: Count = 1
    minutes: Count | None = None
