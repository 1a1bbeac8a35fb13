"""Rules across the records of a transmission: what one section says must agree with what another says.

Every rule is looked at and every finding returned, so that a file is mended in one go.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from countershaft.model.balance import joint_balance, part_balance
from countershaft.model.finding import Finding, Loc
from countershaft.model.fit_checks import fit_families, fit_names, plates_of_fits, preload_limits, trial_sizes
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
        *trial_sizes(transmission),
        *fit_families(transmission),
        *preload_limits(transmission),
        *plates_of_fits(transmission),
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
        *fit_names(transmission, names),
        *_limit_names(transmission, names),
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


def _limit_names(transmission: Transmission, names: Names) -> Iterator[Finding]:
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
