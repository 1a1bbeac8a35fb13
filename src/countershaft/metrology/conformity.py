"""The only answers that a check can have, and what stands behind one."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["Judgement", "Verdict"]


class Verdict(StrEnum):
    """The only answers that a check can have."""

    GOOD = "good"
    BAD = "bad"
    AGAIN = "measure again"
    NOT_MEASURED = "not measured"


@dataclass(frozen=True, slots=True)
class Judgement:
    """A verdict and the reason for it in one sentence; a measured one is a `Decision`, with its probability."""

    verdict: Verdict
    why: str
