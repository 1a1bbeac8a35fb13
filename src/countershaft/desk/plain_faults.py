"""What pydantic finds wrong with an entry, in the words of the bench; forms and the terminal share them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

__all__ = ["in_plain_words"]

#: A fault in the words of the bench, by pydantic's name for it; {given} is what was typed.
_PLAIN: Final[dict[str, str]] = {
    **dict.fromkeys(("missing", "string_too_short", "too_short"), "this is needed."),
    **dict.fromkeys(
        ("int_parsing", "int_from_float"),
        "{given!r} is no whole number; type digits only, without unit, point or comma.",
    ),
    **dict.fromkeys(
        ("decimal_parsing", "decimal_type", "float_parsing"),
        "{given!r} is no number; type a figure such as 0.36.",
    ),
    **dict.fromkeys(
        ("date_parsing", "date_from_datetime_parsing", "date_type", "date_from_datetime_inexact"),
        "{given!r} is no date; type year, month and day, as 2026-03-02.",
    ),
    "greater_than": "{given} is too small; expected more than {gt}.",
    "greater_than_equal": "{given} is too small; expected at least {ge}.",
    "less_than": "{given} is too large; expected less than {lt}.",
    "less_than_equal": "{given} is too large; expected at most {le}.",
    "string_pattern_mismatch": (
        "{given!r} cannot stand here; use letters, digits, point, hyphen and underline only."
    ),
    "string_too_long": "too long; at most {max_length} characters.",
    **dict.fromkeys(("enum", "literal_error"), "choose one of the list; {given!r} is not in it."),
}


def in_plain_words(fault: Mapping[str, Any]) -> str:
    """One fault of a ValidationError as a sentence; a rule of our own speaks for itself."""
    context = fault.get("ctx", {})
    words = _PLAIN.get(str(fault["type"]))
    if words:
        return words.format(given=fault.get("input"), **context)
    return str(context.get("error", fault["msg"]))
