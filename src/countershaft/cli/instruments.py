"""`countershaft shop …`: the shop's instruments and its rule from a terminal, through the same desk as the pages."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any, Final

import click
from pydantic import ValidationError

from countershaft import units
from countershaft.cli.faults import as_json as plain
from countershaft.cli.shop import by_option, desk_of, json_option, person, shop_option
from countershaft.desk.desk import Desk
from countershaft.desk.plain_faults import in_plain_words
from countershaft.errors import FormError, QuantityError
from countershaft.job.at_shop import (
    InstrumentCalibrated,
    InstrumentKind,
    InstrumentListed,
    InstrumentRetired,
    RuleSaid,
    ShopBody,
)
from countershaft.job.shop import ShopInstrument
from countershaft.stages.calibration import Due, by_urgency

__all__ = ["shop"]

#: A field of an entry by the option that says it.
_OPTIONS: Final[dict[str, str]] = {
    "id": "--mark",
    "name": "NAME",
    "sort": "--kind",
    "unit": "--unit",
    "resolution": "--step",
    "permitted_error": "--error",
    "zero_offset": "--zero",
    "calibrated": "--on",
    "due": "--due",
    "error_found": "--found",
    "certificate_u": "--u",
    "certificate_k": "--k",
    "note": "--note",
    "because": "--because",
}

_kinds = click.Choice([one.value for one in InstrumentKind])
_on = click.option("--on", "calibrated", default=None, help="Day of its last calibration, as 2026-03-02.")
_due = click.option("--due", default=None, help="Day of its next calibration.")
_zero = click.option("--zero", "zero_offset", default=None, help="What it shows at zero.")
_u = click.option("--u", "certificate_u", default=None, help="U of the certificate.")
_k = click.option("--k", "certificate_k", default=None, help="k of the certificate, most often 2.")
_note = click.option("--note", default=None, help="A note, in words.")


@click.group()
def shop() -> None:
    """List, calibrate and retire the shop's instruments, and say how it decides.

    All figures of an instrument are in the unit that it shows.
    """


@shop.command()
@shop_option
@json_option
def instruments(shop: Path, as_json: bool) -> None:
    """List every instrument, those whose calibration ran out first."""
    with desk_of(shop) as desk:
        state, today = desk.shop(), desk.today()
    every = by_urgency(state.instruments.values(), today)
    if as_json:
        used = [_plain(one.instrument) | _holds(one) for one in every]
        gone = [_plain(one) | {"retired": one.why_retired} for one in state.retired.values()]
        click.echo(plain({"rule": state.rule, "instruments": used, "retired": gone}))
        return
    if not every:
        click.echo(
            f"No instrument in {shop} yet. List one with: countershaft shop add NAME --kind … --unit …"
        )
    for one in every:
        click.echo(f"{one.instrument.id}  {one.instrument.name}, {_figures(one.instrument)}\n    {one.words}")
    for tool in state.retired.values():
        click.echo(f"{tool.id}  {tool.name}, retired: {tool.why_retired}")


@shop.command()
@click.argument("name")
@click.option(
    "--kind",
    "sort",
    type=click.Choice([one.value for one in InstrumentKind]),
    required=True,
    help="What it is.",
)
@click.option("--unit", required=True, help="The unit that it shows, such as mm, in or kPa.")
@click.option("--step", "resolution", required=True, help="One step of its scale.")
@click.option("--error", "permitted_error", required=True, help="How far it may be off, either way.")
@click.option(
    "--mark", "id", default=None, help="Its mark; the next free one, such as I7, where none is given."
)
@_on
@_due
@_zero
@_u
@_k
@click.option("--cable", is_flag=True, help="It types its value like a keyboard, then Enter.")
@_note
@shop_option
@by_option
def add(shop: Path, by: str | None, **given: Any) -> None:
    """Put an instrument on the list under a NAME."""
    with desk_of(shop) as desk:
        mark = given.pop("id") or desk.shop().next_id
        body = _checked(InstrumentListed, {**given, "id": mark, "unit": _unit(given["unit"])})
        _say(desk, body, by)
    click.echo(f"{mark} {given['name']} is on the list. Write {mark} on it.")


@shop.command()
@click.argument("mark")
@_on
@_due
@click.option("--found", "error_found", default=None, help="Largest error that the certificate names.")
@click.option(
    "--error", "permitted_error", default=None, help="How far it may be off, where that has changed."
)
@_zero
@_u
@_k
@_note
@shop_option
@by_option
def calibrate(mark: str, shop: Path, by: str | None, **given: Any) -> None:
    """Say that the instrument with a MARK was calibrated."""
    with desk_of(shop) as desk:
        _say(desk, _checked(InstrumentCalibrated, {**given, "id": mark}), by)
    click.echo(f"{mark} is calibrated to {given['due']}.")


@shop.command()
@click.argument("mark")
@click.option("--because", required=True, help="Why it is used no more.")
@shop_option
@by_option
def retire(mark: str, because: str, shop: Path, by: str | None) -> None:
    """Say that the instrument with a MARK is used no more; what was read on it keeps its figures."""
    with desk_of(shop) as desk:
        _say(desk, _checked(InstrumentRetired, {"id": mark, "because": because}), by)
    click.echo(f"{mark} is retired.")


@shop.command()
@click.argument("name", type=click.Choice(["plain", "guarded"]), required=False)
@click.option("--because", default=None, help="Who agreed to it, or what asks for it.")
@shop_option
@by_option
def rule(name: str | None, because: str | None, shop: Path, by: str | None) -> None:
    """Print the rule by which the shop decides, or choose another by its NAME."""
    with desk_of(shop) as desk:
        if name is not None:
            _say(desk, _checked(RuleSaid, {"rule": name, "because": because}), by)
        state = desk.shop()
    body = state.rule_said.body if state.rule_said else None
    why = f", because: {body.because}" if isinstance(body, RuleSaid) else "; nobody has chosen it"
    click.echo(f"It decides {state.rule}{why}")


def _say(desk: Desk, body: ShopBody, by: str | None) -> None:
    """Let an entry join the shop's log; what is wrong is named by its option."""
    try:
        desk.append_shop(body, by=person(by))
    except FormError as fault:
        raise _by_option(fault.fields) from fault


