"""One gear of a train: what turns how fast, what carries how much, what would slip, and what sounds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from urllib.parse import urlencode

from countershaft.desk.train import TrainAnswer, kilowatts
from countershaft.mechanics.gears import GearLoad
from countershaft.mechanics.states import StateKind
from countershaft.mechanics.working import explain, show_working
from countershaft.model.train import Train
from countershaft.web.pages.shown import Working, decimal, exact, listed

__all__ = ["GearLink", "TrainPage", "train_page"]

Rows = tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class GearLink:
    """A gear to pick."""

    gear: str
    ratio: str
    href: str
    now: bool


@dataclass(frozen=True, slots=True)
class ElementRow:
    """A shift element in this gear, with the working behind its torque."""

    name: str
    does: str
    torque: str
    speed: str
    working: Working | None


@dataclass(frozen=True, slots=True)
class TrainPage:
    """A gear of a train, answered."""

    title: str
    file_href: str
    action: str
    gears: tuple[GearLink, ...]
    gear: str
    values: dict[str, str]
    errors: dict[str, str]
    heading: str
    result: str
    working: Working | None
    members: Rows
    elements: tuple[ElementRow, ...]
    efficiency: tuple[str, ...]
    meshes: Rows
    remarks: tuple[str, ...]
    slip: tuple[str, ...]
    slip_working: Working | None
    steps: Rows
    spread: str
    shifts: Rows
    roles: Rows
    skipped: Rows
    lines: Rows
    silent: tuple[str, ...]


def train_page(
    train: Train,
    digest: str,
    title: str,
    found: TrainAnswer | None,
    values: dict[str, str],
    errors: dict[str, str],
) -> TrainPage:
    """A gear as its template reads it; without an answer only the form and its faults."""
    gear = values["gear"]
    kept = {name: text for name, text in values.items() if text and name != "gear"}
    states = train.states()
    here = f"/files/{digest}/train"
    gears = tuple(
        GearLink(
            name,
            f"{decimal(state.ratio)}" if state.ratio is not None else state.kind.value,
            f"{here}?{urlencode({'gear': name, **kept})}",
            name == gear,
        )
        for name, state in states.items()
    )
    work = show_working(found.state) if found else None
    return TrainPage(
        title=title,
        file_href=f"/files/{digest}",
        action=here,
        gears=gears,
        gear=gear,
        values=values,
        errors=errors,
        heading=_heading(found, gear),
        result=explain(found.state) if found else "",
        working=Working((*work.constraints, *work.speeds), "tooth counts of the file") if work else None,
        members=tuple(_members(found)) if found else (),
        elements=tuple(_elements(train, found)) if found else (),
        efficiency=_efficiency(found) if found else (),
        meshes=tuple(_meshes(found)) if found else (),
        remarks=tuple(_remarks(train, found)) if found else (),
        slip=_slip(train, found) if found else (),
        slip_working=Working(found.slip.working, "both speeds read to 10 rpm")
        if found and found.slip
        else None,
        steps=_steps(found) if found else (),
        spread=f"{decimal(found.chart.spread)}" if found and found.chart.spread is not None else "",
        shifts=_shifts(train, found) if found else (),
        roles=_roles(train, found) if found else (),
        skipped=_skipped(found) if found else (),
        lines=_lines(found) if found else (),
        silent=found.lines.silent if found and found.lines else (),
    )


def _heading(found: TrainAnswer | None, gear: str) -> str:
    if found is None:
        return f"Gear {gear}"
    if found.state.ratio is None:
        return f"Gear {gear}: {found.state.kind.value}"
    return f"Gear {gear}: {decimal(found.state.ratio)} to 1"


def _newton_metres(value: Fraction | float | None) -> str:
    return "" if value is None else _signed(float(value), 2)


def _signed(value: float, digits: int) -> str:
    """A figure with a true minus sign, and none on a zero."""
    text = f"{value:.{digits}f}"
    return text.removeprefix("-") if float(text) == 0 else text.replace("-", "−")


def _members(found: TrainAnswer) -> Iterator[tuple[str, ...]]:
    """Speed, torque from outside, and power of every member."""
    rpm, load = found.question.rpm, found.load.load
    external = load.torques.external if load and load.torques else {}
    for member in found.state.matrix.members:
        speed = found.state.speeds.get(member)
        torque = external.get(member)
        power = (
            kilowatts(float(torque), float(speed), rpm)
            if torque is not None and speed is not None and rpm
            else None
        )
        yield (
            member,
            "floats" if speed is None else exact(speed),
            "floats" if speed is None else decimal(speed),
            "" if speed is None or not rpm else _signed(float(speed) * rpm, 0),
            _newton_metres(torque),
            "" if power is None else _signed(power, 2),
        )


def _elements(train: Train, found: TrainAnswer) -> Iterator[ElementRow]:
    """What each element does in this gear, what it carries, and how fast it turns while off."""
    load, rpm = found.load.load, found.question.rpm
    carried = load.torques.elements if load and load.torques else {}
    open_shares = load.torques.indeterminate if load and load.torques else ()
    drags = {name: {drag.gear: drag for drag in role.drags} for name, role in found.roles.items()}
    for name in dict.fromkeys((*found.state.applied, *found.roles)):
        applied = name in found.state.applied or name in found.state.catching
        action = found.load.one_ways.get(name)
        drag = drags.get(name, {}).get(found.question.gear)
        speed = (
            "" if applied or drag is None else "floats" if drag.per_turn is None else decimal(drag.per_turn)
        )
        if drag is not None and drag.per_turn is not None and rpm and not applied:
            speed += f" per turn, {_signed(float(drag.per_turn) * rpm, 0)} rpm"
        torque = carried.get(name)
        yield ElementRow(
            name=train.element_name(name),
            does=action.does.value if action else "applied" if applied else "off",
            torque="shared, not determined"
            if name in open_shares
            else _newton_metres(torque)
            if applied
            else "",
            speed=speed,
            working=_torque_working(found.load, name, torque) if torque is not None and applied else None,
        )


def _torque_working(load: GearLoad, name: str, torque: Fraction) -> Working | None:
    """The balance of the members that the element holds: what the sets and the outside do there adds up to it."""
    if load.load is None or load.load.torques is None:
        return None
    sets = load.load.torques.sets
    lines = [
        f"{set_id}: "
        + ", ".join(f"{member} {_newton_metres(value)}" for member, value in at.items())
        + " N·m (sum 0)"
        for set_id, at in sets.items()
        if any(at.values())
    ]
    given = ", ".join(
        f"{member} {_newton_metres(value)} N·m" for member, value in load.load.torques.external.items()
    )
    return Working(
        (*lines, f"from outside: {given} (sum 0)", f"so {name} carries {_newton_metres(torque)} N·m"),
        "balance of torques; what acts on each set at its members",
    )


def _efficiency(found: TrainAnswer) -> tuple[str, ...]:
    """What is lost, and the torque ratio with losses."""
    lossy = found.lossy
    if lossy is None:
        return ()
    if lossy.kind is StateKind.SELF_LOCKING:
        return ("Self-locking: with these losses no torque gets through in this direction.",)
    balance = lossy.load.with_losses if lossy.load else None
    if balance is None or balance.efficiency is None:
        return ("With these losses nothing can be said of this gear.",)
    words = [f"Efficiency {balance.efficiency:.4f}"]
    if balance.torque_ratio is not None:
        words.append(
            f"torque ratio {balance.torque_ratio:.4f} (speeds {decimal(found.state.ratio or Fraction(0))})"
        )
    if found.question.rpm:
        words.append(f"{kilowatts(balance.lost, 1.0, found.question.rpm):.3f} kW lost in the meshes")
    return tuple(words)


def _meshes(found: TrainAnswer) -> Iterator[tuple[str, ...]]:
    """Rolling power and loss of every mesh, in its carrier's frame."""
    balance = found.lossy.load.with_losses if found.lossy and found.lossy.load else None
    rpm = found.question.rpm or 60.0
    for one in balance.meshes if balance else ():
        yield (
            f"{one.mesh.origin}: {one.mesh.first} – {one.mesh.second}",
            one.mesh.kind.value,
            _signed(kilowatts(one.power, 1.0, rpm), 3),
            f"{kilowatts(one.loss, 1.0, rpm):.4f}",
        )


