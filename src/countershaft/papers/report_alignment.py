"""The housing and the converter of a job for its report: every sweep, the dowels, depth, gap and hub."""

from __future__ import annotations

from collections.abc import Iterator

from countershaft.job.entry import DowelSeen
from countershaft.job.state import JobState
from countershaft.metrology.clock_face import length_words
from countershaft.metrology.conformity import Verdict
from countershaft.model.transmission import Transmission
from countershaft.papers.blocks import Block, Heading, Paragraph, Table
from countershaft.papers.signed import signed
from countershaft.source import Source
from countershaft.stages import alignment as stage
from countershaft.stages import converter
from countershaft.stages.converter import Judged
from countershaft.stages.housing_sweep import SweepRun

__all__ = ["alignment"]


def alignment(transmission: Transmission, state: JobState) -> Iterator[Block]:
    """What was swept and measured between engine and gearbox; nothing where nobody did."""
    found, fit = stage.survey(transmission, state), converter.survey(transmission, state)
    dowels = tuple(_dowels(transmission, state))
    if not (found.runs or dowels or fit.depths or fit.trials):
        return
    yield Heading("Housing to the crank, and converter")
    if found.newest is not None:
        yield Table(
            ("Sweep", "Bore, TIR", "Face, TIR", "The bore", "Shift at the bushing", "Who, when", "Source"),
            tuple(_run(transmission, run) for run in found.runs),
        )
        yield Paragraph(_newest(found))
    if dowels:
        yield Table(("Dowel", "Must stand out", "As found", "As left", "Verdict"), dowels)
    judged = (fit.depths.depth, fit.depths.gap) if fit.depths else ()
    rows = [
        *(
            _figure(transmission, one, signed(fit.depths.entry))
            for one in judged
            if fit.depths and one is not None
        ),
        *(_figure(transmission, one.total, signed(one.entry)) for one in fit.trials),
    ]
    if rows:
        yield Table(("Converter", "Limit", "Found", "Who, when", "Source"), tuple(rows))


def _run(transmission: Transmission, run: SweepRun) -> tuple[str, ...]:
    """One sweep in a row."""
    unit, body = run.unit, run.body
    limit, face = run.asked.bore, run.asked.face
    bore = f"{run.bore_estimate.stated(unit, digits=2 if unit == 'mm' else 4)} of {limit}"
    off = length_words(run.shift, unit, extra=1) if run.shift is not None else ""
    flat = "not swept"
    if run.face_estimate is not None:
        total = run.face_estimate.stated(unit, digits=2 if unit == "mm" else 4)
        flat = f"{total} of {face}: {run.advice.face.value}"
    words = run.bore.words(unit) if run.closes else "the sweep contradicts itself"
    if run.advice.bore is Verdict.GOOD:
        words = f"off by {length_words(run.bore.offset, unit)}"
    return (
        f"{body.when}{f', after: {body.after}' if body.after else ''}",
        f"{bore}: {run.advice.bore.value}",
        flat,
        words,
        off,
        signed(run.entry),
        _source(transmission, run.asked.bore_source),
    )


def _newest(found: stage.Alignment) -> str:
    """What the newest sweep comes to."""
    run = found.newest
    assert run is not None, "asked only where there is a sweep"
    if found.good:
        return "The newest sweep is good, and every dowel that was read stood as it should."
    return " ".join(run.advice.sentences)


def _dowels(transmission: Transmission, state: JobState) -> Iterator[tuple[str, ...]]:
    """Each dowel that was read, as found and as left."""
    for one in stage.survey(transmission, state).dowels:
        if one.body is None:
            continue
        seen = [body for body in state.bodies(DowelSeen) if body.dowel == one.dowel.name]
        yield (
            one.dowel.title,
            f"{one.dowel.min} to {one.dowel.max}",
            _last(seen, "as found"),
            _last(seen, "as left"),
            one.judgement.verdict.value,
        )


def _last(seen: list[DowelSeen], when: str) -> str:
    found = [body for body in seen if body.when == when]
    return f"{', '.join(map(str, found[-1].values))} {found[-1].unit}" if found else ""


def _figure(transmission: Transmission, one: Judged, who: str) -> tuple[str, ...]:
    digits = 2 if one.unit == "mm" else 3
    low, high = (None if side is None else f"{side:.{digits}f} {one.unit}" for side in (one.lower, one.upper))
    window = f"{low} to {high}" if low and high else f"at most {high}" if high else low or "none is known"
    found = f"{one.value.stated(one.unit, digits=digits)}: {one.judgement.verdict.value}"
    return one.name, window, found, who, _source(transmission, one.source)


def _source(transmission: Transmission, source: Source | None) -> str:
    """The number under which a source is listed; a limit without one is unverified."""
    listed = [note.as_source() for note in transmission.about.sources.values()]
    return str(listed.index(source) + 1) if source in listed else "unverified"
