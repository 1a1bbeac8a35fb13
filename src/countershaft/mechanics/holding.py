"""Every combination of shift elements of a train, solved cheaply: each builds on the one before it.

A combination is a set of *holds*, kept as the bits of an integer; a sleeve has one hold per position, of which at
most one is applied.  What sets, pairs and ground say is taken off once; what is left of each hold is a short row.
A combination's rows are those of the combination without its last hold, and one more; where that already ties the
train up, so does everything that adds to it.

One-way clutches behave as in `countershaft.mechanics.states`, and so does what is called definite.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from itertools import combinations

from countershaft.errors import TrainError
from countershaft.mechanics.constraints import Row
from countershaft.mechanics.exact import Echelon, combination, echelon
from countershaft.mechanics.network import Network, nearest
from countershaft.mechanics.shift_elements import OneWayBetween, OneWayToGround, Sleeve
from countershaft.mechanics.states import StateKind

__all__ = ["Hold", "HoldingTable", "Outcome"]

Vector = tuple[Fraction, ...]


@dataclass(frozen=True, slots=True)
class Hold:
    """One way of holding: an element, or one position of a sleeve; `name` is what a chart writes.

    `free` are the weights of a one-way clutch, whose sum over the speeds is positive while it overruns; None for
    an element that is commanded.
    """

    name: str
    element: str
    row: Row
    free: Mapping[str, Fraction] | None = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What becomes of one combination.

    `speed` is the output's per input turn in a definite state, and None in any other.
    `held` are the holds that really hold: those applied, without the one-way clutches that overrun and with those
    that the motion makes catch.
    """

    kind: StateKind
    speed: Fraction | None
    applied: int
    held: int

    @property
    def ratio(self) -> Fraction | None:
        """Input speed over output speed; None where the state is not definite or the output stands still."""
        return 1 / self.speed if self.speed else None

    @property
    def overrunning(self) -> int:
        """Applied one-way clutches that do not hold."""
        return self.applied & ~self.held

    @property
    def catching(self) -> int:
        """One-way clutches that hold though they are not applied."""
        return self.held & ~self.applied


