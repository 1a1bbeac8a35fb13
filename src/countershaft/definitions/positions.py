"""YAML text to a plain tree in which every figure is still the text that was typed, and where each thing stands.

Nothing is typed implicitly: `1.80` keeps its digits, `no` stays a word, `1:30` and `010` stay what they are.
Anchors, aliases, tags and merge keys are refused, which also closes the door to texts that unfold without end.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, Final, TypeAlias

import yaml

from countershaft.errors import Fault

__all__ = ["Document", "Mark", "Path", "Tree", "path_words", "read_tree"]

Tree: TypeAlias = "str | list[Tree] | dict[str, Tree]"
Path: TypeAlias = tuple[str | int, ...]

#: No transmission file comes near these; a text beyond them is no transmission file.
MAX_LENGTH: Final = 2_000_000
MAX_DEPTH: Final = 20

#: What YAML 1.2 reads as "nothing"; a key without a value is the same.
_NOTHING: Final = frozenset({"", "~", "null", "Null", "NULL"})

_Loader: Final[type[Any]] = getattr(yaml, "CLoader", yaml.Loader)


@dataclass(frozen=True, slots=True)
class Mark:
    """A place in a text, counted from 1."""

    line: int
    column: int


@dataclass(slots=True)
class Document:
    """The tree of one text, with the place of every key and value, and what is wrong with the YAML itself."""

    tree: Tree = ""
    keys: dict[Path, Mark] = field(default_factory=dict)
    values: dict[Path, Mark] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def at(self, path: Path) -> Tree | None:
        """What stands at a path; None where nothing does."""
        node: Tree = self.tree
        for step in path:
            if isinstance(node, dict) and isinstance(step, str):
                below = node.get(step)
            elif isinstance(node, list) and isinstance(step, int) and 0 <= step < len(node):
                below = node[step]
            else:
                below = None
            if below is None:
                return None
            node = below
        return node


class _Stop(Exception):
    """Reading cannot go on after this fault."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(fault.message)
        self.fault = fault


def read_tree(text: str, file: str) -> Document:
    """Read a YAML text; what is wrong with it stands in `faults`, and the tree holds what could be read."""
    document = Document()
    found = _size_fault(text, file) or _character_fault(text, file)
    if found is not None:
        document.faults.append(found)
        return document
    loader = _Loader(text.removeprefix("\ufeff"))
    try:
        _Builder(loader, document, file).build()
    except _Stop as stop:
        document.faults.append(stop.fault)
    except yaml.MarkedYAMLError as error:
        document.faults.append(_syntax_fault(error, file))
    finally:
        loader.dispose()
    return document


