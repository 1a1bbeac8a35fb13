"""Fasteners: joints with their places, tightening stages, order, and what may be used again."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, StringConstraints, model_validator
from pydantic_core import InitErrorDetails

from countershaft.mechanics.network import nearest
from countershaft.model.faults import fault, raise_all
from countershaft.model.fields import Count, Figure, Name, Record, Text, Torque

__all__ = ["THREAD_PATTERN", "Joint", "Place", "Stage"]

#: Metric thread: nominal diameter and pitch in millimetres.
THREAD_PATTERN = r"^M\d+(\.\d+)?x\d+(\.\d+)?$"
Thread = Annotated[
    str,
    StringConstraints(pattern=THREAD_PATTERN),
    Field(examples=["M8x1.25", "M10x1.0"]),
    BeforeValidator(lambda value: value.replace("×", "x") if isinstance(value, str) else value),
]
_Positive = Annotated[Figure, Field(gt=0)]


class Stage(Record):
    """One round over a joint: by hand until something is true, to a torque, by an angle, or a deed (stake, fold)."""

    by_hand: Text | None = None
    torque: Torque | None = None
    angle_deg: _Positive | None = None
    deed: Text | None = None

    @model_validator(mode="after")
    def _one_kind(self) -> Stage:
        given = [
            name for name in ("by_hand", "torque", "angle_deg", "deed") if getattr(self, name) is not None
        ]
        if len(given) != 1:
            raise ValueError(
                f"a stage is one of by_hand, torque, angle_deg or deed; got {', '.join(given) or 'none'}"
            )
        return self

    def words(self) -> str:
        """The stage as it is read aloud at the bench."""
        if self.torque is not None:
            return str(self.torque)
        if self.angle_deg is not None:
            return f"+{self.angle_deg}°"
        return self.by_hand or self.deed or ""


class Place(Record):
    """One hole.  What differs from the joint stands here; `at_mm` is its position on the drawing."""

    id: Name
    at_mm: tuple[Figure, Figure] | None = None
    length_mm: _Positive | None = None
    grip_mm: _Positive | None = None
    thread_depth_mm: _Positive | None = None
    into: Text | None = None
    note: Text | None = None


class Joint(Record):
    """Fasteners that hold one joint.

    Where places differ or are drawn, `places` lists them; otherwise `count` says how many there are and they are
    named by number.  `order` is the order of tightening, by place; `order_words` says it where no list exists.
    """

    id: Name
    name: Text
    kind: Literal["bolt", "nut", "stud", "plug"] = "bolt"
    thread: Thread
    hand: Literal["right", "left"] = "right"
    strength: Text | None = Field(default=None, description="property class, as marked on the head")
    head: Text | None = None
    into: Text | None = None
    length_mm: _Positive | None = None
    grip_mm: _Positive | None = None
    thread_depth_mm: _Positive | None = None
    count: Count | None = None
    places: tuple[Place, ...] = ()
    stages: tuple[Stage, ...] = Field(min_length=1)
    order: tuple[Name, ...] = ()
    order_words: Text | None = None
    reuse: Literal["reuse if good", "always new"] = "reuse if good"
    renew: Text | None = Field(
        default=None, description="what goes with the bolt and is always new: washer, O-ring"
    )
    locking: Text | None = None
    sealing: Text | None = None
    gasket: bool = False
    note: Text | None = None
    source: Name | None = None

    @model_validator(mode="after")
    def _counted(self) -> Joint:
        raise_all("joint", [*self._count_faults(), *self._order_faults()])
        return self

    def _count_faults(self) -> Iterator[InitErrorDetails]:
        if self.places and self.count is not None and self.count != len(self.places):
            text = f"count is {self.count}, but {len(self.places)} places are listed; leave count out"
            yield fault(("count",), text, self.count)
        if not self.places and self.count is None:
            yield fault((), "neither places nor count is given; say how many there are", None)
        seen: set[str] = set()
        for index, place in enumerate(self.places):
            if place.id in seen:
                yield fault(("places", index, "id"), f"the place {place.id!r} is listed twice", place.id)
            seen.add(place.id)

    def _order_faults(self) -> Iterator[InitErrorDetails]:
        known = set(self.place_ids)
        for index, name in enumerate(self.order):
            if name not in known:
                yield fault(
                    ("order", index), f"there is no place {name!r}; {nearest(name, self.place_ids)}", name
                )
            elif name in self.order[:index]:
                yield fault(
                    ("order", index), f"the place {name!r} is named twice; name every place once", name
                )
        missing = (
            [name for name in dict.fromkeys(self.place_ids) if name not in self.order] if self.order else []
        )
        if missing:
            text = f"the order leaves out {', '.join(missing)}; name every place once"
            yield fault(("order",), text, self.order)

    @property
    def place_ids(self) -> tuple[str, ...]:
        """Every place of the joint, in the order of the file."""
        return tuple(place.id for place in self.places) or tuple(str(n + 1) for n in range(self.count or 0))

    @property
    def sequence(self) -> tuple[str, ...]:
        """Every place of the joint, in the order of tightening."""
        return self.order or self.place_ids

    def place(self, place_id: str) -> Place:
        """The place of that name, with what holds for the whole joint filled in."""
        own = next((place for place in self.places if place.id == place_id), Place(id=place_id))
        return own.model_copy(
            update={
                name: getattr(own, name) if getattr(own, name) is not None else getattr(self, name)
                for name in ("length_mm", "grip_mm", "thread_depth_mm", "into")
            }
        )

    def standing_height_mm(self, place_id: str) -> Decimal | None:
        """How far the head stands above the part when the bolt is dropped in: length minus grip."""
        place = self.place(place_id)
        if place.length_mm is None or place.grip_mm is None:
            return None
        return place.length_mm - place.grip_mm

    @property
    def diameter_mm(self) -> Decimal:
        """Nominal diameter of the thread."""
        found = re.match(r"^M(\d+(?:\.\d+)?)x", self.thread)
        assert found is not None, "the field's pattern has been checked"
        return Decimal(found[1])
