"""The figures of a job for its report: readings, fits, parts, fasteners, proof, each with who and when."""

from __future__ import annotations

from collections.abc import Iterator

from countershaft.job.entry import Tightened
from countershaft.job.state import JobState
from countershaft.metrology.conformity import Judgement, Verdict
from countershaft.metrology.readings import Estimate
from countershaft.model.limits import Limit
from countershaft.model.transmission import Transmission
from countershaft.papers.blocks import Block, Heading, Pairs, Paragraph, Table
from countershaft.papers.signed import signed, when
from countershaft.stages import build, decide, fastening, fit, inspection, prove
from countershaft.stages.fit_needed import as_decimal
from countershaft.stages.inspection import Checked

__all__ = ["fits", "joints", "parts", "proof", "readings", "sources"]


def readings(transmission: Transmission, state: JobState) -> Iterator[Block]:
    """Readings of the parts, as found and as left."""
    limits = [limit for limit in transmission.limits if limit.stage == "inspect"]
    rows = [
        (limit, inspection.checked(transmission, state, limit, when="as found"),
         inspection.checked(transmission, state, limit, when="as left"))
        for limit in limits
    ]  # fmt: skip
    if rows:
        yield Heading("Readings of the parts")
        yield Table(
            ("What", "Limit", "As found", "As left", "Who, when", "Source"),
            tuple(
                (limit.name, _window(limit), _told(found), _told(left) if _own(left, found) else "",
                 "; ".join(dict.fromkeys(signed(one.entry) for one in (found, left) if one.entry)),
                 _source(transmission, limit.source))
                for limit, found, left in rows
            ),
        )  # fmt: skip


def fits(transmission: Transmission, state: JobState) -> Iterator[Block]:
    """Every fit: the gap as found, the part that went in, and the gap as left."""
    found = fit.survey(transmission, state).fits
    if found:
        yield Heading("Fits")
        yield Table(
            (
                "Fit",
                "Window, mm",
                "As found, mm",
                "Needed, mm",
                "Fitted, mm",
                "As left, mm",
                "Closed by, when",
            ),
            tuple(row for one in found for row in _fit_rows(one)),
            right=(3, 4),
        )


def _fit_rows(now: fit.FitState) -> Iterator[tuple[str, ...]]:
    """One row for each gap of a fit; a unit stands with the window where it is not the millimetre."""
    for number, one in enumerate(now.lefts):
        window, digits = one.window, one.window.digits
        unit = "" if window.unit == "mm" else f" {window.unit}"
        first = number == 0
        needed = ", ".join(str(as_decimal(each.size.value)) for each in now.found.needs)
        yield (
            now.fit.name if len(now.lefts) == 1 else f"{now.fit.name}: {window.name}",
            f"{float(window.lower):.{digits}f} to {float(window.upper):.{digits}f}{unit}",
            _gap(now.as_found, now.as_found_judgement, digits) if first else "",
            needed if first else "",
            ", ".join(str(each.size_mm) for each in now.chosen_all) if first else "",
            _gap(one.value, one.judgement, digits),
            signed(now.closed_by) or "not closed",
        )


def parts(transmission: Transmission, state: JobState) -> Iterator[Block]:
    """What was replaced and why, and the money that was agreed."""
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
        money = f"{decision.estimate.total:.2f} {decision.estimate.currency}"
        consent = decision.consent
        agreed = f"; agreed to {consent.limit:.2f} by {consent.given_by}, {consent.how}" if consent else ""
        yield Paragraph(f"Estimate: {money}{agreed}.")


