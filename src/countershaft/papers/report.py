"""The report of a job: what was complained of, found, done, measured and left, by whom and when."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from countershaft.job.entry import (
    Cause,
    Complaint,
    Entry,
    KillerCleared,
    Photo,
    StepSkipped,
    Symptom,
    TestDone,
    Tightened,
)
from countershaft.job.state import JobState
from countershaft.model.limits import Limit
from countershaft.model.transmission import Transmission
from countershaft.papers.blocks import Block, Document, Heading, Pairs, Paragraph, Pictures, Signatures, Table
from countershaft.stages import build, decide, fit, handover, inspection, prove
from countershaft.stages.inspection import Checked

__all__ = ["report"]


def report(transmission: Transmission, state: JobState) -> Document:
    """The report as it stands now; before the release it says that it is not finished."""
    return Document(
        f"Job {state.opened.tag}: report",
        (
            *_head(transmission, state),
            *_story(transmission, state),
            *_findings(transmission, state),
            *_readings(transmission, state),
            *_fits(transmission, state),
            *_parts(transmission, state),
            *_joints(transmission, state),
            *_proof(transmission, state),
            *_sources(transmission),
            *_open_and_passed(transmission, state),
            *_who(state),
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
            f"Released by {entry.by}, {_when(entry)}. Warranty: {gate.released.warranty}", strong=True
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


def _story(transmission: Transmission, state: JobState) -> Iterator[Block]:
    complaint, cause = state.last(Complaint), state.last(Cause)
    proof = prove.survey(transmission, state)
    yield Heading("Complaint and cause")
    if complaint:
        yield Paragraph(f"“{complaint.words}”")
        yield Paragraph(f"Fixed when: {complaint.fixed_when}", strong=True)
    if proof.fixed is not None:
        yield Paragraph(f"{'True now' if proof.fixed.true else 'Not true yet'}: {proof.fixed.words}")
    symptoms = state.bodies(Symptom)
    if symptoms:
        yield Table(
            ("Symptom", "Gear", "Temperature", "Load", "Since"),
            tuple(
                (one.feel.value, one.gear or "", one.temperature.value, one.load.value, one.onset.value)
                for one in symptoms
            ),
        )  # fmt: skip
    tests = state.bodies(TestDone)
    if tests:
        yield Table(("Test", "Result"), tuple((one.test, one.result) for one in tests))
    if cause:
        yield Paragraph(f"Cause of death: {cause.words}", strong=True)
        cleared = {body.killer: body.how for body in state.bodies(KillerCleared)}
        yield Table(
            ("What would destroy the next unit too", "Cleared"),
            tuple((killer, cleared.get(killer, "open")) for killer in cause.killers),
        )


def _findings(transmission: Transmission, state: JobState) -> Iterator[Block]:
    found = inspection.survey(transmission, state).findings
    if found:
        yield Heading("Findings")
        yield Table(
            ("Part", "Found", "Where", "Pattern", "Degree", "Verdict"),
            tuple(
                (transmission.part(one.part).name, _with(one.word.value, one.words), one.place, one.pattern.value,
                 one.degree.value, one.verdict.value)
                for _, one in found
            ),
        )  # fmt: skip


def _readings(transmission: Transmission, state: JobState) -> Iterator[Block]:
    limits = [limit for limit in transmission.limits if limit.stage == "inspect"]
    rows = [
        (limit, inspection.checked(transmission, state, limit, when="as found"),
         inspection.checked(transmission, state, limit, when="as left"))
        for limit in limits
    ]  # fmt: skip
    if rows:
        yield Heading("Readings of the parts")
        yield Table(
            ("What", "Limit", "As found", "", "As left", "", "Source"),
            tuple(
                (limit.name, _window(limit), _value(found), found.judgement.verdict.value, _value(left),
                 left.judgement.verdict.value if left.value or left.entry else "", _source(transmission, limit.source))
                for limit, found, left in rows
            ),
        )  # fmt: skip


def _fits(transmission: Transmission, state: JobState) -> Iterator[Block]:
    fits = fit.survey(transmission, state).fits
    if fits:
        yield Heading("Fits")
        yield Table(
            ("Fit", "Window, mm", "As found, mm", "Needed, mm", "Fitted, mm", "As left, mm", "Verdict"),
            tuple(
                (
                    one.fit.name,
                    f"{one.fit.lower_mm:.{one.fit.digits}f} to {one.fit.upper_mm:.{one.fit.digits}f}",
                    f"{one.as_found.mean:.{one.fit.digits}f}" if one.as_found else "",
                    str(one.needed_mm) if one.needed_mm is not None else "",
                    str(one.chosen.size_mm) if one.chosen else "",
                    f"{one.left.mean:.{one.fit.digits}f} ± {one.left.expanded:.{one.fit.digits + 1}f}"
                    if one.left
                    else "",
                    one.judgement.verdict.value,
                )
                for one in fits
            ),
            right=(1, 2, 3, 4, 5),
        )


def _parts(transmission: Transmission, state: JobState) -> Iterator[Block]:
    lines = decide.kit(transmission, state)
    decision = decide.survey(transmission, state)
    if lines:
        yield Heading("Parts replaced")
        yield Table(
            ("Part", "Count", "Because"),
            tuple((line.what, str(line.count), line.because) for line in lines),
            right=(1,),
        )
    if decision.estimate is not None:
        money = f"{decision.estimate.total} {decision.estimate.currency}"
        consent = decision.consent
        agreed = f"; agreed to {consent.limit} by {consent.given_by}, {consent.how}" if consent else ""
        yield Paragraph(f"Estimate: {money}{agreed}.")


def _joints(transmission: Transmission, state: JobState) -> Iterator[Block]:
    joints = build.survey(transmission, state).joints
    last: dict[str, Entry] = {body.joint: entry for entry, body in state.of(Tightened)}
    if joints:
        yield Heading("Fasteners")
        yield Table(
            ("Joint", "Thread", "Tightened", "State", "Who, when"),
            tuple(
                (
                    one.joint.name,
                    f"{len(one.done)} × {one.joint.thread}{', left-hand' if one.joint.hand == 'left' else ''}",
                    ", then ".join(stage.words() for stage in one.joint.stages),
                    "all done"
                    if one.complete
                    else one.words.partition(": ")[2]
                    if one.begun
                    else "not begun",
                    f"{last[one.joint.id].by}, {_when(last[one.joint.id])}" if one.joint.id in last else "",
                )
                for one in joints
            ),
        )


def _proof(transmission: Transmission, state: JobState) -> Iterator[Block]:
    proof = prove.survey(transmission, state)
    if proof.checks:
        yield Heading("Proof")
        yield Table(
            ("Check", "Limit", "Reading", "Verdict", "Source"),
            tuple(
                (
                    one.limit.name,
                    _window(one.limit),
                    _value(one),
                    one.judgement.verdict.value,
                    _source(transmission, one.limit.source),
                )
                for one in proof.checks
            ),
        )
    counted = [one for one in proof.turns if one.counted is not None and one.expected is not None]
    if counted:
        yield Table(
            ("Gear", "From the teeth", "Counted", "Verdict"),
            tuple(
                (one.gear, f"{float(one.expected or 0):.4f}", f"{one.measured or 0:.3f}", one.verdict.value)
                for one in counted
            ),
            right=(1, 2),
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


def _who(state: JobState) -> Iterator[Block]:
    counts = Counter(entry.by for entry in state.live)
    rows = []
    for person, count in counts.items():
        own = [entry for entry in state.live if entry.by == person]
        rows.append((person, str(count), _when(own[0]), _when(own[-1])))
    yield Heading("Who and when")
    yield Table(("Person", "Entries", "First", "Last"), tuple(rows), right=(1,))
    photos = state.bodies(Photo)
    if photos:
        yield Heading("Pictures")
        yield Pictures(
            tuple((photo.digest, photo.caption or photo.about or photo.stage.value) for photo in photos)
        )
    yield Signatures(("Released by, date", "Received by, date"))


def _when(entry: Entry) -> str:
    return f"{entry.at:%d %b %Y %H:%M}"


def _with(word: str, words: str) -> str:
    return f"{word}: {words}" if words else word


def _window(limit: Limit) -> str:
    if limit.min is not None and limit.max is not None:
        return f"{limit.min} to {limit.max}"
    if limit.min is not None:
        return f"at least {limit.min}"
    return f"at most {limit.max}" if limit.max is not None else "by eye"


def _value(one: Checked) -> str:
    if one.value is None:
        return "" if one.entry is None else one.judgement.why
    return one.value.stated(one.limit.unit or "", digits=one.digits)


def _source(transmission: Transmission, name: str | None) -> str:
    """The number under which a source is listed; a limit without one is unverified."""
    names = list(transmission.about.sources)
    return str(names.index(name) + 1) if name in names else "unverified"


def _sources(transmission: Transmission) -> Iterator[Block]:
    notes = transmission.about.sources.values()
    if notes:
        yield Heading("Sources of the limits")
        yield Pairs(tuple((str(number), str(note.as_source())) for number, note in enumerate(notes, start=1)))
