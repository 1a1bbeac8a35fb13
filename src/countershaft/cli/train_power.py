"""Where the power of a gear flows, as `countershaft train` says it."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from countershaft.desk.train import SELF_LOCKING, TrainAnswer, element_label, kilowatts
from countershaft.mechanics.load import MeshLoad
from countershaft.mechanics.powerflow import PowerFlow
from countershaft.mechanics.states import StateKind
from countershaft.model.train import Train

__all__ = ["losses_text", "plain_mesh_losses", "plain_power", "power_text"]


def plain_power(found: TrainAnswer) -> dict[str, Any] | None:
    """The power of a gear as JSON: shares of what enters, and kW where torque and speed were asked."""
    flow = found.flow
    if flow is None:
        return None

    def amount(power: Fraction) -> dict[str, float]:
        share = {"share": float(power / flow.entering) if flow.entering else 0.0}
        kw = _kw(found, power)
        return share if kw is None else {**share, "kw": kw}

    return {
        "elements": {name: amount(power) for name, power in flow.elements.items()},
        "sets": {
            part.origin: {
                "into": {member: amount(power) for member, power in part.into.items()},
                "rolling": {member: amount(power) for member, power in part.rolling.items()},
                "meshes": {name: amount(power) for name, power in part.meshes.items()},
            }
            for part in flow.sets
        },
        "circulating_share": float(flow.circulating),
        "loops": [{"through": list(loop.through), **amount(loop.power)} for loop in flow.loops],
        "planets": [
            {
                "planet": planet.name,
                "set": planet.origin,
                "against_carrier": float(planet.against_carrier),
                "against_carrier_exact": str(planet.against_carrier),
                "against_carrier_rpm": float(planet.against_carrier) * found.question.rpm,
                "speed": float(planet.speed),
                "teeth_assumed": planet.assumed,
            }
            for planet in flow.planets
        ],
        "at_rest": list(flow.at_rest),
        "idle": list(flow.idle),
        "floating": list(flow.floating),
        "indeterminate": list(flow.indeterminate),
    }


def power_text(train: Train, found: TrainAnswer) -> list[str]:
    """The power of a gear, to read at a terminal."""
    flow = found.flow
    if flow is None:
        return []
    rows = [*_element_rows(train, flow), *_set_rows(flow)]
    width = max((len(words) for words, _ in rows), default=0) + 2
    without = "" if found.lossy is None else ", without losses"
    lines = ["", f"Power, and its share of what enters{without}"]
    lines += [f"  {words:<{width}}{_amount(found, flow, power)}" for words, power in rows]
    if flow.loops:
        lines.append(f"{100 * float(flow.circulating):.1f} % of it goes round:")
        lines += [
            f"  through {', '.join(one.through)}  {_amount(found, flow, one.power)}" for one in flow.loops
        ]
    else:
        lines.append("No power goes round.")
    lines += _planets(found, flow)
    for label, names in (
        ("Still", flow.at_rest), ("Idle", flow.idle), ("Floating", flow.floating),
        ("Not divided by statics", flow.indeterminate),
    ):  # fmt: skip
        if names:
            lines.append(f"{label}: {', '.join(names)}")
    return lines


def plain_mesh_losses(found: TrainAnswer) -> list[dict[str, Any]]:
    """What rolls through every mesh and what of it is lost, as JSON; empty where no torque gets through."""
    entering, asked = abs(float(found.question.input_torque)), found.question

    def row(one: MeshLoad) -> dict[str, Any]:
        plain = {
            "set": one.mesh.origin,
            "first": one.mesh.first,
            "second": one.mesh.second,
            "kind": one.mesh.kind.value,
            "rolling_share": one.power / entering,
            "lost_share": one.loss / entering,
        }
        if asked.torque is not None and asked.rpm:
            plain["lost_kw"] = kilowatts(one.loss, 1.0, asked.rpm)
        return plain

    return [row(one) for one in _mesh_loads(found)]


def losses_text(found: TrainAnswer) -> list[str]:
    """What is lost, mesh by mesh, to read at a terminal; nothing where no losses were asked for."""
    if found.lossy is None:
        return []
    if found.lossy.kind is StateKind.SELF_LOCKING:
        return [f"{SELF_LOCKING} The torques are those without losses."]
    balance = found.lossy.load.with_losses if found.lossy.load else None
    if balance is None or balance.efficiency is None:
        return ["With these losses nothing can be said of this gear."]
    ratio = f", torque ratio {balance.torque_ratio:.4f}" if balance.torque_ratio is not None else ""
    lines = [
        f"Efficiency {balance.efficiency:.4f}{ratio}",
        "",
        "Lost in the meshes, and its share of what enters",
    ]
    entering, asked = abs(float(found.question.input_torque)), found.question
    for one in filter(lambda each: each.power, balance.meshes):
        kw = (
            f"{kilowatts(one.loss, 1.0, asked.rpm):>10.3f} kW"
            if asked.torque is not None and asked.rpm
            else ""
        )
        lines.append(f"  {one.mesh.id:<32}{100 * one.loss / entering:>7.2f} %{kw}")
    return lines


def _mesh_loads(found: TrainAnswer) -> tuple[MeshLoad, ...]:
    balance = found.lossy.load.with_losses if found.lossy and found.lossy.load else None
    return balance.meshes if balance else ()


def _element_rows(train: Train, flow: PowerFlow) -> Iterator[tuple[str, Fraction]]:
    """Elements that pass power on, each with the way that it goes."""
    for name, power in flow.elements.items():
        members = train.network().held(name).members
        if len(members) > 1 and power:
            first, second = members if power > 0 else reversed(members)
            yield f"{element_label(train, name)}: {first} to {second}", abs(power)


def _set_rows(flow: PowerFlow) -> Iterator[tuple[str, Fraction]]:
    """What members give to sets and take from them, and what rolls through the teeth."""
    for part in flow.sets:
        for member, power in part.into.items():
            if power:
                way = f"gives {part.origin}" if power > 0 else f"takes from {part.origin}"
                yield f"{member} {way}", abs(power)
        for name, power in part.meshes.items():
            if power:
                yield f"rolls through {name}", abs(power)


def _planets(found: TrainAnswer, flow: PowerFlow) -> list[str]:
    rpm = found.question.rpm
    if not flow.planets:
        return []
    lines = ["", "Planets against their carrier, per input turn"]
    for planet in flow.planets:
        turning = f", {float(planet.against_carrier) * rpm:.0f} rpm" if rpm else ""
        assumed = " (teeth taken as half of ring less sun)" if planet.assumed else ""
        lines.append(f"  {planet.name}: {float(planet.against_carrier):.4f}{turning}{assumed}")
    return lines


def _kw(found: TrainAnswer, power: Fraction) -> float | None:
    asked = found.question
    return None if asked.torque is None or not asked.rpm else kilowatts(float(power), 1.0, asked.rpm)


def _amount(found: TrainAnswer, flow: PowerFlow, power: Fraction) -> str:
    kw = _kw(found, power)
    share = f"{100 * float(power / flow.entering):.1f} %" if flow.entering else ""
    return f"{share:>8}" + ("" if kw is None else f"{kw:>10.2f} kW")
