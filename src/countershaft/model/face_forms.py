"""Forms of faces and edges: flatness by grid, by straightedge and feeler, on a surface plate; straightness."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field
from pydantic_core import InitErrorDetails

from countershaft.errors import OutOfRange
from countershaft.metrology.flatness import flatness
from countershaft.metrology.straightedge import straightedge_flatness
from countershaft.metrology.straightness import straightness
from countershaft.model.faults import Place, fault
from countershaft.model.fields import Length, Name
from countershaft.model.form_record import Along, Clock, FormRecord, PlaceRow, Spot, clock_label, repeated
from countershaft.units import Quantity

__all__ = ["GridForm", "PlateForm", "StraightedgeForm", "StraightnessForm"]

_LETTERS = "ABCDEFGHJK"


class GridForm(FormRecord):
    """Heights of a face on a regular grid, by an indicator that rides on a reference plane.

    Rows are called A, B, C, …, columns 1, 2, 3, …; `left_out` names places with nothing to read on, such as B2.
    """

    kind: Literal["flatness_grid"]
    rows: Annotated[int, Field(ge=2, le=10)]
    columns: Annotated[int, Field(ge=2, le=12)]
    step_x: Length
    step_y: Length
    left_out: tuple[Name, ...] = ()

    def faults(self) -> Iterator[InitErrorDetails]:
        """Steps that are no distance, and left-out places that the grid does not have."""
        for key in ("step_x", "step_y"):
            step: Quantity = getattr(self, key)
            if not step.value > 0:
                yield fault((key,), f"the step {step} must be above zero", step)
        known = {f"{_LETTERS[row]}{column + 1}" for row in range(self.rows) for column in range(self.columns)}
        for index, name in enumerate(self.left_out):
            if name not in known:
                yield fault(
                    ("left_out", index), f"the grid has no place {name!r}; places are A1, A2, …", name
                )

    def blamed(self) -> Place:
        """The left-out places, where too few are kept."""
        return ("left_out",) if self.left_out else ("rows",)

    def attempt(self) -> None:
        """Judge a flat face."""
        flatness([(x, y, 0) for x, y in self.where.values()])

    @property
    def place_rows(self) -> tuple[PlaceRow, ...]:
        """The rows of the grid."""
        found = []
        for letter in _LETTERS[: self.rows]:
            names = [f"{letter}{column + 1}" for column in range(self.columns)]
            spots = tuple(Spot(name, name) for name in names if name not in self.left_out)
            if spots:
                found.append(PlaceRow(f"Row {letter}", spots))
        return tuple(found)

    @property
    def where(self) -> dict[str, tuple[float, float]]:
        """Name of every place to where it lies [m]."""
        step_x, step_y = self.step_x.to("m"), self.step_y.to("m")
        return {
            spot.name: ((int(spot.name[1:]) - 1) * step_x, _LETTERS.index(spot.name[0]) * step_y)
            for spot in self.spots
        }

    @property
    def words(self) -> str:
        """What is measured."""
        return f"flatness from {len(self.spots)} heights on a grid {self.step_x} by {self.step_y}"


class StraightedgeForm(FormRecord):
    """Gaps under a straightedge that is laid over named places of a face in several directions."""

    kind: Literal["flatness_straightedge"]
    places: dict[Name, tuple[Length, Length]] = Field(min_length=4, max_length=20)
    lines: tuple[Annotated[tuple[Name, ...], Field(min_length=2, max_length=8)], ...] = Field(
        min_length=1, max_length=12
    )

    def faults(self) -> Iterator[InitErrorDetails]:
        """Lines that name no place, or one place twice, and places at one spot."""
        for index, line in enumerate(self.lines):
            for place, name in enumerate(line):
                if name not in self.places:
                    known = ", ".join(self.places)
                    yield fault(
                        ("lines", index, place), f"there is no place {name!r}; places are {known}", name
                    )
                elif name in line[:place]:
                    yield fault(("lines", index, place), f"the line names {name!r} twice", name)
        seen: dict[tuple[float, float], str] = {}
        for name, spot in self.where.items():
            if spot in seen:
                yield fault(("places", name), f"{name!r} lies where {seen[spot]!r} lies", name)
            seen.setdefault(spot, name)

    def blamed(self) -> Place:
        """The lines."""
        return ("lines",)

    def attempt(self) -> None:
        """Tie a flat face together."""
        found = straightedge_flatness(self.where, [dict.fromkeys(line, 0.0) for line in self.lines])
        if found.face is None:
            raise OutOfRange(found.why)

    @property
    def place_rows(self) -> tuple[PlaceRow, ...]:
        """One row for each way the straightedge lies."""
        return tuple(
            PlaceRow(
                f"Line {number}: {' – '.join(line)}", tuple(Spot(f"{number} {name}", name) for name in line)
            )
            for number, line in enumerate(self.lines, start=1)
        )

    @property
    def where(self) -> dict[str, tuple[float, float]]:
        """Name of every place to where it lies [m]."""
        return {name: (x.to("m"), y.to("m")) for name, (x, y) in self.places.items()}

    @property
    def words(self) -> str:
        """What is measured."""
        return f"flatness from gaps under a straightedge along {len(self.lines)} lines"


class PlateForm(FormRecord):
    """Gaps under both edges of a ring-shaped plate that lies on a surface plate: cone and wave together."""

    kind: Literal["flatness_plate"]
    outer_radius: Length
    inner_radius: Length
    clock: Clock

    def faults(self) -> Iterator[InitErrorDetails]:
        """Radii in the wrong order, and places that stand twice."""
        if not 0 < self.inner_radius.to("mm") < self.outer_radius.to("mm"):
            text = (
                f"the inner radius {self.inner_radius} is not between 0 and the outer one {self.outer_radius}"
            )
            yield fault(("inner_radius",), text, self.inner_radius)
        yield from repeated("clock", self.clock, "place")

    @property
    def place_rows(self) -> tuple[PlaceRow, ...]:
        """The outer edge, then the inner one."""
        return tuple(
            PlaceRow(
                f"Under the {edge} edge",
                tuple(Spot(f"{edge} {hours:g}", clock_label(hours)) for hours in self.clock),
            )
            for edge in ("outer", "inner")
        )

    @property
    def where(self) -> dict[str, tuple[float, float]]:
        """Name of every place to where it lies [m], 12 o'clock up."""
        found = {}
        for edge, radius in (("outer", self.outer_radius.to("m")), ("inner", self.inner_radius.to("m"))):
            for hours in self.clock:
                turn = math.radians(float(hours) * 30)
                found[f"{edge} {hours:g}"] = (radius * math.sin(turn), radius * math.cos(turn))
        return found

    @property
    def words(self) -> str:
        """What is measured."""
        return f"cone and wave of a plate, from gaps at {2 * len(self.clock)} places on a surface plate"


class StraightnessForm(FormRecord):
    """Readings along a line: heights above a straight reference."""

    kind: Literal["straightness"]
    positions: Annotated[Along, Field(min_length=3)]

    def faults(self) -> Iterator[InitErrorDetails]:
        """Positions that stand twice."""
        return repeated("positions", self.positions, "position")

    @property
    def place_rows(self) -> tuple[PlaceRow, ...]:
        """One row."""
        return (PlaceRow("Along the line", tuple(Spot(str(one), f"at {one}") for one in self.positions)),)

    @property
    def where(self) -> dict[str, tuple[float, float]]:
        """Name of every place to where it lies [m]."""
        return {str(one): (one.to("m"), 0.0) for one in self.positions}

    def attempt(self) -> None:
        """Judge a straight line."""
        straightness([x for x, _ in self.where.values()], [0.0] * len(self.positions))

    @property
    def words(self) -> str:
        """What is measured."""
        return f"straightness from {len(self.positions)} readings along a line"
