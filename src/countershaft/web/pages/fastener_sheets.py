"""Joints on paper: the hole map, the order, the torques, and a box to tick for every place and round."""

from __future__ import annotations

from dataclasses import dataclass

from countershaft.desk.fasteners import JointSheet, joint_sheet, unit_sheet
from countershaft.stages import fastening
from countershaft.web.pages.fasteners import Whose
from countershaft.web.pages.frame import Frame
from countershaft.web.pages.hole_maps import drawn_joint, order_words

__all__ = ["FastenerSheetsPage", "fastener_sheets_page"]


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """One place, in the order of tightening; `words` is what is special about it."""

    number: str
    place: str
    length: str
    height: str
    words: str


@dataclass(frozen=True, slots=True)
class PaperJoint:
    """One joint; with a drawing it begins on its own sheet, without positions it needs none."""

    name: str
    drawing: str
    left: bool
    facts: tuple[tuple[str, str], ...]
    rounds: tuple[str, ...]
    rows: tuple[PlaceRow, ...]


@dataclass(frozen=True, slots=True)
class FastenerSheetsPage:
    """The sheets of all joints, or of one."""

    frame: Frame | None
    unit: str
    joints: tuple[PaperJoint, ...]
    count: str
    back_href: str


def fastener_sheets_page(whose: Whose, joint_id: str = "") -> FastenerSheetsPage:
    """The sheets as their template reads them; raises Unknown for a joint that is not there."""
    state = whose.job.state if whose.job else None
    sheets = (
        (joint_sheet(whose.transmission, joint_id, state),)
        if joint_id
        else unit_sheet(whose.transmission, state).joints
    )
    return FastenerSheetsPage(
        frame=whose.frame,
        unit=whose.transmission.name,
        joints=tuple(_paper(whose, sheet) for sheet in sheets),
        count="1 joint" if len(sheets) == 1 else f"{len(sheets)} joints",
        back_href=f"{whose.here}/fasteners",
    )


def _paper(whose: Whose, sheet: JointSheet) -> PaperJoint:
    joint = sheet.joint
    where = fastening.positions(whose.job.state if whose.job else None, joint)
    torques = [one.side.words for one in sheet.torques if one.side is not None]
    return PaperJoint(
        name=f"{joint.name}: {len(joint.place_ids)} × {joint.kind} {joint.thread}",
        drawing=drawn_joint(joint, sheet.order, where) if len(where) == len(joint.place_ids) else "",
        left=joint.hand == "left",
        facts=tuple(
            (label, words)
            for label, words in (
                ("Tighten", str(sheet.tighten)),
                ("Torque", "; ".join(torques)),
                ("Order", order_words(joint, sheet.order)),
                (
                    "Loosen",
                    f"{sheet.loosen}, in reverse order: {', then '.join(one.action for one in sheet.loosening)}",
                ),
                ("Use", "always new" if joint.reuse == "always new" else ""),
                ("New with it", joint.renew or ""),
                ("Locking", joint.locking or ""),
                ("Sealing", joint.sealing or ""),
                ("Source", sheet.source),
            )
            if words
        ),
        rounds=tuple(stage.words() for stage in joint.stages),
        rows=tuple(
            _row(sheet, number, place) for number, place in enumerate(sheet.rounds[0].places, start=1)
        ),
    )


def _row(sheet: JointSheet, number: int, place_id: str) -> PlaceRow:
    joint = sheet.joint
    place, height = joint.place(place_id), joint.standing_height_mm(place_id)
    return PlaceRow(
        number=str(number) if sheet.order.sequence else "",
        place=place_id,
        length="" if place.length_mm is None else f"{place.length_mm} mm",
        height="" if height is None else f"{height} mm",
        words="; ".join(words for words in (place.special or "", place.note or "") if words),
    )
