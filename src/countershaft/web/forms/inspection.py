"""Forms of the inspect stage; the readings of the prove stage and of as-found fits use them too."""

from __future__ import annotations

from countershaft.desk.desk import OpenJob
from countershaft.job.entry import Body, Finding, Look, NotMeasured, Reading, StepDone
from countershaft.job.words import FINDING_MEANS, Degree, PartVerdict, Pattern
from countershaft.model.fits import Fit
from countershaft.model.limits import Limit
from countershaft.web.forms.converter import converter_answers, depths
from countershaft.web.forms.form import Answers, Field, Form, because, body_of, options, readings, reason
from countershaft.web.forms.housing import sweep, sweep_answers
from countershaft.web.forms.lengths import (
    aim_of,
    instrument_typed,
    scale_fields,
    scale_of,
    step_typed,
    taken_of,
    unit_field,
)
from countershaft.web.forms.typed import unit_said
from countershaft.web.forms.warmth import warmth_asked, warmth_fields, warmth_of

__all__ = ["cautions_of", "facts_of", "finding", "look", "not_measured", "reading", "target_of", "when_of"]

_WARM = (
    "Ten degrees move this by more than a tenth of its window. "
    "Let it come to 20 °C, or open the last line and say how warm it is."
)

#: What the log says of a check by eye that was judged without words: an oily glove types none.
_ONLY_LOOKED = "judged without words"

#: The usual reasons, so that an oily glove needs no keyboard.
_WHY_NOT = (
    "the part is replaced anyway",
    "no instrument for it here",
    "it cannot be reached",
    "not asked for on this job",
)


def target_of(job: OpenJob, key: str) -> Limit | Fit:
    """The limit or fit of that id, with or without the phase before it; raises Unknown."""
    key = _bare(key)
    fit = next((fit for fit in job.transmission.all_fits if fit.id == key), None)
    return fit if fit is not None else job.transmission.limit(key)


def _bare(key: str) -> str:
    """A key "build:C26" names a limit or fit and the phase whose step asks for it; the name alone."""
    return key.rpartition(":")[2]


def when_of(job: OpenJob, key: str) -> str:
    """As the step asks that leads here; else as found until the first build step is done, as left after it."""
    phase = key.rpartition(":")[0]
    if phase in ("teardown", "build"):
        return "as left" if phase == "build" else "as found"
    steps = {step.id for step in job.transmission.phase("build")}
    return "as left" if any(body.step in steps for body in job.state.bodies(StepDone)) else "as found"


def reading(job: OpenJob, key: str) -> Form:
    """Readings of a limit, or of a fit as it was found."""
    target, start = target_of(job, key), when_of(job, key)
    if sweep_answers(job, target.id):
        return sweep(job, "")
    if converter_answers(job, target.id):
        return depths(job, "")
    unit = target.unit
    if unit is None:
        return look(job, key)
    scale = scale_of(job, target.instrument, unit)

    def read(answers: Answers) -> tuple[Body, ...]:
        lower, upper = (None if one is None else one.to(unit) for one in (target.min, target.max))
        answers = unit_said(answers, "values", unit=unit, offered=scale.units, lower=lower, upper=upper)
        extra = {"places": target.places, "warmth": warmth_of(answers)} if isinstance(target, Limit) else {}
        body = {
            "limit": target.id,
            "when": answers.one("when"),
            "values": answers.many("values"),
            "instrument": instrument_typed(job, scale, answers),
            "resolution": step_typed(job, scale, answers),
            "taken": taken_of(job, scale, answers).model_copy(update=extra),
        }
        return (body_of(Reading, {**body, "unit": answers.one("unit") or unit}),)

    asked = unit_field(scale)
    return Form(
        target.name,
        (
            _cells(target, "" if asked else unit),
            *asked,
            Field("when", "When", "choice", options=(("as found", "as found"), ("as left", "as left")),
                  values=(start,), needed=True, folded=True),
            *scale_fields(scale, target.instrument),
            *(warmth_fields(target) if isinstance(target, Limit) else ()),
        ),
        read,
        f"/jobs/{job.tag}/{'prove' if isinstance(target, Limit) and target.stage == 'prove' else 'inspect'}",
        cautions=cautions_of(target),
        facts=facts_of(job, target, scale.unit),
    )  # fmt: skip


def _cells(target: Limit | Fit, unit: str) -> Field:
    """One cell for each reading; of several places, each cell is called by its place."""
    places = target.places if isinstance(target, Limit) else ()
    if not places:
        return readings("values", "Readings", count=target.readings, unit=unit, aim=aim_of(target, "reading"))
    judged = {
        "worst": "the worst is judged",
        "mean": "their mean is judged",
        "range": "their range is judged",
    }
    return readings(
        "values",
        "Readings",
        count=len(places),
        unit=unit,
        hint=f"one at each of {len(places)} places; {judged[target.of]}" if isinstance(target, Limit) else "",
        cell_labels=places,
        aim=aim_of(target, "reading"),
    )


