"""Flatness of a face from straightedge and feelers: the lines are tied together where they cross."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations

from countershaft.errors import OutOfRange, Unknown
from countershaft.metrology.flatness import Flatness, flatness
from countershaft.metrology.straightness import Straightness, straightness

__all__ = ["StraightedgeFlatness", "straightedge_flatness"]

Row = list[Fraction]


@dataclass(frozen=True, slots=True)
class StraightedgeFlatness:
    """What feelers under a straightedge say about a face, in the unit of the gaps.

    `lines` holds the straightness of every line that has three places or more.  `largest_gap` is the largest feeler
    of all.  `face` is the flatness of the whole face where the lines tie its places together, None where they do not
    (then `at_least` is all that is proven: the worst line).  `misfit` is the largest disagreement between a gap as
    read and as the tied face gives it, in units of a reading.
    """

    lines: tuple[Straightness | None, ...]
    largest_gap: float
    at_least: float
    heights: tuple[tuple[str, float], ...]
    face: Flatness | None
    misfit: float
    why: str


def straightedge_flatness(
    places: Mapping[str, tuple[float, float]], lines: Sequence[Mapping[str, float]]
) -> StraightedgeFlatness:
    """Flatness of a face from the gaps under a straightedge laid on it in several directions.

    Parameters
    ----------
    places : Mapping[str, tuple[float, float]] [m]
        Name of every place to where it lies on the face.
    lines : Sequence[Mapping[str, float]] [m]
        One entry for each way the straightedge was laid: place to the largest feeler that goes in there, 0 where none
        does.

    Returns
    -------
    StraightedgeFlatness [m]
        Straightness of every line, and flatness where the lines tie the places together.

    Raises
    ------
    OutOfRange
        No line, a line with one place, a negative gap, or places of a line that do not lie on a straight line.
    Unknown
        A line names a place that is not in `places`.

    Notes
    -----
    Each straightedge is a straight line of unknown height and slope, each place has one height, and gap = edge -
    height.  All are found together by least squares, in fractions.  If the lines cross often enough only a plane stays
    free, which flatness does not care about; the rank of the equations decides that, without rounding.
    A straightedge that rests on the face touches it twice, so the largest feeler of a line is never less than the
    straightness of that line: judging by the largest feeler is the safe side, for the line.  It is not for the face:
    a twisted face can have no gap under any line along its sides.

    References
    ----------
    J. Meijer and W. de Bruin, Determination of flatness from straightness measurements and characterization of the
    surface by four parameters, Precision Engineering 3 (1981) 17-22 (straight lines coupled into a plane);
    ISO 12781-1:2011 (flatness).

    Examples
    --------
    A face with a hollow in the middle, laid over both diagonals and two sides:

    >>> square = {"A": (0, 0), "B": (100, 0), "C": (100, 100), "D": (0, 100), "M": (50, 50)}
    >>> found = straightedge_flatness(square, [{"A": 0, "M": 0.06, "C": 0}, {"B": 0, "M": 0.06, "D": 0}])
    >>> round(found.face.minimum.width, 6)
    0.06
    """
    _check(places, lines)
    told = tuple(_line(places, line) for line in lines)
    least = max((one.minimum.width for one in told if one is not None), default=0.0)
    largest = max(gap for line in lines for gap in line.values())
    heights, misfit = _heights(places, lines)
    if heights is None:
        why = "the lines do not tie all places together; lay the straightedge over both diagonals and across them too."
        return StraightedgeFlatness(told, largest, least, (), None, 0.0, why)
    face = flatness([(*places[name], height) for name, height in heights.items()])
    shown = tuple((name, float(height)) for name, height in heights.items())
    return StraightedgeFlatness(told, largest, least, shown, face, misfit, "")


def _check(places: Mapping[str, tuple[float, float]], lines: Sequence[Mapping[str, float]]) -> None:
    if not lines:
        raise OutOfRange("no line is given; lay the straightedge on and read the gaps.")
    for number, line in enumerate(lines, start=1):
        unknown = sorted(set(line) - set(places))
        if unknown:
            raise Unknown(f"line {number} names {', '.join(unknown)}; known places are {', '.join(places)}.")
        if len(line) < 2:
            raise OutOfRange(f"line {number} has {len(line)} place; a straightedge needs at least two.")
        if not all(math.isfinite(gap) and gap >= 0 for gap in line.values()):
            raise OutOfRange(
                f"line {number} has a gap that is not zero or above; a feeler is never negative."
            )
        _along(places, line, number)


def _along(
    places: Mapping[str, tuple[float, float]], line: Mapping[str, float], number: int = 0
) -> list[Fraction]:
    """How far along its line each place lies, as a share of the way between the two that are farthest apart."""
    spots = [places[name] for name in line]
    a, b = max(combinations(spots, 2), key=lambda two: math.dist(*two))
    start, end = (tuple(map(Fraction, spot)) for spot in (a, b))
    way = (end[0] - start[0], end[1] - start[1])
    square = way[0] ** 2 + way[1] ** 2
    if not square:
        raise OutOfRange(f"all places of line {number} lie at one spot; check where they are.")
    shares = []
    for spot in spots:
        arrow = (Fraction(spot[0]) - start[0], Fraction(spot[1]) - start[1])
        if abs(way[0] * arrow[1] - way[1] * arrow[0]) > square / 50:
            raise OutOfRange(
                f"the places of line {number} do not lie on a straight line; check where they are."
            )
        shares.append((way[0] * arrow[0] + way[1] * arrow[1]) / square)
    return shares


def _line(places: Mapping[str, tuple[float, float]], line: Mapping[str, float]) -> Straightness | None:
    if len(line) < 3:
        return None
    spots = [places[name] for name in line]
    length = max(math.dist(*two) for two in combinations(spots, 2))
    shares = _along(places, line)
    return straightness([float(share) * length for share in shares], [-gap for gap in line.values()])


def _heights(
    places: Mapping[str, tuple[float, float]], lines: Sequence[Mapping[str, float]]
) -> tuple[dict[str, Fraction] | None, float]:
    """Heights of the places by least squares, and the largest misfit; None where they are not tied together."""
    used = [name for name in places if any(name in line for line in lines)]
    fixed = _three_apart(places, used)
    if fixed is None or len(used) < 4:
        return None, 0.0
    free = [name for name in used if name not in fixed]
    size = len(free) + 2 * len(lines)
    rows: list[Row] = []
    right: list[Fraction] = []
    for number, line in enumerate(lines):
        for (name, gap), share in zip(line.items(), _along(places, line), strict=True):
            row = [Fraction(0)] * size
            if name in free:
                row[free.index(name)] = Fraction(-1)
            row[len(free) + 2 * number] = Fraction(1)
            row[len(free) + 2 * number + 1] = share
            rows.append(row)
            right.append(Fraction(gap))
    solved = _least_squares(rows, right)
    if solved is None:
        return None, 0.0
    said = (sum(map(Fraction.__mul__, row, solved), Fraction(0)) for row in rows)
    misfit = max(abs(float(value - gap)) for value, gap in zip(said, right, strict=True))
    return {name: solved[free.index(name)] if name in free else Fraction(0) for name in used}, misfit


def _three_apart(places: Mapping[str, tuple[float, float]], used: Sequence[str]) -> tuple[str, ...] | None:
    """Three places that are not on one line: the plane through them is taken as level."""
    for three in combinations(used, 3):
        (ax, ay), (bx, by), (cx, cy) = (map(Fraction, places[name]) for name in three)
        if (bx - ax) * (cy - ay) != (by - ay) * (cx - ax):
            return three
    return None


def _least_squares(rows: Sequence[Row], right: Sequence[Fraction]) -> list[Fraction] | None:
    """The solution of the normal equations in fractions; None where they do not have one solution."""
    size = len(rows[0])
    table = [
        [sum((row[i] * row[j] for row in rows), Fraction(0)) for j in range(size)]
        + [sum((row[i] * value for row, value in zip(rows, right, strict=True)), Fraction(0))]
        for i in range(size)
    ]
    for column in range(size):
        pivot = next((place for place in range(column, size) if table[place][column]), None)
        if pivot is None:
            return None
        table[column], table[pivot] = table[pivot], table[column]
        lead = table[column][column]
        table[column] = [value / lead for value in table[column]]
        for place in range(size):
            factor = table[place][column]
            if place != column and factor:
                table[place] = [a - factor * b for a, b in zip(table[place], table[column], strict=True)]
    return [row[size] for row in table]
