"""The file that a log writes: what came off a unit that no file describes becomes its parts, joints and steps.

A removal is a step that was done, with what it took off said in the same entry.  So the file that a job is worked by
is the shop's file and, behind it, one part, one step and the joints of each such entry; custody, build, labels and
report know no difference.  The order is what was seen; the build is its reverse.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from typing import Final

from countershaft.job.at_bench import Placed, StepDone
from countershaft.job.at_places import OWN_HOLES, Spot, Stowed
from countershaft.job.at_removal import AllOff, CameOff, FastenersOff
from countershaft.job.sizes import read_size
from countershaft.job.state import JobState
from countershaft.model.derived import put_back
from countershaft.model.fasteners import Joint, Stage
from countershaft.model.observed import Observed, Watched
from countershaft.model.parts import Part
from countershaft.model.steps import Piece, Step
from countershaft.model.transmission import Transmission
from countershaft.planning.observed import matching_key

__all__ = [
    "UNKNOWN_TORQUE",
    "all_is_off",
    "as_logged",
    "has_no_file",
    "loose_joint",
    "next_number",
    "numbered",
    "removal",
    "rewritten",
    "step_groups",
    "watched",
]

#: The one round of a joint of which nobody knows the torque.
UNKNOWN_TORQUE: Final = "to the torque of the maker's service information; it is not known here"
_NUMBERED: Final = re.compile(r"[A-Z](\d{1,6})")
_LETTERS: Final = "abcdefghi"


def has_no_file(transmission: Transmission, state: JobState) -> bool:
    """Whether nothing but this job's own log says what comes off: the teardown ends when a person says so."""
    steps = transmission.phase("teardown")
    if not steps:
        return not transmission.parts and not transmission.fasteners
    logged = {body.step for body in state.bodies(StepDone) if body.seen is not None}
    return logged.issuperset(step.id for step in steps)


def all_is_off(state: JobState) -> bool:
    """Whether somebody said that all is off, and nothing came off after that."""
    for entry in reversed(state.live):
        if isinstance(entry.body, AllOff):
            return True
        if isinstance(entry.body, StepDone) and entry.body.seen is not None:
            return False
    return False


def next_number(transmission: Transmission, state: JobState) -> int:
    """The number of the next removal: above every one that the file or the log has used, undone ones too."""
    ids = [step.id for step in transmission.steps]
    ids += [part.id for part in transmission.parts]
    ids += [joint.id for joint in transmission.fasteners]
    ids += [entry.body.step for entry in state.entries if isinstance(entry.body, StepDone)]
    return max((int(found[1]) for key in ids if (found := _NUMBERED.match(key))), default=0) + 1


def removal(number: int, off: CameOff, place: str, *, parked: bool = False) -> StepDone:
    """The entry of a removal: the pieces to a place, the fasteners to the same or back into their own holes.

    Fasteners of which no thread is known are kept as pieces, since a joint has a thread.
    """
    loose = [one for _, one in _threadless(off)]
    names = [_part_id(number), *(_part_id(number, at) for at, _ in _threadless(off))]
    counts = [off.count, *(one.count for one in loose)]
    spot = OWN_HOLES if parked else Spot(how="place", name=place)
    return StepDone(
        step=_step_id(number),
        placed=tuple(
            Placed(part=name, count=count, place=place) for name, count in zip(names, counts, strict=True)
        ),
        stowed=tuple(
            Stowed(joint=_joint_id(number, at), count=one.count, spot=spot) for at, one in _threaded(off)
        ),
        seen=off,
    )


def as_logged(base: Transmission, state: JobState, also: StepDone | None = None) -> Transmission:
    """The file that a job is worked by: the shop's, and what its own log says of what no file has.

    `also` is an entry that wants to join the log.
    """
    bodies = state.bodies(StepDone) if also is None else (*state.bodies(StepDone), also)
    known = {step.id for step in base.steps}
    fresh = [body for body in bodies if body.seen is not None and body.step not in known]
    if not fresh:
        return base
    before = _before(step_groups(bodies, {step.id for step in base.phase("teardown")}))
    names = Counter(matching_key(part.name) for part in base.parts)
    parts, joints, steps = list(base.parts), list(base.fasteners), list(base.steps)
    for body in {body.step: body for body in fresh}.values():
        off = body.seen
        assert off is not None, "only removals are fresh"
        number = int(body.step[1:])
        name = numbered(off.what, names)
        joints += [loose_joint(_joint_id(number, at), name, one) for at, one in _threaded(off)]
        parts += _parts(number, name, off)
        steps.append(_step(number, name, off, before[body.step]))
    if any(step.phase == "build" for step in base.steps):
        steps += put_back(tuple(steps[len(base.steps) :]))
    return rewritten(
        base, parts=tuple(parts), fasteners=tuple(joints), steps=tuple(steps),
        observed=_watched(base, state.opened.tag, bodies),
    )  # fmt: skip


