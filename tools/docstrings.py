"""The docstrings of the computing packages against their signatures: names, types, units, errors raised."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

__all__ = ["faults_in"]

#: Types that carry a unit, so that "[mm]", "[rad]" or "[-]" must stand behind them.
NUMERIC = re.compile(r"\b(float|int|complex|Fraction|Decimal|NDArray|ndarray)\b")
FIELD = re.compile(
    r"^(?:(?P<names>[\w*]+(?:, [\w*]+)*) : )?"
    r"(?P<type>.+?)(?P<optional>, optional)?(?: \([^()]*\))?(?: \[(?P<unit>[^\[\]]+)\])?(?P<none> or None)?$"
)


#: Title of a section to its lines.
Sections = dict[str, list[str]]


@dataclass(frozen=True, slots=True)
class Field:
    """One line of a section: the names it speaks for, their type, and the unit in brackets."""

    names: tuple[str, ...]
    type: str
    unit: str | None


def faults_in(path: Path) -> list[str]:
    """Where the docstrings of a module's public functions and their signatures differ, one sentence each."""
    body = ast.parse(path.read_text(encoding="utf-8")).body
    aliases = dict(_aliases(body))
    return [
        f"{path.name}:{node.lineno} {node.name}(): {fault}"
        for node in body
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
        for fault in _faults(node, aliases)
    ]


def _aliases(body: Sequence[ast.stmt]) -> Iterator[tuple[str, str]]:
    """Names that a module gives to longer types, for docstrings that write the type out."""
    for node in body:
        target = node.targets[0] if isinstance(node, ast.Assign) else None
        target = node.target if isinstance(node, ast.AnnAssign) else target
        if (
            isinstance(node, ast.Assign | ast.AnnAssign)
            and isinstance(target, ast.Name)
            and node.value is not None
        ):
            yield target.id, ast.unparse(node.value)


def _faults(function: ast.FunctionDef, aliases: dict[str, str]) -> Iterator[str]:
    sections = _sections(ast.get_docstring(function) or "")
    yield from _parameters(function, sections, aliases)
    yield from _returns(function, sections, aliases)
    yield from _raises(function, sections)


def _parameters(function: ast.FunctionDef, sections: Sections, aliases: dict[str, str]) -> Iterator[str]:
    arguments = function.args
    given = [*arguments.posonlyargs, *arguments.args, *arguments.kwonlyargs]
    given += [one for one in (arguments.vararg, arguments.kwarg) if one is not None]
    fields = [_field(line) for line in sections.get("Parameters", [])]
    told = {name.lstrip("*"): field for field in fields for name in field.names}
    if set(told) != {one.arg for one in given}:
        yield f"its parameters are {', '.join(one.arg for one in given)}; described are {', '.join(told) or 'none'}"
        return
    for one in given:
        yield from _compare(f"parameter {one.arg}", one.annotation, told[one.arg], aliases)


def _returns(function: ast.FunctionDef, sections: Sections, aliases: dict[str, str]) -> Iterator[str]:
    silent = function.returns is None or ast.unparse(function.returns) in {"None", "NoReturn"}
    lines = sections.get("Returns") or sections.get("Yields") or []
    if silent or not lines:
        if silent == bool(lines):
            yield "it returns nothing, and says that it does" if silent else "it does not say what it returns"
        return
    yield from _compare("result", function.returns, _field(lines[0]), aliases)


def _raises(function: ast.FunctionDef, sections: Sections) -> Iterator[str]:
    raised = {
        ast.unparse(node.exc.func)
        for node in ast.walk(function)
        if isinstance(node, ast.Raise) and isinstance(node.exc, ast.Call)
    }
    for name in sorted(raised - set(sections.get("Raises", []))):
        yield f"it raises {name}, and does not say so"


def _compare(what: str, annotation: ast.expr | None, field: Field, aliases: dict[str, str]) -> Iterator[str]:
    expected = ast.unparse(annotation) if annotation is not None else ""
    written_out = re.sub(r"\w+", lambda name: aliases.get(name[0], name[0]), expected)
    if _plain(field.type) not in {_plain(expected), _plain(written_out)}:
        yield f"{what} is {expected}; described as {field.type}"
    elif NUMERIC.search(written_out) and field.unit is None:
        yield f"{what} is a figure without its unit in brackets"


def _plain(text: str) -> str:
    return re.sub(r"\s*\|\s*None$|\s", "", text.strip("\"'"))


def _field(line: str) -> Field:
    found = FIELD.match(line)
    if found is None:
        return Field((), line, None)
    return Field(tuple((found["names"] or "").split(", ")), found["type"], found["unit"])


def _sections(docstring: str) -> Sections:
    """Section to its lines that stand at the margin: names and types, without what is said about them."""
    lines = docstring.splitlines()
    found: Sections = {}
    for place, title in enumerate(lines[:-1]):
        if title and set(lines[place + 1]) == {"-"}:
            found[title] = _at_margin(lines[place + 2 :])
    return found


def _at_margin(lines: Sequence[str]) -> list[str]:
    """The lines at the margin, up to the title of the next section."""
    titles = (place - 1 for place, line in enumerate(lines) if line and set(line) == {"-"})
    return [line for line in lines[: next(titles, len(lines))] if line and not line.startswith(" ")]
