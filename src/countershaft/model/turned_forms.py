"""Forms of turned parts: roundness, ovality and taper, runout, backlash, the bow of a shaft."""

from __future__ import annotations

import math
from collections.abc import Iterator
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field
from pydantic_core import InitErrorDetails

from countershaft.metrology.roundness import roundness_of_readings
from countershaft.model.faults import Place, fault
from countershaft.model.fields import Figure, Length
from countershaft.model.form_record import (
    Along,
    Clock,
    FormRecord,
    PlaceRow,
    Spot,
    Upright,
    clock_label,
    repeated,
)

__all__ = ["BacklashForm", "BowForm", "DiametersForm", "RoundnessForm", "RunoutForm"]


class ClockForm(FormRecord):
    """Readings at places round a circle."""

    clock: Clock

    def faults(self) -> Iterator[InitErrorDetails]:
        """Places that stand twice."""
        return repeated("clock", self.clock, "place")

    @property
    def place_rows(self) -> tuple[PlaceRow, ...]:
        """One row all round."""
        spots = tuple(Spot(f"{hours:g}", clock_label(hours)) for hours in self.clock)
        return (PlaceRow("Round the clock", spots),)

    @property
    def angles(self) -> tuple[float, ...]:
        """Where each place stands, clockwise from 12 [rad]."""
        return tuple(math.radians(float(hours) % 12 * 30) for hours in self.clock)

    def blamed(self) -> Place:
        """The places."""
        return ("clock",)


class RoundnessForm(ClockForm):
    """Roundness from an indicator that is swept round; + where the surface lies farther out."""

    kind: Literal["roundness"]
    radius: Length

    def faults(self) -> Iterator[InitErrorDetails]:
        """A radius that is none, and places that stand twice."""
        if not self.radius.value > 0:
            yield fault(("radius",), f"the radius {self.radius} must be above zero", self.radius)
        yield from repeated("clock", self.clock, "place")

    def attempt(self) -> None:
        """Judge a true circle."""
        roundness_of_readings(self.angles, [0.0] * len(self.clock), radius=self.radius.to("m"))

    @property
    def words(self) -> str:
        """What is measured."""
        return f"roundness from {len(self.clock)} readings round a circle"


class RunoutForm(ClockForm):
    """Runout of a part that is turned under an indicator.

    Judged is the total indicator reading, the eccentricity, or the form that is left without the eccentricity.
    `lobes` is the most crests to look for; left out, as many as the places can tell.
    """

    kind: Literal["runout"]
    judged: Literal["total", "eccentricity", "form"] = "total"
    lobes: Annotated[int, Field(ge=1, le=11)] | None = None

    def faults(self) -> Iterator[InitErrorDetails]:
        """More lobes than the places can tell, and places that stand twice."""
        yield from repeated("clock", self.clock, "place")
        most = (len(self.clock) - 1) // 2
        if self.lobes is not None and self.lobes > most:
            text = f"{len(self.clock)} places can tell at most {most} lobes; read at more places"
            yield fault(("lobes",), text, self.lobes)

    @property
    def words(self) -> str:
        """What is measured."""
        what = {"total": "runout", "eccentricity": "eccentricity", "form": "runout without eccentricity"}
        return f"{what[self.judged]} from {len(self.clock)} readings round a circle"


