"""What a file's order of removal was learned from: the teardowns that were watched, and what people said of them."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property

from pydantic import Field, model_validator
from pydantic_core import InitErrorDetails

from countershaft.model.faults import fault, raise_all
from countershaft.model.fields import Name, Record, Text

__all__ = ["Observed", "OrderedPair", "Watched"]


class Watched(Record):
    """One teardown: the job, and its steps in the order in which they were done.

    `together` lists steps that came off at once, so that nothing is known about which goes first.
    """

    job: Text
    order: tuple[Name, ...]
    together: tuple[tuple[Name, ...], ...] = ()

    @model_validator(mode="after")
    def _once(self) -> Watched:
        raise_all("teardown", self._faults())
        return self

    def _faults(self) -> Iterator[InitErrorDetails]:
        for index, name in enumerate(self.order):
            if name in self.order[:index]:
                yield fault(("order", index), f"the step {name!r} is done twice; name it once", name)
        for index, group in enumerate(self.together):
            for place, name in enumerate(group):
                if name not in self.order:
                    yield fault(("together", index, place), f"the step {name!r} is not in the order", name)

    @property
    def groups(self) -> tuple[tuple[str, ...], ...]:
        """The order as groups of steps; what came off together stands at the place of the first of them."""
        found: list[tuple[str, ...]] = []
        over: set[str] = set()
        for name in self.order:
            if name not in over:
                group = next((one for one in self.together if name in one), (name,))
                found.append(tuple(key for key in self.order if key in group))
                over.update(group)
        return tuple(found)


class OrderedPair(Record):
    """Two steps of which somebody said that the order is a must, or is free."""

    before: Name
    after: Name
    because: Text | None = None


class Observed(Record):
    """The ground under an order of removal that no sheet gives.

    Steps need what was always done before them in all of `teardowns`, but for the pairs in `loosened`, and what
    stands in `fixed`.  A need that was only seen can be gone against, with a tick; one that is fixed cannot.
    `also_called` maps a part to other names that it had.
    """

    teardowns: tuple[Watched, ...] = Field(min_length=1)
    fixed: tuple[OrderedPair, ...] = ()
    loosened: tuple[OrderedPair, ...] = ()
    also_called: dict[Name, tuple[Text, ...]] = Field(default_factory=dict)

    @cached_property
    def _seen(self) -> frozenset[tuple[str, str]]:
        pairs: set[tuple[str, str]] = set()
        for one in self.teardowns:
            before: list[str] = []
            for group in one.groups:
                pairs.update((first, later) for later in group for first in before)
                before.extend(group)
        return frozenset(pairs - {(pair.before, pair.after) for pair in self.fixed})

    def only_seen(self, before: str, after: str) -> bool:
        """Whether one step's coming first was seen and nobody fixed it, so that it may turn out otherwise."""
        return (before, after) in self._seen

    def times(self, before: str, after: str) -> int:
        """In how many teardowns the one was done, strictly, before the other."""
        return sum(
            any(before in group for group in one.groups[:at])
            for one in self.teardowns
            for at, group in enumerate(one.groups)
            if after in group
        )
