"""Rules across the records of a transmission: what one section says must agree with what another says.

Every rule is looked at and every finding returned, so that a file is mended in one go.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from countershaft.model.balance import joint_balance, part_balance
from countershaft.model.finding import Finding, Loc
from countershaft.model.fits import Fit
from countershaft.model.housing_checks import housing_limits, housing_names
from countershaft.model.load_checks import band_names, load_case_names
from countershaft.model.names import Names, unknown
from countershaft.model.step_checks import observed_names, step_names, step_phases
from countershaft.model.step_order import circles, step_spans
from countershaft.model.transmission import Transmission

__all__ = ["Finding", "cross_check", "reference_check"]


def cross_check(transmission: Transmission) -> tuple[Finding, ...]:
    """Every breach of a rule across records: names, circles, and what comes off against what goes on."""
    return (
        *reference_check(transmission),
        *part_balance(transmission),
        *joint_balance(transmission),
        *step_spans(transmission),
        *_plates(transmission),
        *_trials(transmission),
        *_families(transmission),
        *housing_limits(transmission),
    )


def reference_check(
    transmission: Transmission, *, also_known: Mapping[str, frozenset[str]] | None = None
) -> tuple[Finding, ...]:
    """Names that are given twice, lead nowhere, or lead in a circle.

    `also_known` are names, by section, of records that are there but could not be read.
    """
    names = Names(transmission, also_known or {})
    return (
        *_twice(transmission),
        *_pack_names(transmission, names),
        *band_names(transmission, names),
        *load_case_names(transmission, names),
        *_joint_names(transmission, names),
        *step_names(transmission, names),
        *step_phases(transmission, names),
        *observed_names(transmission, names),
        *_fit_and_limit_names(transmission, names),
        *housing_names(transmission, names),
        *_source_names(transmission, names),
        *circles(transmission),
    )


@dataclass(frozen=True, slots=True)
class _Named:
    section: str
    key: str
    what: str


_NAMED = (
    _Named("packs", "element", "pack"),
    _Named("bands", "element", "band"),
    _Named("parts", "id", "part"),
    _Named("fasteners", "id", "joint"),
    _Named("steps", "id", "step"),
    _Named("fits", "id", "fit"),
    _Named("limits", "id", "limit"),
    _Named("preloads", "id", "preload"),
)


def _twice(transmission: Transmission) -> Iterator[Finding]:
    for named in _NAMED:
        seen: dict[str, int] = {}
        for index, record in enumerate(getattr(transmission, named.section)):
            name = getattr(record, named.key)
            if name in seen:
                yield Finding(
                    (named.section, index, named.key),
                    f"{named.what} {name!r} stands twice",
                    got=f"the first one is number {seen[name] + 1} of {named.section}",
                    cure=f"Give each {named.what} its own {named.key}.",
                )
            seen.setdefault(name, index)
    fits = {fit.id for fit in transmission.fits}
    for index, limit in enumerate(transmission.limits):
        if limit.id in fits:
            yield Finding(
                ("limits", index, "id"),
                f"a fit has the id {limit.id!r} too",
                cure="Rename one of them; a step's record names fits and limits alike.",
            )


def _pack_names(transmission: Transmission, names: Names) -> Iterator[Finding]:
    for index, pack in enumerate(transmission.packs):
        here: Loc = ("packs", index)
        if transmission.train is not None:
            yield from unknown((*here, "element"), "shift element", pack.element, names.elements)
        if pack.clearance is not None:
            yield from unknown((*here, "clearance"), "fit", pack.clearance, names.fits)
        for row in ("friction", "steel"):
            part = getattr(pack, row).part
            if part is not None:
                yield from unknown((*here, row, "part"), "part", part, names.parts)
        for place, plate in enumerate(pack.others):
            if plate.part is not None:
                yield from unknown((*here, "others", place, "part"), "part", plate.part, names.parts)


def _joint_names(transmission: Transmission, names: Names) -> Iterator[Finding]:
    for index, joint in enumerate(transmission.fasteners):
        for place, washer in enumerate(joint.washers):
            if washer.part is not None:
                loc: Loc = ("fasteners", index, "washers", place, "part")
                yield from unknown(loc, "part", washer.part, names.parts)


def _fit_and_limit_names(transmission: Transmission, names: Names) -> Iterator[Finding]:
    for index, fit in enumerate(transmission.fits):
        yield from unknown(("fits", index, "part"), "part", fit.part, names.parts)
        for place, coupling in enumerate(fit.also):
            at: Loc = ("fits", index, "also", place, "fit")
            yield from unknown(at, "fit", coupling.fit, names.fits)
            if coupling.fit == fit.id:
                yield Finding(
                    at, f"{fit.id} is coupled with itself", cure="Name the other fit, or take it out."
                )
    for index, limit in enumerate(transmission.limits):
        if limit.part is not None:
            yield from unknown(("limits", index, "part"), "part", limit.part, names.parts)
    for index, preload in enumerate(transmission.preloads):
        here: Loc = ("preloads", index)
        yield from unknown((*here, "part"), "part", preload.part, names.parts)
        for key, named in (("limit", preload.limit), ("limit_reused", preload.limit_reused)):
            if named is not None:
                yield from unknown((*here, key), "limit", named, names.limits)


def _source_names(transmission: Transmission, names: Names) -> Iterator[Finding]:
    for section in ("packs", "fasteners", "fits", "preloads", "limits"):
        for index, record in enumerate(getattr(transmission, section)):
            if record.source is not None:
                yield from unknown((section, index, "source"), "source", record.source, names.sources)


def _plates(transmission: Transmission) -> Iterator[Finding]:
    """Packs that hold more plates of a part than there are."""
    quantity = {part.id: part.quantity for part in reversed(transmission.parts)}
    used: Counter[str] = Counter()
    for index, pack in enumerate(transmission.packs):
        rows: list[tuple[Loc, str | None, int]] = [
            ((row, "count"), getattr(pack, row).part, getattr(pack, row).count)
            for row in ("friction", "steel")
        ]
        rows += [(("others", place, "part"), plate.part, 1) for place, plate in enumerate(pack.others)]
        for below, part, count in rows:
            if part is None or part not in quantity:
                continue
            before = used[part]
            used[part] += count
            if before <= quantity[part] < used[part]:
                yield Finding(
                    ("packs", index, *below),
                    f"the packs hold more of part {part} than there are",
                    expected=f"at most {quantity[part]} in all packs together",
                    got=f"{used[part]} up to here",
                    cure=f"Correct the count, or the quantity of {part}.",
                )


def _trials(transmission: Transmission) -> Iterator[Finding]:
    """Trial sizes that cannot be meant: another part, or another unit of length."""
    for index, fit in enumerate(transmission.fits):
        if fit.trial is None:
            continue
        trial = fit.trial.to("mm")
        low, high = float(fit.sizes_mm[0]), float(fit.sizes_mm[-1])
        if not low / 2 <= trial <= high * 2:
            yield Finding(
                ("fits", index, "trial"),
                f"the trial size is far from every size of {fit.id}",
                expected=f"about {fit.sizes_mm[0]} to {fit.sizes_mm[-1]} mm",
                got=str(fit.trial),
                cure="Look at the decimal point and at the unit.",
            )


def _families(transmission: Transmission) -> Iterator[Finding]:
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
