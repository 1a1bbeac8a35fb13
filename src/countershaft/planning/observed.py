"""What must come before what, learned from teardowns that were watched: only what was always so stays a must.

Each teardown is an order of removals, some of them together.  Of two things that came off in several teardowns, one
must come before the other where it did so, strictly, in every teardown that had both; everything else is free.  This
is the intersection of the orders.  From one teardown it is that teardown's order whole; each further one loosens it.

Where teardowns differ in what came off, the intersection alone can contradict itself through third things: the pan
before the filter in one, the filter before the pump in another, and in a third the pump before the pan.  Then nobody
knows which of the pairs is a coincidence, so none of them is a must; they are named as doubtful.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from countershaft.errors import BadInput, NoFeasibleOrder
from countershaft.planning.precedence import cycle, order

__all__ = ["Groups", "Must", "ObservedOrder", "always_before", "matching_key", "observed_order"]

#: One teardown: its removals in order, those that came off together in one group.
Groups = Sequence[Collection[str]]
Pair = tuple[str, str]

#: Endings of plurals that lose two letters; any other plural loses its s.
_LONG_PLURAL: Final = re.compile(r"(ch|sh|x|ss|z)es$")
_NO_PLURAL: Final = ("ss", "us", "is")


@dataclass(frozen=True, slots=True)
class Must:
    """One thing that must come off before another.

    `seen` counts the teardowns that had both, all of them in this order; `without` those in which `after` came off
    and `before` did not.  `fixed` says that a person wants it so.
    """

    before: str
    after: str
    seen: int
    without: int = 0
    fixed: bool = False

    @property
    def evidence(self) -> str:
        """How it is known, in words."""
        times = f"{self.seen} of {self.seen} teardown{'' if self.seen == 1 else 's'} that had both"
        words = "fixed by a person" if self.fixed else f"before in {times}"
        if self.fixed and self.seen:
            words += f", and before in {times}"
        return f"{words}; in {self.without} it came off without the other" if self.without else words


@dataclass(frozen=True, slots=True)
class ObservedOrder:
    """The partial order that teardowns and people leave.

    `keys` are all removals, in the order in which the first teardown that had them took them; `musts` the direct
    ones: what follows through others is left out.  `doubtful` are pairs that were always seen so and contradict other
    teardowns through third things; `without_effect` are loosened pairs that still follow through others.
    """

    keys: tuple[str, ...]
    musts: tuple[Must, ...]
    doubtful: tuple[Pair, ...] = ()
    without_effect: tuple[Pair, ...] = ()

    @property
    def needs(self) -> dict[str, tuple[str, ...]]:
        """Key to the keys that must come directly before it."""
        found: dict[str, list[str]] = {key: [] for key in self.keys}
        for must in self.musts:
            found[must.after].append(must.before)
        return {key: tuple(before) for key, before in found.items()}


def matching_key(name: str) -> str:
    """A name as it is compared between teardowns: without case, spacing, hyphens and plural.

    Parameters
    ----------
    name : str
        What somebody called a part.

    Returns
    -------
    str
        The same text for spellings that mean the same.

    Examples
    --------
    >>> matching_key("  Snap-Rings"), matching_key("snap ring"), matching_key("CLUTCH  bushes")
    ('snap ring', 'snap ring', 'clutch bush')
    """
    plain = name.casefold()
    return " ".join(_singular(word) for word in re.findall(r"[^\W_]+", plain))


def _singular(word: str) -> str:
    if len(word) < 4 or not word.endswith("s") or word.endswith(_NO_PLURAL):
        return word
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    return word[:-2] if _LONG_PLURAL.search(word) else word[:-1]


def always_before(teardowns: Sequence[Groups]) -> frozenset[Pair]:
    """Every pair that came off in the same strict order in all teardowns that had both.

    Parameters
    ----------
    teardowns : Sequence[Groups]
        The teardowns; each has a removal once.

    Returns
    -------
    frozenset[tuple[str, str]]
        Pairs of what came first and what came later.

    Raises
    ------
    BadInput
        A removal stands twice in one teardown.

    Examples
    --------
    >>> pairs = always_before([[["pan"], ["filter"], ["pump"]], [["pan"], ["pump"], ["filter"]]])
    >>> sorted(pairs)
    [('pan', 'filter'), ('pan', 'pump')]
    """
    seen = _Seen.of(teardowns)
    return frozenset((seen.keys[u], seen.keys[v]) for u, v in seen.always())


def observed_order(
    teardowns: Sequence[Groups], *, fixed: Collection[Pair] = (), loosened: Collection[Pair] = ()
) -> ObservedOrder:
    """The order that is left as must when teardowns are laid over each other and people had their say.

    Parameters
    ----------
    teardowns : Sequence[Groups]
        The teardowns; each has a removal once.
    fixed : Collection[tuple[str, str]], optional
        Pairs that a person wants in this order, whatever was seen.
    loosened : Collection[tuple[str, str]], optional
        Pairs that a person knows to be free, though they were always seen in this order.

    Returns
    -------
    ObservedOrder
        The direct musts with their evidence; no circle among them.

    Raises
    ------
    BadInput
        A removal stands twice in one teardown, or a pair names what never came off.
    NoFeasibleOrder
        The fixed pairs make a circle, with each other or with what was always seen; all of it is named.

    References
    ----------
    Aho A.V., Garey M.R., Ullman J.D., The transitive reduction of a directed graph, SIAM J. Comput. 1 (1972) 131-137.

    Examples
    --------
    >>> once = [["pan"], ["filter"], ["pump"]]
    >>> [(must.before, must.after) for must in observed_order([once]).musts]
    [('pan', 'filter'), ('filter', 'pump')]
    >>> both = observed_order([once, [["pan"], ["pump"], ["filter"]]])
    >>> [(must.before, must.after, must.evidence) for must in both.musts]  # doctest: +NORMALIZE_WHITESPACE
    [('pan', 'filter', 'before in 2 of 2 teardowns that had both'),
     ('pan', 'pump', 'before in 2 of 2 teardowns that had both')]
    """
    seen = _Seen.of(teardowns)
    _known(seen, (*fixed, *loosened))
    always = seen.always()
    doubtful = seen.doubtful(always)
    pairs = {(seen.keys[u], seen.keys[v]) for u, v in always - doubtful}
    wanted = (pairs - set(loosened)) | set(fixed)
    needs: dict[str, list[str]] = {key: [] for key in seen.keys}
    for before, after in sorted(wanted):
        needs[after].append(before)
    _no_circle(seen, needs, fixed)
    follows, direct = _reduced(needs, seen.keys)
    return ObservedOrder(
        seen.keys,
        tuple(
            Must(before, key, seen.both(before, key), seen.without(before, key), (before, key) in set(fixed))
            for key in seen.keys
            for before in direct[key]
        ),
        tuple(sorted((seen.keys[u], seen.keys[v]) for u, v in doubtful)),
        tuple(pair for pair in loosened if pair[0] in follows[pair[1]] and pair not in set(fixed)),
    )


@dataclass(frozen=True, slots=True)
class _Seen:
    """Teardowns as tables: for each the place of every removal, by number of the key."""

    keys: tuple[str, ...]
    places: tuple[Mapping[int, int], ...]

    @classmethod
    def of(cls, teardowns: Sequence[Groups]) -> _Seen:
        """Number the removals in the order in which they first came off."""
        number: dict[str, int] = {}
        places: list[dict[int, int]] = []
        for one in teardowns:
            mine: dict[int, int] = {}
            for place, group in enumerate(one):
                for key in group:
                    at = number.setdefault(key, len(number))
                    if at in mine:
                        raise BadInput(
                            f"{key!r} comes off twice in one teardown. Give the second one a name of its own."
                        )
                    mine[at] = place
            places.append(mine)
        return cls(tuple(number), tuple(places))

    def always(self) -> frozenset[tuple[int, int]]:
        """Pairs in the same strict order wherever both came off."""
        first: set[tuple[int, int]] = set()
        otherwise: set[tuple[int, int]] = set()
        for mine in self.places:
            for u, at in mine.items():
                for v, later in mine.items():
                    (first if at < later else otherwise).add((u, v))
        return frozenset(first - otherwise)

    def doubtful(self, always: frozenset[tuple[int, int]]) -> frozenset[tuple[int, int]]:
        """Pairs on a way, through others, to something that a teardown saw otherwise."""
        after = self._after(always)
        denied = self._denied()
        above = [after[x] & denied[x] for x in range(len(self.keys))]
        wrong = list(above)
        for x, reached in enumerate(after):
            for u in _numbers(reached):
                above[u] |= wrong[x]
        return frozenset((u, v) for u, v in always if above[u] & (after[v] | 1 << v))

    def _after(self, pairs: frozenset[tuple[int, int]]) -> list[int]:
        """For every key everything that follows it, through others too, as the bits of a number."""
        after = [0] * len(self.keys)
        for u, v in pairs:
            after[u] |= 1 << v
        for middle in range(len(after)):
            for u in range(len(after)):
                if after[u] >> middle & 1:
                    after[u] |= after[middle]
        return after

    def _denied(self) -> list[int]:
        """For every key what it cannot come before: itself, and what some teardown had earlier or with it."""
        denied = [1 << u for u in range(len(self.keys))]
        for mine in self.places:
            for u, at in mine.items():
                for v, other in mine.items():
                    if at >= other:
                        denied[u] |= 1 << v
        return denied

    def both(self, before: str, after: str) -> int:
        """How many teardowns had both, in this strict order."""
        u, v = self.keys.index(before), self.keys.index(after)
        return sum(u in mine and v in mine and mine[u] < mine[v] for mine in self.places)

    def without(self, before: str, after: str) -> int:
        """In how many teardowns the later one came off and the earlier one did not."""
        u, v = self.keys.index(before), self.keys.index(after)
        return sum(v in mine and u not in mine for mine in self.places)


def _numbers(bits: int) -> Iterator[int]:
    return (at for at in range(bits.bit_length()) if bits >> at & 1)


def _known(seen: _Seen, pairs: Iterable[Pair]) -> None:
    for pair in pairs:
        for key in pair:
            if key not in seen.keys:
                raise BadInput(
                    f"{key!r} came off in none of these teardowns; name one of {', '.join(seen.keys) or 'nothing'}."
                )


def _no_circle(seen: _Seen, needs: Mapping[str, Sequence[str]], fixed: Collection[Pair]) -> None:
    """What was seen has no circle by itself, so any circle holds a pair that a person fixed."""
    circle = cycle(needs)
    if circle is None:
        return
    said = []
    for after, before in pairwise(circle):
        count = seen.both(before, after)
        how = "fixed by a person" if (before, after) in set(fixed) else f"seen in {count} of {count}"
        said.append(f"{before} before {after} ({how})")
    raise NoFeasibleOrder(
        f"This makes a circle: {', '.join(reversed(said))}. Loosen one of these, or leave the new one out."
    )


def _reduced(
    needs: Mapping[str, Sequence[str]], keys: tuple[str, ...]
) -> tuple[dict[str, set[str]], dict[str, list[str]]]:
    """Key -> everything that comes before it, and key -> what comes directly before it."""
    before: dict[str, set[str]] = {}
    direct: dict[str, list[str]] = {}
    place = {key: at for at, key in enumerate(keys)}
    for key in order(needs, first=keys):
        through = set().union(*(before[one] for one in needs[key]))
        direct[key] = sorted((one for one in needs[key] if one not in through), key=place.__getitem__)
        before[key] = through | set(needs[key])
    return before, direct
