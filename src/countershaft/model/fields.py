"""Field types that the records share: figures as typed, quantities with their unit, references by name."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import Annotated, Any

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainSerializer,
    PlainValidator,
    StringConstraints,
)

from countershaft import units
from countershaft.errors import QuantityError
from countershaft.units import Quantity

__all__ = [
    "NAME_PATTERN",
    "QUANTITY_PATTERN",
    "Count",
    "Figure",
    "Flow",
    "Force",
    "Length",
    "Mass",
    "Name",
    "Pressure",
    "Record",
    "Text",
    "Torque",
    "TypedQuantity",
    "Volume",
]


#: A figure, then its unit; which units are known is said in words, since they have many spellings.
QUANTITY_PATTERN = r"^\s*[-+−]?\d+([.,]\d+)?\s*[^\d\s(].*$"
#: No spaces, and nothing that has a meaning in a path, a list or a map.
NAME_PATTERN = r"^[^\s,;:/?#%\[\]{}]+$"


class Record(BaseModel):
    """Base of every record: frozen, no unknown keys, plain text stripped."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", str_strip_whitespace=True, arbitrary_types_allowed=True
    )


def _figure(value: Any) -> Any:
    if isinstance(value, str):
        try:
            return Decimal(value.strip().replace(",", ".").replace("−", "-"))
        except InvalidOperation as cause:
            raise ValueError(f"{value!r} is no number; expected a figure such as 1.80") from cause
    return value


def _quantity(kind: str | None, *examples: str) -> PlainValidator:
    """Reads a typed quantity; an editor is told that it is a text, which units it may have, and how it looks."""

    def read(value: Any) -> Quantity:
        if isinstance(value, Quantity):
            return value
        if not isinstance(value, str):
            raise ValueError(f"{value!r} has no unit; expected a text such as {examples[0]!r}")
        try:
            return units.read(value, kind=kind)
        except QuantityError as cause:
            raise ValueError(str(cause)) from cause

    known = ", ".join(units.UNITS if kind is None else units.KINDS[kind])
    shown = Field(
        pattern=QUANTITY_PATTERN,
        examples=list(examples),
        description=f"{kind or 'quantity'} with its unit ({known}); a second unit may follow, as 0.15 mm (0.006 in)",
    )
    return PlainValidator(read, json_schema_input_type=Annotated[str, shown])


_AS_TEXT = PlainSerializer(str, return_type=str)

Name = Annotated[str, StringConstraints(pattern=NAME_PATTERN, max_length=40)]
Text = Annotated[str, StringConstraints(min_length=1, max_length=2000)]
Count = Annotated[int, Field(ge=1, le=9999)]
Figure = Annotated[Decimal, BeforeValidator(_figure), Field(allow_inf_nan=False)]
TypedQuantity = Annotated[Quantity, _quantity(None, "0.35 mm", "61 kPa", "8.0 Ω"), _AS_TEXT]
Length = Annotated[Quantity, _quantity("length", "0.35 mm", "0.014 in", "0.35 mm (0.014 in)"), _AS_TEXT]
Torque = Annotated[Quantity, _quantity("torque", "24 N·m", "24 N·m (18 lbf·ft)"), _AS_TEXT]
Pressure = Annotated[Quantity, _quantity("pressure", "1200 kPa", "174 psi"), _AS_TEXT]
Force = Annotated[Quantity, _quantity("force", "1300 N", "290 lbf"), _AS_TEXT]
Volume = Annotated[Quantity, _quantity("volume", "9.8 L", "10.4 US qt"), _AS_TEXT]
Flow = Annotated[Quantity, _quantity("flow", "3.0 L/min"), _AS_TEXT]
Mass = Annotated[Quantity, _quantity("mass", "82 kg", "181 lb"), _AS_TEXT]
