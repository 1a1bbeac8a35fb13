"""What `countershaft train` says of gears under torque and at speed."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from countershaft.cli.train_elements import duties_text, plain_duties
from countershaft.cli.train_power import plain_power, power_text
from countershaft.desk.element_loads import asked_duties
from countershaft.desk.train import Question, TrainAnswer, answer, element_label, kilowatts
from countershaft.mechanics.gears import GearLoad, engine_braking, load_gear
from countershaft.mechanics.losses import MeshLosses
from countershaft.mechanics.states import StateKind
from countershaft.mechanics.working import explain
from countershaft.model.train import Train
from countershaft.model.transmission import Transmission

__all__ = ["gear_text", "plain_load", "plain_question"]


def plain_load(train: Train, gear: str, *, loss: Fraction | None) -> dict[str, Any]:
    """Torques of a gear per unit of input torque, as JSON: what acts on the train from outside, and each element's."""
    network, applied = train.network(), train.chart[gear]
    load = load_gear(network, applied)
    torques = load.load.torques if load.load else None
    found: dict[str, Any] = {
        "torques": {member: float(value) for member, value in torques.external.items()} if torques else {},
        "element_torques": {name: float(value) for name, value in torques.elements.items()}
        if torques
        else {},
        "indeterminate": list(torques.indeterminate) if torques else [],
        "engine_brakes": engine_braking(network, applied),
        "efficiency": None,
        "torque_ratio": None,
    }
    if loss is not None:
        lossy = load_gear(network, applied, losses=MeshLosses(loss))
        balance = lossy.load.with_losses if lossy.load else None
        found["state"] = lossy.kind.value
        if balance is not None:
            found["efficiency"], found["torque_ratio"] = balance.efficiency, balance.torque_ratio
    return found


def plain_question(transmission: Transmission, train: Train, question: Question) -> dict[str, Any]:
    """One gear under torque and at speed, as JSON with the unit in each key."""
    found = answer(train, question)
    torques = found.load.load.torques if found.load.load else None
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
    if question.torque is not None:
        plain["element_loads"] = plain_duties(asked_duties(transmission, question, found.load))
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
        *_elements(train, found.load),
    ]
    if found.state.kind is StateKind.DEFINITE:
        lines += [
            "",
            "The engine brakes on coast." if found.brakes else "The engine does not brake on coast.",
        ]
    lines += _losses(found)
    lines += power_text(train, found)
    if question.torque is not None:
        duties = asked_duties(transmission, question, found.load)
        lines += ["", *duties_text(train, duties)] if duties else []
    if found.slip is not None:
        lines += ["", f"The two speeds: {found.slip.verdict.value}.", *found.slip.working]
        lines += [one.working for one in found.slip.candidates]
    return "\n".join(lines)


def _members(found: TrainAnswer) -> list[str]:
    torques = found.load.load.torques if found.load.load else None
    external = torques.external if torques else {}
    asked = found.question
    rows = [f"{'member':<12}{'per turn':>10}{'rpm':>10}{'N·m':>12}{'kW':>10}"]
    for member in found.state.matrix.members:
        speed, torque = found.state.speeds.get(member), external.get(member)
        cells = ["floats", "", "", ""]
        if speed is not None:
            cells[:2] = f"{float(speed):.4f}", f"{float(speed) * asked.rpm:.1f}" if asked.rpm else ""
        if torque is not None:
            cells[2] = f"{float(torque):.3f}"
        if speed is not None and torque is not None and asked.torque is not None and asked.rpm:
            cells[3] = f"{kilowatts(float(torque), float(speed), asked.rpm) or 0.0:.3f}"
        rows.append(f"{member:<12}{cells[0]:>10}{cells[1]:>10}{cells[2]:>12}{cells[3]:>10}".rstrip())
    return rows


def _elements(train: Train, load: GearLoad) -> list[str]:
    torques = load.load.torques if load.load else None
    rows = []
    for name in load.state.applied:
        action = load.one_ways.get(name)
        carried = torques.elements.get(name) if torques else None
        words = "shared, not determined" if carried is None else f"{float(carried):.3f} N·m"
        rows.append(f"{element_label(train, name)}: {words}{f', {action.does.value}' if action else ''}")
    return rows


def _losses(found: TrainAnswer) -> list[str]:
    if found.lossy is None:
        return []
    if found.lossy.kind is StateKind.SELF_LOCKING:
        return ["Self-locking: with these losses no torque gets through in this direction."]
    balance = found.lossy.load.with_losses if found.lossy.load else None
    if balance is None or balance.efficiency is None:
        return ["With these losses nothing can be said of this gear."]
    ratio = f", torque ratio {balance.torque_ratio:.4f}" if balance.torque_ratio is not None else ""
    return [f"Efficiency {balance.efficiency:.4f}{ratio}"]
