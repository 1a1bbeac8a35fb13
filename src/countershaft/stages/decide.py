"""Decide: the kit of always-new and condemned parts, one estimate, and consent to it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from countershaft.job.entry import Consent, Entry, Estimate, Finding, Labour, PartDecided, Priced
from countershaft.job.state import JobState
from countershaft.job.words import PartVerdict
from countershaft.metrology.conformity import Verdict
from countershaft.model.parts import Part, Policy
from countershaft.model.transmission import Transmission
from countershaft.stages.diagnose import Killer, killers
from countershaft.stages.inspection import Checked, checked
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to

__all__ = ["Decision", "KitLine", "Undecided", "kit", "renewed", "review", "standing", "survey"]


@dataclass(frozen=True, slots=True)
class KitLine:
    """One line of the kit: what, how many, why, and its price once typed."""

    line: str
    what: str
    count: int
    because: str
    price: Decimal | None

    @property
    def sum(self) -> Decimal | None:
        """Price of the whole line."""
        return None if self.price is None else self.price * self.count


@dataclass(frozen=True, slots=True)
class Undecided:
    """A part that was found and about which a person still has to decide."""

    part: Part
    why: str


@dataclass(frozen=True, slots=True)
class Decision:
    """The kit, what it costs, and whether the customer agreed."""

    lines: tuple[KitLine, ...]
    undecided: tuple[Undecided, ...]
    labour: Labour | None
    parts_total: Decimal
    total: Decimal | None
    estimate: Estimate | None
    estimate_entry: Entry | None
    consent: Consent | None
    killers: tuple[Killer, ...]
    open: tuple[str, ...]

    @property
    def complete(self) -> bool:
        """An estimate stands, and consent covers it."""
        return not self.open

    @property
    def unpriced(self) -> tuple[KitLine, ...]:
        """Lines without a price."""
        return tuple(line for line in self.lines if line.price is None)


def survey(transmission: Transmission, state: JobState) -> Decision:
    """The decision as its page shows it."""
    lines = kit(transmission, state)
    undecided = _undecided(transmission, state)
    labour = state.last(Labour)
    parts_total = sum((line.sum or Decimal(0) for line in lines), Decimal(0))
    priced = all(line.price is not None for line in lines)
    total = parts_total + labour.hours * labour.rate if labour is not None and priced else None
    estimate = state.of(Estimate)[-1] if state.of(Estimate) else None
    consent = next((one for one in reversed(state.bodies(Consent)) if one.purpose == "overhaul"), None)
    return Decision(
        lines=lines,
        undecided=undecided,
        labour=labour,
        parts_total=parts_total,
        total=total,
        estimate=estimate[1] if estimate else None,
        estimate_entry=estimate[0] if estimate else None,
        consent=consent,
        killers=killers(state),
        open=_open(lines, undecided, labour, total, estimate[1] if estimate else None, consent),
    )


def _open(
    lines: tuple[KitLine, ...],
    undecided: tuple[Undecided, ...],
    labour: Labour | None,
    total: Decimal | None,
    estimate: Estimate | None,
    consent: Consent | None,
) -> tuple[str, ...]:
    found = [f"{one.part.name}: {one.why}" for one in undecided]
    unpriced = sum(line.price is None for line in lines)
    if unpriced:
        found.append(f"{unpriced} of {len(lines)} lines have no price")
    if labour is None:
        found.append("hours and the rate of an hour")
    if estimate is None:
        found.append("the estimate")
    elif total is not None and estimate.total != total:
        found.append(f"a new estimate: the kit changed from {estimate.total} to {total} {estimate.currency}")
    if consent is None:
        found.append("consent to the overhaul")
    elif estimate is not None and consent.limit < estimate.total:
        found.append(
            f"consent covers {consent.limit} {estimate.currency}, the estimate says {estimate.total}"
        )
    return tuple(found)


def review(transmission: Transmission, state: JobState, entry: Entry) -> Outcome:
    """Whether a decide entry may join the log."""
    body = entry.body
    if isinstance(body, PartDecided):
        part = transmission.part(body.part)
        if body.count > part.quantity:
            return object_to(count=f"The unit holds {part.quantity} × {part.name}; {body.count} were typed.")
    if isinstance(body, Priced):
        known = [line.line for line in kit(transmission, state)]
        if body.line not in known:
            return object_to(f"{body.line!r} is no line of the kit; look at the kit again.")
    if isinstance(body, Estimate):
        found = survey(transmission, state)
        if found.total is None:
            return object_to(f"The estimate is not ready: {'; '.join(found.open)}.")
        if found.undecided:
            return object_to(f"Decide first: {'; '.join(one.part.name for one in found.undecided)}.")
        if body.total != found.total:
            return object_to(
                f"The kit comes to {found.total}, the estimate says {body.total}; look at the kit again."
            )
    return ACCEPTED


def kit(transmission: Transmission, state: JobState) -> tuple[KitLine, ...]:
    """Every line of the kit: parts that are always new, condemned parts, and fasteners that go with them."""
    prices = {body.line: body.price for body in state.bodies(Priced)}
    lines: list[KitLine] = []
    for part in transmission.parts:
        count, because = renewed(part, state)
        if count:
            lines.append(KitLine(part.id, part.name, count, because, prices.get(part.id)))
    for joint in transmission.fasteners:
        count = len(joint.place_ids)
        if joint.reuse == "always new":
            key = f"joint:{joint.id}"
            what = f"{joint.kind} {joint.thread}, {joint.name}"
            lines.append(KitLine(key, what, count, "never used twice", prices.get(key)))
        if joint.renew:
            key = f"with:{joint.id}"
            lines.append(
                KitLine(key, f"{joint.renew}, {joint.name}", count, "never used twice", prices.get(key))
            )
    return tuple(lines)


def renewed(part: Part, state: JobState) -> tuple[int, str]:
    """How many pieces of a part are replaced, and why; a person's decision goes before policy and findings."""
    decided = next((body for body in reversed(state.bodies(PartDecided)) if body.part == part.id), None)
    if decided is not None:
        return (decided.count if decided.decision == "replace" else 0), decided.because
    condemned = next(
        (
            body
            for body in state.bodies(Finding)
            if body.part == part.id and body.verdict is PartVerdict.REPLACE
        ),
        None,
    )
    if part.policy is Policy.ALWAYS_NEW:
        return part.quantity, "always new"
    if condemned is not None:
        return part.quantity, f"found {condemned.word.value}"
    if part.policy is Policy.EXCHANGE:
        return part.quantity, "exchanged at every overhaul"
    return 0, ""


