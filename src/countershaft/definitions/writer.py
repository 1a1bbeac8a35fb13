"""Model to transmission file: a stable order, lines that a person would write, and every figure as it was typed.

Reading what was written gives an equal model.  Comments are not kept, since the model knows none.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from typing import Any, Final, get_args

from countershaft.definitions.scalars import Figure, key_text, plain_or_quoted, stands_unescaped
from countershaft.mechanics.constraints import number
from countershaft.model.fields import Record
from countershaft.model.steps import Piece
from countershaft.model.transmission import Transmission
from countershaft.units import Quantity

__all__ = ["write_transmission"]

_WIDTH: Final = 110

#: Sections whose records are long by nature, so that even a short one is not pressed into one line.
_TALL: Final = frozenset({"packs", "bands", "fasteners", "steps", "fits", "preloads"})


def write_transmission(transmission: Transmission) -> str:
    """The text of a transmission file."""
    tree = _plain(transmission)
    lines: list[str] = []
    for key, value in tree.items():
        if isinstance(value, dict | list):
            lines.append("")
        if isinstance(value, list):
            lines += _section(key, value)
        else:
            lines += _entry(key, value, 0)
    return "\n".join(lines) + "\n"


def _plain(record: Record) -> dict[str, Any]:
    """A record as a table of texts, figures, lists and tables.

    What equals its default is left out, but not a kind that tells one sort of record from another.
    """
    found: dict[str, Any] = {}
    for key, field in type(record).model_fields.items():
        value = getattr(record, key)
        chooses = key == "kind" and len(get_args(field.annotation)) == 1
        if chooses or field.is_required() or value != field.get_default(call_default_factory=True):
            found[key] = _plain_value(value)
    return found


def _plain_value(value: Any) -> Any:
    if isinstance(value, Piece) and value.count is None and value.note is None:
        return value.part
    if isinstance(value, Record):
        return _plain(value)
    if isinstance(value, Mapping):
        return {key: _plain_value(below) for key, below in value.items()}
    if isinstance(value, tuple):
        return [_plain_value(one) for one in value]
    return _scalar(value)


def _scalar(value: Any) -> str:
    """A figure or a text as it stands in the file."""
    if isinstance(value, Quantity):
        return _quantity(value)
    if isinstance(value, bool):
        return Figure("true" if value else "false")
    if isinstance(value, Decimal):
        return Figure(f"{value:f}")
    if isinstance(value, Fraction):
        return Figure(number(value, minus="-"))
    if isinstance(value, int):
        return Figure(value)
    return str(value.value if isinstance(value, Enum) else value)


def _quantity(quantity: Quantity) -> str:
    text = f"{quantity.value:f} {quantity.unit}"
    return (
        f"{text} ({quantity.also_value:f} {quantity.also_unit})" if quantity.also_value is not None else text
    )


def _section(key: str, records: list[Any]) -> Iterator[str]:
    """A list of records at the top of the file; tall ones stand apart."""
    yield f"{key}:"
    for place, record in enumerate(records):
        if key in _TALL and place:
            yield ""
        yield from _item(record, 2, tall=key in _TALL)


def _entry(key: str, value: Any, indent: int) -> Iterator[str]:
    """One `key: value` of a table, in one line where it fits."""
    head = f"{' ' * indent}{key_text(key)}:"
    if isinstance(value, str):
        yield from _text(head, value, indent)
        return
    inline = None if _nested(value) else _flow(value)
    if inline is not None and len(head) + 1 + len(inline) <= _WIDTH:
        yield f"{head} {inline}"
    elif isinstance(value, list):
        yield head
        for one in value:
            yield from _item(one, indent + 2)
    else:
        yield head
        for own, below in value.items():
            yield from _entry(own, below, indent + 2)


def _nested(value: Any) -> bool:
    """Tables in a table, or tables of several keys in a list: these read better below each other."""
    if isinstance(value, dict):
        return any(isinstance(below, dict) for below in value.values())
    return any(isinstance(below, dict) and len(below) > 1 for below in value)


def _item(value: Any, indent: int, *, tall: bool = False) -> Iterator[str]:
    """One entry of a list, in one line where it fits."""
    dash = f"{' ' * indent}- "
    if isinstance(value, str):
        yield from _text(dash.rstrip(), value, indent)
        return
    inline = None if tall else _flow(value)
    if inline is not None and len(dash) + len(inline) <= _WIDTH:
        yield dash + inline
        return
    entries = value.items() if isinstance(value, dict) else ()
    lines = [line for key, below in entries for line in _entry(key, below, indent + 2)]
    if isinstance(value, list):
        lines = [line for one in value for line in _item(one, indent + 2)]
    yield dash + lines[0][indent + 2 :]
    yield from lines[1:]


def _text(head: str, text: str, indent: int) -> Iterator[str]:
    """A text in the line of its key, or folded below it where it is long."""
    inline = str(text) if isinstance(text, Figure) else plain_or_quoted(text)
    if len(head) + 1 + len(inline) <= _WIDTH or not _foldable(text):
        yield f"{head} {inline}"
        return
    yield f"{head} >-"
    yield from _folded(text, indent + 2)


def _foldable(text: str) -> bool:
    """Only single spaces part the words, and every sign can stand unescaped."""
    return "" not in text.split(" ") and stands_unescaped(text)


def _folded(text: str, indent: int) -> Iterator[str]:
    line = ""
    for word in text.split(" "):
        if line and indent + len(line) + 1 + len(word) > _WIDTH:
            yield " " * indent + line
            line = word
        else:
            line = f"{line} {word}" if line else word
    yield " " * indent + line


def _flow(value: Any, depth: int = 0) -> str | None:
    """A list or table in one line; None where it is too deep or too long to be read that way."""
    if isinstance(value, str):
        text = str(value) if isinstance(value, Figure) else plain_or_quoted(value, flow=True)
        return text if len(text) <= _WIDTH else None
    if depth > 2:
        return None
    if isinstance(value, list):
        parts = [_flow(one, depth + 1) for one in value]
        return None if None in parts else f"[{', '.join(part for part in parts if part is not None)}]"
    pairs = [(key_text(key, flow=True), _flow(below, depth + 1)) for key, below in value.items()]
    if any(below is None for _, below in pairs):
        return None
    return "{" + ", ".join(f"{key}: {below}" for key, below in pairs) + "}"
