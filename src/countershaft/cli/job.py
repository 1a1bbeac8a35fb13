"""`countershaft job …`: the whole job from a terminal, through the same desk as the pages."""

from __future__ import annotations

import json
import re
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

import click
from pydantic import TypeAdapter, ValidationError

from countershaft.cli.define import text_of
from countershaft.cli.plan import plan_job
from countershaft.cli.shop import by_option, desk_of, json_option, person, shop_option
from countershaft.cli.unknown import draft, off
from countershaft.desk.desk import Desk
from countershaft.desk.plain_faults import in_plain_words
from countershaft.desk.unknown import begin_unknown
from countershaft.errors import EntryRefused, Unknown
from countershaft.job.entry import ANY_BODY, KINDS, Body, JobOpened
from countershaft.job.words import Stage
from countershaft.papers.as_text import as_text
from countershaft.papers.label_sheets import label_document
from countershaft.papers.labels import MOST_SPARE
from countershaft.papers.labels import labels as labels_of
from countershaft.papers.report import report as report_of

__all__ = ["job"]

_BODY: TypeAdapter[Body] = TypeAdapter(ANY_BODY)
_SHORT_DIGEST: Final = 8


@click.group()
def job() -> None:
    """Open, list, show, continue and report jobs."""


job.add_command(off)
job.add_command(draft)
job.add_command(plan_job)


@job.command("list")
@shop_option
@json_option
def list_jobs(shop: Path, as_json: bool) -> None:
    """List every job with the exact point at which it goes on."""
    with desk_of(shop) as desk:
        cards = desk.cards()
    if as_json:
        rows = [
            {
                "tag": card.tag,
                "vehicle": card.vehicle,
                "unit": card.unit,
                "stage": card.progress.resume.stage.value,
                "resume": card.progress.resume.words,
                "waits": list(card.progress.waiting),
                "released": card.progress.released,
            }
            for card in cards
        ]
        click.echo(json.dumps(rows, ensure_ascii=False, indent=2))
        return
    if not cards:
        click.echo(
            f"No job in {shop} yet. Begin one with: countershaft job new TAG --unit NAME --vehicle WORDS"
        )
    for card in cards:
        state = (
            "released"
            if card.progress.released
            else f"{card.progress.resume.stage.value}: {card.progress.resume.words}"
        )
        waits = f" (waits for {', '.join(card.progress.waiting)})" if card.progress.waiting else ""
        click.echo(f"{card.tag}  {card.vehicle}, {card.unit}\n    {state}{waits}")


@job.command()
@click.argument("tag")
@click.option("--unit", default=None, help="Name of a transmission file of the shop, or a path to one.")
@click.option(
    "--unknown",
    default=None,
    help="What to call a unit without a file; its log writes one.",
)
@click.option("--vehicle", required=True, help="The vehicle, in words.")
@click.option("--mileage-km", type=int, default=None, help="Mileage at intake.")
@shop_option
@by_option
def new(
    tag: str,
    unit: str | None,
    unknown: str | None,
    vehicle: str,
    mileage_km: int | None,
    shop: Path,
    by: str | None,
) -> None:
    """Begin a job under a TAG."""
    if (unit is None) == (unknown is None):
        raise click.UsageError("Give --unit for a transmission file, or --unknown for a unit without one.")
    with desk_of(shop, make=True) as desk:
        desk.shelve_library()
        digest = _definition(desk, unit) if unit is not None else begin_unknown(desk, unknown or "")
        opened = _checked(
            {
                "kind": "job_opened",
                "tag": tag,
                "vehicle": vehicle,
                "unit": desk.definition(digest).name,
                "definition": digest,
                "mileage_km": mileage_km,
            }
        )
        assert isinstance(opened, JobOpened), "the kind was given"
        desk.open_job(opened, by=person(by))
    click.echo(f"Job {tag} is open.")


@job.command()
@click.argument("tag")
@shop_option
@json_option
def show(tag: str, shop: Path, as_json: bool) -> None:
    """Show where job TAG stands, stage by stage."""
    with desk_of(shop) as desk:
        found, now = desk.job(tag), desk.progress(tag)
    if as_json:
        stages = {one.stage.value: {"state": one.how, "words": one.words} for one in now.stages}
        resume = {
            "stage": now.resume.stage.value,
            "words": now.resume.words,
            "kind": now.resume.kind,
            "key": now.resume.key,
        }
        answer = {
            "tag": tag,
            "stages": stages,
            "resume": resume,
            "waits": list(now.waiting),
            "released": now.released,
        }
        click.echo(json.dumps(answer, ensure_ascii=False, indent=2))
        return
    click.echo(f"Job {tag}: {found.state.opened.vehicle}, {found.state.opened.unit}")
    for one in now.stages:
        click.echo(f"  {one.stage.value:<10} {one.how:<5} {one.words}")
    click.echo(f"Go on: {now.resume.stage.value}: {now.resume.words}")
    for what in now.waiting:
        click.echo(f"Waits for {what}")
    for words in found.state.contradictions:
        click.echo(f"Contradiction: {words}")


@job.command()
@click.argument("tag")
@shop_option
@json_option
def log(tag: str, shop: Path, as_json: bool) -> None:
    """Print every entry of job TAG, oldest first."""
    with desk_of(shop) as desk:
        found = desk.job(tag)
    for entry in found.state.entries:
        if as_json:
            click.echo(entry.model_dump_json())
            continue
        body = entry.body.model_dump(mode="json", exclude={"kind"}, exclude_defaults=True)
        words = ", ".join(f"{name}={value}" for name, value in body.items())
        struck = " (undone)" if entry.id in found.state.undone else ""
        click.echo(f"{entry.id[:8]} {entry.at:%Y-%m-%d %H:%M} {entry.by}: {entry.body.kind}{struck} {words}")


