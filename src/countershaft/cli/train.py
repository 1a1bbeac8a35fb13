"""`countershaft train FILE`: every gear of a transmission file, its ratio and its member speeds."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict
from fractions import Fraction
from typing import Any

import click

from countershaft.cli.define import text_of
from countershaft.cli.train_elements import duties_text, plain_duties
from countershaft.cli.train_load import gear_text, plain_load, plain_question
from countershaft.definitions.reader import read_transmission
from countershaft.desk.element_loads import Engine, chart_duties, engine_of
from countershaft.desk.train import Question, exact_figure
from countershaft.errors import CountershaftError, DefinitionError, Fault, OutOfRange
from countershaft.mechanics.states import StateKind, TrainState
from countershaft.mechanics.working import explain
from countershaft.model.train import Train
from countershaft.model.transmission import Transmission

__all__ = ["train"]


class Share(click.ParamType[Fraction]):
    """A figure that stays exact, typed as 250, 0.99 or 1/3."""

    name = "figure"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Fraction:
        """Read it, or say what was expected."""
        try:
            return exact_figure(str(value))
        except ValueError:
            self.fail(f"{value!r} is no number; type a figure such as 250 or 0.99.", param, ctx)


@click.command()
@click.argument("file")
@click.option("--gear", default=None, help="One gear of the chart, under torque and at speed.")
@click.option("--torque", type=Share(), default=None, help="Torque at the input in N·m; minus on coast.")
@click.option("--rpm", type=float, default=0.0, help="Speed of the input in rpm.")
@click.option("--loss", type=Share(), default=None, help="Efficiency of each tooth mesh, such as 0.99.")
@click.option("--output-rpm", type=float, default=None, help="Measured output speed: which element slips?")
@click.option("--pressure", type=float, default=None, help="Pressure at the applied elements in kPa.")
@click.option("--hold", is_flag=True, help="What every element must hold and can hold, in every gear.")
@click.option("--engine", type=float, default=None, help="Torque of the engine in N·m, for --hold.")
@click.option("--converter", type=float, default=None, help="Torque ratio of the converter, for --hold.")
@click.option("--json", "as_json", is_flag=True, help="Print plain JSON.")
@click.pass_context
def train(  # noqa: PLR0913, PLR0917  # click hands over one argument for each option
    ctx: click.Context,
    file: str,
    gear: str | None,
    torque: Fraction | None,
    rpm: float,
    loss: Fraction | None,
    output_rpm: float | None,
    pressure: float | None,
    hold: bool,
    engine: float | None,
    converter: float | None,
    as_json: bool,
) -> None:
    """Print every gear of a transmission FILE: ratio and member speeds; or one gear under torque.

    FILE is a path, or the name of a file that ships with the program, such as demo-b.
    Speeds are per turn of the input; a negative ratio turns the output backwards.
    """
    if gear is None and (rpm or any(one is not None for one in (torque, output_rpm, pressure))):
        raise click.UsageError(
            "--torque, --rpm, --output-rpm and --pressure are of one gear; name it with --gear."
        )
    if hold and gear is not None:
        raise click.UsageError("--hold is of every gear; leave out --gear, or ask one gear with --torque.")
    if not hold and (engine is not None or converter is not None):
        raise click.UsageError("--engine and --converter belong to --hold.")
    question = None if gear is None else Question(gear, torque, rpm, loss, output_rpm, pressure)
    try:
        unit, found = _train_of(file)
        if hold:
            said = _held(unit, found, engine, converter, as_json=as_json)
        else:
            said = _answered(unit, found, question, loss, as_json=as_json)
    except CountershaftError as error:
        if not as_json:
            raise
        click.echo(json.dumps(_faults(error, file), ensure_ascii=False, indent=2))
        ctx.exit(1)
    click.echo(said)


def _held(
    unit: Transmission, found: Train, torque: float | None, ratio: float | None, *, as_json: bool
) -> str:
    """What every element must hold and can hold in every gear."""
    given = engine_of(unit)
    torque = torque if torque is not None else given.torque if given is not None else None
    if torque is None:
        raise OutOfRange("the file gives no engine_torque; name one with --engine, such as --engine 320.")
    duties = chart_duties(unit, Engine(torque, ratio))
    if as_json:
        whole = {"engine_torque_nm": torque, "element_loads": plain_duties(duties)}
        return json.dumps(whole, ensure_ascii=False, indent=2)
    head = f"{unit.name}, engine {torque:g} N·m"
    return "\n".join([head, "", *duties_text(found, duties, every=True)])


def _answered(
    unit: Transmission, found: Train, question: Question | None, loss: Fraction | None, *, as_json: bool
) -> str:
    """All gears, or the one that is asked about, as text or as JSON."""
    if not as_json:
        return _text(found, found.states()) if question is None else gear_text(unit, found, question)
    asked = None if question is None else plain_question(unit, found, question)
    gears = {
        name: {**_plain(state), **plain_load(found, name, loss=loss), **(asked or {})}
        for name, state in found.states().items()
        if question is None or name == question.gear
    }
    whole = {"input": found.input, "output": found.output, "gears": gears}
    return json.dumps(whole, ensure_ascii=False, indent=2)


def _train_of(file: str) -> tuple[Transmission, Train]:
    text, name = text_of(file)
    unit = read_transmission(text, name)
    found = unit.train
    if found is None:
        fault = Fault(
            key="train",
            message="the file has no gear train",
            expected="a section train with input, output, sets, elements and chart",
            file=name,
            cure="Add it, or name another file.",
        )
        raise DefinitionError((fault,))
    return unit, found


def _faults(error: CountershaftError, file: str) -> list[dict[str, Any]]:
    if isinstance(error, DefinitionError):
        return [asdict(fault) for fault in error.faults]
    return [asdict(Fault(key="", message=str(error), file=file))]


def _plain(state: TrainState) -> dict[str, Any]:
    return {
        "state": state.kind.value,
        "applied": list(state.applied),
        "ratio": None if state.ratio is None else float(state.ratio),
        "ratio_exact": None if state.ratio is None else str(state.ratio),
        "speeds": {member: float(speed) for member, speed in state.speeds.items()},
        "speeds_exact": {member: str(speed) for member, speed in state.speeds.items()},
        "output_at_rest": state.output_at_rest,
        "floating": list(state.floating),
        "loose": list(state.loose),
        "output_floats": state.output_floats,
        "missing": state.missing,
        "fighting": [list(names) for names in state.fighting],
        "frees": [list(names) for names in state.frees],
        "redundant": list(state.redundant),
        "overrunning": list(state.overrunning),
        "catching": list(state.catching),
        "says": explain(state),
    }


def _text(found: Train, states: dict[str, TrainState]) -> str:
    if not states:
        return "The chart is empty: add gears under train, chart, each with the elements applied in it."
    members = found.network().members
    head = ("gear", "applied", "ratio", "exact", *members)
    rows = [
        (gear, " ".join(state.applied) or "-", *_ratio(state), *_speeds(state, members))
        for gear, state in states.items()
    ]
    remarks = [f"{gear}: {explain(state)}" for gear, state in states.items() if _remarkable(state)]
    title = f"Ratio {found.input} : {found.output}, and speeds per turn of {found.input}."
    return "\n".join([title, "", *_columns([head, *rows]), *(["", *remarks] if remarks else [])])


def _remarkable(state: TrainState) -> bool:
    spare = (*state.idle, *state.redundant, *state.overrunning, *state.catching)
    return state.ratio is None or bool(spare)


def _ratio(state: TrainState) -> tuple[str, str]:
    if state.ratio is not None:
        return f"{float(state.ratio):.4f}", str(state.ratio)
    return ("infinite" if state.kind == StateKind.DEFINITE else state.kind.value), "-"


def _speeds(state: TrainState, members: Sequence[str]) -> list[str]:
    if not state.speeds:
        return ["-"] * len(members)
    return [f"{float(state.speeds[name]):.4f}" if name in state.speeds else "free" for name in members]


def _columns(rows: Sequence[Sequence[str]]) -> list[str]:
    """Lines with gear and applied elements to the left, figures to the right of their columns."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    return [
        "  ".join(
            cell.ljust(width) if column < 2 else cell.rjust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    ]
