"""Which selective part closes a gap: the size that is needed, and the nearest at hand."""

from __future__ import annotations

from collections.abc import Sequence
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
) -> Choice:
    """Choose the size nearest to the one that is needed; the thicker the part, the smaller the gap.

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
    if not table:
        raise OutOfRange("the table of sizes is empty; nothing can be chosen.")
    if not lower <= goal <= upper or lower == upper:
        raise OutOfRange(
            f"the goal {goal} mm does not lie inside {lower} to {upper} mm; correct one of them."
        )
    strangers = [size for size in at_hand if size not in table]
    if strangers:
        raise OutOfRange(
            f"size {strangers[0]} mm is on the shelf but not in the table; correct one of the two."
        )
    off = _off_table(needed, table)
    if off is not None:
        end = max(table) if off == "thicker" else min(table)
        return Choice(
            needed, None, None, False, off, None,
            f"{needed} mm is needed, but the table ends at {end} mm. A selective part must not make up for a fault: "
            "find what is missing, doubled or not seated.",
        )  # fmt: skip
    window = (goal + needed - upper, goal + needed - lower)
    best = _nearest(needed, table, window)
    if not at_hand:
        return Choice(needed, None, None, False, None, best, f"No size is at hand; {best} mm comes nearest.")
    size = _nearest(needed, at_hand, window)
    gap = goal + needed - size
    inside = lower <= gap <= upper
    order = best if best != size else None
    why = f"{size} mm leaves {gap} mm, {'inside' if inside else 'outside'} {lower} to {upper} mm."
    if order is not None:
        better = "come nearer" if inside or not lower <= goal + needed - order <= upper else "stay inside"
        why += f" {order} mm would {better} ({goal + needed - order} mm); it is not on the shelf."
    return Choice(needed, size if inside else None, gap, inside, None, order, why)


def _nearest(needed: Decimal, sizes: Sequence[Decimal], window: tuple[Decimal, Decimal]) -> Decimal:
    """The size nearest to the needed one among those that stay inside the window, else among all.

    Of two equally near, the thinner: the gap stays open.
    """
    inside = [size for size in sizes if window[0] <= size <= window[1]]
    return min(sorted(inside or sizes), key=lambda size: abs(size - needed))


def _off_table(needed: Decimal, table: Sequence[Decimal]) -> str | None:
    sizes = sorted(table)
    first_step = (sizes[1] - sizes[0]) / 2 if len(sizes) > 1 else Decimal(0)
    last_step = (sizes[-1] - sizes[-2]) / 2 if len(sizes) > 1 else Decimal(0)
    if needed > sizes[-1] + last_step:
        return "thicker"
    return "thinner" if needed < sizes[0] - first_step else None