def _remarks(train: Train, found: TrainAnswer) -> Iterator[str]:
    if found.state.kind is StateKind.DEFINITE:
        yield (
            "The engine brakes on coast in this gear."
            if found.brakes
            else "On coast the engine does not brake in this gear."
        )
    for name in found.state.redundant:
        yield f"{train.element_name(name)} is not needed: without it nothing changes."
    doubles = [pair for pair in found.chart.doubles if found.question.gear in pair]
    for pair in doubles:
        yield f"Gears {listed(list(pair))} have one ratio."


def _slip(train: Train, found: TrainAnswer) -> tuple[str, ...]:
    """What a measured pair of speeds says."""
    if found.slip is None:
        return ()
    words = [f"{found.slip.verdict.value[:1].upper()}{found.slip.verdict.value[1:]}."]
    if found.slip.expected is not None and found.slip.excess is not None:
        words.append(
            f"The output asks for {found.slip.expected:.0f} rpm at the input; "
            f"{abs(found.slip.excess):.0f} rpm {'more' if found.slip.excess > 0 else 'less'} were measured."
        )
    if found.slip.fits and found.question.gear not in found.slip.fits:
        words.append(f"The pair fits {listed(list(found.slip.fits))}.")
    words += [
        f"{train.element_name(one.element)} alone would explain it, "
        f"slipping {abs(one.slip):.0f} ± {one.half_width:.0f} rpm"
        + (" in its free direction, which is no fault." if one.overruns else ".")
        for one in found.slip.candidates
    ]
    return tuple(words)


