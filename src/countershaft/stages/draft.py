"""A transmission file from teardowns that were logged: its parts, fasteners and the order that was always so.

Teardowns are laid over each other by the names of what came off.  What stands in the file already stays, also what a
person added to it by hand; only the needs between watched steps are worked out anew.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import count
from typing import Final

from countershaft.errors import EntryRefused
from countershaft.job.entry import Entry, OrderSaid, Photo, SameSaid, StepDone
from countershaft.job.removals import numbered, rewritten, step_groups, watched
from countershaft.job.state import JobState
from countershaft.model.about import About, Caution, SourceNote
from countershaft.model.derived import put_back
from countershaft.model.fasteners import Joint
from countershaft.model.observed import Observed, OrderedPair, Watched
from countershaft.model.parts import Part
from countershaft.model.steps import Piece, Step
from countershaft.model.transmission import Transmission
from countershaft.planning.observed import Must, ObservedOrder, matching_key, observed_order
from countershaft.planning.precedence import order
from countershaft.source import SourceKind

__all__ = ["Draft", "Teardown", "draft", "seen_steps"]

#: How the note of a file begins that was written from teardowns; the note is written anew with each.
_WATCHED: Final = "Written from "
_SOURCE: Final = "teardowns"
_LETTERS: Final = "abcdefghijklmnopqrstuvwxyz"
_CAUTION: Final = (
    "This file was written from teardowns, not by the maker. Its order is what was seen; it holds no torque and no "
    "limit. Follow the maker's service information."
)


@dataclass(frozen=True, slots=True)
class Teardown:
    """One job's teardown: the file that it was worked by, with what its log added, and its log."""

    job: str
    file: Transmission
    state: JobState


@dataclass(frozen=True, slots=True)
class Draft:
    """The file that teardowns make, the order behind it by its steps, and what is known of the names.

    `only_in` are steps that not every teardown had, with the jobs that had them: perhaps another name.
    """

    transmission: Transmission
    order: ObservedOrder
    only_in: tuple[tuple[str, tuple[str, ...]], ...]

    def called(self, step: str) -> str:
        """What comes off at a step."""
        return _name(self.transmission, self.transmission.step(step))


@dataclass
class _Row:
    """A step of the file in the making, with what comes off at it."""

    step: Step
    parts: list[Part]
    joints: list[Joint]


@dataclass
class _Sheet:
    """The file in the making: its watched steps by the key of what comes off, and the order of each teardown."""

    base: Transmission
    same: dict[str, str]
    rows: dict[str, _Row] = field(default_factory=dict)
    orders: dict[str, Watched] = field(default_factory=dict)
    also: dict[str, tuple[str, ...]] = field(default_factory=dict)
    names: Counter[str] = field(default_factory=Counter)


def draft(base: Transmission, teardowns: Sequence[Teardown]) -> Draft:
    """Lay teardowns over a file that was written from others, or over an empty one.

    Raises EntryRefused where there is nothing to write or the file is none of that kind, NoFeasibleOrder where what
    people fixed makes a circle.
    """
    if base.observed is None and base.phase("teardown"):
        raise EntryRefused(
            f"{base.name} has a file that somebody wrote; its order is not learned from teardowns. "
            "Change that file, or open the next job without a file."
        )
    sheet = _begun(base, teardowns)
    for one in teardowns:
        _lay(sheet, one)
    if not sheet.orders:
        raise EntryRefused(
            f"No teardown of {base.name} is logged yet. Log what came off; then write the file."
        )
    fixed, loosened = _said(sheet, teardowns)
    labels = {row.step.id: f"{row.step.id} {_row_name(row)}" for row in sheet.rows.values()}
    found = _in_steps(
        observed_order(
            [[[labels[key] for key in group] for group in one.groups] for one in sheet.orders.values()],
            fixed=[(labels[pair.before], labels[pair.after]) for pair in fixed],
            loosened=[(labels[pair.before], labels[pair.after]) for pair in loosened],
        ),
        {label: step for step, label in labels.items()},
    )
    observed = Observed(
        teardowns=tuple(sheet.orders.values()), fixed=fixed, loosened=loosened, also_called=sheet.also
    )
    return Draft(_file(sheet, found, observed), found, tuple(_only_in(sheet)))


