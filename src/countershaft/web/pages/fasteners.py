"""The fasteners of a unit, of a file or of a job: every joint in one table, and what must be kept apart."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Final
from urllib.parse import quote

from countershaft.desk.desk import OpenJob
from countershaft.desk.fasteners import JointSheet, UnitSheet, tags_in_short, unit_sheet
from countershaft.desk.place_names import places_words
from countershaft.model.transmission import Transmission
from countershaft.planning.mixup import MixUps, Pairing
from countershaft.stages.build import joint_state
from countershaft.stages.progress import Progress
from countershaft.web.pages.frame import Frame, frame

__all__ = [
    "FastenersPage",
    "Mixed",
    "Whose",
    "fasteners_page",
    "joint_of",
    "mixed",
    "of_file",
    "of_job",
]

#: Each result of a mix-up as a person says it.
SAID: Final = {
    "right": "right",
    "shows": "shows at a glance",
    "harmless": "hides, does no harm",
    "dangerous": "hides and is dangerous",
    "unknown": "cannot be judged",
}


@dataclass(frozen=True, slots=True)
class Whose:
    """Whose fasteners a page shows: a file's, or a job's with its state; `here` is where its pages begin."""

    transmission: Transmission
    here: str
    job: OpenJob | None
    frame: Frame | None


@dataclass(frozen=True, slots=True)
class JointRow:
    """A joint in the table; `order` is where its order comes from."""

    href: str
    name: str
    count: str
    thread: str
    left: bool
    torque: str
    side: str
    then: str
    order: str
    verdict: str
    remarks: str
    progress: str


@dataclass(frozen=True, slots=True)
class Mixed:
    """Bolts of some places in the holes of others: what happens; `by` is by how much it shows.

    `bolts_of` and `holes_of` name their joints, empty inside one joint.
    """

    bolts: str
    bolts_of: str
    holes: str
    holes_of: str
    by: str
    how: str


@dataclass(frozen=True, slots=True)
class FastenersPage:
    """All fasteners of a unit."""

    frame: Frame | None
    name: str
    lead: str
    rows: tuple[JointRow, ...]
    tags: str
    named: tuple[tuple[str, str], ...]
    counts: tuple[tuple[str, str], ...]
    dangers: tuple[Mixed, ...]
    working: bool
    identify_href: str
    sheets_href: str
    back_href: str
    back_words: str


def of_file(transmission: Transmission, digest: str) -> Whose:
    """The fasteners of a file."""
    return Whose(transmission, f"/files/{quote(digest)}", None, None)


def of_job(job: OpenJob, progress: Progress) -> Whose:
    """The fasteners of a job."""
    return Whose(job.transmission, f"/jobs/{quote(job.tag)}", job, frame(job, progress, None))


def fasteners_page(whose: Whose) -> FastenersPage:
    """All fasteners of a unit as their template reads them."""
    sheet = unit_sheet(whose.transmission, whose.job.state if whose.job else None)
    pieces = sum(len(one.joint.place_ids) for one in sheet.joints)
    mix = sheet.mix
    return FastenersPage(
        frame=whose.frame,
        name=whose.transmission.name,
        lead=f"{_count(len(sheet.joints), 'joint')}, {_count(pieces, 'fastener')}{_kinds(sheet)}"
        if sheet.joints
        else "none in the file",
        rows=tuple(_row(whose, one) for one in sheet.joints),
        tags=tags_in_short(mix) if mix else "",
        counts=_counts(sheet),
        named=_named(sheet),
        dangers=tuple(mixed(one, sheet) for one in mix.dangerous) if mix else (),
        working=whose.job is not None,
        identify_href=f"{whose.here}/identify",
        sheets_href=f"{whose.here}/fastener-sheets",
        back_href=whose.here,
        back_words="Back to the job" if whose.job else "The whole file",
    )


def _kinds(sheet: UnitSheet) -> str:
    """How many of each kind, where there are several: bags and trays speak of the bolts alone."""
    kinds: Counter[str] = Counter()
    for one in sheet.joints:
        kinds[one.joint.kind] += len(one.joint.place_ids)
    told = ", ".join(_count(count, kind) for kind, count in kinds.most_common())
    return f": {told}" if len(kinds) > 1 else ""


def _named(sheet: UnitSheet) -> tuple[tuple[str, str], ...]:
    """The joints of counted places that are to be bagged apart, since their places have no names that tell."""
    apart = [name for tag in (sheet.mix.tags[1:] if sheet.mix else ()) for name in tag if "/" in name]
    joints = dict.fromkeys(joint_of(sheet, name) for name in apart)
    return tuple(
        (places_words([name for name in apart if joint_of(sheet, name) == joint]), joint) for joint in joints
    )


def joint_of(sheet: UnitSheet, name: str) -> str:
    """The name of the joint that a place of the mix-ups belongs to."""
    return next((one.joint.name for one in sheet.joints if name in one.names.values()), "")


def mixed(pairing: Pairing, sheet: UnitSheet | None = None) -> Mixed:
    """A pairing in words; with the sheet of the unit, each side with its joints."""
    return Mixed(
        places_words(pairing.bolts),
        _joints(pairing.bolts, sheet),
        places_words(pairing.holes),
        _joints(pairing.holes, sheet),
        "" if pairing.by_mm is None else f"{float(round(pairing.by_mm, 3)):g} mm",
        pairing.how,
    )


def _joints(names: tuple[str, ...], sheet: UnitSheet | None, most: int = 3) -> str:
    """The joints of some places, in one line."""
    if sheet is None:
        return ""
    found = list(dict.fromkeys(joint_of(sheet, name) for name in names))
    return (
        ", ".join(found) if len(found) <= most else f"{', '.join(found[:most])} and {len(found) - most} more"
    )


def _row(whose: Whose, sheet: JointSheet) -> JointRow:
    joint = sheet.joint
    last = next((one for one in reversed(sheet.torques) if one.side is not None), None)
    after = () if last is None else sheet.torques[sheet.torques.index(last) + 1 :]
    return JointRow(
        href=f"{whose.here}/fasteners/{quote(joint.id)}",
        name=joint.name,
        count=f"{len(joint.place_ids)} × {joint.kind}",
        thread=joint.thread,
        left=joint.hand == "left",
        torque=last.words if last else "",
        side=last.side.words.partition(" = ")[2] if last and last.side else "",
        then=", ".join(f"then {one.words}" for one in after) if last else sheet.torques[-1].words,
        order=_order(sheet),
        verdict=sheet.worst,
        remarks=f"not known: {', '.join(sheet.unknown)}" if sheet.unknown else "",
        progress=_progress(whose, sheet),
    )


def _order(sheet: JointSheet) -> str:
    if sheet.order.pattern in ("given", "unknown"):
        words = sheet.joint.order_words
        return (
            "in the file"
            if sheet.order.pattern == "given"
            else f"in the file: {words}"
            if words
            else "not known"
        )
    return "one place" if sheet.order.pattern == "single" else f"computed, {sheet.order.pattern}"


def _progress(whose: Whose, sheet: JointSheet) -> str:
    if whose.job is None:
        return ""
    now = joint_state(whose.job.state, sheet.joint)
    if now.complete:
        return "all rounds done"
    return (
        f"round {now.round} of {len(sheet.joint.stages)}, {now.marked} of {len(now.done)}"
        if now.begun
        else "open"
    )


def _counts(sheet: UnitSheet) -> tuple[tuple[str, str], ...]:
    """How many pairs of one bolt and one hole come to which result."""
    mix: MixUps | None = sheet.mix
    if mix is None:
        return ()
    return tuple((words, f"{mix.count(result)}") for result, words in SAID.items() if mix.count(result))  # type: ignore[arg-type]


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"