def _checked(kind: type[ShopBody], given: dict[str, Any]) -> ShopBody:
    try:
        return kind.model_validate({name: value for name, value in given.items() if value is not None})
    except ValidationError as cause:
        faults: dict[str, str] = {}
        for fault in cause.errors():
            faults.setdefault(str(fault["loc"][0]), in_plain_words(fault))
        raise _by_option(faults) from cause


def _by_option(fields: dict[str, str]) -> FormError:
    return FormError({_OPTIONS.get(name, name): words for name, words in fields.items()})


def _unit(typed: str) -> str:
    """The symbol of a unit as it was typed, "inch" for example; one that is not known is left to the review."""
    try:
        return units.read(f"0 {typed}").unit
    except QuantityError:
        return typed


def _figures(one: ShopInstrument) -> str:
    cable = ", cable" if one.listed.cable else ""
    error = one.standing().permitted_error
    return f"{one.sort}, step {one.listed.resolution} {one.unit}, may be off {error} {one.unit}{cable}"


def _plain(one: ShopInstrument) -> dict[str, Any]:
    """An instrument in plain figures; all are in its unit."""
    now = one.standing()
    return {
        "id": one.id,
        "name": one.name,
        "kind": one.sort.value,
        "unit": one.unit,
        "resolution": _number(one.listed.resolution),
        "permitted_error": _number(now.permitted_error),
        "zero_offset": _number(now.zero_offset),
        "error_found": _number(now.error_found),
        "certificate_u": _number(now.certificate_u),
        "certificate_k": _number(now.certificate_k),
        "calibrated": now.calibrated.isoformat() if now.calibrated else None,
        "due": now.due.isoformat() if now.due else None,
        "cable": one.listed.cable,
        "note": one.listed.note,
    }


def _holds(one: Due) -> dict[str, Any]:
    return {"state": one.holds.value, "days": one.days, "words": one.words}


def _number(value: Decimal | None) -> float | None:
    return None if value is None else float(value)
