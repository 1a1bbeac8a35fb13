"""Rules across the records of fits: what they rest on, the limits that close preloads, plates against their packs."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from pydantic import ValidationError

from countershaft.model.finding import Finding, Loc
from countershaft.model.fit_methods import ByPlates, TwoSidedShims
from countershaft.model.fits import Fit
from countershaft.model.names import Names, unknown
from countershaft.model.transmission import Transmission

__all__ = ["fit_families", "fit_names", "plates_of_fits", "preload_limits", "trial_sizes"]


def fit_names(transmission: Transmission, names: Names) -> Iterator[Finding]:
    """Parts, joints and fits that a fit, a preload or a band names and that are not there."""
    for index, fit in enumerate(transmission.fits):
        here: Loc = ("fits", index)
        yield from unknown((*here, "part"), "part", fit.part, names.parts)
        yield from _rests(here, fit.rests_on, names)
        for place, coupling in enumerate(fit.also):
            at: Loc = (*here, "also", place, "fit")
            yield from unknown(at, "fit", coupling.fit, names.fits)
            if coupling.fit == fit.id:
                yield Finding(
                    at, f"{fit.id} is coupled with itself", cure="Name the other fit, or take it out."
                )
        for place, one in enumerate(fit.gap):
            if one.part is not None:
                yield from unknown((*here, "gap", place, "part"), "part", one.part, names.parts)
        if isinstance(fit.by, TwoSidedShims) and fit.by.right_part is not None:
            yield from unknown((*here, "by", "right_part"), "part", fit.by.right_part, names.parts)
    for index, preload in enumerate(transmission.preloads):
        yield from _rests(("preloads", index), preload.rests_on, names)
    for index, band in enumerate(transmission.bands):
        if band.part is not None:
            yield from unknown(("bands", index, "part"), "part", band.part, names.parts)


def _rests(here: Loc, rests_on: tuple[str, ...], names: Names) -> Iterator[Finding]:
    known = (*names.parts, *names.joints, *names.fits)
    for place, name in enumerate(rests_on):
        yield from unknown((*here, "rests_on", place), "part, joint or fit", name, known)


def preload_limits(transmission: Transmission) -> Iterator[Finding]:
    """Preloads whose limit has not both sides, is no torque, or does not hold the goal; and ids that stand twice."""
    limits = {limit.id: limit for limit in transmission.limits}
    taken = {fit.id for fit in transmission.fits} | set(limits)
    for index, preload in enumerate(transmission.preloads):
        here: Loc = ("preloads", index)
        if preload.id in taken:
            yield Finding(
                (*here, "id"),
                f"a fit or limit has the id {preload.id!r} too",
                cure="Rename one of them; a step's record names fits, preloads and limits alike.",
            )
        limit, reused = limits.get(preload.limit), limits.get(preload.limit_reused or "")
        if limit is None:
            continue
        if limit.min is None or limit.max is None:
            side = "min" if limit.min is None else "max"
            yield Finding(
                (*here, "limit"),
                f"the limit {limit.id!r} has no {side}, so nothing says when {preload.id} is set",
                expected="a turning torque with min and max",
                cure=f"Give the {side} of {limit.id}, from the same source.",
            )
            continue
        try:
            preload.as_fit(limit, reused)
        except ValidationError as cause:
            told = "; ".join(fault["msg"].removeprefix("Value error, ") for fault in cause.errors())
            yield Finding(
                (*here, "limit"),
                f"{preload.id} and its limit {limit.id!r} do not agree: {told}",
                cure="Look at the goal and at the limits once more.",
            )


def plates_of_fits(transmission: Transmission) -> Iterator[Finding]:
    """A clearance that is found from plates asks for as many as its pack holds."""
    fits = {fit.id: (index, fit) for index, fit in enumerate(transmission.fits)}
    for pack in transmission.packs:
        index, fit = fits.get(pack.clearance or "", (0, None))
        if fit is None or not isinstance(fit.by, ByPlates):
            continue
        asked = sum(one.count for one in fit.by.plates)
        held = pack.friction.count + pack.steel.count + len(pack.others)
        own = fit.pieces if any(plate.part == fit.part for plate in pack.others) else 0
        if asked not in (held, held - own):
            yield Finding(
                ("fits", index, "by", "plates"),
                f"{fit.id} measures {asked} plates, its pack {pack.name} holds {held}",
                expected=f"{held} without the {fit.selective}",
                got=str(asked),
                cure="Count the plates of the pack, and correct one of the two.",
            )


def trial_sizes(transmission: Transmission) -> Iterator[Finding]:
    """Trial sizes that cannot be meant: another part, or another unit of length."""
    for index, fit in enumerate(transmission.fits):
        if fit.trial is None:
            continue
        low, high = _heights(fit)
        if not float(low) / 2 <= fit.trial.to("mm") <= float(high) * 2:
            yield Finding(
                ("fits", index, "trial"),
                f"the trial size is far from every size of {fit.id}",
                expected=f"about {low} to {high} mm",
                got=str(fit.trial),
                cure="Look at the decimal point and at the unit.",
            )


def fit_families(transmission: Transmission) -> Iterator[Finding]:
    """Fits of one family whose tables differ: the pieces that one of them takes would not be made for the other."""
    first: dict[str, Fit] = {}
    for index, fit in enumerate(transmission.fits):
        if fit.family is None:
            continue
        known = first.setdefault(fit.family, fit)
        if known.sizes_mm != fit.sizes_mm:
            yield Finding(
                ("fits", index, "sizes_mm"),
                f"family {fit.family} has another table of sizes in {known.id}",
                expected=f"{known.sizes_mm[0]} to {known.sizes_mm[-1]} mm, {len(known.sizes_mm)} sizes",
                got=f"{fit.sizes_mm[0]} to {fit.sizes_mm[-1]} mm, {len(fit.sizes_mm)} sizes",
                cure="Give both the same table, or this fit a family of its own.",
            )


def _heights(fit: Fit) -> tuple[Decimal, Decimal]:
    """The least and the most that the selective part, or all of its plates together, can measure."""
    return fit.pieces * fit.sizes_mm[0], fit.pieces * fit.sizes_mm[-1]
