"""The proven best choice of parts for fits that hang together, by branch and bound; and the next best.

Places that set a fit alone and only compete for pieces are an assignment, solved exactly at every node.  Branching is
needed at places whose fits are shared only; the bound is the assignment with the split costs of the shared fits.
Of places whose parts could be exchanged without a difference, the first takes the candidate that is first in order.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush

from countershaft.planning.fit_costs import Goals
from countershaft.planning.matching import ALONE, FORBIDDEN, Matching, cheapest

__all__ = ["Found", "Limits", "best_of", "components"]

#: Which candidates a place may take; a place that is not named may take all.
Limits = Mapping[int, frozenset[int]]


@dataclass(frozen=True, slots=True)
class Found:
    """One choice: its cost, the candidate of every place of its component, and whether it is proven best."""

    cost: int
    chosen: tuple[tuple[int, int], ...]
    proven: bool
    nodes: int


@dataclass(frozen=True, slots=True)
class _Node:
    """A part of a choice: what is fixed, what the open places cost at each candidate, and their assignment."""

    fixed: int
    chosen: Mapping[int, int]
    costs: Mapping[int, Sequence[int]]
    matched: Mapping[str, tuple[tuple[int, ...], tuple[int, ...], Matching]]
    shared: int

    @property
    def bound(self) -> int:
        """No completion of this node costs less."""
        return self.fixed + self.shared + sum(one[2].total for one in self.matched.values())


def components(goals: Goals) -> tuple[tuple[int, ...], ...]:
    """Places that hang together: by a shared fit, or by pieces that more than one of them could take.

    Parameters
    ----------
    goals : Goals [-]
        The compiled shop.

    Returns
    -------
    tuple[tuple[int, ...], ...] [-]
        The numbers of the places, each component rising.
    """
    leader = list(range(len(goals.names)))

    def find(place: int) -> int:
        while leader[place] != place:
            place = leader[place]
        return place

    groups = [one.places for one in goals.shared]
    for family, candidates in goals.candidates.items():
        if any(one.pieces for one in candidates):
            groups.append(tuple(place for place, name in enumerate(goals.family_of) if name == family))
    for group in groups:
        for place in group[1:]:
            leader[find(place)] = find(group[0])
    found: dict[int, list[int]] = {}
    for place in range(len(goals.names)):
        found.setdefault(find(place), []).append(place)
    return tuple(tuple(one) for one in found.values())


def best_of(
    goals: Goals, places: Sequence[int], *, count: int = 1, most_nodes: int = 100_000
) -> tuple[Found, ...]:
    """The best choices for one component, the best first.

    Parameters
    ----------
    goals : Goals [-]
        The compiled shop.
    places : Sequence[int] [-]
        The places of the component.
    count : int [-]
        How many choices; two differ where a place takes another size, or one that is ordered instead of taken.
    most_nodes : int [-]
        Nodes after which a search ends without its proof.

    Returns
    -------
    tuple[Found, ...] [-]
        Fewer than asked for where there are no more; empty where not every place can be filled.

    References
    ----------
    Lawler E.L., A procedure for computing the K best solutions to discrete optimization problems, Management Science
    18 (1972) 401-405.
    """
    first = _Search(goals, places, {}, most_nodes).solve()
    heap: list[tuple[int, tuple[tuple[int, int], ...], int, dict[int, frozenset[int]], Found]] = []
    if first is not None:
        heap.append((first.cost, first.chosen, 0, {}, first))
    found: list[Found] = []
    while heap and len(found) < count:
        _, chosen, start, limits, one = heappop(heap)
        found.append(one)
        if len(found) == count:
            break
        for number in range(start, len(chosen)):
            place, candidate = chosen[number]
            before = dict(limits)
            before.update({held: frozenset({taken}) for held, taken in chosen[:number]})
            every = before.get(place, frozenset(range(len(goals.alone[place]))))
            before[place] = every - {candidate}
            other = _Search(goals, places, before, most_nodes).solve() if before[place] else None
            if other is not None:
                heappush(heap, (other.cost, other.chosen, number, before, other))
    return tuple(found)


class _Search:
    """One branch and bound over the places of a component."""

    def __init__(self, goals: Goals, places: Sequence[int], limits: Limits, most_nodes: int) -> None:
        self.goals = goals
        self.places = tuple(places)
        self.most_nodes = most_nodes
        self.nodes = 0
        self.best: tuple[int, dict[int, int]] | None = None
        inside = set(places)
        self.shared = [number for number, one in enumerate(goals.shared) if inside.issuperset(one.places)]
        self.twins = {place: group for group in goals.twins for place in group}
        self.costs = {place: self._first_costs(place, limits) for place in self.places}

    def _first_costs(self, place: int, limits: Limits) -> list[int]:
        """What each candidate costs at a place at least: alone, and its split part of the shared fits."""
        costs = list(self.goals.alone[place])
        for number in self.shared:
            split, gap = self.goals.split[number], self.goals.shared[number]
            if split is not None and place in gap.places:
                part = split[gap.places.index(place)]
                costs = [cost + more for cost, more in zip(costs, part, strict=True)]
        if place in limits:
            costs = [cost if one in limits[place] else FORBIDDEN for one, cost in enumerate(costs)]
        return costs

    def solve(self) -> Found | None:
        """The best choice; None where some place cannot be filled."""
        families = sorted({self.goals.family_of[place] for place in self.places})
        matched = {family: self._match(family, {}, self.costs) for family in families}
        if any(one is None for one in matched.values()):
            return None
        node = _Node(
            0, {}, self.costs, {family: one for family, one in matched.items() if one is not None},
            self._open_bound({}),
        )  # fmt: skip
        self._explore(node)
        if self.best is None:
            return None
        cost, chosen = self.best
        return Found(cost, tuple(sorted(chosen.items())), self.nodes < self.most_nodes, self.nodes)

    def _explore(self, node: _Node) -> None:
        self.nodes += 1
        if self.best is not None and node.bound >= self.best[0]:
            return
        place = self._branch_place(node)
        if place is None:
            self.best = node.bound, self._complete(node)
            return
        for bound, candidate in self._options(node, place):
            if self.best is not None and (bound >= self.best[0] or self.nodes >= self.most_nodes):
                return
            child = self._fix(node, place, candidate)
            if child is not None:
                self._explore(child)

    def _branch_place(self, node: _Node) -> int | None:
        """The open place of most shared fits that still have two open places; None where no fit has."""
        count: dict[int, int] = {}
        for number in self.shared:
            open_ = [place for place in self.goals.shared[number].places if place not in node.chosen]
            if len(open_) > 1:
                for place in open_:
                    count[place] = count.get(place, 0) + 1
        return min(count, key=lambda place: (-count[place], place)) if count else None

    def _options(self, node: _Node, place: int) -> list[tuple[int, int]]:
        """The candidates of a place with what the whole must cost with each, the most promising first."""
        family = self.goals.family_of[place]
        free, columns, matching = node.matched[family]
        price = matching.row_price[free.index(place)]
        column_price = dict(zip(columns, matching.column_price, strict=True))
        bound = node.bound - price
        taken = self._taken(node.chosen, family)
        found = []
        for candidate, cost in enumerate(node.costs[place]):
            pieces = self.goals.candidates[family][candidate].pieces
            if cost < FORBIDDEN and (not pieces or len(pieces) > taken.get(candidate, 0)):
                found.append((bound + cost - column_price.get(candidate, 0), candidate))
        return sorted(found)

    def _taken(self, chosen: Mapping[int, int], family: str) -> dict[int, int]:
        """How many pieces of each class are fixed."""
        taken: dict[int, int] = {}
        for place, candidate in chosen.items():
            if self.goals.family_of[place] == family:
                taken[candidate] = taken.get(candidate, 0) + 1
        return taken

    def _fix(self, node: _Node, place: int, candidate: int) -> _Node | None:
        """The node with one more place fixed; fits with one open place left are charged to it in full."""
        chosen = {**node.chosen, place: candidate}
        costs = {one: row for one, row in node.costs.items() if one != place}
        changed = {self.goals.family_of[place]}
        for twin in self.twins.get(place, ()):
            if twin in costs:
                costs[twin] = [
                    cost if (one >= candidate if twin > place else one <= candidate) else FORBIDDEN
                    for one, cost in enumerate(costs[twin])
                ]
        for number in self.shared:
            gap = self.goals.shared[number]
            open_ = [one for one in gap.places if one not in chosen]
            if place in gap.places and len(open_) == 1:
                costs[open_[0]] = self._charged(number, open_[0], chosen, costs[open_[0]])
                changed.add(self.goals.family_of[open_[0]])
        matched = dict(node.matched)
        for family in sorted(changed):
            found = self._match(family, chosen, costs)
            if found is None:
                return None
            matched[family] = found
        return _Node(
            node.fixed + node.costs[place][candidate], chosen, costs, matched, self._open_bound(chosen)
        )

    def _charged(self, number: int, last: int, chosen: Mapping[int, int], row: Sequence[int]) -> list[int]:
        """The costs of the last open place of a shared fit: its split part gives way to all that is left to pay."""
        gap, split = self.goals.shared[number], self.goals.split[number]
        paid = 0
        mine: Sequence[int] = [0] * len(row)
        if split is not None:
            paid = sum(split[spot][chosen[place]] for spot, place in enumerate(gap.places) if place != last)
            mine = split[gap.places.index(last)]
        found = []
        for candidate, cost in enumerate(row):
            if cost >= FORBIDDEN:
                found.append(cost)
                continue
            whole = self.goals.cost(
                number, tuple(candidate if place == last else chosen[place] for place in gap.places)
            )
            found.append(cost - mine[candidate] + whole - paid)
        return found

    def _open_bound(self, chosen: Mapping[int, int]) -> int:
        """What the shared fits that could not be split must still cost, where two of their places are open."""
        total = 0
        for number in self.shared:
            gap = self.goals.shared[number]
            if self.goals.split[number] is None:
                known = [chosen.get(place) for place in gap.places]
                if known.count(None) > 1:
                    total += self.goals.least(number, known)
        return total

    def _match(
        self, family: str, chosen: Mapping[int, int], costs: Mapping[int, Sequence[int]]
    ) -> tuple[tuple[int, ...], tuple[int, ...], Matching] | None:
        """The cheapest assignment of a family's free pieces to its open places; the rest is ordered."""
        free = tuple(
            place for place in self.places if place not in chosen and self.goals.family_of[place] == family
        )
        taken = self._taken(chosen, family)
        candidates = self.goals.candidates[family]
        columns = tuple(
            number
            for number, one in enumerate(candidates)
            for _ in range(min(len(one.pieces) - taken.get(number, 0), len(free)))
        )
        to_order = [number for number, one in enumerate(candidates) if one.listed is not None]
        alone = [min((costs[place][one] for one in to_order), default=FORBIDDEN) for place in free]
        rows = [[costs[place][one] for one in columns] for place in free]
        found = cheapest(rows, alone)
        return None if found is None else (free, columns, found)

    def _complete(self, node: _Node) -> dict[int, int]:
        """The whole choice of a node whose open places are an assignment only."""
        chosen = dict(node.chosen)
        for family, (free, columns, matching) in node.matched.items():
            to_order = [
                number for number, one in enumerate(self.goals.candidates[family]) if one.listed is not None
            ]
            for place, column in zip(free, matching.column_of, strict=True):
                row = node.costs[place]
                chosen[place] = (
                    min(to_order, key=lambda one, row=row: (row[one], one))  # type: ignore[misc]  # row is bound now
                    if column == ALONE
                    else columns[column]
                )
        return chosen
