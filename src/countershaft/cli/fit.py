"""`countershaft fit FILE FIT`: the selective part that readings ask for, without a job."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, cast

import click

from countershaft.cli.define import text_of
from countershaft.cli.faults import as_json as plain
from countershaft.cli.faults import faults_json
from countershaft.definitions.reader import read_transmission
from countershaft.desk.fit_question import FitAnswer, ask_fit, figures_asked
from countershaft.errors import BadInput, CountershaftError
from countershaft.job.at_fit import Bearings
from countershaft.model.transmission import Transmission
from countershaft.stages.fit_needed import as_decimal

__all__ = ["fit"]


@click.command()
@click.argument("file")
@click.argument("fit_id", metavar="FIT", required=False)
@click.option(
    "--reading",
    "readings",
    multiple=True,
    metavar="NAME=FIGURES",
    help='What was read, such as "reading=0.66 0.66 0.67 mm"; once for each name.',
)
@click.option(
    "--bearings",
    type=click.Choice(["new", "ran before"]),
    default=None,
    help="Which bearings a turning torque was read on.",
)
@click.option("--json", "as_json", is_flag=True, help="Print plain JSON.")
@click.pass_context
def fit(
    ctx: click.Context,
    file: str,
    fit_id: str | None,
    readings: Sequence[str],
    bearings: str | None,
    as_json: bool,
) -> None:
    """Say which selective part a FIT of a transmission FILE needs, from its readings.

    FILE is a path, or the name of a file that ships with the program, such as demo-b.
    Without FIT every fit is listed, with what it is read from; without readings, what is asked for.
    """
    try:
        unit = read_transmission(*text_of(file))
        if fit_id is None or not readings:
            asked = [fit_id] if fit_id is not None else [one.id for one in unit.all_fits]
            said = plain(_asked(unit, asked)) if as_json else "\n".join(_asked_text(unit, asked))
        else:
            found = ask_fit(unit, fit_id, _by_name(readings), cast("Bearings", bearings or ""))
            said = plain(_plain(found)) if as_json else "\n".join(_text(found))
    except CountershaftError as error:
        if not as_json:
            raise
        click.echo(faults_json(error, file))
        ctx.exit(1)
    click.echo(said)


def _by_name(readings: Sequence[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for one in readings:
        name, sign, figures = one.partition("=")
        if not sign:
            raise BadInput(f'{one!r} has no name; give it as "NAME=FIGURES", such as "reading=0.66 0.66 mm".')
        if name.strip() in found:
            raise BadInput(f"{name.strip()} is given twice; give all its readings in one.")
        found[name.strip()] = figures
    return found


def _asked(unit: Transmission, ids: Sequence[str]) -> dict[str, Any]:
    return {
        "fits": {
            key: [
                {"name": name, "unit": own, "readings": count}
                for name, own, count in figures_asked(unit.fit(key))
            ]
            for key in ids
        }
    }


def _asked_text(unit: Transmission, ids: Sequence[str]) -> Iterator[str]:
    if not ids:
        yield "This file names no fit."
    for key in ids:
        one = unit.fit(key)
        asked = ", ".join(f"{name} ({count} × {own})" for name, own, count in figures_asked(one))
        yield f"{key}  {one.name}: {one.min} to {one.max}; read {asked}"


def _plain(found: FitAnswer) -> dict[str, Any]:
    unit, size = _ending(found.fit.unit), found.fit.size_unit
    return {
        "fit": found.fit.id,
        "windows": [
            {"name": one.name, f"lower_{_ending(one.unit)}": float(one.lower), f"upper_{_ending(one.unit)}":
             float(one.upper), f"goal_{_ending(one.unit)}": float(one.goal)}
            for one in found.found.windows
        ],
        "needed": [
            {"side": one.side, f"size_{size}": round(float(one.size.value), 12), f"u_{size}": one.size.standard}
            for one in found.found.needs
        ],
        "nearest": [
            {"side": one.seat.side, f"size_{size}": None if one.choice.size is None else float(one.choice.size),
             f"leaves_{unit}": None if one.choice.gap is None else float(one.choice.gap),
             "inside": one.choice.inside, "why": one.choice.why}
            for one in found.sides
        ],
        "beyond": found.found.beyond or None,
        "off_steps": found.off_steps or None,
        "suspects": list(found.fit.suspects) if _off(found) else [],
        "working": list(found.found.working),
    }  # fmt: skip


def _ending(unit: str) -> str:
    return "nm" if unit == "N·m" else unit


def _off(found: FitAnswer) -> bool:
    return bool(found.found.beyond) or any(one.choice.off_table for one in found.sides)


def _text(found: FitAnswer) -> Iterator[str]:
    yield f"{found.fit.id}  {found.fit.name}"
    for need in found.found.needs:
        size = as_decimal(need.size.value)
        yield f"needed {need.label}: {size} {found.fit.size_unit}, u = {need.size.standard:.2g} {found.fit.size_unit}"
    for side in found.sides:
        yield side.choice.why
    if found.found.beyond:
        yield found.found.beyond
    if found.off_steps:
        yield found.off_steps
    if _off(found):
        yield from (f"  look at: {one}" for one in found.fit.suspects)
    yield "working"
    yield from (f"  {line}" for line in found.found.working)
