"""`countershaft form HOW READINGS`: flatness, runout and other forms from readings typed in one line."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

import click

from countershaft.cli.define import text_of
from countershaft.cli.faults import as_json as plain
from countershaft.cli.faults import faults_json
from countershaft.definitions.reader import read_transmission
from countershaft.errors import BadInput, CountershaftError
from countershaft.metrology.decision import GUARDED, PLAIN, Decision, decide
from countershaft.model.forms import AnyForm
from countershaft.model.limits import Limit
from countershaft.stages.form import FormResult, form_result
from countershaft.units import Quantity, decimals, read

__all__ = ["form"]

#: What stands in for a limit while only the form is read.
_NO_LIMIT = "1000000 mm"


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("how")
@click.argument("readings", nargs=-1, required=True)
@click.option("--unit", default="mm", show_default=True, help="Unit of readings without one.")
@click.option("--step", default="", help="One step of the scale; else that of the last digit typed.")
@click.option("--max", "most", default="", metavar="LENGTH", help='Most that is allowed, such as "0.15 mm".')
@click.option("--min", "least", default="", metavar="LENGTH", help="Least that is allowed.")
@click.option("--plain", "is_plain", is_flag=True, help="Judge by the value alone, without a guard band.")
@click.option("--json", "as_json", is_flag=True, help="Print plain JSON.")
@click.pass_context
def form(  # noqa: PLR0913, PLR0917  # click hands over one argument for each option
    ctx: click.Context,
    how: str,
    readings: tuple[str, ...],
    unit: str,
    step: str,
    most: str,
    least: str,
    is_plain: bool,
    as_json: bool,
) -> None:
    """Find a form from READINGS at its places, in the order in which a page asks for them.

    HOW is the key `form` of a limit as it stands in a file, '{kind: runout, clock: [12, 3, 6, 9]}' for example, or a
    limit of a file that has one, as FILE:LIMIT; then that limit judges.
    """
    try:
        limit = _limit(how, least, most)
        assert limit.form is not None, "a limit without a form was refused"
        typed = tuple(_typed(one, unit) for one in readings)
        own, values = _in_one_unit(typed)
        resolution = _typed(step, own).value if step else Decimal(1).scaleb(-max(map(decimals, values)))
        lower, upper = (None if one is None else one.to(own) for one in (limit.min, limit.max))
        judged = bool(least or most or _is_file(how))
        result = form_result(
            limit.form, _by_place(limit.form, values), own, resolution=resolution, to=own,
            lower=lower if judged else None, upper=upper if judged else None,
        )  # fmt: skip
        verdict = None
        if judged:
            rule = PLAIN if is_plain else GUARDED
            verdict = decide(
                result.value, lower=lower, upper=upper, unit=own, digits=result.digits, rule=rule
            )
    except CountershaftError as error:
        if not as_json:
            raise
        click.echo(faults_json(error, how))
        ctx.exit(1)
    click.echo(plain(_plain(result, verdict)) if as_json else "\n".join(_words(result, verdict)))


def _is_file(how: str) -> bool:
    return not how.lstrip().startswith("{")


def _limit(how: str, least: str, most: str) -> Limit:
    """The limit whose form is meant; raises BadInput or DefinitionError."""
    if _is_file(how):
        file, _, name = how.rpartition(":")
        if not file:
            raise BadInput(
                f"{how!r} names no limit; write FILE:LIMIT, or a form such as '{{kind: runout, …}}'."
            )
        found = read_transmission(*text_of(file)).limit(name)
        if found.form is None:
            raise BadInput(f"Limit {name} of {file} is not measured by places; give its form instead.")
        return found
    ends = [f"min: {least}" if least else "", f"max: {most or _NO_LIMIT}" if most or not least else ""]
    head = "format: 1\nname: typed\nlimits:\n"
    limit = f"  - {{id: typed, name: form, {', '.join(filter(None, ends))}, form: {how}}}\n"
    return read_transmission(head + limit, "HOW").limit("typed")


def _typed(text: str, unit: str) -> Quantity:
    return read(text, kind="length", default=unit)


def _in_one_unit(typed: Sequence[Quantity]) -> tuple[str, tuple[Decimal, ...]]:
    """The readings and their unit; raises BadInput where they are in several."""
    units = list(dict.fromkeys(one.unit for one in typed))
    if len(units) > 1:
        raise BadInput(f"The readings are in {' and '.join(units)}; type all of them in one unit.")
    return units[0], tuple(one.value for one in typed)


def _by_place(how: AnyForm, values: Sequence[Decimal]) -> dict[str, tuple[Decimal, ...]]:
    """The readings place by place; raises BadInput where there are too few or too many."""
    spots = [spot for row in how.place_rows for spot in row.spots]
    if len(values) != len(spots) * how.repeats:
        names = ", ".join(spot.label for spot in spots)
        again = f", {how.repeats} each" if how.repeats > 1 else ""
        raise BadInput(f"Expected {len(spots) * how.repeats} readings, at {names}{again}; got {len(values)}.")
    return {
        spot.name: tuple(values[place * how.repeats : (place + 1) * how.repeats])
        for place, spot in enumerate(spots)
    }


def _words(result: FormResult, verdict: Decision | None) -> list[str]:
    lines = [f"{result.what}: {result.value.stated(result.unit, digits=result.digits)}"]
    lines += [f"{label}: {words}" for label, words in result.beside]
    if verdict is not None:
        lines.append(f"{verdict.verdict.value}: {verdict.why}")
    return [*lines, "", *result.value.working(result.unit, digits=result.digits)]


def _plain(result: FormResult, verdict: Decision | None) -> dict[str, Any]:
    key = re.sub(r"\W+", "_", result.unit)
    freedom = result.value.degrees_of_freedom
    return {
        "what": result.what,
        f"value_{key}": result.value.mean,
        f"standard_{key}": result.value.standard,
        f"expanded_{key}": result.value.expanded,
        "degrees_of_freedom": None if math.isinf(freedom) else freedom,
        "beside": dict(result.beside),
        "verdict": verdict.verdict.value if verdict else None,
        "probability": verdict.probability if verdict else None,
        "working": list(result.value.working(result.unit, digits=result.digits)),
    }
