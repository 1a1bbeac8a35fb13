"""What a gear train answers to a question: one gear, under torque, at speed; the page and the terminal share it."""

from __future__ import annotations

import math
import re
import textwrap
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from countershaft.definitions.reader import read_file
from countershaft.desk.worked_chart import worked_chart
from countershaft.errors import DefinitionError, Fault, OutOfRange
from countershaft.mechanics.chart_check import ChartCheck
from countershaft.mechanics.element_roles import ElementRole
from countershaft.mechanics.frequencies import TrainLines, train_lines
from countershaft.mechanics.gears import GearLoad, load_gear
from countershaft.mechanics.losses import MeshLosses
from countershaft.mechanics.network import nearest
from countershaft.mechanics.powerflow import PowerFlow, power_flow
from countershaft.mechanics.slip import SpeedExplanation, explain_speeds
from countershaft.mechanics.states import TrainState
from countershaft.mechanics.statics import Torques
from countershaft.model.train import Train
from countershaft.model.transmission import Transmission

__all__ = [
    "SELF_LOCKING",
    "Question",
    "TrainAnswer",
    "TypedTrain",
    "answer",
    "as_section",
    "element_label",
    "exact_figure",
    "faults_of",
    "gear_power",
    "kilowatts",
    "typed_train",
]


#: N·m, rpm or kPa beyond which a figure is a slip of the hand and no gearbox.
_MOST: Final = 1_000_000
#: Characters of a figure that somebody means.
_LONGEST: Final = 20

#: What is said where losses lock a gear.
SELF_LOCKING: Final = "Self-locking: with these losses no torque gets through in this direction."

