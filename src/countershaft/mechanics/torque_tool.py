"""The torque wrench: what to set with an adapter on it, what its class promises, and one torque in three units.

A figure without its unit is never taken for one: 20 is a broken M6 in N·m and a loose one in lbf·in.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, Literal

from countershaft.errors import BadInput, OutOfRange
from countershaft.units import KINDS, convert

__all__ = [
    "SideBySide",
    "TorqueTool",
    "Usable",
    "adapter_setting",
    "check_points",
    "permissible_deviation",
    "setting_with_drag",
    "side_by_side",
    "torque_with_adapter",
    "usable",
]

#: Type and class to what they are, and whether 4 % holds above 10 N·m (else 6 % throughout).
#: ISO 6789:2003 and 6789-1:2017; type II class A was read, the rest is from memory.
CLASSES: Final[dict[tuple[str, str], tuple[str, bool]]] = {
    ("I", "A"): ("wrench with torsion or flexion bar", False),
    ("I", "B"): ("wrench with scale, dial or display", True),
    ("I", "C"): ("wrench with electronic measurement", True),
    ("I", "D"): ("screwdriver with scale, dial or display", False),
    ("I", "E"): ("screwdriver with electronic measurement", True),
    ("II", "A"): ("adjustable wrench with scale or display", True),
    ("II", "B"): ("wrench with fixed setting", True),
    ("II", "C"): ("adjustable wrench without scale", True),
    ("II", "D"): ("adjustable screwdriver with scale or display", False),
    ("II", "E"): ("screwdriver with fixed setting", False),
    ("II", "F"): ("adjustable screwdriver without scale", False),
    ("II", "G"): ("adjustable wrench with flexion bar and scale", False),
}


@dataclass(frozen=True, slots=True)
class TorqueTool:
    """A torque tool: type I shows, type II clicks; `least` and `most` of its scale [N m]."""

    kind: Literal["I", "II"]
    letter: str
    least: float
    most: float

    def __post_init__(self) -> None:
        """Refuse a tool that the standard does not know."""
        if (self.kind, self.letter) not in CLASSES:
            known = ", ".join(f"{kind} {letter}" for kind, letter in CLASSES)
            raise BadInput(
                f"ISO 6789 knows no tool of type {self.kind}, class {self.letter}; it knows {known}."
            )
        if not 0 < self.least <= self.most < math.inf:
            raise OutOfRange(f"a scale from {self.least:g} to {self.most:g} N·m is none.")


@dataclass(frozen=True, slots=True)
class Usable:
    """Whether a tool may be used at a setting [N m], and between what the torque then lies."""

    setting: float
    good: bool
    least: float
    most: float
    why: str


@dataclass(frozen=True, slots=True)
class SideBySide:
    """One torque in the three units of the bench; `words` puts them in a row, the one that was given first."""

    newton_metre: float
    pound_foot: float
    pound_inch: float
    words: str


def adapter_setting(torque: float, *, wrench: float, adapter: float, angle: float = 0.0) -> float:
    """What to set on the wrench when an adapter lengthens it.

    Parameters
    ----------
    torque : float [N m]
        Torque wanted at the bolt.
    wrench : float [m]
        From the square drive to the middle of the grip.
    adapter : float [m]
        From the square drive to the bolt.
    angle : float, optional [rad]
        Between adapter and wrench: 0 in line and outward, π/2 square, π back over the handle.

    Returns
    -------
    float [N m]
        Setting T·L/(L + E cos α).

    Raises
    ------
    OutOfRange
        A length or the torque is not positive, or the adapter reaches back to the grip.

    References
    ----------
    US Navy NAVEDTRA 14315, torque wrench with extension; US Army TM 9-254 for an angle.

    Examples
    --------
    >>> round(adapter_setting(80, wrench=0.40, adapter=0.05), 1)
    71.1
    >>> round(adapter_setting(80, wrench=0.40, adapter=0.05, angle=math.pi / 2), 1)
    80.0
    """
    if torque <= 0:
        raise OutOfRange(f"a torque must be more than 0 N·m, got {torque:g} N·m.")
    return torque * wrench / _lever(wrench, adapter, angle)


def torque_with_adapter(setting: float, *, wrench: float, adapter: float, angle: float = 0.0) -> float:
    """What the bolt gets from a setting when an adapter lengthens the wrench.

    Parameters
    ----------
    setting : float [N m]
        Setting of the wrench.
    wrench : float [m]
        From the square drive to the middle of the grip.
    adapter : float [m]
        From the square drive to the bolt.
    angle : float, optional [rad]
        Between adapter and wrench, as for `adapter_setting`.

    Returns
    -------
    float [N m]
        Torque at the bolt.

    Raises
    ------
    OutOfRange
        A length or the setting is not positive, or the adapter reaches back to the grip.

    References
    ----------
    US Navy NAVEDTRA 14315, torque wrench with extension.

    Examples
    --------
    >>> round(torque_with_adapter(80, wrench=0.40, adapter=0.05), 1)
    90.0
    """
    if setting <= 0:
        raise OutOfRange(f"a setting must be more than 0 N·m, got {setting:g} N·m.")
    return setting * _lever(wrench, adapter, angle) / wrench


def setting_with_drag(torque: float, drag: float) -> float:
    """Torque to reach when a lock nut or patch already needs some to turn.

    Parameters
    ----------
    torque : float [N m]
        Torque wanted on top.
    drag : float [N m]
        Torque that turns it freely, before it seats.

    Returns
    -------
    float [N m]
        The sum.

    Raises
    ------
    OutOfRange
        The torque is not positive, or the drag is negative.

    References
    ----------
    FAA AC 43.13-1B, 7-40.

    Examples
    --------
    >>> setting_with_drag(24.0, 3.0)
    27.0
    """
    if torque <= 0 or drag < 0:
        raise OutOfRange("the torque must be more than 0, the drag not less.")
    return torque + drag


def permissible_deviation(tool: TorqueTool) -> float:
    """What the tool's class permits between scale and truth.

    Parameters
    ----------
    tool : TorqueTool
        The tool; its largest torque decides, not the setting.

    Returns
    -------
    float [-]
        0.04 or 0.06.

    References
    ----------
    ISO 6789:2003; ISO 6789-1:2017 (type II class A as reproduced on a public page).

    Examples
    --------
    >>> permissible_deviation(TorqueTool("II", "A", 20, 100)), permissible_deviation(TorqueTool("II", "A", 2, 10))
    (0.04, 0.06)
    """
    _, finer_above_ten = CLASSES[tool.kind, tool.letter]
    return 0.04 if finer_above_ten and tool.most > 10 else 0.06


def check_points(tool: TorqueTool) -> tuple[float, float, float]:
    """Torques at which the tool is checked.

    Parameters
    ----------
    tool : TorqueTool
        The tool.

    Returns
    -------
    tuple[float, float, float] [N m]
        20, 60 and 100 % of its largest torque.

    References
    ----------
    ISO 6789:2003 (as reproduced on a public page).

    Examples
    --------
    >>> check_points(TorqueTool("II", "A", 20, 100))
    (20.0, 60.0, 100.0)
    """
    return (0.2 * tool.most, 0.6 * tool.most, 1.0 * tool.most)


def usable(tool: TorqueTool, setting: float) -> Usable:
    """Whether a tool may be used at a setting.

    Parameters
    ----------
    tool : TorqueTool
        The tool.
    setting : float [N m]
        What would be set or read, the adapter counted in.

    Returns
    -------
    Usable
        Yes or no with the reason, and the band in which the torque lies.

    Raises
    ------
    OutOfRange
        The setting is not positive.

    References
    ----------
    ISO 6789: checked from 20 % of the largest torque, or from the lowest mark.

    Examples
    --------
    >>> usable(TorqueTool("II", "A", 20, 100), 12).why
    '12 N·m is below 20 N·m, where the scale begins: take a smaller tool'
    """
    if setting <= 0:
        raise OutOfRange(f"a setting must be more than 0 N·m, got {setting:g} N·m.")
    share = permissible_deviation(tool)
    band = (setting * (1 - share), setting * (1 + share))
    checked = 0.2 * tool.most
    if setting > tool.most:
        why = f"{setting:.4g} N·m is above {tool.most:.4g} N·m, the largest of the tool: take a larger one"
    elif setting < tool.least:
        why = f"{setting:.4g} N·m is below {tool.least:.4g} N·m, where the scale begins: take a smaller tool"
    elif setting < checked * (1 - 1e-9):
        why = (
            f"{setting:.4g} N·m is below {checked:.4g} N·m, 20 % of the largest, where nothing was checked: "
            "take a smaller tool"
        )
    else:
        return Usable(setting, True, *band, f"inside the checked range, ±{share * 100:.0f} %")
    return Usable(setting, False, *band, why)


def side_by_side(value: Decimal, unit: str) -> SideBySide:
    """One torque in N·m, lbf·ft and lbf·in.

    Parameters
    ----------
    value : Decimal [unit]
        The figure as it was typed.
    unit : str
        Its unit; there is none by default.

    Returns
    -------
    SideBySide
        The three figures and one line with as many digits as were typed, three at least.

    Raises
    ------
    BadInput
        The unit is no unit of torque.
    OutOfRange
        The figure is not positive.

    References
    ----------
    NIST SP 811, factors of torque.

    Examples
    --------
    >>> side_by_side(Decimal("24"), "N·m").words
    '24 N·m = 17.7 lbf·ft = 212 lbf·in'
    """
    if unit not in KINDS["torque"]:
        raise BadInput(f"{unit!r} is no unit of torque; expected {', '.join(KINDS['torque'])}.")
    if value <= 0:
        raise OutOfRange(f"a torque must be more than 0, got {value} {unit}.")
    figures = {each: convert(value, unit, each) for each in KINDS["torque"]}
    digits = max(3, len(value.normalize().as_tuple().digits))
    others = [f"{_digits(figure, digits)} {each}" for each, figure in figures.items() if each != unit]
    return SideBySide(
        figures["N·m"], figures["lbf·ft"], figures["lbf·in"], " = ".join([f"{value} {unit}", *others])
    )


def _digits(figure: float, digits: int) -> str:
    """A figure with so many significant digits, never with an exponent."""
    places = max(0, digits - 1 - math.floor(math.log10(figure)))
    return f"{figure:.{places}f}"


def _lever(wrench: float, adapter: float, angle: float) -> float:
    if min(wrench, adapter) <= 0:
        raise OutOfRange("wrench and adapter need a length of more than 0.")
    lever = wrench + adapter * math.cos(angle)
    if lever <= 0.5 * wrench:
        raise OutOfRange(
            "the adapter reaches back over more than half of the wrench; the sum says nothing there."
        )
    return lever
