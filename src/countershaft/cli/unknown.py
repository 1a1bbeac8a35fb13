"""`countershaft job off` and `countershaft job draft`: a unit without a file, from a terminal."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import click
from pydantic import ValidationError

from countershaft.cli.shop import by_option, desk_of, json_option, person, shop_option
from countershaft.definitions.writer import write_transmission
from countershaft.desk.plain_faults import in_plain_words
from countershaft.desk.unknown import drafted, keep_draft, log_removal
from countershaft.errors import BadInput
from countershaft.job.entry import CameOff
from countershaft.stages.draft import Draft

__all__ = ["draft", "off"]

_WITH = re.compile(r"^(\d+)\s*(?:of|x|×|\s)\s*(\S.*)$")


@click.command()
@click.argument("tag")
@click.argument("what")
@click.argument("count", type=int)
@click.argument("place")
@click.option(
    "--with",
    "sizes",
    multiple=True,
    help="Fasteners that came out with it, as '6 of M8x25'; any number of times.",
)
@click.option("--parked", is_flag=True, help="The fasteners went back into their own holes.")
@click.option("--together", is_flag=True, help="It came off at once with what was logged before it.")
@click.option("--remark", default="", help="What else there is to say.")
@shop_option
@by_option
def off(tag: str, what: str, count: int, place: str, shop: Path, by: str | None, **more: Any) -> None:
    """Log that COUNT pieces of WHAT came off the unit of job TAG and went to PLACE.

    For a unit that no file describes, and for what a file does not have.
    """
    try:
        came = CameOff.model_validate(
            {
                "what": what,
                "count": count,
                "fasteners": [_sized(one) for one in more["sizes"]],
                "together": more["together"],
                "remark": more["remark"],
            }
        )
    except ValidationError as cause:
        faults = "; ".join(
            f"{'.'.join(map(str, one['loc']))}: {in_plain_words(one).removesuffix('.')}"
            for one in cause.errors()
        )
        raise BadInput(f"Nothing was logged: {faults}.") from cause
    with desk_of(shop) as desk:
        entry = log_removal(desk, tag, came, place, by=person(by), parked=more["parked"])
        logged = [step.title for step in desk.job(tag).transmission.phase("teardown")][-1]
    click.echo(f"Written as {entry.id[:8]}: {count} × {logged} to {place}.")


@click.command()
@click.argument("tag")
@click.option("--without", multiple=True, help="A job whose teardown is left out; any number of times.")
@click.option(
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    default=None,
    help="Write the file there, as YAML.",
)
@click.option("--keep", is_flag=True, help="Keep it among the shop's files, for the next job.")
@shop_option
@json_option
def draft(
    tag: str, without: tuple[str, ...], out: Path | None, keep: bool, shop: Path, as_json: bool
) -> None:
    """Write a transmission file from the teardowns of the unit of job TAG.

    Prints what must come off before what, and how that is known; what was not always so is free.
    """
    with desk_of(shop) as desk:
        made = drafted(desk, tag, without=without)
        digest = keep_draft(desk, tag, without=without) if keep else ""
    if out is not None:
        _write(out, write_transmission(made.transmission))
    if as_json:
        click.echo(json.dumps(_plain(made, digest), ensure_ascii=False, indent=2))
        return
    observed = made.transmission.observed
    assert observed is not None, "a draft is from teardowns"
    click.echo(f"{made.transmission.name}, from job {', '.join(one.job for one in observed.teardowns)}")
    for must in made.order.musts:
        click.echo(f"  {made.called(must.before)} before {made.called(must.after)}: {must.evidence}")
    for before, after in made.order.doubtful:
        click.echo(f"  {made.called(before)} before {made.called(after)}: not sure, others contradict it")
    for step, jobs in made.only_in:
        click.echo(f"  {made.called(step)}: only in {', '.join(jobs)}; perhaps another name")
    for words in (f"Kept as {digest[:12]}." if keep else "", f"Written to {out}." if out else ""):
        if words:
            click.echo(words)


def _sized(text: str) -> dict[str, Any]:
    found = _WITH.match(text.strip())
    if found is None:
        raise BadInput(f"{text!r} is no number of fasteners; write it as '6 of M8x25'.")
    return {"count": int(found[1]), "size": found[2]}


def _write(out: Path, text: str) -> None:
    try:
        out.write_text(text, encoding="utf-8")
    except OSError as cause:
        raise BadInput(f"{out} cannot be written: {cause.strerror or cause}. Name another place.") from cause


def _plain(made: Draft, digest: str) -> dict[str, Any]:
    observed = made.transmission.observed
    assert observed is not None, "a draft is from teardowns"
    return {
        "name": made.transmission.name,
        "teardowns": [one.job for one in observed.teardowns],
        "steps": {step: made.called(step) for step in made.order.keys},
        "musts": [
            {
                "before": must.before,
                "after": must.after,
                "seen": must.seen,
                "without": must.without,
                "fixed": must.fixed,
            }
            for must in made.order.musts
        ],
        "doubtful": [list(pair) for pair in made.order.doubtful],
        "only_in": {step: list(jobs) for step, jobs in made.only_in},
        "kept": digest,
    }
