"""Property-test strategies of work on a unit; add to this file, do not fork it."""

from __future__ import annotations

from hypothesis import strategies as st

from countershaft.planning.work import Choice, Hold, Need, Setup, Work, WorkStep

__all__ = ["works"]

TOOLS = ("driver", "pliers", "puller", "socket")
POSITIONS = ("nose up", "on its side", "pan up")


@st.composite
def works(draw: st.DrawFn, most: int = 7, *, holds: bool = True, ways: bool = True) -> Work:
    """Work without circles of needs; its holds may still leave no order at all."""
    count = draw(st.integers(1, most))
    names = [f"s{number}" for number in range(count)]
    steps = [_step(draw, names, number, ways=ways) for number in range(count)]
    choices: tuple[Choice, ...] = ()
    if ways and count >= 3 and draw(st.booleans()):
        choices, steps = _choice(draw, steps)
    found = tuple(_holds(draw, names, choices)) if holds and count >= 3 else ()
    setup = Setup(
        draw(st.integers(0, 9)),
        draw(st.integers(0, 4)),
        draw(
            st.lists(
                st.tuples(st.sampled_from(POSITIONS), st.sampled_from(POSITIONS), st.integers(0, 9)),
                max_size=2,
            ).map(tuple)
        ),
    )
    return Work(tuple(steps), found, choices, setup)


def _step(draw: st.DrawFn, names: list[str], number: int, *, ways: bool) -> WorkStep:
    earlier = names[:number]
    width = 2 if ways else 1
    needs = (
        draw(
            st.lists(st.lists(st.sampled_from(earlier), min_size=1, max_size=width, unique=True), max_size=2)
        )
        if earlier
        else []
    )
    return WorkStep(
        names[number],
        draw(st.integers(0, 9)),
        tuple(Need(tuple(names)) for names in needs),
        draw(st.frozensets(st.sampled_from(TOOLS), max_size=2)),
        draw(st.none() | st.sampled_from(POSITIONS)),
        conflicts=draw(st.frozensets(st.sampled_from(earlier), max_size=1)) if earlier else frozenset(),
        people=draw(st.sampled_from((1, 1, 1, 2))),
        waits=draw(st.sampled_from((0, 0, 0, 4, 12))),
        optional=ways and draw(st.integers(0, 5)) == 0,
    )


def _choice(draw: st.DrawFn, steps: list[WorkStep]) -> tuple[tuple[Choice, ...], list[WorkStep]]:
    """Two neighbours made two ways of one thing; what needed one of them needs whichever is taken."""
    first = draw(st.integers(0, len(steps) - 2))
    pair = (steps[first].id, steps[first + 1].id)
    mended = []
    for step in steps:
        needs = tuple(
            Need(tuple(dict.fromkeys("either way" if name in pair else name for name in one.of)))
            for one in step.needs
        )
        own = step.id in pair
        kept = tuple(one for one in needs if not (own and "either way" in one.of))
        mended.append(
            WorkStep(step.id, step.duration, kept, step.tools, step.lies, step.people, waits=step.waits)
        )
    return (Choice("either way", pair),), mended


def _holds(draw: st.DrawFn, names: list[str], choices: tuple[Choice, ...]) -> list[Hold]:
    """Zero to two holds, whether or not they leave an order."""
    bound = {way for choice in choices for way in choice.ways}
    free = [name for name in names if name not in bound] + [choice.id for choice in choices]
    found = []
    for number in range(draw(st.integers(0, 2))):
        if len(free) < 3:
            break
        begins, ends = draw(st.lists(st.sampled_from(free), min_size=2, max_size=2, unique=True))
        others = [name for name in free if name not in (begins, ends)]
        marks = draw(st.lists(st.sampled_from("..db"), min_size=len(others), max_size=len(others)))
        during, breaks = (
            tuple(name for name, mark in zip(others, marks, strict=True) if mark == wanted) for wanted in "db"
        )
        tools = draw(st.frozensets(st.sampled_from(TOOLS), max_size=1))
        found.append(Hold(f"hold {number}", begins, ends, during, breaks, draw(st.integers(0, 1)), tools))
    return found
