"""Fasteners: joints with their places, tightening stages, order, and what may be used again."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, StringConstraints, model_validator
from pydantic_core import InitErrorDetails

from countershaft.errors import BadInput, OutOfRange
from countershaft.mechanics import thread as screw
from countershaft.mechanics.network import nearest
from countershaft.model.faults import fault, raise_all
from countershaft.model.fields import Count, Figure, Name, Record, Text, Torque
from countershaft.units import Quantity

__all__ = ["THREAD_PATTERN", "Joint", "JointFriction", "Place", "Stage", "Washer"]

#: Metric: diameter and pitch in millimetres.  Unified: number size or inches, then threads per inch and the series.
THREAD_PATTERN = r"^(M\d+(\.\d+)?x\d+(\.\d+)?|(#?\d+|\d*\.\d+|(\d+ )?\d+/\d+)-\d+(\.\d+)?( UN(C|F|EF|S)?)?)$"


def _cleaned(value: Any) -> Any:
    return " ".join(value.replace("×", "x").split()) if isinstance(value, str) else value


def _known(text: str) -> str:
    """The designation, once it is sure that it can be computed with."""
    try:
        screw.parse_thread(text)
    except (BadInput, OutOfRange) as cause:
        raise ValueError(str(cause)) from cause
    return text


Thread = Annotated[
    str,
    StringConstraints(pattern=THREAD_PATTERN),
    Field(examples=["M8x1.25", "M10x1.0", "1/4-20 UNC"]),
    BeforeValidator(_cleaned),
    AfterValidator(_known),
]
_Positive = Annotated[Figure, Field(gt=0)]
_Friction = Annotated[Figure, Field(gt=0, lt=1)]
Hole = Literal["blind", "through"]


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


class Washer(Record):
    """What lies under each head; its thickness is part of the grip."""

    name: Text
    count: Count = 1
    thickness_mm: _Positive | None = None
    outer_mm: _Positive | None = None
    part: Name | None = None
    faces: Text | None = None


class JointFriction(Record):
    """Coefficients that are known for this joint, such as those of a coating; where none are, a usual band is taken."""

    thread: _Friction
    head: _Friction


class Place(Record):
    """One hole.  What differs from the joint stands here; `at_mm` is its position on the drawing."""

    id: Name
    at_mm: tuple[Figure, Figure] | None = None
    length_mm: _Positive | None = None
    grip_mm: _Positive | None = None
    thread_depth_mm: _Positive | None = None
    drill_depth_mm: _Positive | None = None
    hole: Hole | None = None
    into: Text | None = None
    special: Literal["hollow", "sealing", "shouldered"] | None = None
    note: Text | None = None

    @model_validator(mode="after")
    def _deep_enough(self) -> Place:
        raise_all("place", _drill_faults(self.thread_depth_mm, self.drill_depth_mm))
        return self


#: What a place takes from its joint where it says nothing itself.
_SHARED = ("length_mm", "grip_mm", "thread_depth_mm", "drill_depth_mm", "hole", "into", "special")


def _drill_faults(thread: Decimal | None, drill: Decimal | None) -> Iterator[InitErrorDetails]:
    if thread is not None and drill is not None and drill < thread:
        text = f"the hole is {drill} mm deep, but its full thread {thread} mm; are they swapped?"
        yield fault(("drill_depth_mm",), text, drill)


class Joint(Record):
    """Fasteners that hold one joint.

    Where places differ or are drawn, `places` lists them; otherwise `count` says how many there are and they are
    named by number.  `order` is the order of tightening, by place; `order_words` says it where no list exists.
    `into` is what is tapped, `under_head` what the head presses on; `bearing_mm` and `hole_mm` are the outer
    diameter of the face under the head and the hole below it, for a head that stands in no table.
    """

    id: Name
    name: Text
    kind: Literal["bolt", "nut", "stud", "plug"] = "bolt"
    thread: Thread
    hand: Literal["right", "left"] = "right"
    strength: Text | None = Field(default=None, description="property class, as marked on the head")
    head: Text | None = None
    bearing_mm: _Positive | None = None
    hole_mm: _Positive | None = None
    coating: Text | None = None
    special: Literal["hollow", "sealing", "shouldered"] | None = None
    into: Text | None = None
    under_head: Text | None = None
    length_mm: _Positive | None = None
    grip_mm: _Positive | None = None
    thread_depth_mm: _Positive | None = None
    drill_depth_mm: _Positive | None = Field(
        default=None, description="to the end of the hole, below full thread"
    )
    hole: Hole | None = None
    friction: JointFriction | None = None
    washers: tuple[Washer, ...] = ()
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
        raise_all("joint", [*self._count_faults(), *self._order_faults(), *self._face_faults()])
        return self

    def _face_faults(self) -> Iterator[InitErrorDetails]:
        yield from _drill_faults(self.thread_depth_mm, self.drill_depth_mm)
        for key in ("bearing_mm", "hole_mm"):
            size = getattr(self, key)
            if size is not None and size <= self.diameter_mm:
                text = f"it must be more than the {self.diameter_mm} mm of the thread"
                yield fault((key,), text, size)
        if self.bearing_mm is not None and self.hole_mm is not None and self.hole_mm >= self.bearing_mm:
            text = f"the hole must be smaller than the face of the head ({self.bearing_mm} mm)"
            yield fault(("hole_mm",), text, self.hole_mm)

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
                for name in _SHARED
            }
        )

    def standing_height_mm(self, place_id: str) -> Decimal | None:
        """How far the head stands above the part when the bolt is dropped in: length minus grip."""
        place = self.place(place_id)
        if place.length_mm is None or place.grip_mm is None:
            return None
        return place.length_mm - place.grip_mm

    def screw_thread(self) -> screw.Thread:
        """The thread as the mechanics know it."""
        return screw.parse_thread(self.thread, hand=self.hand)

    @property
    def diameter_mm(self) -> Decimal:
        """Nominal diameter of the thread."""
        exact = self.screw_thread().diameter_mm
        return Decimal(exact.numerator) / Decimal(exact.denominator)

    @property
    def last_torque(self) -> Quantity | None:
        """The torque that the fastener is left with; None where an angle follows it, or none is given."""
        found = None
        for stage in self.stages:
            if stage.torque is not None:
                found = stage.torque
            elif stage.angle_deg is not None:
                return None
        return found
