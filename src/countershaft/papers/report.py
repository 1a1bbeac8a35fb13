"""The report of a job: what was complained of, found, done, measured and left, by whom and when."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from countershaft.job.entry import Photo, StepSkipped
from countershaft.job.state import JobState
from countershaft.model.transmission import Transmission
from countershaft.papers.blocks import Block, Document, Heading, Pairs, Paragraph, Pictures, Signatures, Table
from countershaft.papers.report_alignment import alignment
from countershaft.papers.report_figures import fits, joints, parts, proof, readings, sources
from countershaft.papers.report_story import about, findings, names_of, noted, story
from countershaft.papers.report_uncertainty import uncertainties
from countershaft.papers.signed import when
from countershaft.stages import handover

__all__ = ["report"]


def report(transmission: Transmission, state: JobState) -> Document:
    """The report as it stands now; before the release it says that it is not finished."""
    return Document(
        f"Job {state.opened.tag}: report",
        (
            *_head(transmission, state),
            *story(transmission, state),
            *findings(transmission, state),
            *readings(transmission, state),
            *alignment(transmission, state),
            *fits(transmission, state),
            *parts(transmission, state),
            *joints(transmission, state),
            *proof(transmission, state),
            *noted(transmission, state),
            *uncertainties(transmission, state),
            *sources(transmission),
            *_open_and_passed(transmission, state),
            *_who(transmission, state),
        ),
    )


def _head(transmission: Transmission, state: JobState) -> Iterator[Block]:
    opened, gate = state.opened, handover.survey(transmission, state)
    if gate.released is None:
        yield Paragraph(f"Not released: {len(gate.open)} points are open.", strong=True)
    else:
        assert gate.release_entry is not None, "a release has its entry"
        entry = gate.release_entry
        yield Paragraph(
            f"Released by {entry.by}, {when(entry)}. Warranty: {gate.released.warranty}", strong=True
        )
        if gate.released.words:
            yield Paragraph(gate.released.words)
    yield Pairs(
        (
            ("Vehicle", opened.vehicle),
            ("Mileage", f"{opened.mileage_km} km" if opened.mileage_km is not None else "not read"),
            ("Transmission", transmission.name),
            ("Opened", f"{state.entries[0].at:%d %b %Y}"),
        )
    )


def _open_and_passed(transmission: Transmission, state: JobState) -> Iterator[Block]:
    gate = handover.survey(transmission, state).gate
    rows = [
        (one.what, one.open or "", f"let pass, because {one.waived}" if one.waived else "open")
        for one in gate
        if one.open
    ]
    rows += [
        (f"{body.step} {transmission.step(body.step).title}", "step skipped", f"because {body.because}")
        for body in state.bodies(StepSkipped)
    ]
    if rows:
        yield Heading("Open, let pass, skipped")
        yield Table(("Point", "Why", "How it stands"), tuple(rows))


def _who(transmission: Transmission, state: JobState) -> Iterator[Block]:
    counts = Counter(entry.by for entry in state.live)
    rows = []
    for person, count in counts.items():
        own = [entry for entry in state.live if entry.by == person]
        rows.append((person, str(count), when(own[0]), when(own[-1])))
    yield Heading("Who and when")
    yield Table(("Person", "Entries", "First", "Last"), tuple(rows), right=(1,))
    photos = state.bodies(Photo)
    if photos:
        yield Heading("Pictures")
        names = names_of(transmission)
        yield Pictures(tuple((photo.digest, _caption(names, photo)) for photo in photos))
    yield Signatures(("Released by, date", "Received by, date"))


def _caption(names: Mapping[str, str], photo: Photo) -> str:
    """What a picture shows, and at which step, part or stage it was taken."""
    where = about(names, photo.about, photo.stage.value)
    return f"{photo.caption}: {where}" if photo.caption else where