#: What a file needs besides its train.
_NEEDED: Final = ("format: 1", "name: typed")
_NO_TRAIN: Final = Fault(
    "train", "no section 'train' was typed", "train: with input, output, sets, elements, chart"
)


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked of a gear.

    `torque` [N·m] at the input, negative on coast; `rpm` [1/min] of the input; `loss` is the efficiency of each
    tooth mesh; `output_rpm` [1/min] as measured, to be explained with `rpm` as the measured input speed;
    `pressure` [kPa] is that at the applied elements.
    """

    gear: str
    torque: Fraction | None = None
    rpm: float = 0.0
    loss: Fraction | None = None
    output_rpm: float | None = None
    pressure: float | None = None

    @property
    def input_torque(self) -> Fraction:
        """The torque at the input; where none is asked, one newton metre, so that answers are shares of it."""
        return Fraction(1) if self.torque is None else self.torque


@dataclass(frozen=True, slots=True)
class TrainAnswer:
    """Everything that is computed for a question.

    `load` is without losses, `lossy` with them where they were asked for; `flow` is the power of `load`, None where
    nothing holds; `brakes` is whether the engine brakes in this gear; `lines` are empty at standstill; `slip` explains
    the measured pair of speeds where one is given; `chart` is None where the train has too many combinations to try.
    """

    question: Question
    state: TrainState
    load: GearLoad
    lossy: GearLoad | None
    flow: PowerFlow | None
    brakes: bool
    lines: TrainLines | None
    slip: SpeedExplanation | None
    chart: ChartCheck | None
    roles: Mapping[str, ElementRole]

    @property
    def acting(self) -> GearLoad:
        """The load that is shown: with losses where they were asked for and let torque through, else without."""
        lossy = self.lossy
        return lossy if lossy is not None and lossy.load and lossy.load.with_losses else self.load

    @property
    def torques(self) -> Torques[Fraction] | Torques[float] | None:
        """The torques of the load that is shown; None where nothing carries any."""
        load = self.acting.load
        return None if load is None else load.with_losses.torques if load.with_losses else load.torques


def exact_figure(text: str) -> Fraction:
    """A typed figure such as 250, 0.99 or 1/3, kept exact; raises ValueError for everything else.

    Powers of ten are refused: nobody types them at a bench, and 1e999999999 would never be worked out.
    """
    plain = text.strip().replace(",", ".").replace("−", "-")
    if len(plain) > _LONGEST or "e" in plain.casefold() or "_" in plain:
        raise ValueError(f"{text!r} is no plain figure")
    try:
        return Fraction(plain)
    except ZeroDivisionError as cause:
        raise ValueError(f"{text!r} divides by zero") from cause


def gear_power(train: Train, gear: str) -> tuple[TrainState, PowerFlow | None]:
    """A gear on drive and the power in it, where any flows; for a drawing."""
    worked = worked_chart(train)
    found = worked.drive[gear]
    return found.state, power_flow(worked.network, found.load) if found.load and found.load.torques else None


@dataclass(frozen=True, slots=True)
class TypedTrain:
    """What became of a typed train: the train, or every fault of it; and what can hardly be so but is used."""

    train: Train | None
    faults: tuple[Fault, ...]
    warnings: tuple[Fault, ...]


def faults_of(train: Train, question: Question) -> dict[str, str]:
    """What makes no sense in a question, by the field in which it stands."""
    found: dict[str, str] = {}
    if question.gear not in train.chart:
        known = nearest(question.gear, train.chart) if train.chart else "the chart is empty."
        found["gear"] = f"gear {question.gear!r} is not in the chart; {known}"
    if question.torque == 0:
        found["torque"] = (
            "a torque of 0 loads nothing; type one such as 250, minus on coast, or leave it open."
        )
    elif abs(question.input_torque) > _MOST:
        found["torque"] = "no gearbox bears such a torque; type it in N·m, such as 250."
    if not 0 <= question.rpm <= _MOST:
        found["rpm"] = f"an input speed of {question.rpm:g} rpm makes no sense; type it without a sign."
    if question.loss is not None and not 0 < question.loss <= 1:
        found["loss"] = (
            f"a mesh efficiency of {float(question.loss):g} is outside 0 to 1; type for example 0.99."
        )
    if question.output_rpm is not None and not abs(question.output_rpm) <= _MOST:
        found["output"] = (
            f"an output speed of {question.output_rpm:g} rpm makes no sense; type the one measured."
        )
    elif question.output_rpm is not None and not question.rpm:
        found["output"] = "an output speed explains nothing alone; type the measured input speed too."
    if question.pressure is not None and not 0 <= question.pressure <= _MOST:
        found["pressure"] = f"a pressure of {question.pressure:g} kPa makes no sense; type one such as 900."
    elif question.pressure is not None and question.torque is None:
        found["pressure"] = "a pressure says nothing alone; type the torque at the input too."
    return found


def answer(train: Train, question: Question) -> TrainAnswer:
    """Ask a train; raises OutOfRange with what to do where the question makes no sense."""
    faults = faults_of(train, question)
    if faults:
        raise OutOfRange(" ".join(faults.values()))
    worked, network, applied = worked_chart(train), train.network(), train.chart[question.gear]
    state = worked.states[question.gear]
    losses = None if question.loss is None else MeshLosses(question.loss)
    load = load_gear(network, applied, input_torque=question.input_torque)
    return TrainAnswer(
        question=question,
        state=state,
        load=load,
        lossy=None
        if losses is None
        else load_gear(network, applied, input_torque=question.input_torque, losses=losses),
        flow=power_flow(network, load.load) if load.load and load.load.torques else None,
        brakes=worked.brakes(question.gear),
        lines=_lines(train, state, question),
        slip=_slip(train, question),
        chart=worked.check,
        roles=worked.roles,
    )


def typed_train(text: str) -> TypedTrain:
    """Read a typed section `train`, or a whole file with one.

    Its lines keep their numbers: what a file needs besides stands behind them, and is no business of who types.
    """
    keys = _keys(text)
    missing = [line for line in _NEEDED if line.partition(":")[0] not in keys]
    try:
        found = read_file("\n".join([text.rstrip(), *missing, ""]), "typed")
    except DefinitionError as cause:
        ours = tuple(f"the key {line.partition(':')[0]!r} is missing" for line in missing)
        faults = tuple(fault for fault in cause.faults if not fault.message.startswith(ours))
        return TypedTrain(None, faults or (_NO_TRAIN,), ())
    train = found.transmission.train
    return TypedTrain(train, (), found.warnings) if train is not None else TypedTrain(None, (_NO_TRAIN,), ())


def as_section(text: str) -> str:
    """The typed text with its first line `train:` where that was left out and the keys of a train begin at once."""
    keys = _keys(text)
    ours = any(key in Train.model_fields for key in keys)
    if not ours or any(key in Transmission.model_fields for key in keys):
        return text
    return "train:\n" + textwrap.indent(text, "  ")


def _keys(text: str) -> list[str]:
    return re.findall(r"^(\w+)\s*:", text, re.MULTILINE)


def element_label(train: Train, element_id: str) -> str:
    """Id and name of an element, so that it is found in chart and drawing; a name that says the id stays alone."""
    name = train.element_name(element_id)
    said = name.replace(":", " ").replace(",", " ").split()
    return name if element_id.partition(":")[0] in said else f"{element_id.partition(':')[0]}, {name}"


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
    """Both speeds are taken to be read to 10 rpm, as a scan tool shows them with its noise.

    Without a torque either way of it is looked at: the pair itself shows which.
    """
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
        drive=None if question.torque is None else question.torque > 0,
    )
