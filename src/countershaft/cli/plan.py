"""`countershaft plan FILE`: in which order, how long at least, and why; also of a job as it stands."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import asdict
from pathlib import Path
from typing import Any

import click

from countershaft.cli.define import text_of
from countershaft.cli.shop import desk_of, shop_option
from countershaft.definitions.reader import read_transmission
from countershaft.desk.order_of_work import (
    Asked,
    OrderOfWork,
    build_after,
    clock,
    order_of_work,
    outlook_of,
    verdict_of,
)
from countershaft.desk.order_standing import reality_given, reality_of
from countershaft.errors import CountershaftError, DefinitionError, Fault
from countershaft.model.bench_work import step_and_way
from countershaft.model.transmission import Transmission
from countershaft.planning.waiting import Outlook, Reality
from countershaft.stages.work import Phase

__all__ = ["plan", "plan_job"]


def asked_options(command: Any) -> Any:
    """The options of every question about the order of work."""
    for option in reversed((
        click.option("--phase", type=click.Choice(("teardown", "build")), default="teardown", show_default=True,
                     help="Taking apart or putting together."),
        click.option("--reach", default="", metavar="PART", help="Only what leads to a part or step."),
        click.option("--people", type=click.IntRange(1, 2), default=1, show_default=True, help="How many are there."),
        click.option("--prove", is_flag=True, help="Search on for a proof, up to half a minute."),
        click.option("--json", "as_json", is_flag=True, help="Print plain JSON."),
    )):  # fmt: skip
        command = option(command)
    return command


@click.command()
@click.argument("file")
@asked_options
@click.option("--late", multiple=True, metavar="PART", help="A part that is not at hand; may be repeated.")
@click.option(
    "--done", multiple=True, metavar="STEP", help="A step that is behind, T08 or T08/WAY; may be repeated."
)
@click.option(
    "--impossible", multiple=True, metavar="STEP", help="A step that cannot be done; may be repeated."
)
@click.pass_context
def plan(  # noqa: PLR0913, PLR0917  # click hands over one argument for each option
    ctx: click.Context,
    file: str,
    phase: Phase,
    reach: str,
    people: int,
    prove: bool,
    as_json: bool,
    late: tuple[str, ...],
    done: tuple[str, ...],
    impossible: tuple[str, ...],
) -> None:
    """Print the order of work of a transmission FILE that takes least time.

    Turning the unit and changing tools count.  It is called optimal only where that is proven; else it says how much
    time any order takes at least.
    FILE is a path, or the name of a file that ships with the program, such as demo-b.
    """
    if late and phase != "build":
        raise click.UsageError("--late is of the build, which puts parts on; add --phase build.")
    try:
        text, name = text_of(file)
        unit = read_transmission(text, name)
        asked = Asked(phase, reach, people, prove)
        reality = reality_given(unit, phase, done=done, late=late, impossible=impossible)
        said = answer_of(unit, asked, reality, Reality(), as_json=as_json)
    except CountershaftError as error:
        if not as_json:
            raise
        faults = error.faults if isinstance(error, DefinitionError) else (Fault("", str(error), file=file),)
        click.echo(json.dumps([asdict(fault) for fault in faults], ensure_ascii=False, indent=2))
        ctx.exit(1)
    click.echo(said)


@click.command("plan")
@click.argument("tag")
@asked_options
@shop_option
def plan_job(tag: str, phase: Phase, reach: str, people: int, prove: bool, as_json: bool, shop: Path) -> None:
    """Print the order of what is left to do on job TAG, what can be done now, and what each late part blocks."""
    with desk_of(shop) as desk:
        found = desk.job(tag)
    reality = reality_of(found.transmission, found.state, phase)
    building = reality_of(found.transmission, found.state, "build")
    asked = Asked(phase, reach, people, prove)
    click.echo(answer_of(found.transmission, asked, reality, building, as_json=as_json))


def answer_of(unit: Transmission, asked: Asked, reality: Reality, building: Reality, *, as_json: bool) -> str:
    """The order, with what can be done now and the build after it, as text or as JSON."""
    order = order_of_work(unit, asked, reality)
    seen = outlook_of(unit, asked.phase, reality)
    after = None
    if asked.reach and asked.phase == "teardown" and unit.phase("build"):
        after = build_after(unit, order, building, prove=asked.prove)
    if as_json:
        whole = {
            **_plain(order),
            **_plain_outlook(seen),
            "build_after": None if after is None else _plain(after),
        }
        return json.dumps(whole, ensure_ascii=False, indent=2)
    lines = [f"{unit.name}, {asked.phase}", *_text(order), *_text_outlook(seen)]
    if after is not None:
        lines += ["", "The build after it", *_text(after)]
    return "\n".join(lines)


def _plain(order: OrderOfWork) -> dict[str, Any]:
    return {
        "phase": order.asked.phase,
        "people": order.asked.people,
        "verdict": "optimal" if order.proven else "best found",
        "total_s": order.total,
        "bound_s": order.bound,
        "one_person_s": order.alone,
        "working_s": order.working,
        "setup_s": order.setup,
        "idle_s": order.idle,
        "turns": order.turns,
        "tools_taken_up": order.changes,
        "steps": [
            {
                "step": one.step.id,
                "title": one.step.title,
                "way": one.way or None,
                "by": [person + 1 for person in one.by],
                "begins_s": one.begins,
                "ends_s": one.ends,
                "setup_before_s": one.setup,
                "idle_before_s": one.idle,
                "turn_to": one.turn,
                "take_up": list(one.take),
                "lies": one.lies,
                "after": [{"step": each.step, "why": each.why, "by": each.by} for each in one.before],
            }
            for one in order.doings
        ],
        "not_needed": [step.id for step in order.spare],
        "blocked": list(order.blocked),
        "without_minutes": list(order.untimed),
    }


def _steps(names: Iterable[str]) -> list[str]:
    """The steps of the file behind the planner's names, each once."""
    return list(dict.fromkeys(step_and_way(name)[0] for name in names))


