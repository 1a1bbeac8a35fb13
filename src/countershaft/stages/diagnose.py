"""Diagnose: good and bad gears through the chart to the elements that explain them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from countershaft.inference.elements import Explanation, explain
from countershaft.job.entry import Cause, Entry, GearTried, KillerCleared, TestDone
from countershaft.job.state import JobState
from countershaft.model.transmission import Transmission
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to

__all__ = ["Diagnosis", "GearState", "Killer", "killers", "review", "survey"]


@dataclass(frozen=True, slots=True)
class GearState:
    """A gear of the chart, the elements applied in it, and what was said of it."""

    gear: str
    applied: tuple[str, ...]
    verdict: Literal["good", "bad", "not tried"]
    entry: Entry | None


@dataclass(frozen=True, slots=True)
class Killer:
    """Something that would destroy the next unit too, and how it was dealt with."""

    name: str
    cleared: str | None


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """What was tried and what it says."""

    gears: tuple[GearState, ...]
    explanation: Explanation | None
    names: dict[str, str]
    tests: tuple[tuple[Entry, TestDone], ...]
    cause: Cause | None
    killers: tuple[Killer, ...]
    open: tuple[str, ...]

    @property
    def complete(self) -> bool:
        """Something was tried, and it leads somewhere."""
        return not self.open


def review(transmission: Transmission, state: JobState, entry: Entry) -> Outcome:
    """Whether a diagnose entry may join the log."""
    body, train = entry.body, transmission.train
    if isinstance(body, GearTried):
        if train is None:
            return object_to("This unit's file has no gear train, so no gear can be named.")
        if body.gear not in train.chart:
            return object_to(gear=f"{body.gear!r} is no gear of this unit; it has {', '.join(train.chart)}.")
        if not train.chart[body.gear]:
            return object_to(gear=f"Nothing is applied in {body.gear!r}; it cannot be good or bad.")
    if isinstance(body, Cause) and body.element is not None:
        known = tuple(train.elements) if train else ()
        if body.element not in known:
            return object_to(
                element=f"{body.element!r} is no element of this unit; it has {', '.join(known)}."
            )
    if isinstance(body, KillerCleared):
        names = [killer.name for killer in killers(state)]
        if body.killer not in names:
            return object_to(
                f"{body.killer!r} was never named as a killer; named are {', '.join(names) or 'none'}."
            )
    return ACCEPTED


def survey(transmission: Transmission, state: JobState) -> Diagnosis:
    """Diagnosis as its page shows it."""
    chart = (
        {}
        if transmission.train is None
        else {gear: tuple(ids) for gear, ids in transmission.train.chart.items()}
    )
    said = {body.gear: (entry, body) for entry, body in state.of(GearTried)}
    gears = tuple(
        GearState(
            gear,
            applied,
            said[gear][1].verdict if gear in said else "not tried",
            said[gear][0] if gear in said else None,
        )
        for gear, applied in chart.items()
        if applied
    )
    bad = [one.gear for one in gears if one.verdict == "bad"]
    good = [one.gear for one in gears if one.verdict == "good"]
    explanation = explain(chart, bad=bad, good=good, order=_order(transmission)) if bad else None
    tests = state.of(TestDone)
    return Diagnosis(
        gears=gears,
        explanation=explanation,
        names=_names(transmission),
        tests=tests,
        cause=state.last(Cause),
        killers=killers(state),
        open=() if bad or tests else ("which gears are good and which are bad, or one test with its result",),
    )


def killers(state: JobState) -> tuple[Killer, ...]:
    """Every killer that was named with a cause, and how it was cleared."""
    named = dict.fromkeys(name for cause in state.bodies(Cause) for name in cause.killers)
    cleared = {body.killer: body.how for body in state.bodies(KillerCleared)}
    return tuple(Killer(name, cleared.get(name)) for name in named)


def _order(transmission: Transmission) -> tuple[str, ...]:
    """What the chart applies, in the order of the elements; a sleeve stands there with each of its positions."""
    if transmission.train is None:
        return ()
    applied = dict.fromkeys(token for tokens in transmission.train.chart.values() for token in tokens)
    rank = {element: place for place, element in enumerate(transmission.train.elements)}
    return tuple(sorted(applied, key=lambda token: rank.get(token.partition(":")[0], len(rank))))


def _names(transmission: Transmission) -> dict[str, str]:
    if transmission.train is None:
        return {}
    names = {key: element.name or key for key, element in transmission.train.elements.items()}
    positions = {
        token: f"{names[token.partition(':')[0]]}, {token.partition(':')[2]}"
        for token in _order(transmission)
        if ":" in token
    }
    return names | positions