def facts_of(
    job: OpenJob, target: Limit | Fit, unit: str, *, first: tuple[tuple[str, str], ...] = ()
) -> tuple[tuple[str, str], ...]:
    """What is known of a limit or a fit before it is measured; `unit` is that of the instrument in the hand."""
    low, high = (str(target.min) if target.min else ""), (str(target.max) if target.max else "")
    window = f"{low} to {high}" if low and high else f"at least {low}" if low else f"at most {high}"
    source = job.transmission.source(target.source)
    own = target.unit
    facts = (
        ("Limit", window),
        ("That is", "" if unit == own else _window_in(target, unit)),
        *first,
        ("Source", str(source) if source else "none: the limit is unverified"),
        ("How", (target.method if isinstance(target, Fit) else target.at) or ""),
        ("Note", target.note or ""),
        ("Warm", _WARM if isinstance(target, Limit) and warmth_asked(target) else ""),
    )
    return tuple((label, words) for label, words in facts if words)


def _window_in(target: Limit | Fit, unit: str) -> str:
    """The window in another unit than its source prints, to compare with the instrument in the hand."""
    digits = ".4f" if unit == "in" else ".4g"
    ends = [f"{one.to(unit):{digits}}" for one in (target.min, target.max) if one is not None]
    if target.min is not None and target.max is not None:
        return f"{' to '.join(ends)} {unit}"
    return f"at {'least' if target.min is not None else 'most'} {ends[0]} {unit}"


def cautions_of(target: Limit | Fit) -> tuple[tuple[str, str], ...]:
    """The hazards that the file names at a check, with their signal words."""
    return tuple((one.signal, one.text) for one in target.cautions) if isinstance(target, Limit) else ()


def look(job: OpenJob, key: str) -> Form:
    """A check by eye, hand or ear."""
    limit = job.transmission.limit(_bare(key))

    def read(answers: Answers) -> tuple[Body, ...]:
        body = {"limit": limit.id, **{name: answers.one(name) for name in ("when", "verdict", "words")}}
        return (body_of(Look, {**body, "words": body["words"].strip() or _ONLY_LOOKED}),)

    return Form(
        limit.name,
        (
            Field("verdict", "Verdict", "choice", options=(("good", "good"), ("bad", "bad")), needed=True),
            Field("words", "What was seen", "area", hint="Where it stays blank, only the verdict is kept."),
            Field("when", "When", "choice", options=(("as found", "as found"), ("as left", "as left")),
                  values=(when_of(job, key),), needed=True),
        ),
        read,
        f"/jobs/{job.tag}/{'prove' if limit.stage == 'prove' else 'inspect'}",
        cautions=cautions_of(limit),
        facts=tuple((label, words) for label, words in (("How", limit.at or ""), ("Note", limit.note or "")) if words),
    )  # fmt: skip


def not_measured(job: OpenJob, key: str) -> Form:
    """Why a limit is not measured; the reason stays visible."""
    target = target_of(job, key)
    prove = isinstance(target, Limit) and target.stage == "prove"

    def read(answers: Answers) -> tuple[Body, ...]:
        return (body_of(NotMeasured, {"limit": key, "because": reason(answers)}),)

    return Form(
        f"Not measured: {target.name}",
        because("Not measured, because", _WHY_NOT, "The reason stays on every report."),
        read,
        f"/jobs/{job.tag}/{'prove' if prove else 'inspect'}",
    )


def finding(job: OpenJob, key: str) -> Form:
    """What was seen on a part; `key` is the part."""
    part = job.transmission.part(key) if key else None
    words = tuple((word.value, word.value, means) for word, means in FINDING_MEANS.items())

    def read(answers: Answers) -> tuple[Body, ...]:
        names = ("word", "place", "pattern", "degree", "verdict", "words")
        body = {"part": key or answers.one("part"), **{name: answers.one(name) for name in names}}
        return (body_of(Finding, body),)

    parts = tuple((one.id, f"{one.id} {one.name}") for one in job.transmission.parts)
    return Form(
        f"Finding: {part.name}" if part else "Finding",
        (
            *(() if part else (Field("part", "Part", "select", options=parts, needed=True),)),
            Field("word", "In one word", "choice", options=words, needed=True),
            Field("place", "Where", hint="Clock position, tooth, land, face."),
            Field("pattern", "Pattern", "choice", options=options(Pattern), needed=True),
            Field("degree", "How much", "choice", options=options(Degree), needed=True),
            Field("verdict", "Verdict", "choice", options=options(PartVerdict), needed=True),
            Field("words", "More words", "area"),
        ),
        read,
        f"/jobs/{job.tag}/inspect",
        facts=tuple(
            (label, text)
            for label, text in (("Look at", part.look or ""), ("Orientation", part.orientation or ""))
            if text
        )
        if part
        else (),
    )
