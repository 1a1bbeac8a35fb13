"""What can be said at any stage: words, a picture, an undo, what the job waits for."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import StringConstraints

from countershaft.job.body import Body, Digest, EntryId, Ref, Short, Words
from countershaft.job.words import Stage

__all__ = ["Note", "Photo", "Undone", "Waiting"]


class Note(Body):
    """Free words at a stage, about a step, part, fit or limit where one is named."""

    kind: Literal["note"] = "note"
    stage: Stage
    about: Ref | None = None
    words: Words


class Photo(Body):
    """A picture that the store keeps under its digest."""

    kind: Literal["photo"] = "photo"
    stage: Stage
    about: Ref | None = None
    digest: Digest
    caption: Annotated[str, StringConstraints(strip_whitespace=True, max_length=200)] = ""


class Undone(Body):
    """An earlier entry no longer counts; it stays in the log."""

    kind: Literal["undone"] = "undone"
    target: EntryId
    because: Words


class Waiting(Body):
    """The job waits for something, or no longer waits."""

    kind: Literal["waiting"] = "waiting"
    what: Short
    over: bool = False
