"""Where a job stands: each stage, the exact point at which to go on, and what it waits for."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from countershaft.job.entry import (
    Body,
    FormTaken,
    Look,
    Note,
    NotMeasured,
    Photo,
    Reading,
    StepDone,
    StepSkipped,
    Undone,
    Waiting,
)
from countershaft.job.state import JobState
from countershaft.job.words import Stage
from countershaft.model.transmission import Transmission
from countershaft.stages import build, decide, diagnose, fit, handover, inspection, intake, prove, teardown
from countershaft.stages.order import late_parts
from countershaft.stages.work import StepState

__all__ = ["Progress", "Resume", "StageState", "progress"]


@dataclass(frozen=True, slots=True)
class StageState:
    """One stage, how it stands, and in how many words."""

    stage: Stage
    how: Literal["done", "now", "open"]
    words: str


@dataclass(frozen=True, slots=True)
class Resume:
    """The exact point at which the job goes on; `kind` and `key` say what to open there."""

    stage: Stage
    words: str
    kind: Literal["stage", "step", "joint", "fit", "limit"] = "stage"
    key: str = ""


@dataclass(frozen=True, slots=True)
class Progress:
    """A job at a glance.

    `waits` is what somebody said that it waits for; `late` are its parts that are late or broken, by their id.
    """

    stages: tuple[StageState, ...]
    resume: Resume
    waits: tuple[str, ...]
    late: tuple[tuple[str, str], ...]
    released: bool
    last_by: str
    last_at: datetime

    @property
    def waiting(self) -> tuple[str, ...]:
        """Everything that the job waits for, in words."""
        return (*self.waits, *(words for _, words in self.late))


def progress(transmission: Transmission, state: JobState) -> Progress:
    """Survey every stage and find the point at which to go on."""
    surveys = _surveys(transmission, state)
    resumes = {stage: resume for stage, (_, _, resume) in surveys.items()}
    released = surveys[Stage.HANDOVER][0]
    now = _now(transmission, state, {stage: complete for stage, (complete, _, _) in surveys.items()})
    return Progress(
        stages=tuple(
            StageState(
                stage, "now" if stage is now and not released else "done" if complete else "open", words
            )
            for stage, (complete, words, _) in surveys.items()
        ),
        resume=resumes[now],
        waits=_waits(state),
        late=_late(transmission, state),
        released=released,
        last_by=state.entries[-1].by,
        last_at=state.entries[-1].at,
    )


def _surveys(transmission: Transmission, state: JobState) -> dict[Stage, tuple[bool, str, Resume]]:
    """Stage -> whether it is complete, how far it is in words, and where to go on in it."""
    taken, built = teardown.survey(transmission, state), build.survey(transmission, state)
    fits, looked = fit.survey(transmission, state), inspection.survey(transmission, state)
    asked, tried = intake.survey(transmission, state), diagnose.survey(transmission, state)
    decision, proof = decide.survey(transmission, state), prove.survey(transmission, state)
    gate = handover.survey(transmission, state)
    closed = len(fits.fits) - len(fits.open)
    answered = len(looked.checks) - len(looked.open)
    return {
        Stage.INTAKE: (asked.complete, _of(4 - len(asked.open), 4), _first(Stage.INTAKE, asked.open)),
        Stage.DIAGNOSE: (tried.complete, _tried(tried), _first(Stage.DIAGNOSE, tried.open)),
        Stage.TEARDOWN: (
            taken.complete,
            _taken(taken),
            _resume_taking(taken),
        ),
        Stage.INSPECT: (
            looked.complete,
            _of(answered, len(looked.checks)),
            _limit(Stage.INSPECT, looked.open),
        ),
        Stage.DECIDE: (
            decision.complete,
            "agreed" if decision.complete else f"{len(decision.open)} open",
            _first(Stage.DECIDE, decision.open),
        ),
        Stage.FIT: (fits.complete, _of(closed, len(fits.fits)), _fit(fits)),
        Stage.BUILD: (built.complete and not taken.unended, _built(taken, built), _build(built)),
        Stage.PROVE: (proof.complete, _of(proof.answered, proof.asked), _limit(Stage.PROVE, proof.open)),
        Stage.HANDOVER: (
            gate.complete,
            "released" if gate.complete else f"{len(gate.open)} open",
            Resume(
                Stage.HANDOVER, "released" if gate.complete else f"{len(gate.open)} points hold the release"
            ),
        ),
    }


def _now(transmission: Transmission, state: JobState, complete: dict[Stage, bool]) -> Stage:
    """The stage of the newest entry while it is open, else the first open stage."""
    for entry in reversed(state.live):
        stage = _stage_of(transmission, entry.body)
        if stage is not None:
            if not complete[stage]:
                return stage
            break
    return next((stage for stage, done in complete.items() if not done), Stage.HANDOVER)


def _stage_of(transmission: Transmission, body: Body) -> Stage | None:
    """The stage an entry belongs to, if that says where the work goes on."""
    if isinstance(body, Note | Photo | Undone | Waiting):
        return None
    if isinstance(body, StepDone | StepSkipped):
        return Stage.TEARDOWN if transmission.step(body.step).phase == "teardown" else Stage.BUILD
    if isinstance(body, Reading | FormTaken | Look | NotMeasured):
        limit = next((limit for limit in transmission.limits if limit.id == body.limit), None)
        return None if limit is None else Stage.PROVE if limit.stage == "prove" else Stage.INSPECT
    return body.STAGE


def _waits(state: JobState) -> tuple[str, ...]:
    waits: dict[str, bool] = {}
    for body in state.bodies(Waiting):
        waits[body.what] = not body.over
    return tuple(what for what, still in waits.items() if still)


def _late(transmission: Transmission, state: JobState) -> tuple[tuple[str, str], ...]:
    """Each part that is late or broken, with when it is expected."""
    return tuple(
        (part_id, f"{transmission.part(part_id).name}{f', expected {body.until}' if body.until else ''}")
        for part_id, (_, body) in late_parts(state).items()
    )


def _of(done: int, total: int) -> str:
    return f"{done} of {total}" if total else "nothing asked"


def _taken(found: teardown.Teardown) -> str:
    """How far the teardown is; where no file says how long it is, only what was logged."""
    return f"{found.work.behind} logged" if found.unended else _of(found.work.behind, len(found.work.steps))


def _built(taken: teardown.Teardown, found: build.Build) -> str:
    """How far the build is; while the log of a teardown grows, nobody knows how much there is to build."""
    total = len(found.work.steps)
    return "follows the teardown" if taken.unended and not total else _of(found.work.behind, total)


def _resume_taking(found: teardown.Teardown) -> Resume:
    if found.unended and found.work.next is None:
        number = found.work.behind
        words = (
            f"log what comes off next, after {_counted(number, 'removal')}"
            if number
            else "log what comes off"
        )
        return Resume(Stage.TEARDOWN, words)
    return _step(Stage.TEARDOWN, found.work.next)


def _tried(found: diagnose.Diagnosis) -> str:
    bad = [one.gear for one in found.gears if one.verdict == "bad"]
    return f"bad in {', '.join(bad)}" if bad else "open" if found.open else _counted(len(found.tests), "test")


def _counted(number: int, thing: str) -> str:
    return f"{number} {thing}{'' if number == 1 else 's'}"


def _first(stage: Stage, still_open: tuple[str, ...]) -> Resume:
    return Resume(stage, f"next: {still_open[0]}" if still_open else "complete")


def _step(stage: Stage, one: StepState | None) -> Resume:
    if one is None:
        return Resume(stage, "complete")
    return Resume(stage, f"{one.step.id} {one.step.title}", "step", one.step.id)


def _build(found: build.Build) -> Resume:
    going = next((joint for joint in found.joints if joint.begun and not joint.complete), None)
    if going is not None:
        return Resume(Stage.BUILD, going.words, "joint", going.joint.id)
    if found.work.next is None and (found.left_over or found.missing):
        return Resume(Stage.BUILD, f"{len(found.left_over) + len(found.missing)} things left over or missing")
    return _step(Stage.BUILD, found.work.next)


def _limit(stage: Stage, still_open: tuple[inspection.Checked, ...]) -> Resume:
    if not still_open:
        return Resume(stage, "next: the rest of the proof" if stage is Stage.PROVE else "complete")
    return Resume(stage, still_open[0].limit.name, "limit", still_open[0].limit.id)


def _fit(found: fit.Fits) -> Resume:
    if not found.open:
        return Resume(Stage.FIT, "complete")
    one = found.open[0]
    return Resume(Stage.FIT, f"{one.fit.name}: {one.phase}", "fit", one.fit.id)
