"""The whole of one transmission file as one frozen record."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from functools import cached_property
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, ConfigDict, ValidationError

from countershaft.errors import Unknown
from countershaft.mechanics.states import TrainState
from countershaft.model.about import About
from countershaft.model.bands import Band
from countershaft.model.derived import put_back
from countershaft.model.fasteners import Joint
from countershaft.model.fields import Record, Text
from countershaft.model.fits import Fit
from countershaft.model.housing import Housing
from countershaft.model.limits import Limit
from countershaft.model.load_cases import LoadCase
from countershaft.model.observed import Observed
from countershaft.model.packs import Pack
from countershaft.model.parts import Part
from countershaft.model.preloads import Preload
from countershaft.model.steps import Step
from countershaft.model.train import Train
from countershaft.source import Source

__all__ = ["Transmission"]


def _format(value: Any) -> Any:
    if str(value).strip() != "1":
        raise ValueError(
            f"this program reads format 1, not {value!r}; open it with the countershaft that wrote it"
        )
    return 1


class Transmission(Record):
    """Format 1 of the transmission file: every section but `format` and `name` may be left out."""

    model_config = ConfigDict(title="countershaft transmission file, format 1")

    format: Annotated[Literal[1], BeforeValidator(_format)]
    name: Text
    about: About = About()
    train: Train | None = None
    packs: tuple[Pack, ...] = ()
    bands: tuple[Band, ...] = ()
    load_cases: tuple[LoadCase, ...] = ()
    parts: tuple[Part, ...] = ()
    fasteners: tuple[Joint, ...] = ()
    steps: tuple[Step, ...] = ()
    observed: Observed | None = None
    fits: tuple[Fit, ...] = ()
    preloads: tuple[Preload, ...] = ()
    housing: Housing | None = None
    limits: tuple[Limit, ...] = ()

    def model_copy(self, *, update: Mapping[str, Any] | None = None, deep: bool = False) -> Self:
        """A copy that finds what was changed in it, not what the original had looked up before."""
        found = super().model_copy(update=update, deep=deep)
        for name in [name for name in found.__dict__ if name not in type(self).model_fields]:
            del found.__dict__[name]
        return found

    @cached_property
    def _index(self) -> dict[tuple[str, str], object]:
        return {
            **{("part", part.id): part for part in self.parts},
            **{("joint", joint.id): joint for joint in self.fasteners},
            **{("step", step.id): step for step in (*self.steps, *self._derived_build)},
            **{("fit", fit.id): fit for fit in self.all_fits},
            **{("limit", limit.id): limit for limit in self.limits},
        }

    @cached_property
    def all_fits(self) -> tuple[Fit, ...]:
        """Every fit that is followed: those of `fits`, then those that preloads and bands come to."""
        limits = {limit.id: limit for limit in self.limits}
        found = list(self.fits)
        for preload in self.preloads:
            limit = limits.get(preload.limit)
            if limit is not None and limit.min is not None and limit.max is not None:
                # Where limit and goal do not agree, the check across records says so and the file is refused.
                with suppress(ValidationError):
                    found.append(preload.as_fit(limit, limits.get(preload.limit_reused or "")))
        found += [fit for fit in (band.as_fit() for band in self.bands) if fit is not None]
        return tuple(found)

    @cached_property
    def train_states(self) -> dict[str, TrainState]:
        """Gear -> what the applied elements make of the train; empty without a train.  Solved once."""
        return self.train.states() if self.train is not None else {}

    def part(self, part_id: str) -> Part:
        """The part of that id; raises Unknown."""
        found = self._find("part", part_id)
        assert isinstance(found, Part)
        return found

    def joint(self, joint_id: str) -> Joint:
        """The joint of that id; raises Unknown."""
        found = self._find("joint", joint_id)
        assert isinstance(found, Joint)
        return found

    def step(self, step_id: str) -> Step:
        """The step of that id; raises Unknown."""
        found = self._find("step", step_id)
        assert isinstance(found, Step)
        return found

    def fit(self, fit_id: str) -> Fit:
        """The fit of that id; raises Unknown."""
        found = self._find("fit", fit_id)
        assert isinstance(found, Fit)
        return found

    def limit(self, limit_id: str) -> Limit:
        """The limit of that id; raises Unknown."""
        found = self._find("limit", limit_id)
        assert isinstance(found, Limit)
        return found

    @cached_property
    def _derived_build(self) -> tuple[Step, ...]:
        """The build that undoes the teardown, for a file that has no build steps of its own."""
        if any(step.phase == "build" for step in self.steps):
            return ()
        return put_back(tuple(step for step in self.steps if step.phase == "teardown"))

    def phase(self, phase: str) -> tuple[Step, ...]:
        """The steps of one phase, in the order of the file; without build steps, the teardown turned round."""
        own = tuple(step for step in self.steps if step.phase == phase)
        return self._derived_build if phase == "build" and not own else own

    def source(self, name: str | None) -> Source | None:
        """The source that a record points at; None where it points at none, so that it is shown as unverified."""
        note = self.about.sources.get(name) if name else None
        return note.as_source() if note else None

    def _find(self, kind: str, key: str) -> object:
        try:
            return self._index[(kind, key)]
        except KeyError:
            raise Unknown(f"{self.name} has no {kind} {key!r}.") from None
