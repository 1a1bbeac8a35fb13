"""The least number of groups in which no two items conflict, proven least: exact graph colouring.

Items that conflict must be kept apart; the fewer groups, the fewer tags and bags on the bench.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from countershaft.errors import BadInput

__all__ = ["Grouping", "smallest_grouping"]


@dataclass(frozen=True, slots=True)
class Grouping:
    """Items by group, the heaviest group first.

    `at_least` groups are needed in any case; `proven` says that no grouping has fewer than this one.
    """

    groups: tuple[tuple[int, ...], ...]
    at_least: int
    proven: bool


def smallest_grouping(
    weights: Sequence[int], conflicts: Collection[tuple[int, int]], *, most_nodes: int = 5_000
) -> Grouping:
    """Group items so that no two of a group conflict, with as few groups as can be.

    Among groupings of the same number, items are moved to the heaviest group as far as exchanges between two groups
    allow; that is not proven to be the most.

    Parameters
    ----------
    weights : Sequence[int] [-]
        How many pieces each item stands for.
    conflicts : Collection[tuple[int, int]] [-]
        Pairs of items that must be kept apart.
    most_nodes : int, optional [-]
        Steps of the search, after which the best found is returned as not proven.

    Returns
    -------
    Grouping
        The groups, the bound that is known, and whether they meet.

    Raises
    ------
    BadInput
        An item conflicts with itself, or a conflict names an item that is not there.

    References
    ----------
    Brélaz D., New methods to color the vertices of a graph, Communications of the ACM 22 (1979) 251-256.

    Examples
    --------
    >>> smallest_grouping([1, 1, 1, 5], [(0, 1), (1, 2), (2, 0)]).groups
    ((0, 3), (1,), (2,))
    """
    near = _adjacency(len(weights), conflicts)
    colours = [0] * len(weights)
    at_least, proven = min(1, len(weights)), True
    for part in _components(near):
        search = _Search(near, part, most_nodes)
        found = search.run()
        classes = _by_colour(found)
        classes.sort(key=lambda members: (-sum(weights[item] for item in members), members))
        for colour, members in enumerate(classes):
            for item in members:
                colours[item] = colour
        at_least = max(at_least, search.lower)
        proven = proven and search.lower == len(classes)
    groups = _by_colour(dict(enumerate(colours)))
    _fill(groups, near, weights)
    groups = [members for members in groups if members]
    proven = proven or at_least == len(groups)
    groups.sort(key=lambda members: (-sum(weights[item] for item in members), members))
    return Grouping(tuple(tuple(sorted(members)) for members in groups), at_least, proven)


def _adjacency(count: int, conflicts: Collection[tuple[int, int]]) -> list[int]:
    """Neighbours of each item as the bits of a number."""
    near = [0] * count
    for one, other in conflicts:
        if one == other or not (0 <= one < count and 0 <= other < count):
            raise BadInput(f"conflict {one}, {other}: expected two different items from 0 to {count - 1}.")
        near[one] |= 1 << other
        near[other] |= 1 << one
    return near


def _components(near: Sequence[int]) -> list[int]:
    """Parts of the graph that do not touch, each as the bits of a number."""
    left = (1 << len(near)) - 1
    found = []
    while left:
        part, front = 0, left & -left
        while front:
            part |= front
            reached = 0
            for item in _bits(front):
                reached |= near[item]
            front = reached & ~part
        found.append(part)
        left &= ~part
    return found


def _bits(mask: int) -> list[int]:
    found = []
    while mask:
        lowest = mask & -mask
        found.append(lowest.bit_length() - 1)
        mask ^= lowest
    return found


def _by_colour(colours: dict[int, int]) -> list[list[int]]:
    groups: dict[int, list[int]] = {}
    for item, colour in colours.items():
        groups.setdefault(colour, []).append(item)
    return [groups[colour] for colour in sorted(groups)]


def _fill(groups: list[list[int]], near: Sequence[int], weights: Sequence[int]) -> None:
    """Exchange connected parts of two groups where that makes the heavier one heavier, until nothing is gained."""
    gained = True
    while gained:
        groups.sort(key=lambda members: (-sum(weights[item] for item in members), members))
        gained = any(
            _exchange(groups, heavy, light, near, weights)
            for heavy in range(len(groups))
            for light in range(heavy + 1, len(groups))
        )


def _exchange(
    groups: list[list[int]], heavy: int, light: int, near: Sequence[int], weights: Sequence[int]
) -> bool:
    both = sum(1 << item for item in (*groups[heavy], *groups[light]))
    inside = [near[item] & both if both >> item & 1 else 0 for item in range(len(near))]
    masks = [sum(1 << item for item in groups[which]) for which in (heavy, light)]
    for part in _components(inside):
        if not part & both:
            continue
        gain = sum(weights[item] for item in _bits(part & masks[1])) - sum(
            weights[item] for item in _bits(part & masks[0])
        )
        if gain > 0:
            groups[heavy] = _bits(masks[0] & ~part | masks[1] & part)
            groups[light] = _bits(masks[1] & ~part | masks[0] & part)
            return True
    return False


class _Search:
    """Branch and bound over one connected part: always the item with the fewest colours left."""

    def __init__(self, near: Sequence[int], part: int, most_nodes: int) -> None:
        self.near = near
        self.nodes = most_nodes
        self.kept, self.follows = self._without_dominated(part)
        self.clique = self._clique()
        self.lower = len(self.clique)
        self.best: dict[int, int] = {}
        self.fewest = len(self.kept) + 1

    def run(self) -> dict[int, int]:
        """Colours of the part; `lower` is raised to their number where the search came to its end."""
        start = {item: colour for colour, item in enumerate(self.clique)}
        taken = dict.fromkeys(self.kept, 0)
        for item, colour in start.items():
            for other in _bits(self.near[item]):
                if other in taken:
                    taken[other] |= 1 << colour
        self._branch(start, taken, len(start))
        if self.nodes > 0:
            self.lower = self.fewest
        colours = dict(self.best)
        for item, leader in reversed(self.follows):
            colours[item] = colours[leader]
        return colours

    def _branch(self, colours: dict[int, int], taken: dict[int, int], used: int) -> None:
        if used >= self.fewest or (self.best and self.nodes <= 0):
            return
        if len(colours) == len(self.kept):
            self.best, self.fewest = dict(colours), used
            return
        self.nodes -= 1
        item = min(
            (each for each in self.kept if each not in colours),
            key=lambda each: (-taken[each].bit_count(), -self.near[each].bit_count(), each),
        )
        for colour in range(min(used + 1, self.fewest - 1)):
            if taken[item] >> colour & 1:
                continue
            after = dict(taken)
            for other in _bits(self.near[item]):
                if other in after:
                    after[other] |= 1 << colour
            self._branch({**colours, item: colour}, after, max(used, colour + 1))
            if self.fewest == self.lower:
                return

    def _without_dominated(self, part: int) -> tuple[list[int], list[tuple[int, int]]]:
        """Items that matter, and those that may follow another because all their conflicts are its conflicts too."""
        left = part
        follows: list[tuple[int, int]] = []
        changed = True
        while changed:
            changed = False
            for item in _bits(left):
                mine = self.near[item] & left
                leader = next(
                    (other for other in _bits(left & ~mine & ~(1 << item)) if not mine & ~self.near[other]),
                    None,
                )
                if leader is not None:
                    follows.append((item, leader))
                    left &= ~(1 << item)
                    changed = True
        return _bits(left), follows

    def _clique(self) -> list[int]:
        """A large set of items that all conflict with each other: so many groups are needed."""
        inside = sum(1 << item for item in self.kept)
        best: list[int] = []
        for first in self.kept:
            clique, open_ = [first], self.near[first] & inside
            while open_:
                item = max(_bits(open_), key=lambda each: ((self.near[each] & open_).bit_count(), -each))
                clique.append(item)
                open_ &= self.near[item]
            if len(clique) > len(best):
                best = clique
        return best
