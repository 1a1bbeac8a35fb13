"""What a sum asks for, and reading it: figures with units as typed, what they may be off, words of a closed list."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from countershaft import units
from countershaft.errors import BadInput, FormError, OutOfRange
from countershaft.metrology.budget import combine, from_half_width, from_step
from countershaft.metrology.propagation import Input

__all__ = [
    "COUNT",
    "FIGURE",
    "WORD",
    "Asked",
    "Given",
    "Inputs",
    "in_unit",
    "length_asked",
    "read_inputs",
    "temperature_asked",
    "width_in_unit",
    "with_units",
]

#: Kinds of field that carry no unit: a plain figure, a whole number, a word of a closed list.
FIGURE: Final = "figure"
COUNT: Final = "count"
WORD: Final = "word"

#: Kind of quantity -> one of its units, and how many SI units that is.
_SI: Final[dict[str, tuple[str, float]]] = {
    "length": ("m", 1.0),
    "force": ("N", 1.0),
    "torque": ("N·m", 1.0),
    "pressure": ("kPa", 1e3),
    "flow": ("mL/min", 1e-6 / 60),
    "resistance": ("Ω", 1.0),
    "temperature": ("°C", 1.0),
    "share": ("%", 0.01),
    "spring rate": ("N/mm", 1e3),
    "viscosity": ("mPa·s", 1e-3),
    "density": ("kg/m³", 1.0),
    "expansion": ("µm/m·K", 1e-6),
}
_PLAIN: Final = re.compile(r"[-+−]?(?:\d+(?:[.,]\d+)?|[.,]\d+)")
_OFF: Final = re.compile(r"\s*(?:±|\+\s*/\s*-|\+-)\s*")


@dataclass(frozen=True, slots=True)
class Asked:
    """One field of a sum: what it is, in which units it may be bare, an example, and whether it is read off a scale.

    `metric` and `inch` are the units of a bare figure in either system.
    A `measured` figure is off by its last digit at least; any other only where a ± stands behind it.  Of one that is
    `judged` the last digit says little, so that its ± is asked for in the open.
    """

    name: str
    label: str
    kind: str
    metric: str = ""
    inch: str = ""
    example: str = ""
    inch_example: str = ""
    hint: str = ""
    needed: bool = True
    measured: bool = False
    options: tuple[tuple[str, str], ...] = ()
    judged: bool = False

    def unit(self, *, inch: bool) -> str:
        """The unit of a bare figure."""
        return self.inch or self.metric if inch else self.metric

    def shown(self, *, inch: bool) -> str:
        """The example in either system."""
        return self.inch_example or self.example if inch else self.example


def length_asked(
    name: str,
    label: str,
    example: str,
    inch_example: str,
    *,
    hint: str = "",
    needed: bool = True,
    measured: bool = True,
) -> Asked:
    """A field for a length, bare in millimetres or inches; measured unless told."""
    return Asked(name, label, "length", "mm", "in", example, inch_example, hint, needed, measured)


def temperature_asked(
    name: str,
    label: str,
    example: str,
    inch_example: str,
    *,
    hint: str = "",
    needed: bool = True,
    measured: bool = False,
) -> Asked:
    """A field for a temperature; where it is measured, a hand's guess of how far it may be off is asked for."""
    return Asked(
        name, label, "temperature", "°C", "°F", example, inch_example, hint, needed, measured, judged=measured
    )


@dataclass(frozen=True, slots=True)
class Given:
    """One figure as it was given: its text with the unit, and in SI its value, what the ± says, and its last digit."""

    text: str
    unit: str
    value: float
    half_width: float
    step: float

    @property
    def standard(self) -> float:
        """Standard uncertainty: within the ± and within half of the last digit, anywhere alike."""
        return math.hypot(self.half_width, self.step / 2) / math.sqrt(3)

    @property
    def bound(self) -> float:
        """How far it may be off at most: the ± and half of the last digit."""
        return self.half_width + self.step / 2


@dataclass(frozen=True, slots=True)
class Inputs:
    """Everything that a sum was given, by the name of its field."""

    given: Mapping[str, Given]
    words: Mapping[str, str]

    def __contains__(self, name: str) -> bool:
        return name in self.given

    def __getitem__(self, name: str) -> float:
        """A figure in SI that was needed."""
        return self.given[name].value

    def get(self, name: str, otherwise: float) -> float:
        """A figure in SI, or what is taken where it was left open."""
        return self.given[name].value if name in self.given else otherwise

    def find(self, name: str) -> float | None:
        """A figure in SI, or None where it was left open."""
        return self.given[name].value if name in self.given else None

    def bound(self, *names: str) -> float:
        """The most that any of these figures may be off."""
        return max((self.given[name].bound for name in names if name in self.given), default=0.0)

    def expanded(self, name: str) -> float:
        """Expanded uncertainty of one figure [SI]."""
        one = self.given[name]
        parts = [from_half_width(name, one.half_width), *([from_step(one.step)] if one.step else [])]
        return combine(parts).expanded

    def uncertain(self) -> tuple[Input, ...]:
        """The figures that may be off, for the budget of a result."""
        return tuple(Input(name, one.value, one.standard) for name, one in self.given.items() if one.standard)

    def moved(self, values: Mapping[str, float]) -> Inputs:
        """The same with some figures a little off."""
        given = {name: replace(one, value=values.get(name, one.value)) for name, one in self.given.items()}
        return Inputs(given, self.words)

    @property
    def typed(self) -> dict[str, str]:
        """Each field as it was typed, a bare figure with the unit that it was taken in."""
        return {**{name: one.text for name, one in self.given.items()}, **self.words}


