"""`countershaft bolt THREAD`: preload of a torque, torque for a preload, engagement, and what to set on the wrench."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from typing import Any

import click

from countershaft import units
from countershaft.cli.fasteners import plain_answer
from countershaft.cli.faults import as_json as plain
from countershaft.cli.faults import faults_json
from countershaft.desk.bolt_question import BoltAnswer, ask_bolt
from countershaft.desk.torque_setting import Setting, read_tool, setting, three_digits
from countershaft.errors import BadInput, CountershaftError, FormError
from countershaft.mechanics.bolt_check import USUAL_FRICTION, BoltedPlace
from countershaft.mechanics.thread import parse_thread
from countershaft.mechanics.torque_tool import side_by_side

__all__ = ["bolt"]


@click.command()
@click.argument("thread")
@click.option("--left", is_flag=True, help="Left-hand thread.")
@click.option("--class", "strength", default=None, help="Class on the head, such as 8.8.")
@click.option("--head", default=None, help='Kind of head, such as "hex flange".')
@click.option("--torque", default=None, help='Torque with its unit, such as "24 N·m" or "18 lbf·ft".')
@click.option("--turn", default=None, help='Angle turned after the torque, such as "90 °".')
@click.option("--preload", default=None, help='Wanted preload instead, such as "15 kN".')
@click.option("--friction", default=None, help="One coefficient or a band, such as 0.12 or 0.10-0.14.")
@click.option("--into", default=None, help="What is tapped: steel, cast iron, aluminium, magnesium.")
@click.option("--under", default=None, help="What the head presses on.")
@click.option("--length", default=None, help='Length under the head, such as "45 mm" or "1.75 in".')
@click.option("--grip", default=None, help="Everything clamped.")
@click.option("--depth", default=None, help="Full thread in the hole.")
@click.option("--through", is_flag=True, help="The hole goes through.")
@click.option(
    "--wrench", default="", help="Wrench from its square to the middle of the grip, for an adapter."
)
@click.option("--adapter", default="", help="Adapter from the square to the bolt.")
@click.option("--angle", default="", help="Angle between wrench and adapter in degrees; 0 in line.")
@click.option("--tool", default="", help='Type and class of the torque tool (ISO 6789), such as "II A".')
@click.option("--least", default="", help="Where its scale begins.")
@click.option("--most", default="", help="Its largest torque.")
@click.option("--json", "as_json", is_flag=True, help="Print plain JSON.")
@click.pass_context
def bolt(ctx: click.Context, /, thread: str, as_json: bool, **asked: Any) -> None:
    """Work out one bolt: THREAD is such as M8x1.25 or 1/4-20 UNC.

    A torque or a length always has its unit behind it: nothing is guessed.  Follow the maker's service information; a
    torque of his stands above any that is worked out here.
    """
    try:
        place, friction = _place(thread, asked), _friction(asked["friction"])
        preload = None if asked["preload"] is None else units.read(asked["preload"], kind="force").to("N")
        found = ask_bolt(place, preload=preload, friction=friction)
        tool = _setting(asked)
    except CountershaftError as error:
        if not as_json:
            raise
        click.echo(faults_json(error, ""))
        ctx.exit(1)
    click.echo(plain(_plain(found, tool)) if as_json else "\n".join(_text(found, tool)))


def _place(thread: str, asked: dict[str, Any]) -> BoltedPlace:
    def metres(name: str) -> float | None:
        return None if asked[name] is None else units.read(asked[name], kind="length").to("m")

    torque = asked["torque"]
    return BoltedPlace(
        thread=parse_thread(thread, hand="left" if asked["left"] else "right"),
        property_class=asked["strength"],
        head=asked["head"],
        into=asked["into"],
        under_head=asked["under"],
        length=metres("length"),
        grip=metres("grip"),
        thread_depth=metres("depth"),
        torque=None if torque is None else units.read(torque, kind="torque").to("N·m"),
        angle=None
        if asked["turn"] is None
        else math.radians(units.read(asked["turn"], kind="angle").to("°")),
        through=asked["through"],
    )


def _friction(text: str | None) -> tuple[float, float]:
    if text is None:
        return USUAL_FRICTION
    figures = re.findall(r"\d*[.,]?\d+", text)
    if not 1 <= len(figures) <= 2:
        raise BadInput(f"{text!r} is no friction; type one figure such as 0.12, or a band such as 0.10-0.14.")
    least, most = (float(figures[index].replace(",", ".")) for index in (0, -1))
    return min(least, most), max(least, most)


def _setting(asked: dict[str, Any]) -> Setting | None:
    """What to set on the wrench, where one was named."""
    names = {
        "wrench": "wrench",
        "adapter": "adapter",
        "angle": "angle",
        "kind": "tool",
        "least": "least",
        "most": "most",
    }
    try:
        tool = read_tool({name: asked[option] for name, option in names.items()})
    except FormError as fault:
        raise BadInput(
            "; ".join(f"--{names[name]}: {words}" for name, words in fault.fields.items())
        ) from fault
    if tool is None:
        return None
    if asked["torque"] is None:
        raise BadInput("--torque is needed to say what to set on the wrench.")
    return setting(units.read(asked["torque"], kind="torque"), tool)


def _plain(found: BoltAnswer, tool: Setting | None) -> dict[str, Any]:
    whole: dict[str, Any] = {
        "answers": [plain_answer(answer) for answer in found.answers],
        "working": list(found.working),
    }
    if found.torques:
        whole["torques"] = [
            {
                "friction": one.friction,
                "torque_nm": one.torque,
                "nut_factor": one.nut_factor,
                "working": one.working,
            }
            for one in found.torques
        ]
    if tool is not None:
        whole["wrench"] = {
            "set_nm": tool.newton_metres,
            "set_lbf_ft": units.convert(tool.newton_metres, "N·m", "lbf·ft"),
            "set_lbf_in": units.convert(tool.newton_metres, "N·m", "lbf·in"),
            "working": list(tool.working),
            "usable": None if tool.fits is None else tool.fits.good,
            "why": None if tool.fits is None else tool.fits.why,
        }
    return whole


def _text(found: BoltAnswer, tool: Setting | None) -> Iterator[str]:
    for one in found.torques:
        side = side_by_side(three_digits(one.torque), "N·m").words
        yield f"friction {one.friction:g}: {side}, nut factor {one.nut_factor:.3f}"
        yield f"  {one.working}"
    for answer in found.answers:
        yield f"{answer.name:<24}{answer.verdict:<9}{answer.words.removeprefix('unknown: ')}"
    yield from (f"  {line}" for line in found.working)
    if tool is not None:
        yield f"set on the wrench       {tool.set_to.words}"
        yield from (f"  {line}" for line in tool.working)
        if tool.fits is not None:
            yield f"  {'the tool may be used' if tool.fits.good else 'not this tool'}: {tool.fits.why}"
