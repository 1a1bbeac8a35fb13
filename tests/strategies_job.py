"""Property-test strategies for entries of a job."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from hypothesis import strategies as st

from countershaft.job.entry import (
    Body,
    Entry,
    Note,
    Reading,
    StepDone,
    StepSkipped,
    Tightened,
    Undone,
    Waiting,
)
from countershaft.job.words import Stage

__all__ = ["bodies", "logs"]

START = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
WORDS = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), min_size=1, max_size=20
).filter(str.strip)


def bodies() -> st.SearchStrategy[Body]:
    """Bodies of the kinds that depend on nothing but themselves."""
    return st.one_of(
        st.builds(Note, stage=st.sampled_from(Stage), words=WORDS),
        st.builds(StepDone, step=st.sampled_from(["T1", "T2", "T3"]), counted=WORDS),
        st.builds(StepSkipped, step=st.sampled_from(["T1", "T2", "T3"]), because=WORDS),
        st.builds(Waiting, what=st.sampled_from(["kit", "converter"]), over=st.booleans()),
        st.builds(Tightened, joint=st.just("pump"), round=st.integers(1, 3), places=st.just(("1", "2"))),
        st.builds(
            Reading,
            limit=st.just("L1"),
            when=st.sampled_from(["as found", "as left"]),
            values=st.lists(st.decimals(-10, 10, places=2), min_size=1, max_size=3).map(tuple),
            unit=st.just("mm"),
            instrument=st.just("dial"),
            resolution=st.just("0.01"),
        ),
    )


@st.composite
def logs(draw: st.DrawFn) -> list[Entry]:
    """A log of entries, some of which undo earlier ones."""
    entries: list[Entry] = []
    for number in range(draw(st.integers(0, 12))):
        body: Body
        if entries and draw(st.booleans()):
            body = Undone(target=draw(st.sampled_from(entries)).id, because="a slip")
        else:
            body = draw(bodies())
        entries.append(
            Entry(id=f"{number:032x}", at=START + timedelta(minutes=number), by="R. Bench", body=body)
        )
    return entries
