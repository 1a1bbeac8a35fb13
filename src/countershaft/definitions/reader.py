"""Transmission file to model: every fault at once, each with its line, what was expected, what came, and the cure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from pydantic import ValidationError

from countershaft.definitions.messages import fault_of_finding, faults_of_errors
from countershaft.definitions.positions import Document, Mark, Tree, read_tree
from countershaft.errors import DefinitionError, Fault
from countershaft.model.checks import Finding, cross_check, reference_check
from countershaft.model.doubts import doubts
from countershaft.model.transmission import Transmission

__all__ = ["FORMAT", "ReadFile", "read_file", "read_transmission"]

#: The format that this program reads and writes.
FORMAT = 1

_SECTIONS = {
    "packs": "element",
    "bands": "element",
    "load_cases": "gear",
    "parts": "id",
    "fasteners": "id",
    "steps": "id",
    "fits": "id",
    "limits": "id",
    "preloads": "id",
}


@dataclass(frozen=True, slots=True)
class ReadFile:
    """A file that can be used, with the warnings that it earns, in the order of the lines."""

    transmission: Transmission
    warnings: tuple[Fault, ...]


def read_file(text: str, file: str) -> ReadFile:
    """Read a transmission file and look for what can hardly be so; raises DefinitionError as `read_transmission`."""
    document, transmission = _read(text, file)
    found = [fault_of_finding(finding, document, file) for finding in doubts(transmission)]
    return ReadFile(transmission, _in_order(found))


def read_transmission(text: str, file: str) -> Transmission:
    """Read a transmission file; raises DefinitionError with every fault that can be told, in the order of the lines.

    `file` is only the name that the faults carry.
    """
    return _read(text, file)[1]


def _in_order(faults: Sequence[Fault]) -> tuple[Fault, ...]:
    return tuple(sorted(dict.fromkeys(faults), key=lambda one: (one.line, one.column)))


def _read(text: str, file: str) -> tuple[Document, Transmission]:
    document = read_tree(text, file)
    faults = list(document.faults)
    if not isinstance(document.tree, dict):
        if not faults:
            faults.append(_no_table(document, file))
        raise DefinitionError(tuple(faults))
    tree, wrong_format = _with_format(document, document.tree, file)
    faults += wrong_format
    transmission, errors = _validate(tree)
    if errors:
        faults += faults_of_errors(errors, document, file)
        findings = _references_of_the_rest(tree, errors)
    else:
        assert transmission is not None, "no errors were told"
        findings = cross_check(transmission)
    faults += [fault_of_finding(finding, document, file) for finding in findings]
    if faults or transmission is None:
        raise DefinitionError(_in_order(faults))
    return document, transmission


def _validate(tree: dict[str, Any]) -> tuple[Transmission | None, Sequence[Any]]:
    try:
        return Transmission.model_validate(tree), ()
    except ValidationError as error:
        return None, error.errors(include_url=False)


def _no_table(document: Document, file: str) -> Fault:
    mark = document.values.get((), Mark(1, 1))
    return Fault(
        "", "the file is no table of keys", "lines such as `format: 1`", "", "Begin with the line: format: 1",
        file, mark.line, mark.column,
    )  # fmt: skip


def _with_format(document: Document, tree: dict[str, Tree], file: str) -> tuple[dict[str, Any], list[Fault]]:
    """The tree with its format as the number that the record wants; another format is told in its own words."""
    given = tree.get("format")
    if given is None or given == str(FORMAT):
        return {**tree, **({} if given is None else {"format": FORMAT})}, []
    mark = document.values[("format",)]
    later = isinstance(given, str) and given.isdecimal() and int(given) > FORMAT
    cure = "Read it with a later countershaft." if later else f"Write format: {FORMAT}"
    got = repr(given) if isinstance(given, str) else "more than one figure"
    fault = Fault(
        "format", "this format is not read here", str(FORMAT), got, cure, file, mark.line, mark.column
    )
    return {**tree, "format": FORMAT}, [fault]


def _references_of_the_rest(tree: dict[str, Any], errors: Sequence[Any]) -> tuple[Finding, ...]:
    """Names that lead nowhere in the records that can be read, so that they are told together with the others.

    Records with faults are left out, but their names count as known.
    """
    broken: dict[str, set[int]] = {section: set() for section in _SECTIONS}
    rest = dict(tree)
    for error in errors:
        section, place = (*error["loc"], None, None)[:2]
        if section in _SECTIONS and isinstance(place, int):
            broken[section].add(place)
        elif section not in ("name", "format"):
            rest.pop(str(section), None)
    rest |= {"format": FORMAT, "name": "the readable rest"}
    for section, places in broken.items():
        if places and section in rest:
            rest[section] = [one for place, one in enumerate(rest[section]) if place not in places]
    transmission, errors_left = _validate(rest)
    if transmission is None or errors_left:
        return ()
    findings = reference_check(transmission, also_known=_names_given(tree))
    return tuple(_moved(finding, broken) for finding in findings)


def _names_given(tree: dict[str, Any]) -> dict[str, frozenset[str]]:
    """Every name that the text gives, by section, whether its record can be read or not."""
    found: dict[str, frozenset[str]] = {}
    for section, key in _SECTIONS.items():
        records = tree.get(section)
        found[section] = frozenset(
            str(one.get(key))
            for one in (records if isinstance(records, list) else [])
            if isinstance(one, dict)
        )
    for section, (above, below) in {
        "elements": ("train", "elements"),
        "sources": ("about", "sources"),
    }.items():
        holder = tree.get(above)
        names = holder.get(below) if isinstance(holder, dict) else None
        found[section] = frozenset(names if isinstance(names, dict) else ())
    return found


def _moved(finding: Finding, broken: dict[str, set[int]]) -> Finding:
    """A finding with the number that its record has in the whole text."""
    section, place = finding.loc[0], finding.loc[1]
    if not isinstance(section, str) or not isinstance(place, int):
        return finding
    for left_out in sorted(broken[section]):
        if left_out <= place:
            place += 1
    return replace(finding, loc=(section, place, *finding.loc[2:]))
