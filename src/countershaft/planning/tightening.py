"""The order in which a joint is tightened and loosened: as given, else from where its bolts lie.

One thought stands behind all patterns: what is tight must hold the part level, so the next bolt is the one that
leaves the least tipping; on a plate the middle comes first, so that nothing is trapped there.
"""

from __future__ import annotations

import cmath
import math
import statistics
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Generic, Literal, SupportsFloat, TypeVar

from countershaft.errors import BadInput, OutOfRange

__all__ = ["Round", "TighteningOrder", "loosening_rounds", "rounds", "tightening_order", "usual_stages"]

K = TypeVar("K", bound=Hashable)
Pattern = Literal["given", "single", "circle", "rows", "flange", "unknown"]
Position = tuple[SupportsFloat, SupportsFloat]

#: A ring of bolts counts as a circle up to this deviation from its mean radius [-].
_ROUND = 0.15
#: Bolts count as one row up to this share of the joint's extent across it [-].
_STRAIGHT = 0.04
_MOST_ROWS = 3
#: Differences below this are the rounding of the computation, and count as ties.
_TIE = 9


@dataclass(frozen=True, slots=True)
class TighteningOrder(Generic[K]):
    """An order of all places, its pattern and its reason; no order (None) where positions are missing."""

    sequence: tuple[K, ...] | None
    pattern: Pattern
    reason: str

    @property
    def loosening(self) -> tuple[K, ...] | None:
        """The order reversed: what was tightened last comes loose first."""
        return None if self.sequence is None else self.sequence[::-1]


@dataclass(frozen=True, slots=True)
class Round(Generic[K]):
    """One round over the joint: what is done to each place, in this order."""

    number: int
    action: str
    places: tuple[K, ...]


def tightening_order(
    keys: Sequence[K], positions: Mapping[K, Position], *, given: Sequence[K] = ()
) -> TighteningOrder[K]:
    """Order in which the places of a joint are tightened.

    Parameters
    ----------
    keys : Sequence[K]
        The places, each once.
    positions : Mapping[K, Position] [mm]
        Where they lie, x to the right and y upward, seen on the heads; may lack some.
    given : Sequence[K], optional
        The order of the file; it stands, whatever the positions are.

    Returns
    -------
    TighteningOrder[K]
        Order, pattern and reason.

    Raises
    ------
    BadInput
        A place is named twice, or the given order does not name every place once.

    References
    ----------
    Star on a circle as in the legacy cross pattern of ASME PCC-1 (from memory); rows and flanges from the centre
    outward: common practice, no source.

    Examples
    --------
    >>> eight = {n: (math.sin(math.tau * n / 8), math.cos(math.tau * n / 8)) for n in range(8)}
    >>> tightening_order(list(eight), eight).sequence
    (0, 4, 2, 6, 1, 5, 3, 7)
    """
    if len(set(keys)) != len(keys):
        raise BadInput("a place is named twice; every place of a joint has its own name.")
    if given:
        if len(given) != len(keys) or set(given) != set(keys):
            raise BadInput("the given order does not name every place once; correct it, or leave it out.")
        return TighteningOrder(tuple(given), "given", "the order that the file gives")
    lacking = [str(key) for key in keys if key not in positions]
    if lacking and len(keys) > 1:
        return TighteningOrder(
            None,
            "unknown",
            f"no order is given, and {_lacking(lacking, len(keys))} to compute one from",
        )
    return _from_positions(keys, [_point(positions[key]) for key in keys] if not lacking else [0j])


def _lacking(names: Sequence[str], whole: int) -> str:
    if len(names) == whole:
        return "no place has a position"
    return f"{', '.join(names)} {'has' if len(names) == 1 else 'have'} no position"


def rounds(sequence: Sequence[K], stages: Sequence[str]) -> tuple[Round[K], ...]:
    """All rounds of a joint: each stage goes over every place before the next stage begins.

    Parameters
    ----------
    sequence : Sequence[K]
        Order of tightening.
    stages : Sequence[str]
        What each round does, in words.

    Returns
    -------
    tuple[Round[K], ...]
        One round per stage.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> [(one.number, one.action, one.places) for one in rounds("ab", ["12 N·m", "24 N·m"])]
    [(1, '12 N·m', ('a', 'b')), (2, '24 N·m', ('a', 'b'))]
    """
    return tuple(Round(number, stage, tuple(sequence)) for number, stage in enumerate(stages, start=1))


