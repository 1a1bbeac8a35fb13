"""One breach of a rule across records, with the place of the value that breaks it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

__all__ = ["Finding", "Loc"]

Loc: TypeAlias = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Finding:
    """What is wrong, where (keys and numbers from the top of the file), what was expected and got, and the cure."""

    loc: Loc
    message: str
    expected: str = ""
    got: str = ""
    cure: str = ""
