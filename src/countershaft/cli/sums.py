"""`countershaft sum NAME`: one bench sum, each field an option; without a name, the list of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

import click

from countershaft.cli.faults import as_json
from countershaft.errors import Fault, FormError
from countershaft.sums.answer import Sum, Worked, key_of, printed, work_out
from countershaft.sums.asked import WORD, Asked
from countershaft.sums.register import GROUPS, SUMS

__all__ = ["sums"]


class Sums(click.Group):
    """The sums as commands, each made of its fields."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Every sum by name, in the order of the list."""
        del ctx
        return list(SUMS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of one sum."""
        del ctx
        return _command(SUMS[cmd_name]) if cmd_name in SUMS else None


@click.group("sum", cls=Sums, invoke_without_command=True)
@click.pass_context
def sums(ctx: click.Context) -> None:
    """Work out one bench sum from typed figures: wear, leaks, windings, springs, press fits, seals.

    Any unit may stand behind a figure, and a ± behind that; a bare figure is metric, or inch with --inch.
    """
    if ctx.invoked_subcommand is None:
        click.echo("\n".join(_listed()))


def _listed() -> Iterator[str]:
    for heading, found in GROUPS:
        yield heading
        yield from (f"  {one.name:<14}{one.asks}" for one in found)


def _command(one: Sum) -> click.Command:
    """A command with an option for each field of a sum."""
    return click.Command(
        one.name,
        params=[
            *(_option(field) for field in one.fields),
            click.Option(["--inch"], is_flag=True, help="Bare figures are in inches, pounds and °F."),
            click.Option(["--json", "plain"], is_flag=True, help="Print plain JSON."),
        ],
        callback=lambda **typed: _work(one, **typed),
        help=_help(one),
        short_help=one.title,
    )


def _option(field: Asked) -> click.Option:
    flag = f"--{field.name.replace('_', '-')}"
    if field.kind == WORD:
        kind = click.Choice([value for value, _ in field.options])
        return click.Option([flag, field.name], type=kind, required=field.needed, help=f"{field.label}.")
    words = f'{field.label}, such as "{field.example}".'
    hint = field.hint if field.hint.startswith("Left open") else ""
    return click.Option(
        [flag, field.name], required=field.needed, metavar="FIGURE", help=f"{words} {hint}".strip()
    )


def _help(one: Sum) -> str:
    cautions = "".join(f"\n\n{signal}: {words}" for signal, words in one.cautions)
    return f"{one.asks}{cautions}\n\nSource: {one.source}."


def _work(one: Sum, *, inch: bool, plain: bool, **typed: str | None) -> None:
    given = {name: text for name, text in typed.items() if text is not None}
    try:
        worked = work_out(one, given, inch=inch)
    except FormError as error:
        faults = [
            Fault(f"--{name.replace('_', '-')}" if name else "", words)
            for name, words in error.fields.items()
        ]
        if plain:
            click.echo(as_json([asdict(fault) for fault in faults]))
        else:
            click.echo("\n".join(f"countershaft: {fault}" for fault in faults), err=True)
        click.get_current_context().exit(1)
    click.echo(as_json(_plain(worked)) if plain else "\n".join(_text(worked, inch=inch)))


def _plain(worked: Worked) -> dict[str, Any]:
    figures: dict[str, Any] = {}
    for figure in worked.outcome.figures:
        for unit in figure.units:
            value, off = figure.within(unit)
            figures[key_of(figure, unit)] = float(f"{value:.12g}")
            if off is not None:
                figures[f"{key_of(figure, unit)}_expanded_uncertainty"] = float(f"{off:.12g}")
    found: dict[str, Any] = {"sum": worked.sum.name, "typed": worked.inputs.typed, "figures": figures}
    if worked.outcome.verdict:
        found |= {"verdict": worked.outcome.verdict, "why": worked.outcome.why}
    return {
        **found,
        "remarks": list(worked.outcome.remarks),
        "working": {figure.key: list(worked.working(figure)) for figure in worked.outcome.figures},
        "source": worked.sum.source,
    }


def _text(worked: Worked, *, inch: bool) -> Iterator[str]:
    yield from (f"{signal}: {words}" for signal, words in worked.sum.cautions)
    if worked.outcome.verdict:
        yield f"{worked.outcome.verdict}: {worked.outcome.why}"
    yield from (f"  {line}" for line in worked.brought)
    for figure in worked.outcome.figures:
        units = figure.units[::-1] if inch else figure.units
        texts = [printed(figure, unit) for unit in units]
        also = f" ({texts[1]})" if len(texts) > 1 else ""
        yield f"{figure.label}: {texts[0]}{also}"
        yield from (f"  {line}" for line in worked.working(figure)[len(worked.brought) :])
    yield from worked.outcome.remarks
    yield f"Source: {worked.sum.source}."
