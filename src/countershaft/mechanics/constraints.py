"""The constraint matrix of a gear train: one named row per thing that ties speeds together.

Each row says that a weighted sum of member speeds equals a constant (nearly always zero), and knows where
it comes from and how a person would write it.  Speeds follow from the rows; the same rows, read downwards,
give torques: the external torques on a train without losses are combinations of its rows.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

from countershaft.mechanics.exact import Echelon, Solution, combination, echelon, solve

__all__ = ["ConstraintMatrix", "Row", "RowKind", "number", "still", "together", "willis"]


class RowKind(StrEnum):
    """What a row comes from."""

    SET = "set"
    PAIR = "pair"
    GROUND = "ground"
    ELEMENT = "element"
    LOCK = "lock"
    GIVEN = "given"


@dataclass(frozen=True, slots=True)
class Row:
    """One constraint: the sum of coefficient times speed over its members equals `constant`.

    `origin` is the id of the set, pair or shift element (of a sleeve: with its position), or the member
    that is grounded or given.  `label` tells rows of one origin apart.  `equation` is the row as a person
    writes it.
    """

    kind: RowKind
    origin: str
    label: str
    coefficients: tuple[tuple[str, Fraction], ...]
    equation: str
    constant: Fraction = Fraction(0)

    @property
    def members(self) -> tuple[str, ...]:
        """Members that the row ties together, without those whose coefficient is zero."""
        return tuple(member for member, value in self.coefficients if value)

    def text(self) -> str:
        """The row as one line of a working."""
        return f"{self.label}: {self.equation}"


def number(value: Fraction, *, minus: str = "−") -> str:
    """A rational number as a working writes it: whole, a decimal where that is exact and short, else a/b.

    Parameters
    ----------
    value : Fraction [-]
        The number.
    minus : str [-]
        Sign that stands before negative numbers.

    Returns
    -------
    str [-]
        The number as text.

    Examples
    --------
    >>> number(Fraction(13, 5)), number(Fraction(248, 55)), number(Fraction(-3), minus="-")
    ('2.6', '248/55', '-3')
    """
    sign, size = (minus, -value) if value < 0 else ("", value)
    if size.denominator == 1:
        return f"{sign}{size.numerator}"
    shifted = size * 10**6
    if shifted.denominator == 1:
        whole, rest = divmod(shifted.numerator, 10**6)
        return f"{sign}{whole}." + f"{rest:06d}".rstrip("0")
    return f"{sign}{size.numerator}/{size.denominator}"


def _times(factor: Fraction, difference: str) -> str:
    if factor == 1:
        return difference
    if factor == -1:
        return f"−{difference}"
    return f"{number(factor)}·{difference}"


def willis(
    origin: str,
    label: str,
    *,
    a: tuple[str, Fraction],
    b: tuple[str, Fraction],
    carrier: str | None = None,
    kind: RowKind = RowKind.SET,
) -> Row:
    """Row of Willis' equation: size_a · (w_a − w_carrier) = size_b · (w_b − w_carrier).

    The sense of turning is in the sign of b's size: negative where, seen from the carrier, the two turn
    opposite ways.

    Parameters
    ----------
    origin, label : str [-]
        Id of the set or pair, and the name of the row.
    a, b : tuple[str, Fraction] [-]
        Member and its size (tooth count, or its proportion).
    carrier : str, optional [-]
        The member that carries the axes; None where the axes stand still.
    kind : RowKind [-]
        Set or pair.

    Returns
    -------
    Row
        The row, with its equation.

    References
    ----------
    Willis R., Principles of Mechanism, 2nd ed. 1870, epicyclic trains (from memory).

    Examples
    --------
    >>> row = willis("front", "front", a=("S", Fraction(47)), b=("R", Fraction(-77)), carrier="C")
    >>> row.text()
    'front: 47·(S − C) = −77·(R − C)'
    """
    (name_a, size_a), (name_b, size_b) = a, b
    if carrier is None:
        equation = f"{_times(size_a, name_a)} = {_times(size_b, name_b)}"
        return Row(kind, origin, label, ((name_a, size_a), (name_b, -size_b)), equation)
    equation = f"{_times(size_a, f'({name_a} − {carrier})')} = {_times(size_b, f'({name_b} − {carrier})')}"
    return Row(
        kind, origin, label, ((name_a, size_a), (name_b, -size_b), (carrier, size_b - size_a)), equation
    )


def still(
    member: str, *, kind: RowKind, origin: str, label: str | None = None, speed: Fraction = Fraction(0)
) -> Row:
    """Row that gives a member its speed; zero holds it to the case.

    Parameters
    ----------
    member : str [-]
        The member.
    kind : RowKind [-]
        What holds it.
    origin : str [-]
        Id of what holds it.
    label : str, optional [-]
        Name of the row; the origin where not given.
    speed : Fraction [-]
        Its speed.

    Returns
    -------
    Row
        The row, with its equation.

    Examples
    --------
    >>> still("C", kind=RowKind.ELEMENT, origin="F").text()
    'F: C = 0'
    """
    equation = f"{member} = {number(speed)}"
    return Row(kind, origin, label or origin, ((member, Fraction(1)),), equation, speed)


def together(first: str, second: str, *, kind: RowKind, origin: str) -> Row:
    """Row that makes two members turn as one.

    Parameters
    ----------
    first, second : str [-]
        The members.
    kind : RowKind [-]
        What ties them.
    origin : str [-]
        Id of what ties them.

    Returns
    -------
    Row
        The row, with its equation.

    Examples
    --------
    >>> together("K", "Ss", kind=RowKind.ELEMENT, origin="A").text()
    'A: K = Ss'
    """
    return Row(kind, origin, origin, ((first, Fraction(1)), (second, Fraction(-1))), f"{first} = {second}")


@dataclass(frozen=True)
class ConstraintMatrix:
    """All rows that hold at once, over the members in a fixed order."""

    members: tuple[str, ...]
    rows: tuple[Row, ...]

    @cached_property
    def _column(self) -> dict[str, int]:
        return {member: column for column, member in enumerate(self.members)}

    def dense(self, row: Row) -> tuple[Fraction, ...]:
        """Coefficients of a row over all members, in their order."""
        return self.vector(dict(row.coefficients))

    def vector(self, weights: Mapping[str, Fraction]) -> tuple[Fraction, ...]:
        """Numbers per member as one dense row; members not named get zero."""
        line = [Fraction(0)] * len(self.members)
        for member, value in weights.items():
            line[self._column[member]] = value
        return tuple(line)

    @cached_property
    def dense_rows(self) -> tuple[tuple[Fraction, ...], ...]:
        """The matrix itself: one dense row per constraint."""
        return tuple(self.dense(row) for row in self.rows)

    @cached_property
    def echelon(self) -> Echelon:
        """Reduced row echelon form of the coefficients, without the constants."""
        return echelon(self.dense_rows, width=len(self.members))

    @property
    def freedom(self) -> int:
        """Number of speeds that may still be chosen freely."""
        return len(self.members) - self.echelon.rank

    def with_rows(self, rows: Iterable[Row]) -> ConstraintMatrix:
        """The same matrix with more rows below."""
        return ConstraintMatrix(self.members, (*self.rows, *rows))

    def locks(self, member: str) -> bool:
        """Whether the coefficients alone hold a member at standstill."""
        return self.echelon.spans(self.vector({member: Fraction(1)}))

    def implies(self, row: Row) -> bool:
        """Whether the rows already say what this row says, constants left aside."""
        return self.echelon.spans(self.dense(row))

    def solve(self) -> Solution:
        """Every set of speeds that obeys all rows and their constants."""
        return solve(self.dense_rows, [row.constant for row in self.rows], width=len(self.members))

    def multipliers(self, weights: Mapping[str, Fraction]) -> tuple[Fraction, ...] | None:
        """One factor per row, so that the factored rows add up to the given numbers; None if none do.

        Rows that others before them already imply get the factor zero.
        With the external torques as numbers per member, the factors say which rows carry load.
        """
        return combination(self.dense_rows, self.vector(weights))