def standing(transmission: Transmission, state: JobState) -> tuple[Checked, ...]:
    """Checks of the parts whose newest answer is bad, or cannot be told, and that nothing has answered yet.

    A new part answers a bad reading, and so does a person's decision about the part; else a good reading must.
    """
    decided = {body.part for body in state.bodies(PartDecided)}
    found = []
    for limit in transmission.limits:
        if limit.stage != "inspect" or limit.part in decided:
            continue
        if limit.part is not None and renewed(transmission.part(limit.part), state)[0]:
            continue
        one = checked(transmission, state, limit)
        if one.judgement.verdict in (Verdict.BAD, Verdict.AGAIN):
            found.append(one)
    return tuple(found)


def _undecided(transmission: Transmission, state: JobState) -> tuple[Undecided, ...]:
    """Parts whose newest finding asks, or asks for machining, or that measured bad, and that nobody decided since."""
    decided = {body.part for body in state.bodies(PartDecided)}
    newest = {body.part: body for body in state.bodies(Finding)}
    asking = (PartVerdict.ASK, PartVerdict.MACHINE)
    found = {
        part: f"found {body.word.value}, the verdict was {body.verdict.value!r}"
        for part, body in newest.items()
        if body.verdict in asking and part not in decided
    }
    for one in standing(transmission, state):
        if one.limit.part is not None and one.judgement.verdict is Verdict.BAD:
            found.setdefault(one.limit.part, f"{one.limit.name} is bad: {one.judgement.why.rstrip('.')}")
    return tuple(Undecided(transmission.part(part), why) for part, why in found.items())
