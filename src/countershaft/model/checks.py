"""Rules across the records of a transmission: what one section says must agree with what another says.

Every rule is looked at and every finding returned, so that a file is mended in one go.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from countershaft.model.balance import joint_balance, part_balance
from countershaft.model.finding import Finding, Loc
from countershaft.model.load_checks import band_names, load_case_names
from countershaft.model.names import Names, unknown
from countershaft.model.transmission import Transmission
from countershaft.planning.precedence import cycle

__all__ = ["Finding", "cross_check", "reference_check"]


def cross_check(transmission: Transmission) -> tuple[Finding, ...]:
    """Every breach of a rule across records: names, circles, and what comes off against what goes on."""
    return (
        *reference_check(transmission),
        *part_balance(transmission),
        *joint_balance(transmission),
        *_plates(transmission),
        *_trials(transmission),
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
        *_step_names(transmission, names),
        *_phases(transmission, names),
        *_fit_and_limit_names(transmission, names),
        *_source_names(transmission, names),
        *_circles(transmission),
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


def _step_names(transmission: Transmission, names: Names) -> Iterator[Finding]:
    for index, step in enumerate(transmission.steps):
        here: Loc = ("steps", index)
        for key in ("off", "on"):
            for place, piece in enumerate(getattr(step, key)):
                yield from unknown((*here, key, place, "part"), "part", piece.part, names.parts)
        for key in ("loosen", "tighten"):
            for place, joint in enumerate(getattr(step, key)):
                yield from unknown((*here, key, place), "joint", joint, names.joints)
        for place, record in enumerate(step.record):
            yield from unknown((*here, "record", place), "fit or limit", record, (*names.fits, *names.limits))


def _phases(transmission: Transmission, names: Names) -> Iterator[Finding]:
    """Needs that lead nowhere or ahead of their phase, and keys that belong to the other phase."""
    phases = {step.id: step.phase for step in transmission.steps}
    for index, step in enumerate(transmission.steps):
        here: Loc = ("steps", index)
        for place, need in enumerate(step.needs):
            yield from unknown((*here, "needs", place), "step", need, names.steps)
            if step.phase == "teardown" and phases.get(need) == "build":
                yield Finding(
                    (*here, "needs", place),
                    f"teardown step {step.id} needs build step {need}",
                    cure="Take the need out, or correct the phase of one of the two.",
                )
        for key in ("on", "tighten") if step.phase == "teardown" else ("off", "loosen"):
            if getattr(step, key):
                yield Finding(
                    (*here, key),
                    f"a {step.phase} step has no {key!r}",
                    expected="off and loosen in a teardown step, on and tighten in a build step",
                    cure="Correct the key, or the phase of the step.",
                )


def _fit_and_limit_names(transmission: Transmission, names: Names) -> Iterator[Finding]:
    for index, fit in enumerate(transmission.fits):
        yield from unknown(("fits", index, "part"), "part", fit.part, names.parts)
    for index, limit in enumerate(transmission.limits):
        if limit.part is not None:
            yield from unknown(("limits", index, "part"), "part", limit.part, names.parts)


def _source_names(transmission: Transmission, names: Names) -> Iterator[Finding]:
    for section in ("packs", "fasteners", "fits", "limits"):
        for index, record in enumerate(getattr(transmission, section)):
            if record.source is not None:
                yield from unknown((section, index, "source"), "source", record.source, names.sources)


def _circles(transmission: Transmission) -> Iterator[Finding]:
    """Every circle of needs, each named whole; circles that share a step are found one after the other."""
    steps = {step.id: index for index, step in enumerate(transmission.steps)}
    needs = {step.id: [need for need in step.needs if need in steps] for step in transmission.steps}
    while (circle := cycle(needs)) is not None:
        first, second = circle[0], circle[1]
        place = transmission.steps[steps[first]].needs.index(second)
        yield Finding(
            ("steps", steps[first], "needs", place),
            f"these steps wait for each other: {' needs '.join(circle)}",
            cure="Take one of these needs out.",
        )
        for key, need in pairwise(circle):
            needs[key] = [other for other in needs[key] if other != need]


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
