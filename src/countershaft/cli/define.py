"""`countershaft check` and `countershaft schema`: what is wrong with a transmission file, what may stand in it."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

import click

from countershaft.definitions.library import library, library_text, shipped_schema
from countershaft.definitions.reader import read_file
from countershaft.errors import BadInput, CountershaftError, DefinitionError, Fault
from countershaft.model.transmission import Transmission

__all__ = ["check", "schema", "text_of"]


@click.command()
@click.argument("file")
@click.option("--json", "as_json", is_flag=True, help="Print plain JSON.")
@click.pass_context
def check(ctx: click.Context, file: str, as_json: bool) -> None:
    """Read a transmission FILE and say everything that is wrong with it.

    What can hardly be so, such as a bolt longer than its hole, is a warning: it is printed and the file is used.
    FILE is a path, or the name of a file that ships with the program, such as demo-b.
    """
    try:
        text, name = text_of(file)
        read = read_file(text, name)
    except CountershaftError as error:
        faults = error.faults if isinstance(error, DefinitionError) else (Fault("", str(error), file=file),)
        click.echo(_as_json([asdict(fault) for fault in faults]) if as_json else _told(faults))
        ctx.exit(1)
    transmission, warnings = read.transmission, read.warnings
    counts = _counts(transmission)
    if as_json:
        told = [asdict(warning) for warning in warnings]
        click.echo(_as_json({"file": name, "name": transmission.name, **counts, "warnings": told}))
        return
    for warning in warnings:
        click.echo(f"warning: {warning}")
    said = ", ".join(f"{count} {what.replace('_', ' ')}" for what, count in counts.items())
    doubted = f"{len(warnings)} warning{'' if len(warnings) == 1 else 's'}; " if warnings else ""
    click.echo(f"{name}: {transmission.name}: no faults; {doubted}{said}.")


@click.command()
def schema() -> None:
    """Print the JSON Schema of the transmission file, for an editor that completes and checks YAML."""
    click.echo(shipped_schema(), nl=False)


def text_of(file: str) -> tuple[str, str]:
    """The text of a file and the name for its faults: a path, or the name of a file that ships; raises BadInput."""
    path = Path(file)
    if not path.exists() and file in library():
        return library_text(file), f"{file}.yaml"
    try:
        return path.read_text(encoding="utf-8"), file
    except UnicodeDecodeError as cause:
        line = cause.object[: cause.start].count(b"\n") + 1
        fault = Fault(
            "", "this is no UTF-8 text", got=f"byte 0x{cause.object[cause.start]:02X}",
            cure="Save the file again as plain text in UTF-8.", file=file, line=line, column=1,
        )  # fmt: skip
        raise DefinitionError((fault,)) from cause
    except OSError as cause:
        raise BadInput(
            f"{file} cannot be read: {cause.strerror or 'it is no file'}. "
            f"Name a transmission file, or one that ships: {', '.join(library())}."
        ) from cause


def _told(faults: tuple[Fault, ...]) -> str:
    if len(faults) == 1 and not faults[0].line:
        return faults[0].message
    return "\n".join([*map(str, faults), f"{len(faults)} fault{'' if len(faults) == 1 else 's'}."])


def _counts(transmission: Transmission) -> dict[str, int]:
    """How much of each the file holds."""
    train = transmission.train
    return {
        "gear_sets": len(train.sets) + len(train.pairs) if train is not None else 0,
        "shift_elements": len(train.elements) if train is not None else 0,
        "packs": len(transmission.packs),
        "parts": len(transmission.parts),
        "joints": len(transmission.fasteners),
        "fasteners": sum(len(joint.place_ids) for joint in transmission.fasteners),
        "steps": len(transmission.steps),
        "fits": len(transmission.fits),
        "limits": len(transmission.limits),
    }


def _as_json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, indent=2)
