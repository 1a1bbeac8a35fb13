"""YAML text to a plain tree in which every scalar stays as it was typed, and the place of every key and value.

No implicit typing at all: "1.80", "no" and "010" stay texts, so the digits of a figure keep their meaning.
Anchors, aliases, tags and doubled keys are refused, each with its line.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Final

import yaml

from countershaft.errors import DefinitionError, Fault

__all__ = ["MOST_CHARACTERS", "Place", "Tree", "read_tree"]

#: A file larger than this is no transmission file.
MOST_CHARACTERS: Final[int] = 2_000_000
_DEEPEST: Final[int] = 40

Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Place:
    """Line and column, both from 1."""

    line: int
    column: int


@dataclass(slots=True)
class Tree:
    """The data of a file and where each part of it stands.

    `keys` maps a path to the place of its key, `values` to the place of its value.
    """

    data: Any
    file: str
    keys: dict[Path, Place] = field(default_factory=dict)
    values: dict[Path, Place] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def place(self, path: Path, *, of_key: bool = False) -> Place:
        """The place of a path, or of its nearest ancestor that has one."""
        tables = (self.keys, self.values) if of_key else (self.values, self.keys)
        for table in tables:
            if path in table:
                return table[path]
        return self.place(path[:-1]) if path else Place(1, 1)


def read_tree(text: str, file: str) -> Tree:
    """Compose a text into a tree; raises DefinitionError where it is no YAML at all."""
    if len(text) > MOST_CHARACTERS:
        fault = Fault("", f"the file has {len(text)} characters", f"at most {MOST_CHARACTERS}", file=file, line=1, column=1)
        raise DefinitionError((fault,))
    loader = yaml.CSafeLoader if hasattr(yaml, "CSafeLoader") else yaml.SafeLoader
    try:
        node = yaml.compose(text, Loader=loader)
    except yaml.YAMLError as cause:
        raise DefinitionError((_syntax(cause, file),)) from cause
    tree = Tree({}, file)
    if node is None:
        fault = Fault("", "the file is empty", "a mapping that begins with 'format: 1'", file=file, line=1, column=1)
        raise DefinitionError((fault,))
    tree.data = _walk(node, (), tree, text)
    return tree


def _syntax(cause: yaml.YAMLError, file: str) -> Fault:
    mark = getattr(cause, "problem_mark", None)
    problem = getattr(cause, "problem", None) or str(cause).splitlines()[0]
    if "single document" in str(cause):
        problem = "more than one document in the file"
    line, column = (mark.line + 1, mark.column + 1) if mark is not None else (1, 1)
    return Fault("", f"this is no YAML: {problem}", file=file, line=line, column=column, cure="Mend the line or the one above it.")


def _walk(node: yaml.Node, path: Path, tree: Tree, text: str) -> Any:
    place = Place(node.start_mark.line + 1, node.start_mark.column + 1)
    if path in tree.values or len(path) > _DEEPEST:
        return None
    tree.values[path] = place
    _refuse_marks(node, path, place, tree, text)
    if isinstance(node, yaml.MappingNode):
        return _mapping(node, path, tree, text)
    if isinstance(node, yaml.SequenceNode):
        return [_walk(item, (*path, index), tree, text) for index, item in enumerate(node.value)]
    if node.value in ("", "~", "null") and node.style is None:
        return None
    return node.value


def _mapping(node: yaml.MappingNode, path: Path, tree: Tree, text: str) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key_node, value_node in node.value:
        place = Place(key_node.start_mark.line + 1, key_node.start_mark.column + 1)
        key = key_node.value if isinstance(key_node, yaml.ScalarNode) else None
        if not isinstance(key, str) or key == "<<":
            tree.faults.append(_fault(tree, path, place, "a key must be a plain word", cure="Write the values out."))
            continue
        if key in found:
            first = tree.keys[(*path, key)]
            message = f"the key {key!r} stands here a second time; the first is in line {first.line}"
            tree.faults.append(_fault(tree, (*path, key), place, message, cure="Keep one of the two."))
            continue
        tree.keys[(*path, key)] = place
        found[key] = _walk(value_node, (*path, key), tree, text)
    return found


def _refuse_marks(node: yaml.Node, path: Path, place: Place, tree: Tree, text: str) -> None:
    """Anchors, aliases and tags: the composed node shows them only by what stands before it in the text."""
    start = text[node.start_mark.index : node.start_mark.index + 1]
    plain_tags = ("tag:yaml.org,2002:map", "tag:yaml.org,2002:seq", "tag:yaml.org,2002:str")
    implicit = node.tag in plain_tags or node.tag.startswith("tag:yaml.org,2002:")
    if start in ("&", "*") or (start == "!" or not implicit):
        word = {"&": "an anchor", "*": "an alias"}.get(start, "a tag")
        tree.faults.append(_fault(tree, path, place, f"{word} is not taken here", cure="Write the value out in full."))


def _fault(tree: Tree, path: Path, place: Place, message: str, *, cure: str) -> Fault:
    key = ".".join(map(str, path))
    return Fault(key, message, file=tree.file, line=place.line, column=place.column, cure=cure)
