"""What a speed ladder says in words: how its lines are to be read, which gears have none, and the whole of it."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from countershaft.figures.ladder_axes import Axes
from countershaft.figures.ladder_scale import per_turn, revolutions
from countershaft.figures.train_words import listed, outcome
from countershaft.mechanics.constraints import RowKind
from countershaft.mechanics.network import Network
from countershaft.mechanics.states import StateKind, TrainState

__all__ = ["caption", "describe", "held_members", "manner", "ratio_text", "speeds_in_words"]


def held_members(state: TrainState) -> frozenset[str]:
    """Members that the case holds: grounded ones, and those of a brake or a one-way clutch that holds."""
    if state.kind == StateKind.TIE_UP:
        return frozenset()
    return frozenset(
        row.members[0]
        for row in state.matrix.rows
        if row.kind in (RowKind.ELEMENT, RowKind.GROUND) and len(row.members) == 1
    )


def ratio_text(state: TrainState) -> str:
    """The ratio as it stands beside a line."""
    return f"{float(state.ratio):.3f}".replace("-", "−") if state.ratio is not None else ""


def manner(axes: Axes) -> str:
    """How the lines of the gears are to be read."""
    if axes.all_on_one:
        return (
            "Each gear is a straight line: the axes stand at the places of the members on their common lever."
        )
    if not axes.levers:
        return "Axes evenly spaced; lines join the speeds."
    names = "; ".join(_named(axis_names) for axis_names in _on_levers(axes))
    return (
        f"Each gear is a straight line on {'the lever' if len(axes.levers) == 1 else 'each of the levers'} "
        f"{names}."
        + (" The other axes stand beside." if any(axis.lever is None for axis in axes.axes) else "")
    )


def _on_levers(axes: Axes) -> Iterator[list[str]]:
    for lever in axes.levers:
        yield ["=".join(axis.members) for axis in axes.axes if axis.lever is lever]


def _named(names: list[str]) -> str:
    return "–".join(names)


def caption(states: Mapping[str, TrainState], axes: Axes, gear: str, left_out: Collection[str]) -> list[str]:
    """What stands below a ladder: how to read it, gears without a line, and what turns as it likes."""
    said = [manner(axes)] if len(axes.axes) > 1 else []
    shown = {member for axis in axes.axes for member in axis.members}
    now = states.get(gear)
    if now is not None and len({axis.lever and axis.lever.sets for axis in axes.axes}) > 1 and axes.levers:
        said[0] += f" Dotted: gear {gear} from one to the next."
    without: dict[str, list[str]] = {}
    for name, state in states.items():
        if state.ratio is None:
            free = [member for member in state.floating if member in shown]
            text = f"{outcome(state)}; free: {listed(free)}" if free else outcome(state)
            without.setdefault(text, []).append(name)
    said += [f"{listed(names)}: {text}." for text, names in without.items()]
    if now is not None and now.ratio is not None:
        free = [member for member in now.floating if member in shown]
        said += [f"Free in gear {gear}, so without a point: {listed(free)}."] if free else []
    if left_out:
        said.append(f"Without an axis, free in every gear: {listed(tuple(left_out))}.")
    return said


def describe(network: Network, states: Mapping[str, TrainState], axes: Axes, input_rpm: float | None) -> str:
    """The whole drawing in words."""
    order = ", ".join("=".join(axis.members) for axis in axes.axes)
    said = [f"Input {network.input}, output {network.output}", f"Axes from left to right: {order}"]
    if len(axes.axes) > 1:
        said.append(manner(axes).rstrip("."))
    if input_rpm is not None:
        said.append(f"The input turns at {revolutions(1, input_rpm)} rpm")
    said += [_gear(name, state, axes, input_rpm) for name, state in states.items()]
    return ". ".join(said) + "."


def _gear(name: str, state: TrainState, axes: Axes, input_rpm: float | None) -> str:
    parts = list(_points(state, axes, input_rpm))
    if state.floating and state.kind != StateKind.TIE_UP:
        parts.append(f"free: {listed(state.floating)}")
    return f"Gear {name}, {outcome(state)}" + (f": {', '.join(parts)}" if parts else "")


def _points(state: TrainState, axes: Axes, input_rpm: float | None) -> Iterator[str]:
    held = held_members(state)
    for axis in axes.axes:
        speed = state.speeds.get(axis.members[0])
        if speed is None:
            continue
        said = "held" if held & set(axis.members) else per_turn(speed)
        if input_rpm is not None and said != "held":
            said += f" ({revolutions(speed, input_rpm)} rpm)"
        yield f"{'='.join(axis.members)} {said}"


def speeds_in_words(gear: str, state: TrainState, axes: Axes, input_rpm: float | None) -> str:
    """The speeds of one gear as a sentence, in one unit."""
    if input_rpm is None:
        return f"Gear {gear} per turn: {', '.join(_points(state, axes, None))}."
    known = [(axis, state.speeds[axis.members[0]]) for axis in axes.axes if axis.members[0] in state.speeds]
    said = [f"{'='.join(axis.members)} {revolutions(speed, input_rpm)}" for axis, speed in known]
    return f"Gear {gear} in rpm: {', '.join(said)}."
