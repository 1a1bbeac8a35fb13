"""What must come before what: orders that obey every need, and the whole circle where there is none."""

from __future__ import annotations

import heapq
from collections.abc import Collection, Hashable, Mapping, Sequence
from graphlib import CycleError, TopologicalSorter
from typing import TypeVar

from countershaft.errors import NoFeasibleOrder

__all__ = ["available", "blocked_by", "cycle", "order", "reverse"]

K = TypeVar("K", bound=Hashable)


def order(needs: Mapping[K, Collection[K]], *, first: Sequence[K]) -> tuple[K, ...]:
    """An order of all keys that obeys every need and keeps a given order wherever it is free to.

    Parameters
    ----------
    needs : Mapping[K, Collection[K]]
        Key to the keys that must come before it.
    first : Sequence[K]
        The order to keep where nothing forbids it; holds every key once.

    Returns
    -------
    tuple[K, ...]
        Every key once; at each place the earliest of `first` that can come.

    Raises
    ------
    NoFeasibleOrder
        The needs form a circle; the message names all of it.

    References
    ----------
    Kahn A.B., Topological sorting of large networks, Communications of the ACM 5 (1962) 558-562.

    Examples
    --------
    >>> order({"pump": ["pan"], "pan": [], "drum": ["pump"]}, first=["drum", "pump", "pan"])
    ('pan', 'pump', 'drum')
    """
    rank = {key: place for place, key in enumerate(first)}
    waiting = {key: {need for need in needs.get(key, ()) if need in rank} for key in first}
    wanted: dict[K, list[K]] = {}
    for key, required in waiting.items():
        for need in required:
            wanted.setdefault(need, []).append(key)
    ready = [rank[key] for key, required in waiting.items() if not required]
    heapq.heapify(ready)
    found: list[K] = []
    while ready:
        key = first[heapq.heappop(ready)]
        found.append(key)
        for follower in wanted.get(key, ()):
            waiting[follower].discard(key)
            if not waiting[follower]:
                heapq.heappush(ready, rank[follower])
    if len(found) < len(first):
        circle = cycle(needs) or ()
        raise NoFeasibleOrder(
            f"No order obeys these needs: {' needs '.join(map(str, circle))}. Take one of them out of the circle."
        )
    return tuple(found)


def available(needs: Mapping[K, Collection[K]], done: Collection[K]) -> tuple[K, ...]:
    """Keys that are not done and whose needs are all done.

    Parameters
    ----------
    needs : Mapping[K, Collection[K]]
        Key to the keys that must come before it.
    done : Collection[K]
        Keys that are done.

    Returns
    -------
    tuple[K, ...]
        The keys that can be done now, in the order of `needs`.

    Examples
    --------
    >>> available({"pan": [], "pump": ["pan"]}, done=["pan"])
    ('pump',)
    """
    behind = set(done)
    return tuple(key for key, required in needs.items() if key not in behind and behind.issuperset(required))


def blocked_by(needs: Mapping[K, Collection[K]], done: Collection[K], key: K) -> tuple[K, ...]:
    """What must still come directly before a key.

    Parameters
    ----------
    needs : Mapping[K, Collection[K]]
        Key to the keys that must come before it.
    done : Collection[K]
        Keys that are done.
    key : K
        The key that is asked about.

    Returns
    -------
    tuple[K, ...]
        Its needs that are not done.

    Examples
    --------
    >>> blocked_by({"pump": ["pan", "converter"]}, done=["pan"], key="pump")
    ('converter',)
    """
    behind = set(done)
    return tuple(need for need in needs.get(key, ()) if need not in behind)


def cycle(needs: Mapping[K, Collection[K]]) -> tuple[K, ...] | None:
    """A whole circle of needs, its first key again at the end; None where there is none.

    Parameters
    ----------
    needs : Mapping[K, Collection[K]]
        Key to the keys that must come before it.

    Returns
    -------
    tuple[K, ...] or None
        Each key needs the one after it.

    Examples
    --------
    >>> cycle({"a": ["b"], "b": ["a"]}) in (("a", "b", "a"), ("b", "a", "b"))
    True
    >>> cycle({"a": ["b"], "b": []}) is None
    True
    """
    try:
        TopologicalSorter(needs).prepare()
    except CycleError as found:
        path: list[K] = found.args[1]
        return tuple(reversed(path))
    return None


def reverse(needs: Mapping[K, Collection[K]]) -> dict[K, tuple[K, ...]]:
    """The needs of putting back: what came off last goes on first.

    Parameters
    ----------
    needs : Mapping[K, Collection[K]]
        Needs of taking apart: key to the keys that must come before it.

    Returns
    -------
    dict[K, tuple[K, ...]]
        Needs of putting together, for the same keys.

    Examples
    --------
    >>> reverse({"pan": [], "pump": ["pan"]})
    {'pan': ('pump',), 'pump': ()}
    """
    turned: dict[K, list[K]] = {key: [] for key in needs}
    for key, required in needs.items():
        for need in required:
            turned.setdefault(need, []).append(key)
    return {key: tuple(found) for key, found in turned.items()}
