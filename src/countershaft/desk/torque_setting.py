"""What to set on the wrench: an adapter in line or at an angle, and whether the tool may be used there."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from countershaft import units
from countershaft.errors import BadInput, CountershaftError, FormError
from countershaft.mechanics.torque_tool import (
    SideBySide,
    TorqueTool,
    Usable,
    adapter_setting,
    check_points,
    side_by_side,
    usable,
)
from countershaft.units import Quantity

__all__ = ["TOOL_KINDS", "Setting", "ToolAsked", "read_tool", "setting", "three_digits"]

#: Types and classes of ISO 6789 as they are offered; the words say what they are.
TOOL_KINDS: Final[tuple[tuple[str, str], ...]] = (
    ("II A", "clicks, adjustable, with a scale"),
    ("II B", "clicks, one fixed setting"),
    ("II C", "clicks, adjustable, without a scale"),
    ("II G", "clicks, with a flexion bar"),
    ("I A", "shows, with a bar that bends"),
    ("I B", "shows, with scale or dial"),
    ("I C", "shows, electronic"),
)


@dataclass(frozen=True, slots=True)
class ToolAsked:
    """A wrench as it is in hand: lever and adapter [m], their angle [rad], and the tool where it was typed."""

    wrench: float | None = None
    adapter: float | None = None
    angle: float = 0.0
    tool: TorqueTool | None = None


@dataclass(frozen=True, slots=True)
class Setting:
    """What to set, in N·m as it is worked out and rounded in three units, how it follows, and whether the tool may."""

    newton_metres: float
    wanted: SideBySide
    set_to: SideBySide
    working: tuple[str, ...]
    tool: TorqueTool | None
    fits: Usable | None
    checked_at: tuple[float, float, float] | None


def read_tool(texts: Mapping[str, str]) -> ToolAsked | None:
    """Read what was typed: `wrench`, `adapter`, `angle`, `kind`, `least`, `most`; None where nothing was.

    Lengths are in millimetres unless a unit stands behind them, torques in N·m.  Raises FormError by field.
    """
    if not any(texts.get(name, "").strip() for name in ("wrench", "adapter", "kind", "least", "most")):
        return None
    errors: dict[str, str] = {}
    wrench = _figure(texts, errors, "wrench", _length)
    adapter = _figure(texts, errors, "adapter", _length)
    angle = _figure(
        texts, errors, "angle", lambda text: math.radians(float(units.read(text, default="°").value))
    )
    least = _figure(texts, errors, "least", _torque)
    most = _figure(texts, errors, "most", _torque)
    if (wrench is None) != (adapter is None) and not errors:
        missing = "wrench" if wrench is None else "adapter"
        errors[missing] = "wrench and adapter count together; type both lengths, or neither."
    tool = None
    if not errors and (most is not None or least is not None or texts.get("kind", "").strip()):
        tool = _tool(texts.get("kind", "").strip(), least, most, errors)
    if errors:
        raise FormError(errors)
    return ToolAsked(wrench, adapter, angle or 0.0, tool)


def setting(torque: Quantity, asked: ToolAsked) -> Setting:
    """What to set for a torque; raises OutOfRange where an adapter reaches back too far."""
    wanted = side_by_side(torque.value, torque.unit)
    newton_metres = torque.to("N·m")
    value, working = newton_metres, ["no adapter: set what is wanted"]
    if asked.wrench is not None and asked.adapter is not None:
        value = adapter_setting(newton_metres, wrench=asked.wrench, adapter=asked.adapter, angle=asked.angle)
        lever, longer = asked.wrench * 1e3, asked.adapter * 1e3
        turned = f"·cos {math.degrees(asked.angle):.3g}°" if asked.angle else ""
        working = [
            "setting = torque × L / (L + E·cos α), L to the middle of the grip, E from the square to the bolt",
            f"{newton_metres:.4g} N·m × {lever:.4g} / ({lever:.4g} + {longer:.4g}{turned}) = {value:.4g} N·m",
        ]
    shown = three_digits(float(torque.value) * value / newton_metres)
    return Setting(
        value,
        wanted,
        side_by_side(shown, torque.unit),
        tuple(working),
        asked.tool,
        usable(asked.tool, value) if asked.tool is not None else None,
        check_points(asked.tool) if asked.tool is not None else None,
    )


def three_digits(figure: float) -> Decimal:
    """A torque as finely as a wrench is set: three digits, all of them before the point."""
    return Decimal(f"{figure:.0f}" if figure >= 999.5 else f"{figure:#.3g}".removesuffix("."))


def _tool(kind: str, least: float | None, most: float | None, errors: dict[str, str]) -> TorqueTool | None:
    if most is None:
        errors["most"] = "the largest torque of the scale is needed to judge the tool."
        return None
    if not kind:
        errors["kind"] = "choose what kind of tool it is."
        return None
    name, _, letter = kind.partition(" ")
    if name not in ("I", "II"):
        errors["kind"] = f"{kind!r} is no type and class; such as II A."
        return None
    try:
        return TorqueTool("I" if name == "I" else "II", letter, 0.2 * most if least is None else least, most)
    except CountershaftError as cause:
        errors["most"] = str(cause)
        return None


def _length(text: str) -> float:
    found = units.read(text, kind="length", default="mm").to("m")
    if found <= 0:
        raise BadInput(f"{text!r} is no length; type more than 0.")
    return found


def _torque(text: str) -> float:
    return units.read(text, kind="torque", default="N·m").to("N·m")


def _figure(
    texts: Mapping[str, str], errors: dict[str, str], name: str, read: Callable[[str], float]
) -> float | None:
    text = texts.get(name, "").strip()
    if not text:
        return None
    try:
        return read(text)
    except CountershaftError as cause:
        errors[name] = str(cause)
        return None