def seen_steps(file: Transmission, state: JobState) -> tuple[tuple[str, ...], ...]:
    """The teardown of a job so far, in groups of steps."""
    return step_groups(state.bodies(StepDone), {step.id for step in file.phase("teardown")})


# Laying one teardown over the others


def _begun(base: Transmission, teardowns: Sequence[Teardown]) -> _Sheet:
    sheet = _Sheet(base, _same(base, teardowns))
    for step in base.phase("teardown"):
        parts = [base.part(piece.part) for piece in step.off]
        row = _Row(step, parts, [base.joint(joint) for joint in step.loosen])
        sheet.rows[_key(sheet, _name(base, step), sheet.rows)] = row
    if base.observed is not None:
        sheet.orders.update({one.job: one for one in base.observed.teardowns})
        sheet.also.update(base.observed.also_called)
    sheet.names.update(matching_key(part.name) for part in base.parts)
    return sheet


def _same(base: Transmission, teardowns: Sequence[Teardown]) -> dict[str, str]:
    """The key of a name to the key that it stands for."""
    found: dict[str, str] = {}
    for part, others in (base.observed.also_called if base.observed else {}).items():
        found.update({matching_key(other): matching_key(base.part(part).name) for other in others})
    for entry in _entries(teardowns):
        if isinstance(entry.body, SameSaid):
            found[matching_key(entry.body.name)] = matching_key(entry.body.called)
    return found


def _entries(teardowns: Sequence[Teardown]) -> list[Entry]:
    """What still counts in all the logs, in the order of time."""
    return sorted((entry for one in teardowns for entry in one.state.live), key=lambda entry: entry.at)


def _key(sheet: _Sheet, name: str, used: Collection[str]) -> str:
    """The key under which a name stands; the second of one name in a teardown has a key of its own."""
    key, seen = matching_key(name), {matching_key(name)}
    while key in sheet.same and sheet.same[key] not in seen:
        key = sheet.same[key]
        seen.add(key)
    taken = set(used)
    numbered_keys = (key if number == 1 else f"{key} {number}" for number in count(1))
    return next(one for one in numbered_keys if one not in taken)


def _lay(sheet: _Sheet, one: Teardown) -> None:
    """Match what came off with what the file has, add what it has not, and note the order."""
    groups: list[tuple[str, ...]] = []
    mine: dict[str, str] = {}
    photos = {body.about for body in one.state.bodies(Photo)}
    for group in seen_steps(one.file, one.state):
        ids = []
        for step_id in group:
            step = one.file.step(step_id)
            name = _name(one.file, step)
            key = _key(sheet, name, mine)
            _merge(sheet, key, name, one, step, photo=step_id in photos)
            mine[key] = step_id
            ids.append(sheet.rows[key].step.id)
        groups.append(tuple(ids))
    if groups:
        sheet.orders[one.job] = watched(one.job, groups)


def _merge(sheet: _Sheet, key: str, name: str, one: Teardown, step: Step, *, photo: bool) -> None:
    parts = [one.file.part(piece.part) for piece in step.off]
    joints = [one.file.joint(joint) for joint in step.loosen]
    row = sheet.rows.get(key)
    if row is None:
        sheet.rows[key] = _new_row(sheet, name, parts, joints, step, photo=photo)
        return
    if row.parts and matching_key(row.parts[0].name) != matching_key(name):
        others = sheet.also.get(row.parts[0].id, ())
        sheet.also[row.parts[0].id] = tuple(dict.fromkeys((*others, name)))
    if step.id == row.step.id and step == row.step:
        return
    for at, part in enumerate(row.parts[:1]):
        if parts and parts[0].quantity != part.quantity:
            row.parts[at] = _differs(part, parts[0].quantity, one.job)
    sizes = {(joint.thread, joint.hand, joint.length_mm) for joint in row.joints}
    fresh = [joint for joint in joints if (joint.thread, joint.hand, joint.length_mm) not in sizes]
    row.joints += [_joint(sheet, row.step.id, len(row.joints) + at, joint) for at, joint in enumerate(fresh)]
    row.step = row.step.model_copy(
        update={"loosen": tuple(joint.id for joint in row.joints), "photo": row.step.photo or photo}
    )


