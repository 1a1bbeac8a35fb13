"""Stock: which pieces of which family can be had, measured or only counted, on the shelf or from a price list."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeVar

from countershaft.job.at_shelf import OFF_MARK_MM, PieceGone, PieceMeasured, PriceList, SizesCounted
from countershaft.job.entry import Chosen, Dimensions, Entry, FitMeasured, Shelf, Trial, Undone
from countershaft.job.state import JobState
from countershaft.metrology.readings import Estimate
from countershaft.model.fits import Fit
from countershaft.model.transmission import Transmission
from countershaft.stages.fit_needed import Seat, seats_of
from countershaft.stages.measuring import doubts, estimated
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to

__all__ = [
    "FamilyStock",
    "Held",
    "OnShelf",
    "SizeFamily",
    "families",
    "family_of",
    "held",
    "off_mark_standard",
    "review_choice",
    "review_stock",
    "sizes_at_hand",
    "stock",
]


B = TypeVar("B")


@dataclass(frozen=True, slots=True)
class SizeFamily:
    """Fits that take the same pieces at their seats, what these are called, and every size that is made."""

    name: str
    words: str
    part: str
    sizes_mm: tuple[Decimal, ...]
    fits: tuple[str, ...]
    seats: tuple[str, ...]

    @property
    def title(self) -> str:
        """What the pieces are called, with the name of the family where the part alone does not tell it."""
        first = self.words[:1].upper() + self.words[1:]
        return first if self.name == self.part else f"{first} ({self.name})"


@dataclass(frozen=True, slots=True)
class OnShelf:
    """One measured piece; `held_by` is the fit that it was chosen for."""

    label: str
    family: str
    body: PieceMeasured
    entry: Entry
    held_by: str | None

    @property
    def size(self) -> Estimate:
        """Its measured size and how uncertain that is."""
        body = self.body
        return estimated(body.values_mm, "mm", resolution=body.resolution_mm, to="mm", taken=body.taken)

    @property
    def size_mm(self) -> Decimal:
        """Its measured size to a tenth of a micrometre, so that a working prints what it counts with."""
        return Decimal(f"{Decimal(repr(self.size.mean)).quantize(Decimal('0.0001')).normalize():f}")


@dataclass(frozen=True, slots=True)
class Held:
    """A chosen piece in its seat: it goes to no other fit."""

    fit: str
    seat: str
    size_mm: Decimal
    piece: str
    entry: Entry


@dataclass(frozen=True, slots=True)
class FamilyStock:
    """What can be had of one family.

    `counts` are pieces that nobody measured, less those in place; `counted` is the entry that says so.
    `unlimited` are sizes that were only said to lie there, as often as they are wanted.
    """

    family: SizeFamily
    pieces: tuple[OnShelf, ...]
    counts: dict[Decimal, int]
    unlimited: tuple[Decimal, ...]
    off_mark_mm: Decimal
    counted: Entry | None
    prices: PriceList | None
    priced: Entry | None

    @property
    def free(self) -> tuple[OnShelf, ...]:
        """Measured pieces that no fit holds."""
        return tuple(one for one in self.pieces if one.held_by is None)

    @property
    def looked(self) -> bool:
        """Whether somebody said what lies on the shelf."""
        return bool(self.pieces) or self.counted is not None

    @property
    def known(self) -> bool:
        """Whether anything is known, on the shelf or to order."""
        return self.looked or self.prices is not None


def families(transmission: Transmission) -> tuple[SizeFamily, ...]:
    """Every family of the file, in the order of its fits.

    A family is named by the file; without a name, by the part, with the first fit of a table that differs from it.
    """
    found: dict[str, list[tuple[Fit, Seat]]] = {}
    for fit in (one for one in transmission.all_fits if one.size_unit == "mm"):
        for seat in seats_of(fit):
            name = fit.family or seat.part
            if fit.family is None and name in found and found[name][0][1].sizes != seat.sizes:
                like = (
                    key
                    for key, known in found.items()
                    if key.startswith(f"{name}/") and known[0][1].sizes == seat.sizes
                )
                name = next(like, f"{name}/{fit.id}")
            found.setdefault(name, []).append((fit, seat))
    return tuple(_family(name, known) for name, known in found.items())


def _family(name: str, known: list[tuple[Fit, Seat]]) -> SizeFamily:
    first = known[0][1]
    return SizeFamily(
        name=name,
        words=" or ".join(dict.fromkeys(seat.label for _, seat in known)),
        part=first.part,
        sizes_mm=first.sizes,
        fits=tuple(dict.fromkeys(fit.id for fit, _ in known)),
        seats=tuple(seat.name for _, seat in known),
    )


def family_of(transmission: Transmission, fit_id: str) -> SizeFamily:
    """The family of a fit, of the first of its seats where it has several; raises Unknown."""
    seat = seats_of(transmission.fit(fit_id))[0].name
    return next(one for one in families(transmission) if seat in one.seats)


def held(state: JobState) -> tuple[Held, ...]:
    """Every piece that a standing choice holds; what is measured anew, chosen anew or undone frees it."""
    return _held(state.live)


def _held_then(state: JobState, at: Entry) -> tuple[Held, ...]:
    """Every piece that was held when an entry was written, by what counted then."""
    upto = state.entries[: state.entries.index(at) + 1]
    undone: set[str] = set()
    for entry in reversed(upto):
        if isinstance(entry.body, Undone) and entry.id not in undone:
            undone.add(entry.body.target)
    return _held(entry for entry in upto if entry.id not in undone)


def _held(entries: Iterable[Entry]) -> tuple[Held, ...]:
    found: dict[str, Held] = {}
    for entry in entries:
        body = entry.body
        if isinstance(body, Trial | Dimensions | FitMeasured):
            found = {key: one for key, one in found.items() if one.fit != body.fit}
        elif isinstance(body, Chosen) and body.plates_mm:
            for number, size in enumerate(body.plates_mm, start=1):
                seat = f"{body.fit}/{number}"
                found[seat] = Held(body.fit, seat, size, "", entry)
        elif isinstance(body, Chosen):
            seat = f"{body.fit}/{body.side}" if body.side else body.fit
            found[seat] = Held(body.fit, seat, body.size_mm, body.piece, entry)
    return tuple(found.values())


def stock(
    transmission: Transmission, state: JobState, *, free: str = "", of: Collection[str] | None = None
) -> dict[str, FamilyStock]:
    """What can be had of every family, by its name, or only of those that go to the seats `of`.

    `free` is a fit whose own piece counts as free.
    """
    in_place = tuple(one for one in held(state) if one.fit != free)
    labels = {one.piece: one.fit for one in in_place if one.piece}
    gone = {body.label: state.position[entry.id] for entry, body in state.of(PieceGone)}
    pieces: dict[str, OnShelf] = {}
    for entry, body in state.of(PieceMeasured):
        if gone.get(body.label, -1) < state.position[entry.id]:
            pieces[body.label] = OnShelf(body.label, body.family, body, entry, labels.get(body.label))
    return {
        one.name: _family_stock(state, one, tuple(pieces.values()), in_place)
        for one in families(transmission)
        if of is None or any(seat in of for seat in one.seats)
    }


def _family_stock(
    state: JobState, family: SizeFamily, pieces: tuple[OnShelf, ...], in_place: tuple[Held, ...]
) -> FamilyStock:
    counted = _newest([pair for pair in state.of(SizesCounted) if pair[1].family == family.name])
    ticked = _newest([pair for pair in state.of(Shelf) if pair[1].fit in family.fits])
    priced = _newest([pair for pair in state.of(PriceList) if pair[1].family == family.name])
    later = counted and (ticked is None or state.position[ticked[0].id] < state.position[counted[0].id])
    counts: dict[Decimal, int] = {}
    if counted is not None and later:
        counts = _still_there(state, family, counted, in_place)
    said = counted if later else ticked
    return FamilyStock(
        family=family,
        pieces=tuple(one for one in pieces if one.family == family.name),
        counts={size: number for size, number in sorted(counts.items()) if number > 0},
        unlimited=() if later or ticked is None else _ticked(state, family),
        off_mark_mm=counted[1].off_mark_mm if counted is not None and later else Decimal(OFF_MARK_MM),
        counted=said[0] if said is not None else None,
        prices=priced[1] if priced is not None else None,
        priced=priced[0] if priced is not None else None,
    )


def _still_there(
    state: JobState, family: SizeFamily, counted: tuple[Entry, SizesCounted], in_place: tuple[Held, ...]
) -> dict[Decimal, int]:
    """The count, less what went in since, and with what came out since."""
    counts = {one.size_mm: one.count for one in counted[1].counts}
    now = {(one.seat, one.entry.id): one for one in in_place}
    then = {(one.seat, one.entry.id): one for one in _held_then(state, counted[0])}
    for one, step in (
        *((one, -1) for key, one in now.items() if key not in then),
        *((one, 1) for key, one in then.items() if key not in now),
    ):
        if one.seat in family.seats and not one.piece:
            counts[one.size_mm] = counts.get(one.size_mm, 0) + step
    return counts


def _newest(found: list[tuple[Entry, B]]) -> tuple[Entry, B] | None:
    return found[-1] if found else None


def _ticked(state: JobState, family: SizeFamily) -> tuple[Decimal, ...]:
    """Sizes that were ticked for any fit of the family, each fit by its newest word."""
    newest = {body.fit: body for body in state.bodies(Shelf) if body.fit in family.fits}
    return tuple(sorted({size for body in newest.values() for size in body.sizes_mm}))


def off_mark_standard(off_mark_mm: Decimal) -> float:
    """The standard uncertainty of a size that is only marked: anywhere within what it may be off."""
    return float(off_mark_mm) / math.sqrt(3)


def sizes_at_hand(transmission: Transmission, state: JobState, fit: Fit) -> tuple[Decimal, ...] | None:
    """The sizes of the tables that lie there for a fit, marked or counted; None where nobody has looked."""
    seats = seats_of(fit)
    found = stock(transmission, state, free=fit.id, of={seat.name for seat in seats}).values()
    if not all(one.looked for one in found):
        return None
    made = {size for seat in seats for size in seat.sizes}
    marked = {piece.body.marked_mm or _nearest(one.family, piece) for one in found for piece in one.free}
    there = {size for one in found for size in (*one.counts, *one.unlimited)}
    return tuple(sorted((there | marked) & made))


def _nearest(family: SizeFamily, piece: OnShelf) -> Decimal:
    return min(family.sizes_mm, key=lambda size: abs(size - piece.size_mm))


# What is refused


def review_stock(transmission: Transmission, state: JobState, entry: Entry) -> Outcome:
    """Whether a word about the stock may join the log."""
    body = entry.body
    if isinstance(body, PieceGone):
        return _review_gone(transmission, state, body)
    assert isinstance(body, SizesCounted | PieceMeasured | PriceList), "asked for stock only"
    known = {one.name: one for one in families(transmission)}
    family = known.get(body.family)
    if family is None:
        return object_to(f"There is no family {body.family}; this file has {', '.join(known) or 'none'}.")
    if isinstance(body, PieceMeasured):
        return _review_piece(transmission, state, family, body, entry)
    sizes = [one.size_mm for one in (body.counts if isinstance(body, SizesCounted) else body.lines)]
    stranger = next((size for size in sizes if size not in family.sizes_mm), None)
    if stranger is not None:
        return object_to(_not_made(stranger, family))
    return _review_currency(state, body) if isinstance(body, PriceList) else ACCEPTED


def _not_made(size: Decimal, family: SizeFamily) -> str:
    made = ", ".join(str(one) for one in family.sizes_mm)
    return (
        f"{size} mm is not in the table of the {family.words} ({made} mm). Look at the marking again, or "
        "measure the piece and give it a label."
    )


def _review_currency(state: JobState, body: PriceList) -> Outcome:
    """All lists of a job count in one money, or their prices could not be added."""
    others = {one.family: one.currency for one in state.bodies(PriceList) if one.family != body.family}
    other = next((word for word in others.values() if word != body.currency), None)
    if other is None or not body.lines:
        return ACCEPTED
    return object_to(
        currency=f"The other price lists of this job are in {other}; {body.currency} cannot be added to it. "
        f"Give the prices in {other}."
    )


def _review_piece(
    transmission: Transmission, state: JobState, family: SizeFamily, body: PieceMeasured, entry: Entry
) -> Outcome:
    everywhere = {one.label: one for found in stock(transmission, state).values() for one in found.pieces}
    known = everywhere.get(body.label)
    if known is not None and not (body.again and known.family == body.family):
        return object_to(
            label=f"A piece {body.label} is there already: {known.size_mm} mm, by "
            f"{known.entry.by} at {known.entry.at:%d %b %H:%M}. Give this one its own label, or measure that one again."
        )
    if body.marked_mm is not None and body.marked_mm not in family.sizes_mm:
        return object_to(marked_mm=_not_made(body.marked_mm, family))
    first, last = family.sizes_mm[0], family.sizes_mm[-1]
    asked = doubts(
        body.values_mm,
        "mm",
        resolution=body.resolution_mm,
        taken=body.taken,
        on=entry.at.date(),
        lower=float(body.marked_mm or first),
        upper=float(body.marked_mm or last),
    )
    # Another unit or a slipped point explains it better than another size.
    asked = asked or tuple(_mismarked(family, body))
    return object_to(sure=" ".join(asked)) if asked else ACCEPTED


def _mismarked(family: SizeFamily, body: PieceMeasured) -> Iterator[str]:
    """A question where the piece measures like another size than the one marked on it, or like none of the table."""
    if body.taken is not None and body.taken.sure:
        return
    mean = sum(body.values_mm, Decimal(0)) / len(body.values_mm)
    near = min(family.sizes_mm, key=lambda size: abs(size - mean))
    first, last = family.sizes_mm[0], family.sizes_mm[-1]
    if body.marked_mm is None:
        if abs(mean - near) > max(last - first, last / 10):
            yield f"It measures {mean:.3f} mm; the sizes made are {first} mm to {last} mm. Is it a piece of this table?"
    elif near != body.marked_mm:
        yield f"It is marked {body.marked_mm} mm and measures {mean:.3f} mm, nearer to {near} mm. Is it that piece?"


def _review_gone(transmission: Transmission, state: JobState, body: PieceGone) -> Outcome:
    pieces = {one.label: one for found in stock(transmission, state).values() for one in found.pieces}
    known = pieces.get(body.label)
    if known is None:
        return object_to(f"No piece {body.label} is on the shelf; there are {', '.join(pieces) or 'none'}.")
    if known.held_by is not None:
        return object_to(
            f"{body.label} is chosen for {transmission.fit(known.held_by).name}. Undo that choice first."
        )
    return ACCEPTED


def review_choice(transmission: Transmission, state: JobState, fit: Fit, body: Chosen) -> Outcome:
    """Whether the piece or size that is named lies there and goes to no other fit."""
    seat = f"{fit.id}/{body.side}" if body.side else fit.id
    found = next(one for one in stock(transmission, state, free=fit.id).values() if seat in one.family.seats)
    if body.piece:
        piece = next((one for one in found.pieces if one.label == body.piece), None)
        if piece is None:
            free = ", ".join(one.label for one in found.free) or "none"
            return object_to(f"No piece {body.piece} is among the {found.family.words}; there are {free}.")
        if piece.held_by is not None:
            other = transmission.fit(piece.held_by).name
            return object_to(f"{body.piece} is in {other} already. Take another, or undo the choice there.")
        return ACCEPTED
    there = {*found.counts, *found.unlimited}
    if body.size_mm in there:
        return ACCEPTED
    holder = next(
        (one for one in held(state) if one.fit != fit.id and not one.piece and one.size_mm == body.size_mm
         and one.fit in found.family.fits), None,
    )  # fmt: skip
    if holder is not None and found.counted is not None and not found.unlimited:
        return object_to(
            size_mm=f"The last {body.size_mm} mm is in {transmission.fit(holder.fit).name}; there are "
            f"{_list(there)}. Take another, or undo the choice there."
        )
    return object_to(size_mm=f"{body.size_mm} mm is not on the shelf; there are {_list(there)}.")


def _list(sizes: set[Decimal]) -> str:
    return ", ".join(str(size) for size in sorted(sizes)) or "none"
