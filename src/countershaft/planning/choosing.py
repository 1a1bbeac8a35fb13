"""All selective parts of a job at once: the choice that makes it most probable that every fit is within its limits.

What is best, in this order: the product of the probabilities of all fits; the sum of their distances from the goals;
the fewest parts to order; the least money.  The product, not the least of them, since one fit that is out is one
unpacked unit, whichever it is; and it counts each fit as if its error were its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from heapq import nsmallest
from itertools import product
from typing import Literal

from countershaft.errors import GoalOutOfReach, OutOfRange
from countershaft.planning.fit_costs import Goals, compiled
from countershaft.planning.fit_search import Found, best_of, components
from countershaft.planning.likelihood import within
from countershaft.planning.reach import Beyond, NoStep, beyond, no_step, shown
from countershaft.planning.shelf import Family, Gap, Listed, Shop

__all__ = ["Answer", "FitPlan", "Left", "Selected", "choose_fits"]


@dataclass(frozen=True, slots=True)
class Selected:
    """What goes to one place: a piece from the shelf, or a line of the price list (`piece` is None)."""

    place: str
    family: str
    size: Fraction
    standard: float
    piece: str | None
    price: int
    days: int

    @property
    def ordered(self) -> bool:
        """It is not on the shelf."""
        return self.piece is None


@dataclass(frozen=True, slots=True)
class Left:
    """What one fit will come to, its standard uncertainty, and the probability that it is within its limits."""

    gap: str
    value: Fraction
    standard: float
    probability: float
    inside: bool
    working: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FitPlan:
    """One choice for all fits.

    `probability` is the product over the fits; `goals` are the whole numbers that were compared: loss, distance, parts
    to order, cents.  `days` is until the last ordered part is here.
    """

    selected: tuple[Selected, ...]
    left: tuple[Left, ...]
    probability: float
    goals: tuple[int, int, int, int]

    @property
    def to_order(self) -> tuple[Selected, ...]:
        """What is not on the shelf."""
        return tuple(one for one in self.selected if one.ordered)

    @property
    def price(self) -> int:
        """What the ordered parts cost, in cents."""
        return sum(one.price for one in self.to_order)

    @property
    def days(self) -> int:
        """Days until the last ordered part is here."""
        return max((one.days for one in self.to_order), default=0)


@dataclass(frozen=True, slots=True)
class Answer:
    """The best choice, the next best, and what cannot be chosen.

    `from_shelf` is the best without ordering, None where the shelf cannot fill every place.
    `beyond` are fits whose needed size no table answers for; `waiting` fits that share a place with one of those.
    `no_step` are fits that no sizes of the tables can hold; the nearest are chosen all the same.
    `verdict` is "optimal" where the search proved it.
    """

    best: FitPlan
    others: tuple[FitPlan, ...]
    from_shelf: FitPlan | None
    beyond: tuple[Beyond, ...]
    waiting: tuple[str, ...]
    no_step: tuple[NoStep, ...]
    verdict: Literal["optimal", "best found"]
    nodes: int

    def costs(self, plan: FitPlan) -> float:
        """How much less probable another plan is than the best [-]."""
        return self.best.probability - plan.probability

    def said(self) -> tuple[str, ...]:
        """The answer in plain sentences."""
        lines = [one.why + _suspected(one.suspects) for one in self.beyond]
        lines += [f"{name} waits: it shares a part with a fit that is out of reach." for name in self.waiting]
        lines += [one.why for one in self.no_step]
        impossible = {one.gap for one in self.no_step}
        lines += [
            f"{one.gap}: {shown(one.value)} is the best that can be had, and it is outside."
            for one in self.best.left
            if not one.inside and one.gap not in impossible
        ]
        for one in self.best.to_order:
            when = f", here in {one.days} days" if one.days else ""
            lines.append(f"Order {one.family} {shown(one.size)} mm for {one.place}{when}.")
        if self.best.to_order:
            lines.append(self._without_order())
        if self.others:
            second = self.others[0]
            lines.append(f"The second best costs {_percent(self.costs(second))} of probability.")
        return tuple(lines)

    def _without_order(self) -> str:
        if self.from_shelf is None:
            return "The shelf alone cannot fill every place."
        return (
            f"From the shelf alone all fits are good with {_percent(self.from_shelf.probability)}, "
            f"with the order {_percent(self.best.probability)}."
        )


def choose_fits(
    shop: Shop, *, plans: int = 1, within_days: int | None = None, most_nodes: int = 100_000
) -> Answer:
    """Choose the parts of all fits together, exactly.

    Parameters
    ----------
    shop : Shop [mm]
        The fits, the pieces on the shelf and the price list.
    plans : int [-]
        How many plans, the best included; two differ where a place takes another size or another origin.
    within_days : int, optional [days]
        What takes longer to come is not considered.
    most_nodes : int [-]
        Nodes of a search after which it ends without its proof; the verdict is then "best found".

    Returns
    -------
    Answer [mm]
        The best plan, the next best, the best from the shelf alone, and what is out of reach.

    Raises
    ------
    OutOfRange
        Less than one plan is asked for.
    GoalOutOfReach
        More places than pieces, and nothing to order.

    Notes
    -----
    Probabilities whose logarithms differ by less than 0.0001 count as equal, and so do distances within a thousandth
    of half a window: then the next goal decides.
    Fits that share a measured dimension share its error; the product does not count that.
    For limits that stand evenly about the values it is on the safe side (Sidak's inequality).

    References
    ----------
    JCGM 106:2012, 7.4 (conformance probability).
    Sidak Z., Rectangular confidence regions for the means of multivariate normal distributions, Journal of the
    American Statistical Association 62 (1967) 626-633.

    Examples
    --------
    Two shims that look alike, one piece of each size on the shelf:

    >>> from countershaft.planning.shelf import Piece, Place, Term
    >>> mm = lambda text: Fraction(text)
    >>> def preload(name, zero):
    ...     return Gap(name, mm(zero), 0.01, (Term(name),), mm("-0.11"), mm("-0.05"), mm("-0.08"))
    >>> shims = Family("shim", tuple(mm("1.06") + Fraction(n, 20) for n in range(25)))
    >>> shop = Shop((shims,), (Place("L1", "shim"), Place("L2", "shim")),
    ...             (preload("L1", "1.48"), preload("L2", "1.63")),
    ...             (Piece("one", "shim", mm("1.71")), Piece("two", "shim", mm("1.56"))))
    >>> [(one.place, one.piece) for one in choose_fits(shop).best.selected]
    [('L1', 'two'), ('L2', 'one')]
    """
    if plans < 1:
        raise OutOfRange(f"{plans} plans are asked for; ask for at least one.")
    family_of = {
        one.name: family for one in shop.places for family in shop.families if family.name == one.family
    }
    gaps, off, waiting = _within_reach(shop, family_of)
    listed = tuple(one for one in shop.listed if within_days is None or one.days <= within_days)
    short = _short(shop, gaps, family_of, listed)
    if short is not None:
        raise GoalOutOfReach(short)
    found, proven, nodes = _plans(shop, gaps, listed, plans, most_nodes)
    from_shelf: FitPlan | None = found[0]
    if found[0].to_order and _short(shop, gaps, family_of, ()) is not None:
        from_shelf = None
    elif found[0].to_order:
        (from_shelf,), shelf_proven, more = _plans(shop, gaps, (), 1, most_nodes)
        proven, nodes = proven and shelf_proven, nodes + more
    steps = (no_step(gap, family_of) for gap in gaps)
    return Answer(
        best=found[0],
        others=tuple(found[1:]),
        from_shelf=from_shelf,
        beyond=off,
        waiting=waiting,
        no_step=tuple(one for one in steps if one is not None),
        verdict="optimal" if proven else "best found",
        nodes=nodes,
    )


def _within_reach(
    shop: Shop, family_of: dict[str, Family]
) -> tuple[tuple[Gap, ...], tuple[Beyond, ...], tuple[str, ...]]:
    """The fits to choose for, those beyond their tables, and those that share a place with one of these."""
    gaps = sorted(shop.gaps, key=lambda one: one.name)
    tried = [(gap, beyond(gap, family_of)) for gap in gaps]
    off = tuple(found for _, found in tried if found is not None)
    held = {term.place for gap, found in tried if found is not None for term in gap.terms}
    left = [gap for gap, found in tried if found is None]
    waiting: list[str] = []
    while True:
        touched = [gap for gap in left if held.intersection(term.place for term in gap.terms)]
        if not touched:
            return tuple(left), off, tuple(sorted(waiting))
        left = [gap for gap in left if gap not in touched]
        waiting += [gap.name for gap in touched]
        held |= {term.place for gap in touched for term in gap.terms}


def _short(
    shop: Shop, gaps: Sequence[Gap], family_of: dict[str, Family], listed: Sequence[Listed]
) -> str | None:
    """Which family has more places than pieces, and nothing to order, in one sentence."""
    places = sorted({term.place for gap in gaps for term in gap.terms})
    to_order = {one.family for one in listed}
    for family in shop.families:
        wanting = [place for place in places if family_of[place] == family]
        pieces = sum(1 for one in shop.pieces if one.family == family.name)
        if len(wanting) > pieces and family.name not in to_order:
            return (
                f"{family.name}: {', '.join(wanting)} want {len(wanting)}, {pieces} on the shelf, and none is listed "
                "in time. Add the sizes that can be ordered, or what else is on the shelf."
            )
    return None


def _plans(
    shop: Shop, gaps: Sequence[Gap], listed: Sequence[Listed], count: int, most_nodes: int
) -> tuple[list[FitPlan], bool, int]:
    """The best plans, whether they are proven, and how many nodes that took."""
    goals = compiled(shop, gaps, listed)
    together: list[tuple[int, tuple[Found, ...]]] = [(0, ())]
    proven, nodes = True, 0
    for places in components(goals):
        found = best_of(goals, places, count=count, most_nodes=most_nodes)
        proven = proven and all(one.proven for one in found)
        nodes += sum(one.nodes for one in found)
        joined = ((cost + one.cost, (*chosen, one)) for (cost, chosen), one in product(together, found))
        together = nsmallest(count, joined, key=lambda one: (one[0], [part.chosen for part in one[1]]))
    plans = [
        _plan(goals, gaps, cost, dict(pair for one in parts for pair in one.chosen))
        for cost, parts in together
    ]
    return plans, proven, nodes


def _plan(goals: Goals, gaps: Sequence[Gap], cost: int, chosen: dict[int, int]) -> FitPlan:
    """A choice with the names of its pieces, and what it leaves; of equal pieces the first name goes first."""
    taken: dict[tuple[str, int], int] = {}
    selected = []
    for place in sorted(chosen):
        family = goals.family_of[place]
        candidate = goals.candidates[family][chosen[place]]
        piece = None
        if candidate.listed is None:
            number = taken.get((family, chosen[place]), 0)
            taken[family, chosen[place]] = number + 1
            piece = candidate.pieces[number]
        line = candidate.listed or Listed(family, candidate.size)
        selected.append(
            Selected(
                goals.names[place], family, candidate.size, candidate.standard, piece, line.price, line.days
            )
        )
    at = {one.place: one for one in selected}
    left = tuple(_left(gap, at) for gap in gaps)
    probability = 1.0
    for one in left:
        probability *= one.probability
    return FitPlan(tuple(selected), left, probability, goals.weights.split(cost))


def _left(gap: Gap, at: dict[str, Selected]) -> Left:
    """What a fit comes to with the selected sizes."""
    value, variance = gap.rest, gap.standard**2
    terms = []
    for term in sorted(gap.terms, key=lambda one: one.place):
        one = at[term.place]
        value += term.factor * one.size
        variance += float(term.factor**2) * one.standard**2
        variance += float((one.size - term.pivot) ** 2) * term.standard**2
        factor = "" if abs(term.factor) == 1 else f"{shown(abs(term.factor))} · "
        terms.append(f"{'−' if term.factor < 0 else '+'} {factor}{shown(one.size)} ({term.place})")
    standard = variance**0.5
    chance = within(0.0, standard, lower=float(gap.lower - value), upper=float(gap.upper - value))
    working = (
        f"{gap.name} = {shown(gap.rest)} {' '.join(terms)} = {shown(value)}",
        f"u = {standard:.2g}: within {shown(gap.lower)} to {shown(gap.upper)} with {_percent(chance)}",
    )
    return Left(gap.name, value, standard, chance, gap.lower <= value <= gap.upper, working)


def _suspected(suspects: Sequence[str]) -> str:
    return f" Look at: {'; '.join(suspects)}." if suspects else ""


def _percent(fraction: float) -> str:
    """A probability in per cent, never rounded up to certainty: nothing that is measured is certain."""
    text = f"{100 * fraction:.1f} %"
    return "more than 99.9 %" if text == "100.0 %" else text