def _differs(part: Part, counted: int, job: str) -> Part:
    """A part of which another teardown had another number: the larger one stands, and the difference is noted."""
    words = f"{part.quantity} were counted before, {counted} in job {job}"
    note = f"{part.note}; {words}" if part.note else words
    return part.model_copy(update={"quantity": max(part.quantity, counted), "note": note})


def _new_row(
    sheet: _Sheet, name: str, parts: list[Part], joints: list[Joint], step: Step, *, photo: bool
) -> _Row:
    number = _next_number(sheet)
    named = numbered(name, sheet.names) if parts else name
    own = [
        part.model_copy(
            update={"id": f"P{number:02d}{_LETTERS[at - 1] if at else ''}"} | ({} if at else {"name": named})
        )
        for at, part in enumerate(parts)
    ]
    key = f"T{number:02d}"
    tied = [_joint(sheet, key, at, joint) for at, joint in enumerate(joints)]
    made = Step(
        id=key,
        phase="teardown",
        title=named if parts else step.title,
        off=tuple(Piece(part=part.id) for part in own),
        loosen=tuple(joint.id for joint in tied),
        how=step.how,
        photo=photo,
    )
    return _Row(made, own, tied)


def _joint(sheet: _Sheet, step: str, at: int, joint: Joint) -> Joint:
    source = _SOURCE if sheet.base.observed is None or _SOURCE in sheet.base.about.sources else None
    return joint.model_copy(update={"id": f"J{step[1:]}{_LETTERS[at]}", "source": source})


def _next_number(sheet: _Sheet) -> int:
    ids = [step.id for step in sheet.base.steps] + [part.id for part in sheet.base.parts]
    ids += [row.step.id for row in sheet.rows.values()]
    return max((int(key[1:]) for key in ids if key[:1] in "TPAJ" and key[1:].isdecimal()), default=0) + 1


# The order


def _said(
    sheet: _Sheet, teardowns: Sequence[Teardown]
) -> tuple[tuple[OrderedPair, ...], tuple[OrderedPair, ...]]:
    """What is fixed and what is loosened, the newest word about a pair counting."""
    fixed: dict[tuple[str, str], OrderedPair] = {}
    loosened: dict[tuple[str, str], OrderedPair] = {}
    if sheet.base.observed is not None:
        fixed.update({(one.before, one.after): one for one in sheet.base.observed.fixed})
        loosened.update({(one.before, one.after): one for one in sheet.base.observed.loosened})
    for entry in _entries(teardowns):
        body = entry.body
        if not isinstance(body, OrderSaid):
            continue
        rows = [sheet.rows.get(_key(sheet, name, ())) for name in (body.before, body.after)]
        if rows[0] is None or rows[1] is None:
            continue
        pair = (rows[0].step.id, rows[1].step.id)
        fixed.pop(pair, None)
        loosened.pop(pair, None)
        because = f"{body.because} ({entry.by}, {entry.at:%d %b %Y})"
        kept = OrderedPair(before=pair[0], after=pair[1], because=because)
        if body.how != "as seen":
            (fixed if body.how == "must" else loosened)[pair] = kept
    known = {step for one in sheet.orders.values() for step in one.order}
    return (
        tuple(one for one in fixed.values() if {one.before, one.after} <= known),
        tuple(one for one in loosened.values() if {one.before, one.after} <= known),
    )


