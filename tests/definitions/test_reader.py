"""Where the expected values come from: the comments on the faulty lines of tests/samples, each read by hand.

A sample must give exactly the faults that its comments name, no more and no fewer.
"""

from __future__ import annotations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from countershaft.definitions.library import library, library_text
from countershaft.definitions.reader import read_transmission
from countershaft.errors import DefinitionError, Fault
from tests.definitions.samples import sample, sample_names


def faults_of(text: str) -> tuple[Fault, ...]:
    with pytest.raises(DefinitionError) as caught:
        read_transmission(text, "unit.yaml")
    return caught.value.faults


@pytest.mark.parametrize("name", sample_names())
def test_a_bad_file_gives_exactly_its_faults_all_at_once(name: str) -> None:
    text, expected = sample(name)
    found = [
        (fault.line, fault.column, fault.message + (f" / {fault.cure}" if fault.cure else ""))
        for fault in faults_of(text)
    ]
    assert found == expected
    assert len(found) > 10


def test_the_samples_are_there() -> None:
    assert sample_names() == [
        "wrong-names.yaml",
        "wrong-records.yaml",
        "wrong-values.yaml",
        "wrong-yaml.yaml",
    ]


@pytest.mark.parametrize("name", library())
def test_the_shipped_files_have_no_fault(name: str) -> None:
    assert read_transmission(library_text(name), name).name.startswith("Demo ")


HEAD = "format: 1\nname: x\n"


SAID = {
    "name: x\n": "1:1: the key 'format' is missing; expected one of 1. Add format: to it.",
    "format: one\nname: x\n": (
        "1:9: format: this format is not read here; expected 1, got 'one'. Write format: 1"
    ),
    "- format: 1\n": (
        "1:1: the file is no table of keys; expected lines such as `format: 1`. Begin with the line: format: 1"
    ),
    f"{HEAD}parts: [P01]\n": (
        "3:9: parts[#1]: this is no table of keys; expected lines of `key: value`, or {key: value}, got 'P01'"
    ),
    f"{HEAD}parts:\n": (
        "3:7: parts: there is no value; expected a list, got nothing. Write one, or leave the key out."
    ),
    f"{HEAD}parts:\n  - {{id: P01}}\n": (
        "4:5: parts[P01]: the key 'name' is missing; expected a text. Add name: to it."
    ),
    f"{HEAD}about: {{mass: 82}}\n": "3:15: about.mass: '82' has no unit; expected one of kg, lb",
    f"{HEAD}about:\n  sources:\n    a: {{kind: measured}}\n": (
        "5:5: about.sources.a: the key 'text' is missing; expected a text. Add text: to it."
    ),
    f"{HEAD}limits:\n  - {{id: C, name: c, stage: look}}\n": (
        "4:29: limits[C].stage: this word is not known here; expected one of inspect, prove, got 'look'"
    ),
    f"{HEAD}train:\n  input: in\n  output: out\n  sets:\n"
    "    - {id: P, kind: single_pinion, sun: S, carrier: out, ring: in, teeth: {sun: 30, ring: x}}\n": (
        "7:91: train.sets[P].teeth.ring: this is no whole number; expected a whole number such as 6, got 'x'"
    ),
}


@pytest.mark.parametrize("text", SAID)
def test_one_fault_is_said_whole(text: str) -> None:
    assert [str(fault) for fault in faults_of(text)] == [f"unit.yaml:{SAID[text]}"]


def test_two_printed_units_that_disagree_are_objected_to() -> None:
    (fault,) = faults_of(HEAD + "limits:\n  - {id: C, name: c, max: 0.15 mm (0.06 in)}\n")
    # 0.06 in is 1.524 mm, from the definition of the inch, 25.4 mm (ISO 80000-3).
    assert "0.06 in is 1.524 mm, not 0.15" in fault.message
    assert (fault.key, fault.line, fault.column) == ("limits[C].max", 4, 27)


def test_two_printed_units_that_agree_are_both_kept() -> None:
    unit = read_transmission(HEAD + "limits:\n  - {id: C, name: c, max: 0.15 mm (0.006 in)}\n", "f")
    assert str(unit.limits[0].max) == "0.15 mm (0.006 in)"


def test_names_are_checked_in_what_can_be_read_even_where_other_records_are_broken() -> None:
    text = HEAD + (
        "parts:\n"
        "  - {id: P01, name: a, quantity: many}\n"
        "  - {id: P02, name: b, quantity: 2}\n"
        "steps:\n"
        "  - {id: T01, phase: strip, title: a}\n"
        "  - {id: T02, phase: teardown, title: b, needs: [T01], off: [P01, P03]}\n"
    )
    assert [(fault.line, fault.key) for fault in faults_of(text)] == [
        (4, "parts[P01].quantity"),
        (7, "steps[T01].phase"),
        (8, "steps[T02].off[#2]"),
    ]


def test_a_wrong_name_is_not_blamed_on_a_broken_train() -> None:
    text = HEAD + (
        "train: {input: in, output: out, elements: {A: {kind: brake, member: Q}}}\n"
        "packs:\n"
        "  - {element: A, name: a, friction: {count: 1, thickness_mm: 1}, steel: {count: 1, thickness_mm: 1}}\n"
    )
    assert {fault.key.partition(".")[0] for fault in faults_of(text)} == {"train"}


@settings(deadline=None)
@given(st.text(max_size=80), st.integers(0, 30_000), st.integers(0, 40))
@example("\n", 0, 0)
def test_a_damaged_file_is_read_or_told_and_never_breaks_the_reader(scar: str, place: int, cut: int) -> None:
    whole = library_text("demo-c")
    text = whole[:place] + scar + whole[place + cut :]
    try:
        faults: tuple[Fault, ...] = ()
        read_transmission(text, "scarred.yaml")
    except DefinitionError as error:
        faults = error.faults
    last = text.count("\n") + 2
    assert all(fault.message and 1 <= fault.line <= last and fault.column >= 1 for fault in faults)
    assert list(faults) == sorted(faults, key=lambda fault: (fault.line, fault.column))
