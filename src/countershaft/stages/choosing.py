"""Choosing: the parts of all fits of a job together, from what lies on the shelf and what can be ordered."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from countershaft.errors import Unknown
from countershaft.job.state import JobState
from countershaft.model.fits import Fit
from countershaft.model.transmission import Transmission
from countershaft.planning.choosing import FitPlan, Left, Selected, choose_fits
from countershaft.planning.reach import beyond
from countershaft.planning.shelf import Family, Gap, Listed, Piece, Place, Shop
from countershaft.stages.choice_gaps import Goes, Rest, in_place, lies_there, rests
from countershaft.stages.fit import FitState, survey
from countershaft.stages.prediction import as_left
from countershaft.stages.stock import FamilyStock, off_mark_standard, stock

__all__ = ["Choosing", "FitChoice", "How", "Plan", "choosing"]

#: How a fit stands: its piece is in and it is closed or to be re-measured; a piece is proposed, from the shelf or to
#: order; the table does not reach; it waits for another fit; nothing or too little is there; it is not measured.
How = Literal["closed", "in", "shelf", "order", "beyond", "waits", "no stock", "short", "not measured"]


@dataclass(frozen=True, slots=True)
class FitChoice:
    """One fit in the joint choice.

    `goes` is what is in or proposed, `left` what the fit comes to with it, once for each of its gaps.
    `why` says what stands in the way; `elsewhere` names a piece that would come nearer here, and where it goes.
    """

    fit: Fit
    now: FitState
    how: How
    goes: tuple[Goes, ...] = ()
    left: tuple[Left, ...] = ()
    why: str = ""
    suspects: tuple[str, ...] = ()
    elsewhere: str = ""


@dataclass(frozen=True, slots=True)
class Plan:
    """One way to choose all parts: what goes where, how probable it is that all fits are good, what it costs."""

    goes: tuple[Goes, ...]
    left: tuple[Left, ...]
    probability: float
    price_cents: int
    days: int

    @property
    def to_order(self) -> tuple[Goes, ...]:
        """What is not on the shelf."""
        return tuple(one for one in self.goes if one.ordered)

    def at(self, seat: str) -> Goes:
        """What goes to a seat."""
        return next(one for one in self.goes if one.seat == seat)


@dataclass(frozen=True, slots=True)
class Choosing:
    """The joint choice of a job.

    `best` is None where there is nothing to choose; `shelf_only` where the shelf cannot fill every place.
    `proven` says that no other choice is better; `voided` says which fits no longer hold, since what they rest on was
    changed.
    """

    fits: tuple[FitChoice, ...]
    shop: Shop | None
    best: Plan | None
    others: tuple[Plan, ...]
    shelf_only: Plan | None
    proven: bool
    no_step: tuple[str, ...]
    voided: tuple[str, ...]
    currency: str
    stock: dict[str, FamilyStock]

    def of(self, fit_id: str) -> FitChoice:
        """One fit of the choice; raises Unknown."""
        for one in self.fits:
            if one.fit.id == fit_id:
                return one
        known = ", ".join(one.fit.id for one in self.fits) or "none"
        raise Unknown(f"no fit of the choice is called {fit_id!r}; there are {known}.")

    @property
    def from_shelf(self) -> tuple[FitChoice, ...]:
        """Fits whose proposed piece lies on the shelf."""
        return tuple(one for one in self.fits if one.how == "shelf")


def choosing(
    transmission: Transmission,
    state: JobState,
    *,
    free: str = "",
    within_days: int | None = None,
    plans: int = 3,
) -> Choosing:
    """Choose the parts of all fits that are measured and not set, together.

    What stands in a fit is not taken out of it, except out of the fit that is called `free`.
    What takes longer than `within_days` to come is not considered.
    """
    followed = survey(transmission, state).fits
    found = {one.fit.id: one for one in followed if one.fit.size_unit == "mm"}
    there = stock(transmission, state, free=free)
    owner = {seat.name: name for name, now in found.items() for seat in now.seats}
    owner |= {gap.name: name for name, now in found.items() for gap in now.gaps}
    placed = {
        seat: one for seat, one in in_place(state, there, free).items() if found[owner[seat]].chosen_all
    }
    blocked = dict(_not_to_choose(found, there, placed))
    gaps = _gaps(transmission, state, found, placed, blocked)
    pieces, listed = _pieces(there, gaps), _listed(there, within_days)
    _leave_out_short(there, gaps, pieces, listed, blocked)
    shop = _shop(there, gaps, pieces, listed)
    answer = choose_fits(shop, plans=plans) if shop.gaps else None
    if answer is not None:
        text = "It shares a part with a fit that is out of reach."
        blocked |= {owner[name]: ("waits", text) for name in answer.waiting}
        blocked |= {owner[one.gap]: ("beyond", one.why) for one in answer.beyond}
    best, *others = (
        [_plan(one, there) for one in (answer.best, *answer.others)] if answer is not None else [None]
    )
    alone = _better_alone(shop, best, found, owner) if best is not None else {}
    reckoned = {
        name: rests(transmission, state, now, placed)
        for name, now in found.items()
        if blocked.get(name, ("", ""))[0] in ("closed", "in")
    }
    return Choosing(
        fits=tuple(
            _fit_choice(now, best, placed, blocked, reckoned.get(name, ()), alone.get(name, ""))
            for name, now in found.items()
        ),
        shop=shop if shop.gaps else None,
        best=best,
        others=tuple(one for one in others if one is not None),
        shelf_only=_plan(answer.from_shelf, there) if answer is not None and answer.from_shelf else None,
        proven=answer is None or answer.verdict == "optimal",
        no_step=tuple(one.why for one in answer.no_step) if answer is not None else (),
        voided=tuple(now.voided for now in found.values() if now.voided),
        currency=next((one.prices.currency for one in there.values() if one.prices is not None), ""),
        stock=there,
    )


def _not_to_choose(
    found: Mapping[str, FitState], there: Mapping[str, FamilyStock], placed: Mapping[str, Goes]
) -> Iterator[tuple[str, tuple[How, str]]]:
    """Fits that nothing is chosen for, and why."""
    by_seat = {seat: known for known in there.values() for seat in known.family.seats}
    for name, now in found.items():
        if all(seat.name in placed for seat in now.seats):
            yield name, ("closed" if now.closed else "in", "")
        elif now.found.beyond:
            yield name, ("beyond", now.found.beyond)
        elif not now.gaps:
            yield name, ("not measured", now.found.fault or now.voided)
        elif not all(by_seat[seat.name].known for seat in now.seats):
            yield name, ("no stock", f"Nobody has said which {now.fit.selective} can be had.")


# Gaps


def _gaps(
    transmission: Transmission,
    state: JobState,
    found: Mapping[str, FitState],
    placed: Mapping[str, Goes],
    blocked: dict[str, tuple[How, str]],
) -> dict[str, tuple[Gap, ...]]:
    """The gaps that hang on an open seat, by fit; what is in place is counted as it is."""
    open_seats = {seat.name for name, now in found.items() if name not in blocked for seat in now.seats}
    known = open_seats | set(placed)
    gaps: dict[str, tuple[Gap, ...]] = {}
    for name, now in found.items():
        how = blocked.get(name, ("", ""))[0]
        if how in ("not measured", "no stock"):
            continue
        missing = [
            one.fit
            for one in now.fit.also
            if one.fit not in known and lies_there(transmission, state, one, name)
        ]
        if missing and not how:
            other = found[missing[0]].fit.name
            blocked[name] = ("waits", f"It hangs on the part of {other}, which is not measured yet.")
            continue
        rest = tuple(
            one.as_gap() for one in rests(transmission, state, now, placed, known=known) if one.terms
        )
        if rest:
            gaps[name] = rest
    return gaps


# What can be had


def _pieces(there: Mapping[str, FamilyStock], gaps: Mapping[str, tuple[Gap, ...]]) -> tuple[Piece, ...]:
    """Every free piece by a name of its own; what was only ticked lies there once for every open seat."""
    seats = {term.place for some in gaps.values() for gap in some for term in gap.terms}
    found = []
    for name, known in there.items():
        wanted = len(seats.intersection(known.family.seats))
        found += [Piece(one.label, name, Fraction(one.size_mm), one.size.standard) for one in known.free]
        counted = {**dict.fromkeys(known.unlimited, wanted), **known.counts}
        standard = off_mark_standard(known.off_mark_mm)
        found += [
            Piece(_marked(name, size, number), name, Fraction(size), standard)
            for size, count in counted.items()
            for number in range(1, min(count, wanted) + 1)
        ]
    return tuple(found)


def _marked(family: str, size: Decimal, number: int) -> str:
    """A name for a piece that has none: no label holds a vertical bar before it."""
    return f"|{family}|{size}|{number}"


def _listed(there: Mapping[str, FamilyStock], within_days: int | None) -> tuple[Listed, ...]:
    return tuple(
        Listed(
            name,
            Fraction(one.size_mm),
            off_mark_standard(known.prices.off_mark_mm),
            one.price_cents,
            one.days,
        )
        for name, known in there.items()
        if known.prices is not None
        for one in known.prices.lines
        if within_days is None or one.days <= within_days
    )


def _leave_out_short(
    there: Mapping[str, FamilyStock],
    gaps: dict[str, tuple[Gap, ...]],
    pieces: Iterable[Piece],
    listed: Iterable[Listed],
    blocked: dict[str, tuple[How, str]],
) -> None:
    """Leave out the fits of a family that has fewer pieces than seats, so that the others are chosen all the same."""
    family_of = _tables(there)
    to_order = {one.family for one in listed}
    for name, known in there.items():
        wanting = {
            term.place: fit
            for fit, some in gaps.items()
            if not any(beyond(gap, family_of) for gap in some)
            for gap in some
            for term in gap.terms
            if term.place in known.family.seats
        }
        count = sum(1 for one in pieces if one.family == name)
        if count >= len(wanting) or name in to_order:
            continue
        text = (
            f"{len(wanting)} seats want {known.family.words}, and {count} can be had. "
            "Add what else lies there, or the price list."
        )
        for fit in [fit for fit, some in gaps.items() if _touches(some, set(wanting))]:
            del gaps[fit]
            if fit not in blocked:
                blocked[fit] = ("short", text)


def _touches(gaps: Iterable[Gap], seats: set[str]) -> bool:
    return any(term.place in seats for gap in gaps for term in gap.terms)


def _tables(there: Mapping[str, FamilyStock]) -> dict[str, Family]:
    return {
        seat: Family(name, tuple(Fraction(size) for size in known.family.sizes_mm))
        for name, known in there.items()
        for seat in known.family.seats
    }


def _shop(
    there: Mapping[str, FamilyStock],
    gaps: Mapping[str, tuple[Gap, ...]],
    pieces: tuple[Piece, ...],
    listed: tuple[Listed, ...],
) -> Shop:
    tables = _tables(there)
    seats = sorted({term.place for some in gaps.values() for gap in some for term in gap.terms})
    return Shop(
        families=tuple({one.name: one for one in tables.values()}.values()),
        places=tuple(Place(seat, tables[seat].name) for seat in seats),
        gaps=tuple(gap for some in gaps.values() for gap in some),
        pieces=pieces,
        listed=listed,
    )


# What comes of it


def _plan(plan: FitPlan, there: Mapping[str, FamilyStock]) -> Plan:
    return Plan(
        goes=tuple(_goes(one, there) for one in plan.selected),
        left=plan.left,
        probability=plan.probability,
        price_cents=plan.price,
        days=plan.days,
    )


def _goes(one: Selected, there: Mapping[str, FamilyStock]) -> Goes:
    known = there[one.family]
    label = one.piece if one.piece is not None and not one.piece.startswith("|") else ""
    size = next((size for size in known.family.sizes_mm if Fraction(size) == one.size), None)
    if label or size is None:
        size = next(piece.size_mm for piece in known.pieces if piece.label == label)
    return Goes(
        one.place, known.family, size, one.standard, label, one.ordered, one.price, one.days
    )  # fmt: skip


def _fit_choice(
    now: FitState,
    best: Plan | None,
    placed: Mapping[str, Goes],
    blocked: Mapping[str, tuple[How, str]],
    own: tuple[Rest, ...],
    alone: str,
) -> FitChoice:
    name = now.fit.id
    how, why = blocked.get(name, ("shelf", ""))
    own_gaps = {gap.name for gap in now.gaps}
    foreseen = tuple(one for one in best.left if one.gap in own_gaps) if best is not None else ()
    if how in ("closed", "in"):
        goes = tuple(placed[seat.name] for seat in now.seats if seat.name in placed)
        return FitChoice(now.fit, now, how, goes, foreseen or tuple(as_left(one) for one in own))
    if name in blocked or best is None:
        return FitChoice(now.fit, now, how, why=why, suspects=now.suspects)
    goes = tuple(placed.get(seat.name) or best.at(seat.name) for seat in now.seats)
    if any(one.ordered for one in goes):
        how = "order"
    return FitChoice(now.fit, now, how, goes, foreseen, elsewhere=alone)


def _better_alone(
    shop: Shop, best: Plan, found: Mapping[str, FitState], owner: Mapping[str, str]
) -> dict[str, str]:
    """Fits that alone would take a piece that the joint choice gives to another: which, and to whom."""
    taker = {one.piece or f"|{one.family.name}|{one.size_mm}": one for one in best.goes if not one.ordered}
    notes = {}
    for gap in shop.gaps:
        own = next((one for one in best.goes if one.seat == gap.terms[0].place), None)
        if len(gap.terms) != 1 or own is None or len(found[owner[gap.name]].seats) > 1:
            continue
        place = next(one for one in shop.places if one.name == own.seat)
        alone = choose_fits(replace(shop, places=(place,), gaps=(gap,))).best.selected[0]
        other = taker.get((alone.piece or "").rpartition("|")[0] or (alone.piece or ""))
        if (
            other is None
            or other.seat == own.seat
            or (other.size_mm, other.piece) == (own.size_mm, own.piece)
        ):
            continue
        notes[owner[gap.name]] = (
            f"{other.words} would come nearer here; it goes to {found[owner[other.seat]].fit.name}, "
            "and both together are better so."
        )
    return notes
