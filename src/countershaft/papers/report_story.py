"""The story of a job for its report: complaint, cause, findings, and what was written down on the way."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from countershaft.job.entry import (
    Cause,
    Complaint,
    Consent,
    FluidFound,
    GearTried,
    KillerCleared,
    Note,
    PanFound,
    StepDone,
    Symptom,
    TestDone,
)
from countershaft.job.state import JobState
from countershaft.model.transmission import Transmission
from countershaft.papers.blocks import Block, Heading, Pairs, Paragraph, Table
from countershaft.papers.signed import signed
from countershaft.stages import inspection, prove

__all__ = ["about", "findings", "names_of", "noted", "story"]


def story(transmission: Transmission, state: JobState) -> Iterator[Block]:
    """The complaint, what was found before the work, the cause, and what would destroy the next unit."""
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
    yield from _found_at_intake(state)
    gears = {body.gear: body.verdict for body in state.bodies(GearTried)}
    if gears:
        told = {
            word: ", ".join(gear for gear, verdict in gears.items() if verdict == word)
            for word in ("bad", "good")
        }
        yield Paragraph(
            "Gears driven: " + "; ".join(f"{word} {names}" for word, names in told.items() if names) + "."
        )
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


def _found_at_intake(state: JobState) -> Iterator[Block]:
    """Fluid, pan, and the consent that diagnosis was done under."""
    rows = []
    fluid, pan = state.of(FluidFound), state.of(PanFound)
    if fluid:
        entry, found = fluid[-1]
        warm = f" at {found.temperature_c} °C" if found.temperature_c is not None else ""
        words = f"level {found.level.value}{warm}; colour {found.colour.value}; smell {found.smell.value}"
        rows.append(("Fluid", f"{_with(words, found.words)} ({signed(entry)})"))
    if pan:
        entry, lay = pan[-1]
        words = f"{', '.join(one.value for one in lay.debris)}; {lay.degree.value}"
        rows.append(("Pan", f"{_with(words, lay.words)} ({signed(entry)})"))
    asked = [(entry, one) for entry, one in state.of(Consent) if one.purpose == "diagnosis"]
    if asked:
        entry, consent = asked[-1]
        rows.append(
            (
                "Consent to diagnosis",
                f"up to {consent.limit:.2f}, {consent.given_by}, {consent.how} ({signed(entry)})",
            )
        )
    if rows:
        yield Pairs(tuple(rows))


def findings(transmission: Transmission, state: JobState) -> Iterator[Block]:
    """What was seen on the parts, and by whom."""
    found = inspection.survey(transmission, state).findings
    if found:
        yield Heading("Findings")
        yield Table(
            ("Part", "Found", "Where, how much", "Verdict", "Who, when"),
            tuple(
                (transmission.part(one.part).name, _with(one.word.value, one.words),
                 "; ".join(words for words in (one.place, one.pattern.value, one.degree.value) if words),
                 one.verdict.value, signed(entry))
                for entry, one in found
            ),
        )  # fmt: skip


def noted(transmission: Transmission, state: JobState) -> Iterator[Block]:
    """What was counted and written down at the steps, and every note."""
    steps = tuple(
        (f"{body.step} {transmission.step(body.step).title}", body.counted, body.written, signed(entry))
        for entry, body in state.of(StepDone)
        if body.counted or body.written
    )
    notes = state.of(Note)
    if steps or notes:
        yield Heading("Written down on the way")
    if steps:
        yield Table(("Step", "Counted", "Words", "Who, when"), steps)
    if notes:
        names = names_of(transmission)
        rows = (
            (about(names, note.about, note.stage.value), note.words, signed(entry)) for entry, note in notes
        )
        yield Table(("Note at", "Words", "Who, when"), tuple(rows))


def names_of(transmission: Transmission) -> dict[str, str]:
    """What every step, part, joint, fit and limit is called on paper, by its id."""
    steps = (*transmission.phase("teardown"), *transmission.phase("build"))
    return {
        **{one.id: f"{one.id} {one.title}" for one in steps},
        **{one.id: one.name for one in transmission.fasteners},
        **{one.id: one.name for one in transmission.all_fits},
        **{one.id: one.name for one in transmission.limits},
        **{one.id: f"{one.id} {one.name}" for one in transmission.parts},
    }


def about(names: Mapping[str, str], key: str | None, otherwise: str) -> str:
    """What an entry is about, by the name of that id; else the words given."""
    return names.get(key or "", key or otherwise)


def _with(word: str, words: str) -> str:
    return f"{word}: {words}" if words else word
