"""An entry with its id, time and person, or in words why it cannot be one."""

from __future__ import annotations

from datetime import datetime
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from countershaft.errors import EntryRefused
from countershaft.job.body import Body

__all__ = ["stamped"]

E = TypeVar("E", bound=BaseModel)


def stamped(shape: type[E], body: Body, *, entry_id: str, at: datetime, by: str, version: int) -> E:
    """An entry of a log; raises EntryRefused where its id, its person or its body cannot stand in one."""
    try:
        return shape.model_validate({"id": entry_id, "at": at, "by": by, "version": version, "body": body})
    except ValidationError as cause:
        faults = "; ".join(
            f"{'.'.join(map(str, one['loc']))} {one['input']!r}: {one['msg']}" for one in cause.errors()
        )
        raise EntryRefused(f"Not written: {faults}. Open the page again and send it anew.") from cause
