"""`countershaft choose`: the parts of all fits together, of a job or of a file with a stock and its gaps."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path
from typing import Any

import click

from countershaft.cli.define import text_of
from countershaft.cli.shop import desk_of, shop_option
from countershaft.definitions.shop_file import ShopFile, read_shop
from countershaft.errors import CountershaftError, DefinitionError, Fault
from countershaft.planning.choosing import Answer, FitPlan, Left, choose_fits
from countershaft.planning.reach import shown
from countershaft.stages.choosing import Choosing, FitChoice, Plan, choosing
from countershaft.stages.prediction import percent

__all__ = ["choose"]


@click.command()
@click.argument("tag", required=False)
@click.option(
    "--file", "file", default=None, metavar="FILE", help="Families, gaps, pieces and prices, without a job."
)
@click.option(
    "--plans", type=click.IntRange(1, 9), default=3, show_default=True, help="How many plans, best first."
)
@click.option(
    "--within-days", type=click.IntRange(0, 999), default=None, help="Order only what is here by then."
)
@click.option("--shelf-only", is_flag=True, help="Order nothing.")
@click.option("--json", "as_json", is_flag=True, help="Print plain JSON.")
@shop_option
@click.pass_context
def choose(  # noqa: PLR0917  # click hands over one argument for each option
    ctx: click.Context,
    tag: str | None,
    file: str | None,
    plans: int,
    within_days: int | None,
    shelf_only: bool,
    as_json: bool,
    shop: Path,
) -> None:
    """Choose the selective parts of all fits of job TAG together, or of a FILE.

    Most probable to be within limits first, then nearest to the goals, then fewest to order, then cheapest.
    Nothing is written: the choice is taken on the job's page, or with `countershaft job record TAG chosen`.
    """
    if (tag is None) == (file is None):
        raise click.UsageError("Give the TAG of a job, or --file with a stock and its gaps.")
    days = -1 if shelf_only else within_days
    try:
        if file is not None:
            read = read_shop(*text_of(file))
            answer = choose_fits(read.shop, plans=plans, within_days=days)
            said = _json(_of_file(read, answer)) if as_json else "\n".join(_file_lines(read, answer))
        else:
            with desk_of(shop) as desk:
                job = desk.job(tag or "")
            found = choosing(job.transmission, job.state, within_days=days, plans=plans)
            said = _json(_of_job(found)) if as_json else "\n".join(_job_lines(found))
    except CountershaftError as error:
        if not as_json:
            raise
        faults = (
            error.faults if isinstance(error, DefinitionError) else (Fault("", str(error), file=file or ""),)
        )
        click.echo(_json([asdict(fault) for fault in faults]))
        ctx.exit(1)
    click.echo(said)


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, indent=2)


def _of_left(one: Left) -> dict[str, Any]:
    return {
        "value": round(float(one.value), 12),
        "standard": round(one.standard, 12),
        "probability": round(one.probability, 12),
        "inside": one.inside,
        "working": list(one.working),
    }


# A file


def _of_file(read: ShopFile, answer: Answer) -> dict[str, Any]:
    return {
        "verdict": answer.verdict,
        "currency": read.currency or None,
        "best": _file_plan(answer.best),
        "others": [_file_plan(one) for one in answer.others],
        "from_shelf": _file_plan(answer.from_shelf) if answer.from_shelf is not None else None,
        "beyond": [{"gap": one.gap, "why": one.why, "suspects": list(one.suspects)} for one in answer.beyond],
        "waiting": list(answer.waiting),
        "no_step": [{"gap": one.gap, "why": one.why} for one in answer.no_step],
    }


def _file_plan(plan: FitPlan) -> dict[str, Any]:
    return {
        "probability": round(plan.probability, 12),
        "price_cents": plan.price,
        "days": plan.days,
        "places": {
            one.place: {
                "family": one.family,
                "piece": one.piece,
                "size_mm": round(float(one.size), 12),
                "standard_mm": round(one.standard, 12),
                "order": one.ordered,
                "price_cents": one.price,
                "days": one.days,
            }
            for one in plan.selected
        },
        "gaps": {one.gap: _of_left(one) for one in plan.left},
    }


def _file_lines(read: ShopFile, answer: Answer) -> Iterator[str]:
    for one in answer.best.selected:
        price = f", {one.price // 100}.{one.price % 100:02d} {read.currency}".rstrip() if one.ordered else ""
        yield f"{one.place}: {one.piece or f'order {one.family}'} {shown(one.size)} mm{price}"
    for left in answer.best.left:
        yield from _working(left)
    yield _proof(answer.verdict == "optimal", answer.best.probability)
    yield from answer.said()


# A job


def _of_job(found: Choosing) -> dict[str, Any]:
    return {
        "verdict": "optimal" if found.proven else "best found",
        "currency": found.currency or None,
        "fits": {one.fit.id: _job_fit(one) for one in found.fits},
        "best": _job_plan(found.best) if found.best is not None else None,
        "others": [_job_plan(one) for one in found.others],
        "from_shelf": _job_plan(found.shelf_only) if found.shelf_only is not None else None,
        "no_step": list(found.no_step),
        "void": list(found.voided),
    }


def _job_fit(one: FitChoice) -> dict[str, Any]:
    return {
        "how": one.how,
        "why": one.why or one.elsewhere,
        "suspects": list(one.suspects),
        "pieces": [
            {
                "seat": each.seat,
                "family": each.family.name,
                "piece": each.piece or None,
                "size_mm": float(each.size_mm),
                "order": each.ordered,
                "price_cents": each.price_cents,
                "days": each.days,
            }
            for each in one.goes
        ],
        "gaps": {left.gap: _of_left(left) for left in one.left},
    }


def _job_plan(plan: Plan) -> dict[str, Any]:
    return {
        "probability": round(plan.probability, 12),
        "price_cents": plan.price_cents,
        "days": plan.days,
        "seats": {
            one.seat: {"piece": one.piece or None, "size_mm": float(one.size_mm), "order": one.ordered}
            for one in plan.goes
        },
    }


def _job_lines(found: Choosing) -> Iterator[str]:
    for one in found.fits:
        yield f"{one.fit.id}  {one.fit.name}: {_said(one)}"
        for left in one.left:
            yield from _working(left)
        if one.elsewhere:
            yield f"    {one.elsewhere}"
        yield from (f"    look at: {words}" for words in one.suspects)
    yield from found.no_step
    yield from found.voided
    best = found.best
    if best is None:
        yield "Nothing is to be chosen now."
        return
    yield _proof(found.proven, best.probability)
    if best.to_order:
        shelf = found.shelf_only
        alone = percent(shelf.probability) if shelf is not None else "it cannot fill every place"
        price = f"{best.price_cents // 100}.{best.price_cents % 100:02d} {found.currency}"
        yield f"From the shelf only: {alone}; ordering {len(best.to_order)} for {price}, here in {best.days} days."
    for number, plan in enumerate(found.others, start=2):
        other = [one for one in plan.goes if one.words != best.at(one.seat).words]
        told = ", ".join(f"{one.seat} {one.piece or one.size_mm}" for one in other)
        less = best.probability - plan.probability
        costs = (
            f"costs {100 * less:.1f} % of probability"
            if less >= 0.0005
            else "is as probable, farther from the goals"
        )
        yield f"Plan {number} {costs}: {told}."


def _said(one: FitChoice) -> str:
    pieces = ", ".join(f"{each.words}{' (order)' if each.ordered else ''}" for each in one.goes)
    return {"closed": f"closed with {pieces}", "in": f"{pieces} is in, to be re-measured"}.get(
        one.how, pieces or one.why or "It is not measured yet."
    )


def _working(left: Left) -> Iterator[str]:
    yield from (f"    {line}" for line in left.working)


def _proof(proven: bool, probability: float) -> str:
    proof = "Proven: no other choice is better" if proven else "The best that was found; it is not proven"
    return f"{proof}. All fits are good with {percent(probability)}."
