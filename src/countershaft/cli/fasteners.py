"""`countershaft fasteners FILE` and `countershaft identify FILE LINE...`: bolts of a unit, checked and told apart."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Final

import click

from countershaft.cli.define import text_of
from countershaft.cli.faults import as_json as plain
from countershaft.cli.faults import faults_json
from countershaft.definitions.reader import read_transmission
from countershaft.desk.fasteners import JointSheet, Torque, UnitSheet, joint_sheet, tags_in_short, unit_sheet
from countershaft.desk.loose_bolts import Pile, sort_pile
from countershaft.desk.place_names import places_words
from countershaft.errors import CountershaftError
from countershaft.mechanics.bolt_check import Answer
from countershaft.model.transmission import Transmission
from countershaft.planning.mixup import MixUps, Pairing

__all__ = ["fasteners", "identify", "plain_answer"]

#: Unit of an answer to the one that is printed: the ending of its keys, and its size in SI.
UNITS: Final = {
    "m": ("_mm", 1e-3),
    "N": ("_n", 1.0),
    "N/m": ("_n_per_mm", 1e3),
    "Pa": ("_mpa", 1e6),
    "-": ("", 1.0),
}


@click.command()
@click.argument("file")
@click.option("--joint", "joint_id", default=None, help="One joint in full: every place, rounds, mix-ups.")
@click.option("--json", "as_json", is_flag=True, help="Print plain JSON.")
@click.pass_context
def fasteners(ctx: click.Context, file: str, joint_id: str | None, as_json: bool) -> None:
    """Check every joint of a transmission FILE: torque, order, engagement, preload, and what could be mixed up.

    FILE is a path, or the name of a file that ships with the program, such as demo-b.
    What the file does not say stays unknown, with the reason.
    """
    try:
        unit = _unit(file)
        if joint_id is not None:
            sheet = joint_sheet(unit, joint_id)
            said = plain(_plain_joint(sheet)) if as_json else "\n".join(_joint_text(sheet))
        else:
            whole = unit_sheet(unit)
            said = plain(_plain_unit(unit, whole)) if as_json else "\n".join(_unit_text(unit, whole))
    except CountershaftError as error:
        if not as_json:
            raise
        click.echo(faults_json(error, file))
        ctx.exit(1)
    click.echo(said)


@click.command()
@click.argument("file")
@click.argument("lines", nargs=-1, required=True, metavar="LINE...")
@click.option(
    "--joint", "joints", multiple=True, help="Only the places of this joint; may be given more than once."
)
@click.option("--whole", is_flag=True, help="The pile is all there is: say what is missing.")
@click.option("--json", "as_json", is_flag=True, help="Print plain JSON.")
@click.pass_context
def identify(
    ctx: click.Context, file: str, lines: Sequence[str], joints: Sequence[str], whole: bool, as_json: bool
) -> None:
    """Put loose bolts to their places in a transmission FILE, by what was measured.

    A LINE is one sort of bolt: "25 6 1.0" is length, diameter and pitch in mm; "4x M6 25" four of them with their
    thread; "1.5in 1/4-20" in inches.  A dash stands for what was not measured; "left", "class 8.8" or the kind of head
    may follow.
    """
    try:
        pile = sort_pile(_unit(file), "\n".join(lines), joints=joints, whole=whole)
    except CountershaftError as error:
        if not as_json:
            raise
        click.echo(faults_json(error, file))
        ctx.exit(1)
    click.echo(
        plain(_plain_pile(pile)) if as_json else "\n".join(_pile_text(pile)),
        err=bool(pile.faults) and not as_json,
    )
    if pile.faults:
        ctx.exit(1)


def plain_answer(answer: Answer) -> dict[str, Any]:
    """One line of a check, its unit in the key."""
    ending, size = UNITS[answer.unit]
    return {
        "name": answer.name,
        "verdict": answer.verdict,
        f"least{ending}": None if answer.least is None else answer.least / size,
        f"most{ending}": None if answer.most is None else answer.most / size,
        "words": answer.words,
    }


def _unit(file: str) -> Transmission:
    text, name = text_of(file)
    return read_transmission(text, name)


# --- JSON -------------------------------------------------------------------------------------------------------


def _plain_unit(unit: Transmission, sheet: UnitSheet) -> dict[str, Any]:
    return {
        "name": unit.name,
        "joints": [_plain_joint(one) for one in sheet.joints],
        "mix_ups": _plain_mix(sheet.mix) if sheet.mix else None,
    }


def _plain_joint(sheet: JointSheet) -> dict[str, Any]:
    joint = sheet.joint
    return {
        "id": joint.id,
        "name": joint.name,
        "kind": joint.kind,
        "count": len(joint.place_ids),
        "thread": joint.thread,
        "hand": joint.hand,
        "tighten": sheet.tighten.word,
        "loosen": sheet.loosen.word,
        "rounds": [_plain_torque(one) for one in sheet.torques],
        "order": {
            "sequence": None if sheet.order.sequence is None else list(sheet.order.sequence),
            "pattern": sheet.order.pattern,
            "reason": sheet.order.reason,
        },
        "loosening": None if sheet.order.loosening is None else list(sheet.order.loosening),
        "standing_heights": [group.words for group in sheet.heights],
        "verdict": sheet.worst,
        "unknown": list(sheet.unknown),
        "checks": [
            {
                "places": list(one.places),
                "length_mm": None if one.length_mm is None else float(one.length_mm),
                "grip_mm": None if one.grip_mm is None else float(one.grip_mm),
                "standing_height_mm": None if one.height_mm is None else float(one.height_mm),
                "verdict": one.worst,
                "answers": [plain_answer(answer) for answer in one.answers],
            }
            for one in sheet.checks
        ],
        "mix_ups": _plain_mix(sheet.inside) if sheet.inside else None,
        "mix_ups_with_others": [_plain_pairing(one) for one in sheet.others],
        "source": sheet.source,
    }


def _plain_torque(one: Torque) -> dict[str, Any]:
    if one.side is None:
        return {"words": one.words}
    return {
        "words": one.words,
        "torque_nm": one.side.newton_metre,
        "torque_lbf_ft": one.side.pound_foot,
        "torque_lbf_in": one.side.pound_inch,
    }


def _plain_mix(mix: MixUps) -> dict[str, Any]:
    return {
        "words": mix.words,
        "tags": [list(tag) for tag in mix.tags],
        "proven_fewest": mix.proven,
        "dangerous": [_plain_pairing(one) for one in mix.dangerous],
    }


def _plain_pairing(one: Pairing) -> dict[str, Any]:
    return {
        "bolts": list(one.bolts),
        "holes": list(one.holes),
        "result": one.result,
        "by_mm": None if one.by_mm is None else float(one.by_mm),
        "how": one.how,
    }


def _plain_pile(pile: Pile) -> Any:
    if pile.faults:
        return [
            {"file": "", "line": one.line, "column": 1, "key": "", "message": one.words, "got": one.text}
            for one in pile.faults
        ]
    return {
        "lines": [
            {
                "line": one.line,
                "typed": one.text,
                "measured": one.said,
                "count": one.count,
                "placed": one.placed,
                "places": list(one.equal),
                "could_also_be": [list(names) for names in one.also],
                "left_over": list(one.left),
            }
            for one in pile.lines
        ],
        "missing": list(pile.missing),
    }


# --- text -------------------------------------------------------------------------------------------------------


def _unit_text(unit: Transmission, sheet: UnitSheet) -> Iterator[str]:
    if not sheet.joints:
        yield f"{unit.name} has no fasteners in its file."
        return
    rows = [
        (
            one.joint.id,
            one.joint.name,
            f"{len(one.joint.place_ids)} × {one.joint.kind} {one.joint.thread}",
            "LEFT" if one.joint.hand == "left" else "",
            next((each.side.words for each in reversed(one.torques) if each.side), one.torques[-1].words),
            one.order.pattern,
            one.worst,
        )
        for one in sheet.joints
    ]
    yield from _columns([("joint", "name", "fasteners", "hand", "last torque", "order", "check"), *rows])
    if sheet.mix:
        yield ""
        yield tags_in_short(sheet.mix)
        for pairing in sheet.mix.dangerous:
            yield _pairing_text(pairing)


def _joint_text(sheet: JointSheet) -> Iterator[str]:
    joint = sheet.joint
    yield f"{joint.id} {joint.name}: {len(joint.place_ids)} × {joint.kind} {joint.thread}"
    yield f"{sheet.tighten}; {sheet.loosen}"
    for number, one in enumerate(sheet.torques, start=1):
        yield f"round {number}: {one.side.words if one.side else one.words}"
    known = ", ".join(sheet.order.sequence or ()) or joint.order_words or "not known"
    yield f"order: {known} ({sheet.order.reason})"
    if sheet.order.loosening:
        eased = ", then ".join(one.action for one in sheet.loosening)
        yield f"loosen in reverse, {eased}: {', '.join(sheet.order.loosening)}"
    yield from (group.words for group in sheet.heights)
    for check in sheet.checks:
        yield ""
        yield f"{', '.join(check.places)}:"
        for answer in check.answers:
            yield f"  {answer.name:<24}{answer.verdict:<9}{answer.words.removeprefix('unknown: ')}"
    yield ""
    yield (
        f"mix-ups inside: {sheet.inside.words}"
        if sheet.inside
        else "no bolts that could be mixed up with others"
    )
    for pairing in sheet.others:
        yield _pairing_text(pairing)
    yield f"source: {sheet.source}"


def _pairing_text(one: Pairing) -> str:
    bolts, holes = places_words(one.bolts, most=30), places_words(one.holes, most=30)
    return f"  bolt of {bolts} in {holes}: {one.result}, {one.how}"


def _pile_text(pile: Pile) -> Iterator[str]:
    for fault in pile.faults:
        yield f"line {fault.line}: {fault.text!r}: {fault.words}"
    for one in pile.lines:
        goes = (
            f"{one.placed} of {one.count} to {places_words(one.equal, most=30)}" if one.placed else "nowhere"
        )
        also = "".join(f"; or {places_words(names, most=30)}" for names in one.also)
        yield f"{one.text}: {one.said}: {goes}{also}{''.join(f'. {words}' for words in one.left)}"
    for words in pile.missing:
        yield f"missing: {words}"


def _columns(rows: Sequence[Sequence[str]]) -> list[str]:
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    return [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows
    ]
