"""One joint from the side of the engineer: order, rounds, the check of every place, mix-ups, and the torque tool."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Final
from urllib.parse import quote

from countershaft.desk.bolt_working import SOURCES, bolt_working
from countershaft.desk.fasteners import Alike, JointSheet, unit_sheet
from countershaft.desk.place_names import places_words
from countershaft.desk.torque_setting import TOOL_KINDS, Setting
from countershaft.errors import Unknown
from countershaft.model.bolting import bolted_place, friction_band
from countershaft.model.fasteners import Joint
from countershaft.planning.mixup import Pairing
from countershaft.stages import fastening
from countershaft.stages.build import joint_state
from countershaft.web.pages.fasteners import Mixed, Whose, mixed
from countershaft.web.pages.frame import Frame
from countershaft.web.pages.hole_maps import drawn_joint, order_words
from countershaft.web.pages.hole_picture import TapPicture, tap_picture
from countershaft.web.pages.shown import Working

__all__ = ["TOOL_FIELDS", "JointCheckPage", "ToolShown", "joint_check_page", "tool_shown"]

#: Fields of the torque tool, as they stand in the address.
TOOL_FIELDS: Final = ("wrench", "adapter", "angle", "kind", "least", "most")


@dataclass(frozen=True, slots=True)
class ToolField:
    """One field of the torque wrench; with options it is chosen."""

    name: str
    label: str
    hint: str = ""
    unit: str = ""
    options: tuple[tuple[str, str], ...] = ()
    value: str = ""
    error: str = ""


_TOOL: Final = (
    ToolField("wrench", "Wrench, square to the middle of the grip", "Or with its unit, such as 16 in.", "mm"),
    ToolField("adapter", "Adapter, square to the bolt", unit="mm"),
    ToolField("angle", "Angle between them", "0 in line, 90 square: then nothing changes.", "°"),
    ToolField("kind", "The tool", "Type and class of ISO 6789, as marked on it.", options=TOOL_KINDS),
    ToolField("least", "Its scale begins at", "Left open, 20 % of the largest.", "N·m"),
    ToolField("most", "Its largest torque", unit="N·m"),
)


@dataclass(frozen=True, slots=True)
class RoundRow:
    """One round: what is done, and its torque in the other units."""

    number: str
    words: str
    side: str


@dataclass(frozen=True, slots=True)
class CheckRow:
    """One line of a check."""

    name: str
    verdict: str
    words: str


@dataclass(frozen=True, slots=True)
class CheckTable:
    """The check of places that are alike."""

    title: str
    facts: str
    verdict: str
    rows: tuple[CheckRow, ...]
    working: Working


@dataclass(frozen=True, slots=True)
class ToolShown:
    """The form of the torque tool with what was typed: `open` where something was, `wrong` where it is no answer."""

    fields: tuple[ToolField, ...]
    open: bool
    wrong: bool
    wanted: str
    set_to: str
    working: Working | None
    verdict: str
    why: str
    checked: str


@dataclass(frozen=True, slots=True)
class JointCheckPage:
    """A joint with all that follows from its file."""

    frame: Frame | None
    unit: str
    name: str
    hand: str
    drawing: str
    picture: TapPicture | None
    picture_href: str
    order: str
    sequence: str
    loosening: str
    loosen_rounds: str
    rounds: tuple[RoundRow, ...]
    heights: tuple[str, ...]
    verdict: str
    checks: tuple[CheckTable, ...]
    tags: str
    dangers: tuple[Mixed, ...]
    shows: tuple[Mixed, ...]
    others: tuple[Mixed, ...]
    tool: ToolShown
    torque: str
    facts: tuple[tuple[str, str], ...]
    action: str
    work_href: str
    sheet_href: str
    back_href: str


def joint_check_page(
    whose: Whose,
    joint_id: str,
    tool: ToolShown | None = None,
    *,
    size_of: Callable[[str], tuple[int, int]] | None = None,
) -> JointCheckPage:
    """A joint as its template reads it; `size_of` tells the size of a picture that its holes were tapped on."""
    state = whose.job.state if whose.job else None
    unit = unit_sheet(whose.transmission, state)
    sheet = next((one for one in unit.joints if one.joint.id == joint_id), None)
    if sheet is None:
        raise Unknown(f"{whose.transmission.name} has no joint {joint_id!r}.")
    joint, mine = sheet.joint, f"{whose.here}/fasteners/{quote(joint_id)}"
    now = joint_state(state, joint) if state is not None else None
    given = next((stage.torque for stage in reversed(joint.stages) if stage.torque is not None), None)
    return JointCheckPage(
        frame=whose.frame,
        unit=whose.transmission.name,
        name=joint.name,
        hand=joint.hand,
        drawing=drawn_joint(
            joint,
            sheet.order,
            fastening.positions(state, joint),
            done=now.done if now else None,
            due=now.next if now else None,
            round_number=now.round if now else 1,
        ),
        picture=_picture(whose, joint, size_of),
        picture_href=f"{mine}/picture"
        if whose.job and not any(place.at_mm for place in joint.places) and not (now and now.begun)
        else "",
        order=order_words(joint, sheet.order),
        sequence=_listed(sheet.order.sequence),
        loosening=_listed(sheet.order.loosening),
        loosen_rounds=", then ".join(f"{one.action}" for one in sheet.loosening),
        rounds=tuple(
            RoundRow(str(number), one.words, one.side.words.partition(" = ")[2] if one.side else "")
            for number, one in enumerate(sheet.torques, start=1)
        ),
        heights=tuple(group.words for group in sheet.heights),
        verdict=sheet.worst,
        checks=tuple(_table(joint, one) for one in sheet.checks),
        tags=sheet.inside.words if sheet.inside else "",
        dangers=_inside(sheet, ("dangerous", "unknown")),
        shows=_inside(sheet, ("shows",)),
        others=tuple(mixed(one, unit) for one in sheet.others),
        tool=tool or tool_shown({}, {}, None),
        torque=str(given) if given is not None else "",
        facts=_facts(joint, sheet),
        action=mine,
        work_href=f"{whose.here}/joint/{quote(joint_id)}" if whose.job else "",
        sheet_href=f"{whose.here}/fastener-sheets?joint={quote(joint_id)}",
        back_href=f"{whose.here}/fasteners",
    )


def tool_shown(values: Mapping[str, str], errors: Mapping[str, str], found: Setting | None) -> ToolShown:
    """A setting as the template reads it."""
    fits = found.fits if found else None
    return ToolShown(
        fields=tuple(
            replace(one, value=values.get(one.name, ""), error=errors.get(one.name, "")) for one in _TOOL
        ),
        open=any(values.values()),
        wrong=any(errors.values()),
        wanted=found.wanted.words if found else "",
        set_to=found.set_to.words if found else "",
        working=Working(found.working, "T·L/(L + E·cos α): NAVEDTRA 14315; ISO 6789 for the tool")
        if found
        else None,
        verdict="" if fits is None else "good" if fits.good else "bad",
        why=""
        if fits is None
        else f"{fits.why}; the torque set lies between {fits.least:.4g} and {fits.most:.4g} N·m",
        checked=""
        if found is None or found.checked_at is None
        else f"a check of this tool is made at {', '.join(f'{one:g}' for one in found.checked_at)} N·m (ISO 6789)",
    )


def _picture(
    whose: Whose, joint: Joint, size_of: Callable[[str], tuple[int, int]] | None
) -> TapPicture | None:
    """The photo on which the holes were tapped, with the marks; None where there is none."""
    tapped = fastening.marks(whose.job.state, joint.id) if whose.job else None
    if whose.job is None or tapped is None or size_of is None:
        return None
    return tap_picture(whose.job, joint, tapped.digest, size_of(tapped.digest))


def _listed(sequence: tuple[str, ...] | None) -> str:
    return ", ".join(sequence) if sequence else ""


def _inside(sheet: JointSheet, results: tuple[str, ...]) -> tuple[Mixed, ...]:
    """Mix-ups among the bolts of the joint, with its own names of the places."""
    if sheet.inside is None:
        return ()
    own = {name: place for place, name in sheet.names.items()}
    return tuple(
        mixed(
            Pairing(
                tuple(own[name] for name in one.bolts),
                tuple(own[name] for name in one.holes),
                one.result,
                one.by_mm,
                one.how,
            )
        )
        for one in sheet.inside.pairings
        if one.result in results
    )


def _table(joint: Joint, one: Alike) -> CheckTable:
    known = (
        ("bolt" if joint.kind != "nut" else "length", one.length_mm),
        ("grip", one.grip_mm),
        ("head stands", one.height_mm),
    )
    facts = ", ".join(
        f"{name} {value} mm" if value is not None else f"{name} not known" for name, value in known
    )
    friction = friction_band(joint)
    return CheckTable(
        title=places_words(one.places, most=20) if len(one.places) < len(joint.place_ids) else "every place",
        facts=facts,
        verdict=one.worst,
        rows=tuple(
            CheckRow(answer.name, answer.verdict, answer.words.removeprefix("unknown: "))
            for answer in one.answers
        ),
        working=Working(bolt_working(bolted_place(joint, one.places[0]), friction), SOURCES),
    )


def _facts(joint: Joint, sheet: JointSheet) -> tuple[tuple[str, str], ...]:
    least, most = friction_band(joint)
    pairs = (
        ("Thread", f"{joint.thread}, {joint.hand}-hand"),
        ("Strength", joint.strength or "not known"),
        ("Head", joint.head or "not known"),
        ("Into", joint.into or "not known"),
        ("Under the head", joint.under_head or "not known"),
        (
            "Friction",
            f"{least:g} to {most:g}, {'as the file gives it' if joint.friction else 'the usual band'}",
        ),
        ("Use", joint.reuse),
        ("New with it", joint.renew or ""),
        ("Locking", joint.locking or ""),
        ("Sealing", joint.sealing or ""),
        ("Note", joint.note or ""),
        ("Source", sheet.source),
    )
    return tuple((label, words) for label, words in pairs if words)
