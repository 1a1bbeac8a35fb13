"""Parts: what the unit is made of, and what happens to each at an overhaul."""

from __future__ import annotations

from enum import StrEnum

from countershaft.model.fields import Count, Name, Record, Text

__all__ = ["Part", "Policy"]


class Policy(StrEnum):
    """What the file asks to happen to a part at every overhaul."""

    ALWAYS_NEW = "always new"
    REUSE_IF_GOOD = "reuse if good"
    SELECTIVE = "selective"
    EXCHANGE = "exchange"


class Part(Record):
    """One line of the parts list.

    `look` says what to look at when it is inspected; `orientation` how it must lie; `sticks_to` what it may
    stay on when its neighbour is lifted; `stays` marks a part that is not taken out of the case or vehicle at
    the bench (it is inspected in place and never counted as off).
    """

    id: Name
    name: Text
    quantity: Count = 1
    policy: Policy = Policy.REUSE_IF_GOOD
    look: Text | None = None
    orientation: Text | None = None
    sticks_to: Text | None = None
    stays: bool = False
    note: Text | None = None
