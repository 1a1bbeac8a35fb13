"""The import ladder: who may import whom, read from the syntax trees and never by importing.

A package imports only from rungs below its own; packages on one rung never import each other; modules form no
circle; no import of our own stands inside a function.  The computing packages touch nothing outside themselves.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

__all__ = ["LADDER", "PURE", "Module", "breaches", "read_modules"]

#: Low to high; names in one group share a rung.
LADDER: tuple[frozenset[str], ...] = (
    frozenset({"errors"}),
    frozenset({"units"}),
    frozenset({"source"}),
    frozenset({"mechanics", "metrology", "signals", "planning", "inference"}),
    frozenset({"sums"}),
    frozenset({"model"}),
    frozenset({"definitions", "recordings"}),
    frozenset({"job"}),
    frozenset({"stages"}),
    frozenset({"figures"}),
    frozenset({"papers"}),
    frozenset({"store"}),
    frozenset({"desk"}),
    frozenset({"web", "cli"}),
)

#: Packages that compute and do nothing else: no files, clock, database, network or chance.
PURE: frozenset[str] = LADDER[3]

#: All that a pure package may import from elsewhere: what computes, and what describes types.
ALLOWED_IN_PURE: frozenset[str] = frozenset((
    "__future__", "abc", "bisect", "cmath", "collections", "contextlib", "copy", "dataclasses", "datetime",
    "decimal", "difflib", "enum", "fractions", "functools", "graphlib", "heapq", "itertools", "math",
    "numbers", "operator", "re", "statistics", "string", "types", "typing", "numpy", "scipy", "polars",
))  # fmt: skip
#: Chance with a seed: the class alone, since the module's own functions share a hidden state.
SEEDED_CHANCE = "random.Random"
FORBIDDEN_CALLS: frozenset[str] = frozenset({"open", "input", "print", "exec", "eval", "__import__"})

ROOT = "countershaft"
#: The door to everything (`python -m countershaft`) and the promised names: above every rung.
ABOVE_ALL = frozenset({"", "__main__"})
#: The one import along a rung: the command that starts the web app has to name it (docs/decisions/0007).
DOOR = ("countershaft.cli.serve", "countershaft.web.app")


@dataclass(frozen=True, slots=True)
class Import:
    """One imported module name at one line; `lazy` when it stands inside a function."""

    name: str
    line: int
    lazy: bool
    reason: bool


@dataclass(frozen=True, slots=True)
class Call:
    """One call by name at one line; `bare` when nothing is handed over."""

    name: str
    line: int
    bare: bool


@dataclass(frozen=True, slots=True)
class Module:
    """A module of ours, what it imports and what it calls."""

    name: str
    path: Path
    imports: tuple[Import, ...]
    calls: tuple[Call, ...]

    @property
    def package(self) -> str:
        """Its package or module directly below the root: "stages" for "countershaft.stages.fit"."""
        return _below_root(self.name)


def read_modules(root: Path) -> tuple[Module, ...]:
    """Every module below a package's folder.  Migrations run by path, but keep to the same rules."""
    paths = {_module_name(root, path): path for path in sorted(root.rglob("*.py"))}
    return tuple(_read(name, path, frozenset(paths)) for name, path in paths.items())


def breaches(modules: Sequence[Module]) -> list[str]:
    """Everything that breaks the ladder, one sentence each with file and line."""
    found = [breach for module in modules for breach in _of_module(module)]
    circle = _circle({module.name: _own_edges(module) for module in modules})
    if circle:
        found.append(f"modules import each other in a circle: {' -> '.join(circle)}")
    return found


def _of_module(module: Module) -> Iterator[str]:
    if module.package not in ABOVE_ALL and _rung(module.package) is None:
        yield f"{module.path}: {module.package!r} stands on no rung of the ladder"
        return
    for one in module.imports:
        where = f"{module.path}:{one.line}"
        if _is_own(one.name):
            yield from _own(module, one, where)
        elif one.lazy and not one.reason:
            yield f"{where}: {one.name} is imported inside a function without a reason beside it"
        if module.package in PURE and not _is_own(one.name) and not _is_allowed(one.name):
            yield f"{where}: {module.package} only computes, and must not import {one.name}"
    if module.package in PURE:
        for call in module.calls:
            if _is_impure(call):
                yield f"{module.path}:{call.line}: {module.package} only computes, and must not call {call.name}()"


