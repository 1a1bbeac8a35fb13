"""The network of a gear train: what turns with what, and which shift elements can be applied.

A *member* is everything that turns as one piece (a shaft with what is splined to it); it is known by its
name.

Conventions, the same in the whole package:

- A speed is positive in the sense of the input; a ratio is input speed over output speed, so a negative
  ratio means that the output turns backwards.
- A single-pinion set obeys  z_sun · (w_sun − w_carrier) = −z_ring · (w_ring − w_carrier);
  a double-pinion set obeys the same with a plus.
- A Ravigneaux set is a single-pinion set (long pinions, large sun) and a double-pinion set (short pinions,
  small sun) that share carrier and ring.  `small_sun` is the sun that meshes with the short pinions and
  `large_sun` the one that meshes with the long pinions, whichever has more teeth.
- The wheels of a compound planet sit on one rigid planet shaft.
- A basic ratio is (w_member − w_carrier) = value · (w_b − w_carrier).
- A pair obeys z_a · w_a = −z_b · w_b where both wheels have outer teeth, and with a plus where one has
  inner teeth (or a chain joins them).
- The free direction of a one-way clutch is the sense in which its member may turn; between two members, the
  sense in which the first may turn relative to the second.
- Tooth counts may stand in proportion only (sun 1, ring 13/5), since speeds depend on their ratio alone.
  Nothing is refused because the concentric or the assembly condition is not met: published trains fail them
  too, and `countershaft.mechanics.train_doubts` says where.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from countershaft.errors import TrainError
from countershaft.mechanics.constraints import ConstraintMatrix, Row, RowKind, still
from countershaft.mechanics.gear_sets import GearPair, GearSet
from countershaft.mechanics.layout import Layout, Tie, merge
from countershaft.mechanics.shift_elements import Element, OneWay, OneWayBetween, OneWayToGround, Sleeve

__all__ = ["Network", "nearest"]


def nearest(name: str, known: Iterable[str]) -> str:
    """Half a sentence that names the known name most like a wrong one, or lists what is known.

    Parameters
    ----------
    name : str [-]
        The name that is not known.
    known : Iterable[str] [-]
        The names that are.

    Returns
    -------
    str [-]
        The rest of a message.

    Examples
    --------
    >>> nearest("Sss", ["Ss", "out", "K"])
    "did you mean 'Ss'?"
    >>> nearest("x", ["in", "out"])
    'known are in, out.'
    """
    names = list(dict.fromkeys(known))
    close = min(names, key=lambda other: _edits(name.casefold(), other.casefold()), default="")
    if 2 * _edits(name.casefold(), close.casefold()) <= max(len(name), len(close)):
        return f"did you mean {close!r}?"
    return f"known are {', '.join(names)}." if names else "none is known."


def _edits(one: str, other: str) -> int:
    """Letters to put in, take out or change until one word is the other (Levenshtein's distance)."""
    costs = list(range(len(other) + 1))
    for row, letter in enumerate(one, 1):
        above, costs[0] = costs[0], row
        for column, its in enumerate(other, 1):
            above, costs[column] = (
                costs[column],
                min(costs[column] + 1, costs[column - 1] + 1, above + (letter != its)),
            )
    return costs[-1]


@dataclass(frozen=True)
class Network:
    """Gear sets, gear pairs, grounded members and shift elements, with the input and the output.

    `further` names members that no set or pair holds, such as a drum between two clutches.
    """

    input: str
    output: str
    sets: tuple[GearSet, ...] = ()
    pairs: tuple[GearPair, ...] = ()
    grounded: tuple[str, ...] = ()
    elements: tuple[Element, ...] = ()
    further: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.input == self.output:
            raise TrainError(f"input and output are both {self.input!r}; name two different members.")
        for parts in ((*self.sets, *self.pairs), self.elements):
            twice = [name for name, count in Counter(part.id for part in parts).items() if count > 1]
            if twice:
                raise TrainError(f"id {twice[0]!r} is used twice; give each its own.")
        for origin, member in self._references():
            if member not in self._known:
                raise TrainError(
                    f"{origin}: no set or pair has a member {member!r}; {nearest(member, self._known)}"
                )

    def _references(self) -> Iterable[tuple[str, str]]:
        yield from (("grounded", member) for member in self.grounded)
        yield from ((element.id, member) for element in self.elements for member in element.members)

    @cached_property
    def _known(self) -> tuple[str, ...]:
        geared = [member for part in (*self.sets, *self.pairs) for member in part.members]
        return tuple(dict.fromkeys([self.input, *geared, self.output, *self.further]))

    @property
    def members(self) -> tuple[str, ...]:
        """All members in a fixed order: the input, then as sets and pairs name them."""
        return self._known

    @cached_property
    def structure(self) -> ConstraintMatrix:
        """The rows that always hold: sets, pairs, grounded members."""
        teeth = [row for part in (*self.sets, *self.pairs) for row in part.rows()]
        ground = [
            still(member, kind=RowKind.GROUND, origin=member, label="ground") for member in self.grounded
        ]
        return ConstraintMatrix(self.members, (*teeth, *ground))

    @cached_property
    def layout(self) -> Layout:
        """The train made ready for solving; planets that nothing touches from outside their set are left out."""
        return self.layout_with(())

    def layout_with(self, touched: Iterable[str]) -> Layout:
        """The same with further members that something holds or drives, which may be planets."""
        held = {member for _, member in self._references()}
        ends = {self.input, self.output, *self.further, *held, *touched}
        return Layout.of(self.members, (*self.sets, *self.pairs), ends)

    @cached_property
    def turn(self) -> Row:
        """The row of the input turning once."""
        return still(self.input, kind=RowKind.GIVEN, origin=self.input, label="input", speed=Fraction(1))

    @cached_property
    def one_ways(self) -> tuple[OneWay, ...]:
        """The one-way clutches, which hold and overrun on their own."""
        return tuple(
            element for element in self.elements if isinstance(element, OneWayToGround | OneWayBetween)
        )

    def held(self, applied: str) -> Row:
        """The row that an applied element adds; a sleeve is named with its position, as `id:position`.

        A sleeve with one position only may be named without it.
        """
        row = self._holding_rows.get(applied)
        if row is None:
            raise self._unknown(applied)
        return row

    @cached_property
    def _holding_rows(self) -> dict[str, Row]:
        """Rows of the elements by the names that a chart applies them by."""
        rows: dict[str, Row] = {}
        for element in self.elements:
            if not isinstance(element, Sleeve):
                rows[element.id] = element.row()
                continue
            rows.update((f"{element.id}:{name}", element.row(name)) for name, _ in element.positions)
            if len(element.positions) == 1:
                rows[element.id] = element.row(element.positions[0][0])
        return rows

    def _unknown(self, applied: str) -> TrainError:
        name, _, position = applied.partition(":")
        element = next((element for element in self.elements if element.id == name), None)
        if element is None:
            known = [element.id for element in self.elements]
            return TrainError(f"there is no shift element {name!r}; {nearest(name, known)}")
        if isinstance(element, Sleeve):
            names = ", ".join(f"{name}:{known}" for known, _ in element.positions)
            return TrainError(f"sleeve {name} has no position {position!r}; write one of {names}.")
        return TrainError(f"{name} is no sleeve and has no position {position!r}; write {name} alone.")

    def holds(self, applied: Sequence[str]) -> tuple[Row, ...]:
        """The rows of all applied elements, each applied once and a sleeve in one position."""
        names = [name.partition(":")[0] for name in applied]
        if len(set(names)) < len(names):
            twice = sorted(name for name, count in Counter(names).items() if count > 1)
            raise TrainError(f"{twice[0]} is applied twice in one state; name it once.")
        return tuple(self.held(name) for name in applied)

    @cached_property
    def ties(self) -> dict[str, Tie]:
        """Places that each element holds together, by the names that a chart applies it by."""
        return {name: self.layout.tie(row.members) for name, row in self._holding_rows.items()}

    def nodes(self, applied: tuple[str, ...]) -> tuple[Sequence[int], Sequence[tuple[str, Tie]]]:
        """Node of each member, and last of the case, while elements hold; and what ties them, ground nameless."""
        known = self._nodes.get(applied)
        if known is None:
            ties = [(name, self.ties[name]) for name in applied] + [("", tie) for tie in self.ground_ties]
            known = merge(len(self.layout.members), [tie for _, tie in ties]), ties
            self._nodes[applied] = known
        return known

    @cached_property
    def _nodes(self) -> dict[tuple[str, ...], tuple[Sequence[int], Sequence[tuple[str, Tie]]]]:
        return {}

    @cached_property
    def ground_ties(self) -> tuple[Tie, ...]:
        """The grounded members, each held to the case."""
        return tuple(self.layout.tie((member,)) for member in dict.fromkeys(self.grounded))