class BacklashForm(ClockForm):
    """Free travel of a gear at a probe, its mate held, at one or more places.

    Judged is the place that lies worst against the limit, or the mean of all.
    """

    kind: Literal["backlash"]
    clock: Annotated[
        tuple[Annotated[Figure, Field(gt=0, le=12)], ...],
        Field(min_length=1, max_length=24, description="places as hours on the clock face"),
    ]
    pitch_radius: Length
    probe_radius: Length
    probe_radius_within: Length | None = Field(
        default=None, description="how far the probe may stand from its radius, either way"
    )
    pressure_angle_deg: Annotated[Figure, Field(gt=0, lt=45)]
    helix_angle_deg: Annotated[Figure, Field(gt=-60, lt=60)] = Decimal(0)
    probe_tilt_deg: Annotated[Upright, Field(ge=-30, le=30)] = Decimal(0)
    along: Literal["pitch circle", "normal"] = "pitch circle"
    judged: Literal["worst", "mean"] = "worst"

    def faults(self) -> Iterator[InitErrorDetails]:
        """Radii that are none, and places that stand twice."""
        for key in ("pitch_radius", "probe_radius"):
            radius = getattr(self, key)
            if not radius.value > 0:
                yield fault((key,), f"the radius {radius} must be above zero", radius)
        within = self.probe_radius_within
        if within is not None and not 0 <= within.to("mm") < self.probe_radius.to("mm"):
            yield fault(("probe_radius_within",), f"{within} is not between 0 and the radius itself", within)
        yield from repeated("clock", self.clock, "place")

    @property
    def words(self) -> str:
        """What is measured."""
        along = "along the pitch circle" if self.along == "pitch circle" else "square to the flanks"
        return f"backlash {along}, from a probe at {self.probe_radius}"


class DiametersForm(FormRecord):
    """Diameters of a bore or journal at several sections, each in several directions.

    Judged is the worst ovality, the taper, or the smallest or largest diameter.
    """

    kind: Literal["diameters"]
    sections: Along
    directions_deg: Annotated[
        tuple[Annotated[Figure, Field(ge=0, lt=180)], ...], Field(min_length=2, max_length=6)
    ]
    judged: Literal["ovality", "taper", "smallest", "largest"] = "ovality"

    def faults(self) -> Iterator[InitErrorDetails]:
        """One section where a taper is judged, and places that stand twice."""
        if self.judged == "taper" and len(self.sections) < 2:
            yield fault(("sections",), "taper needs at least two sections", self.sections)
        yield from repeated("sections", self.sections, "section")
        yield from repeated("directions_deg", self.directions_deg, "direction")

    @property
    def place_rows(self) -> tuple[PlaceRow, ...]:
        """One row for each section."""
        return tuple(
            PlaceRow(
                f"At {section}",
                tuple(Spot(f"{section} {way:g}°", f"{way:g}°") for way in self.directions_deg),
            )
            for section in self.sections
        )

    @property
    def words(self) -> str:
        """What is measured."""
        what = self.judged if self.judged in ("ovality", "taper") else f"{self.judged} diameter"
        return f"{what} from diameters at {len(self.sections)} × {len(self.directions_deg)} places"


class BowForm(FormRecord):
    """Bow of a shaft from runout at stations along it, all from one angle mark.

    `bearings` are the two positions where it runs; a bearing place that is no station counts as running true.
    Judged is the total indicator reading that the bow alone would give, or the bow itself, half of it.
    """

    kind: Literal["shaft_bow"]
    stations: Along
    bearings: tuple[Length, Length]
    clock: Clock
    judged: Literal["total", "bow"] = "total"

    def faults(self) -> Iterator[InitErrorDetails]:
        """No station beside the bearings, the bearings at one place, and places that stand twice."""
        first, last = (round(one.to("m"), 9) for one in self.bearings)
        if first == last:
            yield fault(("bearings",), "both bearing places are the same; they must differ", self.bearings)
        if all(round(one.to("m"), 9) in (first, last) for one in self.stations):
            yield fault(
                ("stations",), "no station lies beside the two bearings; read one between", self.stations
            )
        yield from repeated("stations", self.stations, "station")
        yield from repeated("clock", self.clock, "place")

    @property
    def place_rows(self) -> tuple[PlaceRow, ...]:
        """One row for each station."""
        return tuple(
            PlaceRow(
                f"At {station}",
                tuple(Spot(f"{station} {hours:g}", clock_label(hours)) for hours in self.clock),
            )
            for station in self.stations
        )

    @property
    def angles(self) -> tuple[float, ...]:
        """Where each place stands, clockwise from 12 [rad]."""
        return tuple(math.radians(float(hours) % 12 * 30) for hours in self.clock)

    @property
    def words(self) -> str:
        """What is measured."""
        return f"bow of a shaft from runout at {len(self.stations)} stations"
