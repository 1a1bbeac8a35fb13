"""What a gear train answers to a question: one gear, under torque, at speed; the page and the terminal share it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from countershaft.definitions.reader import read_transmission
from countershaft.errors import DefinitionError, Fault, OutOfRange
from countershaft.mechanics.chart_check import ChartCheck, check_chart
from countershaft.mechanics.element_roles import ElementRole, element_roles
from countershaft.mechanics.frequencies import TrainLines, train_lines
from countershaft.mechanics.gears import GearLoad, engine_braking, load_gear
from countershaft.mechanics.losses import MeshLosses
from countershaft.mechanics.slip import SpeedExplanation, explain_speeds
from countershaft.mechanics.states import TrainState, solve_state
from countershaft.model.train import Train

__all__ = ["Question", "TrainAnswer", "answer", "kilowatts", "typed_train"]


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked of a gear.

    `torque` [N·m] at the input, negative on coast; `rpm` [1/min] of the input; `loss` is the efficiency of each
    tooth mesh; `output_rpm` [1/min] as measured, to be explained with `rpm` as the measured input speed.
    """

    gear: str
    torque: Fraction = Fraction(1)
    rpm: float = 0.0
    loss: Fraction | None = None
    output_rpm: float | None = None


@dataclass(frozen=True, slots=True)
class TrainAnswer:
    """Everything that is computed for a question.

    `load` is without losses, `lossy` with them where they were asked for; `brakes` is whether the engine brakes in
    this gear; `lines` are empty at standstill; `slip` explains the measured pair of speeds where one is given.
    """

    question: Question
    state: TrainState
    load: GearLoad
    lossy: GearLoad | None
    brakes: bool
    lines: TrainLines | None
    slip: SpeedExplanation | None
    chart: ChartCheck
    roles: Mapping[str, ElementRole]


def answer(train: Train, question: Question) -> TrainAnswer:
    """Ask a train; raises OutOfRange with what to do where the question makes no sense."""
    if question.gear not in train.chart:
        raise OutOfRange(f"gear {question.gear!r} is not in the chart; it has {', '.join(train.chart)}.")
    if question.loss is not None and not 0 < question.loss <= 1:
        raise OutOfRange(
            f"a mesh efficiency of {float(question.loss):g} is outside 0 to 1; type for example 0.99."
        )
    if not math.isfinite(question.rpm) or question.rpm < 0:
        raise OutOfRange(f"an input speed of {question.rpm:g} rpm makes no sense; type it without a sign.")
    network, applied = train.network(), train.chart[question.gear]
    state = solve_state(network, applied)
    losses = None if question.loss is None else MeshLosses(question.loss)
    return TrainAnswer(
        question=question,
        state=state,
        load=load_gear(network, applied, input_torque=question.torque),
        lossy=None
        if losses is None
        else load_gear(network, applied, input_torque=question.torque, losses=losses),
        brakes=engine_braking(network, applied),
        lines=_lines(train, state, question),
        slip=_slip(train, question),
        chart=check_chart(network, train.chart),
        roles={role.element: role for role in element_roles(network, train.chart)},
    )


def typed_train(text: str) -> tuple[Train | None, tuple[Fault, ...]]:
    """Read a typed section `train`; its lines keep their numbers: what the file needs besides stands behind them."""
    try:
        found = read_transmission(f"{text.rstrip()}\nformat: 1\nname: typed\n", "typed").train
    except DefinitionError as cause:
        return None, cause.faults
    if found is None:
        fault = Fault(
            "train", "no section 'train' was typed", "train: with input, output, sets, elements, chart"
        )
        return None, (fault,)
    return found, ()


def kilowatts(torque: float, speed_per_turn: float, rpm: float) -> float:
    """Power in kW of a torque in N·m at a member that turns so much per turn of the input."""
    return torque * speed_per_turn * rpm * 2 * math.pi / 60 / 1000


def _lines(train: Train, state: TrainState, question: Question) -> TrainLines | None:
    if not question.rpm:
        return None
    return train_lines(
        train.network(),
        state,
        input_speed=question.rpm / 60,
        planets=train.planet_counts(),
        bearings=tuple(bearing.mechanical() for bearing in train.bearings),
        sensors=tuple(sensor.mechanical() for sensor in train.speed_sensors),
    )


def _slip(train: Train, question: Question) -> SpeedExplanation | None:
    """Both speeds are taken to be read to 10 rpm, as a scan tool shows them with its noise."""
    if question.output_rpm is None or not question.rpm:
        return None
    return explain_speeds(
        train.network(),
        train.chart,
        question.gear,
        input_speed=question.rpm,
        output_speed=question.output_rpm,
        input_resolution=10.0,
        output_resolution=10.0,
        drive=question.torque > 0,
    )
