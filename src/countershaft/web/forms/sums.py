"""The form of a bench sum in a job: its fields, what each may be off, and which check its answer stands for."""

from __future__ import annotations

from dataclasses import replace

from countershaft.desk.desk import OpenJob
from countershaft.errors import FormError, Unknown
from countershaft.job.entry import Body, Worked
from countershaft.job.taken import Taken
from countershaft.model.limits import Limit
from countershaft.stages.bench_sums import answering_limit, conditions, of_key
from countershaft.sums.answer import Sum, work_out
from countershaft.sums.asked import WORD, Asked
from countershaft.sums.register import find_sum
from countershaft.web.forms.form import Answers, Field, Form, Kind
from countershaft.web.forms.inspection import when_of
from countershaft.web.pages.checks import limit_words

__all__ = ["bench_sum"]

#: What is behind the name of a measured field where it says how far that may be off.
_OFF = "_off"
_INCHES = ("in", "thou", "lbf", "lbf·in", "psi", "lbf/in")


def bench_sum(job: OpenJob, key: str) -> Form:
    """A bench sum; its key is its name, or its name for a check."""
    name, wanted = of_key(key)
    one, limit = find_sum(name), job.transmission.limit(wanted) if wanted else None
    if limit is not None and one not in answering_limit(limit):
        raise Unknown(f"{one.title} tells nothing that {limit.name} asks for.")
    before = _before(job, name, wanted)
    if limit is not None:
        before |= conditions(limit, name)
    inch = limit is not None and limit.unit in _INCHES

    def read(answers: Answers) -> tuple[Body, ...]:
        typed = {field.name: _typed(field, answers) for field in one.fields}
        given = {name: text for name, text in typed.items() if text}
        worked = work_out(one, given, inch=answers.one("system") == "inch")
        return (
            Worked(
                calculation=one.name,
                typed={name: text for name, text in worked.inputs.typed.items() if text},
                limit=limit.id if limit else None,
                part=answers.one("part") or None,
                when="as left" if answers.one("when") == "as left" else "as found",
                taken=Taken(rule=job.shop.rule),
            ),
        )

    stage = "prove" if limit is not None and limit.stage == "prove" else "inspect"
    return Form(
        one.title,
        (
            *(shown for field in one.fields for shown in _fields(field, before)),
            *(_off(field) for field in one.fields if field.measured and field.needed and not field.judged),
            *_system(one, inch=inch),
            *_about(job, limit),
            Field("when", "When", "choice", options=(("as found", "as found"), ("as left", "as left")),
                  values=(when_of(job, wanted),), needed=True, folded=True),
        ),
        read,
        f"/jobs/{job.tag}/{stage}",
        lead=one.asks,
        save="Save what was measured",
        cautions=one.cautions,
        facts=_facts(job, one, limit),
        lines=True,
        reads_units=True,
        fold="What may be left open, and how far each figure may be off",
    )  # fmt: skip


def _typed(field: Asked, answers: Answers) -> str:
    """What stands in a field, with how far it may be off behind it."""
    text, off = answers.one(field.name), answers.one(f"{field.name}{_OFF}")
    if off and not text:
        raise FormError(
            {f"{field.name}{_OFF}": f"{field.label} itself is not typed; type it, or clear this."}
        )
    return f"{text} ± {off}" if off else text


def _fields(field: Asked, before: dict[str, str]) -> tuple[Field, ...]:
    """A field, and how far it may be off where its last digit says little of that."""
    shown = _field(field, before)
    return (shown, replace(_off(field), folded=False)) if field.judged and field.needed else (shown,)


def _field(field: Asked, before: dict[str, str]) -> Field:
    kind: Kind = "select" if field.kind == WORD else "figure"
    same = field.inch in ("", field.metric)
    such = f"Such as {field.example.partition(' ±')[0]}{_unit_behind(field)}." if field.kind != WORD else ""
    kept = before.get(field.name, "") if not field.measured else ""
    return Field(
        field.name,
        field.label,
        kind,
        " ".join(words for words in (such, field.hint) if words),
        field.metric if same else "",
        options=field.options,
        values=(kept,) if kept else (),
        needed=field.needed,
        folded=not field.needed,
    )


def _unit_behind(field: Asked) -> str:
    """The unit of an example that stands behind its ±."""
    return f" {field.metric}" if " ±" in field.example and field.metric else ""


def _off(field: Asked) -> Field:
    return Field(
        f"{field.name}{_OFF}",
        f"{field.label}: off by at most",
        "figure",
        "Either way; left open, its last digit counts.",
        folded=True,
    )


def _system(one: Sum, *, inch: bool) -> tuple[Field, ...]:
    """In which units bare figures are, where a sum has any that differ."""
    pairs = [(field.metric, field.inch) for field in one.fields if field.inch not in ("", field.metric)]
    if not pairs:
        return ()
    metric, inches = (", ".join(dict.fromkeys(pair[side] for pair in pairs)) for side in (0, 1))
    return (
        Field("system", "Bare figures are", "select", f"Metric: {metric}. Inch: {inches}. Any other unit may stand "
              "behind a figure.", options=(("metric", "metric"), ("inch", "inch")),
              values=("inch" if inch else "metric",), needed=True),
    )  # fmt: skip


def _about(job: OpenJob, limit: Limit | None) -> tuple[Field, ...]:
    if limit is not None or not job.transmission.parts:
        return ()
    parts = tuple((part.id, f"{part.id} {part.name}") for part in job.transmission.parts)
    return (Field("part", "It is about", "select", "Left open: no part.", options=parts, folded=True),)


def _facts(job: OpenJob, one: Sum, limit: Limit | None) -> tuple[tuple[str, str], ...]:
    if limit is None:
        return (("Formula", one.source),)
    source = job.transmission.source(limit.source)
    return (
        ("Answers", limit.name),
        ("Limit", limit_words(limit)),
        ("Source", str(source) if source else "none: the limit is unverified"),
        ("Formula", one.source),
    )


def _before(job: OpenJob, name: str, limit: str) -> dict[str, str]:
    """What was typed last time for the same check; measured figures are never offered again."""
    for body in reversed(job.state.bodies(Worked)):
        if body.calculation == name and (body.limit or "") == limit:
            return dict(body.typed)
    return {}
