"""What a value is measured with."""

from __future__ import annotations

from countershaft.model.fields import Record, Text, TypedQuantity

__all__ = ["Instrument"]


class Instrument(Record):
    """A kind of instrument; `resolution` is one step of its scale."""

    name: Text
    resolution: TypedQuantity | None = None
