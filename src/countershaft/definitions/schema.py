"""The JSON Schema of the transmission file, made from the records, for editors that complete and check YAML.

The reader takes every scalar as the text that was typed, while an editor has already made numbers of some of it.
So where the reader takes a text, the schema allows a number too; where it takes a figure, a text of digits too.
"""

from __future__ import annotations

import json
from functools import lru_cache
from typing import Any, Final

from countershaft.model.fasteners import THREAD_PATTERN
from countershaft.model.fields import QUANTITY_PATTERN
from countershaft.model.transmission import Transmission

__all__ = ["json_schema", "schema_text"]

Schema = dict[str, Any]

_FIGURE_PATTERN: Final = r"^\s*[-+−]?\d+([.,]\d+)?\s*$"
_COUNT_PATTERN: Final = r"^\s*\d+\s*$"
_TRUTHS: Final = [True, False, "true", "false", "yes", "no"]
#: What pydantic leaves as it is where a bound meets a type it cannot express -> the keyword of JSON Schema.
_BOUNDS: Final = {
    "gt": "exclusiveMinimum",
    "ge": "minimum",
    "lt": "exclusiveMaximum",
    "le": "maximum",
    "exclusiveMinimum": "exclusiveMinimum",
    "exclusiveMaximum": "exclusiveMaximum",
    "minimum": "minimum",
    "maximum": "maximum",
}
_DROPPED: Final = frozenset({"title", "default", "discriminator"})


def json_schema() -> Schema:
    """The schema as a fresh dict, JSON Schema 2020-12."""
    made: Schema = json.loads(_made())
    return made


def schema_text() -> str:
    """The schema as the text that ships."""
    return json.dumps(json_schema(), ensure_ascii=False, indent=1) + "\n"


@lru_cache(maxsize=1)
def _made() -> str:
    raw = Transmission.model_json_schema(mode="validation")
    polished: Schema = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": "urn:countershaft:transmission:1",
        "title": "countershaft transmission file, format 1",
    }
    polished.update(_polish(raw))
    polished["properties"]["format"] = {
        "enum": [1, "1"],
        "description": "always 1, on the first line of the file",
    }
    return json.dumps(polished, ensure_ascii=False)


def _polish(node: Any) -> Any:
    """One node of the schema as an editor needs it."""
    if isinstance(node, list):
        return [_polish(one) for one in node]
    if not isinstance(node, dict):
        return node
    if "properties" in node or "$defs" in node:
        return _object(node)
    kept = {key: value for key, value in node.items() if key not in _DROPPED}
    if "anyOf" in kept:
        return _choice(kept)
    if kept.get("type") == "integer":
        return {**kept, "type": ["integer", "string"], "pattern": _COUNT_PATTERN}
    if kept.get("type") == "boolean":
        return {**{key: value for key, value in kept.items() if key != "type"}, "enum": _TRUTHS}
    if kept.get("type") == "string" and not _stays_text(kept):
        return {**kept, "type": ["string", "number"]}
    return {key: _polish(value) for key, value in kept.items()}


def _object(node: Schema) -> Schema:
    """A record: its own keys are names, not keywords, so that a key called `title` is kept."""
    kept: Schema = {}
    for key, value in node.items():
        if key in ("properties", "$defs"):
            kept[key] = {name: _polish(below) for name, below in value.items()}
        elif key not in _DROPPED:
            kept[key] = " ".join(value.split()) if key == "description" else value
    return kept


def _choice(node: Schema) -> Schema:
    """A choice without null, since a key that has no value is left out of the file; a figure becomes one type."""
    branches = [one for one in node["anyOf"] if one.get("type") != "null"]
    rest = {key: value for key, value in node.items() if key != "anyOf"}
    if len(branches) == 1:
        return {**_polish(branches[0]), **rest}
    if {one.get("type") for one in branches} == {"number", "string"} and not any(
        "pattern" in one for one in branches
    ):
        return _figure(node, branches)
    if {one.get("type") for one in branches} == {"number", "string"}:
        return {**rest, "anyOf": [_bounded(one) for one in branches]}
    return {**rest, "anyOf": [_polish(one) for one in branches]}


def _figure(node: Schema, branches: list[Schema]) -> Schema:
    bounds: Schema = {}
    for one in (node, *branches):
        bounds |= {_BOUNDS[key]: value for key, value in one.items() if key in _BOUNDS}
    said = {key: value for key, value in node.items() if key in ("description", "examples")}
    return {"type": ["number", "string"], "pattern": _FIGURE_PATTERN, **bounds, **said}


def _bounded(branch: Schema) -> Schema:
    return {_BOUNDS.get(key, key): value for key, value in branch.items() if key not in _DROPPED}


def _stays_text(node: Schema) -> bool:
    """Texts that no number can stand for: a closed list of words, a quantity, a thread."""
    return "enum" in node or "const" in node or node.get("pattern") in (QUANTITY_PATTERN, THREAD_PATTERN)
