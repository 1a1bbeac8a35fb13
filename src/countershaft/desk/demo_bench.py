"""An invented person at an invented bench, who works a job through the desk stage by stage.

The demo shop and the tests use it; every entry goes through the same door as at a real bench, so what the stages
refuse, it cannot do either.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal

from countershaft.desk.desk import Desk, OpenJob
from countershaft.job.at_fit import Bearings
from countershaft.job.at_places import OWN_HOLES
from countershaft.job.custody import pieces
from countershaft.job.entry import (
    Body,
    Chosen,
    Dimensions,
    Estimate,
    EstimateLine,
    FitFigure,
    FitLeft,
    FitMeasured,
    FormTaken,
    HeightsSeen,
    Labour,
    Look,
    Moved,
    NotMeasured,
    Placed,
    Priced,
    Reading,
    Remeasured,
    Shelf,
    Spot,
    StepDone,
    Stowed,
    Tightened,
    Trial,
)
from countershaft.model.fits import Fit
from countershaft.model.limits import Limit
from countershaft.model.steps import Step
from countershaft.model.transmission import Transmission
from countershaft.stages import decide, fastening
from countershaft.stages.build import joint_state, must_be_new
from countershaft.stages.fit import follow
from countershaft.stages.fit_asked import Asked, asked_first, asked_left
from countershaft.stages.places import free_to_park, park_advice
from countershaft.stages.teardown import open_records
from countershaft.stages.work import Phase, work

__all__ = ["Clock", "DemoBench", "Facts", "form_taken"]


class Clock:
    """A clock that is set, and moves on a little with every look at it."""

    def __init__(self, start: datetime, *, step: timedelta = timedelta(minutes=2)) -> None:
        self.now = start
        self._step = step

    def __call__(self) -> datetime:
        """The time, and a step later the next time."""
        self.now += self._step
        return self.now


@dataclass(frozen=True, slots=True)
class Facts:
    """Invented figures of one unit: what is read where.

    `found` and `left` map a limit to its readings as found and as left; `gaps` maps a fit to what is read on the way:
    the trial's gap, or its dimensions in the order of the file, and last the gap that is left;
    `looks` maps a check by eye to verdict and words; `sweeps` is all that is said where the housing is swept; `places`
    maps a limit that is measured by places, with its time ("C06 as found"), to its rows of figures.
    """

    found: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    left: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    gaps: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    looks: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    sweeps: tuple[Body, ...] = ()
    places: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


class DemoBench:
    """Works one job through the desk."""

    def __init__(self, desk: Desk, tag: str, *, by: str, facts: Facts) -> None:
        self.desk, self.tag, self.by, self.facts = desk, tag, by, facts

    @property
    def transmission(self) -> Transmission:
        """The file that the job is worked by."""
        return self.desk.job(self.tag).transmission

    def say(self, *bodies: Body) -> None:
        """Let entries join the log."""
        for body in bodies:
            self.desk.append(self.tag, body, by=self.by)

    def take_apart(self, *, until: str | None = None) -> None:
        """Do teardown steps in their order, up to but not including one."""
        self._walk("teardown", until, self._taken_off)

    def put_together(self, *, until: str | None = None) -> None:
        """Do build steps in their order, up to but not including one."""
        self._walk("build", until, self._put_on)

    def inspect(self, only: Sequence[str] | None = None) -> None:
        """Answer the checks of the parts as found: all of them, or only some."""
        for limit in self.transmission.limits:
            asked = only is None or limit.id in only
            if limit.stage == "inspect" and asked and not self._answered(limit.id):
                self.say(self._answer(limit, "as found"))

    def decide(self, *, hours: str, rate: str, currency: str) -> Decimal:
        """Price every line, close the estimate, and return its total."""
        job = self.desk.job(self.tag)
        for number, line in enumerate(decide.kit(job.transmission, job.state)):
            self.say(Priced(line=line.line, price=Decimal(4 + 7 * (number % 9))))
        self.say(Labour(hours=Decimal(hours), rate=Decimal(rate), currency=currency))
        job = self.desk.job(self.tag)
        found = decide.survey(job.transmission, job.state)
        assert found.total is not None, "every line was priced"
        lines = tuple(
            EstimateLine(what=line.what, count=line.count, price=line.price or Decimal(0))
            for line in found.lines
        )
        self.say(
            Estimate(
                lines=lines, hours=Decimal(hours), rate=Decimal(rate), total=found.total, currency=currency
            )
        )
        return found.total

    def measure_fits(self, only: Iterable[str]) -> None:
        """Take the first readings of these fits."""
        self.say(*(self._first(self.transmission.fit(one)) for one in only))

    def close_fit(self, fit_id: str) -> None:
        """Measure, look on the shelf, choose, and re-measure one fit."""
        fit = self.transmission.fit(fit_id)
        self.say(self._first(fit), Shelf(fit=fit.id, sizes_mm=fit.sizes_mm))
        job = self.desk.job(self.tag)
        choice = follow(job.transmission, job.state, fit).choice
        assert choice is not None and choice.size is not None, f"{fit.id} has a size that fits"
        left = self.facts.gaps[fit.id][-1] if fit.id in self.facts.gaps else str(choice.gap)
        self.say(Chosen(fit=fit.id, size_mm=choice.size), self._left(fit, left))

    def tighten(self, joint_id: str, *, stop_after: int | None = None) -> None:
        """Give a joint its rounds, place by place, and stop after some taps where that is asked."""
        joint = self.transmission.joint(joint_id)
        if fastening.held(self.transmission, self.desk.job(self.tag).state, joint):
            self.say(HeightsSeen(joint=joint_id, level=True))
        taps = 0
        while stop_after is None or taps < stop_after:
            now = joint_state(self.desk.job(self.tag).state, joint)
            if now.next is None:
                return
            self.say(Tightened(joint=joint_id, round=now.round, places=(now.next,)))
            taps += 1

    def park(self) -> None:
        """Put every bolt whose own hole is free back into it."""
        job = self.desk.job(self.tag)
        self.say(
            *(
                Moved(sort="joint", what=one.holding.id, count=one.count, start=one.spot, to=OWN_HOLES)
                for one in free_to_park(job.transmission, job.state)
            )
        )

    def prove(self) -> None:
        """Answer every check of the proof."""
        for limit in self.transmission.limits:
            if limit.id in {preload.limit for preload in self.transmission.preloads}:
                continue
            if limit.stage == "prove" or limit.must or limit.killer:
                self.say(self._answer(limit, "as left"))

    def _walk(self, phase: Phase, until: str | None, do: Callable[[str], None]) -> None:
        while True:
            job = self.desk.job(self.tag)
            following = work(job.transmission, job.state, phase).next
            if following is None or following.step.id == until:
                return
            do(following.step.id)

    def _taken_off(self, step_id: str) -> None:
        job = self.desk.job(self.tag)
        step = job.transmission.step(step_id)
        for key in step.record:
            if key in open_records(self.desk.job(self.tag).state, step):
                swept = self.facts.sweeps if self._swept(key) else ()
                self.say(*(swept or (self._answer(self._target(key), "as found"),)))
        number = [one.id for one in job.transmission.phase("teardown")].index(step_id)
        place = f"{self.tag}-T{1 + number // 4}"
        placed = tuple(
            Placed(part=part, count=count, place=place)
            for part, count in pieces(job.transmission, step).items()
        )
        self.say(
            StepDone(
                step=step_id,
                placed=placed,
                stowed=_stowed(job, step, place),
                counted=f"counted: {step.count}" if step.count else "",
                written=f"noted: {', '.join(step.write_down)}" if step.write_down else "",
            )
        )

    def _put_on(self, step_id: str) -> None:
        job = self.desk.job(self.tag)
        step = job.transmission.step(step_id)
        for joint_id in step.tighten:
            self.tighten(joint_id)
        fits = {fit.id for fit in job.transmission.all_fits}
        for key in step.record:
            if key in fits:
                if not follow(
                    job.transmission, self.desk.job(self.tag).state, job.transmission.fit(key)
                ).closed:
                    self.close_fit(key)
            elif key in open_records(self.desk.job(self.tag).state, step):
                self.say(self._answer(self._target(key), "as left"))
        job = self.desk.job(self.tag)
        self.say(
            StepDone(
                step=step_id,
                new=tuple(key for key, _ in must_be_new(job.transmission, job.state, step)),
                counted=f"counted: {step.count}" if step.count else "",
                written=f"noted: {', '.join(step.write_down)}" if step.write_down else "",
                verified=bool(step.verify),
            )
        )

    def _swept(self, key: str) -> bool:
        """Whether a sweep of the housing answers a limit."""
        housing = self.transmission.housing
        return housing is not None and key in housing.checks(face=True)

    def _target(self, key: str) -> Limit | Fit:
        fit = next((fit for fit in self.transmission.all_fits if fit.id == key), None)
        return fit if fit is not None else self.transmission.limit(key)

    def _answered(self, key: str) -> bool:
        state = self.desk.job(self.tag).state
        return any(not isinstance(entry.body, NotMeasured) for entry in state.answers(key))

    def _answer(self, target: Limit | Fit, when: str) -> Body:
        """A reading, or a look where the check has no figure."""
        if isinstance(target, Limit) and target.unit is None:
            verdict, words = self.facts.looks.get(
                f"{target.id} {when}", self.facts.looks.get(target.id, ("good", "as it should be"))
            )
            return Look.model_validate({"limit": target.id, "when": when, "verdict": verdict, "words": words})
        placed = self._placed(target, when) if isinstance(target, Limit) else None
        if placed is not None:
            return placed
        unit = target.unit
        table = self.facts.found if when == "as found" else self.facts.left
        typed = table.get(target.id) or self.facts.found.get(target.id) or (_middle(target),)
        values = (typed * target.readings)[: max(target.readings, len(typed))]
        step = target.instrument.resolution if target.instrument else None
        return Reading.model_validate(
            {
                "limit": target.id,
                "when": when,
                "values": values,
                "unit": unit,
                "instrument": target.instrument.name if target.instrument else "gauge",
                "resolution": str(step.value) if step is not None and step.unit == unit else "0.01",
            }
        )

    def _left(self, fit: Fit, reading: str) -> Body:
        """The gap with the chosen part in place."""
        asked = asked_left(fit)
        if not asked:
            values = (Decimal(reading),) * fit.readings
            return Remeasured(fit=fit.id, values_mm=values, resolution_mm=_step_mm(fit))
        bearings: Bearings = "new" if fit.unit == "N·m" else ""
        return FitLeft(fit=fit.id, figures=_figures(fit, asked, reading), bearings=bearings)

    def _placed(self, limit: Limit, when: str) -> Body | None:
        """Readings at places, where the facts have them for this limit and time."""
        rows = self.facts.places.get(f"{limit.id} {when}")
        return form_taken(limit, when, rows) if limit.form is not None and rows else None

    def _first(self, fit: Fit) -> Body:
        own, step = self.facts.gaps.get(fit.id, ()), _step_mm(fit)
        asked = asked_first(fit)
        if asked:
            bearings: Bearings = "new" if fit.unit == "N·m" else ""
            figures = _figures(fit, asked, own[0] if own else str(fit.goal_exact))
            return FitMeasured(fit=fit.id, figures=figures, bearings=bearings)
        if fit.trial is not None:
            reading = Decimal(own[0]) if own else fit.goal_exact
            return Trial(
                fit=fit.id, size_mm=fit.trial.value, values_mm=(reading,) * fit.readings, resolution_mm=step
            )
        values = {
            one.name: (Decimal(typed),) * fit.readings for one, typed in zip(fit.gap, own, strict=False)
        }
        return Dimensions(fit=fit.id, values_mm=values, resolution_mm=step)


def _figures(fit: Fit, asked: Sequence[Asked], reading: str) -> tuple[FitFigure, ...]:
    """One reading for every figure that is asked for, and for a part its usual trial size."""
    step = fit.instrument.resolution
    return tuple(
        FitFigure(
            name=one.name,
            values=(Decimal(one.start if one.size else reading),) * one.count,
            unit=one.unit,
            resolution=step.value if step is not None and step.unit == one.unit else Decimal("0.01"),
        )
        for one in asked
    )


def form_taken(limit: Limit, when: str, rows: Sequence[str]) -> FormTaken:
    """The readings of a limit's form, one text of figures for each row of its places."""
    form, instrument = limit.form, limit.instrument
    assert form is not None, "asked for only where the limit is measured by places"
    typed = [
        {"place": spot.name, "values": (figure,)}
        for row, text in zip(form.place_rows, rows, strict=True)
        for spot, figure in zip(row.spots, text.split(), strict=True)
    ]
    step = instrument.resolution if instrument else None
    body = {"limit": limit.id, "when": when, "form": form, "readings": typed, "unit": limit.unit}
    tool = {
        "instrument": instrument.name if instrument else "gauge",
        "resolution": step.value if step else "0.01",
    }
    return FormTaken.model_validate({**body, **tool})


def _step_mm(fit: Fit) -> Decimal:
    step = fit.instrument.resolution
    return step.value if step is not None and step.unit == "mm" else Decimal("0.01")


def _middle(target: Limit | Fit) -> str:
    """A figure well inside the limits, with the limit's own digits."""
    if isinstance(target, Fit):
        return f"{target.goal_value:.2f}"
    low, high = target.min, target.max
    given = low or high
    assert given is not None, "a measured limit has a side"
    if low is not None and high is not None:
        return str((low.value + Decimal(str(high.to(low.unit)))) / 2)
    return str(given.value * (Decimal("1.25") if low is not None else Decimal("0.5")))


def _stowed(job: OpenJob, step: Step, place: str) -> tuple[Stowed, ...]:
    """Fasteners back into their own holes where these are free, else into the tray with the parts."""
    free = {one.joint for one in park_advice(job.transmission, job.state, after=step.id) if one.may}
    tray = Spot(how="place", name=place)
    return tuple(
        Stowed(
            joint=joint,
            count=len(job.transmission.joint(joint).place_ids),
            spot=OWN_HOLES if joint in free else tray,
        )
        for joint in step.loosen
    )
