"""The bench view: one step at a time, with what must be known while hands are full."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Final
from urllib.parse import quote

from countershaft.desk.desk import OpenJob, new_entry_id
from countershaft.errors import Unknown
from countershaft.job.custody import custody, pieces
from countershaft.job.entry import Note, NotMeasured, Photo
from countershaft.job.words import Stage
from countershaft.metrology.conformity import Verdict
from countershaft.model.steps import Step, Way
from countershaft.stages.build import joint_state, must_be_new
from countershaft.stages.fit import follow
from countershaft.stages.hidden import held_now, laid, unchecked
from countershaft.stages.places import may_park, park_advice
from countershaft.stages.progress import Progress
from countershaft.stages.teardown import open_records
from countershaft.stages.work import Phase, StepState, Work, work
from countershaft.web.forms.form import Answers
from countershaft.web.pages.checks import check_answer
from countershaft.web.pages.fit import as_found_answer, left_answer
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.pages.lifting import Rows, leg_rows
from countershaft.web.pages.loosening import loosening_words
from countershaft.web.pages.shown import WORDS, Answer, enter, measure, said
from countershaft.web.pages.trays import last_place, trays

__all__ = ["IN_OWN_HOLES", "BenchPage", "Link", "bench_page", "onward_of", "said_of"]

#: What the page sends where fasteners go back into their own holes; no tray is called so.
IN_OWN_HOLES: Final = "own holes"


@dataclass(frozen=True, slots=True)
class Link:
    """A text that leads somewhere; an empty address leads nowhere."""

    text: str
    href: str
    done: bool = False


@dataclass(frozen=True, slots=True)
class Thread:
    """Fasteners of a step that turn the same way: which way, what they are, and where each joint is worked.

    `rounds` leads to the hole map of each joint that is loosened and says in which order, empty where it has but one.
    """

    hand: str
    doing: str
    words: tuple[str, ...]
    joints: tuple[Link, ...]
    rounds: tuple[tuple[Link, str], ...]


@dataclass(frozen=True, slots=True)
class Record:
    """Something to measure at the step: what it came to, or the two ways to answer it.

    `answer` is the value in its slot, none while there is no answer; `because_href` leads to the reason for not
    measuring.
    """

    name: str
    href: str
    action: str
    answer: Answer | None
    because_href: str


@dataclass(frozen=True, slots=True)
class PieceRow:
    """A part of the step: how many, and what to look out for."""

    part: str
    name: str
    asked: int
    remarks: tuple[str, ...]
    field: str
    value: str


@dataclass(frozen=True, slots=True)
class StowRow:
    """Where the fasteners of one joint go: what to tap, and what is advised."""

    field: str
    label: str
    options: tuple[tuple[str, str], ...]
    value: str
    advice: str


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
    legs: Rows
    threads: tuple[Thread, ...]
    pieces: tuple[PieceRow, ...]
    counts_wrong: bool
    places: tuple[tuple[str, str], ...]
    place: str
    laid: tuple[str, ...]
    held: tuple[str, ...]
    ways: tuple[tuple[str, ...], ...]
    way_cautions: tuple[tuple[str, str], ...]
    way: str
    unchecked: tuple[Link, ...]
    unchecked_because: str
    stow: tuple[StowRow, ...]
    stow_words: str
    stow_wrong: bool
    count_prompt: str
    count_keys: str
    counted: str
    write_prompt: str
    written: str
    verify: str
    verified: bool
    news: tuple[tuple[str, str], ...]
    ticked: tuple[str, ...]
    records: tuple[Record, ...]
    notes: tuple[str, ...]
    photo_asked: bool
    photos: tuple[PhotoRow, ...]
    blockers: tuple[Link, ...]
    said: str
    undo_href: str
    before: Link | None
    after: Link | None
    onward: Link | None
    ahead: tuple[tuple[str, str], ...]
    ahead_ticked: tuple[str, ...]
    else_href: str
    photo_href: str
    note_href: str
    skip_href: str
    waiting_href: str
    plan_href: str
    action: str
    entry_id: str
    problems: tuple[str | tuple[str, str], ...]
    errors: dict[str, str]


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
    places = trays(job)
    place = typed.one("place") or last_place(job) or places[0]
    stow = _stow(job, step, places, typed, place)
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
        facts=_facts(job, step),
        legs=leg_rows(step),
        threads=_threads(job, step, here),
        pieces=_pieces(job, step, typed),
        counts_wrong=any(name.startswith("count ") or name == "written" for name in errors or {}),
        places=tuple((place, place) for place in places),
        place=place,
        laid=tuple(each.words for each in laid(job.transmission, job.state)),
        held=tuple(
            f"{hold.what}, until {hold.until} is done" for _, hold in held_now(job.transmission, job.state)
        ),
        ways=_ways(one),
        way_cautions=tuple(
            (each.signal, f"If {way.title}: {each.text}") for way in one.ways for each in way.cautions
        ),
        way=typed.one("way"),
        unchecked=_unchecked(job, step, mine) if one.how == "open" else (),
        unchecked_because=typed.one("unchecked"),
        stow=stow,
        stow_words=_stow_words(stow),
        stow_wrong=any(name.startswith("bolts ") for name in errors or {}),
        count_prompt=step.count or "",
        count_keys="numeric" if sum(map(str.isdigit, step.count or "")) == 1 else "text",
        counted=typed.one("counted"),
        write_prompt=", ".join(step.write_down),
        written=typed.one("written"),
        verify=step.verify or "",
        verified=bool(typed.one("verified")),
        news=news,
        ticked=typed.many("new"),
        records=tuple(_records(job, step, phase, mine)),
        notes=tuple(
            f"{note.words} ({entry.by}, {entry.at:%d %b %H:%M})"
            for entry, note in job.state.of(Note)
            if note.about == step.id
        ),
        photo_asked=step.photo,
        photos=tuple(
            PhotoRow(f"/pictures/{photo.digest}", photo.caption or step.title)
            for photo in job.state.bodies(Photo)
            if photo.about == step.id
        ),
        blockers=tuple(
            Link(f"{need.id} {need.title}", f"{here}/{need.phase}/{quote(need.id)}") for need in one.blockers
        ),
        said=said_of(one),
        undo_href=f"{here}/enter/undo?key={one.entry.id}&back={mine}" if one.entry else "",
        before=_neighbour(before, here, phase),
        after=_neighbour(after, here, phase),
        onward=onward_of(plan, here, phase),
        ahead=tuple((need.id, f"{need.id} {need.title}") for need in one.ahead) if one.how == "open" else (),
        ahead_ticked=typed.many("ahead"),
        else_href=f"{here}/removed" if phase == "teardown" and job.transmission.observed else "",
        photo_href=f"{here}/enter/photo?key={phase}:{quote(step.id)}&back={mine}",
        note_href=f"{here}/enter/note?key={phase}:{quote(step.id)}&back={mine}",
        skip_href=f"{here}/enter/skip?key={quote(step.id)}&back={here}/{phase}",
        waiting_href=enter(job, "waiting", back=mine),
        plan_href=f"{here}/{phase}/plan",
        action=mine,
        entry_id=typed.one("entry_id") or new_entry_id(),
        problems=(*problems, *_faulty(step, errors or {})),
        errors=errors or {},
    )


#: What a field of the step's form is called in the summary of its faults.
_CALLED: Final[dict[str, str]] = {
    "counted": "Count",
    "written": "Words",
    "new": "New",
    "verified": "Checked",
    "ahead": "Order",
    "way": "Way",
    "unchecked": "Unchecked",
    "place": "Place",
}


def _faulty(step: Step, errors: dict[str, str]) -> tuple[tuple[str, str], ...]:
    """Every field that is wrong, for the summary at the top: Done is tapped far from where the fields stand."""
    known = {
        **_CALLED,
        **{f"count {piece.part}": f"Count of {piece.part}" for piece in (*step.off, *step.on)},
        **{f"bolts {joint}": f"Fasteners of {joint}" for joint in step.loosen},
    }
    return tuple((name, f"{known[name]}: {words}") for name, words in errors.items() if name in known)


def _facts(job: OpenJob, step: Step) -> tuple[tuple[str, str], ...]:
    def named(parts: tuple[str, ...]) -> str:
        return ", ".join(job.transmission.part(part).name for part in parts)

    found = (
        ("May drop", named(step.drops)),
        ("May stay behind", named(step.sticks)),
        ("Must be here", named(step.parts_needed)),
        ("Have ready", ", ".join(step.consumables)),
        ("Weighs", str(step.lifts) if step.lifts is not None else ""),
        ("Tool", step.tool_words or ""),
        ("Hold", step.hold or ""),
        ("The unit lies", step.lies or ""),
        ("Where", step.where or ""),
        ("People", "two" if step.people == 2 else str(step.people) if step.people > 2 else ""),
        ("About", f"{step.minutes} min" if step.minutes else ""),
    )
    return tuple((label, words) for label, words in found if words)


def _threads(job: OpenJob, step: Step, here: str) -> tuple[Thread, ...]:
    """The fasteners of a step, those that turn the same way together; left-hand threads stand first."""
    asked = [(job.transmission.joint(joint), "loosen") for joint in step.loosen]
    asked += [(job.transmission.joint(joint), "tighten") for joint in step.tighten]
    found = []
    for (hand, doing), group in groupby(
        sorted(asked, key=lambda one: (one[0].hand, one[1])), lambda one: (one[0].hand, one[1])
    ):
        joints = [joint for joint, _ in group]
        states = [joint_state(job.state, joint) for joint in joints] if doing == "tighten" else []
        found.append(
            Thread(
                hand=hand,
                doing=doing,
                words=tuple(
                    f"{len(joint.place_ids)} × {joint.kind} {joint.thread}, {joint.name}" for joint in joints
                ),
                joints=tuple(
                    Link(state.words, f"{here}/joint/{quote(state.joint.id)}", state.complete)
                    for state in states
                ),
                rounds=tuple(
                    (
                        Link(joint.name, f"{here}/fasteners/{quote(joint.id)}"),
                        loosening_words(job.state, joint),
                    )
                    for joint in joints
                    if doing == "loosen"
                ),
            )
        )
    return tuple(found)


def _pieces(job: OpenJob, step: Step, typed: Answers) -> tuple[PieceRow, ...]:
    notes = {piece.part: piece.note for piece in (*step.off, *step.on)}
    lying = custody(job.transmission, job.state).lying if step.phase == "build" else ()
    rows = []
    for part_id, asked in pieces(job.transmission, step).items():
        part = job.transmission.part(part_id)
        where = [
            f"{one.count} {'on the mat' if one.place == 'mat' else f'in {one.place}'}"
            for one in lying
            if one.part == part_id
        ]
        remarks = (
            notes.get(part_id) or "",
            f"may stay on: {part.sticks_to}" if part.sticks_to and step.phase == "teardown" else "",
            f"orientation: {part.orientation}" if part.orientation else "",
            f"lies: {', '.join(where)}" if where else "",
        )
        field = f"count {part_id}"
        shown = tuple(one for one in remarks if one)
        rows.append(PieceRow(part_id, part.name, asked, shown, field, typed.one(field) or str(asked)))
    return tuple(rows)


def _ways(one: StepState) -> tuple[tuple[str, ...], ...]:
    """The ways in which a step can be done now: the usual one where nothing is open before it, and the others."""
    if not one.ways:
        return ()
    usual = () if one.blockers else (("", f"as above: {one.step.title}"),)
    return (*usual, *((way.id, way.title, _way_takes(way)) for way in one.ways))


def _way_takes(way: Way) -> str:
    """What another way takes."""
    people = f"{way.people} people" if way.people and way.people > 1 else ""
    takes = (*(way.tools or ()), f"{way.minutes} min" if way.minutes else "", people)
    return ", ".join(words for words in takes if words)


def _unchecked(job: OpenJob, step: Step, mine: str) -> tuple[Link, ...]:
    """What the step hides and nobody checked, each with the way to check it now."""
    here, found = f"/jobs/{quote(job.tag)}", []
    for one in unchecked(job.transmission, job.state, step):
        if one.sort == "step":
            href = f"{here}/{job.transmission.step(one.key).phase}/{quote(one.key)}"
        elif one.sort == "fit" and step.phase == "build":
            href = f"{here}/fit/{quote(one.key)}"
        else:
            href = measure(job, "reading", key=f"{step.phase}:{one.key}", back=mine)
        found.append(Link(one.words, href))
    return tuple(found)


def _stow(
    job: OpenJob, step: Step, places: tuple[str, ...], typed: Answers, place: str
) -> tuple[StowRow, ...]:
    """For each joint that the step loosens: where its fasteners may go, and whether their own holes are free."""
    if step.phase != "teardown":
        return ()
    advice = {one.joint: one for one in park_advice(job.transmission, job.state, after=step.id)}
    found = []
    for joint_id in step.loosen:
        joint = job.transmission.joint(joint_id)
        park = advice.get(joint_id)
        field = f"bolts {joint_id}"
        found.append(
            StowRow(
                field,
                f"{len(joint.place_ids)} × {joint.kind}, {joint.name}",
                (*((tray, tray) for tray in places), (IN_OWN_HOLES, "their own holes")),
                typed.one(field) or (IN_OWN_HOLES if park and park.may else place),
                may_park(job.transmission, park) if park else "",
            )
        )
    return tuple(found)


def _stow_words(rows: tuple[StowRow, ...]) -> str:
    """Where the fasteners go if nothing else is tapped, in one line."""
    return "; ".join(f"{row.label}: {dict(row.options).get(row.value, row.value)}" for row in rows)


def _records(job: OpenJob, step: Step, phase: Phase, mine: str) -> Iterator[Record]:
    """What the step asks to be measured, with the verdict once there is one."""
    still_open = open_records(job.state, step)
    fits = {fit.id: fit for fit in job.transmission.all_fits}
    for key in step.record:
        found = _answered(job, key, phase, mine) if key not in still_open else None
        closing = key in fits and phase == "build"
        looked = key not in fits and not job.transmission.limit(key).measured
        yield Record(
            name=fits[key].name if key in fits else job.transmission.limit(key).name,
            href=f"/jobs/{quote(job.tag)}/fit/{quote(key)}"
            if closing
            else measure(job, "reading", key=f"{phase}:{key}", back=mine),
            action="Choose and re-measure" if closing else "Look at" if looked else "Measure",
            answer=found,
            because_href="" if found or closing else enter(job, "not-measured", key=key, back=mine),
        )


def _answered(job: OpenJob, key: str, phase: Phase, mine: str) -> Answer:
    """The newest answer to a fit or limit that belongs to the phase."""
    fit = next((fit for fit in job.transmission.all_fits if fit.id == key), None)
    if fit is None:
        when = "as found" if phase == "teardown" else "as left"
        return check_answer(job, job.transmission.limit(key), when=when, back=mine)
    now = follow(job.transmission, job.state, fit)
    if phase == "build":
        return left_answer(job, now, mine)
    newest = job.state.answers(key)[-1]
    if isinstance(newest.body, NotMeasured) or now.as_found_judgement is None:
        because = newest.body.because if isinstance(newest.body, NotMeasured) else "no reading as found"
        why = f"not measured, because {because}"
        return Answer("as found", "", WORDS[Verdict.NOT_MEASURED], why, said(newest), None)
    return as_found_answer(job, now, mine)


def said_of(one: StepState) -> str:
    """Who did a step and when, or who skipped it and why; empty while it is open."""
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


def onward_of(plan: Work, here: str, phase: Phase) -> Link | None:
    """The step at which the work goes on."""
    return _neighbour(plan.next, here, phase)
