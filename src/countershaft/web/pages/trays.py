"""The tagged places of a job, and the next one that is free."""

from __future__ import annotations

from countershaft.desk.desk import OpenJob
from countershaft.job.custody import custody
from countershaft.job.entry import Moved, StepDone

__all__ = ["last_place", "trays"]

#: The place where parts lie in order before they have a tray.
_MAT = "mat"


def trays(job: OpenJob) -> tuple[str, ...]:
    """Every tagged place that was used, in the order of first use, the mat, and the next tray that is free."""
    used = dict.fromkeys(
        (
            *(placed.place for done in job.state.bodies(StepDone) for placed in done.placed),
            *(one.spot.name for done in job.state.bodies(StepDone) for one in done.stowed if one.spot.name),
            *(move.to.name for move in job.state.bodies(Moved) if move.to.how == "place"),
            *custody(job.transmission, job.state).places,
        )
    )
    numbered = (f"{job.tag}-T{number}" for number in range(1, len(used) + 2))
    fresh = next(tray for tray in numbered if tray not in used)
    return (*used, *((_MAT,) if _MAT not in used else ()), fresh)


def last_place(job: OpenJob) -> str:
    """The place that was used last; the next parts most often go there too."""
    used = [placed.place for done in job.state.bodies(StepDone) for placed in done.placed]
    return used[-1] if used else ""