def _own(module: Module, one: Import, where: str) -> Iterator[str]:
    target = _below_root(one.name)
    if one.lazy and target != "":
        yield f"{where}: {one.name} is imported inside a function; import it at the top or turn the need round"
    if target in ABOVE_ALL or module.package in ABOVE_ALL or target == module.package:
        return
    mine, its = _rung(module.package), _rung(target)
    if its is None:
        yield f"{where}: {one.name} stands on no rung of the ladder"
    elif mine is not None and its > mine:
        yield f"{where}: {module.package} imports upward from {target}"
    elif its == mine and (module.name, one.name) != DOOR:
        yield f"{where}: {module.package} and {target} share a rung, and must not import each other"


def _below_root(name: str) -> str:
    return [*name.split("."), ""][1]


def _is_own(name: str) -> bool:
    return name == ROOT or name.startswith(f"{ROOT}.")


def _rung(package: str) -> int | None:
    return next((rung for rung, names in enumerate(LADDER) if package in names), None)


def _is_allowed(name: str) -> bool:
    return name == SEEDED_CHANCE or name.split(".", maxsplit=1)[0] in ALLOWED_IN_PURE


def _is_impure(call: Call) -> bool:
    """Whether a call reaches outside: files, the terminal, the clock, or chance without a seed."""
    *before, last = call.name.split(".")
    if call.name in FORBIDDEN_CALLS or last in {"now", "utcnow", "today"}:
        return True
    if last in {"default_rng", "Random"}:
        return call.bare
    return before[-1:] == ["random"] and last not in {"Generator", "SeedSequence"}


# --- reading ------------------------------------------------------------------------------------------------


def _module_name(root: Path, path: Path) -> str:
    parts = [ROOT, *path.relative_to(root).with_suffix("").parts]
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def _read(name: str, path: Path, known: frozenset[str]) -> Module:
    text = path.read_text(encoding="utf-8")
    tree = ast.parse(text, filename=str(path))
    lines = text.splitlines()
    package = name if path.name == "__init__.py" else name.rpartition(".")[0]
    inside = {
        id(child)
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
        for child in ast.walk(node)
    }
    imports = tuple(
        Import(target, node.lineno, id(node) in inside, _has_comment(node, lines))
        for node in ast.walk(tree)
        if isinstance(node, ast.Import | ast.ImportFrom | ast.Call)
        for target in dict.fromkeys(_targets(node, package, known))
    )
    calls = tuple(
        Call(ast.unparse(node.func), node.lineno, not (node.args or node.keywords))
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name | ast.Attribute)
    )
    return Module(name, path, imports, calls)


def _targets(
    node: ast.Import | ast.ImportFrom | ast.Call, package: str, known: frozenset[str]
) -> Iterator[str]:
    """The modules that a statement imports; a name taken from a package is a module where there is one."""
    if isinstance(node, ast.Import):
        yield from (alias.name for alias in node.names)
    elif isinstance(node, ast.ImportFrom):
        parents = package.split(".")[: len(package.split(".")) - node.level + 1]
        base = ".".join([*(parents if node.level else []), *([node.module] if node.module else [])])
        for alias in node.names:
            full = f"{base}.{alias.name}"
            yield full if full in known or full == SEEDED_CHANCE else base
    elif ast.unparse(node.func).endswith("import_module") and node.args:
        yield from _by_name(node.args[0], package)


def _by_name(argument: ast.expr, package: str) -> Iterator[str]:
    """An import by text; one of the module's own package, loaded when it is called for, is no dodge."""
    parts = argument.values if isinstance(argument, ast.JoinedStr) else [argument]
    first = parts[0] if parts else argument
    if isinstance(first, ast.Constant) and isinstance(first.value, str):
        name = first.value.rstrip(".")
        if not (name == package or name.startswith(f"{package}.")):
            yield name


def _has_comment(node: ast.AST, lines: Sequence[str]) -> bool:
    """Whether a reason stands on the line of the statement, or on the line above it."""
    if not isinstance(node, ast.stmt) or node.end_lineno is None:
        return False
    after = lines[node.end_lineno - 1].encode()[node.end_col_offset :].decode()
    return after.strip().startswith("#") or lines[node.lineno - 2].strip().startswith("#")


# --- circles ------------------------------------------------------------------------------------------------


def _own_edges(module: Module) -> tuple[str, ...]:
    return tuple(
        dict.fromkeys(one.name for one in module.imports if _is_own(one.name) and one.name != module.name)
    )


def _circle(edges: Mapping[str, Sequence[str]]) -> list[str]:
    """One circle of modules that import each other, the first repeated at the end; empty where there is none."""
    try:
        TopologicalSorter(edges).prepare()
    except CycleError as error:
        return [str(name) for name in reversed(error.args[1])]
    return []
