"""Speeds of a gear train from the speeds that are given, exactly.

The rows of the network, of what is applied, held or locked, and of the given speeds are solved at once; a
member whose speed is the same in every solution is determined, any other floats.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from countershaft.errors import TrainError
from countershaft.mechanics.constraints import ConstraintMatrix, Row, RowKind, number, still, together
from countershaft.mechanics.network import Network, nearest

__all__ = ["Speeds", "settle", "solve_speeds"]


@dataclass(frozen=True, slots=True)
class Speeds:
    """The determined speeds, the members that float, and the rows that decide it.

    `freedom` is the number of speeds that may still be chosen.
    """

    matrix: ConstraintMatrix
    values: Mapping[str, Fraction]
    floating: tuple[str, ...]
    freedom: int

    def ratio(self, input_member: str, output_member: str) -> Fraction | None:
        """Speed of one member over that of another; None where one floats or the other stands still."""
        above, below = self.values.get(input_member), self.values.get(output_member)
        return above / below if above is not None and below else None


def solve_speeds(
    network: Network,
    *,
    given: Mapping[str, Fraction | int],
    applied: Sequence[str] = (),
    held: Sequence[str] = (),
    locked: Sequence[tuple[str, str]] = (),
    apart: Mapping[tuple[str, str], Fraction | int] | None = None,
) -> Speeds:
    """Speeds of all members from any number of given ones.

    Parameters
    ----------
    network : Network
        The gear train.
    given : Mapping[str, Fraction | int] [any unit of speed]
        Member to its speed; the answer has the same unit.
    applied : Sequence[str] [-]
        Shift elements that hold, a sleeve as `id:position`.
    held : Sequence[str] [-]
        Members held still by hand.
    locked : Sequence[tuple[str, str]] [-]
        Members tied to each other by hand.
    apart : Mapping[tuple[str, str], Fraction | int], optional [any unit of speed]
        Two members to the speed of the first less that of the second, as of two road wheels in a bend.

    Returns
    -------
    Speeds
        What is determined, and what floats.

    Raises
    ------
    TrainError
        A member or element is not there, or the given speeds contradict the train.

    References
    ----------
    Khurmi R.S., Gupta J.K., Theory of Machines, 14th ed. 2009, ch. 13, Example 13.7: the two-input
    planetary set below, answer 0.0385 against the sense of the sun.

    Examples
    --------
    >>> from countershaft.mechanics.gear_sets import SinglePinion
    >>> train = Network("A", "arm", sets=(SinglePinion("P", "A", "arm", "D", 40, 90),))
    >>> solve_speeds(train, given={"A": 1, "D": Fraction(-1, 2)}).values["arm"]
    Fraction(-1, 26)
    """
    apart = apart or {}
    _check_members(network, [*given, *held, *(member for pair in (*locked, *apart) for member in pair)])
    rows: list[Row] = [*network.holds(applied)]
    rows += [still(member, kind=RowKind.LOCK, origin=member, label="held") for member in held]
    rows += [
        together(first, second, kind=RowKind.LOCK, origin=f"{first}={second}") for first, second in locked
    ]
    rows += [
        still(member, kind=RowKind.GIVEN, origin=member, label="given", speed=Fraction(speed))
        for member, speed in given.items()
    ]
    rows += [_difference(first, second, Fraction(speed)) for (first, second), speed in apart.items()]
    return settle(network.structure.with_rows(rows))


def settle(matrix: ConstraintMatrix) -> Speeds:
    """Solve a matrix whose given speeds are rows of it.

    Parameters
    ----------
    matrix : ConstraintMatrix
        Rows of the train, of what is applied, and of the speeds that are given.

    Returns
    -------
    Speeds
        The speed of every member that follows, and which members float.

    Raises
    ------
    TrainError
        The given speeds contradict the train.
    """
    solution = matrix.solve()
    if not solution.consistent:
        given = ", ".join(
            f"{row.origin} = {number(row.constant, minus='-')}"
            for row in matrix.rows
            if row.kind == RowKind.GIVEN
        )
        raise TrainError(f"the given speeds contradict the train: {given}. Give fewer, or free a member.")
    settled = zip(matrix.members, solution.values, strict=True)
    values = {member: value for member, value in settled if value is not None}
    floating = tuple(member for member in matrix.members if member not in values)
    return Speeds(matrix, values, floating, solution.freedom)


def _difference(first: str, second: str, speed: Fraction) -> Row:
    if first == second:
        raise TrainError(f"{first} cannot turn apart from itself; name two different members.")
    ends = ((first, Fraction(1)), (second, Fraction(-1)))
    equation = f"{first} − {second} = {number(speed)}"
    return Row(RowKind.GIVEN, f"{first} − {second}", "apart", ends, equation, speed)


def _check_members(network: Network, members: Iterable[str]) -> None:
    for member in members:
        if member not in network.members:
            raise TrainError(f"the train has no member {member!r}; {nearest(member, network.members)}")
