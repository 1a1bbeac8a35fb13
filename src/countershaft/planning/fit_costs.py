"""The fits of a shop in whole numbers: what every candidate costs at every place, alone and together.

One number holds the whole objective, in the order that counts: how improbable the fits are, how far from their goals,
how many parts to order, what they cost.  Each has more room than all below it together, so sums never spill over.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import product
from math import lcm
from typing import Final

from countershaft.planning.likelihood import best_loss, loss
from countershaft.planning.shelf import Family, Gap, Listed, Piece, Shop

__all__ = ["NEARNESS", "Candidate", "Goals", "Scale", "Weights", "compiled"]

#: Distances from the goal are counted in thousandths of half the window.
NEARNESS: Final = 1000
#: The most combinations of candidates that are all looked at to split a gap's cost over its places.
MOST_COMBINATIONS: Final = 10_000


@dataclass(frozen=True, slots=True)
class Candidate:
    """A size that can go to the places of its family: equal pieces on the shelf, or one line of the price list."""

    size: Fraction
    standard: float
    pieces: tuple[str, ...] = ()
    listed: Listed | None = None


@dataclass(frozen=True, slots=True)
class Weights:
    """What one step of each goal weighs; a cent weighs 1."""

    loss: int
    distance: int
    order: int

    def split(self, cost: int) -> tuple[int, int, int, int]:
        """Loss, distance, parts to order and cents of a cost."""
        lost, rest = divmod(cost, self.loss)
        far, rest = divmod(rest, self.distance)
        ordered, cents = divmod(rest, self.order)
        return lost, far, ordered, cents


@dataclass(frozen=True, slots=True)
class Scale:
    """One gap in whole numbers: `unit` of them make one of its units.

    `parts[i][c]` is what candidate `c` at the i-th of its places adds to the gap, `spreads[i][c]` to its variance.
    """

    gap: Gap
    places: tuple[int, ...]
    unit: int
    rest: int
    lower: int
    upper: int
    goal: int
    parts: tuple[tuple[int, ...], ...]
    spreads: tuple[tuple[float, ...], ...]

    def goals(self, chosen: Sequence[int]) -> tuple[int, int]:
        """Loss, and distance from the goal, with these candidates at its places."""
        value, variance = self.rest, self.gap.standard**2
        for part, spread, candidate in zip(self.parts, self.spreads, chosen, strict=True):
            value += part[candidate]
            variance += spread[candidate]
        lost = loss(
            0.0, variance**0.5, lower=(self.lower - value) / self.unit, upper=(self.upper - value) / self.unit
        )
        return lost, self._distance(value)

    def _distance(self, value: int) -> int:
        return 2 * NEARNESS * abs(value - self.goal) // (self.upper - self.lower)

    def farthest(self) -> int:
        """A distance that no candidates exceed."""
        low = self.rest + sum(min(part) for part in self.parts)
        high = self.rest + sum(max(part) for part in self.parts)
        return max(self._distance(low), self._distance(high))

    def least(self, chosen: Sequence[int | None]) -> tuple[int, int]:
        """Loss and distance that no choice for the open places (None) is below."""
        low = high = self.rest
        thin = wide = self.gap.standard**2
        for part, spread, candidate in zip(self.parts, self.spreads, chosen, strict=True):
            among = range(len(part)) if candidate is None else (candidate,)
            low += min(part[one] for one in among)
            high += max(part[one] for one in among)
            thin += min(spread[one] for one in among)
            wide += max(spread[one] for one in among)
        lost = best_loss(
            (low / self.unit, high / self.unit),
            (thin**0.5, wide**0.5),
            lower=self.lower / self.unit,
            upper=self.upper / self.unit,
        )
        return lost, self._distance(min(max(self.goal, low), high))


@dataclass(slots=True)
class Goals:
    """The compiled shop: places and candidates by number, and what they cost.

    `alone[p][c]` is what candidate `c` costs at place `p` in all gaps that this place sets alone, orders and cents
    included; `shared` are the gaps of several places.  `split[g]`, where it is not None, gives a part of the cost of
    shared gap `g` to each of its places, so that the parts never exceed the cost of any candidates together.
    `twins` are places that enter the same gaps in the same way: their parts could be exchanged without a difference.
    """

    names: tuple[str, ...]
    family_of: tuple[str, ...]
    candidates: dict[str, tuple[Candidate, ...]]
    weights: Weights
    alone: list[list[int]]
    shared: tuple[Scale, ...]
    twins: tuple[tuple[int, ...], ...]
    split: list[list[list[int]] | None] = field(default_factory=list)
    known: dict[tuple[int, ...], int] = field(default_factory=dict)

    def cost(self, shared: int, chosen: tuple[int, ...]) -> int:
        """What one shared gap costs with these candidates."""
        key = (shared, *chosen)
        found = self.known.get(key)
        if found is None:
            lost, far = self.shared[shared].goals(chosen)
            found = self.known[key] = lost * self.weights.loss + far * self.weights.distance
        return found

    def least(self, shared: int, chosen: Sequence[int | None]) -> int:
        """A cost of a shared gap that no choice for its open places is below."""
        lost, far = self.shared[shared].least(chosen)
        return lost * self.weights.loss + far * self.weights.distance


def compiled(shop: Shop, gaps: Sequence[Gap], listed: Sequence[Listed]) -> Goals:
    """Bring the fits of a shop into whole numbers, in an order that does not depend on how they were given.

    Parameters
    ----------
    shop : Shop [mm]
        The shop.
    gaps : Sequence[Gap] [mm]
        Those of its fits that are to be chosen for.
    listed : Sequence[Listed] [mm]
        What of its price list may be ordered.

    Returns
    -------
    Goals [-]
        Places, candidates and costs.
    """
    family_of = {one.name: one.family for one in shop.places}
    names = tuple(sorted({term.place for gap in gaps for term in gap.terms}))
    candidates = {one.name: _candidates(one, shop.pieces, listed) for one in shop.families}
    scales = [_scale(gap, names, family_of, candidates) for gap in sorted(gaps, key=lambda one: one.name)]
    dearest = max((one.price for one in listed), default=0)
    order = 1 + len(names) * dearest
    distance = order * (1 + len(names))
    weights = Weights(distance * (1 + sum(one.farthest() for one in scales)), distance, order)
    alone = [
        [order + one.listed.price if one.listed else 0 for one in candidates[family_of[name]]]
        for name in names
    ]
    for scale in scales:
        if len(scale.places) == 1:
            row = alone[scale.places[0]]
            for candidate in range(len(row)):
                lost, far = scale.goals((candidate,))
                row[candidate] += lost * weights.loss + far * weights.distance
    shared = tuple(one for one in scales if len(one.places) > 1)
    twins = _twins(gaps, names, family_of)
    goals = Goals(names, tuple(family_of[name] for name in names), candidates, weights, alone, shared, twins)
    goals.split = [_split(goals, number) for number in range(len(shared))]
    return goals


def _twins(
    gaps: Sequence[Gap], names: Sequence[str], family_of: dict[str, str]
) -> tuple[tuple[int, ...], ...]:
    """Places of one family that stand in the same gaps with the same factors, two or more together."""
    alike: dict[tuple[object, ...], list[int]] = {}
    for place, name in enumerate(names):
        roles = sorted(
            (gap.name, term.factor, term.pivot, term.standard)
            for gap in gaps
            for term in gap.terms
            if term.place == name
        )
        alike.setdefault((family_of[name], *roles), []).append(place)
    return tuple(tuple(places) for places in alike.values() if len(places) > 1)


def _candidates(family: Family, pieces: Sequence[Piece], listed: Sequence[Listed]) -> tuple[Candidate, ...]:
    """Equal pieces together, then the cheapest and soonest of equal lines of the price list."""
    classes: dict[tuple[Fraction, float], list[str]] = {}
    for piece in pieces:
        if piece.family == family.name:
            classes.setdefault((piece.size, piece.standard), []).append(piece.name)
    lines: dict[tuple[Fraction, float], Listed] = {}
    for one in listed:
        key = (one.size, one.standard)
        if one.family == family.name:
            known = lines.get(key, one)
            lines[key] = min(known, one, key=lambda line: (line.price, line.days))
    return (
        *(Candidate(*key, pieces=tuple(sorted(classes[key]))) for key in sorted(classes)),
        *(Candidate(*key, listed=lines[key]) for key in sorted(lines)),
    )


def _scale(
    gap: Gap, names: Sequence[str], family_of: dict[str, str], candidates: dict[str, tuple[Candidate, ...]]
) -> Scale:
    terms = sorted(gap.terms, key=lambda term: term.place)
    sizes = [[one.size for one in candidates[family_of[term.place]]] for term in terms]
    values = [[term.factor * size for size in column] for term, column in zip(terms, sizes, strict=True)]
    figures = [gap.rest, gap.lower, gap.upper, gap.goal, *(one for column in values for one in column)]
    unit = lcm(*(one.denominator for one in figures))
    spreads = tuple(
        tuple(
            float(term.factor * term.factor) * one.standard**2
            + float((one.size - term.pivot) ** 2) * term.standard**2
            for one in candidates[family_of[term.place]]
        )
        for term in terms
    )
    rest, lower, upper, goal = (int(one * unit) for one in (gap.rest, gap.lower, gap.upper, gap.goal))
    return Scale(
        gap=gap,
        places=tuple(names.index(term.place) for term in terms),
        unit=unit,
        rest=rest,
        lower=lower,
        upper=upper,
        goal=goal,
        parts=tuple(tuple(int(one * unit) for one in column) for column in values),
        spreads=spreads,
    )


def _split(goals: Goals, shared: int) -> list[list[int]] | None:
    """Give each place of a shared gap the part of its cost that it bears whatever goes to the others.

    What one place bears is taken off before the next is asked, so the parts together are never more than the cost.
    """
    sizes = [len(part) for part in goals.shared[shared].parts]
    if 0 in sizes or _count(sizes) > MOST_COMBINATIONS:
        return None
    parts: list[list[int]] = []
    rest = {chosen: goals.cost(shared, chosen) for chosen in product(*(range(size) for size in sizes))}
    for place, size in enumerate(sizes):
        least: list[int | None] = [None] * size
        for chosen, cost in rest.items():
            known = least[chosen[place]]
            if known is None or cost < known:
                least[chosen[place]] = cost
        part = [one or 0 for one in least]
        parts.append(part)
        rest = {chosen: cost - part[chosen[place]] for chosen, cost in rest.items()}
    return parts


def _count(sizes: Sequence[int]) -> int:
    total = 1
    for size in sizes:
        total *= size
    return total
