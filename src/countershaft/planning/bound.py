"""What set-up an order must still cost at least: every tool and every position looked at alone.

Looked at alone, a tool has two colours: steps that use it and steps that use others.  Along a path of needs each
change back to it is one more time that it is taken up, and the longest such path says how often at least.  The cost of
an order is the sum over the tools and positions of how often each is taken up, so the sum of these least numbers is
never more than the cost of any order.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from countershaft.planning.masks import Moment, Ordering, bits

__all__ = ["Bound", "bound_of", "last_first"]


@dataclass(frozen=True, slots=True)
class _Fixture:
    """One tool or one position: what taking it up costs, and the steps from which it is needed k times and more.

    `away[k]` is the mask of steps from which it must be taken up at least k + 1 times when it is not in hand there,
    `in_hand[k]` the same when it is.
    """

    cost: int
    away: tuple[int, ...]
    in_hand: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Bound:
    """Least set-up that is still to come, for any moment of an ordering."""

    tools: tuple[_Fixture, ...]
    positions: tuple[_Fixture, ...]

    def rest(self, left: int, moment: Moment) -> int:
        """Seconds of set-up that the steps of `left` must still cost after a moment, at least."""
        total = 0
        hand = moment.tools
        for fixture in self.tools:
            cost = fixture.cost
            for mask in fixture.in_hand if hand & 1 else fixture.away:
                if not left & mask:
                    break
                total += cost
            hand >>= 1
        for place, fixture in enumerate(self.positions):
            cost = fixture.cost
            for mask in fixture.in_hand if moment.lies == place else fixture.away:
                if not left & mask:
                    break
                total += cost
        return total - self._first(left, moment)

    def _first(self, left: int, moment: Moment) -> int:
        """What the first position saves where the unit does not lie in any yet: it costs nothing."""
        if moment.lies >= 0:
            return 0
        return max((one.cost for one in self.positions if one.away and left & one.away[0]), default=0)


def bound_of(asked: Ordering) -> Bound:
    """The bound of an ordering, to be asked at any of its moments.

    Parameters
    ----------
    asked : Ordering
        The steps with their needs.

    Returns
    -------
    Bound
        For every tool and position how often it must be taken up from each step on.
    """
    backward = last_first(asked)
    successors = _successors(asked)

    def tool(place: int) -> Callable[[int], int]:
        return lambda step: (asked.tools[step] >> place & 1) if asked.tools[step] else -1

    def position(place: int) -> Callable[[int], int]:
        return lambda step: int(asked.lies[step] == place) if asked.lies[step] >= 0 else -1

    tools = [_fixture(asked.tool_change, backward, successors, tool(i)) for i in range(len(asked.tool_names))]
    size = range(len(asked.positions))
    positions = [
        _fixture(
            min((asked.turn[a][place] for a in size if a != place), default=0),
            backward, successors, position(place),
        )
        for place in size
    ]  # fmt: skip
    return Bound(tuple(tools), tuple(positions))


def _successors(asked: Ordering) -> list[list[int]]:
    """Steps that certainly come after each step: needs only, where there is no other way."""
    found: list[list[int]] = [[] for _ in asked.names]
    for step, mask in enumerate(asked.needs):
        for first in bits(mask):
            found[first].append(step)
    return found


def last_first(asked: Ordering) -> list[int]:
    """All steps, each after everything that needs it.

    Parameters
    ----------
    asked : Ordering
        The steps with their needs.

    Returns
    -------
    list[int] [-]
        The steps; those that stand in a circle of needs, or behind one, are left out.
    """
    missing = [mask.bit_count() for mask in asked.needs]
    forward = [step for step, count in enumerate(missing) if not count]
    followers = _successors(asked)
    for step in forward:  # it grows while it is read
        for follower in followers[step]:
            missing[follower] -= 1
            if not missing[follower]:
                forward.append(follower)
    return forward[::-1]


def _fixture(
    cost: int, backward: list[int], successors: list[list[int]], colour: Callable[[int], int]
) -> _Fixture:
    """How often one fixture is taken up from each step on; colour 1 uses it, 0 another, -1 none."""
    away = [0] * len(successors)
    in_hand = [0] * len(successors)
    for step in backward:
        later_away = max((away[one] for one in successors[step]), default=0)
        later_hand = max((in_hand[one] for one in successors[step]), default=0)
        own = colour(step)
        away[step] = later_hand + 1 if own == 1 else later_away
        in_hand[step] = later_away if own == 0 else later_hand
    return _Fixture(cost, tuple(_levels(away)), tuple(_levels(in_hand)))


def _levels(counts: list[int]) -> Iterator[int]:
    for level in range(1, max(counts, default=0) + 1):
        mask = 0
        for step, count in enumerate(counts):
            if count >= level:
                mask |= 1 << step
        yield mask
