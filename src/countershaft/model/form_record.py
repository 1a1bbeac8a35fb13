"""What every form measurement has: named places, in the rows in which they are read."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from pydantic import Field, model_validator
from pydantic_core import InitErrorDetails

from countershaft.errors import OutOfRange
from countershaft.model.faults import Place, fault, raise_all
from countershaft.model.fields import Figure, Length, Record

__all__ = ["Along", "Clock", "FormRecord", "PlaceRow", "Spot", "Upright", "clock_label", "repeated"]

#: A place on the clock face, as hours; 1.5 is halfway between 1 and 2.
Clock = Annotated[
    tuple[Annotated[Figure, Field(gt=0, le=12)], ...],
    Field(min_length=3, max_length=24, description="places as hours on the clock face"),
]
#: Positions along an axis or an edge.
Along = Annotated[tuple[Length, ...], Field(min_length=1, max_length=12)]
Upright = Annotated[Figure, Field(ge=-60, le=60)]


@dataclass(frozen=True, slots=True)
class Spot:
    """One place where something is read: its name in the log, and what a cell of its row is called."""

    name: str
    label: str


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """Places that are read one after the other: a row of a grid, a line, a section."""

    label: str
    spots: tuple[Spot, ...]


class FormRecord(Record):
    """One way to measure a form: where to read, and what is judged of it.

    Every place is read `repeats` times.
    """

    kind: str
    repeats: Annotated[int, Field(ge=1, le=5, description="how often every place is read")] = 1

    @model_validator(mode="after")
    def _measurable(self) -> FormRecord:
        raise_all("form", self._all_faults())
        return self

    def _all_faults(self) -> Iterator[InitErrorDetails]:
        found = list(self.faults())
        yield from found
        if not found:
            try:
                self.attempt()
            except OutOfRange as cause:
                yield fault(self.blamed(), str(cause), self.blamed()[0] if self.blamed() else "")

    def faults(self) -> Iterator[InitErrorDetails]:
        """What is wrong with the record by itself, each fault at its key."""
        return iter(())

    def blamed(self) -> Place:
        """The key to name when the places as a whole cannot be judged."""
        return ()

    def attempt(self) -> None:
        """Judge readings that are all alike; raises OutOfRange where the places cannot tell a form."""

    @property
    def place_rows(self) -> tuple[PlaceRow, ...]:
        """Every place, row by row, in the order in which they are read."""
        raise AssertionError("each kind of form has its rows")

    @property
    def words(self) -> str:
        """What is measured, in a few words."""
        raise AssertionError("each kind of form has its words")

    @property
    def spots(self) -> tuple[Spot, ...]:
        """Every place in the order in which they are read."""
        return tuple(spot for row in self.place_rows for spot in row.spots)


def clock_label(hours: Decimal) -> str:
    """A place on the clock face as a person says it: "3 o'clock", "1:30"."""
    whole, minutes = int(hours), round((hours - int(hours)) * 60)
    return f"{whole or 12}:{minutes:02d}" if minutes else f"{whole} o'clock"


def repeated(
    key: str, given: tuple[Decimal, ...] | tuple[Length, ...], what: str
) -> Iterator[InitErrorDetails]:
    """A fault for every place that stands twice in a list."""
    sizes = [one if isinstance(one, Decimal) else Decimal(str(round(one.to("mm"), 6))) for one in given]
    for index, size in enumerate(sizes):
        if size in sizes[:index]:
            yield fault((key, index), f"the {what} {given[index]} stands twice; name each place once", given)