def usual_stages(torque: Decimal, unit: str, *, gasket: bool = False) -> tuple[str, ...]:
    """Stages where only the final torque is known: by hand, half, full, and full once more over a gasket.

    Parameters
    ----------
    torque : Decimal [unit]
        Final torque.
    unit : str
        Its unit.
    gasket : bool, optional
        Whether a gasket settles under the bolts.

    Returns
    -------
    tuple[str, ...]
        What each round does.

    Raises
    ------
    OutOfRange
        The torque is not positive.

    References
    ----------
    Common practice, no source; the maker's stages come first.

    Examples
    --------
    >>> usual_stages(Decimal("24"), "N·m")
    ('by hand until the faces meet', '12 N·m', '24 N·m')
    """
    if torque <= 0:
        raise OutOfRange(f"a torque must be more than 0, got {torque} {unit}.")
    half = torque / 2
    stages = ("by hand until the faces meet", f"{half:f} {unit}", f"{torque} {unit}")
    return (*stages, f"{torque} {unit} once more, because the gasket settles") if gasket else stages


def loosening_rounds(sequence: Sequence[K]) -> tuple[Round[K], ...]:
    """Rounds of loosening: the order of tightening reversed, half a turn each before any comes out.

    Parameters
    ----------
    sequence : Sequence[K]
        Order of tightening.

    Returns
    -------
    tuple[Round[K], ...]
        Half a turn each, then out.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> [(one.action, one.places) for one in loosening_rounds("abc")]
    [('half a turn', ('c', 'b', 'a')), ('out', ('c', 'b', 'a'))]
    """
    return rounds(sequence[::-1], ("half a turn", "out"))


# --- the pattern --------------------------------------------------------------------------------------------


def _from_positions(keys: Sequence[K], points: Sequence[complex]) -> TighteningOrder[K]:
    count = len(points)
    if count < 2:
        return TighteningOrder(tuple(keys), "single", "there is only one" if count else "there is none")
    if len(set(points)) < count:
        return TighteningOrder(
            None, "unknown", "no order is given, and two places share one position; correct it"
        )
    circle = _circle(points)
    if circle is not None:
        return _named(keys, _star(points, circle[0]), "circle", _circle_reason(points, circle))
    if count == 2:
        return TighteningOrder(tuple(keys), "rows", "two places: one, then the other, in turns")
    middle = sum(points) / count
    rows = _rows(points, middle)
    if rows is not None:
        along, number = rows
        said = "one row" if number == 1 else f"{number} rows"
        reason = f"{count} places in {said}: from the middle outward, from side to side, so that the part lies flat"
        return _named(
            keys, _outward(points, middle, lambda p: abs((p * along.conjugate()).real)), "rows", reason
        )
    reason = (
        f"{count} places of a flange: from the centre outward, from side to side, so that the part lies flat"
    )
    return _named(keys, _outward(points, middle, abs), "flange", reason)


def _named(keys: Sequence[K], order: Sequence[int], pattern: Pattern, reason: str) -> TighteningOrder[K]:
    return TighteningOrder(tuple(keys[index] for index in order), pattern, reason)


def _point(position: Position) -> complex:
    return complex(float(position[0]), float(position[1]))


def _circle(points: Sequence[complex]) -> tuple[complex, float] | None:
    """Centre and mean radius, where the points lie all round a circle and no half of it is empty."""
    if len(points) < 3:
        return None
    centre = _fitted_centre(points)
    if centre is None:
        return None
    radii = [abs(point - centre) for point in points]
    mean = statistics.fmean(radii)
    if max(abs(radius - mean) for radius in radii) > _ROUND * mean:
        return None
    turns = sorted(cmath.phase(point - centre) for point in points)
    gaps = [after - before for before, after in zip(turns, [*turns[1:], turns[0] + math.tau], strict=True)]
    return (centre, mean) if max(gaps) <= math.pi * 1.001 else None


def _fitted_centre(points: Sequence[complex]) -> complex | None:
    """Centre of the circle of least squares; None where the points lie on a line."""
    middle = sum(points) / len(points)
    shifted = [point - middle for point in points]
    xx = sum(p.real**2 for p in shifted)
    yy = sum(p.imag**2 for p in shifted)
    xy = sum(p.real * p.imag for p in shifted)
    determinant = xx * yy - xy**2
    if determinant <= 1e-9 * (xx + yy) ** 2:
        return None
    x = sum(abs(p) ** 2 * p.real for p in shifted) / 2
    y = sum(abs(p) ** 2 * p.imag for p in shifted) / 2
    return middle + complex(x * yy - y * xy, y * xx - x * xy) / determinant


