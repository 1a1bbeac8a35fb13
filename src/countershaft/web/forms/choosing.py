"""Forms of the joint choice: take a whole plan at once, and wait for what is ordered."""

from __future__ import annotations

import hashlib

from countershaft.desk.desk import OpenJob
from countershaft.errors import FormError
from countershaft.job.entry import Body, Chosen, Waiting
from countershaft.stages.choosing import Choosing, Plan, choosing
from countershaft.stages.progress import progress
from countershaft.web.forms.form import Answers, Form

__all__ = ["choose_all", "plan_of", "seen", "wait_for_parts", "waits_for"]


def plan_of(found: Choosing, which: str) -> Plan | None:
    """The plan of that name: "best", "shelf", or the number of a second best; None where there is none."""
    if which == "shelf":
        return found.shelf_only
    if which.isdecimal():
        number = int(which)
        return found.others[number] if number < len(found.others) else None
    return found.best


def seen(plan: Plan) -> str:
    """A short mark of a plan, so that what is written is what was shown."""
    told = "; ".join(f"{one.seat} {one.words} {one.ordered}" for one in plan.goes)
    return hashlib.sha256(told.encode()).hexdigest()[:16]


def _asked(job: OpenJob, key: str) -> tuple[str, Plan | None, Choosing]:
    which, _, days = key.partition(":")
    within = int(days) if days.lstrip("-").isdecimal() else None
    found = choosing(job.transmission, job.state, within_days=within)
    return which, plan_of(found, which), found


def choose_all(job: OpenJob, key: str) -> Form:
    """Take every piece of a plan that lies on the shelf; the key is the plan, and the days after a colon."""
    _, plan, found = _asked(job, key)
    goes = tuple(one for one in plan.goes if not one.ordered) if plan is not None else ()
    fits = {seat.name: one.now for one in found.fits for seat in one.now.seats}
    outside = {one.gap for one in plan.left if not one.inside} if plan is not None else set()
    taken = tuple(one for one in goes if fits[one.seat].fit.id not in outside)

    def read(answers: Answers) -> tuple[Body, ...]:
        shown = answers.one("seen")
        if plan is None or not taken:
            raise FormError(
                {"plan": "Nothing of this plan lies on the shelf any more. Look at the choice again."}
            )
        if shown and shown != seen(plan):
            raise FormError(
                {
                    "plan": "A reading or the shelf changed since the choice was shown, and another plan is best. "
                    "Nothing was written: look at the choice again."
                }
            )
        return tuple(Chosen(fit=fits[one.seat].fit.id, size_mm=one.size_mm, piece=one.piece) for one in taken)

    return Form(
        f"Choose {len(taken)} {'piece' if len(taken) == 1 else 'pieces'}",
        (),
        read,
        f"/jobs/{job.tag}/fit",
        save="Choose them",
        facts=tuple((fits[one.seat].fit.name, one.words) for one in taken),
    )


def waits_for(plan: Plan) -> tuple[str, ...]:
    """What has to be ordered for a plan, one line for each, as it is said on the job's pages."""
    return tuple(f"{one.words} for {one.seat}" for one in plan.to_order)


def wait_for_parts(job: OpenJob, key: str) -> Form:
    """Say that the job waits for everything that a plan orders."""
    _, plan, _ = _asked(job, key)
    known = set(progress(job.transmission, job.state).waits)
    what = tuple(words for words in (waits_for(plan) if plan is not None else ()) if words not in known)

    def read(answers: Answers) -> tuple[Body, ...]:
        if not what:
            raise FormError({"what": "The job waits for all of it already, or nothing has to be ordered."})
        return tuple(Waiting(what=words) for words in what)

    return Form(
        "The job waits for these parts",
        (),
        read,
        f"/jobs/{job.tag}/fit/choose",
        save="It waits for them",
        facts=tuple((str(number), words) for number, words in enumerate(what, start=1)),
    )
