"""Shift elements of a transmission file, each checked when built; their id is their key in the file."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from countershaft.mechanics import shift_elements
from countershaft.model.faults import by_kind, fault, raise_all
from countershaft.model.fields import Name, Record, Text

__all__ = [
    "BandElement",
    "BrakeElement",
    "ClutchElement",
    "OneWayElement",
    "OneWayToGroundElement",
    "ShiftElement",
    "SleeveElement",
]


def _two(members: tuple[str, str]) -> tuple[str, str]:
    if members[0] == members[1]:
        text = f"{members[1]!r} is named twice; an element ties two different members"
        raise_all("members", [fault((1,), text, members[1])])
    return members


Two = Annotated[tuple[Name, Name], AfterValidator(_two)]
FreeDirection = Annotated[
    Literal["+", "-"],
    Field(description="sense, seen as the input turns, in which the member may turn; of two, the first"),
]


class ClutchElement(Record):
    """A clutch: makes two members turn as one."""

    kind: Literal["clutch"]
    name: Text | None = None
    members: Two

    def mechanical(self, element_id: str) -> shift_elements.Clutch:
        """The clutch as the mechanics know it."""
        return shift_elements.Clutch(element_id, *self.members)


class BrakeElement(Record):
    """A disc brake: holds a member to the case."""

    kind: Literal["brake"]
    name: Text | None = None
    member: Name

    def mechanical(self, element_id: str) -> shift_elements.Brake:
        """The brake as the mechanics know it."""
        return shift_elements.Brake(element_id, self.member)


class BandElement(Record):
    """A band: holds a member to the case."""

    kind: Literal["band"]
    name: Text | None = None
    member: Name

    def mechanical(self, element_id: str) -> shift_elements.Brake:
        """The band as the mechanics know it."""
        return shift_elements.Brake(element_id, self.member)


class OneWayToGroundElement(Record):
    """A one-way clutch between a member and the case."""

    kind: Literal["one_way_to_ground"]
    name: Text | None = None
    member: Name
    free_direction: FreeDirection

    def mechanical(self, element_id: str) -> shift_elements.OneWayToGround:
        """The one-way clutch as the mechanics know it."""
        return shift_elements.OneWayToGround(element_id, self.member, self.free_direction)


class OneWayElement(Record):
    """A one-way clutch between two members; the first may run ahead of the second in the free direction."""

    kind: Literal["one_way"]
    name: Text | None = None
    members: Two
    free_direction: FreeDirection

    def mechanical(self, element_id: str) -> shift_elements.OneWayBetween:
        """The one-way clutch as the mechanics know it."""
        return shift_elements.OneWayBetween(element_id, *self.members, self.free_direction)


class SleeveElement(Record):
    """A sliding sleeve: each position makes two members turn as one; the chart writes `id:position`."""

    kind: Literal["sleeve"]
    name: Text | None = None
    positions: Annotated[dict[Name, Two], Field(min_length=1)]

    def mechanical(self, element_id: str) -> shift_elements.Sleeve:
        """The sleeve as the mechanics know it."""
        return shift_elements.Sleeve(element_id, tuple(self.positions.items()))


ShiftElement = Annotated[
    ClutchElement | BrakeElement | BandElement | OneWayToGroundElement | OneWayElement | SleeveElement,
    Field(discriminator="kind"),
    by_kind(ClutchElement, BrakeElement, BandElement, OneWayToGroundElement, OneWayElement, SleeveElement),
]