def joints(transmission: Transmission, state: JobState) -> Iterator[Block]:
    """Every joint, round by round, with who gave it and when."""
    rows: list[tuple[str, ...]] = []
    for one in build.survey(transmission, state).joints:
        joint = one.joint
        for number, stage in enumerate(joint.stages, start=1):
            given = [
                entry for entry, body in state.of(Tightened) if (body.joint, body.round) == (joint.id, number)
            ]
            through = sum(count >= number for count in one.done.values())
            people = ", ".join(dict.fromkeys(entry.by for entry in given))
            rows.append(
                (
                    joint.name if number == 1 else "",
                    f"{len(one.done)} × {joint.thread}{', left-hand' if joint.hand == 'left' else ''}"
                    if number == 1
                    else "",
                    stage.words(),
                    "all" if through == len(one.done) else f"{through} of {len(one.done)}",
                    f"{people}, {when(given[-1])}" if given else "",
                )
            )
    if rows:
        yield Heading("Fasteners")
        yield Table(("Joint", "Thread", "Round", "Places", "Who, when"), tuple(rows))
    looks = [fastening.look(transmission, state, joint) for joint in transmission.fasteners]
    said = tuple(
        (transmission.joint(look.body.joint).name, _heads(look), signed(look.entry)) for look in looks if look
    )
    if said:
        yield Table(("Heads of", "How they stood before the first torque", "Who, when"), said)


def _heads(look: fastening.Look) -> str:
    """How the heads stood, and why the joint was tightened all the same."""
    if look.body.level:
        return "all stood right"
    because = f"because {look.body.because}" if look.body.because else ""
    return " ".join(words for words in (*(head.words for head in look.heads), because) if words)


def proof(transmission: Transmission, state: JobState) -> Iterator[Block]:
    """The checks of the whole unit and the ratios by hand."""
    found = prove.survey(transmission, state)
    if found.checks:
        yield Heading("Proof")
        yield Table(
            ("Check", "Limit", "As left", "Who, when", "Source"),
            tuple(
                (
                    one.limit.name,
                    _window(one.limit),
                    _told(one),
                    signed(one.entry),
                    _source(transmission, one.limit.source),
                )
                for one in found.checks
            ),
        )
    counted = [one for one in found.turns if one.counted is not None and one.expected is not None]
    if counted:
        yield Table(
            ("Gear", "From the teeth", "Counted", "Verdict"),
            tuple(
                (one.gear, f"{float(one.expected or 0):.4f}", _counted(one), one.verdict.value)
                for one in counted
            ),
            right=(1, 2),
        )


def _counted(one: prove.TurnsState) -> str:
    """A counted ratio with its uncertainty; none where the output hardly moved."""
    if one.counted is None or one.measured is None:
        return ""
    return prove.counted_ratio(one.counted).stated("", digits=3).replace("-", "−")


def sources(transmission: Transmission) -> Iterator[Block]:
    """Where the limits come from, by number."""
    notes = transmission.about.sources.values()
    if notes:
        yield Heading("Sources of the limits")
        yield Pairs(tuple((str(number), str(note.as_source())) for number, note in enumerate(notes, start=1)))


def _own(left: Checked, found: Checked) -> bool:
    """Whether a check has an answer as left of its own; a reason for not measuring stands once, as found."""
    return left.entry is not None and left.entry != found.entry


def _told(one: Checked) -> str:
    """A figure with its verdict; without a figure, the verdict and the words."""
    if one.entry is None:
        return "not measured"
    if one.value is not None:
        return f"{one.value.stated(one.limit.unit or '', digits=one.digits)}: {one.judgement.verdict.value}"
    why = one.judgement.why
    return why if one.judgement.verdict is Verdict.NOT_MEASURED else f"{one.judgement.verdict.value}: {why}"


def _gap(value: Estimate | None, judgement: Judgement | None, digits: int) -> str:
    """A gap with its uncertainty and its verdict."""
    if value is None or judgement is None:
        return ""
    return f"{value.stated('', digits=digits)}: {judgement.verdict.value}"


def _window(limit: Limit) -> str:
    if limit.min is not None and limit.max is not None:
        return f"{limit.min} to {limit.max}"
    if limit.min is not None:
        return f"at least {limit.min}"
    return f"at most {limit.max}" if limit.max is not None else "by eye"


def _source(transmission: Transmission, name: str | None) -> str:
    """The number under which a source is listed; a limit without one is unverified."""
    names = list(transmission.about.sources)
    return str(names.index(name) + 1) if name in names else "unverified"
