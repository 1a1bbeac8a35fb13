"""Faults that lie at the very key that is wrong, so that a reader can name its line.

pydantic reports what a validator raises at the place of that validator.
A validation error raised inside one keeps its own places below that, which is what these functions use.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any, get_args

from pydantic import BaseModel, ValidationError, WrapValidator
from pydantic_core import InitErrorDetails

from countershaft.mechanics.network import nearest

__all__ = ["Place", "by_kind", "fault", "raise_all"]

Place = tuple[str | int, ...]


def fault(place: Place, text: str, got: Any) -> InitErrorDetails:
    """One fault at a place, given from the record that is being checked."""
    return InitErrorDetails(type="value_error", loc=place, input=got, ctx={"error": ValueError(text)})


def raise_all(title: str, faults: Iterable[InitErrorDetails]) -> None:
    """Raise every fault at once; raises nothing where there is none."""
    found = list(faults)
    if found:
        raise ValidationError.from_exception_data(title, found)


def by_kind(*kinds: type[BaseModel]) -> WrapValidator:
    """Choose a record by its `kind`, so that faults lie at the key and not below the kind."""
    names = {get_args(kind.model_fields["kind"].annotation)[0]: kind for kind in kinds}

    def choose(value: Any, _handler: Callable[[Any], Any]) -> Any:
        if isinstance(value, kinds):
            return value
        if not isinstance(value, Mapping):
            raise ValueError(f"{value!r} is no table of keys; expected one with the key kind")
        if "kind" not in value:
            raise ValueError(f"the key kind is missing; it is one of {', '.join(names)}")
        record = names.get(value["kind"]) if isinstance(value["kind"], str) else None
        if record is None:
            text = f"there is no kind {value['kind']!r}; {nearest(str(value['kind']), names)}"
            raise ValidationError.from_exception_data("kind", [fault(("kind",), text, value["kind"])])
        return record.model_validate(value)

    return WrapValidator(choose)