def rewritten(base: Transmission, **sections: object) -> Transmission:
    """A file with some of its sections replaced; unlike a copy it forgets what it had worked out."""
    return Transmission(**{name: getattr(base, name) for name in Transmission.model_fields} | sections)


def step_groups(bodies: Sequence[StepDone], known: Collection[str] = ()) -> tuple[tuple[str, ...], ...]:
    """The teardown of a log: its steps in order, those that came off together in one group.

    `known` are teardown steps that the file has; every other step without a removal in its entry is passed over.
    """
    found: list[tuple[str, ...]] = []
    over: set[str] = set()
    for body in bodies:
        if body.step in over or (body.seen is None and body.step not in known):
            continue
        over.add(body.step)
        if found and body.seen is not None and body.seen.together:
            found[-1] = (*found[-1], body.step)
        else:
            found.append((body.step,))
    return tuple(found)


def watched(job: str, groups: Sequence[Sequence[str]]) -> Watched:
    """A teardown as a file writes it."""
    return Watched(
        job=job,
        order=tuple(step for group in groups for step in group),
        together=tuple(tuple(group) for group in groups if len(group) > 1),
    )


def numbered(name: str, names: Counter[str]) -> str:
    """A name as it stands in the file: the second washer of a teardown is washer 2, since it lies elsewhere."""
    names[matching_key(name)] += 1
    count = names[matching_key(name)]
    return name if count == 1 else numbered(f"{name} {count}", names)


def loose_joint(key: str, part: str, one: FastenersOff) -> Joint:
    """The joint of fasteners that came out with a part: what was measured, and nothing else."""
    size = read_size(one.size)
    assert size.thread is not None, "those without a thread are parts"
    return Joint(
        id=key,
        name=f"fasteners of {part}{f', {size.length_mm} mm' if size.length_mm else ''}",
        thread=size.thread,
        hand=size.hand,
        length_mm=size.length_mm,
        count=one.count,
        stages=(Stage(deed=UNKNOWN_TORQUE),),
        note=f"typed as {one.size}",
    )


def _watched(base: Transmission, job: str, bodies: Sequence[StepDone]) -> Observed:
    known = {step.id for step in base.phase("teardown")}
    mine = watched(job, step_groups(bodies, known))
    if base.observed is None:
        return Observed(teardowns=(mine,))
    others = tuple(one for one in base.observed.teardowns if one.job != job)
    return Observed(
        teardowns=(*others, mine),
        fixed=base.observed.fixed,
        loosened=base.observed.loosened,
        also_called=base.observed.also_called,
    )


def _before(groups: Sequence[Sequence[str]]) -> dict[str, tuple[str, ...]]:
    """Step -> the steps of the group before its own."""
    return {step: tuple(groups[at - 1]) if at else () for at, group in enumerate(groups) for step in group}


def _step(number: int, name: str, off: CameOff, needs: tuple[str, ...]) -> Step:
    return Step(
        id=_step_id(number),
        phase="teardown",
        title=name,
        needs=needs,
        off=tuple(Piece(part=part.id) for part in _parts(number, name, off)),
        loosen=tuple(_joint_id(number, at) for at, _ in _threaded(off)),
        how=off.remark or None,
    )


def _parts(number: int, name: str, off: CameOff) -> list[Part]:
    found = [Part(id=_part_id(number), name=name, quantity=off.count)]
    for at, one in _threadless(off):
        found.append(
            Part(
                id=_part_id(number, at),
                name=f"fasteners of {name}, {read_size(one.size)}",
                quantity=one.count,
                note="no thread was measured",
            )
        )
    return found


def _threaded(off: CameOff) -> Iterator[tuple[int, FastenersOff]]:
    return ((at, one) for at, one in enumerate(off.fasteners) if read_size(one.size).thread is not None)


def _threadless(off: CameOff) -> Iterator[tuple[int, FastenersOff]]:
    return ((at, one) for at, one in enumerate(off.fasteners) if read_size(one.size).thread is None)


def _step_id(number: int) -> str:
    return f"T{number:02d}"


def _part_id(number: int, at: int | None = None) -> str:
    return f"P{number:02d}{'' if at is None else _LETTERS[at]}"


def _joint_id(number: int, at: int) -> str:
    return f"J{number:02d}{_LETTERS[at]}"
