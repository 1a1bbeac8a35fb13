"""Which applied elements fight in a tie-up, and which must let go to end it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import combinations

from countershaft.mechanics.constraints import ConstraintMatrix, Row
from countershaft.mechanics.exact import Echelon, combination, echelon

__all__ = ["minimal_conflicts", "smallest_hits"]

Vector = tuple[Fraction, ...]


def minimal_conflicts(
    structure: ConstraintMatrix, held: Mapping[str, Row], member: str
) -> tuple[tuple[str, ...], ...]:
    """Every minimal set of elements that holds a member still, together with what always holds.

    Parameters
    ----------
    structure : ConstraintMatrix
        The rows that always hold.
    held : Mapping[str, Row]
        Applied element to its row.
    member : str [-]
        The member that cannot turn.

    Returns
    -------
    tuple[tuple[str, ...], ...] [-]
        The sets, small ones first; none where the structure alone holds the member, or nothing does.

    References
    ----------
    Reiter R., A theory of diagnosis from first principles, Artificial Intelligence 32 (1987) 57-95: minimal
    conflict sets, and diagnoses as their minimal hitting sets (from memory).

    Examples
    --------
    >>> from countershaft.mechanics.constraints import RowKind, still, together, willis
    >>> teeth = willis("P", "P", a=("S", Fraction(30)), b=("R", Fraction(-72)), carrier="C")
    >>> holds = {name: still(name, kind=RowKind.ELEMENT, origin=name) for name in ("C", "R")}
    >>> minimal_conflicts(ConstraintMatrix(("S", "C", "R"), (teeth,)), holds, "S")
    (('C', 'R'),)
    """
    # What is left of a row once the structure has been taken off lies in the columns without a pivot.
    free = [column for column in range(len(structure.members)) if column not in structure.echelon.pivots]

    def modulo_structure(row: Vector) -> Vector:
        left = structure.echelon.remainder(row)
        return tuple(left[column] for column in free)

    target = modulo_structure(structure.vector({member: Fraction(1)}))
    if not any(target):
        return ()
    rows = {name: modulo_structure(structure.dense(row)) for name, row in held.items()}
    found = set(_spanning(rows, target, (), echelon([], width=len(free))))
    return tuple(sorted(found, key=lambda names: (len(names), [list(held).index(name) for name in names])))


def _spanning(
    rows: Mapping[str, Vector], target: Vector, chosen: tuple[str, ...], form: Echelon
) -> Iterator[tuple[str, ...]]:
    """The elements that make up the target, for every independent choice after the chosen ones."""
    names = list(rows)
    for name in names[names.index(chosen[-1]) + 1 if chosen else 0 :]:
        wider = form.extended(rows[name])
        if wider is form:
            continue
        choice = (*chosen, name)
        if wider.spans(target):
            factors = combination([rows[each] for each in choice], target) or ()
            yield tuple(each for each, factor in zip(choice, factors, strict=True) if factor)
        else:
            yield from _spanning(rows, target, choice, wider)


def smallest_hits(names: Sequence[str], sets: Sequence[Sequence[str]]) -> tuple[tuple[str, ...], ...]:
    """Every smallest choice of names that takes at least one out of each set.

    Parameters
    ----------
    names : Sequence[str] [-]
        The names to choose from, in the order of the answer.
    sets : Sequence[Sequence[str]] [-]
        The sets to hit.

    Returns
    -------
    tuple[tuple[str, ...], ...] [-]
        The choices, all of one size; none where there are no sets.

    Examples
    --------
    >>> smallest_hits(["A", "B", "C", "D"], [("A", "B"), ("B", "C")])
    (('B',),)
    """
    for count in range(1, len(names) + 1 if sets else 0):
        hits = [
            choice for choice in combinations(names, count) if all(set(choice) & set(one) for one in sets)
        ]
        if hits:
            return tuple(hits)
    return ()
