"""The order that steps demand: circles that no order obeys, and spans that must begin before they end."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

from countershaft.model.finding import Finding, Loc
from countershaft.model.steps import Step
from countershaft.model.transmission import Transmission
from countershaft.planning.precedence import cycle, order

__all__ = ["always_before", "circles", "step_spans"]


def circles(transmission: Transmission) -> Iterator[Finding]:
    """Every circle of needs, each named whole with its lines; circles that share a step come one after the other."""
    steps = {step.id: index for index, step in enumerate(transmission.steps)}
    needs = {step.id: [need for need in step.needs if need in steps] for step in transmission.steps}
    while (circle := cycle(needs)) is not None:
        yield _circle(transmission, steps, circle)
        for key, need in pairwise(circle):
            needs[key] = [other for other in needs[key] if other != need]
    stuck = _stuck(transmission, needs)
    if stuck:
        yield _circle(transmission, steps, _circle_in(transmission, stuck, needs))


def _circle(transmission: Transmission, steps: Mapping[str, int], circle: tuple[str, ...]) -> Finding:
    along = tuple(
        ("steps", steps[key], *_place_of(transmission.steps[steps[key]], need))
        for key, need in pairwise(circle)
    )
    return Finding(
        along[0],
        f"these steps wait for each other: {' needs '.join(circle)}",
        cure="Take one of these needs out.",
        along=along,
    )


def _place_of(step: Step, need: str) -> Loc:
    """Where a step names what it waits for."""
    if need in step.needs:
        return ("needs", step.needs.index(need))
    group, members = next((at, members) for at, members in enumerate(step.either) if need in members)
    return ("either", group, members.index(need))


def _stuck(transmission: Transmission, needs: Mapping[str, list[str]]) -> set[str]:
    """Steps that can never be begun, because every way of an `either` waits for the step itself."""
    stuck = {step.id for step in transmission.steps}
    groups = {step.id: step.either for step in transmission.steps}
    while True:
        free = {
            key
            for key in stuck
            if not stuck.intersection(needs[key])
            and all(not stuck.issuperset(members) for members in groups[key])
        }
        if not free:
            return stuck
        stuck -= free


def _circle_in(
    transmission: Transmission, stuck: set[str], needs: Mapping[str, list[str]]
) -> tuple[str, ...]:
    """A circle among steps that can never be begun: each waits for another one of them."""
    groups = {step.id: step.either for step in transmission.steps}
    waits = {
        key: [need for need in needs[key] if need in stuck]
        + [member for members in groups[key] if stuck.issuperset(members) for member in members]
        for key in sorted(stuck)
    }
    found = cycle(waits)
    assert found is not None, "every stuck step waits for a stuck one"
    return found


def always_before(transmission: Transmission) -> dict[str, frozenset[str]]:
    """Step to every step that comes before it in whatever order; empty for steps of a circle."""
    known = {step.id: step for step in transmission.steps}
    waits = {
        key: [
            need for need in (*step.needs, *(one for group in step.either for one in group)) if need in known
        ]
        for key, step in known.items()
    }
    while (circle := cycle(waits)) is not None:
        for key in circle:
            waits[key] = []
    found: dict[str, frozenset[str]] = {}
    for key in order(waits, first=list(known)):
        step = known[key]
        before = {need for need in step.needs if need in found}
        for need in tuple(before):
            before |= found[need]
        for group in step.either:
            ways = [found[one] | {one} for one in group if one in found]
            if len(ways) == len(group):
                before |= frozenset.intersection(*ways)
        found[key] = frozenset(before)
    return found


def step_spans(transmission: Transmission) -> Iterator[Finding]:
    """Holds and open times that end before they begin, and hidden steps that come only later."""
    before = always_before(transmission)
    phases = {step.id: step.phase for step in transmission.steps}
    for index, step in enumerate(transmission.steps):
        ends: list[tuple[Loc, str, str]] = [
            (("holds", place, "until"), f"what {step.id} holds", hold.until)
            for place, hold in enumerate(step.holds)
        ]
        if step.open_time is not None:
            ends.append((("open_time", "until"), f"the open time of {step.id}", step.open_time.until))
        for below, what, until in ends:
            if until in phases and (step.id not in before[until] or phases[until] != step.phase):
                yield Finding(
                    ("steps", index, *below),
                    f"{what} ends with {until}, which need not come after {step.id}",
                    expected=f"a {step.phase} step that needs {step.id}",
                    cure=f"Add {step.id} to the needs of {until}, or name another step.",
                )
        for place, hidden in enumerate(step.hides):
            if hidden in before and (hidden == step.id or step.id in before[hidden]):
                yield Finding(
                    ("steps", index, "hides", place),
                    f"{step.id} hides {hidden}, which comes only after it",
                    cure=f"Take {hidden} out of hides, or correct the needs of the two.",
                )