@dataclass(frozen=True)
class HoldingTable:
    """The holds of a train, and what any combination of them makes of it; answers are kept."""

    network: Network
    _forms: dict[int, Echelon | None] = field(default_factory=dict, init=False, repr=False, compare=False)
    _speeds: dict[int, Fraction | None] = field(default_factory=dict, init=False, repr=False, compare=False)

    @cached_property
    def holds(self) -> tuple[Hold, ...]:
        """Every hold, in the order of the elements."""
        found: list[Hold] = []
        for element in self.network.elements:
            if isinstance(element, Sleeve):
                positions = [(f"{element.id}:{name}", element.row(name)) for name, _ in element.positions]
                found += [Hold(name, element.id, row) for name, row in positions]
            elif isinstance(element, OneWayToGround | OneWayBetween):
                found.append(Hold(element.id, element.id, element.row(), element.weights()))
            else:
                found.append(Hold(element.id, element.id, element.row()))
        return tuple(found)

    @cached_property
    def _bits(self) -> dict[str, int]:
        bits = {hold.name: 1 << place for place, hold in enumerate(self.holds)}
        for element in self.network.elements:
            if isinstance(element, Sleeve) and len(element.positions) == 1:
                bits[element.id] = bits[f"{element.id}:{element.positions[0][0]}"]
        return bits

    @cached_property
    def _siblings(self) -> tuple[int, ...]:
        """For each hold, all holds of its element."""
        return tuple(
            sum(1 << place for place, other in enumerate(self.holds) if other.element == hold.element)
            for hold in self.holds
        )

    def mask(self, applied: Iterable[str]) -> int:
        """The holds of a chart's entry as bits; raises TrainError for a name that is not there or stands twice."""
        bits = 0
        for name in applied:
            bit = self._bits.get(name)
            if bit is None:
                raise TrainError(f"there is no shift element {name!r}; {nearest(name, self._bits)}")
            if bits & self._siblings[bit.bit_length() - 1]:
                raise TrainError(f"{name.partition(':')[0]} is applied twice in one state; name it once.")
            bits |= bit
        return bits

    def names(self, mask: int) -> tuple[str, ...]:
        """The holds of a combination by name, in the order of the elements."""
        return tuple(hold.name for place, hold in enumerate(self.holds) if mask >> place & 1)

    def swapped(self, mask: int, place: int) -> int:
        """A combination with one hold added; another position of the same sleeve gives way to it."""
        return mask & ~self._siblings[place] | 1 << place

    def masks(self) -> Iterator[int]:
        """Every combination that can be applied, each sleeve in at most one position."""
        made = [0]
        for element in dict.fromkeys(hold.element for hold in self.holds):
            own = [1 << place for place, hold in enumerate(self.holds) if hold.element == element]
            made += [mask | bit for bit in own for mask in made]
        return iter(made)

    # --- what sets, pairs and ground leave over ---

    @cached_property
    def _free_columns(self) -> tuple[int, ...]:
        pivots = set(self.network.structure.echelon.pivots)
        return tuple(column for column in range(len(self.network.members)) if column not in pivots)

    def _short(self, weights: Mapping[str, Fraction]) -> Vector:
        """What is left of a weighted sum of speeds once the structure has been taken off it."""
        structure = self.network.structure
        left = structure.echelon.remainder(structure.vector(weights))
        return tuple(left[column] for column in self._free_columns)

    @cached_property
    def _units(self) -> dict[str, Vector]:
        return {member: self._short({member: Fraction(1)}) for member in self.network.members}

    @cached_property
    def _rows(self) -> tuple[Vector, ...]:
        return tuple(self._short(dict(hold.row.coefficients)) for hold in self.holds)

    @cached_property
    def _ways(self) -> dict[int, Vector]:
        """Bit of each one-way clutch to the weights of its free direction."""
        return {
            1 << place: self._short(hold.free)
            for place, hold in enumerate(self.holds)
            if hold.free is not None
        }

    @cached_property
    def _structure_parts(self) -> tuple[tuple[Row, ...], tuple[Vector, ...]]:
        """Rows of the structure, and each of its reduced rows as a combination of them."""
        structure = self.network.structure
        parts = tuple(combination(structure.dense_rows, row) or () for row in structure.echelon.rows)
        return structure.rows, parts

    # --- one combination, every hold of it holding ---

    def form(self, mask: int) -> Echelon | None:
        """The independent rows of a combination; None where they tie the input up."""
        if mask in self._forms:
            return self._forms[mask]
        if not mask:
            form: Echelon | None = echelon([], width=len(self._free_columns))
        else:
            place = mask.bit_length() - 1
            below = self.form(mask ^ 1 << place)
            form = below.extended(self._rows[place]) if below is not None else None
        if form is not None and form.spans(self._units[self.network.input]):
            form = None
        self._forms[mask] = form
        return form

    def _per_turn(self, form: Echelon, weights: Vector) -> Fraction | None:
        """A weighted sum of speeds per input turn; None where it does not follow from the input's."""
        turn, left = form.remainder(self._units[self.network.input]), form.remainder(weights)
        factor = next(b / a for a, b in zip(turn, left, strict=True) if a)
        return factor if all(b == factor * a for a, b in zip(turn, left, strict=True)) else None

    def speed_across(self, mask: int, place: int) -> Fraction | None:
        """Speed difference across a hold, per input turn, while a combination holds; None where it floats."""
        form = self.form(mask)
        return None if form is None else self._per_turn(form, self._rows[place])

    def across_per_speeds(self, mask: int, place: int) -> tuple[Fraction, Fraction] | None:
        """The two factors that turn input and output speed, both given, into the speed across a hold.

        None where the combination lets no two such speeds be given, or where the speed across still floats.
        """
        form = self.form(mask)
        if form is None:
            return None
        ends = [form.remainder(self._units[member]) for member in (self.network.input, self.network.output)]
        if echelon(ends, width=len(self._free_columns)).rank < len(ends):
            return None
        factors = combination(ends, form.remainder(self._rows[place]))
        return (factors[0], factors[1]) if factors is not None else None

    def overrun_on_drive(self, mask: int) -> int:
        """Holding one-way clutches that drive torque would make overrun.

        Let one go, hold the output, and turn the input on: if the clutch then turns in its free direction, that is
        where the torque pushes it.  Where other holds do its work too, it carries nothing and is not named.
        """
        found = 0
        for bit in self._ways:
            place = bit.bit_length() - 1
            factors = self.across_per_speeds(mask & ~bit, place) if mask & bit else None
            if factors is not None and factors[0] * self.free_sense(place) > 0:
                found |= bit
        return found

    def free_sense(self, place: int) -> int:
        """Sense of the speed across a one-way clutch in which it may turn: 1 or −1; 0 for any other element."""
        hold = self.holds[place]
        member, value = hold.row.coefficients[0]
        return 0 if hold.free is None else int(value * hold.free[member])

    def _driven_speed(self, mask: int) -> Fraction | None:
        """Output speed per input turn where the combination drives it; None where it does not."""
        if mask not in self._speeds:
            form = self.form(mask)
            speed = None if form is None else self._per_turn(form, self._units[self.network.output])
            driven = form is not None and speed is not None and self._drives(mask, form, speed)
            self._speeds[mask] = speed if driven else None
        return self._speeds[mask]

    def _drives(self, mask: int, form: Echelon, speed: Fraction) -> bool:
        """Whether the output's speed comes through members that are all determined."""
        chosen = [place for place in range(len(self.holds)) if mask >> place & 1]
        if speed == 0:
            # An output that is held is driven only where wheels that mesh with it turn with the input.
            rows = (*self.network.structure.rows, *(self.holds[place].row for place in chosen))
            beside = {member for row in rows if self.network.output in row.members for member in row.members}
            return any(self._per_turn(form, self._units[member]) for member in beside)
        turning = form.extended(self._units[self.network.input])
        return all(turning.spans(self._units[member]) for member in self._carrying(chosen, speed))

    def _carrying(self, chosen: Sequence[int], speed: Fraction) -> set[str]:
        """Members of the rows that carry torque between input and output."""
        ends = {self.network.output: Fraction(1), self.network.input: -speed}
        factors = combination([self._rows[place] for place in chosen], self._short(ends)) or ()
        used = [
            (factor, self.holds[place].row) for place, factor in zip(chosen, factors, strict=True) if factor
        ]
        rest = dict(ends)
        for factor, row in used:
            for member, value in row.coefficients:
                rest[member] = rest.get(member, Fraction(0)) - factor * value
        structure = self.network.structure
        left = structure.vector(rest)
        rows, parts = self._structure_parts
        weights = [left[pivot] for pivot in structure.echelon.pivots]
        carrying = {member for _, row in used for member in row.members}
        for index, row in enumerate(rows):
            if sum(weight * part[index] for weight, part in zip(weights, parts, strict=True) if weight):
                carrying.update(row.members)
        return carrying

    # --- one combination with its one-way clutches ---

    def outcome(self, mask: int, *, seized: int = 0, broken: int = 0) -> Outcome:
        """What a combination comes to; seized holds hold whatever happens, broken ones never do."""
        applied = now = (mask | seized) & ~broken
        while True:
            held = self._let_overrun(now, seized)
            form = self.form(held)
            against = (
                0
                if form is None
                else sum(
                    bit
                    for bit, free in self._ways.items()
                    if not (now | broken) & bit and (self._per_turn(form, free) or 0) < 0
                )
            )
            if not against:
                break
            now |= against
        kind, speed = StateKind.TIE_UP, None
        if form is not None:
            speed = self._driven_speed(held)
            kind = StateKind.NEUTRAL if speed is None else StateKind.DEFINITE
        return Outcome(kind, speed, applied, held)

    def _let_overrun(self, mask: int, seized: int) -> int:
        """The holds without the fewest one-way clutches whose letting go ends a tie-up."""
        if self.form(mask) is not None:
            return mask
        listed = [bit for bit in self._ways if mask & bit & ~seized]
        for count in range(1, len(listed) + 1):
            for released in combinations(listed, count):
                held = mask & ~sum(released)
                form = self.form(held)
                if form is not None and all(
                    (self._per_turn(form, self._ways[bit]) or 0) > 0 for bit in released
                ):
                    return held
        return mask
