"""What is wrong with a value, in a mechanic's words: message, expected, got, cure, and the place in the text."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from difflib import get_close_matches
from types import UnionType
from typing import Annotated, Any, Final, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic_core import ErrorDetails

from countershaft.definitions.positions import Document, Mark, Path, Tree, path_words
from countershaft.definitions.schema import json_schema
from countershaft.errors import Fault
from countershaft.mechanics.network import nearest
from countershaft.model.checks import Finding
from countershaft.model.fasteners import THREAD_PATTERN
from countershaft.model.fields import NAME_PATTERN
from countershaft.model.transmission import Transmission

__all__ = ["fault_of_finding", "faults_of_errors"]

Said = tuple[str, str, str]  # message, expected, cure

_PATTERNS: Final[Mapping[str, Said]] = {
    NAME_PATTERN: (
        "a name has no spaces and none of , ; : / ? # % [ ] { }",
        "a short name such as P034",
        "Shorten it; long words belong into name, title or note.",
    ),
    THREAD_PATTERN: (
        "this is no thread that is known here",
        "diameter and pitch, such as M8x1.25 or 1/4-20 UNC",
        "Write the pitch too, also for a coarse thread; left-hand stands under hand.",
    ),
}


def faults_of_errors(errors: Sequence[ErrorDetails], document: Document, file: str) -> list[Fault]:
    """The complaints of the records as faults of the text, without those that only follow from another."""
    unknown = {error["loc"] for error in errors if error["type"] == "extra_forbidden"}
    told = {(fault.line, fault.column) for fault in document.faults}
    found = [
        _fault_of_error(error, document, file) for error in errors if not _follows(error, unknown, document)
    ]
    return [fault for fault in found if (fault.line, fault.column) not in told]


def _follows(error: ErrorDetails, unknown: set[tuple[str | int, ...]], document: Document) -> bool:
    """A key is missing only because it is misspelt, or a list is empty only because its entries are wrong."""
    loc = error["loc"]
    if error["type"] == "too_short":
        node = document.at(_walk(loc, document)[0])
        return isinstance(node, list) and len(node) >= error["ctx"]["min_length"]
    if error["type"] != "missing":
        return False
    return any(other[:-1] == loc[:-1] and _is_near(str(other[-1]), str(loc[-1])) for other in unknown)


def _is_near(name: str, known: str) -> bool:
    return bool(get_close_matches(name.casefold(), [known.casefold()], n=1, cutoff=0.5))


def _fault_of_error(error: ErrorDetails, document: Document, file: str) -> Fault:
    """One complaint of the records as a fault of the text."""
    loc = error["loc"]
    if loc and loc[-1] == "[key]":
        path, rest = _walk(loc[:-1], document)
        mark = document.keys.get(path)
    else:
        path, rest = _walk(loc, document)
        mark = document.keys.get(path) if error["type"] == "extra_forbidden" else document.values.get(path)
    if error["type"] == "missing":
        return _missing(path, rest, document, file)
    message, expected, cure = _said(error, path, document)
    if not cure and expected == "" and error["type"] != "value_error":
        expected = _expected(path, document)
    own_words = error["type"] in ("value_error", "extra_forbidden") or loc[-1:] == ("[key]",)
    got = "" if own_words else _got(document.at(path))
    return _fault((*path, *rest), mark, document, file, (message, expected, cure), got)


def fault_of_finding(finding: Finding, document: Document, file: str) -> Fault:
    """One breach of a rule across records as a fault of the text."""
    path, _ = _walk(finding.loc, document)
    said = (finding.message, finding.expected, finding.cure)
    got = ", ".join(part for part in (finding.got, _lines_along(finding, document)) if part)
    return _fault(path, document.values.get(path), document, file, said, got)


def _lines_along(finding: Finding, document: Document) -> str:
    """The lines of all places that a finding runs through."""
    marks = [document.values.get(_walk(loc, document)[0]) for loc in finding.along]
    lines = [str(line) for line in dict.fromkeys(mark.line for mark in marks if mark is not None)]
    if len(lines) < 2:
        return ""
    return f"lines {', '.join(lines[:-1])} and {lines[-1]}"


def _walk(loc: tuple[str | int, ...], document: Document) -> tuple[Path, Path]:
    """How far a place of the records leads into the text, and what is left of it."""
    path: Path = ()
    for depth, step in enumerate(loc):
        if document.at((*path, step)) is None:
            return path, loc[depth:]
        path = (*path, step)
    return path, ()


def _fault(path: Path, mark: Mark | None, document: Document, file: str, said: Said, got: str = "") -> Fault:
    message, expected, cure = said
    place = mark or Mark(1, 1)
    return Fault(path_words(path, document), message, expected, got, cure, file, place.line, place.column)


def _missing(path: Path, rest: Path, document: Document, file: str) -> Fault:
    """A key or an entry that is not there; the fault lies at what should hold it."""
    mark = document.keys.get(path) if path and isinstance(path[-1], str) else document.values.get(path)
    last = rest[-1] if rest else ""
    if isinstance(last, int):
        said = ("an entry is missing", _expected(path, document), "Add what is missing between the brackets.")
        return _fault(path, document.values.get(path), document, file, said, _got(document.at(path)))
    said = (f"the key {last!r} is missing", _expected((*path, last), document), f"Add {last}: to it.")
    return _fault(path, mark, document, file, said)


def _said(error: ErrorDetails, path: Path, document: Document) -> Said:
    kind = error["type"]
    if kind == "value_error":
        return _sentence(str(error["ctx"]["error"])), "", ""
    if kind == "extra_forbidden":
        return _unknown_key(path, document)
    if document.at(path) == "":
        return "there is no value", _expected(path, document), "Write one, or leave the key out."
    ctx = error.get("ctx", {})
    if kind == "string_pattern_mismatch":
        known = _PATTERNS.get(ctx["pattern"])
        return known if known is not None else ("this cannot be read", _expected(path, document), "")
    if kind in ("literal_error", "enum"):
        words = _words_of(path, document)
        return "this word is not known here", _one_of(words), _did_you_mean(str(document.at(path)), words)
    said = _SAID.get(kind)
    return said(ctx) if said is not None else (_sentence(error["msg"].lower()), "", "")


def _plain(message: str, expected: str = "", cure: str = "") -> Callable[[Mapping[str, Any]], Said]:
    return lambda _: (message, expected, cure)


_NUMBER = _plain("this is no whole number", "a whole number such as 6")
_LIST = _plain("this is no list", "a list: [one, two], or one line each that begins with -")
_TABLE = _plain("this is no table of keys", "lines of `key: value`, or {key: value}")

_SAID: Final[Mapping[str, Callable[[Mapping[str, Any]], Said]]] = {
    "int_parsing": _NUMBER,
    "int_from_float": _NUMBER,
    "int_type": _NUMBER,
    "bool_parsing": _plain("this is neither true nor false", "true or false"),
    "bool_type": _plain("this is neither true nor false", "true or false"),
    "decimal_type": _plain("this is no number", "a figure such as 1.80"),
    "decimal_parsing": _plain("this is no number", "a figure such as 1.80"),
    "finite_number": _plain("this is no figure that can be measured", "a figure such as 1.80"),
    "string_type": _plain(
        "this is no text", "one word or one line of text", "Put a text with brackets in quotes."
    ),
    "tuple_type": _LIST,
    "list_type": _LIST,
    "dict_type": _TABLE,
    "model_type": _TABLE,
    "model_attributes_type": _TABLE,
    "too_short": lambda ctx: ("there are too few entries", f"at least {ctx['min_length']}", ""),
    "too_long": lambda ctx: ("there are too many entries", f"at most {ctx['max_length']}", ""),
    "string_too_short": _plain("there is no text", "", "Write one, or leave the key out."),
    "string_too_long": lambda ctx: ("the text is too long", f"at most {ctx['max_length']} characters", ""),
    "greater_than": lambda ctx: ("the figure is too small", f"more than {ctx['gt']}", ""),
    "greater_than_equal": lambda ctx: ("the figure is too small", f"{ctx['ge']} or more", ""),
    "less_than": lambda ctx: ("the figure is too big", f"less than {ctx['lt']}", ""),
    "less_than_equal": lambda ctx: ("the figure is too big", f"{ctx['le']} or less", ""),
}


def _unknown_key(path: Path, document: Document) -> Said:
    key, record = str(path[-1]), _record(path[:-1], document)
    known = list(record.model_fields) if record is not None else []
    nothing = document.at(path) == ""
    if nothing and key.isdecimal():
        cure = "Between { } and [ ] a figure takes a point, not a comma: 1.62"
    elif nothing and " " in key:
        cure = "A text with a comma or a colon between { } needs quotes around it."
    else:
        cure = _did_you_mean(key, known)
    return "this key is not known here", _one_of(known), cure


def _did_you_mean(name: str, known: Sequence[str]) -> str:
    """The nearest known word; nothing where none is near, since what is expected lists them all."""
    near = nearest(name, known)
    return near[0].upper() + near[1:] if near.startswith("did you mean") else ""


def _record(path: Path, document: Document) -> type[BaseModel] | None:
    """The record that a table of the text becomes."""
    annotation: Any = Transmission
    for depth, step in enumerate(path):
        record = _choose(annotation, document.at(path[:depth]))
        annotation = _below(record, step)
    chosen = _choose(annotation, document.at(path))
    return chosen if isinstance(chosen, type) and issubclass(chosen, BaseModel) else None


def _choose(annotation: Any, node: Tree | None) -> Any:
    """The one of several types that a node is meant to be: by its `kind`, else the first that is a record or a list."""
    if get_origin(annotation) is Annotated:
        return _choose(get_args(annotation)[0], node)
    if get_origin(annotation) not in (Union, UnionType):
        return annotation
    kinds = [one for one in get_args(annotation) if one is not type(None)]
    kind = node.get("kind") if isinstance(node, dict) else None
    for one in kinds:
        own = one.model_fields.get("kind") if isinstance(one, type) and issubclass(one, BaseModel) else None
        if own is not None and kind in get_args(own.annotation):
            return one
    return _choose(kinds[0], node) if len(kinds) == 1 else None


def _below(annotation: Any, step: str | int) -> Any:
    """The type of what a record, list or table holds at one key."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        field = annotation.model_fields.get(str(step))
        return field.annotation if field is not None else None
    if get_origin(annotation) is dict:
        return get_args(annotation)[1]
    if get_origin(annotation) is tuple and isinstance(step, int):
        kinds = get_args(annotation)
        return kinds[0] if kinds[-1] is Ellipsis else kinds[min(step, len(kinds) - 1)]
    return None


