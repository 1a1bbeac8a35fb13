"""Every bench sum by its name, and those that can answer a limit of a unit."""

from __future__ import annotations

from typing import Final

from countershaft import units
from countershaft.errors import Unknown
from countershaft.sums import electric, joined, springs, worn
from countershaft.sums.answer import Sum

__all__ = ["SUMS", "answering", "find_sum"]

#: Every sum by its name, in the order in which they are listed.
SUMS: Final[dict[str, Sum]] = {
    one.name: one for one in (*worn.SUMS, *electric.SUMS, *springs.SUMS, *joined.SUMS)
}


def find_sum(name: str) -> Sum:
    """A sum by its name; raises Unknown."""
    if name not in SUMS:
        raise Unknown(f"There is no sum {name!r}; there are {', '.join(SUMS)}.")
    return SUMS[name]


def answering(unit: str) -> tuple[Sum, ...]:
    """The sums that can answer a limit in this unit."""
    kind = units.UNITS[unit][0]
    return tuple(one for one in SUMS.values() if kind in one.answers)