def _plain_outlook(seen: Outlook) -> dict[str, Any]:
    return {
        "now": _steps(seen.now),
        "late": {part: _steps(steps) for part, steps in seen.late.items()},
        "done_early": [{"step": _steps((step,))[0], "before": _steps(need.of)} for step, need in seen.early],
        "do_again": _steps(seen.again),
    }


def _text(order: OrderOfWork) -> list[str]:
    """The order, to read at a terminal."""
    verdict = verdict_of(order)
    lines = [f"{verdict[0].upper()}{verdict[1:]}."]
    if order.doings:
        turns = f"{order.turns} turn{'' if order.turns == 1 else 's'} of the unit"
        lines.append(
            f"Steps {clock(order.working)}; {clock(order.setup)} for {turns} and "
            f"{order.changes} tools taken up" + (f"; waiting {clock(order.idle)}" if order.idle else "") + "."
        )  # fmt: skip
    lines.append("")
    for number, one in enumerate(order.doings, start=1):
        if one.turn:
            lines.append(f"      turn the unit: {one.turn}")
        if one.take:
            lines.append(f"      take up: {', '.join(one.take)}")
        if one.idle:
            lines.append(f"      wait {clock(one.idle)}")
        at = f"{one.begins // 3600}:{one.begins // 60 % 60:02d}"
        who = (
            f"  person {' and '.join(str(person + 1) for person in one.by)}" if order.asked.people > 1 else ""
        )
        way = f" ({one.way})" if one.way else ""
        lines.append(
            f"{number:3d} {at:>6}  {one.step.id} {one.step.title}{way}  {clock(one.ends - one.begins)}{who}"
        )
        lines += [f"            after {each.step}: {each.why}" for each in one.before]
    if order.spare:
        lines += ["", f"Not needed: {', '.join(step.id for step in order.spare)}."]
    if order.blocked:
        lines += ["", "Cannot be done as things stand:", *(f"  {words}" for words in order.blocked)]
    if order.untimed:
        lines += ["", f"The file gives no minutes for {', '.join(order.untimed)}: counted as nothing."]
    return lines


def _text_outlook(seen: Outlook) -> Iterator[str]:
    if seen.now:
        yield ""
        yield f"Can be done now: {', '.join(_steps(seen.now))}."
    for step, need in seen.early:
        yield f"{_steps((step,))[0]} is done, though {' or '.join(_steps(need.of))} was not."
    for step in _steps(seen.again):
        yield f"{step} used a part that is broken: it must be done again."
    for part, steps in seen.late.items():
        yield f"{part} alone blocks {len(_steps(steps))} steps: {', '.join(_steps(steps)) or 'none'}."
