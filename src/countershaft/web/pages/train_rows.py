"""Rows of the page of a gear: elements, members, losses, slip, steps and shifts, what fails, what sounds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from countershaft.desk.train import SELF_LOCKING, Question, TrainAnswer, element_label, kilowatts
from countershaft.mechanics.states import StateKind
from countershaft.mechanics.statics import Torques
from countershaft.model.train import Train
from countershaft.web.pages.shown import Working, decimal, exact, listed

__all__ = [
    "Cell",
    "ElementRow",
    "Rows",
    "efficiency",
    "element_rows",
    "kw_cell",
    "line_rows",
    "member_rows",
    "mesh_loss_rows",
    "newton_metres",
    "remarks",
    "role_rows",
    "shift_rows",
    "signed",
    "skipped_rows",
    "step_rows",
]

Rows = tuple[tuple[str, ...], ...]

_KW: Final = "power is torque times speed; kW = N·m · rpm · 2π/60 / 1000"


@dataclass(frozen=True, slots=True)
class Cell:
    """A figure of a table, with the working behind it where there is one."""

    text: str
    working: Working | None = None


@dataclass(frozen=True, slots=True)
class ElementRow:
    """A shift element in this gear, with the working behind its torque."""

    name: str
    does: str
    torque: str
    speed: str
    working: Working | None


def newton_metres(value: Fraction | float | None) -> str:
    """A torque in N·m; empty where there is none."""
    return "" if value is None else signed(float(value), 2)


def signed(value: float, digits: int) -> str:
    """A figure with a true minus sign, and none on a zero."""
    text = f"{value:.{digits}f}"
    return text.removeprefix("-") if float(text) == 0 else text.replace("-", "−")


def kw_cell(torque: Fraction | float, speed: Fraction | float, asked: Question) -> Cell:
    """Power in kW with its working; empty where torque and speed were not both asked."""
    if asked.torque is None or not asked.rpm:
        return Cell("")
    power = kilowatts(float(torque), float(speed), asked.rpm)
    line = f"{newton_metres(torque)} N·m · {decimal(speed)} · {asked.rpm:g} rpm · 2π/60 / 1000 = {signed(power, 3)} kW"
    return Cell(signed(power, 2), Working((line,), _KW))


def member_rows(found: TrainAnswer) -> Iterator[tuple[Cell, ...]]:
    """Speed, torque from outside, and power of every member."""
    rpm, torques = found.question.rpm, found.torques
    for member in found.state.matrix.members:
        speed = found.state.speeds.get(member)
        torque = torques.external.get(member) if torques else None
        texts = (
            member,
            "floats" if speed is None else exact(speed),
            "floats" if speed is None else decimal(speed),
            "" if speed is None or not rpm else signed(float(speed) * rpm, 0),
            newton_metres(torque),
        )
        power = Cell("") if torque is None or speed is None else kw_cell(torque, speed, found.question)
        yield (*map(Cell, texts), power)


def element_rows(train: Train, found: TrainAnswer) -> Iterator[ElementRow]:
    """What each element does in this gear, what it carries, and how fast it turns while off."""
    torques, rpm = found.torques, found.question.rpm
    open_shares = torques.indeterminate if torques else ()
    drags = {name: {drag.gear: drag for drag in role.drags} for name, role in found.roles.items()}
    for name in dict.fromkeys((*found.state.applied, *found.roles)):
        applied = name in found.state.applied or name in found.state.catching
        action = found.load.one_ways.get(name)
        drag = drags.get(name, {}).get(found.question.gear)
        speed = (
            "" if applied or drag is None else "floats" if drag.per_turn is None else decimal(drag.per_turn)
        )
        if drag is not None and drag.per_turn is not None and rpm and not applied:
            speed += f" per turn, {signed(float(drag.per_turn) * rpm, 0)} rpm"
        torque = torques.elements.get(name) if torques else None
        yield ElementRow(
            name=element_label(train, name),
            does=action.does.value if action else "applied" if applied else "off",
            torque="shared, not determined"
            if name in open_shares
            else newton_metres(torque)
            if applied
            else "",
            speed=speed,
            working=_torque_working(torques, name, torque)
            if torques and torque is not None and applied
            else None,
        )


def _torque_working(
    torques: Torques[Fraction] | Torques[float], name: str, torque: Fraction | float
) -> Working:
    """The balance of the members that the element holds: what the sets and the outside do there adds up to it."""
    lines = [f"{origin}: {_balance(at)}" for origin, at in torques.sets.items() if any(at.values())]
    return Working(
        (
            *lines,
            f"from outside: {_balance(torques.external)}",
            f"so {name} carries {newton_metres(torque)} N·m",
        ),
        "balance of torques; what acts on each set at its members",
    )


def _balance(at: Mapping[str, Fraction] | Mapping[str, float]) -> str:
    """Torques that balance; what a pair of gears leaves over is borne by the bearings of its standing axes."""
    said = ", ".join(f"{member} {newton_metres(value)}" for member, value in at.items())
    borne = newton_metres(-sum(map(float, at.values())))
    if not borne.strip("0."):
        return f"{said} N·m (sum 0)"
    return f"{said} N·m, and the bearings in the case {borne} N·m (sum 0)"


def efficiency(found: TrainAnswer) -> tuple[str, ...]:
    """What is lost, and the torque ratio with losses."""
    lossy = found.lossy
    if lossy is None:
        return ()
    if lossy.kind is StateKind.SELF_LOCKING:
        return (SELF_LOCKING, "All torques on this page are those without losses.")
    balance = lossy.load.with_losses if lossy.load else None
    if balance is None or balance.efficiency is None:
        return ("With these losses nothing can be said of this gear.",)
    words = [
        f"Of the power that enters {100 * balance.efficiency:.2f} % comes out: efficiency {balance.efficiency:.4f}."
    ]
    if balance.torque_ratio is not None:
        words.append(
            f"The torque is multiplied by {balance.torque_ratio:.4f}; "
            f"the ratio of the speeds stays {decimal(found.state.ratio or Fraction(0))}."
        )
    if found.question.rpm and found.question.torque is not None:
        words.append(f"The meshes turn {kilowatts(balance.lost, 1.0, found.question.rpm):.3f} kW into heat.")
    return tuple(words)


def mesh_loss_rows(found: TrainAnswer) -> Iterator[tuple[Cell, ...]]:
    """What rolls through every mesh in its direction, seen from its carrier, and what of it is lost."""
    balance = found.lossy.load.with_losses if found.lossy and found.lossy.load else None
    for one in balance.meshes if balance else ():
        if not one.power:
            continue
        ends = (one.mesh.first, one.mesh.second) if one.power > 0 else (one.mesh.second, one.mesh.first)
        way = " to ".join(end.removeprefix(f"{one.mesh.origin}.") for end in ends)
        yield (
            Cell(f"{one.mesh.origin}: {way}"),
            Cell(one.mesh.kind.value),
            *_share_and_kw(abs(one.power), found.question),
            *_share_and_kw(one.loss, found.question),
        )


def _share_and_kw(power: float, asked: Question) -> tuple[Cell, Cell]:
    """A power per turn of the input as a share of what enters there, and in kW."""
    share = power / abs(float(asked.input_torque))
    line = f"{signed(power, 4)} N·m per input turn / {signed(abs(float(asked.input_torque)), 2)} N·m = {share:.6f}"
    in_kw = (
        f"{power:.4f} N·m · {asked.rpm:g} rpm · 2π/60 / 1000"
        if asked.rpm and asked.torque is not None
        else ""
    )
    kw = signed(kilowatts(power, 1.0, asked.rpm), 3) if in_kw else ""
    return (
        Cell(
            f"{signed(100 * share, 2)} %",
            Working((line.replace("-", "−"),), "seen from the carrier only teeth turn"),
        ),
        Cell(kw, Working((f"{in_kw} = {kw} kW".replace("-", "−"),), _KW) if in_kw else None),
    )


def remarks(train: Train, found: TrainAnswer) -> Iterator[str]:
    """Engine braking, needless elements, and gears of one ratio."""
    if found.state.kind is StateKind.DEFINITE:
        yield (
            "The engine brakes on coast in this gear."
            if found.brakes
            else "On coast the engine does not brake in this gear."
        )
    for name in found.state.redundant:
        yield f"{element_label(train, name)} is not needed: without it nothing changes."
    doubles = [pair for pair in found.chart.doubles if found.question.gear in pair] if found.chart else []
    for pair in doubles:
        yield f"Gears {listed(list(pair))} have one ratio."


def step_rows(found: TrainAnswer) -> Rows:
    """Steps between gears, each with its working."""
    steps = found.chart.steps if found.chart else ()
    return tuple((one.gear, one.next_gear, decimal(one.step), one.working) for one in steps)


def shift_rows(train: Train, found: TrainAnswer) -> Rows:
    """Shifts between neighbours: what lets go and what takes hold."""
    return tuple(
        (
            f"{one.gear} to {one.next_gear}",
            listed([element_label(train, name) for name in one.off]) or "nothing",
            listed([element_label(train, name) for name in one.on]) or "nothing",
            "one for one" if one.one_for_one else f"{len(one.off)} for {len(one.on)}",
        )
        for one in (found.chart.shifts if found.chart else ())
        if one.neighbours
    )


def role_rows(train: Train, found: TrainAnswer) -> Rows:
    """What fails with each element: gears lost, gears tied up, and where it drags fastest."""
    rows = []
    for name, role in found.roles.items():
        fastest = role.fastest
        drag = (
            f"{decimal(abs(fastest.per_turn))} per input turn, in {fastest.gear}"
            if fastest is not None and fastest.per_turn
            else "nowhere"
        )
        rows.append(
            (element_label(train, name), listed(list(role.holds_in)), listed(list(role.lost)) or "none",
             listed(list(role.tied)) or "none", drag)
        )  # fmt: skip
    return tuple(rows)


def skipped_rows(found: TrainAnswer) -> Rows:
    """Ratios that the train could give and no gear uses."""
    return tuple(
        (
            decimal(one.ratio),
            exact(one.ratio),
            "; ".join(" + ".join(combination) for combination in one.combinations[:3]),
            f"between {one.higher or 'nothing'} and {one.lower or 'nothing'}",
        )
        for one in (found.chart.skipped if found.chart else ())
    )


def line_rows(found: TrainAnswer) -> Rows:
    """Every line that this gear can sound or count, with its working."""
    if found.lines is None:
        return ()
    return tuple(
        (one.kind.value, one.label, f"{float(one.order):.4f}", f"{one.frequency:.2f}", one.working)
        for one in found.lines.lines
        if one.frequency
    )
