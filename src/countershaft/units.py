"""Reading, converting and printing quantities: "0.35 mm", "0,014 in", "14 thou", "24 N·m (18 lbf·ft)".

A figure is kept as it was typed, because its digits carry its resolution ("1.80" is not "1.8").
Conversion factors come from the units library pint; it is loaded at the first conversion between unlike units,
so reading, storing and printing a figure in its own unit costs nothing.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from itertools import product
from typing import Final

from countershaft.errors import QuantityError

__all__ = ["KINDS", "UNITS", "Quantity", "convert", "decimals", "meanings", "read", "show", "warm"]

#: Our symbol of a unit -> (its kind, its name in pint).
UNITS: Final[dict[str, tuple[str, str]]] = {
    "mm": ("length", "millimeter"),
    "µm": ("length", "micrometer"),
    "m": ("length", "meter"),
    "in": ("length", "inch"),
    "thou": ("length", "thou"),
    "N": ("force", "newton"),
    "kN": ("force", "kilonewton"),
    "lbf": ("force", "force_pound"),
    "N·m": ("torque", "newton * meter"),
    "lbf·ft": ("torque", "force_pound * foot"),
    "lbf·in": ("torque", "force_pound * inch"),
    "kPa": ("pressure", "kilopascal"),
    "MPa": ("pressure", "megapascal"),
    "bar": ("pressure", "bar"),
    "psi": ("pressure", "pound_force_per_square_inch"),
    "ksi": ("pressure", "kip_per_square_inch"),
    "GPa": ("pressure", "gigapascal"),
    "inHg": ("pressure", "inch_Hg"),
    "mmHg": ("pressure", "mmHg"),
    "L": ("volume", "liter"),
    "US qt": ("volume", "US_liquid_quart"),
    "L/min": ("flow", "liter / minute"),
    "US gal/min": ("flow", "US_liquid_gallon / minute"),
    "mL/min": ("flow", "milliliter / minute"),
    "in³/min": ("flow", "inch ** 3 / minute"),
    "Ω": ("resistance", "ohm"),
    "V": ("voltage", "volt"),
    "rpm": ("rotational speed", "revolution / minute"),
    "km/h": ("road speed", "kilometer / hour"),
    "mph": ("road speed", "mile / hour"),
    "°C": ("temperature", "degree_Celsius"),
    "°F": ("temperature", "degree_Fahrenheit"),
    "kg": ("mass", "kilogram"),
    "lb": ("mass", "pound"),
    "s": ("time", "second"),
    "min": ("time", "minute"),
    "h": ("time", "hour"),
    "°": ("angle", "degree"),
    "turns": ("angle", "revolution"),
    "Shore A": ("hardness", "dimensionless"),
    "%": ("share", "percent"),
    "N/mm": ("spring rate", "newton / millimeter"),
    "lbf/in": ("spring rate", "force_pound / inch"),
    "mPa·s": ("viscosity", "millipascal * second"),
    "kg/m³": ("density", "kilogram / meter ** 3"),
    "lb/ft³": ("density", "pound / foot ** 3"),
    "µm/m·K": ("expansion", "micrometer / meter / kelvin"),
    "µin/in·°F": ("expansion", "microinch / inch / delta_degree_Fahrenheit"),
}

#: Kind of quantity -> the symbols that can express it.
KINDS: Final[dict[str, tuple[str, ...]]] = {
    kind: tuple(symbol for symbol, (own, _) in UNITS.items() if own == kind)
    for kind in dict.fromkeys(kind for kind, _ in UNITS.values())
}

_ALIASES: Final[dict[str, str]] = {
    "um": "µm",
    "μm": "µm",
    '"': "in",
    "inch": "in",
    "inches": "in",
    "thousandths": "thou",
    "nm": "N·m",
    "n.m": "N·m",
    "n*m": "N·m",
    "n m": "N·m",
    "n⋅m": "N·m",
    "ftlb": "lbf·ft",
    "ft·lb": "lbf·ft",
    "ft-lb": "lbf·ft",
    "ft lb": "lbf·ft",
    "ft·lbf": "lbf·ft",
    "lb·ft": "lbf·ft",
    "lb-ft": "lbf·ft",
    "lb ft": "lbf·ft",
    "lbf ft": "lbf·ft",
    "lbf-ft": "lbf·ft",
    "in·lb": "lbf·in",
    "in-lb": "lbf·in",
    "in lb": "lbf·in",
    "inlb": "lbf·in",
    "lb·in": "lbf·in",
    "lb-in": "lbf·in",
    "lb in": "lbf·in",
    "lbf in": "lbf·in",
    "lbf-in": "lbf·in",
    "l": "L",
    "litre": "L",
    "litres": "L",
    "l/min": "L/min",
    "lpm": "L/min",
    "ohm": "Ω",
    "ohms": "Ω",
    "ω": "Ω",
    "\u2126": "Ω",
    "volt": "V",
    "c": "°C",
    "degc": "°C",
    "f": "°F",
    "degf": "°F",
    "deg": "°",
    "turn": "turns",
    "r/min": "rpm",
    "sec": "s",
    "hours": "h",
    "in hg": "inHg",
    "in.hg": "inHg",
    '"hg': "inHg",
    "mm hg": "mmHg",
    "torr": "mmHg",
    "ml/min": "mL/min",
    "cm³/min": "mL/min",
    "cc/min": "mL/min",
    "in^3/min": "in³/min",
    "cu in/min": "in³/min",
    "percent": "%",
    "lb/in": "lbf/in",
    "mpas": "mPa·s",
    "mpa*s": "mPa·s",
    "cp": "mPa·s",
    "kg/m^3": "kg/m³",
    "kg/m3": "kg/m³",
    "g/l": "kg/m³",
    "lb/ft^3": "lb/ft³",
    "um/m·k": "µm/m·K",
    "um/mk": "µm/m·K",
    "ppm/k": "µm/m·K",
    "ppm/°c": "µm/m·K",
    "ppm/°f": "µin/in·°F",
}

_SYMBOL_BY_LOWER: Final[dict[str, str]] = {
    **{symbol.lower(): symbol for symbol in UNITS},
    **_ALIASES,
}

_NUMBER = r"[-+−]?(?:\d+(?:[.,]\d+)*|[.,]\d+)"
_TYPED = re.compile(rf"^\s*({_NUMBER})\s*([^\d\s(][^(]*?)?\s*(?:\(\s*({_NUMBER})\s*([^)]+?)\s*\))?\s*$")


@dataclass(frozen=True, slots=True)
class Quantity:
    """A figure with its unit, as it was typed.

    `also` is the same quantity in a second unit where the source prints both, as in "0.15 mm (0.006 in)".
    """

    value: Decimal
    unit: str
    also_value: Decimal | None = None
    also_unit: str | None = None

    @property
    def kind(self) -> str:
        """The kind of quantity, as in `KINDS`."""
        return UNITS[self.unit][0]

    @property
    def resolution(self) -> Decimal:
        """One step of the last digit that was typed."""
        return Decimal(1).scaleb(-decimals(self.value))

    def to(self, unit: str) -> float:
        """The figure in another unit of the same kind."""
        return convert(self.value, self.unit, unit)

    def __str__(self) -> str:
        text = f"{self.value} {self.unit}"
        return f"{text} ({self.also_value} {self.also_unit})" if self.also_value is not None else text


def decimals(value: Decimal) -> int:
    """How many digits stand behind the decimal point of a figure as typed."""
    exponent = value.as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def read(text: str, *, kind: str | None = None, default: str | None = None) -> Quantity:
    """Read a typed quantity.

    Parameters
    ----------
    text : str
        "0.35 mm", "0,014 in", "14 thou", "24 N·m (18 lbf·ft)", or a bare figure where `default` names the unit.
    kind : str, optional
        The kind that is wanted, as in `KINDS`.
    default : str, optional
        The unit of a bare figure.

    Raises
    ------
    QuantityError
        No figure, no unit, an unknown unit, the wrong kind, a comma that can be a decimal comma or stand between
        thousands, or two printed units that disagree by more than their rounding.

    Examples
    --------
    >>> read("0,36", default="mm")
    Quantity(value=Decimal('0.36'), unit='mm', also_value=None, also_unit=None)
    >>> str(read("24 Nm (18 lb-ft)"))
    '24 N·m (18 lbf·ft)'
    >>> read("1,234 psi")
    Traceback (most recent call last):
        ...
    countershaft.errors.QuantityError: '1,234 psi' can be 1.234 psi or 1234 psi. Type the one that is meant.
    """
    found = meanings(text, kind=kind, default=default)
    if len(found) > 1:
        choice = " or ".join(str(one) for one in found)
        raise QuantityError(f"{text!r} can be {choice}. Type the one that is meant.")
    return found[0]


def meanings(text: str, *, kind: str | None = None, default: str | None = None) -> tuple[Quantity, ...]:
    """All that a typed quantity can mean, so that the person can be asked; nearly always one.

    Only a comma before exactly three digits is doubtful: "1,234" is 1.234 to one person and 1234 to another.
    Where the source prints two units, they settle it between them.
    The arguments and errors are those of `read`.

    Examples
    --------
    >>> [str(one) for one in meanings("1,234 psi")]
    ['1.234 psi', '1234 psi']
    >>> [str(one) for one in meanings("1,234 psi (85.1 bar)")]
    ['1234 psi (85.1 bar)']
    """
    found = _TYPED.match(text)
    figures = _figures(found[1]) if found else ()
    if not found or not figures:
        raise QuantityError(
            f"{text!r} is no figure; expected a number with its unit, as in {_example(kind)}."
        )
    unit = _unit(found[2], kind=kind, default=default, text=text)
    if found[3] is None:
        return tuple(Quantity(figure, unit) for figure in figures)
    also_unit = _unit(found[4], kind=kind, default=None, text=text)
    every = [Quantity(one, unit, also, also_unit) for one, also in product(figures, _figures(found[3]))]
    if not every:
        raise QuantityError(f"{found[3]!r} in {text!r} is no number.")
    agreeing = tuple(one for one in every if _disagreement(one) is None)
    if not agreeing:
        raise QuantityError(f"{text!r}: the two units disagree; {_disagreement(every[0])}")
    return agreeing


@lru_cache(maxsize=512)
def _factor(source: str, target: str) -> Fraction:
    one = _registry().Quantity(Fraction(1), UNITS[source][1]).to(UNITS[target][1])
    return Fraction(one.magnitude)


@lru_cache(maxsize=1)
def _registry():  # type: ignore[no-untyped-def]  # pint's registry type exists only once pint is loaded
    import pint  # 0.3 s to import: only when unlike units really meet

    return pint.UnitRegistry(non_int_type=Fraction, cache_folder=None)


def warm() -> None:
    """Load the units library now, so that the first conversion does not wait for it."""
    _factor("in", "mm")


def convert(value: Decimal | Fraction | float, source: str, target: str) -> float:
    """Convert a figure between two units of one kind.

    Examples
    --------
    >>> convert(Decimal("0.014"), "in", "mm")
    0.3556
    """
    if source == target:
        return float(value)
    if UNITS[source][0] != UNITS[target][0]:
        raise QuantityError(
            f"{source} measures {UNITS[source][0]}, {target} measures {UNITS[target][0]}; they cannot be compared."
        )
    if UNITS[source][0] == "temperature":
        celsius = Fraction(value) if source == "°C" else (Fraction(value) - 32) * Fraction(5, 9)
        return float(celsius if target == "°C" else celsius * Fraction(9, 5) + 32)
    return float(Fraction(value) * _factor(source, target))


def show(value: float | Decimal | Fraction, unit: str, *, digits: int) -> str:
    """Print a figure with a fixed number of digits behind the point and its unit."""
    number = f"{float(value):.{digits}f}"
    return f"{number} {unit}" if unit else number


def _figures(text: str) -> tuple[Decimal, ...]:
    """All that a number can mean: none where its separators make no sense, two where a comma is doubtful."""
    sign, body = ("-" if text[0] in "-−" else ""), text.lstrip("-+−")
    marks = [mark for mark in body if mark in ".,"]
    head, *groups = re.split("[.,]", body)
    thousands = 1 <= len(head) <= 3 and not head.startswith("0") and all(len(one) == 3 for one in groups)
    if len(marks) <= 1:
        decimal = Decimal(f"{sign}{body.replace(',', '.')}")
        return (decimal, Decimal(f"{sign}{head}{groups[0]}")) if marks == [","] and thousands else (decimal,)
    if len(set(marks)) == 1:
        return (Decimal(sign + head + "".join(groups)),) if thousands else ()
    grouped = 1 <= len(head) <= 3 and len(set(marks[:-1])) == 1 and all(len(one) == 3 for one in groups[:-1])
    if not grouped or marks[-1] == marks[0]:
        return ()
    return (Decimal(f"{sign}{head}{''.join(groups[:-1])}.{groups[-1]}"),)


def _unit(typed: str | None, *, kind: str | None, default: str | None, text: str) -> str:
    if typed is None or not typed.strip():
        if default is None:
            raise QuantityError(f"{text!r} has no unit; expected one of {', '.join(_symbols(kind))}.")
        return default
    symbol = _SYMBOL_BY_LOWER.get(typed.strip().lower())
    if symbol is None:
        raise QuantityError(
            f"{typed.strip()!r} in {text!r} is no known unit; expected one of {', '.join(_symbols(kind))}."
        )
    if kind is not None and UNITS[symbol][0] != kind:
        raise QuantityError(
            f"{text!r} is in {symbol}, which measures {UNITS[symbol][0]}; "
            f"expected {kind} in {', '.join(_symbols(kind))}."
        )
    return symbol


def _symbols(kind: str | None) -> tuple[str, ...]:
    return tuple(UNITS) if kind is None else KINDS[kind]


def _example(kind: str | None) -> str:
    return f'"0.35 {KINDS[kind][0]}"' if kind else '"0.35 mm"'


def _disagreement(both: Quantity) -> str | None:
    """What is wrong when two printed units differ by more than the rounding of both."""
    assert both.also_value is not None and both.also_unit is not None
    converted = convert(both.also_value, both.also_unit, both.unit)
    step = Decimal(1).scaleb(-decimals(both.also_value))
    rounding_also = convert(both.also_value + step, both.also_unit, both.unit) - converted
    if abs(converted - float(both.value)) <= 0.5 * (float(both.resolution) + rounding_also) * 1.001:
        return None
    return (
        f"{both.also_value} {both.also_unit} is {converted:.4g} {both.unit}, not {both.value}. "
        "One of the two is a slip: look at the source again."
    )
