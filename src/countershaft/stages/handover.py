"""Hand over: the release gate, and everything that the report needs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from countershaft.job.entry import Entry, FixedWhen, Released, Waived
from countershaft.job.state import JobState
from countershaft.metrology.conformity import Verdict
from countershaft.model.transmission import Transmission
from countershaft.stages import alignment, build, decide, diagnose, fit, inspection, intake, prove, teardown
from countershaft.stages.inspection import Checked
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to

__all__ = ["GatePoint", "Handover", "gate", "review", "survey"]

#: How many of several things a sentence names before it only counts the rest.
_NAMED: Final = 3


@dataclass(frozen=True, slots=True)
class GatePoint:
    """One point of the release gate.

    `firm` points cannot be let pass: what would destroy the next unit is cleared, or the unit stays.
    The build is one of them, since a step may be skipped with its reason, but none may be forgotten.
    """

    key: str
    what: str
    open: str | None
    firm: bool
    waived: str | None

    @property
    def holds(self) -> bool:
        """Whether this point keeps the unit in the shop."""
        return self.open is not None and self.waived is None


@dataclass(frozen=True, slots=True)
class Handover:
    """The gate and, once it is through, the release."""

    gate: tuple[GatePoint, ...]
    released: Released | None
    release_entry: Entry | None

    @property
    def open(self) -> tuple[GatePoint, ...]:
        """Points that keep the unit in the shop."""
        return tuple(point for point in self.gate if point.holds)

    @property
    def complete(self) -> bool:
        """The unit is released."""
        return self.released is not None


def survey(transmission: Transmission, state: JobState) -> Handover:
    """Hand-over as its page shows it."""
    found = state.of(Released)
    return Handover(
        gate=gate(transmission, state),
        released=found[-1][1] if found else None,
        release_entry=found[-1][0] if found else None,
    )


def review(transmission: Transmission, state: JobState, entry: Entry) -> Outcome:
    """Whether a hand-over entry may join the log."""
    body = entry.body
    points = gate(transmission, state)
    if isinstance(body, Waived):
        point = next((one for one in points if one.key == body.point), None)
        if point is None or point.open is None:
            return object_to(f"{body.point!r} is not an open point of the gate.")
        if point.firm:
            return object_to(f"{point.what}: {point.open}. This point cannot be let pass.")
        if point.open != body.was:
            return object_to(
                f"{point.what}: what is open now is {point.open!r}, not {body.was!r}. Look at it again, then decide."
            )
    if isinstance(body, Released):
        if state.bodies(Released):
            return object_to("The unit is released already.")
        holding = [point for point in points if point.holds]
        if holding:
            named = "; ".join(f"{one.what}: {one.open}" for one in holding[:_NAMED])
            more = f"; and {len(holding) - _NAMED} more" if len(holding) > _NAMED else ""
            return object_to(f"{_count(len(holding), 'point is', 'points are')}: {named}{more}.")
    return ACCEPTED


def gate(transmission: Transmission, state: JobState) -> tuple[GatePoint, ...]:
    """Every point of the release gate, open or not; what was let pass is asked again when something else is open."""
    waived = {(body.point, body.was): body.because for body in state.bodies(Waived)}
    return tuple(
        GatePoint(key, what, why, firm, None if firm or why is None else waived.get((key, why)))
        for key, what, why, firm in (
            *_story_points(transmission, state),
            *_work_points(transmission, state),
            *_proof_points(transmission, state),
        )
    )


Point = tuple[str, str, str | None, bool]


def _story_points(transmission: Transmission, state: JobState) -> list[Point]:
    """Complaint, cause, what would kill the next unit, and consent."""
    complaint = intake.survey(transmission, state).complaint
    cause = diagnose.survey(transmission, state).cause
    decision = decide.survey(transmission, state)
    points: list[Point] = [
        ("complaint", "Complaint and fixed-when", None if complaint else "nobody wrote it down", True),
        ("cause", "Cause of death", None if cause else "it is not named", True),
    ]
    points += [
        (
            f"killer:{killer.name}",
            f"Killer: {killer.name}",
            None if killer.cleared else "it is not cleared",
            True,
        )
        for killer in decision.killers
    ]
    asked = tuple(f"{one.part.name}: {one.why}" for one in decision.undecided)
    points.append(("decide", "Parts decided", _named(asked), False))
    points.append(("consent", "Estimate and consent", "; ".join(decision.unagreed) or None, False))
    return points


def _work_points(transmission: Transmission, state: JobState) -> list[Point]:
    """Teardown, inspection, fits, build, contradictions."""
    plan = build.survey(transmission, state)
    apart = teardown.survey(transmission, state)
    taken_apart = apart.work
    looked = inspection.survey(transmission, state)
    points: list[Point] = [
        (
            "teardown",
            "Teardown",
            "nobody said that all is off"
            if apart.unended and taken_apart.steps
            else _count(len(taken_apart.steps) - taken_apart.behind, "step is", "steps are"),
            False,
        ),
        (
            "inspect",
            "Checks of the parts",
            _count(len(looked.open), "check has no answer", "checks have no answer", ""),
            False,
        ),
    ]
    points += [
        (f"check:{one.limit.id}", one.limit.name, _still_open(one), False)
        for one in decide.standing(transmission, state)
        if not (one.limit.killer or one.limit.must)
    ]
    points += [
        (
            f"fit:{one.fit.id}",
            f"Fit: {one.fit.name}",
            None if one.closed else f"not closed: {one.phase}",
            False,
        )
        for one in fit.survey(transmission, state).fits
    ]
    swept = alignment.survey(transmission, state)
    if swept.newest is not None:
        points.append(("housing", "Housing to the crank", _misaligned(swept), False))
    points.append(
        ("build", "Build", _count(len(plan.work.steps) - plan.work.behind, "step is", "steps are"), True)
    )
    points.append(("left over", "Nothing left over", _named(plan.left_over), False))
    points.append(("missing", "Nothing missing", _named(plan.missing), False))
    points.append(("log", "One story in the log", " ".join(state.contradictions) or None, False))
    return points


def _misaligned(found: alignment.Alignment) -> str | None:
    """Why the newest sweep of the housing does not let the unit go."""
    run = found.newest
    if run is None or found.good:
        return None
    return " ".join(run.advice.sentences).rstrip(".")


def _named(things: tuple[str, ...]) -> str | None:
    """The first few of several things, and how many more there are; None where there is none."""
    more = (f"and {len(things) - _NAMED} more",) if len(things) > _NAMED else ()
    return "; ".join((*things[:_NAMED], *more)) or None


def _count(number: int, one: str, many: str, tail: str = " open") -> str | None:
    return None if not number else f"{number} {one if number == 1 else many}{tail}"


def _proof_points(transmission: Transmission, state: JobState) -> list[Point]:
    """Checks that must be good, ratios by hand, and the fixed-when sentence."""
    points: list[Point] = [
        (f"limit:{one.limit.id}", one.limit.name, _still_open(one), one.limit.killer or one.limit.must)
        for one in prove.survey(transmission, state).checks
    ]
    points += [
        (
            f"limit:{limit.id}",
            limit.name,
            _still_open(inspection.checked(transmission, state, limit, when="as left")),
            True,
        )
        for limit in transmission.limits
        if limit.stage == "inspect" and (limit.killer or limit.must)
    ]
    points.append(("turns", "Ratios by hand", _turns(prove.survey(transmission, state)), False))
    fixed = state.last(FixedWhen)
    answer = (
        None
        if fixed is not None and fixed.true
        else "not true yet"
        if fixed is not None
        else "nobody has judged it"
    )
    points.append(("fixed when", "Fixed when", answer, True))
    return points


def _turns(proof: prove.Proof) -> str | None:
    """Why the ratios by hand do not let the unit go: nobody counted one, or a count is wrong or tells nothing."""
    if not proof.turns_counted:
        return "nobody has counted the turns of a gear"
    unsettled = [one.why for one in proof.turns if one.verdict in (Verdict.BAD, Verdict.AGAIN)]
    return "; ".join(unsettled) or None


def _still_open(one: Checked) -> str | None:
    """Why a check that belongs to the gate does not let the unit go."""
    if one.judgement.verdict is Verdict.GOOD:
        return None
    why = one.judgement.why.rstrip(".")
    return why if one.judgement.verdict is Verdict.NOT_MEASURED else f"{one.judgement.verdict.value}: {why}"