def _words_of(path: Path, document: Document) -> list[str]:
    """The closed list of words that a key may have."""
    record = _record(path[:-1], document)
    annotation = _choose(_below(record, path[-1]), document.at(path))
    if get_origin(annotation) is Literal:
        return [str(word) for word in get_args(annotation)]
    return [str(word) for word in getattr(annotation, "__members__", {}).values()]


def _expected(path: Path, document: Document) -> str:
    """What a key should hold, in words, as the schema tells it to an editor."""
    record = _record(path[:-1], document) if path else None
    if record is None or not isinstance(path[-1], str):
        return ""
    schema = json_schema()
    own = schema if record is Transmission else schema["$defs"].get(record.__name__, {})
    return _schema_words(own.get("properties", {}).get(path[-1], {}))


def _schema_words(node: Mapping[str, Any]) -> str:
    if "enum" in node:
        return _one_of(list(dict.fromkeys(str(word) for word in node["enum"])))
    if "examples" in node:
        return f"a text such as {node['examples'][0]!r}"
    if "$ref" in node or node.get("type") == "object":
        return "lines of `key: value`"
    kind = node.get("type")
    if kind == "array":
        return f"{node['minItems']} entries in brackets" if node.get("minItems", 1) > 1 else "a list"
    first = kind[0] if isinstance(kind, list) else kind
    return {"integer": "a whole number", "number": "a figure such as 1.80", "string": "a text"}.get(
        str(first), ""
    )


def _one_of(words: Sequence[str]) -> str:
    return f"one of {', '.join(words)}" if words else ""


def _got(node: Tree | None) -> str:
    if isinstance(node, str):
        return repr(node if len(node) <= 60 else node[:57] + "...") if node else "nothing"
    if isinstance(node, list):
        return f"a list of {len(node)}"
    return "a table of keys" if isinstance(node, dict) else ""


def _sentence(text: str) -> str:
    """A message without its full stop, since more follows."""
    return text.removesuffix(".")
