"""A bench sum that was done in a job: what was typed into it, and what it is about."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from countershaft.job.body import Body, Ref, Short
from countershaft.job.taken import Taken
from countershaft.job.words import Stage

__all__ = ["Worked"]


class Worked(Body):
    """Figures typed into a bench sum, each as typed with its unit and its ±; the answer is worked out when it is read.

    `limit` is the check that the answer stands for, `part` what it is about where no check asks for it.
    """

    STAGE = Stage.INSPECT
    kind: Literal["worked"] = "worked"
    calculation: Ref
    typed: Annotated[dict[Ref, Short], Field(min_length=1, max_length=30)]
    limit: Ref | None = None
    part: Ref | None = None
    when: Literal["as found", "as left"] = "as found"
    taken: Taken | None = None
