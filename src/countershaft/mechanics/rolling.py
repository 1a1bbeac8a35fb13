"""Which way power rolls through each mesh when meshes lose some of it: every consistent answer, and no other.

A mesh passes on less than it takes, so its torques depend on which side takes; and which side takes depends on
all torques.  Guessing the sides and correcting them may settle on none, or on the wrong one of several.  Here the
whole field of choices is searched: a part of it is left out only where it is certain to hold one answer at most,
and an answer counts only when its own exact torques agree with the sides that it was made with.

The forces y of the meshes obey  pivot · y = base − Σ pull_r · (s_r − 1) · y_r,  where s_r is the inverse of the
mesh's efficiency where power comes in from its member, and the efficiency itself where power goes out.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from countershaft.mechanics.sparse import IntRow, Reduced, reduce_rows, solve_dense

__all__ = ["Roller", "Rolling", "Search", "rolling_ways"]

#: Parts of the field that are looked at before the search gives up; a gearbox needs a few dozen at most.
_MOST_PARTS = 4096

#: How far below 1 a bound must lie to be trusted in floating figures.
_BELOW_ONE = 1 - 1e-9


class Roller(NamedTuple):
    """One place where power is lost: its equation, the sense in which it turns, and its efficiency kept / whole."""

    pivot: int
    base: int
    pull: Mapping[int, int]
    sense: int
    kept: int
    whole: int

    def step(self, inward: bool) -> tuple[int, int, int]:
        """The factor s as numerator and denominator, and the numerator of s − 1."""
        kept, whole = self.kept, self.whole
        return (whole, kept, whole - kept) if inward else (kept, whole, kept - whole)

    @property
    def swing(self) -> float:
        """How far s may lie from 1."""
        return (self.whole - self.kept) / self.kept


class Rolling(NamedTuple):
    """One consistent answer: where power comes in, and the forces; y = step's denominator · number / `shared`."""

    inward: tuple[bool, ...]
    numbers: tuple[int, ...]
    shared: int


class Search(NamedTuple):
    """Every consistent answer; `complete` is False where the search gave up before the field was exhausted."""

    ways: tuple[Rolling, ...]
    complete: bool


def rolling_ways(rollers: Sequence[Roller]) -> Search:
    """Every way in which power can roll through a train, exactly.

    Parameters
    ----------
    rollers : Sequence[Roller]
        The places where power is lost.

    Returns
    -------
    Search
        The consistent answers; one for nearly every train, none where friction holds it fast, and more than one
        where a part of it can wedge.

    References
    ----------
    Rohn J., A theorem of the alternatives for the equation Ax + B|x| = b, Linear and Multilinear Algebra 52
    (2004) 421-426: one answer for every right hand side exactly where no choice of slopes is singular (from
    memory).

    Examples
    --------
    A mesh that loses a tenth, and whose lost force comes back to it a hundredfold, holds itself fast; where it comes
    back once, and against, the mesh turns.

    >>> loop = Roller(pivot=1, base=1, pull={0: -100}, sense=1, kept=9, whole=10)
    >>> rolling_ways([loop]).ways
    ()
    >>> loop = Roller(pivot=1, base=1, pull={0: 1}, sense=1, kept=9, whole=10)
    >>> rolling_ways([loop]).ways
    (Rolling(inward=(True,), numbers=(1,), shared=10),)
    """
    if _settles_all(rollers):
        return Search(tuple(_only_way(rollers, {})), True)
    found: list[Rolling] = []
    parts: list[dict[int, bool]] = [{}]
    looked_at = 0
    while parts and looked_at < _MOST_PARTS:
        fixed = parts.pop()
        looked_at += 1
        branch = _undecided(rollers, fixed)
        if branch is None:
            found += _only_way(rollers, fixed)
        elif branch >= 0:
            parts += [{**fixed, branch: False}, {**fixed, branch: True}]
    return Search(tuple(_distinct(rollers, found)), not parts)


def _settles_all(rollers: Sequence[Roller]) -> bool:
    """Whether every mesh depends so little on the others' losses that there is exactly one answer."""
    swing = [roller.swing for roller in rollers]
    for roller in rollers:
        fed = 0.0
        for other, pull in roller.pull.items():
            fed += abs(pull) * swing[other]
        if fed >= _BELOW_ONE * roller.pivot:
            return False
    return True


