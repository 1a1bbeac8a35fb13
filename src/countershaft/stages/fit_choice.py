"""Which size of the table, or which plates, come nearest to what a fit needs; and whether the table can hold it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from countershaft.model.fits import Fit
from countershaft.planning.gap_fits import Measured
from countershaft.planning.plate_stacks import plates_to_target
from countershaft.planning.reach import no_step
from countershaft.planning.selective import Choice, choose
from countershaft.planning.shelf import Family, Gap, Term
from countershaft.stages.fit_needed import Found, Need, Seat, Window, as_decimal

__all__ = ["Side", "choices", "off_steps", "predicted"]


@dataclass(frozen=True, slots=True)
class Side:
    """What one side of a fit, or the fit as a whole, needs and takes: `plates` where the size is made up of several."""

    need: Need
    seat: Seat
    choice: Choice
    plates: tuple[tuple[Decimal, int], ...] = ()


def choices(
    fit: Fit,
    found: Found,
    seats: Sequence[Seat],
    shelf: tuple[Decimal, ...] | None,
    chosen: Mapping[str, Decimal],
) -> tuple[Side, ...]:
    """The nearest at hand for every side; the whole table where nobody has looked on the shelf.

    `chosen` is what goes in on a side already: of two shims the right one follows the left one.
    """
    if fit.pieces > 1 and found.needs:
        return (_plates(fit, found, seats[0], shelf),)
    made: list[Side] = []
    for need, seat, window in zip(found.needs, seats, reversed(found.windows), strict=False):
        left = chosen.get("left") or (made[0].choice.size if made else None)
        own = _after(found.gaps[0], need, left) if made and left is not None else need
        made.append(_one(fit, found, own, seat, window, shelf))
    return tuple(made)


def _after(total: Gap, need: Need, left: Decimal) -> Need:
    """The right shim that makes up the total with a left one."""
    return replace(need, size=Measured(total.rest - total.goal - Fraction(left), need.size.standard))


def _one(
    fit: Fit, found: Found, need: Need, seat: Seat, window: Window, shelf: tuple[Decimal, ...] | None
) -> Side:
    """With two shims the left one sets the backlash, the right one the preload."""
    at_hand = seat.sizes if shelf is None else tuple(size for size in shelf if size in seat.sizes)
    gap = next(
        one for one in found.gaps if seat.name in {term.place for term in one.terms} and _of(one, window)
    )
    factor = next(term.factor for term in gap.terms if term.place == seat.name)
    chosen = choose(
        needed=_fine(need.size.value, factor),
        goal=window.goal,
        lower=window.lower,
        upper=window.upper,
        table=seat.sizes,
        at_hand=at_hand,
        factor=Decimal(factor.numerator) / Decimal(factor.denominator),
        units=(window.unit, fit.size_unit),
    )
    return Side(need, seat, chosen)


def _of(gap: Gap, window: Window) -> bool:
    return (gap.lower, gap.upper) == (Fraction(window.lower), Fraction(window.upper))


def _fine(value: Fraction, factor: Fraction) -> Decimal:
    """As it is shown where millimetres close millimetres, so that the sums of a sentence are right; else in full."""
    return as_decimal(value) if factor == -1 else Decimal(value.numerator) / Decimal(value.denominator)


def _plates(fit: Fit, found: Found, seat: Seat, shelf: tuple[Decimal, ...] | None) -> Side:
    """Plates of several thicknesses that come nearest to the height; what lies on the shelf may be taken repeatedly."""
    need, window = found.needs[0], found.windows[0]
    needed = as_decimal(need.size.value)
    sizes = seat.sizes if shelf is None else shelf
    heights = tuple(fit.pieces * size for size in (seat.sizes[0], seat.sizes[-1]))
    step = (seat.sizes[-1] - seat.sizes[0]) / 2 if len(seat.sizes) > 1 else Decimal(0)
    if not heights[0] - step <= needed <= heights[1] + step:
        way = "thicker" if needed > heights[1] else "thinner"
        fault = choose(
            needed=needed,
            goal=window.goal,
            lower=window.lower,
            upper=window.upper,
            table=heights,
            at_hand=heights,
        )
        return Side(need, seat, Choice(needed, None, None, False, way, None, fault.why))
    if not sizes:
        return Side(need, seat, Choice(needed, None, None, False, None, None, "No plate is at hand."))
    stack = plates_to_target(
        need.size.value, count=fit.pieces, at_hand={}, to_order=tuple(Fraction(size) for size in sizes)
    )
    height = as_decimal(stack.height)
    gap = window.goal + needed - height
    inside = window.lower <= gap <= window.upper
    how = "inside" if inside else "outside"
    why = f"{stack.working[0]}: it leaves {gap} mm, {how} {window.lower} to {window.upper} mm."
    plates = tuple((as_decimal(size), number) for size, number in stack.plates)
    return Side(need, seat, Choice(needed, height if inside else None, gap, inside, None, None, why), plates)


def off_steps(found: Found, seats: Sequence[Seat]) -> str:
    """Why no size of the table can hold the fit, whatever lies on the shelf; empty where one can."""
    families = {seat.name: Family(seat.name, tuple(Fraction(size) for size in seat.sizes)) for seat in seats}
    if any(len(gap.terms) > 2 for gap in found.gaps):
        return ""
    told = (no_step(gap, families) for gap in found.gaps)
    return " ".join(one.why for one in told if one is not None)


def predicted(gap: Gap, placed: dict[str, Measured]) -> Measured | None:
    """What a gap will be with parts in their places; None while one of its places is empty."""
    if any(term.place not in placed for term in gap.terms):
        return None
    value = gap.rest + sum((term.factor * placed[term.place].value for term in gap.terms), Fraction(0))
    squares = [gap.standard**2, *(_variance(term, placed[term.place]) for term in gap.terms)]
    return Measured(value, sum(squares) ** 0.5)


def _variance(term: Term, part: Measured) -> float:
    return (float(term.factor) * part.standard) ** 2 + (float(part.value - term.pivot) * term.standard) ** 2
