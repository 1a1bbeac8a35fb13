"""Steels of two or more thicknesses: which of them, and how many of each, make a pack of the wanted height."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import lcm

from countershaft.errors import GoalOutOfReach, OutOfRange
from countershaft.planning.reach import shown

__all__ = ["PlateStack", "plates_to_target"]


@dataclass(frozen=True, slots=True)
class PlateStack:
    """How many plates of each thickness [mm], thickest first, and what they add up to.

    `off` [mm] is the height less the target; `to_order` how many of each thickness are not on the shelf.
    """

    plates: tuple[tuple[Fraction, int], ...]
    height: Fraction
    off: Fraction
    to_order: tuple[tuple[Fraction, int], ...]
    working: tuple[str, ...]


def plates_to_target(
    target: Fraction,
    *,
    count: int,
    at_hand: Mapping[Fraction, int],
    to_order: tuple[Fraction, ...] = (),
) -> PlateStack:
    """The plates whose height comes nearest to a target, exactly.

    Of equally near heights the lower, since it leaves the clearance open; then the fewest plates to order; then the
    fewest thicknesses; then the thicker ones.

    Parameters
    ----------
    target : Fraction [mm]
        The height of all of them together.
    count : int [-]
        How many plates go in.
    at_hand : Mapping[Fraction, int] [mm, -]
        How many plates of each thickness lie on the shelf.
    to_order : tuple[Fraction, ...] [mm]
        Thicknesses of which any number can be had.

    Returns
    -------
    PlateStack [mm]
        The best of all selections.

    Raises
    ------
    OutOfRange
        Fewer than one plate is asked for, a thickness is not above zero, or a count is negative.
    GoalOutOfReach
        There are not enough plates.

    Examples
    --------
    >>> found = plates_to_target(Fraction("7.3"), count=4, at_hand={Fraction("1.8"): 6, Fraction("2.0"): 2})
    >>> [(float(size), number) for size, number in found.plates], float(found.off)
    ([(1.8, 4)], -0.1)
    """
    thicknesses = sorted({*at_hand, *to_order}, reverse=True)
    if count < 1 or any(one <= 0 for one in thicknesses) or any(one < 0 for one in at_hand.values()):
        raise OutOfRange("expected at least one plate, thicknesses above zero and no negative counts.")
    if not to_order and sum(at_hand.values()) < count:
        raise GoalOutOfReach(
            f"{count} plates are wanted, {sum(at_hand.values())} are on the shelf; say which thicknesses can be had."
        )
    unit = lcm(target.denominator, *(one.denominator for one in thicknesses))
    # (plates, height) to the least (ordered, thicknesses used) and, among those, the most of the thickest first.
    reached: dict[tuple[int, int], tuple[int, int, tuple[int, ...]]] = {(0, 0): (0, 0, ())}
    for size in thicknesses:
        stock = at_hand.get(size, 0)
        most = count if size in to_order else min(count, stock)
        reached = _with(reached, int(size * unit), most, stock, count)
    wanted = int(target * unit)
    heights = [height for plates, height in reached if plates == count]
    best = min(heights, key=lambda height: (abs(height - wanted), height))
    numbers = tuple(-one for one in reached[count, best][2])
    plates = tuple((size, number) for size, number in zip(thicknesses, numbers, strict=True) if number)
    ordered = tuple((size, number - at_hand.get(size, 0)) for size, number in plates)
    height = Fraction(best, unit)
    terms = " + ".join(f"{number} × {shown(size)}" for size, number in plates)
    return PlateStack(
        plates=plates,
        height=height,
        off=height - target,
        to_order=tuple((size, number) for size, number in ordered if number > 0),
        working=(f"{terms} = {shown(height)} mm, wanted {shown(target)} mm{_next(heights, best, unit)}",),
    )


def _with(
    reached: Mapping[tuple[int, int], tuple[int, int, tuple[int, ...]]],
    size: int,
    most: int,
    stock: int,
    count: int,
) -> dict[tuple[int, int], tuple[int, int, tuple[int, ...]]]:
    """All that is reached with up to so many plates of one more thickness."""
    found: dict[tuple[int, int], tuple[int, int, tuple[int, ...]]] = {}
    for (plates, height), (ordered, kinds, numbers) in reached.items():
        for number in range(min(most, count - plates) + 1):
            key = plates + number, height + number * size
            option = ordered + max(0, number - stock), kinds + (number > 0), (*numbers, -number)
            if key not in found or option < found[key]:
                found[key] = option
    return found


def _next(heights: list[int], best: int, unit: int) -> str:
    """How far the heights beside the best are, for the working."""
    rising = sorted(heights)
    steps = [high - low for low, high in pairwise(rising) if best in {low, high}]
    return f"; the next height is {shown(Fraction(min(steps), unit))} mm off it" if steps else ""
