"""Decide: the kit of always-new and condemned parts, one estimate, and consent to it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from countershaft.job.entry import (
    Consent,
    Entry,
    Estimate,
    EstimateLine,
    Finding,
    Labour,
    Moved,
    PartDecided,
    Priced,
)
from countershaft.job.state import JobState
from countershaft.job.words import PartVerdict
from countershaft.metrology.conformity import Verdict
from countershaft.model.parts import Part, Policy
from countershaft.model.transmission import Transmission
from countershaft.stages.diagnose import Killer, killers
from countershaft.stages.inspection import Checked, checked
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to

__all__ = ["Decision", "KitLine", "Undecided", "kit", "renewed", "review", "standing", "survey"]


def hundredths(sum_of_money: Decimal) -> Decimal:
    """A sum as it is asked for and printed: to the hundredth, halves upward, so that printed lines add up."""
    return sum_of_money.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)


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
        """Price of the whole line, to the hundredth."""
        return None if self.price is None else hundredths(self.price * self.count)


@dataclass(frozen=True, slots=True)
class Undecided:
    """A part that was found and about which a person still has to decide."""

    part: Part
    why: str


@dataclass(frozen=True, slots=True)
class Decision:
    """The kit, what it costs, and whether the customer agreed.

    `unready` is what the estimate still needs, `unagreed` what keeps estimate and consent from covering the kit.
    """

    lines: tuple[KitLine, ...]
    undecided: tuple[Undecided, ...]
    labour: Labour | None
    parts_total: Decimal
    total: Decimal | None
    estimate: Estimate | None
    estimate_entry: Entry | None
    consent: Consent | None
    killers: tuple[Killer, ...]
    unready: tuple[str, ...]
    unagreed: tuple[str, ...]

    @property
    def open(self) -> tuple[str, ...]:
        """Everything that is open: what the estimate still needs, then estimate and consent themselves."""
        return self.unready + self.unagreed

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
    total = parts_total + hundredths(labour.hours * labour.rate) if labour is not None and priced else None
    given = state.of(Estimate)
    entry, estimate = given[-1] if given else (None, None)
    consent = next((one for one in reversed(state.bodies(Consent)) if one.purpose == "overhaul"), None)
    return Decision(
        lines=lines,
        undecided=undecided,
        labour=labour,
        parts_total=parts_total,
        total=total,
        estimate=estimate,
        estimate_entry=entry,
        consent=consent,
        killers=killers(state),
        unready=_unready(lines, undecided, labour),
        unagreed=(*_estimate_open(lines, total, estimate), *_consent_open(estimate, consent)),
    )


def _unready(
    lines: tuple[KitLine, ...], undecided: tuple[Undecided, ...], labour: Labour | None
) -> tuple[str, ...]:
    found = [f"{one.part.name}: {one.why}" for one in undecided]
    unpriced = sum(line.price is None for line in lines)
    if unpriced:
        found.append(f"{unpriced} of {len(lines)} lines have no price")
    if labour is None:
        found.append("hours and the rate of an hour")
    return tuple(found)


def _estimate_open(
    lines: tuple[KitLine, ...], total: Decimal | None, estimate: Estimate | None
) -> tuple[str, ...]:
    """Whether the estimate that was given is the kit as it stands now."""
    if estimate is None:
        return ("the estimate",)
    if total is None:
        return ("a new estimate: the kit has lines without a price",)
    if estimate.total != total:
        return (f"a new estimate: the kit changed from {estimate.total:.2f} to {total} {estimate.currency}",)
    if _frozen(lines) != estimate.lines:
        return ("a new estimate: the lines of the kit changed",)
    return ()


def _consent_open(estimate: Estimate | None, consent: Consent | None) -> tuple[str, ...]:
    if consent is None:
        return ("consent to the overhaul",)
    if estimate is not None and consent.limit < estimate.total:
        return (
            f"consent covers {consent.limit:.2f} {estimate.currency}, the estimate says {estimate.total:.2f}",
        )
    return ()


def _frozen(lines: tuple[KitLine, ...]) -> tuple[EstimateLine, ...]:
    """Priced lines as an estimate holds them."""
    return tuple(
        EstimateLine(what=line.what, count=line.count, price=line.price)
        for line in lines
        if line.price is not None
    )


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
                f"The kit comes to {found.total}, the estimate says {body.total:.2f}; look at the kit again."
            )
        if body.lines != _frozen(found.lines) or (body.hours, body.rate, body.currency) != _work_of(found):
            return object_to("The lines or hours of the estimate are not those of the kit; look at it again.")
    return ACCEPTED


def _work_of(found: Decision) -> tuple[Decimal, Decimal, str] | None:
    return (found.labour.hours, found.labour.rate, found.labour.currency) if found.labour else None


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
    scrapped = sum(
        body.count
        for body in state.bodies(Moved)
        if (body.sort, body.what, body.to.how) == ("part", part.id, "scrapped")
    )
    return (min(scrapped, part.quantity), "scrapped at the bench") if scrapped else (0, "")


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
