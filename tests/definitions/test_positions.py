"""Where the expected values come from: lines and columns counted by hand in the short texts below.

What YAML 1.2 makes of a text is checked against PyYAML's own composed nodes, a second route over the same text.
"""

from __future__ import annotations

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from countershaft.definitions import positions
from countershaft.definitions.library import library, library_text
from countershaft.definitions.positions import MAX_DEPTH, MAX_LENGTH, Mark, path_words, read_tree

TEXT = """\
format: 1
# a comment
name: "A, quoted"
parts:
  - id: P01
    sizes: [1.80, 010, no, 1:30, on]
  - {id: P02, note: two}
"""


def test_every_scalar_stays_the_text_that_was_typed() -> None:
    tree = read_tree(TEXT, "f").tree
    assert tree == {
        "format": "1",
        "name": "A, quoted",
        "parts": [{"id": "P01", "sizes": ["1.80", "010", "no", "1:30", "on"]}, {"id": "P02", "note": "two"}],
    }


@pytest.mark.parametrize(
    ("path", "key", "value"),
    [
        (("format",), Mark(1, 1), Mark(1, 9)),
        (("name",), Mark(3, 1), Mark(3, 7)),
        (("parts",), Mark(4, 1), Mark(5, 3)),
        (("parts", 0), None, Mark(5, 5)),
        (("parts", 0, "sizes"), Mark(6, 5), Mark(6, 12)),
        (("parts", 0, "sizes", 1), None, Mark(6, 19)),
        (("parts", 1), None, Mark(7, 5)),
        (("parts", 1, "note"), Mark(7, 15), Mark(7, 21)),
    ],
)
def test_keys_and_values_know_their_place(path: tuple[str | int, ...], key: Mark | None, value: Mark) -> None:
    document = read_tree(TEXT, "f")
    assert document.keys.get(path) == key
    assert document.values[path] == value


@pytest.mark.parametrize("nothing", ["", "~", "null", "NULL"])
def test_a_key_without_a_value_holds_an_empty_text(nothing: str) -> None:
    assert read_tree(f"name: {nothing}\n", "f").tree == {"name": ""}
    assert read_tree('name: "null"\n', "f").tree == {"name": "null"}


@pytest.mark.parametrize(
    ("text", "line", "column", "said"),
    [
        ("", 1, 1, "the file is empty. Begin with the line: format: 1"),
        ("# only a comment\n", 1, 1, "the file is empty"),
        ("a: [1, 2\nb: 3\n", 2, 2, "Look for a comma or a closing bracket"),
        ("a: 1\n\tb: 2\n", 2, 1, "Indent with spaces, not with tabs"),
        ("note: spring load: mind it\n", 1, 18, "A text that holds a colon needs quotes around it."),
        ("a: 1\n   b: 2\n", 2, 5, "A text that holds a colon needs quotes around it."),
        ("parts:\n  - a\n - b\n", 3, 2, "what belongs together begins in one column"),
        ('name: "open\nmore: 1\n', 3, 1, "Look for a quotation mark that is not closed."),
        ("a: 1\n---\nb: 2\n", 2, 1, "a second document begins here"),
        ("[a, b]: 1\n", 1, 1, "a key must be a word"),
        (
            "name: bell\x07\n",
            1,
            11,
            "a character that no text holds; expected plain text in UTF-8, got U+0007",
        ),
        ("a: " + "[" * (MAX_DEPTH + 1), 1, MAX_DEPTH + 4, f"more than {MAX_DEPTH} deep"),
        ("a" * (MAX_LENGTH + 1), 1, 1, f"too big for a transmission file; expected at most {MAX_LENGTH}"),
    ],
)
def test_what_is_no_yaml_is_said_with_its_place_and_cure(
    text: str, line: int, column: int, said: str
) -> None:
    faults = read_tree(text, "bad.yaml").faults
    assert [(fault.line, fault.column) for fault in faults] == [(line, column)]
    assert said in str(faults[0])
    assert str(faults[0]).startswith(f"bad.yaml:{line}:{column}: ")


def test_sharing_tags_and_doubled_keys_are_refused_and_reading_goes_on() -> None:
    text = "a: &x {b: 1, b: [2, [3]]}\nc: *x\nd: !!set {e: 1}\n<<: {f: 1}\n"
    document = read_tree(text, "f")
    assert [(fault.line, fault.column, fault.message) for fault in document.faults] == [
        (1, 4, "anchors (&x) are not read"),
        (1, 14, "the key stands twice in one table"),
        (2, 4, "aliases (*x) are not read"),
        (3, 4, "tags (tag:yaml.org,2002:set) are not read"),
        (4, 1, "merge keys are not read"),
    ]
    assert document.faults[1].got == "the first one in line 1"
    assert document.tree == {"a": {"b": "1"}, "c": "", "d": {"e": "1"}}


def test_a_text_that_would_unfold_without_end_is_read_at_once() -> None:
    bomb = "a0: &a0 [x]\n" + "".join(f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]\n" for n in range(1, 30))
    faults = read_tree(bomb, "f").faults
    assert {fault.message.split()[0] for fault in faults} == {"anchors", "aliases"}


def test_a_path_in_words_names_entries_by_their_id() -> None:
    document = read_tree("packs:\n  - {element: A, others: [{name: x}]}\n", "f")
    assert path_words(("packs", 0, "others", 0, "name"), document) == "packs[A].others[#1].name"


@pytest.mark.parametrize("name", library())
def test_the_parser_in_plain_python_reads_the_same(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    fast = read_tree(library_text(name), "f")
    monkeypatch.setattr(positions, "_Loader", yaml.Loader)
    assert read_tree(library_text(name), "f") == fast


_SCALARS = st.text("ab1.,:#-'\"[]{} \n", max_size=8)
_TREES = st.recursive(
    _SCALARS,
    lambda below: st.lists(below, max_size=3) | st.dictionaries(_SCALARS, below, max_size=3),
    max_leaves=8,
)


@given(_TREES)
def test_any_tree_is_read_as_pyyaml_composes_it(tree: object) -> None:
    text = yaml.safe_dump({"tree": tree}, allow_unicode=True, default_style='"')
    composed = yaml.load(text, Loader=yaml.BaseLoader)
    document = read_tree(text, "f")
    assert document.faults == []
    assert document.tree == composed == {"tree": tree}


@given(st.text(max_size=60))
def test_any_text_is_read_or_told(text: str) -> None:
    document = read_tree(text, "f")
    assert document.faults or document.tree is not None
    assert all(fault.line >= 1 and fault.column >= 1 and fault.message for fault in document.faults)
