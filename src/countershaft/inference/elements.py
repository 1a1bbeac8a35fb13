"""Which shift elements explain the bad gears, and which gear to try next.

An element that serves a good gear is held to be sound; an element is suspected when it serves a bad gear and no good
one.  The bad gears are explained by the smallest sets of suspects that between them serve every bad gear.
This is the intersection that the trade draws on the application chart by hand (common practice, no source), with the
minimal sets of de Kleer and Williams (1987) where one element is not enough.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from countershaft.errors import OutOfRange

__all__ = ["MOST_AT_ONCE", "Explanation", "NextGear", "explain"]

#: More elements than this at fault at once are not looked for (common practice, no source): the cause is elsewhere.
MOST_AT_ONCE: Final = 4


@dataclass(frozen=True, slots=True)
class NextGear:
    """A gear not tried yet that would tell suspects apart: those it uses, and those it does not."""

    gear: str
    uses: tuple[str, ...]
    leaves: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Explanation:
    """What the tried gears say.

    `explains` holds the smallest sets of suspects that cover every bad gear; one set with one element is the clear
    case.  `cleared` maps each cleared element to the good gears that clear it.  `unexplained` are bad gears all of
    whose elements are cleared.  Where more than `MOST_AT_ONCE` elements would have to be at fault together,
    `explains` is empty: that many at once speak for something common to all, such as pressure or control.
    """

    bad: tuple[str, ...]
    good: tuple[str, ...]
    suspects: tuple[str, ...]
    explains: tuple[tuple[str, ...], ...]
    cleared: tuple[tuple[str, tuple[str, ...]], ...]
    unexplained: tuple[str, ...]
    next_gears: tuple[NextGear, ...]


def explain(
    chart: Mapping[str, Collection[str]],
    *,
    bad: Sequence[str],
    good: Sequence[str],
    order: Sequence[str] = (),
) -> Explanation:
    """Explain bad gears by elements.

    Parameters
    ----------
    chart : Mapping[str, Collection[str]]
        Gear to the elements that are applied in it.
    bad, good : Sequence[str]
        Gears that were tried, by how they behaved.
    order : Sequence[str], optional
        The order in which elements are named; else the order in which the chart names them.

    Returns
    -------
    Explanation
        Suspects, the smallest sets that explain everything, and the gears worth trying next.

    Raises
    ------
    OutOfRange
        A gear is not in the chart, or is both good and bad.

    References
    ----------
    de Kleer J., Williams B.C., Diagnosing multiple faults, Artificial Intelligence 32 (1987) 97-130: minimal
    candidates as smallest covering sets.

    Examples
    --------
    >>> chart = {"1": ["A", "F"], "2": ["A", "C"], "4": ["A", "E"], "6": ["C", "E"]}
    >>> explain(chart, bad=["2", "6"], good=["1", "4"]).explains
    (('C',),)
    """
    _check(chart, bad, good)
    names = list(order) or list(dict.fromkeys(element for gear in chart.values() for element in gear))
    cleared = {
        element: tuple(gear for gear in good if element in chart[gear])
        for element in names
        if any(element in chart[gear] for gear in good)
    }
    suspects = tuple(
        element for element in names if element not in cleared and any(element in chart[gear] for gear in bad)
    )
    explained = [gear for gear in bad if set(chart[gear]) & set(suspects)]
    return Explanation(
        bad=tuple(bad),
        good=tuple(good),
        suspects=suspects,
        explains=_smallest_covers([set(chart[gear]) & set(suspects) for gear in explained], suspects),
        cleared=tuple(cleared.items()),
        unexplained=tuple(gear for gear in bad if gear not in explained),
        next_gears=_next_gears(chart, [*bad, *good], suspects),
    )


def _check(chart: Mapping[str, Collection[str]], bad: Sequence[str], good: Sequence[str]) -> None:
    for gear in [*bad, *good]:
        if gear not in chart:
            raise OutOfRange(f"gear {gear!r} is not in the chart; it has {', '.join(chart)}.")
    both = sorted(set(bad) & set(good))
    if both:
        raise OutOfRange(f"gear {both[0]} is called both good and bad; drive it again and decide.")


def _smallest_covers(needs: Sequence[set[str]], suspects: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    """All smallest sets of suspects that share an element with every need, in the order of the suspects.

    Only elements of a need that is not met yet are tried, so the work grows with the elements of a gear and not with
    those of the train.
    """
    if not needs:
        return ()
    rank = {element: place for place, element in enumerate(suspects)}
    for size in range(1, MOST_AT_ONCE + 1):
        covers = {tuple(sorted(cover, key=rank.__getitem__)) for cover in _covers(needs, size)}
        if covers:
            return tuple(sorted(covers, key=lambda cover: [rank[element] for element in cover]))
    return ()


def _covers(needs: Sequence[set[str]], size: int) -> Iterator[frozenset[str]]:
    """Sets of at most `size` elements that meet every need; some come more than once."""
    if not needs:
        yield frozenset()
    elif size:
        for element in needs[0]:
            left = [need for need in needs if element not in need]
            for rest in _covers(left, size - 1):
                yield rest | {element}


def _next_gears(
    chart: Mapping[str, Collection[str]], tried: Collection[str], suspects: Sequence[str]
) -> tuple[NextGear, ...]:
    """Untried gears that use some suspects and not others, the most even split first."""
    found = [
        NextGear(
            gear,
            tuple(element for element in suspects if element in elements),
            tuple(element for element in suspects if element not in elements),
        )
        for gear, elements in chart.items()
        if gear not in tried and elements
    ]
    splits = [one for one in found if one.uses and one.leaves]
    return tuple(sorted(splits, key=lambda one: abs(len(one.uses) - len(one.leaves))))
