"""Where the expected values come from: the model that was written (a round trip), and texts written by hand below."""

from __future__ import annotations

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from countershaft.definitions.library import library, library_text
from countershaft.definitions.reader import read_transmission
from countershaft.definitions.scalars import plain_or_quoted, quoted
from countershaft.definitions.writer import write_transmission
from countershaft.model.transmission import Transmission
from tests.strategies_files import transmissions


@settings(max_examples=150, deadline=None)
@given(transmissions())
def test_write_then_read_gives_an_equal_model(transmission: Transmission) -> None:
    text = write_transmission(transmission)
    again = read_transmission(text, "written.yaml")
    assert again == transmission
    # An equal figure may have other digits; what it prints as may not.
    assert repr(again) == repr(transmission)
    assert write_transmission(again) == text


@pytest.mark.parametrize("name", library())
def test_the_shipped_files_survive_a_round_trip(name: str) -> None:
    transmission = read_transmission(library_text(name), name)
    text = write_transmission(transmission)
    assert read_transmission(text, "written.yaml") == transmission
    assert max(map(len, text.splitlines())) <= 110


def test_a_file_reads_as_a_person_would_write_it() -> None:
    text = """\
format: 1
name: Small unit

about:
  mass: 82 kg
  note: >-
    A long note that does not fit into one line of the file and so is folded below its key, where an editor
    shows it whole, with single spaces between its words.
  sources:
    sheet: {kind: service information, text: "sheet 4, page 2"}

parts:
  - {id: P01, name: case, stays: true}
  - {id: P02, name: "drum, complete", quantity: 2}

fasteners:
  - id: F01
    name: pan
    thread: M6x1.0
    strength: "8.8"
    length_mm: 18.0
    count: 14
    stages: [{by_hand: until it seats}, {torque: 8 N·m (71 lbf·in)}]

  - id: F02
    name: cover
    thread: M6x1.0
    places:
      - {id: a, at_mm: [-10, 2.50]}
      - {id: b, at_mm: [10, 2.50]}
    stages: [{torque: 8 N·m}]

steps:
  - id: T01
    phase: teardown
    title: "Pan off: mind the magnets"
    off: [P02]
    loosen: [F01]
    photo: true
"""
    assert write_transmission(read_transmission(text, "small.yaml")) == text


def test_a_name_that_looks_like_a_merge_key_is_kept() -> None:
    text = 'format: 1\nname: x\n\nabout:\n  sources:\n    "<<": {kind: measured, text: bench}\n'
    transmission = read_transmission(text, "f")
    assert list(transmission.about.sources) == ["<<"]
    assert write_transmission(transmission) == text


def test_figures_keep_the_digits_that_were_typed() -> None:
    text = "format: 1\nname: x\n\nlimits:\n  - {id: C, name: c, max: 0.10 mm}\n  - {id: D, name: d, max: 1.0 bar}\n"
    assert write_transmission(read_transmission(text, "f")) == text


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("bell housing to engine", "bell housing to engine"),
        ("24 N·m", "24 N·m"),
        ("-", '"-"'),
        ("8.8", '"8.8"'),
        ("true", '"true"'),
        ("no", "no"),
        ("a: b", '"a: b"'),
        ("a #b", '"a #b"'),
        ("6+6, 4+4", "6+6, 4+4"),
        ('1" wrench', '1" wrench'),
        ("two\nlines", '"two\\nlines"'),
        ("\x07\ufeff\u2028", '"\\x07\\ufeff\\u2028"'),
    ],
)
def test_a_text_is_quoted_only_where_it_could_be_misread(text: str, written: str) -> None:
    assert plain_or_quoted(text) == written


@given(st.text(st.characters(exclude_categories=("Cs",)), max_size=40), st.booleans())
def test_any_text_comes_back_through_yaml(text: str, flow: bool) -> None:
    for written in (plain_or_quoted(text, flow=flow), quoted(text)):
        line = f"[{written}, x]" if flow else f"k: {written}\n"
        found = yaml.load(line, Loader=yaml.BaseLoader)
        assert (found[0] if flow else found["k"]) == text
