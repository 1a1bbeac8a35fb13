"""One joint: its holes, its rounds, and the place that is due."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from countershaft.desk.desk import OpenJob, new_entry_id
from countershaft.desk.fasteners import torque_of
from countershaft.job.entry import Entry, Tightened
from countershaft.job.state import JobState
from countershaft.job.words import Stage
from countershaft.model.transmission import Transmission
from countershaft.stages import fastening
from countershaft.stages.build import JointState, joint_state
from countershaft.stages.progress import Progress
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.pages.hole_maps import drawn_joint, order_words
from countershaft.web.pages.shown import enter, said

__all__ = ["JointPage", "drawn", "joint_page"]

_ROUNDS = ("first", "second", "third", "fourth", "fifth", "sixth")


@dataclass(frozen=True, slots=True)
class Heads:
    """The look at the heads that must come before the first torque.

    `action` takes that all of them stand right; `href` leads to where heads are measured, or a reason is written.
    """

    found: tuple[str, ...]
    ask: str
    label: str
    action: str
    href: str
    href_words: str


@dataclass(frozen=True, slots=True)
class JointPage:
    """A joint at the bench."""

    frame: Frame
    name: str
    drawing: str
    due: str
    due_words: str
    stage_words: str
    kind: str
    hand: str
    doing: str
    heads: Heads | None
    complete: bool
    facts: tuple[tuple[str, str], ...]
    reminders: tuple[str, ...]
    stages: tuple[tuple[str, str], ...]
    round: str
    next_place: str
    rest_places: tuple[str, ...]
    rest_words: str
    undo_href: str
    undo_words: str
    waiting_href: str
    photo_href: str
    check_href: str
    mark_href: str
    back: str
    back_words: str
    action: str
    entry_id: str
    problems: tuple[str, ...]


def joint_page(
    job: OpenJob, progress: Progress, joint_id: str, *, problems: tuple[str, ...] = ()
) -> JointPage:
    """A joint as its template reads it."""
    joint = job.transmission.joint(joint_id)
    now = joint_state(job.state, joint)
    here = f"/jobs/{quote(job.tag)}"
    mine = f"{here}/joint/{quote(joint_id)}"
    step = next((step for step in job.transmission.phase("build") if joint_id in step.tighten), None)
    rest = tuple(place for place in now.sequence if now.done[place] < now.round)
    source = job.transmission.source(joint.source)
    heads = _heads(job, now, mine)
    return JointPage(
        frame=frame(job, progress, Stage.BUILD),
        name=joint.name,
        drawing=drawn(now, job.state, marked=heads is None),
        due=f"{now.number} of {len(now.done)}" if not now.complete else "all done",
        due_words=_due_words(now),
        stage_words="" if now.complete else joint.stages[now.round - 1].words(),
        kind=joint.kind,
        hand=joint.hand,
        doing="tighten",
        heads=heads,
        complete=now.complete,
        facts=(
            *_looked(job.transmission, job, now),
            *_facts(now, str(source) if source else "none: the torque is unverified"),
        ),
        reminders=_reminders(now, looked=fastening.look(job.transmission, job.state, joint) is not None),
        stages=tuple(
            (f"Round {number}", one.side.words if one.side else one.words)
            for number, one in enumerate(map(torque_of, joint.stages), start=1)
        ),
        round=str(now.round),
        next_place=now.next or "",
        rest_places=rest,
        rest_words=f"All {len(rest)} left in this round",
        undo_href=_undo_href(job, joint_id, mine),
        undo_words=_undo_words(job, joint_id),
        waiting_href=enter(job, "waiting", back=mine),
        photo_href=enter(job, "photo", key=f"build:{joint_id}", back=mine),
        check_href=f"{here}/fasteners/{quote(joint_id)}",
        mark_href=""
        if now.begun or any(place.at_mm for place in joint.places)
        else f"{here}/fasteners/{quote(joint_id)}/picture",
        back=f"{here}/build/{quote(step.id)}" if step else f"{here}/build",
        back_words=f"{step.id} {step.title}" if step else "the build",
        action=mine,
        entry_id=new_entry_id(),
        problems=problems,
    )


def _last(job: OpenJob, joint_id: str) -> tuple[Entry, Tightened] | None:
    """The newest tap on a joint that still counts."""
    found = [(entry, body) for entry, body in job.state.of(Tightened) if body.joint == joint_id]
    return found[-1] if found else None


def _undo_href(job: OpenJob, joint_id: str, mine: str) -> str:
    last = _last(job, joint_id)
    return enter(job, "undo", key=last[0].id, back=mine) if last else ""


def _undo_words(job: OpenJob, joint_id: str) -> str:
    """What the newest tap said, for the button that takes it back."""
    last = _last(job, joint_id)
    if last is None:
        return ""
    places = last[1].places
    what = places[0] if len(places) == 1 else f"{len(places)} places"
    return f"Undo {what}, round {last[1].round}"


def drawn(now: JointState, state: JobState, *, marked: bool = True) -> str:
    """The hole map of a joint with its progress; not marked while no place is due because heads are looked at."""
    return drawn_joint(
        now.joint,
        now.order,
        fastening.positions(state, now.joint),
        done=now.done if marked else None,
        due=now.next if marked else None,
        round_number=now.round,
    )


def _due_words(now: JointState) -> str:
    if now.complete:
        return "every round is done"
    rounds = len(now.joint.stages)
    place = f"{now.joint.kind} {now.next}"
    return f"{place}, {_ROUNDS[now.round - 1]} round of {rounds}" if rounds > 1 else place


def _facts(now: JointState, source: str) -> tuple[tuple[str, str], ...]:
    joint = now.joint
    heights = sorted(
        {height for place in joint.place_ids if (height := joint.standing_height_mm(place)) is not None}
    )
    found = (
        ("Thread", f"{joint.thread}, {joint.hand}-hand"),
        ("Strength", joint.strength or ""),
        ("Into", joint.into or ""),
        ("Order", order_words(joint, now.order)),
        (
            "Heads stand",
            " and ".join(f"{height} mm" for height in heights) + " when dropped in" if heights else "",
        ),
        ("Locking", joint.locking or ""),
        ("Sealing", joint.sealing or ""),
        ("Note", joint.note or ""),
        ("Source", source),
    )
    return tuple((label, words) for label, words in found if words)


def _heads(job: OpenJob, now: JointState, mine: str) -> Heads | None:
    """What must be said of the heads now; None where nothing has to be."""
    if not fastening.held(job.transmission, job.state, now.joint):
        return None
    seen = fastening.look(job.transmission, job.state, now.joint)
    again = seen is not None
    return Heads(
        found=tuple(head.words for head in seen.heads) if seen else (),
        ask="Put the bolts right, drop them in and look again."
        if again
        else "Drop every bolt in without turning it, and look across the heads.",
        label="Every head stands right now" if again else "Every head stands right",
        action=f"{mine}/heads",
        href=enter(job, "heights", key=now.joint.id, back=mine),
        href_words="Measure again, or say why not" if again else "One stands out, or is doubtful",
    )


def _looked(transmission: Transmission, job: OpenJob, now: JointState) -> tuple[tuple[str, str], ...]:
    """What was said of the heads, once it holds nothing any more."""
    seen = fastening.look(transmission, job.state, now.joint)
    if seen is None or not seen.resolved:
        return ()
    told = " ".join(head.words for head in seen.heads)
    because = f"tightened all the same, because {seen.body.because}" if seen.body.because else ""
    words = "every one stands right" if seen.body.level else "; ".join(filter(None, (told, because)))
    return (("Heads", f"{words} ({said(seen.entry)})"),)


def _reminders(now: JointState, *, looked: bool) -> tuple[str, ...]:
    """What must be true before the first torque."""
    joint, found = now.joint, []
    if now.begun or now.complete:
        return ()
    if not looked and any(joint.standing_height_mm(place) is not None for place in joint.place_ids):
        found.append(
            "Drop every one in before the first torque: all heads of one diameter stand the same height "
            "(length less grip; common practice, no source). One that stands out is in the wrong hole."
        )
    if joint.reuse == "always new":
        found.append(f"These are never used twice: {len(joint.place_ids)} new ones.")
    if joint.renew:
        found.append(f"New with each: {joint.renew}.")
    return tuple(found)