def _in_steps(found: ObservedOrder, steps: dict[str, str]) -> ObservedOrder:
    """The same order with the ids of steps in place of their labels."""
    return ObservedOrder(
        tuple(steps[key] for key in found.keys),
        tuple(replace(must, before=steps[must.before], after=steps[must.after]) for must in found.musts),
        tuple((steps[before], steps[after]) for before, after in found.doubtful),
        tuple((steps[before], steps[after]) for before, after in found.without_effect),
    )


# The file


def _file(sheet: _Sheet, found: ObservedOrder, observed: Observed) -> Transmission:
    base = sheet.base
    musts: dict[str, list[Must]] = {}
    for must in found.musts:
        musts.setdefault(must.after, []).append(must)
    reasons = {(one.before, one.after): one.because for one in observed.fixed}
    steps = [_needing(row.step, musts.get(row.step.id, []), base, reasons) for row in sheet.rows.values()]
    rank = order({step.id: step.needs for step in steps}, first=[step.id for step in steps])
    steps.sort(key=lambda step: rank.index(step.id))
    own = tuple(step for step in base.steps if step.phase == "build")
    fresh = tuple(step for step in steps if step.id not in {one.id for one in base.steps})
    mine = {part.id: part for row in sheet.rows.values() for part in row.parts}
    tied = {joint.id: joint for row in sheet.rows.values() for joint in row.joints}
    parts = {part.id: part for part in base.parts} | mine
    joints = {joint.id: joint for joint in base.fasteners} | tied
    return rewritten(
        base,
        about=_about(base, tuple(sheet.orders)),
        parts=tuple(parts.values()),
        fasteners=tuple(joints.values()),
        steps=(*steps, *own, *(put_back(fresh) if own else ())),
        observed=observed,
    )


def _needing(
    step: Step, musts: list[Must], base: Transmission, reasons: dict[tuple[str, str], str | None]
) -> Step:
    """A step with what it must wait for: what was always seen or is fixed, and what a person wrote by hand."""
    seen = base.observed
    by_hand = [
        need
        for need in step.needs
        if seen is None
        or not (
            seen.only_seen(need, step.id)
            or (need, step.id) in {(one.before, one.after) for one in seen.fixed}
        )
    ]
    why = {need: words for need, words in step.why.items() if need in by_hand}
    for must in musts:
        because = reasons.get((must.before, must.after))
        why[must.before] = f"{must.evidence}: {because}" if because else must.evidence
    needs = tuple(dict.fromkeys((*by_hand, *(must.before for must in musts))))
    return Step(**{name: getattr(step, name) for name in Step.model_fields} | {"needs": needs, "why": why})


def _about(base: Transmission, jobs: tuple[str, ...]) -> About:
    times = f"{len(jobs)} teardown{'' if len(jobs) == 1 else 's'}"
    words = f"{times}: job{'' if len(jobs) == 1 else 's'} {', '.join(jobs)}"
    note = f"{_WATCHED}{words}."
    given = base.about
    if base.observed is not None and not (given.note or "").startswith(_WATCHED):
        return given
    cautions = given.cautions or (Caution(signal="NOTICE", text=_CAUTION),)
    sources = {
        **given.sources,
        _SOURCE: SourceNote(kind=SourceKind.MEASURED, text=f"counted and measured at {words}"),
    }
    return given.model_copy(update={"note": note, "cautions": cautions, "sources": sources})


def _only_in(sheet: _Sheet) -> Iterator[tuple[str, tuple[str, ...]]]:
    for row in sheet.rows.values():
        jobs = tuple(job for job, one in sheet.orders.items() if row.step.id in one.order)
        if len(jobs) < len(sheet.orders):
            yield row.step.id, jobs


def _name(file: Transmission, step: Step) -> str:
    return file.part(step.off[0].part).name if step.off else step.title


def _row_name(row: _Row) -> str:
    return row.parts[0].name if row.parts else row.step.title
