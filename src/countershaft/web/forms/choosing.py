"""Forms of the joint choice: take a whole plan at once, and wait for what is ordered."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Final

from countershaft.desk.desk import OpenJob
from countershaft.errors import FormError
from countershaft.job.entry import Body, Chosen, Waiting
from countershaft.planning.reach import shown
from countershaft.stages.choice_gaps import Goes
from countershaft.stages.choosing import Choosing, FitChoice, Plan, choosing
from countershaft.stages.fit_needed import seats_of
from countershaft.stages.progress import progress
from countershaft.stages.stock import FamilyStock, held
from countershaft.web.forms import fit_figures
from countershaft.web.forms.form import Answers, Field, Form, body_of

__all__ = ["choose_all", "choose_one", "plan_of", "seen", "take", "takes", "wait_for_parts", "waits_for"]


#: What stands before the label of a measured piece, so that no label is taken for a size.
_PIECE: Final = "piece:"


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


def choose_one(job: OpenJob, key: str) -> Form:
    """The piece of one fit: what the joint choice takes is tapped already, and the measured pieces stand first."""
    plain, followed = fit_figures.choose(job, key), job.transmission.fit(key)
    if followed.size_unit == "turns" or len(seats_of(followed)) != 1:
        return plain
    found = choosing(job.transmission, job.state, free=key)
    one = found.of(key)
    known = next(each for each in found.stock.values() if one.now.seats[0].name in each.family.seats)
    pieces = {f"{_PIECE}{each.label}": each for each in known.free}
    sizes = [*known.counts, *(size for size in known.unlimited if size not in known.counts)]
    there = [
        (value, each.label, f"{each.size_mm} mm measured{_leaves(found, one, each.size_mm)}")
        for value, each in pieces.items()
    ]
    there += [(str(size), f"{size} mm", _lies(known, size) + _leaves(found, one, size)) for size in sizes]
    goes = one.goes[0] if one.goes and not one.goes[0].ordered else None
    best = (f"{_PIECE}{goes.piece}" if goes.piece else str(goes.size_mm)) if goes is not None else ""

    def read(answers: Answers) -> tuple[Body, ...]:
        text = answers.one("size_mm")
        piece = next((each for each in known.pieces if f"{_PIECE}{each.label}" == text), None)
        size = str(piece.size_mm) if piece is not None else text.removeprefix(_PIECE)
        label = piece.label if piece is not None else ""
        body = {"fit": key, "size_mm": size, "piece": label, "because": answers.one("because")}
        return (body_of(Chosen, body),)

    fields = tuple(
        replace(each, options=tuple(there), values=(best,) if best else each.values)
        if each.name == "size_mm"
        else each
        for each in plain.fields
    )
    told = (("With all fits", one.elsewhere),) if one.elsewhere else ()
    return replace(
        plain,
        fields=fields,
        read=read,
        facts=(*(each for each in plain.facts if each[0] != "Nearest"), *told),
    )


def _lies(known: FamilyStock, size: Decimal) -> str:
    count = known.counts.get(size)
    return f"{count} there" if count is not None else "there"


def _leaves(found: Choosing, one: FitChoice, size: Decimal) -> str:
    """What a size would leave, where the gap hangs on this place alone."""
    gap = (
        next((gap for gap in found.shop.gaps if gap.name == one.fit.id), None)
        if found.shop is not None
        else None
    )
    if gap is None or len(gap.terms) != 1:
        return ""
    return f", leaves {shown(gap.rest + gap.terms[0].factor * Fraction(size))}"


def take(one: Goes) -> str:
    """A piece of a plan as a form sends it."""
    return f"{one.seat}={one.size_mm}={one.piece}"


def takes(found: Choosing, plan: Plan | None) -> tuple[Goes, ...]:
    """What of a plan lies on the shelf and leaves its fit inside; what would leave it outside is chosen on its own.

    A fit of several seats is taken whole or not at all; plates of a pack only where they are counted ones.
    """
    if plan is None:
        return ()
    outside = {one.gap for one in plan.left if not one.inside}
    kept = []
    for one in found.fits:
        goes = [each for each in plan.goes if any(each.seat == seat.name for seat in one.now.seats)]
        left_out = any(each.ordered for each in goes) or outside.intersection(
            gap.name for gap in one.now.gaps
        )
        labelled = one.fit.pieces > 1 and any(each.piece for each in goes)
        kept += [] if left_out or labelled else goes
    return tuple(kept)


def choose_all(job: OpenJob, key: str) -> Form:
    """Take the pieces of a plan that lie on the shelf; the key is the plan, and the days after a colon."""
    _, plan, found = _asked(job, key)
    there = takes(found, plan)
    known = {(one.seat, str(one.size_mm), one.piece) for one in held(job.state)}

    def read(answers: Answers) -> tuple[Body, ...]:
        asked = [tuple(text.split("=", 2)) for text in answers.many("take")]
        if not asked or any(len(one) != 3 for one in asked):
            raise FormError({"take": "tick at least one piece, or go back."})
        bodies = tuple(_bodies(found, asked))
        shown = answers.one("seen")
        sent_before = all(one in known for one in asked)
        if shown and not sent_before and (plan is None or shown != seen(plan)):
            raise FormError(
                {
                    "plan": "A reading or the shelf changed since the choice was shown, and another plan is best. "
                    "Nothing was written: look at the choice again."
                }
            )
        return bodies

    return Form(
        f"Choose {len(there)} {'piece' if len(there) == 1 else 'pieces'}",
        (
            Field("take", "What goes in", "ticks", "Take the tick off what is not to be chosen now.", needed=True,
                  options=tuple((take(one), _fit(found, one.seat).fit.name, one.words) for one in there),
                  values=tuple(take(one) for one in there)),
        ),
        read,
        f"/jobs/{job.tag}/fit",
        save="Choose them",
    )  # fmt: skip


def _bodies(found: Choosing, asked: Sequence[Sequence[str]]) -> Iterator[Body]:
    """One choice for each side of a fit; the plates of a pack together, by their height."""
    plates: dict[str, list[Decimal]] = {}
    for seat, size, piece in asked:
        fit = _fit(found, seat).fit
        side = seat.removeprefix(fit.id).lstrip("/")
        if fit.pieces > 1:
            plates.setdefault(fit.id, []).append(Decimal(size))
            continue
        body = {"fit": fit.id, "size_mm": size, "piece": piece, "side": side}
        yield body_of(Chosen, body)
    for name, sizes in plates.items():
        yield body_of(Chosen, {"fit": name, "size_mm": sum(sizes, Decimal(0)), "plates_mm": tuple(sizes)})


def _fit(found: Choosing, seat: str) -> FitChoice:
    one = next((one for one in found.fits if any(each.name == seat for each in one.now.seats)), None)
    if one is None:
        raise FormError({"take": f"there is no place {seat} on this unit; look at the choice again."})
    return one


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
