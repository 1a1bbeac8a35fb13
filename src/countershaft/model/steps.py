"""Steps: what comes off or goes on, what it needs first, how, and what to look out for."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, model_validator
from pydantic_core import InitErrorDetails

from countershaft.mechanics.network import nearest
from countershaft.model.about import Caution
from countershaft.model.faults import fault, raise_all
from countershaft.model.fields import Count, Mass, Name, Record, Text

__all__ = ["Hold", "OpenTime", "Piece", "Step", "Way"]


class Piece(Record):
    """A part that comes off or goes on at a step; without `count` it is all of it."""

    part: Name
    count: Count | None = None
    note: Text | None = None


def _piece(value: Any) -> Any:
    return {"part": value} if isinstance(value, str) else value


Pieces = tuple[Annotated[Piece, BeforeValidator(_piece, json_schema_input_type=Piece | Name)], ...]


def _one_of_several(group: tuple[str, ...]) -> tuple[str, ...]:
    if len(set(group)) != len(group):
        raise ValueError("a step is named twice; each way stands once")
    return group


Group = Annotated[tuple[Name, ...], Field(min_length=2), AfterValidator(_one_of_several)]


class Hold(Record):
    """What is held from this step on, while others are done, until the end of the step `until`.

    `people` counts who is bound by it in the steps between; 0 where a tool holds it alone.
    """

    what: Text
    until: Name
    people: Annotated[int, Field(ge=0, le=9)] = 1
    tool: Text | None = None


class OpenTime(Record):
    """A sealant or adhesive that is laid at this step: the step `until` must be done within `minutes`."""

    what: Text
    minutes: Count
    until: Name


class Way(Record):
    """Another way of doing a step; what it leaves out is as in the step."""

    id: Name
    title: Text
    needs: tuple[Name, ...] | None = None
    how: Text | None = None
    tools: tuple[Text, ...] | None = None
    hold: Text | None = None
    lies: Text | None = None
    where: Text | None = None
    people: Count | None = None
    minutes: Count | None = None
    cautions: tuple[Caution, ...] = ()


class Step(Record):
    """One step of work.

    Teardown steps have `off` and `loosen`, build steps `on` and `tighten`; a step without either is a look, a
    measurement or a record.  `needs` must all come first, of every group of `either` at least
    one; `why` says the reason, by the step that is waited for.
    `hold` says what must be held during the step, `holds` what is held beyond it.  `lies` is how the unit must lie,
    `where` the place of work on something that is not on the unit; without either it does not matter.
    `record` names fits or limits to measure at this step; `write_down` what else to note; `hides` the fits, limits
    and steps that cannot be done any more after it.  `drops` and `sticks` name parts that may fall or stay behind.
    `wait_min` passes by itself after the work, before what needs the step may begin.
    """

    id: Name
    phase: Literal["teardown", "build"]
    title: Text
    needs: tuple[Name, ...] = ()
    either: tuple[Group, ...] = ()
    why: dict[Name, Text] = Field(default_factory=dict)
    alternatives: tuple[Way, ...] = ()
    off: Pieces = ()
    on: Pieces = ()
    loosen: tuple[Name, ...] = ()
    tighten: tuple[Name, ...] = ()
    parts_needed: tuple[Name, ...] = ()
    how: Text | None = None
    tool: Text | None = None
    tools: tuple[Text, ...] = ()
    consumables: tuple[Text, ...] = ()
    hold: Text | None = None
    holds: tuple[Hold, ...] = ()
    lies: Text | None = None
    where: Text | None = None
    lifts: Mass | None = None
    count: Text | None = Field(default=None, description="what must be counted aloud, and how many")
    drops: tuple[Name, ...] = ()
    sticks: tuple[Name, ...] = ()
    photo: bool = False
    cautions: tuple[Caution, ...] = ()
    record: tuple[Name, ...] = ()
    hides: tuple[Name, ...] = ()
    write_down: tuple[Text, ...] = ()
    verify: Text | None = None
    open_time: OpenTime | None = None
    people: Count = 1
    minutes: Count | None = None
    wait_min: Count | None = None

    @model_validator(mode="after")
    def _consistent(self) -> Step:
        raise_all("step", self._faults())
        return self

    def _faults(self) -> Iterator[InitErrorDetails]:
        if self.tool is not None and self.tools:
            text = "tool and tools are both given; tools alone says it, one by one"
            yield fault(("tool",), text, self.tool)
        if self.where is not None and self.lies is not None:
            text = f"the work is done at {self.where!r}, so how the unit lies does not matter; keep one of the two"
            yield fault(("lies",), text, self.lies)
        waited = {*self.needs, *(need for group in self.either for need in group)}
        for need in self.why:
            if need not in waited:
                text = f"{self.id} does not wait for {need!r}; {nearest(need, sorted(waited))}"
                yield fault(("why", need), text, need)
        seen: set[str] = set()
        for index, way in enumerate(self.alternatives):
            if way.id in seen:
                yield fault(("alternatives", index, "id"), f"the way {way.id!r} stands twice", way.id)
            seen.add(way.id)

    @property
    def tool_words(self) -> str | None:
        """The tools as one line, whichever way the file gives them."""
        return ", ".join(self.tools) or self.tool
