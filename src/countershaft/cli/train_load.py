"""What `countershaft train` says of gears under torque and at speed."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from countershaft.cli.train_elements import duties_text, plain_duties
from countershaft.cli.train_power import losses_text, plain_mesh_losses, plain_power, power_text
from countershaft.desk.element_loads import asked_duties
from countershaft.desk.measured_speeds import speeds_said
from countershaft.desk.train import Question, TrainAnswer, answer, element_label, kilowatts
from countershaft.desk.worked_chart import worked_chart
from countershaft.mechanics.gears import GearLoad, load_gear
from countershaft.mechanics.losses import MeshLosses
from countershaft.mechanics.states import StateKind
from countershaft.mechanics.working import explain
from countershaft.model.train import Train
from countershaft.model.transmission import Transmission

__all__ = ["gear_text", "plain_load", "plain_question"]


def plain_load(train: Train, gear: str, *, loss: Fraction | None) -> dict[str, Any]:
    """Torques of a gear per unit of input torque, as JSON: what acts on the train from outside, and each element's."""
    worked = worked_chart(train)
    load = worked.drive[gear]
    torques = load.load.torques if load.load else None
    found: dict[str, Any] = {
        "torques": {member: float(value) for member, value in torques.external.items()} if torques else {},
        "element_torques": {name: float(value) for name, value in torques.elements.items()}
        if torques
        else {},
        "indeterminate": list(torques.indeterminate) if torques else [],
        "engine_brakes": worked.brakes(gear),
        "efficiency": None,
        "torque_ratio": None,
    }
    if loss is not None:
        found |= _plain_losses(load_gear(worked.network, train.chart[gear], losses=MeshLosses(loss)))
    return found


def _plain_losses(lossy: GearLoad) -> dict[str, Any]:
    """What becomes of a gear with losses, the way that its torque goes."""
    balance = lossy.load.with_losses if lossy.load else None
    return {
        "state": lossy.kind.value,
        "efficiency": balance.efficiency if balance else None,
        "torque_ratio": balance.torque_ratio if balance else None,
    }


def plain_question(transmission: Transmission, train: Train, question: Question) -> dict[str, Any]:
    """One gear under torque and at speed, as JSON with the unit in each key; with losses where they were asked."""
    found = answer(train, question)
    torques = found.torques
    plain: dict[str, Any] = {
        "torque_nm": float(question.input_torque),
        "rpm": question.rpm,
        "speeds_rpm": {member: float(speed) * question.rpm for member, speed in found.state.speeds.items()},
        "torques_nm": {member: float(value) for member, value in torques.external.items()} if torques else {},
        "element_torques_nm": {name: float(value) for name, value in torques.elements.items()}
        if torques
        else {},
    }
    plain["power"] = plain_power(found)
    if found.lossy is not None:
        plain |= _plain_losses(found.lossy)
        plain["mesh_losses"] = plain_mesh_losses(found)
    if question.torque is not None:
        plain["element_loads"] = plain_duties(asked_duties(transmission, question, found.acting))
    if found.slip is not None:
        plain["slip"] = {
            "verdict": found.slip.verdict.value,
            "expected_rpm": found.slip.expected,
            "excess_rpm": found.slip.excess,
            "candidates": {one.element: one.slip for one in found.slip.candidates},
        }
    if found.lines is not None:
        plain["lines_hz"] = [
            {
                "kind": line.kind.value,
                "of": line.label,
                "order": float(line.order),
                "frequency": line.frequency,
            }
            for line in found.lines.lines
        ]
    return plain


def gear_text(transmission: Transmission, train: Train, question: Question) -> str:
    """One gear under torque and at speed, to read at a terminal."""
    found = answer(train, question)
    said = [f"{float(question.torque):g} N·m at {train.input}" if question.torque is not None else ""]
    said.append(f"{question.rpm:g} rpm" if question.rpm else "")
    said.append(f"every mesh at {float(question.loss):g}" if question.loss is not None else "")
    unit = "" if question.torque is not None else f"; torques are per N·m at {train.input}"
    lines = [
        ", ".join([f"Gear {question.gear}", *filter(None, said)]) + unit,
        explain(found.state),
        "",
        *_members(found),
        "",
        *_elements(train, found),
    ]
    if found.state.kind is StateKind.DEFINITE:
        lines += [
            "",
            "The engine brakes on coast." if found.brakes else "The engine does not brake on coast.",
        ]
    lines += losses_text(found)
    lines += power_text(train, found)
    if question.torque is not None:
        duties = asked_duties(transmission, question, found.acting)
        lines += ["", *duties_text(train, duties)] if duties else []
    if found.slip is not None:
        lines += ["", "What the two speeds say, each read to 10 rpm"]
        lines += [f"  {words}" for words in (*speeds_said(train, found), *found.slip.working)]
    return "\n".join(lines)


def _members(found: TrainAnswer) -> list[str]:
    torques, asked = found.torques, found.question
    rows = [f"{'member':<12}{'per turn':>10}{'rpm':>10}{'N·m':>12}{'kW':>10}"]
    for member in found.state.matrix.members:
        speed = found.state.speeds.get(member)
        torque = torques.external.get(member) if torques else None
        cells = ["floats", "", "", ""]
        if speed is not None:
            cells[:2] = f"{float(speed):.4f}", f"{float(speed) * asked.rpm:.1f}" if asked.rpm else ""
        if torque is not None:
            cells[2] = f"{float(torque):.3f}"
        if speed is not None and torque is not None and asked.torque is not None and asked.rpm:
            cells[3] = f"{kilowatts(float(torque), float(speed), asked.rpm) or 0.0:.3f}"
        rows.append(f"{member:<12}{cells[0]:>10}{cells[1]:>10}{cells[2]:>12}{cells[3]:>10}".rstrip())
    return rows


def _elements(train: Train, found: TrainAnswer) -> list[str]:
    torques = found.torques
    rows = []
    for name in found.state.applied:
        action = found.load.one_ways.get(name)
        carried = torques.elements.get(name) if torques else None
        words = "shared, not determined" if torques else "carries nothing"
        if carried is not None:
            words = f"{float(carried):.3f} N·m"
        rows.append(f"{element_label(train, name)}: {words}{f', {action.does.value}' if action else ''}")
    return rows