@job.command()
@click.argument("tag")
@click.argument("kind", type=click.Choice(sorted(set(KINDS) - {"job_opened", "photo", "undone"})))
@click.argument("facts", nargs=-1, metavar="[NAME=VALUE]...")
@shop_option
@by_option
def record(tag: str, kind: str, facts: tuple[str, ...], shop: Path, by: str | None) -> None:
    """Let an entry of a KIND join the log of job TAG.

    Each fact is NAME=VALUE; a value that is a list or a table is given as JSON, as in values='["0.66","0.66","0.65"]'.
    """
    body = _checked({"kind": kind, **dict(_fact(text) for text in facts)})
    with desk_of(shop) as desk:
        entry = desk.append(tag, body, by=person(by))
        now = desk.progress(tag)
    click.echo(f"Written as {entry.id[:8]}. Go on: {now.resume.stage.value}: {now.resume.words}")


@job.command()
@click.argument("tag")
@click.argument("picture", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option(
    "--stage", type=click.Choice([stage.value for stage in Stage]), required=True, help="Stage it belongs to."
)
@click.option("--about", default=None, help="Step, part or limit that it shows.")
@click.option("--caption", default="", help="What it shows, in words.")
@shop_option
@by_option
def photo(
    tag: str, picture: Path, stage: str, about: str | None, caption: str, shop: Path, by: str | None
) -> None:
    """Keep a PICTURE with job TAG."""
    with desk_of(shop) as desk:
        desk.add_photo(
            tag, picture.read_bytes(), stage=Stage(stage), about=about, caption=caption, by=person(by)
        )
    click.echo(f"{picture.name} is kept with job {tag}.")


@job.command()
@click.argument("tag")
@click.argument("entry")
@click.option("--because", required=True, help="Why it no longer counts.")
@shop_option
@by_option
def undo(tag: str, entry: str, because: str, shop: Path, by: str | None) -> None:
    """Make an ENTRY of job TAG no longer count; its id may be cut short as `log` prints it."""
    with desk_of(shop) as desk:
        found = [one for one in desk.job(tag).state.entries if one.id.startswith(entry)]
        if len(found) != 1:
            raise Unknown(
                f"{len(found)} entries of job {tag} begin with {entry!r}; expected exactly one. Look at: job log {tag}"
            )
        desk.undo(tag, found[0].id, because=because, by=person(by))
    click.echo(f"{found[0].id[:8]} no longer counts.")


@job.command()
@click.argument("tag")
@shop_option
def report(tag: str, shop: Path) -> None:
    """Print the report of job TAG as text."""
    with desk_of(shop) as desk:
        found = desk.job(tag)
    click.echo(as_text(report_of(found.transmission, found.state)), nl=False)


@job.command()
@click.argument("tag")
@click.option(
    "--address",
    required=True,
    help="Where the pages are opened in the shop, such as http://192.168.1.5:8765.",
)
@click.option(
    "--spare", type=click.IntRange(0, MOST_SPARE), default=6, show_default=True, help="Blank trays."
)
@click.option(
    "--out", type=click.Path(dir_okay=False, writable=True, path_type=Path), default=Path("labels.html"),
    show_default=True, help="File to write; print it from a browser at 100 %.",
)  # fmt: skip
@shop_option
def labels(tag: str, address: str, spare: int, out: Path, shop: Path) -> None:
    """Write the labels of job TAG, its trays and its parts in hand as sheets to print."""
    if not re.fullmatch(r"https?://[^\s/]+/*", address):
        raise click.BadParameter(
            f"{address!r}; expected http:// and a host, and no path.", param_hint="--address"
        )
    with desk_of(shop) as desk:
        found = desk.job(tag)
    made = labels_of(found.transmission, found.state, spare=spare)
    out.write_text(label_document(f"Labels of job {tag}", made, address), encoding="utf-8")
    click.echo(f"{len(made)} labels are in {out}.")


def _definition(desk: Desk, unit: str) -> str:
    """The digest of a file of the shop by its name or the first eight or more signs of its digest, or of a path."""
    if Path(unit).suffix in (".yaml", ".yml"):
        text, name = text_of(unit)
        return desk.add_definition(text, file=name)
    rows = desk.definitions()
    called = [row.digest for row in rows if row.name == unit]
    begin = [row.digest for row in rows if len(unit) >= _SHORT_DIGEST and row.digest.startswith(unit)]
    if called or len(begin) == 1:
        return (called or begin)[0]
    names = ", ".join(dict.fromkeys(row.name for row in rows))
    raise Unknown(f"No transmission file is called {unit!r}; the shop has {names}.")


def _fact(text: str) -> tuple[str, Any]:
    name, equals, value = text.partition("=")
    if not equals:
        raise click.UsageError(f"{text!r} is no NAME=VALUE.")
    if value[:1] in ("[", "{"):
        try:
            return name, json.loads(value, parse_float=Decimal)  # a figure keeps the digits that were typed
        except json.JSONDecodeError as cause:
            raise click.UsageError(f"{name}: {value!r} is no JSON: {cause}.") from cause
    return name, {"true": True, "false": False}.get(value, value)


def _checked(values: dict[str, Any]) -> Body:
    try:
        return _BODY.validate_python(values)
    except ValidationError as cause:
        faults = "; ".join(
            f"{'.'.join(str(part) for part in fault['loc'][1:])}: {in_plain_words(fault).removesuffix('.')}"
            for fault in cause.errors()
        )
        raise EntryRefused(f"The entry was not written: {faults}.") from cause
