"""Where the power of a gear flows, as its page shows it: through elements, sets and meshes, round, and to planets."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from countershaft.desk.train import TrainAnswer, element_label, kilowatts
from countershaft.mechanics.powerflow import PowerFlow
from countershaft.model.train import Train
from countershaft.web.pages.shown import Working, decimal, exact, listed
from countershaft.web.pages.train_rows import Cell, newton_metres, signed

__all__ = ["PowerShown", "circulation", "power_shown", "standing"]

_POWER: Final = "power is torque times speed; kW = N·m per input turn · rpm · 2π/60 / 1000"
_ROLLING: Final = "seen from its carrier only the teeth turn: torque times speed against the carrier"

Cells = tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class PowerShown:
    """The power of a gear.  `round` is what circulates, with its working."""

    round: Cell
    standing: tuple[str, ...]
    elements: tuple[Cells, ...]
    sets: tuple[Cells, ...]
    meshes: tuple[Cells, ...]
    planets: tuple[Cells, ...]


def power_shown(train: Train, found: TrainAnswer) -> PowerShown | None:
    """The power of a gear as the template reads it; None where nothing holds, so that none flows."""
    flow = found.flow
    if flow is None:
        return None
    return PowerShown(
        round=Cell(circulation(flow), _loop_working(flow)),
        standing=standing(flow),
        elements=tuple(_elements(train, found, flow)),
        sets=tuple(_sets(found, flow)),
        meshes=tuple(_meshes(found, flow)),
        planets=tuple(_planets(found, flow)),
    )


def circulation(flow: PowerFlow) -> str:
    """What goes round, in one sentence."""
    if not flow.loops:
        return "No power goes round: all of it runs from where it enters to where it leaves."
    ways = listed([" to ".join((*loop.through, loop.through[0])) for loop in flow.loops])
    return f"{100 * float(flow.circulating):.1f} % of the power that enters goes round, through {ways}."


def standing(flow: PowerFlow) -> tuple[str, ...]:
    """Members that stand, idle or float, and what statics leaves open."""
    words = {
        "Stands still": flow.at_rest,
        "Turns and carries nothing": flow.idle,
        "Floats, its speed is open": flow.floating,
        "Shares a load that statics does not divide": flow.indeterminate,
        "Passes no power": tuple(part.origin for part in flow.sets if not any(part.into.values())),
        "Turns as one, so that nothing rolls": tuple(
            part.origin for part in flow.sets if any(part.into.values()) and not any(part.rolling.values())
        ),
    }
    return tuple(f"{label}: {listed(names)}." for label, names in words.items() if names)


def _loop_working(flow: PowerFlow) -> Working | None:
    if not flow.loops:
        return None
    lines = [
        f"{' – '.join(loop.through)}: {signed(float(loop.power), 4)} N·m per input turn is the least on this circle"
        for loop in flow.loops
    ]
    total = float(sum((loop.power for loop in flow.loops), Fraction(0)))
    lines.append(
        f"{signed(total, 4)} / {signed(float(flow.entering), 4)} that enters = {float(flow.circulating):.6f}"
    )
    return Working(tuple(lines), "circles of power, each taken away before the next is looked for")


def _amounts(found: TrainAnswer, flow: PowerFlow, power: Fraction, line: str, source: str) -> Cells:
    """A power as a share of what enters, and in kW where torque and speed were asked; both with their working."""
    share = power / flow.entering if flow.entering else Fraction(0)
    lines = (
        line,
        f"{signed(float(power), 4)} / {signed(float(flow.entering), 4)} that enters = {decimal(share, 6)}",
    )
    shown = Cell(f"{signed(100 * float(share), 1)} %", Working(lines, source))
    asked = found.question
    if asked.torque is None or not asked.rpm:
        return shown, Cell("")
    kw = signed(kilowatts(float(power), 1.0, asked.rpm), 3)
    text = f"{signed(float(power), 4)} N·m · {asked.rpm:g} rpm · 2π/60 / 1000 = {kw} kW"
    return shown, Cell(kw, Working((line, text), _POWER))


def _elements(train: Train, found: TrainAnswer, flow: PowerFlow) -> Iterator[Cells]:
    torques = found.load.load.torques if found.load.load else None
    for name, power in flow.elements.items():
        members = train.network().held(name).members
        if len(members) == 1:
            yield Cell(element_label(train, name)), Cell("stands still, passes none"), Cell(""), Cell("")
            continue
        first, second = members if power >= 0 else reversed(members)
        torque = torques.elements[name] if torques else Fraction(0)
        speed = found.state.speeds.get(members[0], Fraction(0))
        line = f"{newton_metres(torque)} N·m · {decimal(speed)} per input turn = {signed(float(power), 4)}"
        way = f"{first} to {second}" if power else f"{first} and {second}, no power"
        yield Cell(element_label(train, name)), Cell(way), *_amounts(found, flow, abs(power), line, _POWER)


def _sets(found: TrainAnswer, flow: PowerFlow) -> Iterator[Cells]:
    """What each member gives to its set, or takes from it; members that pass nothing are left out."""
    torques = found.load.load.torques if found.load.load else None
    for part in flow.sets:
        for member, power in part.into.items():
            if not power:
                continue
            torque = torques.sets[part.origin][member] if torques else Fraction(0)
            speed = found.state.speeds.get(member, Fraction(0))
            line = (
                f"{newton_metres(torque)} N·m · {decimal(speed)} per input turn = {signed(float(power), 4)}"
            )
            way = "gives to it" if power > 0 else "takes from it"
            yield Cell(part.origin), Cell(f"{member} {way}"), *_amounts(found, flow, abs(power), line, _POWER)


def _meshes(found: TrainAnswer, flow: PowerFlow) -> Iterator[Cells]:
    """What rolls through each mesh, in its direction; meshes through which nothing rolls are left out."""
    torques = found.load.load.torques if found.load.load else None
    passed = {name: power for part in flow.sets for name, power in part.meshes.items()}
    speeds, zero = found.state.speeds, Fraction(0)
    for star, at in torques.stars if torques else ():
        carrier = zero if star.carrier is None else speeds.get(star.carrier, zero)
        for port in star.ports:
            against = speeds.get(port.member, zero) - carrier
            for mesh in port.meshes:
                power = passed[mesh.id]
                if not power:
                    continue
                first, second = (mesh.first, mesh.second) if power >= 0 else (mesh.second, mesh.first)
                line = (
                    f"{port.member}: {newton_metres(at[port.member])} N·m · {decimal(against)} against "
                    f"{star.carrier or 'the case'} = {signed(float(power), 4)}"
                )
                yield (
                    Cell(mesh.origin),
                    Cell(f"{first} to {second} ({mesh.kind.value})"),
                    *_amounts(found, flow, abs(power), line, _ROLLING),
                )


def _planets(found: TrainAnswer, flow: PowerFlow) -> Iterator[Cells]:
    rpm = found.question.rpm
    for planet in flow.planets:
        said = "tooth counts of the file"
        if planet.assumed:
            said = "the planet's teeth are not in the file: taken as half of ring less sun"
        against = planet.against_carrier
        turning = f"{decimal(against)} · {rpm:g} rpm = {signed(float(against) * rpm, 1)} rpm"
        yield (
            Cell(planet.name),
            Cell(exact(against)),
            Cell(decimal(against), Working((planet.working,), said)),
            Cell(signed(float(against) * rpm, 0), Working((turning,), said)) if rpm else Cell(""),
            Cell(decimal(planet.speed)),
        )
