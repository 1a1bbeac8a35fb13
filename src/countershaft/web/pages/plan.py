"""The plan of a phase: every step in order, where everything lies, and what would be missing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from urllib.parse import quote

from countershaft.desk.desk import OpenJob
from countershaft.job.custody import Custody, custody, pieces
from countershaft.job.entry import Photo, Spot
from countershaft.job.words import Stage
from countershaft.stages.build import JointState, joint_state
from countershaft.stages.build import survey as build_survey
from countershaft.stages.progress import Progress
from countershaft.stages.work import Phase, StepState, Work, work
from countershaft.web.pages.bench import Link, onward_of, said_of
from countershaft.web.pages.frame import Frame, frame

__all__ = ["PlanPage", "plan_page"]


@dataclass(frozen=True, slots=True)
class PlanRow:
    """One step in the list of all."""

    step_id: str
    title: str
    href: str
    state: str
    words: str


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """What lies in one tagged place."""

    place: str
    what: str


@dataclass(frozen=True, slots=True)
class JointRow:
    """One joint and how far it is tightened."""

    name: str
    href: str
    words: str


@dataclass(frozen=True, slots=True)
class PlanPage:
    """Every step of a phase in order, where everything lies, and what would be left over or missing.

    `converter_href` leads to the converter's depth, gap and hub, which are read in the build.
    """

    frame: Frame
    phase: str
    rows: tuple[PlanRow, ...]
    places: tuple[PlaceRow, ...]
    joints: tuple[JointRow, ...]
    missing: tuple[str, ...]
    resume: Link | None
    converter_href: str


def plan_page(job: OpenJob, progress: Progress, phase: Phase) -> PlanPage:
    """The whole plan of a phase as its template reads it."""
    plan = work(job.transmission, job.state, phase)
    here = f"/jobs/{quote(job.tag)}"
    where = custody(job.transmission, job.state)
    joints = dict.fromkeys(joint for each in plan.steps for joint in each.step.tighten)
    states = [joint_state(job.state, job.transmission.joint(joint)) for joint in joints]
    return PlanPage(
        frame=frame(job, progress, Stage.TEARDOWN if phase == "teardown" else Stage.BUILD),
        phase=phase,
        rows=tuple(
            PlanRow(
                each.step.id,
                each.step.title,
                f"{here}/{phase}/{quote(each.step.id)}",
                each.how,
                "; ".join(words for words in (said_of(each), _unseen(job, each)) if words),
            )
            for each in plan.steps
        ),
        places=tuple(_lying(where)),
        joints=tuple(
            JointRow(state.joint.name, f"{here}/joint/{quote(state.joint.id)}", _how_far(state))
            for state in states
        ),
        missing=_missing_of(job, plan),
        resume=onward_of(plan, here, phase),
        converter_href=f"{here}/alignment" if phase == "build" else "",
    )


def _how_far(state: JointState) -> str:
    """How far a joint is tightened."""
    return state.how_far if state.begun else "not begun"


def _lying(where: Custody) -> Iterator[PlaceRow]:
    """What is at each spot outside the unit, fasteners among it."""
    held: dict[Spot, list[str]] = {}
    for one in where.holdings:
        for spot, count in one.outside.items():
            held.setdefault(spot, []).append(f"{count} × {one.name}")
    for spot, what in held.items():
        yield PlaceRow(spot.words(), "; ".join(what))


def _missing_of(job: OpenJob, plan: Work) -> tuple[str, ...]:
    """What is missing: in the build as its stage says, in the teardown what was left in on purpose."""
    if plan.phase == "build":
        return build_survey(job.transmission, job.state).missing
    from_skipped = [
        each for each in plan.steps if each.how == "skipped" and pieces(job.transmission, each.step)
    ]
    return tuple(
        f"{each.step.id} {each.step.title} was skipped, because {each.because}" for each in from_skipped
    )


def _unseen(job: OpenJob, one: StepState) -> str:
    """A photo that a step that is done asked for, and that nobody took."""
    if not one.step.photo or one.how != "done":
        return ""
    taken = any(photo.about == one.step.id for photo in job.state.bodies(Photo))
    return "" if taken else "no photo was taken, though it was asked for"
