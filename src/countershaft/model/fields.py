"""Field types that the records share: figures as typed, quantities with their unit, references by name."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, PlainSerializer, StringConstraints

from countershaft import units
from countershaft.errors import QuantityError
from countershaft.units import Quantity

__all__ = [
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


class Record(BaseModel):
    """Base of every record: frozen, no unknown keys, plain text stripped."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", str_strip_whitespace=True, arbitrary_types_allowed=True
    )


def _figure(value: Any) -> Any:
    if isinstance(value, str):
        try:
            return Decimal(value.strip().replace(",", "."))
        except InvalidOperation as cause:
            raise ValueError(f"{value!r} is no number; expected a figure such as 1.80") from cause
    return value


def _quantity(kind: str | None) -> BeforeValidator:
    def read(value: Any) -> Any:
        if isinstance(value, Quantity):
            return value
        if not isinstance(value, str):
            raise ValueError(
                f"{value!r} has no unit; expected a text such as "
                f'"0.35 {units.KINDS[kind][0] if kind else "mm"}"'
            )
        try:
            return units.read(value, kind=kind)
        except QuantityError as cause:
            raise ValueError(str(cause)) from cause

    return BeforeValidator(read)


_AS_TEXT = PlainSerializer(str, return_type=str)

Name = Annotated[str, StringConstraints(pattern=r"^[^\s,;:/?#%\[\]{}]+$", max_length=40)]
Text = Annotated[str, StringConstraints(min_length=1, max_length=2000)]
Count = Annotated[int, Field(ge=1, le=9999)]
Figure = Annotated[Decimal, BeforeValidator(_figure), Field(allow_inf_nan=False)]
TypedQuantity = Annotated[Quantity, _quantity(None), _AS_TEXT]
Length = Annotated[Quantity, _quantity("length"), _AS_TEXT]
Torque = Annotated[Quantity, _quantity("torque"), _AS_TEXT]
Pressure = Annotated[Quantity, _quantity("pressure"), _AS_TEXT]
Force = Annotated[Quantity, _quantity("force"), _AS_TEXT]
Volume = Annotated[Quantity, _quantity("volume"), _AS_TEXT]
Flow = Annotated[Quantity, _quantity("flow"), _AS_TEXT]
Mass = Annotated[Quantity, _quantity("mass"), _AS_TEXT]