def _undecided(rollers: Sequence[Roller], fixed: Mapping[int, bool]) -> int | None:
    """The roller to branch on next; None where at most one answer lies in this part, −1 where none does."""
    free = [place for place in range(len(rollers)) if place not in fixed]
    found = _with_fixed(rollers, fixed)
    if len(found.pivots) < len(rollers):
        return free[0] if free else -1
    first = len(rollers) + 1
    bound = [
        {
            column - first: abs(value / row[place]) * rollers[column - first].swing
            for column, value in row.items()
            if column >= first
        }
        for place in free
        for row in (found.pivots[place],)
    ]
    if _contracts(bound, free):
        return None
    weight = {place: sum(row.get(place, 0.0) for row in bound) for place in free}
    return max(free, key=lambda place: weight[place])


def _contracts(bound: Sequence[Mapping[int, float]], free: Sequence[int]) -> bool:
    """Whether some positive weights make every row of the bounds smaller than 1, which a radius below 1 does.

    The weights are the sum of the powers of the bounds; they are tested, not trusted.
    """
    weight = dict.fromkeys(free, 1.0)
    for _ in range(64):
        fed = {
            place: sum(value * weight[other] for other, value in row.items())
            for place, row in zip(free, bound, strict=True)
        }
        if all(fed[place] < _BELOW_ONE * weight[place] for place in free):
            return True
        weight = {place: 1.0 + fed[place] for place in free}
        if max(weight.values()) > 1e9:
            break
    return False


def _with_fixed(rollers: Sequence[Roller], fixed: Mapping[int, bool]) -> Reduced:
    """The equations with the fixed rollers' own losses put in, those of the others as right hand sides."""
    count = len(rollers)
    steps = {place: rollers[place].step(inward) for place, inward in fixed.items()}
    rows: list[IntRow] = []
    for place, roller in enumerate(rollers):
        row: IntRow = {place: roller.pivot * (steps[place][1] if place in steps else 1)}
        if roller.base:
            row[count] = roller.base
        for other, pull in roller.pull.items():
            if other in steps:
                row[other] = row.get(other, 0) + pull * steps[other][2]
            else:
                row[count + 1 + other] = -pull
        rows.append({column: value for column, value in row.items() if value})
    return reduce_rows(rows, count)


def _only_way(rollers: Sequence[Roller], fixed: Mapping[int, bool]) -> list[Rolling]:
    """The one answer that a part of the field can hold, if it does."""
    sides = [roller.base * roller.pivot * roller.sense > 0 for roller in rollers]
    for place, inward in fixed.items():
        sides[place] = inward
    for _ in range(2 * len(rollers) + 2):
        way = _solved(rollers, sides)
        if way is None:
            break
        wrong = _against(rollers, way)
        if not wrong:
            return [way]
        if wrong <= fixed.keys():
            return []
        for place in wrong - fixed.keys():
            sides[place] = not sides[place]
    return _settled(rollers, fixed)


def _settled(rollers: Sequence[Roller], fixed: Mapping[int, bool]) -> list[Rolling]:
    """The answer where correcting sides goes round in a circle: one more side is fixed, both ways."""
    free = [place for place in range(len(rollers)) if place not in fixed]
    if not free:
        return []
    both = [_only_way(rollers, {**fixed, free[0]: inward}) for inward in (False, True)]
    return both[0] + both[1]


def _solved(rollers: Sequence[Roller], sides: Sequence[bool]) -> Rolling | None:
    """The forces for given sides; None where the sides leave them open or contradict each other."""
    steps = [roller.step(inward) for roller, inward in zip(rollers, sides, strict=True)]
    rows = []
    for place, roller in enumerate(rollers):
        pull = roller.pull
        row = [pull[other] * step[2] if other in pull else 0 for other, step in enumerate(steps)]
        row[place] += roller.pivot * steps[place][1]
        row.append(roller.base)
        rows.append(row)
    found = solve_dense(rows)
    return None if found is None else Rolling(tuple(sides), *found)


def _against(rollers: Sequence[Roller], way: Rolling) -> set[int]:
    """Rollers whose power flows against the side that was taken; one without power is against none."""
    wrong = set()
    for place, roller in enumerate(rollers):
        power = way.numbers[place] * roller.sense
        if power < 0 if way.inward[place] else power > 0:
            wrong.add(place)
    return wrong


def _distinct(rollers: Sequence[Roller], found: Iterable[Rolling]) -> list[Rolling]:
    """Answers with different forces; one without power at a mesh is met from both of its sides."""
    found = list(found)
    if len(found) < 2:
        return found
    seen: dict[tuple[Fraction, ...], Rolling] = {}
    for way in found:
        forces = tuple(
            Fraction(roller.step(inward)[1] * value, way.shared)
            for roller, inward, value in zip(rollers, way.inward, way.numbers, strict=True)
        )
        seen.setdefault(forces, way)
    return list(seen.values())