def _circle_reason(points: Sequence[complex], circle: tuple[complex, float]) -> str:
    centre, mean = circle
    radii = [abs(point - centre) for point in points]
    true = max(radii) - min(radii) < 0.02 * mean
    said = "a circle" if true else f"nearly a circle (radius {min(radii):.0f} to {max(radii):.0f})"
    return f"{len(points)} places on {said}: a star, each next one across from what is tight, so the faces stay level"


def _rows(points: Sequence[complex], middle: complex) -> tuple[complex, int] | None:
    """Direction and number of rows, where the points lie in a few straight rows."""
    shifted = [point - middle for point in points]
    spin = cmath.phase(sum(p * p for p in shifted)) / 2
    extent = max(abs(p) for p in shifted) * 2
    for along in (cmath.rect(1, spin), 1 + 0j, 1j):
        across = sorted((p * along.conjugate()).imag for p in shifted)
        rows = [[across[0]]]
        for value in across[1:]:
            if value - rows[-1][0] > _STRAIGHT * extent:
                rows.append([])
            rows[-1].append(value)
        fullest = max(map(len, rows))
        if (
            len(rows) <= _MOST_ROWS
            and fullest >= 2
            and fullest > len(rows)
            and min(map(len, rows)) >= fullest // 2
        ):
            return along, len(rows)
    return None


# --- choosing the next bolt ---------------------------------------------------------------------------------


def _star(points: Sequence[complex], centre: complex) -> list[int]:
    """The next bolt leaves the least tipping, then the least ovalling, then lies farthest from what is tight."""
    clock = [-cmath.phase((point - centre) / (points[0] - centre)) % math.tau for point in points]
    clock[0] = 0.0  # a hair less than nothing would have become a full turn
    around = sorted(range(len(points)), key=lambda index: round(clock[index], _TIE))
    angles = [clock[index] for index in around]
    order = [0]
    while len(order) < len(angles):
        left = [index for index in range(len(angles)) if index not in order]
        order.append(min(left, key=lambda index: _star_rank(index, order, angles)))
    return [around[index] for index in order]


def _star_rank(index: int, order: Sequence[int], angles: Sequence[float]) -> tuple[float, ...]:
    with_it = [angles[one] for one in (*order, index)]
    tipping, ovalling = (abs(sum(cmath.rect(1, n * angle) for angle in with_it)) for n in (1, 2))
    before = min((angles[index] - angles[one]) % math.tau for one in order)
    after = min((angles[one] - angles[index]) % math.tau for one in order)
    latest = min(_apart(angles[index], angles[one]) for one in order[-4:])
    step = abs(index - order[-1])
    beside = min(step, len(angles) - step) == 1
    step_angle = math.tau / len(angles)
    angular = (-min(before, after), -(before + after), -latest)
    figures = (tipping, ovalling, *(angle / step_angle for angle in angular))
    return (*(round(figure, 1) for figure in figures), beside, index)


def _apart(one: float, other: float) -> float:
    turn = abs(one - other) % math.tau
    return min(turn, math.tau - turn)


def _outward(points: Sequence[complex], middle: complex, distance: Callable[[complex], float]) -> list[int]:
    """From the nearest to the farthest, and among about equally far ones the one that leaves the least tipping."""
    shifted = [point - middle for point in points]
    nearest = [min(abs(p - q) for q in shifted if q is not p) for p in shifted]
    band = statistics.median(nearest) / 2
    reach = [distance(p) for p in shifted]
    size = max(abs(p) for p in shifted)
    order: list[int] = []
    load = 0j
    left = list(range(len(points)))
    while left:
        limit = min(reach[index] for index in left) + (band if order else size * 1e-9)
        last = shifted[order[-1]] if order else 0j
        chosen = min(
            (index for index in left if reach[index] <= limit),
            key=lambda index: (
                round(abs(load + shifted[index]) / size, _TIE),
                -round(abs(shifted[index] - last) / size, _TIE),
                index,
            ),
        )
        order.append(chosen)
        left.remove(chosen)
        load += shifted[chosen]
    return order
