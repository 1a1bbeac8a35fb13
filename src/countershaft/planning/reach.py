"""What a table of sizes can reach: a size that is needed beyond its ends, and a window that falls between its steps."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from countershaft.errors import OutOfRange
from countershaft.planning.shelf import Family, Gap

__all__ = ["Beyond", "NoStep", "beyond", "needed_size", "no_step", "shown"]


@dataclass(frozen=True, slots=True)
class Beyond:
    """A fit whose needed size no table answers for: nothing is chosen, something else is wrong.

    `needed` [mm] and `end` [mm] are given where the fit has one place.
    """

    gap: str
    direction: Literal["thicker", "thinner", "out of reach"]
    needed: Fraction | None
    end: Fraction | None
    suspects: tuple[str, ...]
    why: str


@dataclass(frozen=True, slots=True)
class NoStep:
    """A fit whose limits fall between the steps of the table, whatever lies on the shelf.

    `below` and `above` are the gaps nearest to the limits on either side, None where the table leaves none there.
    `wanted` [mm] is the range of sizes that would hold it, where the fit has one place.
    """

    gap: str
    below: Fraction | None
    above: Fraction | None
    wanted: tuple[Fraction, Fraction] | None
    why: str


def needed_size(gap: Gap) -> Fraction:
    """The size that would leave exactly the goal, where one place sets the fit.

    Parameters
    ----------
    gap : Gap [mm]
        A fit with one term.

    Returns
    -------
    Fraction [mm]
        The size.

    Raises
    ------
    OutOfRange
        Several places set the fit, so that no one size is needed.

    Examples
    --------
    >>> from countershaft.planning.shelf import Term
    >>> tenth = Fraction(1, 10)
    >>> float(needed_size(Gap("end play", Fraction(2), 0.0, (Term("shim"),), tenth, 3 * tenth, 2 * tenth)))
    1.8
    """
    if len(gap.terms) != 1:
        raise OutOfRange(f"{gap.name} is set at {len(gap.terms)} places; no one size is needed.")
    return (gap.goal - gap.rest) / gap.terms[0].factor


def beyond(gap: Gap, family_of: Mapping[str, Family]) -> Beyond | None:
    """Whether a fit asks for more than half a step beyond the ends of its tables.

    Parameters
    ----------
    gap : Gap [mm]
        The fit.
    family_of : Mapping[str, Family] [mm]
        The family of every place.

    Returns
    -------
    Beyond | None
        Which way, and what to suspect; None where the tables answer.

    Examples
    --------
    >>> from countershaft.planning.shelf import Term
    >>> shims = Family("shims", (Fraction(1), Fraction(11, 10), Fraction(12, 10)))
    >>> gap = Gap("end play", Fraction(2), 0.0, (Term("shim"),), Fraction(1, 10), Fraction(3, 10), Fraction(2, 10))
    >>> beyond(gap, {"shim": shims}).direction
    'thicker'
    """
    ends = [sorted(term.factor * end for end in family_of[term.place].reach) for term in gap.terms]
    low = gap.rest + sum((one[0] for one in ends), Fraction(0))
    high = gap.rest + sum((one[1] for one in ends), Fraction(0))
    if low <= gap.goal <= high:
        return None
    if len(gap.terms) > 1:
        why = (
            f"{gap.name}: the tables leave {shown(low)} to {shown(high)}, and {shown(gap.goal)} is wanted. "
            "Selective parts must not make up for a fault."
        )
        return Beyond(gap.name, "out of reach", None, None, gap.suspects, why)
    needed, table = needed_size(gap), family_of[gap.terms[0].place].table
    thicker = needed > table[-1]
    end = table[-1] if thicker else table[0]
    why = (
        f"{gap.name}: {shown(needed)} mm is needed, but the table ends at {shown(end)} mm. "
        "A selective part must not make up for a fault."
    )
    return Beyond(gap.name, "thicker" if thicker else "thinner", needed, end, gap.suspects, why)


def no_step(gap: Gap, family_of: Mapping[str, Family]) -> NoStep | None:
    """Whether no combination of sizes of the tables leaves a gap inside its limits.

    Parameters
    ----------
    gap : Gap [mm]
        The fit.
    family_of : Mapping[str, Family] [mm]
        The family of every place.

    Returns
    -------
    NoStep | None [mm]
        The gaps that the nearest steps leave; None where some sizes hold it.

    Examples
    --------
    >>> from countershaft.planning.shelf import Term
    >>> shims = Family("shims", (Fraction(16, 10), Fraction(18, 10)))
    >>> gap = Gap("play", Fraction(2), 0.0, (Term("shim"),), Fraction(25, 100), Fraction(35, 100), Fraction(3, 10))
    >>> found = no_step(gap, {"shim": shims})
    >>> float(found.below), float(found.above), [float(one) for one in found.wanted]
    (0.2, 0.4, [1.65, 1.75])
    """
    sizes = [[term.factor * size for size in family_of[term.place].table] for term in gap.terms]
    half = len(sizes) // 2
    ones, others = _sums(sizes[:half]), sorted(_sums(sizes[half:]))
    below = above = None
    for one in ones:
        base = gap.rest + one
        place = bisect_left(others, gap.lower - base)
        if place < len(others):
            left = base + others[place]
            if left <= gap.upper:
                return None
            above = left if above is None or left < above else above
        if place:
            left = base + others[place - 1]
            below = left if below is None or left > below else below
    wanted = None
    text = "no sizes of the tables hold it."
    if len(gap.terms) == 1:
        factor = gap.terms[0].factor
        first, last = sorted(((gap.lower - gap.rest) / factor, (gap.upper - gap.rest) / factor))
        wanted = first, last
        text = f"it takes {shown(first)} to {shown(last)} mm, and the table has nothing there."
    steps = " and ".join(shown(left) for left in (below, above) if left is not None)
    why = (
        f"{gap.name}: the nearest steps leave {steps}, not {shown(gap.lower)} to {shown(gap.upper)}; "
        f"{text} Measure again, or have a part made to size."
    )
    return NoStep(gap.name, below, above, wanted, why)


def shown(value: Fraction) -> str:
    """A length as it is printed: to the tenth of a micrometre at most, without idle zeros.

    Parameters
    ----------
    value : Fraction [any]
        The length.

    Returns
    -------
    str
        Its digits.

    Examples
    --------
    >>> shown(Fraction(21, 10)), shown(Fraction(1, 3)), shown(Fraction(0))
    ('2.1', '0.3333', '0')
    """
    digits = f"{abs(float(value)):.4f}".rstrip("0").rstrip(".")
    return f"−{digits}" if value < 0 and digits != "0" else digits


def _sums(sizes: Iterable[Sequence[Fraction]]) -> list[Fraction]:
    """All sums of one number out of each list, each once."""
    found = {Fraction(0)}
    for one in sizes:
        found = {total + size for total in found for size in one}
    return list(found)