class _Builder:
    """Builds a document's tree from the events of the YAML parser."""

    def __init__(self, loader: Any, document: Document, file: str) -> None:
        self._loader = loader
        self._document = document
        self._file = file

    def build(self) -> None:
        """Read the one document of the stream."""
        events: Iterator[Any] = iter(self._loader.get_event, None)
        next(events)
        event = next(events)
        if isinstance(event, yaml.StreamEndEvent):
            raise _Stop(
                self._fault((), "the file is empty", Mark(1, 1), cure="Begin with the line: format: 1")
            )
        self._document.tree = self._node(next(events), ())
        next(events)
        more = next(events)
        if not isinstance(more, yaml.StreamEndEvent):
            raise _Stop(
                self._fault(
                    (), "a second document begins here", _mark(more),
                    cure="One file describes one transmission: take the line --- out, or make two files.",
                )
            )  # fmt: skip

    def _node(self, event: Any, path: Path) -> Tree:
        if len(path) > MAX_DEPTH:
            raise _Stop(
                self._fault(
                    path, f"lists and tables lie more than {MAX_DEPTH} deep in each other", _mark(event),
                    cure="Look for brackets that are not closed.",
                )
            )  # fmt: skip
        self._document.values[path] = _mark(event)
        self._refuse_sharing(event, path)
        if isinstance(event, yaml.AliasEvent):
            return ""
        if isinstance(event, yaml.SequenceStartEvent):
            return self._list(path)
        if isinstance(event, yaml.MappingStartEvent):
            return self._table(path)
        return "" if not event.style and event.value in _NOTHING else str(event.value)

    def _list(self, path: Path) -> list[Tree]:
        found: list[Tree] = []
        while not isinstance(event := self._loader.get_event(), yaml.SequenceEndEvent):
            found.append(self._node(event, (*path, len(found))))
        return found

    def _table(self, path: Path) -> dict[str, Tree]:
        found: dict[str, Tree] = {}
        while not isinstance(event := self._loader.get_event(), yaml.MappingEndEvent):
            if not isinstance(event, yaml.ScalarEvent):
                raise _Stop(
                    self._fault(
                        path, "a key must be a word, not a list or a table", _mark(event),
                        cure="Put a text with brackets or braces in quotes.",
                    )
                )  # fmt: skip
            self._refuse_sharing(event, path)
            key, mark = str(event.value), _mark(event)
            if key == "<<" and not event.style:
                self._say((*path, key), "merge keys are not read", mark, cure="Write the keys out.")
                self._skip(self._loader.get_event())
                continue
            own = (*path, key)
            if key in found:
                first = self._document.keys[own]
                self._say(
                    own, "the key stands twice in one table", mark,
                    got=f"the first one in line {first.line}", cure="Take one of the two out.",
                )  # fmt: skip
                self._skip(self._loader.get_event())
                continue
            self._document.keys[own] = mark
            found[key] = self._node(self._loader.get_event(), own)
        return found

    def _skip(self, event: Any) -> None:
        """Pass over a node that is not kept."""
        depth = 0
        while True:
            if isinstance(event, yaml.CollectionStartEvent):
                depth += 1
            elif isinstance(event, yaml.CollectionEndEvent):
                depth -= 1
            if depth == 0:
                return
            event = self._loader.get_event()

    def _refuse_sharing(self, event: Any, path: Path) -> None:
        if isinstance(event, yaml.AliasEvent):
            self._say(
                path, f"aliases (*{event.anchor}) are not read", _mark(event), cure="Write the value out."
            )
        elif event.anchor is not None:
            self._say(path, f"anchors (&{event.anchor}) are not read", _mark(event), cure="Take it out.")
        tag = getattr(event, "tag", None)
        if tag is not None:
            self._say(path, f"tags ({tag}) are not read", _mark(event), cure="Take the tag out.")

    def _say(self, path: Path, message: str, mark: Mark, *, got: str = "", cure: str = "") -> None:
        self._document.faults.append(self._fault(path, message, mark, got=got, cure=cure))

    def _fault(self, path: Path, message: str, mark: Mark, *, got: str = "", cure: str = "") -> Fault:
        key = path_words(path, self._document)
        return Fault(key, message, "", got, cure, self._file, mark.line, mark.column)


def path_words(path: Path, document: Document) -> str:
    """A path in words: `steps[T04].needs[#2]`; an entry of a list by its id where it has one, else by its number."""
    words = ""
    for depth, step in enumerate(path):
        if isinstance(step, str):
            words += f".{step}" if words else step
            continue
        entry = document.at(path[: depth + 1])
        own = entry.get("id", entry.get("element")) if isinstance(entry, dict) else None
        words += f"[{own}]" if isinstance(own, str) and own else f"[#{step + 1}]"
    return words


def _mark(event: Any) -> Mark:
    return Mark(event.start_mark.line + 1, event.start_mark.column + 1)


#: Part of the parser's own words -> what to do about it.
_CURES: Final = {
    "mapping values are not allowed": "A text that holds a colon needs quotes around it.",
    "tab character": "Indent with spaces, not with tabs.",
    "cannot start any token": "Indent with spaces, not with tabs; put a text that begins with such a sign in quotes.",
    "did not find expected ',' or": "Look for a comma or a closing bracket that is missing.",
    "did not find expected": "Look at the indentation: what belongs together begins in one column.",
    "could not find expected ':'": "Write `key: value`, with a space behind the colon.",
    "quoted scalar": "Look for a quotation mark that is not closed.",
}


def _syntax_fault(error: yaml.MarkedYAMLError, file: str) -> Fault:
    mark = error.problem_mark or error.context_mark
    words = " ".join(part for part in (error.context, error.problem) if part)
    cure = next(
        (cure for part, cure in _CURES.items() if part in words), "Look at this line and the one above."
    )
    place = Mark(mark.line + 1, mark.column + 1) if mark is not None else Mark(1, 1)
    return Fault("", f"no YAML from here on: {words}", "", "", cure, file, place.line, place.column)


def _size_fault(text: str, file: str) -> Fault | None:
    if len(text) <= MAX_LENGTH:
        return None
    return Fault(
        "", "the file is too big for a transmission file", f"at most {MAX_LENGTH} characters", f"{len(text)}",
        "Look whether it is the right file.", file, 1, 1,
    )  # fmt: skip


def _character_fault(text: str, file: str) -> Fault | None:
    found = yaml.reader.Reader.NON_PRINTABLE.search(text)
    if found is None:
        return None
    before = text[: found.start()]
    return Fault(
        "", "a character that no text holds", "plain text in UTF-8", f"U+{ord(found[0]):04X}",
        "Delete it, or save the file again as plain text in UTF-8.",
        file, before.count("\n") + 1, found.start() - before.rfind("\n"),
    )  # fmt: skip