def in_unit(value: float, kind: str, unit: str) -> float:
    """An SI figure in a unit of its kind; a figure without a unit stays what it is."""
    if kind not in _SI:
        return value
    base, size = _SI[kind]
    return units.convert(value / size, base, unit)


def width_in_unit(width: float, kind: str, unit: str) -> float:
    """A difference of two SI figures in a unit of their kind."""
    return abs(in_unit(width, kind, unit) - in_unit(0.0, kind, unit))


def read_inputs(fields: Sequence[Asked], typed: Mapping[str, str], *, inch: bool = False) -> Inputs:
    """Read what was typed into the fields of a sum; raises FormError with a word for each field that is wrong."""
    given: dict[str, Given] = {}
    words: dict[str, str] = {}
    errors = {
        name: f"there is no field {name!r} here; the fields are {', '.join(one.name for one in fields)}."
        for name in typed
        if name not in {one.name for one in fields}
    }
    for field in fields:
        text = typed.get(field.name, "").strip()
        try:
            if field.kind == WORD:
                words[field.name] = _word(field, text)
            elif text:
                given[field.name] = _given(field, text, inch=inch)
            elif field.needed:
                errors[field.name] = f"is needed; type it, such as {field.shown(inch=inch)}."
        except (BadInput, OutOfRange) as fault:
            errors[field.name] = str(fault)
    if errors:
        raise FormError(errors)
    return Inputs(given, words)


def with_units(fields: Sequence[Asked], typed: Mapping[str, str], *, inch: bool) -> dict[str, str]:
    """What was typed with the unit behind each bare figure; what cannot be read stays as it is."""
    kept = dict(typed)
    for field in fields:
        text = typed.get(field.name, "").strip()
        if text and field.kind != WORD:
            with suppress(BadInput, OutOfRange):
                kept[field.name] = _given(field, text, inch=inch).text
    return kept


def _word(field: Asked, text: str) -> str:
    known = [value for value, _ in field.options]
    if text and text not in known:
        raise BadInput(f"{text!r} is none of {', '.join(known)}.")
    if not text and field.needed:
        raise BadInput(f"choose one of {', '.join(known)}.")
    return text


def _given(field: Asked, text: str, *, inch: bool) -> Given:
    best, *rest = _OFF.split(text)
    if len(rest) > 1:
        raise BadInput(f"{text!r} has more than one ±; type it as in 5.9 ± 0.1.")
    off = rest[0] if rest else ""
    if rest and not (best.strip() and off.strip()):
        raise BadInput(f"{text!r} needs a figure on both sides of its ±; type it as in 5.9 ± 0.1.")
    read = _plain if field.kind in (FIGURE, COUNT) else _quantity
    value, unit, half, figure = read(field, best, off, inch=inch)
    if half < 0:
        raise BadInput(f"the ± of {text!r} is below zero; type how far it may be off, either way.")
    step = _width(field.kind, unit, Decimal(1).scaleb(-units.decimals(figure))) if field.measured else 0.0
    typed = text if not unit or _has_unit(text) else f"{text} {unit}"
    return Given(typed, unit, value, half, step)


Read = tuple[float, str, float, Decimal]


def _plain(field: Asked, best: str, off: str, *, inch: bool) -> Read:
    """A figure without a unit."""
    del inch
    for text in filter(None, (best.strip(), off.strip())):
        if not _PLAIN.fullmatch(text):
            raise BadInput(f"{text!r} is no plain figure; type one such as {field.example}.")
    figure = _decimal(best)
    if field.kind == COUNT and (figure != int(figure) or figure < 1 or off):
        raise BadInput(f"{best.strip()!r} is no whole number above zero; type one such as {field.example}.")
    return float(figure), "", float(_decimal(off)) if off.strip() else 0.0, figure


def _quantity(field: Asked, best: str, off: str, *, inch: bool) -> Read:
    """A figure with its unit; the unit may stand behind the ± alone."""
    if off.endswith(" K") and field.kind == "temperature":
        off = f"{off.removesuffix(' K')} °C"
    bare = field.unit(inch=inch)
    width = units.read(off, kind=field.kind, default=_unit_of(best, field.kind) or bare) if off else None
    behind = width.unit if width is not None and _has_unit(off) else bare
    found = units.read(best, kind=field.kind, default=behind)
    half = _width(field.kind, width.unit, width.value) if width is not None else 0.0
    base, size = _SI[field.kind]
    return found.to(base) * size, found.unit, half, found.value


def _unit_of(text: str, kind: str) -> str:
    return units.read(text, kind=kind).unit if _has_unit(text) else ""


def _has_unit(text: str) -> bool:
    return bool(re.search(r"[^\d\s.,+±/−-]", text))


def _width(kind: str, unit: str, width: Decimal) -> float:
    """How wide a step of a unit is in SI; for a temperature the zero of its scale drops out."""
    if kind not in _SI:
        return float(width)
    base, size = _SI[kind]
    sign = -1.0 if width < 0 else 1.0
    return sign * abs(units.convert(width, unit, base) - units.convert(Decimal(0), unit, base)) * size


def _decimal(text: str) -> Decimal:
    return Decimal(text.strip().replace(",", ".").replace("−", "-"))
