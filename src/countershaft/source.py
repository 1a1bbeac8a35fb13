"""Where a value comes from: every limit, torque and size carries one of these beside it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["Source", "SourceKind"]


class SourceKind(StrEnum):
    """How strong the ground under a value is, strongest first."""

    PUBLISHED = "published"
    SERVICE = "service information"
    MEASURED = "measured"
    COMMON = "common practice"
    MEMORY = "from memory"
    INVENTED = "invented for demonstration"


@dataclass(frozen=True, slots=True)
class Source:
    """One source: its kind, and the words by which another person finds it again."""

    kind: SourceKind
    text: str

    def __str__(self) -> str:
        return f"{self.kind.value}: {self.text}" if self.text else self.kind.value
