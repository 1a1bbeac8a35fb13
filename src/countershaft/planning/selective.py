"""Which selective part closes a gap: the size that is needed, and the nearest at hand."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from countershaft.errors import OutOfRange

__all__ = ["Choice", "choose"]


@dataclass(frozen=True, slots=True)
class Choice:
    """The size that comes nearest, and the gap it will leave.

    `size` is None where no size should be chosen; `why` says it in one sentence.
    `off_table` is "thicker" or "thinner" where the size that is needed lies beyond the table.
    `order` is a better size of the table that is not at hand, if there is one.
    """

    needed: Decimal
    size: Decimal | None
    gap: Decimal | None
    inside: bool
    off_table: str | None
    order: Decimal | None
    why: str


def choose(
    *,
    needed: Decimal,
    goal: Decimal,
    lower: Decimal,
    upper: Decimal,
    table: Sequence[Decimal],
    at_hand: Sequence[Decimal],
    factor: Decimal = Decimal(-1),
    units: tuple[str, str] = ("mm", "mm"),
) -> Choice:
    """Choose the size nearest to the one that is needed; the thicker the part, the smaller the gap.

    With another `factor`, the gap grows by so much for every unit of size: the rate of a turning torque, for example.

    Where the goal is not the middle of the window, the nearest size may leave a gap outside while one a little farther
    off stays inside; then a size that stays inside goes first.

    A needed size more than half a step beyond the end of the table is no choice at all: the table was laid out for
    every sound unit, so something else is wrong.

    Parameters
    ----------
    needed : Decimal [mm]
        Size that would leave exactly the goal.
    goal, lower, upper : Decimal [mm]
        The gap to aim at, and its limits.
    table : Sequence[Decimal] [mm]
        All sizes that exist, rising.
    at_hand : Sequence[Decimal] [mm]
        The sizes on the shelf; each is in the table.
    factor : Decimal [any]
        What the gap grows by for every unit of size.
    units : tuple[str, str]
        The units of gap and size, for the sentences.

    Returns
    -------
    Choice [mm]
        The size, the gap it leaves, or why there is none.

    Raises
    ------
    OutOfRange
        The table is empty, a size at hand is not in it, or the goal does not lie between the limits.

    Examples
    --------
    >>> sizes = [Decimal(text) for text in ("1.80", "1.95", "2.10", "2.25")]
    >>> found = choose(needed=Decimal("2.085"), goal=Decimal("0.375"), lower=Decimal("0.25"),
    ...                upper=Decimal("0.50"), table=sizes, at_hand=sizes)
    >>> found.size, found.gap
    (Decimal('2.10'), Decimal('0.360'))
    """
    unit, size_unit = units
    if not table:
        raise OutOfRange("the table of sizes is empty; nothing can be chosen.")
    if not lower <= goal <= upper or lower == upper:
        raise OutOfRange(
            f"the goal {goal} {unit} does not lie inside {lower} to {upper} {unit}; correct one of them."
        )
    strangers = [size for size in at_hand if size not in table]
    if strangers:
        raise OutOfRange(
            f"size {strangers[0]} {size_unit} is on the shelf but not in the table; correct one of the two."
        )
    off = _off_table(needed, table)
    if off is not None:
        return Choice(needed, None, None, False, off, None, _beyond(needed, table, off, size_unit))

    def left(size: Decimal) -> Decimal:
        return goal + needed - size if factor == -1 else _rounded(goal + factor * (size - needed))

    def inside(size: Decimal) -> bool:
        return lower <= left(size) <= upper

    best = _nearest(needed, table, inside)
    if not at_hand:
        why = f"No size is at hand; {best} {size_unit} comes nearest."
        return Choice(needed, None, None, False, None, best, why)
    size = _nearest(needed, at_hand, inside)
    order = best if best != size else None
    verb = "leaves" if unit == size_unit else "gives"
    how = "inside" if inside(size) else "outside"
    why = f"{size} {size_unit} {verb} {left(size)} {unit}, {how} {lower} to {upper} {unit}."
    if order is not None:
        better = "come nearer" if inside(size) or not inside(order) else "stay inside"
        why += f" {order} {size_unit} would {better} ({left(order)} {unit}); it is not on the shelf."
    return Choice(needed, size if inside(size) else None, left(size), inside(size), None, order, why)


def _beyond(needed: Decimal, table: Sequence[Decimal], off: str, unit: str) -> str:
    end = max(table) if off == "thicker" else min(table)
    what = (
        "a part is missing, or something is not seated"
        if off == "thicker"
        else "a part is doubled, or not home"
    )
    shown = _rounded(needed)
    return (
        f"{shown} {unit} is needed, but the table ends at {end} {unit}. A selective part must not make up for a fault: "
        f"{what}. Find it first."
    )


def _rounded(value: Decimal) -> Decimal:
    """To a ten-thousandth, with two digits behind the point at least and no idle zeros beyond."""
    plain = value.quantize(Decimal("0.0001")).normalize()
    exponent = plain.as_tuple().exponent
    return plain.quantize(Decimal("0.01")) if not isinstance(exponent, int) or exponent > -2 else plain


def _nearest(needed: Decimal, sizes: Sequence[Decimal], inside: Callable[[Decimal], bool]) -> Decimal:
    """The size nearest to the needed one among those that stay inside the window, else among all.

    Of two equally near, the thinner: the gap stays open.
    """
    good = [size for size in sizes if inside(size)]
    return min(sorted(good or sizes), key=lambda size: abs(size - needed))


def _off_table(needed: Decimal, table: Sequence[Decimal]) -> str | None:
    sizes = sorted(table)
    first_step = (sizes[1] - sizes[0]) / 2 if len(sizes) > 1 else Decimal(0)
    last_step = (sizes[-1] - sizes[-2]) / 2 if len(sizes) > 1 else Decimal(0)
    if needed > sizes[-1] + last_step:
        return "thicker"
    return "thinner" if needed < sizes[0] - first_step else None
