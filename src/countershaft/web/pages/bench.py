"""The bench view: one step at a time, with what must be known while hands are full."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from countershaft.desk.desk import OpenJob, new_entry_id
from countershaft.errors import Unknown
from countershaft.job.custody import custody, pieces
from countershaft.job.entry import Photo, StepDone
from countershaft.job.words import Stage
from countershaft.model.steps import Step
from countershaft.stages.build import joint_state, must_be_new
from countershaft.stages.progress import Progress
from countershaft.stages.teardown import open_records
from countershaft.stages.work import Phase, StepState, Work, work
from countershaft.web.forms.form import Answers
from countershaft.web.pages.frame import Frame, frame

__all__ = ["BenchPage", "Link", "PlanPage", "bench_page", "plan_page"]


@dataclass(frozen=True, slots=True)
class Link:
    """A text that leads somewhere; an empty address leads nowhere."""

    text: str
    href: str
    done: bool = False


@dataclass(frozen=True, slots=True)
class Thread:
    """Fasteners of a step: what they are, and which way they turn."""

    words: str
    hand: str
    doing: str
    href: str
    state: str
    complete: bool


@dataclass(frozen=True, slots=True)
class PieceRow:
    """A part of the step: how many, and what to look out for."""

    part: str
    name: str
    asked: int
    words: str
    field: str
    value: str


@dataclass(frozen=True, slots=True)
class PhotoRow:
    """A picture of the step."""

    href: str
    caption: str


@dataclass(frozen=True, slots=True)
class BenchPage:
    """One step of teardown or build."""

    frame: Frame
    sheet: str
    phase: str
    step_id: str
    title: str
    how: str
    state: str
    cautions: tuple[tuple[str, str], ...]
    facts: tuple[tuple[str, str], ...]
    threads: tuple[Thread, ...]
    pieces: tuple[PieceRow, ...]
    counts_wrong: bool
    places: tuple[tuple[str, str], ...]
    place: str
    count_prompt: str
    counted: str
    write_prompt: str
    written: str
    verify: str
    verified: bool
    news: tuple[tuple[str, str], ...]
    ticked: tuple[str, ...]
    records: tuple[Link, ...]
    photo_asked: bool
    photos: tuple[PhotoRow, ...]
    blockers: tuple[Link, ...]
    said: str
    undo_href: str
    before: Link | None
    after: Link | None
    onward: Link | None
    photo_href: str
    note_href: str
    skip_href: str
    plan_href: str
    action: str
    entry_id: str
    problems: tuple[str, ...]
    errors: dict[str, str]


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
class PlanPage:
    """Every step of a phase in order, where everything lies, and what would be left over or missing."""

    frame: Frame
    phase: str
    rows: tuple[PlanRow, ...]
    places: tuple[PlaceRow, ...]
    joints: tuple[Link, ...]
    missing: tuple[str, ...]
    resume: Link | None


def bench_page(
    job: OpenJob,
    progress: Progress,
    phase: Phase,
    step_id: str,
    *,
    answers: Answers | None = None,
    errors: dict[str, str] | None = None,
    problems: tuple[str, ...] = (),
) -> BenchPage:
    """A step as its template reads it; `answers` are kept where the form comes back with faults."""
    plan = work(job.transmission, job.state, phase)
    one = plan.find(step_id)
    if one is None:
        raise Unknown(f"There is no {phase} step {step_id!r} in {job.transmission.name}. Look at the plan.")
    step, typed = one.step, answers or Answers({})
    here = f"/jobs/{quote(job.tag)}"
    mine = f"{here}/{phase}/{quote(step.id)}"
    before, after = plan.neighbours(step.id)
    places = _places(job)
    news = must_be_new(job.transmission, job.state, step) if phase == "build" else ()
    return BenchPage(
        frame=frame(job, progress, Stage.TEARDOWN if phase == "teardown" else Stage.BUILD),
        sheet=f"step {[each.step.id for each in plan.steps].index(step.id) + 1} of {len(plan.steps)}",
        phase=phase,
        step_id=step.id,
        title=step.title,
        how=step.how or "",
        state=one.how,
        cautions=tuple((caution.signal, caution.text) for caution in step.cautions),
        facts=_facts(step),
        threads=_threads(job, step, here),
        pieces=_pieces(job, step, typed),
        counts_wrong=any(name.startswith("count ") or name == "written" for name in errors or {}),
        places=tuple((place, place) for place in places),
        place=typed.one("place") or _last_place(job) or places[0],
        count_prompt=step.count or "",
        counted=typed.one("counted"),
        write_prompt=", ".join(step.write_down),
        written=typed.one("written"),
        verify=step.verify or "",
        verified=bool(typed.one("verified")),
        news=news,
        ticked=typed.many("new"),
        records=_records(job, step, phase, mine, here),
        photo_asked=step.photo,
        photos=tuple(
            PhotoRow(f"/pictures/{photo.digest}", photo.caption or step.title)
            for photo in job.state.bodies(Photo)
            if photo.about == step.id
        ),
        blockers=tuple(
            Link(f"{need.id} {need.title}", f"{here}/{need.phase}/{quote(need.id)}") for need in one.blockers
        ),
        said=_said(one),
        undo_href=f"{here}/enter/undo?key={one.entry.id}&back={mine}" if one.entry else "",
        before=_neighbour(before, here, phase),
        after=_neighbour(after, here, phase),
        onward=_onward(plan, here, phase),
        photo_href=f"{here}/enter/photo?key={phase}:{quote(step.id)}&back={mine}",
        note_href=f"{here}/enter/note?key={phase}:{quote(step.id)}&back={mine}",
        skip_href=f"{here}/enter/skip?key={quote(step.id)}&back={mine}",
        plan_href=f"{here}/{phase}/plan",
        action=mine,
        entry_id=typed.one("entry_id") or new_entry_id(),
        problems=problems,
        errors=errors or {},
    )


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
                each.step.id, each.step.title, f"{here}/{phase}/{quote(each.step.id)}", each.how, _said(each)
            )
            for each in plan.steps
        ),
        places=tuple(
            PlaceRow(
                place,
                "; ".join(f"{lying.count} × {lying.name}" for lying in where.lying if lying.place == place),
            )
            for place in where.places
        ),
        joints=tuple(
            Link(state.words, f"{here}/joint/{quote(state.joint.id)}", state.complete) for state in states
        ),
        missing=_missing_of(job, plan),
        resume=_onward(plan, here, phase),
    )


def _missing_of(job: OpenJob, plan: Work) -> tuple[str, ...]:
    from_skipped = [
        each for each in plan.steps if each.how == "skipped" and pieces(job.transmission, each.step)
    ]
    return tuple(
        f"{each.step.id} {each.step.title} was skipped, because {each.because}" for each in from_skipped
    )


def _facts(step: Step) -> tuple[tuple[str, str], ...]:
    found = (
        ("Tool", step.tool or ""),
        ("Hold", step.hold or ""),
        ("The unit lies", step.lies or ""),
        ("People", "two" if step.people == 2 else str(step.people) if step.people > 2 else ""),
        ("About", f"{step.minutes} min" if step.minutes else ""),
    )
    return tuple((label, words) for label, words in found if words)


def _threads(job: OpenJob, step: Step, here: str) -> tuple[Thread, ...]:
    found = []
    for joint_id in (*step.loosen, *step.tighten):
        joint = job.transmission.joint(joint_id)
        tighten = joint_id in step.tighten
        state = joint_state(job.state, joint)
        found.append(
            Thread(
                words=f"{len(joint.place_ids)} × {joint.kind} {joint.thread}, {joint.name}",
                hand=joint.hand,
                doing="tighten" if tighten else "loosen",
                href=f"{here}/joint/{quote(joint_id)}" if tighten else "",
                state=state.words if tighten else "",
                complete=tighten and state.complete,
            )
        )
    return tuple(found)


def _pieces(job: OpenJob, step: Step, typed: Answers) -> tuple[PieceRow, ...]:
    notes = {piece.part: piece.note for piece in (*step.off, *step.on)}
    rows = []
    for part_id, asked in pieces(job.transmission, step).items():
        part = job.transmission.part(part_id)
        remarks = (
            notes.get(part_id) or "",
            f"may stay on: {part.sticks_to}" if part.sticks_to and step.phase == "teardown" else "",
            f"orientation: {part.orientation}" if part.orientation else "",
        )
        words = "; ".join((f"{part_id} {part.name}", *(one for one in remarks if one)))
        field = f"count {part_id}"
        rows.append(PieceRow(part_id, part.name, asked, words, field, typed.one(field) or str(asked)))
    return tuple(rows)


def _places(job: OpenJob) -> tuple[str, ...]:
    """The tagged places of the job, and the next one that is free."""
    used = dict.fromkeys(placed.place for done in job.state.bodies(StepDone) for placed in done.placed)
    trays = [f"{job.tag}-T{number}" for number in range(1, 60)]
    fresh = next(tray for tray in trays if tray not in used)
    return (*used, *(place for place in ("mat",) if place not in used), fresh)


def _last_place(job: OpenJob) -> str:
    """The place that was used last; the next parts most often go there too."""
    used = [placed.place for done in job.state.bodies(StepDone) for placed in done.placed]
    return used[-1] if used else ""


def _records(job: OpenJob, step: Step, phase: Phase, mine: str, here: str) -> tuple[Link, ...]:
    still_open = open_records(job.state, step)
    fits = {fit.id: fit for fit in job.transmission.fits}
    found = []
    for key in step.record:
        if key in fits:
            name = fits[key].name
            href = (
                f"{here}/fit/{quote(key)}"
                if phase == "build"
                else f"{here}/enter/reading?key={quote(key)}&back={mine}"
            )
        else:
            name = job.transmission.limit(key).name
            href = f"{here}/enter/reading?key={quote(key)}&back={mine}"
        found.append(Link(name, href, key not in still_open))
    return tuple(found)


def _said(one: StepState) -> str:
    if one.entry is None:
        return ""
    who = f"{one.entry.by}, {one.entry.at:%d %b %H:%M}"
    return f"skipped by {who}, because {one.because}" if one.how == "skipped" else f"done by {who}"


def _neighbour(one: StepState | None, here: str, phase: Phase) -> Link | None:
    if one is None:
        return None
    return Link(
        f"{one.step.id} {one.step.title}",
        f"{here}/{phase}/{quote(one.step.id)}",
        one.how in ("done", "skipped"),
    )


def _onward(plan: Work, here: str, phase: Phase) -> Link | None:
    return _neighbour(plan.next, here, phase)
