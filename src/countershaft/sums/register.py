"""Every bench sum by its name, and those that can answer a limit of a unit."""

from __future__ import annotations

from typing import Final

from countershaft import units
from countershaft.errors import Unknown
from countershaft.sums import electric, joined, springs, toleranced, worn
from countershaft.sums.answer import Sum

__all__ = ["GROUPS", "SUMS", "answering", "find_sum"]

#: The sums as they are listed: what they are about, and which.
GROUPS: Final[tuple[tuple[str, tuple[Sum, ...]], ...]] = (
    ("Wear, leaks and oil", worn.SUMS),
    ("Windings", electric.SUMS),
    ("Springs", springs.SUMS),
    ("Parts that are joined, and warm ones", (*joined.SUMS, *toleranced.SUMS)),
)

#: Every sum by its name, in the order in which they are listed.
SUMS: Final[dict[str, Sum]] = {one.name: one for _, sums in GROUPS for one in sums}


def find_sum(name: str) -> Sum:
    """A sum by its name; raises Unknown."""
    if name not in SUMS:
        raise Unknown(f"There is no sum {name!r}; there are {', '.join(SUMS)}.")
    return SUMS[name]


def answering(unit: str) -> tuple[Sum, ...]:
    """The sums that can answer a limit in this unit."""
    kind = units.UNITS[unit][0]
    return tuple(one for one in SUMS.values() if kind in one.answers)
