"""Shift elements: what a transmission applies to turn its gear sets into one ratio.

Each element gives the row that holds while it is applied.
The sign conventions stand in `countershaft.mechanics.network`.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from countershaft.errors import TrainError
from countershaft.mechanics.constraints import Row, RowKind, still, together

__all__ = ["Brake", "Clutch", "Element", "OneWay", "OneWayBetween", "OneWayToGround", "Sense", "Sleeve"]

Sense = Literal["+", "-"]


@dataclass(frozen=True, slots=True)
class Brake:
    """Holds a member to the case: a disc brake or a band."""

    id: str
    member: str

    @property
    def members(self) -> tuple[str, ...]:
        """The braked member."""
        return (self.member,)

    def row(self) -> Row:
        """The member stands still."""
        return still(self.member, kind=RowKind.ELEMENT, origin=self.id)


@dataclass(frozen=True, slots=True)
class Clutch:
    """Makes two members turn as one."""

    id: str
    first: str
    second: str

    def __post_init__(self) -> None:
        _two(self.id, self.members)

    @property
    def members(self) -> tuple[str, ...]:
        """Both members."""
        return (self.first, self.second)

    def row(self) -> Row:
        """Both members have one speed."""
        return together(self.first, self.second, kind=RowKind.ELEMENT, origin=self.id)


@dataclass(frozen=True, slots=True)
class OneWayToGround:
    """Lets its member turn in the free direction only."""

    id: str
    member: str
    free_direction: Sense

    @property
    def members(self) -> tuple[str, ...]:
        """The member that it holds."""
        return (self.member,)

    def row(self) -> Row:
        """The member stands still, as long as the clutch holds."""
        return still(self.member, kind=RowKind.ELEMENT, origin=self.id)

    def weights(self) -> dict[str, Fraction]:
        """Weights whose sum over the speeds is positive while the clutch overruns."""
        return {self.member: _signed(self.free_direction)}


@dataclass(frozen=True, slots=True)
class OneWayBetween:
    """Lets its first member turn, relative to the second, in the free direction only."""

    id: str
    first: str
    second: str
    free_direction: Sense

    def __post_init__(self) -> None:
        _two(self.id, self.members)

    @property
    def members(self) -> tuple[str, ...]:
        """Both members."""
        return (self.first, self.second)

    def row(self) -> Row:
        """Both members have one speed, as long as the clutch holds."""
        return together(self.first, self.second, kind=RowKind.ELEMENT, origin=self.id)

    def weights(self) -> dict[str, Fraction]:
        """Weights whose sum over the speeds is positive while the clutch overruns."""
        sign = _signed(self.free_direction)
        return {self.first: sign, self.second: -sign}


@dataclass(frozen=True, slots=True)
class Sleeve:
    """A sliding sleeve: in each position it makes two members turn as one; applied as `id:position`."""

    id: str
    positions: tuple[tuple[str, tuple[str, str]], ...]

    def __post_init__(self) -> None:
        if not self.positions:
            raise TrainError(f"sleeve {self.id} has no position; give at least one, with two members.")
        for name, pair in self.positions:
            _two(f"{self.id}:{name}", pair)

    @property
    def members(self) -> tuple[str, ...]:
        """Every member that some position takes hold of."""
        return tuple(dict.fromkeys(member for _, pair in self.positions for member in pair))

    def row(self, position: str) -> Row:
        """Both members of that position have one speed."""
        found = dict(self.positions).get(position)
        if found is None:
            names = ", ".join(f"{self.id}:{name}" for name, _ in self.positions)
            raise TrainError(f"sleeve {self.id} has no position {position!r}; write one of {names}.")
        return together(*found, kind=RowKind.ELEMENT, origin=f"{self.id}:{position}")


OneWay = OneWayToGround | OneWayBetween
Element = Brake | Clutch | OneWayToGround | OneWayBetween | Sleeve


def _two(origin: str, members: tuple[str, str] | tuple[str, ...]) -> None:
    if members[0] == members[1]:
        raise TrainError(f"{origin} ties {members[0]!r} to itself; name two different members.")


def _signed(sense: Sense) -> Fraction:
    return Fraction(1) if sense == "+" else Fraction(-1)
