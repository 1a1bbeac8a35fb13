"""Custody: where every piece of every part and every fastener is, as the log tells it.

A piece is in the unit or at exactly one spot outside it: in a tagged place, in its own hole, sent out, scrapped, or out
with nobody having said where.  It is in exactly one of these at any time.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from countershaft.job.at_places import SCRAPPED, UNSAID, Moved, Spot
from countershaft.job.entry import StepDone, Tightened
from countershaft.job.state import JobState
from countershaft.model.fasteners import Joint
from countershaft.model.steps import Step
from countershaft.model.transmission import Transmission

__all__ = ["Custody", "Holding", "Lying", "Sort", "custody", "pieces"]

Sort = Literal["part", "joint"]


@dataclass(frozen=True, slots=True)
class Lying:
    """Pieces of one part in one tagged place."""

    part: str
    name: str
    count: int
    place: str


@dataclass(frozen=True, slots=True)
class Holding:
    """All pieces of one part, or all fasteners of one joint: how many are in the unit, and how many at each spot.

    `new` counts those that were put on beyond what lay outside: they came into being as replacements, so that
    `in_unit` and all of `outside` together are `quantity` and `new`.
    """

    sort: Sort
    id: str
    name: str
    quantity: int
    in_unit: int
    outside: Mapping[Spot, int]
    new: int = 0

    @property
    def unsaid(self) -> int:
        """How many are out with nobody having said where."""
        return self.outside.get(UNSAID, 0)


@dataclass(frozen=True, slots=True)
class Custody:
    """Where everything is.

    `lying` is what is out of the unit and where; `off` and `on` count the pieces that were taken off and put on.
    `holdings` has every part and every joint; `void` names moves that the log holds and that cannot have been.
    """

    lying: tuple[Lying, ...]
    off: dict[str, int]
    on: dict[str, int]
    holdings: tuple[Holding, ...] = ()
    void: tuple[str, ...] = ()

    def out(self, part: str) -> int:
        """How many pieces of a part are out of the unit now; below zero where more went on than had come off."""
        return self.off.get(part, 0) - self.on.get(part, 0)

    def find(self, sort: Sort, key: str) -> Holding | None:
        """The holding of a part or joint."""
        return next((one for one in self.holdings if (one.sort, one.id) == (sort, key)), None)

    def at(self, how: str) -> tuple[tuple[Holding, Spot, int], ...]:
        """What is at spots of one kind, in the order of the file."""
        return tuple(
            (one, spot, count)
            for one in self.holdings
            for spot, count in one.outside.items()
            if spot.how == how and count
        )

    @property
    def places(self) -> tuple[str, ...]:
        """Every tagged place in which something lies, in the order in which it was first used."""
        found = [one.place for one in self.lying]
        return tuple(dict.fromkeys([*found, *(spot.name for _, spot, _ in self.at("place"))]))


def pieces(transmission: Transmission, step: Step) -> dict[str, int]:
    """Part -> how many pieces a step takes off or puts on; a part without a count means all of it."""
    found: Counter[str] = Counter()
    for piece in step.off if step.phase == "teardown" else step.on:
        found[piece.part] += piece.count or transmission.part(piece.part).quantity
    return dict(found)


def custody(transmission: Transmission, state: JobState) -> Custody:
    """Follow the pieces through the log.

    A step that two benches said is counted once, by its newest entry; what was taken off is laid out and moved before
    anything is put on, so that the pieces add up in whatever order two benches wrote.
    """
    done = [(transmission.step(key), entry.body) for key, entry in state.done_steps.items()]
    bodies = [(step, body) for step, body in done if isinstance(body, StepDone)]
    off = Counter[str]()
    ledger: dict[tuple[Sort, str], dict[Spot, int]] = {}
    for _, body in bodies:
        for placed in body.placed:
            off[placed.part] += placed.count
            _lay(ledger, ("part", placed.part), Spot(how="place", name=placed.place), placed.count)
    out = _loosened(transmission, bodies, ledger)
    void = tuple(_moves(transmission, state.bodies(Moved), ledger))
    on = Counter[str]()
    for step, _ in bodies:
        if step.phase == "build":
            on.update(pieces(transmission, step))
    taken = {part: _take(ledger.get(("part", part), {}), count) for part, count in on.items()}
    back = _tightened(transmission, state, bodies, out, ledger)
    return Custody(
        lying=tuple(_lying(transmission, ledger)),
        off=dict(off),
        on=dict(on),
        holdings=(
            *_parts(transmission, ledger, off, on, taken),
            *_joints(transmission, ledger, out, back),
        ),
        void=void,
    )


def _lay(
    ledger: dict[tuple[Sort, str], dict[Spot, int]], key: tuple[Sort, str], spot: Spot, count: int
) -> None:
    held = ledger.setdefault(key, {})
    held[spot] = held.get(spot, 0) + count


def _loosened(
    transmission: Transmission,
    bodies: Iterable[tuple[Step, StepDone]],
    ledger: dict[tuple[Sort, str], dict[Spot, int]],
) -> dict[str, int]:
    """Joint -> how many fasteners came out; where nobody said where they went, they are out with no spot said."""
    out: dict[str, int] = {}
    for step, body in bodies:
        for joint_id in step.loosen:
            if joint_id in out:
                continue
            count = len(transmission.joint(joint_id).place_ids)
            out[joint_id] = count
            for stowed in body.stowed:
                if stowed.joint == joint_id and count:
                    laid = min(stowed.count, count)
                    _lay(ledger, ("joint", joint_id), stowed.spot, laid)
                    count -= laid
            if count:
                _lay(ledger, ("joint", joint_id), UNSAID, count)
    return out


def _moves(
    transmission: Transmission,
    moves: Iterable[Moved],
    ledger: dict[tuple[Sort, str], dict[Spot, int]],
) -> Iterator[str]:
    """Carry out every move as far as there are pieces where it starts; yields what cannot have been."""
    for move in moves:
        held = ledger.get((move.sort, move.what), {})
        there = held.get(move.start, 0)
        count = min(move.count, there)
        if count:
            held[move.start] = there - count
            held[move.to] = held.get(move.to, 0) + count
        if count < move.count:
            name = _name(transmission, move.sort, move.what)
            yield (
                f"{move.count} × {name} were moved from where only {there} were ({move.start.words()}) "
                f"to {move.to.words()}; undo one of the two moves."
            )


def _take(held: dict[Spot, int], count: int) -> int:
    """Take pieces out of the spots where they lie, the first spot first; scrapped ones stay. Returns how many."""
    wanted = count
    for spot in [spot for spot in held if spot != SCRAPPED]:
        taken = min(count, held[spot])
        held[spot] -= taken
        count -= taken
    return wanted - count


def _tightened(
    transmission: Transmission,
    state: JobState,
    bodies: Iterable[tuple[Step, StepDone]],
    out: Mapping[str, int],
    ledger: dict[tuple[Sort, str], dict[Spot, int]],
) -> dict[str, tuple[int, int]]:
    """Joint -> (fasteners that went in again, how many of them are new).

    Those that are always new, or that a step ticked as new, leave the old ones behind as scrap.
    """
    turned: dict[str, set[str]] = {}
    for body in state.bodies(Tightened):
        turned.setdefault(body.joint, set()).update(body.places)
    ticked = {
        key.removeprefix("joint:") for _, body in bodies for key in body.new if key.startswith("joint:")
    }
    back: dict[str, tuple[int, int]] = {}
    for joint_id, came in out.items():
        joint = transmission.joint(joint_id)
        count = min(len(turned.get(joint_id, set()).intersection(joint.place_ids)), came)
        held = ledger[("joint", joint_id)]
        old = _take(held, count)
        renewed = count if joint.reuse == "always new" or joint_id in ticked else count - old
        if renewed > count - old:
            held[SCRAPPED] = held.get(SCRAPPED, 0) + renewed - (count - old)
        back[joint_id] = (count, renewed)
    return back


def _lying(
    transmission: Transmission, ledger: Mapping[tuple[Sort, str], Mapping[Spot, int]]
) -> Iterator[Lying]:
    for (sort, key), held in ledger.items():
        for spot, count in held.items():
            if sort == "part" and spot.how == "place" and count:
                yield Lying(key, transmission.part(key).name, count, spot.name)


def _parts(
    transmission: Transmission,
    ledger: Mapping[tuple[Sort, str], Mapping[Spot, int]],
    off: Mapping[str, int],
    on: Mapping[str, int],
    taken: Mapping[str, int],
) -> Iterator[Holding]:
    for part in transmission.parts:
        came, went = off.get(part.id, 0), on.get(part.id, 0)
        yield Holding(
            "part",
            part.id,
            part.name,
            part.quantity,
            in_unit=part.quantity - came + went,
            outside=_kept(ledger.get(("part", part.id), {})),
            new=went - taken.get(part.id, 0),
        )


def _joints(
    transmission: Transmission,
    ledger: Mapping[tuple[Sort, str], Mapping[Spot, int]],
    out: Mapping[str, int],
    back: Mapping[str, tuple[int, int]],
) -> Iterator[Holding]:
    for joint in transmission.fasteners:
        count = len(joint.place_ids)
        again, new = back.get(joint.id, (0, 0))
        yield Holding(
            "joint",
            joint.id,
            _called(joint),
            count,
            in_unit=count - out.get(joint.id, 0) + again,
            outside=_kept(ledger.get(("joint", joint.id), {})),
            new=new,
        )


def _kept(held: Mapping[Spot, int]) -> dict[Spot, int]:
    return {spot: count for spot, count in held.items() if count}


def _name(transmission: Transmission, sort: Sort, key: str) -> str:
    return transmission.part(key).name if sort == "part" else _called(transmission.joint(key))


def _called(joint: Joint) -> str:
    return f"{joint.kind} {joint.thread}, {joint.name}"
