"""What is said when a form is measured: readings at named places, and how a limit is measured by places."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from countershaft.job.body import Body, Ref, Short, Typed
from countershaft.job.taken import Taken
from countershaft.model.forms import AnyForm

__all__ = ["AtPlace", "FormSet", "FormTaken"]


class AtPlace(BaseModel):
    """The readings at one place, as typed."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    place: Ref
    values: Annotated[tuple[Typed, ...], Field(min_length=1, max_length=5)]


class FormSet(Body):
    """How a limit without places of its own is measured by places, with the geometry that this needs."""

    kind: Literal["form_set"] = "form_set"
    limit: Ref
    form: AnyForm


class FormTaken(Body):
    """Readings of one form at all of its places, as typed, in one unit.

    The form goes along, so that the figures mean the same after the file has changed.
    """

    kind: Literal["form_taken"] = "form_taken"
    limit: Ref
    when: Literal["as found", "trial", "as left"]
    form: AnyForm
    readings: Annotated[tuple[AtPlace, ...], Field(min_length=1, max_length=200)]
    unit: Short
    instrument: Short
    resolution: Annotated[Typed, Field(gt=0)]
    taken: Taken | None = None

    @model_validator(mode="after")
    def _at_its_places(self) -> FormTaken:
        wrong = list(self._faults())
        if wrong:
            raise ValueError("; ".join(wrong))
        return self

    def _faults(self) -> Iterator[str]:
        known = [spot.name for spot in self.form.spots]
        count = Counter(one.place for one in self.readings)
        for place, times in count.items():
            if place not in known:
                yield f"there is no place {place!r}; places are {', '.join(known)}"
            elif times > 1:
                yield f"the place {place!r} is given {times} times; give each place once"
        missing = [name for name in known if name not in count]
        if missing:
            few = f"{len(known) - len(missing)} of {len(known)} places are read"
            yield f"{few}; read {', '.join(missing)} too"
        for one in self.readings:
            if len(one.values) != self.form.repeats and one.place in known:
                asked = f"{self.form.repeats} reading{'s' if self.form.repeats > 1 else ''}"
                yield f"{asked} of the place {one.place!r} asked; got {len(one.values)}"
