"""One breach of a rule across records, with the place of the value that breaks it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

__all__ = ["Finding", "Loc"]

Loc: TypeAlias = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Finding:
    """What is wrong, where (keys and numbers from the top of the file), what was expected and got, and the cure.

    `along` are further places that belong to it, such as the other needs of a circle; their lines are told.
    """

    loc: Loc
    message: str
    expected: str = ""
    got: str = ""
    cure: str = ""
    along: tuple[Loc, ...] = ()
