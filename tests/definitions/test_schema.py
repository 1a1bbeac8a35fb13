"""Where the expected values come from: the jsonschema library as an independent validator, and the reader's verdict.

An editor's view of a file is made with PyYAML and the tags of the YAML 1.2 core schema (YAML 1.2.2, chapter 10.3.2,
from memory), in which `on`, `off`, `yes` and `no` are words.
"""

from __future__ import annotations

import json
import re
from typing import Any

import jsonschema
import pytest
import yaml
from hypothesis import given, settings

from countershaft.definitions.library import library, library_text, shipped_schema
from countershaft.definitions.reader import read_transmission
from countershaft.definitions.schema import json_schema, schema_text
from countershaft.definitions.writer import write_transmission
from countershaft.errors import DefinitionError
from countershaft.model.transmission import Transmission
from tests.definitions.samples import sample, sample_names
from tests.strategies_files import transmissions


class Core(yaml.SafeLoader):
    """PyYAML with the implicit types of YAML 1.2."""


Core.yaml_implicit_resolvers = {}
for tag, pattern, first in (
    ("bool", r"^(true|True|TRUE|false|False|FALSE)$", "tTfF"),
    ("int", r"^([-+]?[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+)$", "-+0123456789"),
    ("float", r"^[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?$", "-+.0123456789"),
    ("null", r"^(~|null|Null|NULL|)$", "~nN\0"),
):
    Core.add_implicit_resolver(f"tag:yaml.org,2002:{tag}", re.compile(pattern), [*first, ""])


def editor_errors(text: str) -> list[str]:
    tree: Any = yaml.load(text, Loader=Core)
    # An editor's JSON has only texts as keys.
    plain = json.loads(json.dumps(tree))
    validator = jsonschema.Draft202012Validator(json_schema())
    return [f"{error.json_path}: {error.message}" for error in validator.iter_errors(plain)]


def test_the_shipped_schema_is_the_one_that_the_records_give() -> None:
    assert shipped_schema() == schema_text()


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(json_schema())
    assert json_schema()["$schema"] == "https://json-schema.org/draft/2020-12/schema"


@pytest.mark.parametrize("name", library())
def test_an_editor_finds_no_fault_in_the_shipped_files(name: str) -> None:
    assert editor_errors(library_text(name)) == []


@settings(max_examples=25, deadline=None)
@given(transmissions())
def test_an_editor_finds_no_fault_in_what_the_writer_writes(transmission: Transmission) -> None:
    assert editor_errors(write_transmission(transmission)) == []


@pytest.mark.parametrize("name", [name for name in sample_names() if name != "wrong-yaml.yaml"])
def test_an_editor_finds_faults_in_the_bad_samples(name: str) -> None:
    found = editor_errors(sample(name)[0])
    # What contradicts something elsewhere is beyond a schema: those samples have no other fault.
    assert (len(found) > 15) if name == "wrong-values.yaml" else (found == [])


HEAD = "format: 1\nname: x\n"


@pytest.mark.parametrize(
    "bad",
    [
        "name: x\n",
        "format: 2\nname: x\n",
        HEAD + "parts: P01\n",
        HEAD + "partz: []\n",
        HEAD + "parts: [{id: P 01, name: a}]\n",
        HEAD + "parts: [{id: P01, name: a, quantity: 0}]\n",
        HEAD + "parts: [{id: P01, name: a, quantity: two}]\n",
        HEAD + "parts: [{id: P01, name: a, stays: perhaps}]\n",
        HEAD + "parts: [{id: P01, name: a, policy: never}]\n",
        HEAD + "about: {mass: 82}\n",
        HEAD + "about: {stall_torque_ratio: two}\n",
        HEAD + "about: {note: }\n",
        HEAD + "steps: [{id: T, phase: build, title: t, on: [{count: 2}]}]\n",
        HEAD + "fasteners: [{id: F, name: f, thread: M8, count: 1, stages: [{torque: 8 N·m}]}]\n",
        HEAD + "fasteners: [{id: F, name: f, thread: M8x1.25, count: 1, stages: []}]\n",
        HEAD + "fasteners: [{id: F, name: f, thread: M8x1.25, grip_mm: -1, count: 1, stages: [{deed: d}]}]\n",
        HEAD + "train: {input: in, output: out, elements: {A: {kind: clutch, member: S}}}\n",
    ],
)
def test_a_bad_line_fails_the_schema_and_the_reader_alike(bad: str) -> None:
    assert editor_errors(bad) != []
    with pytest.raises(DefinitionError):
        read_transmission(bad, "f")


@pytest.mark.parametrize(
    "good",
    [
        HEAD + "parts: [{id: 7, name: 7, quantity: '2'}]\n",
        HEAD + "parts: [{id: P01, name: a, stays: yes}]\n",
        HEAD + "about: {stall_torque_ratio: '1,9'}\n",
        HEAD + "steps: [{id: T, phase: teardown, title: t, off: []}]\n",
        "format: '1'\nname: 8.8\n",
    ],
)
def test_what_the_reader_takes_as_typed_passes_the_schema_too(good: str) -> None:
    assert read_transmission(good, "f")
    assert editor_errors(good) == []


def test_every_key_that_needs_a_unit_says_which_and_shows_one() -> None:
    schema = json_schema()["$defs"]
    assert "N·m, lbf·ft, lbf·in" in schema["Stage"]["properties"]["torque"]["description"]
    assert schema["Fit"]["properties"]["min"]["examples"][0] == "0.35 mm"
    assert "title" in schema["Step"]["required"]
