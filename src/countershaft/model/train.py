"""The gear train of a transmission file: sets, pairs, shift elements and the application chart.

Members are implied by use: whatever a set or a pair names is one.
Every fault is reported at the key that is wrong, so that a reader can name its line.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated, Any, Self

from pydantic import (
    AfterValidator,
    Field,
    StringConstraints,
    ValidationInfo,
    field_validator,
    model_validator,
)
from pydantic_core import InitErrorDetails

from countershaft.mechanics.network import Network, nearest
from countershaft.mechanics.states import TrainState, solve_chart
from countershaft.model.bearings import Bearing, SpeedSensor
from countershaft.model.faults import Place, fault, raise_all
from countershaft.model.fields import Name, Record, Text
from countershaft.model.gear_sets import GearSet, Pair
from countershaft.model.shift_elements import ShiftElement, SleeveElement

__all__ = ["Train"]


def _one_word(token: str) -> str:
    if not token or len(token.split()) != 1 or token.count(":") > 1 or token[-1] == ":" or token[0] == ":":
        raise ValueError(f"{token!r} is no element; write one name, and a sleeve as name:position")
    return token


Gear = Annotated[str, StringConstraints(min_length=1, max_length=40)]
Applied = Annotated[
    str,
    StringConstraints(max_length=81),
    AfterValidator(_one_word),
    Field(json_schema_extra={"pattern": r"^[^\s,;:\[\]{}]+(:[^\s,;:\[\]{}]+)?$"}),
]


class Train(Record):
    """The gear train.

    `members` lists further members that no set or pair names, such as a drum between two clutches.
    `chart` says which elements are applied in each gear; a sleeve is written with its position, as
    `id:position`.
    `bearings` and `speed_sensors` say what else sounds or is counted when members turn.
    """

    input: Name
    output: Name
    members: tuple[Name, ...] = ()
    sets: tuple[GearSet, ...] = ()
    pairs: tuple[Pair, ...] = ()
    grounded: tuple[Name, ...] = ()
    elements: dict[Name, ShiftElement] = Field(default_factory=dict)
    chart: dict[Gear, tuple[Applied, ...]] = Field(default_factory=dict)
    bearings: tuple[Bearing, ...] = ()
    speed_sensors: tuple[SpeedSensor, ...] = ()

    @field_validator("sets", "pairs")
    @classmethod
    def _ids_once(cls, parts: tuple[Any, ...], info: ValidationInfo) -> tuple[Any, ...]:
        seen = {part.mechanical().id for part in info.data.get("sets", ()) if info.field_name == "pairs"}
        faults = []
        for index, part in enumerate(parts):
            part_id = part.mechanical().id
            if part_id in seen:
                text = f"id {part_id!r} is used twice; give each set and each pair an id of its own"
                faults.append(fault((index, "id") if part.id else (index,), text, part_id))
            seen.add(part_id)
        raise_all("ids", faults)
        return parts

    @field_validator("bearings", "speed_sensors")
    @classmethod
    def _places_once(cls, places: tuple[Any, ...]) -> tuple[Any, ...]:
        seen: set[str] = set()
        faults = []
        for index, place in enumerate(places):
            if place.id in seen:
                faults.append(
                    fault((index, "id"), f"id {place.id!r} is used twice; give each its own", place.id)
                )
            seen.add(place.id)
        raise_all("ids", faults)
        return places

    @model_validator(mode="after")
    def _names_known(self) -> Self:
        # Names can be looked up only once every part can be read; then all wrong ones are told at once.
        chart = _chart_faults(self.chart, self.elements)
        raise_all("train", [*self._end_faults(), *self._member_faults(), *chart])
        return self

    def _geared(self) -> list[str]:
        parts = [part.mechanical() for part in (*self.sets, *self.pairs)]
        return [member for part in parts for member in part.members]

    def _end_faults(self) -> Iterator[InitErrorDetails]:
        touched = [member for _, member in self._references() if member not in (self.input, self.output)]
        used = [*self._geared(), *(member for _, member in self._references())]
        for key, member in (("input", self.input), ("output", self.output)):
            if member not in used:
                text = f"no set, pair or element names {member!r}; {nearest(member, [*used, *touched])}"
                yield fault((key,), text, member)
        if self.input == self.output:
            yield fault(("output",), "input and output are the same member; name two", self.output)

    def _references(self) -> Iterator[tuple[Place, str]]:
        for index, member in enumerate(self.grounded):
            yield ("grounded", index), member
        for name, element in self.elements.items():
            if isinstance(element, SleeveElement):
                for position, pair in element.positions.items():
                    yield ("elements", name, "positions", position, 0), pair[0]
                    yield ("elements", name, "positions", position, 1), pair[1]
            elif "members" in type(element).model_fields:
                for index, member in enumerate(element.mechanical(name).members):
                    yield ("elements", name, "members", index), member
            else:
                yield ("elements", name, "member"), element.mechanical(name).members[0]

    def _read_members(self) -> Iterator[tuple[Place, str]]:
        """Members at which a bearing or a sensor sits; it takes more than that to make one."""
        for index, bearing in enumerate(self.bearings):
            yield from ((("bearings", index, key), member) for key, member in bearing.members.items())
        for index, sensor in enumerate(self.speed_sensors):
            yield ("speed_sensors", index, "member"), sensor.member

    def _member_faults(self) -> Iterator[InitErrorDetails]:
        known = list(dict.fromkeys([*self._geared(), self.input, self.output, *self.members]))
        unused_end = list(self._end_faults())
        for place, member in (*self._references(), *self._read_members()):
            # A misspelt input or output makes its true name unknown; the fault lies at the input or output.
            if member not in known and not unused_end:
                text = (
                    f"no set or pair has a member {member!r}; {nearest(member, known)} "
                    "A shaft without gears is listed under members"
                )
                yield fault(place, text, member)

    def network(self) -> Network:
        """The train as the mechanics know it."""
        return Network(
            input=self.input,
            output=self.output,
            sets=tuple(part.mechanical() for part in self.sets),
            pairs=tuple(part.mechanical() for part in self.pairs),
            grounded=self.grounded,
            elements=tuple(element.mechanical(name) for name, element in self.elements.items()),
            further=self.members,
        )

    def states(self) -> dict[str, TrainState]:
        """Every gear of the chart, solved."""
        return solve_chart(self.network(), self.chart)

    def planet_counts(self) -> dict[str, int]:
        """Set to its number of planets, for those that tell it."""
        counts = {part.id: getattr(part, "planets", None) for part in self.sets}
        return {name: count for name, count in counts.items() if count is not None}

    def element_name(self, element_id: str) -> str:
        """What the file calls an element, else its id; a sleeve's position is kept."""
        name, _, position = element_id.partition(":")
        element = self.elements.get(name)
        text: Text = element.name if element is not None and element.name else name
        return f"{text} ({position})" if position else text


def _chart_faults(
    chart: Mapping[str, Sequence[str]], elements: Mapping[str, ShiftElement]
) -> Iterator[InitErrorDetails]:
    for gear, applied in chart.items():
        seen: set[str] = set()
        for index, token in enumerate(applied):
            text = _applied_fault(token, elements)
            name = token.partition(":")[0]
            if text is None and name in seen:
                text = f"{name} is applied twice in gear {gear}; name it once"
            if text is not None:
                yield fault(("chart", gear, index), text, token)
            seen.add(name)


def _applied_fault(token: str, elements: Mapping[str, ShiftElement]) -> str | None:
    name, _, position = token.partition(":")
    element = elements.get(name)
    if element is None:
        return f"there is no shift element {name!r}; {nearest(name, elements)}"
    if not isinstance(element, SleeveElement):
        return (
            f"{name} is no sleeve and has no position {position!r}; write {name} alone" if position else None
        )
    if not position and len(element.positions) == 1:
        return None
    written = ", ".join(f"{name}:{known}" for known in element.positions)
    if not position:
        return f"{name} is a sleeve; write its position too: {written}"
    return None if position in element.positions else f"{name} has no position {position!r}; write {written}"
