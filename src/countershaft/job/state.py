"""The fold: a job's entries become its present state."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TypeVar, cast

from countershaft.errors import StoreBroken
from countershaft.job.entry import (
    Body,
    ConverterDepths,
    Entry,
    FormTaken,
    HousingSwept,
    JobOpened,
    Look,
    NotMeasured,
    Reading,
    StepDone,
    StepSkipped,
    Undone,
    Worked,
)

__all__ = ["JobState", "fold"]

B = TypeVar("B", bound=Body)


@dataclass(frozen=True, slots=True)
class JobState:
    """What a job's log says now.

    `entries` is everything in order, `live` what still counts, `undone` the ids that do not.
    `position` maps the id of a live entry to its place in `live`.
    `contradictions` names what two benches said differently; both stay in the log.
    """

    entries: tuple[Entry, ...]
    live: tuple[Entry, ...]
    undone: frozenset[str]
    contradictions: tuple[str, ...]
    position: dict[str, int] = field(repr=False, compare=False)
    _by_kind: dict[type[Body], tuple[Entry, ...]] = field(repr=False, compare=False)
    _by_limit: dict[str, tuple[Entry, ...]] = field(repr=False, compare=False)

    def of(self, kind: type[B]) -> tuple[tuple[Entry, B], ...]:
        """Live entries of one kind with their bodies, oldest first."""
        return tuple((entry, cast("B", entry.body)) for entry in self._by_kind.get(kind, ()))

    def bodies(self, kind: type[B]) -> tuple[B, ...]:
        """Live bodies of one kind, oldest first."""
        return tuple(cast("B", entry.body) for entry in self._by_kind.get(kind, ()))

    def last(self, kind: type[B]) -> B | None:
        """The newest live body of one kind."""
        found = self._by_kind.get(kind)
        return cast("B", found[-1].body) if found else None

    def answers(self, limit: str) -> tuple[Entry, ...]:
        """Live readings, forms, looks and reasons for not measuring that belong to one limit or fit, oldest first."""
        return self._by_limit.get(limit, ())

    @property
    def opened(self) -> JobOpened:
        """The entry that began the job."""
        found = self.last(JobOpened)
        if found is None:
            raise StoreBroken("A job's log does not begin with its opening entry. Restore it from a backup.")
        return found

    @property
    def done_steps(self) -> dict[str, Entry]:
        """Step id -> the entry that says it is done."""
        return {body.step: entry for entry, body in self.of(StepDone)}


def fold(entries: Iterable[Entry]) -> JobState:
    """Fold entries into the present state.

    An entry whose id was seen before is dropped, so a re-sent entry changes nothing.
    Undo is read from the newest entry back, so that an undone undo lets its target count again.
    """
    first_sent: dict[str, Entry] = {}
    for entry in entries:
        first_sent.setdefault(entry.id, entry)
    unique = tuple(first_sent.values())
    undone: set[str] = set()
    for entry in reversed(unique):
        if isinstance(entry.body, Undone) and entry.id not in undone:
            undone.add(entry.body.target)
    live = tuple(entry for entry in unique if entry.id not in undone)
    by_kind: dict[type[Body], list[Entry]] = {}
    by_limit: dict[str, list[Entry]] = {}
    for entry in live:
        by_kind.setdefault(type(entry.body), []).append(entry)
        if isinstance(entry.body, Reading | FormTaken | Look | NotMeasured | Worked):
            if entry.body.limit is not None:
                by_limit.setdefault(entry.body.limit, []).append(entry)
        elif isinstance(entry.body, HousingSwept | ConverterDepths):
            for limit in entry.body.answers:
                by_limit.setdefault(limit, []).append(entry)
    return JobState(
        entries=unique,
        live=live,
        undone=frozenset(undone),
        contradictions=_contradictions(by_kind),
        position={entry.id: at for at, entry in enumerate(live)},
        _by_kind={kind: tuple(found) for kind, found in by_kind.items()},
        _by_limit={limit: tuple(found) for limit, found in by_limit.items()},
    )


def _contradictions(by_kind: dict[type[Body], list[Entry]]) -> tuple[str, ...]:
    """Steps that were said to be done or skipped twice, from two benches that did not see each other."""
    said: dict[str, list[Entry]] = {}
    for kind in (StepDone, StepSkipped):
        for entry in by_kind.get(kind, []):
            said.setdefault(cast("StepDone | StepSkipped", entry.body).step, []).append(entry)
    return tuple(
        f"Step {step} was {_said(entries[0])} and {_said(later)}; undo one of the two."
        for step, entries in said.items()
        for later in entries[1:]
    )


def _said(entry: Entry) -> str:
    how = "done" if isinstance(entry.body, StepDone) else "skipped"
    return f"{how} by {entry.by} at {entry.at:%d %b %H:%M}"
