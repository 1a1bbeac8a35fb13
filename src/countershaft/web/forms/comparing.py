"""Forms of a comparison: how it is set up, and one person's turn."""

from __future__ import annotations

import re

from countershaft import units
from countershaft.desk.desk import OpenJob
from countershaft.errors import FormError
from countershaft.job.at_compare import ComparisonSet, MeasuredBlind
from countershaft.job.entry import Body
from countershaft.model.limits import Limit
from countershaft.stages import comparing as stage
from countershaft.web.forms.form import Answers, Field, Form, body_of, readings
from countershaft.web.forms.lengths import instrument_typed, scale_fields, scale_of, step_typed, taken_of

__all__ = ["blind", "set_up"]

#: Units that are offered where a comparison is of no limit.
_UNITS = ("mm", "in", "N·m", "lbf·in")


def set_up(job: OpenJob, key: str) -> Form:
    """What is measured, by whom, on how many pieces, how often; `key` is a limit to begin with, or nothing."""
    limits = [limit for limit in job.transmission.limits if limit.measured]
    chosen = next((limit for limit in limits if limit.id == key), None)

    def read(answers: Answers) -> tuple[Body, ...]:
        limit = next((one for one in limits if one.id == answers.one("limit")), None)
        people = tuple(one.strip() for one in re.split(r"[,;\n]", answers.one("people")) if one.strip())
        if len(people) < 2:  # two is what makes a comparison
            raise FormError({"people": f"Name at least two people, with a comma between; got {len(people)}."})
        told = {
            "comparison": stage.next_name(job.state),
            "what": answers.one("what") or (limit.name if limit else ""),
            "limit": limit.id if limit else None,
            "unit": _unit(limit, answers.one("unit")),
            "people": people,
            "pieces": answers.one("pieces"),
            "trials": answers.one("trials"),
        }
        return (body_of(ComparisonSet, told),)

    return Form(
        "Compare people",
        (
            Field("people", "Who measures", hint="Names with a comma between; each is compared with each other.",
                  needed=True),
            Field("limit", "Of which check", "select", options=tuple((one.id, one.name) for one in limits),
                  values=(chosen.id,) if chosen else ()),
            Field("what", "Or of what", hint="Needed only where it is none of the checks."),
            Field("unit", "In which unit", "choice", "Without one, the unit of the check.",
                  options=tuple((one, one) for one in _UNITS)),
            Field("pieces", "How many pieces", "number", "Two or more pieces make it a study.",
                  values=("1",), needed=True),
            Field("trials", "Readings of each piece", "number", values=("3",), needed=True),
        ),
        read,
        f"/jobs/{job.tag}/compare",
        lead="Each measures alone. What was found is shown when all have measured.",
        save="Begin",
    )  # fmt: skip


def _unit(limit: Limit | None, typed: str) -> str:
    if typed:
        return typed
    return limit.unit or "" if limit else "mm"


def blind(job: OpenJob, key: str) -> Form:
    """One person's readings of one piece; `key` is the comparison."""
    now = stage.comparison(job.transmission, job.state, key)
    begun, limit = now.begun, _limit(job, now)
    turn = now.turns[0] if now.turns else None
    scale = scale_of(job, limit.instrument if limit else None, begun.unit, (begun.unit,))
    turns = tuple((f"{one.person} / {one.piece}", f"{one.person}, piece {one.piece}") for one in now.turns)

    def read(answers: Answers) -> tuple[Body, ...]:
        person, _, piece = answers.one("turn").rpartition(" / ")
        told = {
            "comparison": key,
            "person": person,
            "piece": piece,
            "values": answers.many("values"),
            "instrument": instrument_typed(job, scale, answers),
            "resolution": step_typed(job, scale, answers),
            "taken": taken_of(job, scale, answers),
        }
        return (body_of(MeasuredBlind, told, names={"person": "turn", "piece": "turn"}),)

    return Form(
        f"{turn.person}: piece {turn.piece}" if turn else "Nothing is left to measure",
        (
            Field("turn", "Whose turn, piece", "choice", needed=True, folded=True,
                  options=turns, values=turns[0][:1] if turns else ()),
            readings("values", "Readings", count=begun.trials, unit=begun.unit),
            *scale_fields(scale, limit.instrument if limit else None),
        ),
        read,
        f"/jobs/{job.tag}/compare/{key}",
        unaided=True,
        lead=f"Hand the tablet to {turn.person}. Nobody else looks on." if turn else "",
        facts=(("What", begun.what), ("Unit", f"{begun.unit}, {units.UNITS[begun.unit][0]}")),
    )  # fmt: skip


def _limit(job: OpenJob, now: stage.Comparison) -> Limit | None:
    return job.transmission.limit(now.begun.limit) if now.begun.limit else None
