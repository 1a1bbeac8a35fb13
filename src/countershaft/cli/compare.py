"""`countershaft compare FILE`: a small study from a table of readings."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping
from dataclasses import asdict
from decimal import Decimal
from itertools import combinations
from pathlib import Path

import click

from countershaft.cli.define import text_of
from countershaft.errors import BadInput, QuantityError
from countershaft.metrology.agreement import Agreement
from countershaft.metrology.agreement import compare as judge_pair
from countershaft.metrology.readings import Estimate, estimate
from countershaft.metrology.study import Study, crossed_study
from countershaft.units import decimals, read

__all__ = ["compare"]

#: person -> piece -> readings in the order of the file.
_Readings = Mapping[str, Mapping[str, list[Decimal]]]


@click.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--unit", default="mm", show_default=True, help="The unit of the readings.")
@click.option("--step", required=True, metavar="FIGURE", help="One step of the instrument's scale.")
@click.option(
    "--error", default="0", show_default=True, metavar="FIGURE", help="Permitted error, either way."
)
@click.option("--window", type=float, help="Width of the allowed window, to compare measuring with.")
@click.option(
    "--same/--own", default=True, show_default=True, help="All used one instrument, or each an own."
)
@click.option("--json", "as_json", is_flag=True, help="Print plain JSON.")
def compare(  # click hands over one argument for each option
    file: Path, unit: str, step: str, error: str, window: float | None, same: bool, as_json: bool
) -> None:
    """Judge readings of the same pieces by several people.

    FILE is a table with the columns person, piece and value, one reading to a line.
    Each pair of people is judged on each piece by E_n; with two people, two pieces and two readings each or more, the
    scatter is taken apart into repeatability, reproducibility and pieces.
    """
    resolution, permitted = (
        float(_figure(text, unit, name)) for text, name in ((step, "--step"), (error, "--error"))
    )
    table = _table(text_of(str(file))[0], unit)
    digits = max(
        decimals(value) for pieces in table.values() for values in pieces.values() for value in values
    )
    found = {
        person: {
            piece: estimate(
                [float(value) for value in values], resolution=resolution, permitted_error=permitted
            )
            for piece, values in pieces.items()
        }
        for person, pieces in table.items()
    }
    pairs = _pairs(found, unit, digits, same)
    study = _study(table, window)
    if as_json:
        click.echo(json.dumps({
            "unit": unit,
            "pairs": [{"first": a, "second": b, "piece": piece, **asdict(one)} for a, b, piece, one in pairs],
            "study": None if study is None else asdict(study),
        }, indent=2, ensure_ascii=False))  # fmt: skip
        return
    for first, second, piece, one in pairs:
        click.echo(f"piece {piece}, {first} and {second}: {one.why}")
    if study is None:
        click.echo("No study: it needs two people, two pieces and two readings each, and no gap.")
        return
    for name, value in (
        ("repeatability", study.repeatability),
        ("reproducibility", study.reproducibility),
        ("measuring in all", study.measuring),
        ("between pieces", study.parts),
    ):
        click.echo(f"{name:<18}{value:.{digits + 2}f} {unit}")
    click.echo(f"measuring makes {study.share:.3f} of the scatter, as standard deviations")
    if study.of_window is not None:
        click.echo(f"six standard deviations of measuring are {study.of_window:.3f} of the window")


def _figure(text: str, unit: str, where: str) -> Decimal:
    try:
        found = read(text, default=unit)
    except QuantityError as cause:
        raise BadInput(f"{where}: {cause}") from cause
    if found.unit != unit:
        raise BadInput(f"{where}: {text!r} is in {found.unit}; this table is in {unit}. Use one unit.")
    return found.value


def _table(text: str, unit: str) -> _Readings:
    """The readings by person and piece; raises BadInput with the line that is wrong."""
    reader = csv.DictReader(io.StringIO(text), skipinitialspace=True)
    asked = ("person", "piece", "value")
    if reader.fieldnames is None or not set(asked) <= {name.strip() for name in reader.fieldnames}:
        raise BadInput(
            f"The table needs the columns person, piece and value; got {', '.join(reader.fieldnames or ('nothing',))}."
        )
    found: dict[str, dict[str, list[Decimal]]] = {}
    for number, row in enumerate(reader, start=2):
        person, piece, value = ((row[name] or "").strip() for name in asked)
        if not (person and piece and value):
            raise BadInput(
                f"Line {number} has a gap; expected person, piece and value, got {list(row.values())}."
            )
        found.setdefault(person, {}).setdefault(piece, []).append(_figure(value, unit, f"Line {number}"))
    if len(found) < 2:  # two is what makes a comparison
        raise BadInput(f"Expected readings of at least two people; got {len(found)}.")
    return found


def _pairs(
    found: Mapping[str, Mapping[str, Estimate]], unit: str, digits: int, same: bool
) -> list[tuple[str, str, str, Agreement]]:
    return [
        (
            first,
            second,
            piece,
            judge_pair(one, found[second][piece], unit=unit, digits=digits, same_instrument=same),
        )
        for first, second in combinations(found, 2)
        for piece, one in found[first].items()
        if piece in found[second]
    ]


def _study(table: _Readings, window: float | None) -> Study | None:
    pieces = list(next(iter(table.values())))
    counts = {len(values) for person in table.values() for values in person.values()}
    whole = all(set(person) == set(pieces) for person in table.values()) and len(counts) == 1
    if not whole or len(pieces) < 2 or counts == {1}:  # what a study needs
        return None
    return crossed_study([[person[piece] for piece in pieces] for person in table.values()], window=window)
