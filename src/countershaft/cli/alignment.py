"""`countershaft align` and `countershaft converter`: a housing and a converter's fit from figures typed in one line."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import click

from countershaft.cli.define import text_of
from countershaft.cli.faults import as_json as plain
from countershaft.cli.faults import faults_json
from countershaft.definitions.reader import read_transmission
from countershaft.desk.housing_question import (
    ConverterAnswer,
    HubAnswer,
    ask_alignment,
    ask_depths,
    ask_hub,
)
from countershaft.errors import BadInput, CountershaftError
from countershaft.metrology.clock_face import clock_hours
from countershaft.stages.converter import Judged
from countershaft.stages.housing_sweep import SweepRun, told_in

__all__ = ["align", "converter"]

_FILE = click.option(
    "--file", "file", default=None,
    help="Transmission file whose section housing holds the limits.",
)  # fmt: skip
_SURE = click.option("--sure", is_flag=True, help="Take figures as typed that look like another unit.")
_JSON = click.option("--json", "as_json", is_flag=True, help="Print plain JSON.")
_STEP = click.option("--step", default="", help="One step of the scale; else that of the last digit typed.")


@click.command()
@click.option(
    "--bore", required=True, help='Readings from 12 o\'clock on, such as "0.00 -0.19 -0.16 0.02 mm".'
)
@click.option("--back", default="", help="What the indicator read when it came back to 12.")
@click.option("--face", default="", help="Readings of the face at the same places, or its total alone.")
@click.option("--bore-limit", default="", help='Most total indicator reading of the bore, such as "0.25 mm".')
@click.option("--face-limit", default="", help="The same of the face.")
@click.option("--diameter", default="", help="Diameter of the circle swept on the face.")
@click.option("--bushing", default="", help="From the face to the hub bushing.")
@click.option("--closure", default="", help="Most closure that the shop allows.")
@click.option("--dowel", "dowels", multiple=True, help='How a dowel stands: "2 = 13.4 mm, 9.7 to 10.3 mm".')
@click.option("--offset-dowels", default="", help='Offsets at hand in pairs, such as "0.15 0.30 0.45 mm".')
@click.option("--sag", default="", help="What the set-up reads at 6 o'clock in a true ring, zeroed at 12.")
@click.option("--rise", default="", help="How far the crank's axis rises to where it runs.")
@_STEP
@_FILE
@_SURE
@_JSON
@click.pass_context
def align(
    ctx: click.Context, /, dowels: tuple[str, ...], file: str | None, sure: bool, as_json: bool, **asked: str
) -> None:
    """Judge a sweep of a converter housing: which way it must move, which dowel, and what stays.

    The indicator turns with the crank; places run clockwise from 12 o'clock, seen from the gearbox; a reading is +
    where the plunger is pushed in.

    WARNING: a crank that turns takes off fingers.  Disconnect the battery and turn it by hand with a wrench only.
    Follow the maker's service information; the tool computes, the technician decides.
    """
    try:
        unit = read_transmission(*text_of(file)) if file else None
        run = ask_alignment(asked, dowels=dowels, unit=unit, sure=sure)
    except CountershaftError as error:
        _refuse(ctx, error, as_json)
    else:
        click.echo(plain(_plain_run(run)) if as_json else "\n".join(_run_text(run)))


@click.command()
@click.option("--depth", default="", help='Depth at each pad, such as "25.1 25.2 25.1 mm".')
@click.option("--plate", default="", help="From the engine's face to the drive plate: once, or at each pad.")
@click.option(
    "--straightedge", default="", help="Thickness of the straightedge that the depths were read over."
)
@click.option("--spacer", default="", help="Thickness of an adapter between the faces.")
@click.option("--depth-limit", default="", help='Window of the depth, such as "24.0 to 26.0 mm".')
@click.option("--gap-limit", default="", help="Window of the gap to the drive plate.")
@click.option(
    "--hub", "trials", multiple=True, help='Readings in one position: "0: 0.20 0.00 -0.20 0.00 mm".'
)
@click.option("--hub-limit", default="", help="Most total indicator reading of the hub.")
@click.option("--positions", default="", help="In how many positions the converter can be bolted on.")
@_STEP
@_FILE
@_SURE
@_JSON
@click.pass_context
def converter(
    ctx: click.Context, /, trials: tuple[str, ...], file: str | None, sure: bool, as_json: bool, **asked: str
) -> None:
    """Judge a converter on its way in: depth, gap to the drive plate, and in which position its hub runs truest.

    NOTICE: never draw the unit in with its bolts; a converter that is not home breaks the pump.
    CAUTION: a converter full of fluid is heavy and slides out of a housing that tips.
    """
    try:
        unit = read_transmission(*text_of(file)) if file else None
        if not asked["depth"] and not trials:
            raise BadInput('--depth or --hub is needed, such as --depth "25.1 25.2 25.1 mm".')
        depths = ask_depths(asked, unit=unit, sure=sure) if asked["depth"] else None
        hub = ask_hub(trials, asked, unit=unit, sure=sure) if trials else None
    except CountershaftError as error:
        _refuse(ctx, error, as_json)
    else:
        text = "\n".join((*_depth_text(depths), *_hub_text(hub)))
        click.echo(plain({**_plain_depths(depths), **_plain_hub(hub)}) if as_json else text)


def _refuse(ctx: click.Context, error: CountershaftError, as_json: bool) -> None:
    if not as_json:
        raise error
    click.echo(faults_json(error, ""))
    ctx.exit(1)


def _mm(metres: float) -> float:
    return round(metres * 1e3, 12)


def _plain_run(run: SweepRun) -> dict[str, Any]:
    bore, sweep = run.bore, run.bore.sweep
    found: dict[str, Any] = {
        "bore": {
            "verdict": run.advice.bore.value,
            "why": run.bore_judgement.why,
            "move_x_mm": _mm(bore.move_x),
            "move_y_mm": _mm(bore.move_y),
            "offset_mm": _mm(bore.offset),
            "offset_standard_mm": _mm(bore.offset_standard),
            "direction_deg": round(math.degrees(bore.direction), 12) if bore.has_direction else None,
            "direction_oclock": round(clock_hours(bore.direction), 12) if bore.has_direction else None,
            "tir_mm": _mm(bore.total),
            "tir_expanded_mm": _mm(4 * bore.offset_standard),
            "limit_mm": run.asked.bore.to("mm") if run.asked.bore else None,
            "closure_mm": _mm(sweep.closure),
            "closure_allowed_mm": _mm(sweep.closure_limit),
            "closes": run.closes,
            "working": list(run.bore_working),
        },
        "face": None,
        "dowels": [
            {"name": one.name, "stands_mm": _mm(one.stands), "home": one.is_home} for one in run.standing
        ],
        "offset_dowels": None,
        "advice": list(run.advice.sentences),
    }
    if run.face is not None:
        found["face"] = {
            "verdict": run.advice.face.value,
            "why": run.face_judgement.why,
            "tir_mm": _mm(run.face.total),
            "limit_mm": run.asked.face.to("mm") if run.asked.face else None,
            "tilt_mrad": round(run.face.tilt * 1e3, 12),
            "shift_at_bushing_mm": _mm(run.shift) if run.shift is not None else None,
            "working": [*run.face_working, *run.shift_working],
        }
    choice = run.advice.dowels
    if choice is not None:
        found["offset_dowels"] = {
            "size_mm": _mm(choice.size),
            "turn_deg": round(math.degrees(choice.turn), 12),
            "tir_mm": _mm(choice.total),
            "slack_deg": round(math.degrees(choice.slack), 12) if choice.slack is not None else None,
            "keeps_limit": choice.keeps_limit,
            "working": list(choice.working(run.unit)),
        }
    return found


def _run_text(run: SweepRun) -> Iterator[str]:
    yield from run.advice.sentences
    yield "bore"
    yield from (f"  {line}" for line in run.bore_working)
    if run.face is not None:
        yield "face"
        yield from (f"  {line}" for line in (*run.face_working, *run.shift_working))
    if run.advice.dowels is not None:
        yield "offset dowels"
        yield from (f"  {line}" for line in run.advice.dowels.working(run.unit))


def _judged(one: Judged) -> dict[str, Any]:
    return {
        "verdict": one.judgement.verdict.value,
        "why": one.judgement.why,
        f"value_{one.unit}": round(one.value.mean, 12),
        f"expanded_{one.unit}": round(one.value.expanded, 12),
        f"min_{one.unit}": one.lower,
        f"max_{one.unit}": one.upper,
        "working": list(one.working),
    }


def _plain_depths(found: ConverterAnswer | None) -> dict[str, Any]:
    if found is None:
        return {}
    gap = found.depths.gap
    return {
        "depth": _judged(found.depths.depth),
        "gap": _judged(gap) if gap is not None else None,
        "advice": list(found.depths.sentences),
    }


def _plain_hub(found: HubAnswer | None) -> dict[str, Any]:
    if found is None:
        return {}
    clocking = found.clocking
    return {
        "hub": [{"position": one.body.position, **_judged(one.total)} for one in found.trials],
        "positions": [
            {"position": place, "tir_mm": _mm(total), "standard_mm": _mm(standard)}
            for place, (total, standard) in enumerate(clocking.totals)
        ]
        if clocking
        else [],
        "best_position": clocking.best if clocking else None,
        "why_no_position": found.why,
    }


def _depth_text(found: ConverterAnswer | None) -> Iterator[str]:
    if found is None:
        return
    yield from found.depths.sentences
    for one in (found.depths.depth, found.depths.gap):
        if one is not None:
            yield f"{one.name}: {one.judgement.verdict.value}. {one.judgement.why}"
            yield from (f"  {line}" for line in one.working)


def _hub_text(found: HubAnswer | None) -> Iterator[str]:
    if found is None:
        return
    for one in found.trials:
        yield f"{one.total.name}: {one.total.judgement.verdict.value}. {one.total.judgement.why}"
        yield from (f"  {line}" for line in one.total.working)
    if found.clocking is None:
        yield found.why
        return
    unit = told_in(found.trials[0].body.unit)
    yield found.clocking.words(found.limit if found.limit is not None else math.inf, unit)
    yield from (f"  {line}" for line in found.clocking.working(unit))
