"""A unit without a file, at the desk: begin, log what comes off, and write the file from the logs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection
from datetime import datetime

from pydantic import ValidationError

from countershaft.definitions.writer import write_transmission
from countershaft.desk.desk import Desk, OpenJob, new_entry_id
from countershaft.errors import BadInput, EntryRefused, FormError, NoFeasibleOrder
from countershaft.job.entry import CameOff, Entry, OrderSaid, SameSaid, StepDone
from countershaft.job.removals import next_number, removal
from countershaft.job.state import fold
from countershaft.model.transmission import Transmission
from countershaft.planning.observed import matching_key
from countershaft.stages.draft import Draft, Teardown, draft, seen_steps

__all__ = [
    "begin_unknown",
    "drafted",
    "keep_draft",
    "log_removal",
    "say_of_order",
    "teardowns_of",
    "usual_words",
]

#: How often another bench may take the number of a removal before the attempt is given up.
_ATTEMPTS = 20

#: Words to offer first in a shop that has logged nothing yet; common practice, no source.
_FIRST_WORDS = (
    "oil pan",
    "filter",
    "valve body",
    "oil pump",
    "rear housing",
    "snap ring",
    "thrust washer",
    "clutch drum",
)


def begin_unknown(desk: Desk, name: str) -> str:
    """Keep an empty file under the name that somebody gives a unit; returns its digest."""
    cleaned = " ".join(name.split())
    if not matching_key(cleaned):
        raise BadInput(
            f"{name!r} names no unit; say in words what it is, as in: grey box, eight bolts on the pan."
        )
    file = Transmission(format=1, name=cleaned[:120])
    return desk.add_definition(write_transmission(file), file=f"{cleaned[:40]}.yaml")


def log_removal(
    desk: Desk,
    tag: str,
    off: CameOff,
    place: str,
    *,
    by: str,
    parked: bool = False,
    entry_id: str | None = None,
) -> Entry:
    """Log what came off under the next number; sent again it is the same entry."""
    for _ in range(_ATTEMPTS):
        job = desk.job(tag)
        sent = next((entry.body for entry in job.state.entries if entry.id == entry_id), None)
        number = int(sent.step[1:]) if isinstance(sent, StepDone) and sent.seen else None
        body = _removal(number or next_number(job.transmission, job.state), off, place, parked)
        try:
            return desk.append(tag, body, by=by, entry_id=entry_id)
        except EntryRefused:
            if body.step not in {step.id for step in desk.job(tag).transmission.steps} or number:
                raise
    raise EntryRefused("Others log at this job without a pause, and no number was free. Send it again.")


def _removal(number: int, off: CameOff, place: str, parked: bool) -> StepDone:
    try:
        return removal(number, off, place, parked=parked)
    except ValidationError as cause:
        raise FormError(
            {"place": f"{place[:30]!r}… is no name of a place; use at most 80 characters, or take a tray."}
        ) from cause


def usual_words(desk: Desk, job: OpenJob, most: int) -> tuple[str, ...]:
    """What to offer to tap: the words most used in the shop, those that came off this unit already behind the others.

    Until enough was logged, common words stand in.
    """
    spelled: dict[str, str] = {}
    used: Counter[str] = Counter()
    for body in desk.words_used("step_done"):
        if isinstance(body, StepDone) and body.seen is not None:
            key = matching_key(body.seen.what)
            spelled.setdefault(key, body.seen.what)
            used[key] += 1
    for word in _FIRST_WORDS:
        spelled.setdefault(matching_key(word), word)
    here = Counter(matching_key(body.seen.what) for body in job.state.bodies(StepDone) if body.seen)
    once = {key for key, count in here.items() if count == 1}
    ranked = sorted(spelled, key=lambda key: (key in once, -used[key]))
    return tuple(spelled[key] for key in ranked[:most])


def teardowns_of(desk: Desk, tag: str) -> tuple[Teardown, ...]:
    """Every teardown of the same unit that was watched: this job's, and those of jobs with the same name of unit."""
    unit = matching_key(desk.job(tag).state.opened.unit)
    found = []
    for card in desk.cards():
        if matching_key(card.unit) != unit:
            continue
        job = desk.job(card.tag)
        if job.transmission.observed is not None and seen_steps(job.transmission, job.state):
            found.append(Teardown(card.tag, job.transmission, job.state))
    return tuple(sorted(found, key=lambda one: one.state.entries[0].at))


def drafted(desk: Desk, tag: str, *, without: Collection[str] = ()) -> Draft:
    """The file that the teardowns of a job's unit make; `without` are jobs to leave out."""
    known = [one for one in teardowns_of(desk, tag) if one.job not in without]
    try:
        return draft(_base(desk, tag, without), known)
    except NoFeasibleOrder as circle:
        raise EntryRefused(f"{circle} What a person said is undone in the log of its job.") from circle


def keep_draft(desk: Desk, tag: str, *, without: Collection[str] = ()) -> str:
    """Keep the drafted file among the shop's files; returns its digest."""
    made = drafted(desk, tag, without=without).transmission
    return desk.add_definition(write_transmission(made), file=f"{made.name[:40]}.yaml")


def say_of_order(
    desk: Desk, tag: str, said: OrderSaid | SameSaid, *, by: str, entry_id: str | None = None
) -> Entry:
    """Let what a person says about order or names join the log; refused where it would make a circle."""
    job = desk.job(tag)
    known = teardowns_of(desk, tag)
    tried = Entry(id=entry_id or new_entry_id(), at=datetime.now().astimezone(), by=by, body=said)
    if entry_id not in {entry.id for entry in job.state.entries}:
        with_it = fold((*job.state.entries, tried))
        others = [one for one in known if one.job != tag]
        try:
            draft(_base(desk, tag, ()), (*others, Teardown(tag, job.transmission, with_it)))
        except NoFeasibleOrder as circle:
            raise EntryRefused(str(circle)) from circle
    return desk.append(tag, said, by=by, entry_id=entry_id)


def _base(desk: Desk, tag: str, without: Collection[str]) -> Transmission:
    """The newest file of the unit that was written from teardowns, so that what was added to it by hand stays."""
    job = desk.job(tag)
    own = desk.definition(job.definition)
    for row in desk.definitions():
        if matching_key(row.name) == matching_key(own.name):
            file = desk.definition(row.digest)
            if file.observed is not None and not {one.job for one in file.observed.teardowns} & set(without):
                return file
    return own
