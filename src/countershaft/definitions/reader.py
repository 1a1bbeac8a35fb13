"""Text of a transmission file to the model, with every fault of the file at once."""

from __future__ import annotations

from difflib import get_close_matches
from typing import Any

from pydantic import BaseModel, ValidationError

from countershaft.definitions.positions import Path, Tree, read_tree
from countershaft.errors import DefinitionError, Fault
from countershaft.model.checks import cross_check
from countershaft.model.transmission import Transmission

__all__ = ["read_transmission"]


def read_transmission(text: str, file: str) -> Transmission:
    """Read a transmission file.

    Raises DefinitionError with every fault: file, line, key, expected, got, and what to do.
    """
    tree = read_tree(text, file)
    if not isinstance(tree.data, dict):
        place = tree.place(())
        raise DefinitionError(
            (Fault("", "the file is no mapping", "keys such as 'format: 1'", file=file, line=place.line, column=place.column),)
        )
    try:
        transmission = Transmission.model_validate(tree.data)
    except ValidationError as cause:
        faults = [*tree.faults, *(_of_pydantic(tree, fault) for fault in cause.errors())]
        raise DefinitionError(_sorted(faults)) from cause
    faults = [
        *tree.faults,
        *(
            _at(tree, tuple(one.loc), one.message, expected=one.expected, got=one.got, cure=one.cure)
            for one in cross_check(transmission)
        ),
    ]
    if faults:
        raise DefinitionError(_sorted(faults))
    return transmission


def _sorted(faults: list[Fault]) -> tuple[Fault, ...]:
    return tuple(sorted(faults, key=lambda fault: (fault.line, fault.column)))


def _at(
    tree: Tree, path: Path, message: str, *, expected: str = "", got: str = "", cure: str = "", of_key: bool = False
) -> Fault:
    place = tree.place(path, of_key=of_key)
    key = ".".join(map(str, path))
    return Fault(key, message, expected, got, cure, tree.file, place.line, place.column)


def _of_pydantic(tree: Tree, fault: Any) -> Fault:
    """One of pydantic's faults at its line, in our words."""
    path, kind = _real_path(tree, fault["loc"]), fault["type"]
    got = fault.get("input")
    if kind == "extra_forbidden":
        known = _known_keys(Transmission, path[:-1])
        near = get_close_matches(str(path[-1]), known, 1)
        cure = f"Did you mean {near[0]!r}?" if near else f"Known here: {', '.join(known)}." if known else ""
        return _at(tree, path, "this key is not known", got=repr(path[-1]), cure=cure, of_key=True)
    if kind == "missing":
        return _at(tree, path[:-1], f"the key {path[-1]!r} is missing", expected=str(path[-1]), cure="Add it.", of_key=True)
    message = str(fault["msg"]).removeprefix("Value error, ")
    shown = "" if isinstance(got, dict | list | BaseModel) or repr(got) in message else repr(got)
    return _at(tree, path, message, got=shown)


def _real_path(tree: Tree, loc: tuple[Any, ...]) -> Path:
    """The part of pydantic's location that is in the file; names of union members are left out."""
    path: list[str | int] = []
    here: Any = tree.data
    for index, step in enumerate(loc):
        if isinstance(here, list) and isinstance(step, int) and step < len(here):
            path.append(step)
            here = here[step]
        elif isinstance(here, dict) and step in here:
            path.append(step)
            here = here[step]
        elif index == len(loc) - 1 and isinstance(here, dict):
            path.append(step)
    return tuple(path)


def _known_keys(model: type[BaseModel], path: Path) -> list[str]:
    """The keys that a record at a path knows; empty where the path leads through a union."""
    here: Any = model
    for step in path:
        if isinstance(step, int):
            continue
        field = here.model_fields.get(step) if isinstance(here, type) and issubclass(here, BaseModel) else None
        here = _record_of(field.annotation) if field is not None else None
        if here is None:
            return []
    return list(here.model_fields) if isinstance(here, type) and issubclass(here, BaseModel) else []


def _record_of(annotation: Any) -> Any:
    """The one record type inside an annotation such as tuple[Part, ...] or About | None."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    found = [inner for part in getattr(annotation, "__args__", ()) if (inner := _record_of(part)) is not None]
    return found[0] if len(found) == 1 else None