def _steps(found: TrainAnswer) -> Rows:
    return tuple((one.gear, one.next_gear, decimal(one.step), one.working) for one in found.chart.steps)


def _shifts(train: Train, found: TrainAnswer) -> Rows:
    """Shifts between neighbours: what lets go and what takes hold."""
    return tuple(
        (
            f"{one.gear} to {one.next_gear}",
            listed([train.element_name(name) for name in one.off]) or "nothing",
            listed([train.element_name(name) for name in one.on]) or "nothing",
            "one for one" if one.one_for_one else f"{len(one.off)} for {len(one.on)}",
        )
        for one in found.chart.shifts
        if one.neighbours
    )


def _roles(train: Train, found: TrainAnswer) -> Rows:
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
            (train.element_name(name), listed(list(role.holds_in)), listed(list(role.lost)) or "none",
             listed(list(role.tied)) or "none", drag)
        )  # fmt: skip
    return tuple(rows)


def _skipped(found: TrainAnswer) -> Rows:
    """Ratios that the train could give and no gear uses."""
    return tuple(
        (
            decimal(one.ratio),
            exact(one.ratio),
            "; ".join(" + ".join(combination) for combination in one.combinations[:3]),
            f"between {one.higher or 'nothing'} and {one.lower or 'nothing'}",
        )
        for one in found.chart.skipped
    )


def _lines(found: TrainAnswer) -> Rows:
    """Every line that this gear can sound or count, with its working."""
    if found.lines is None:
        return ()
    return tuple(
        (one.kind.value, one.label, f"{float(one.order):.4f}", f"{one.frequency:.2f}", one.working)
        for one in found.lines.lines
        if one.frequency
    )
