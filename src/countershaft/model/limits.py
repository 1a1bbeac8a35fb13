"""Limits: what is measured or looked at, against what, with which instrument, and from which source."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field, model_validator
from pydantic_core import InitErrorDetails

from countershaft.model.about import Caution
from countershaft.model.faults import fault, raise_all
from countershaft.model.fields import Name, Record, Text, TypedQuantity
from countershaft.model.forms import AnyForm
from countershaft.model.instrument import Instrument

__all__ = ["Limit"]


class Limit(Record):
    """One check of a part or of the whole unit.

    With `min`, `max` or both it is a measurement; with neither it is a look, judged by a person in words.
    `worn` says which way wear moves the figure, so that a limit on the wrong side is objected to.
    `stage` says where it belongs: with the parts on the mat, or when the unit proves itself.
    A limit with `must` holds the release until it is answered.
    With `places` one reading is taken at each of them, and `of` says what is judged: the worst of them, their mean, or
    their range.
    With `form` the figure is not read but found from readings at places.
    """

    id: Name
    name: Text
    stage: Literal["inspect", "prove"] = "inspect"
    part: Name | None = None
    min: TypedQuantity | None = None
    max: TypedQuantity | None = None
    worn: Literal["grows", "shrinks", "either"] = "either"
    instrument: Instrument | None = None
    readings: Annotated[int, Field(ge=1, le=12)] = 3
    places: tuple[Text, ...] = Field(
        default=(), max_length=12, description="where one reading each is taken, such as 12 o'clock"
    )
    of: Literal["worst", "mean", "range"] = Field(
        default="worst", description="what of the places is judged; without places it says nothing"
    )
    form: AnyForm | None = None
    at: Text | None = Field(
        default=None, description="under which condition: temperature, gear, engine speed"
    )
    must: bool = False
    killer: bool = Field(default=False, description="a bad value here would destroy the next unit too")
    cautions: tuple[Caution, ...] = ()
    note: Text | None = None
    source: Name | None = None

    @model_validator(mode="after")
    def _consistent(self) -> Limit:
        raise_all("limit", self._faults())
        return self

    def _faults(self) -> Iterator[InitErrorDetails]:
        low, high = self.min, self.max
        if low is not None and high is not None:
            if low.kind != high.kind:
                text = f"min is in {low.unit}, max in {high.unit}; they measure different things"
                yield fault(("max",), text, high)
            elif float(low.value) >= high.to(low.unit):
                text = f"min {low} is not below max {high}; swap the two, or look at the source"
                yield fault(("min",), text, low)
        if self.form is not None and (low or high) and (low or high).kind != "length":  # type: ignore[union-attr]
            text = f"a form is a length; the limit is in {self.unit}"
            yield fault(("form",), text, self.form.kind)
        if self.form is not None and low is None and high is None:
            yield fault(("form",), "a form is measured, so the limit needs a min or a max", self.form.kind)
        if self.worn == "grows" and low is not None and high is None:
            text = "wear makes this figure grow, so it needs a max; only a min is given"
            yield fault(("worn",), text, self.worn)
        if self.worn == "shrinks" and high is not None and low is None:
            text = "wear makes this figure shrink, so it needs a min; only a max is given"
            yield fault(("worn",), text, self.worn)

        yield from self._place_faults()

    def _place_faults(self) -> Iterator[InitErrorDetails]:
        places = self.places
        twice = next((one for one in places if places.count(one) > 1), None)
        if twice is not None:
            yield fault(("places",), f"the place {twice!r} stands twice; name each place once", twice)
        if len(places) == 1:
            text = "one place alone leaves no choice; name two or more, or say it with at"
            yield fault(("places",), text, places[0])
        if self.of != "worst" and not places:
            yield fault(("of",), f"of {self.of} needs places; name them, or leave it out", self.of)
        if places and self.unit is None:
            text = "a look has no readings at places; give min or max, or leave places out"
            yield fault(("places",), text, ", ".join(places))
        if places and self.form is not None:
            text = "form has readings at places of its own; leave places or form out"
            yield fault(("places",), text, ", ".join(places))
        if places and "readings" in self.model_fields_set and self.readings != len(places):
            text = f"{len(places)} places take {len(places)} readings; leave readings out"
            yield fault(("readings",), text, self.readings)

    @property
    def unit(self) -> str | None:
        """The unit the limit is given in; None for a look."""
        given = self.min or self.max
        return given.unit if given else None

    @property
    def measured(self) -> bool:
        """Whether a figure is asked for (else a look, judged in words)."""
        return self.unit is not None
