"""Where the expected values come from: one small unit that keeps every rule, and one breach of one rule at a time."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from hypothesis import given, settings

from countershaft.model.checks import Finding, cross_check, reference_check
from countershaft.model.transmission import Transmission
from tests.strategies_files import transmissions

UNIT: dict[str, Any] = {
    "format": 1,
    "name": "small unit that keeps every rule",
    "about": {"sources": {"sheet": {"kind": "measured", "text": "bench sheet"}}},
    "train": {
        "input": "in",
        "output": "out",
        "sets": [
            {
                "id": "P",
                "kind": "single_pinion",
                "sun": "S",
                "carrier": "out",
                "ring": "in",
                "teeth": {"sun": 30, "ring": 60},
            }
        ],
        "elements": {"C": {"kind": "brake", "member": "S"}},
    },
    "packs": [
        {
            "element": "C",
            "name": "brake C",
            "friction": {"count": 3, "thickness_mm": "1.80", "part": "friction"},
            "steel": {"count": 3, "thickness_mm": "2.00", "part": "steel"},
            "others": [{"name": "pressure plate", "thickness_mm": "4.0", "part": "plate"}],
            "clearance": "CL-C",
            "source": "sheet",
        }
    ],
    "parts": [
        {"id": "case", "name": "case", "stays": True},
        {"id": "friction", "name": "friction plates", "quantity": 3},
        {"id": "steel", "name": "steel plates", "quantity": 3},
        {"id": "plate", "name": "pressure plate"},
        {"id": "washer", "name": "washer"},
    ],
    "fasteners": [
        {
            "id": "pan",
            "name": "pan",
            "thread": "M6x1.0",
            "count": 4,
            "stages": [{"torque": "8 N·m"}],
            "source": "sheet",
        }
    ],
    "steps": [
        {"id": "T1", "phase": "teardown", "title": "pan off", "loosen": ["pan"], "off": ["washer"]},
        {
            "id": "T2",
            "phase": "teardown",
            "title": "pack out",
            "needs": ["T1"],
            "off": [{"part": "friction", "count": 3}, "steel", "plate"],
            "record": ["CL-C", "thick"],
        },
        {
            "id": "A1",
            "phase": "build",
            "title": "pack in",
            "needs": ["T2"],
            "on": ["friction", "steel", "plate"],
        },
        {
            "id": "A2",
            "phase": "build",
            "title": "pan on",
            "needs": ["A1"],
            "on": ["washer"],
            "tighten": ["pan"],
        },
    ],
    "fits": [
        {
            "id": "CL-C",
            "name": "clearance of C",
            "kind": "clutch clearance",
            "min": "0.9 mm",
            "max": "1.2 mm",
            "trial": "1.8 mm",
            "part": "washer",
            "selective": "washer",
            "sizes_mm": ["1.6", "1.8", "2.0"],
            "instrument": {"name": "feeler"},
            "source": "sheet",
        }
    ],
    "limits": [{"id": "thick", "name": "thickness", "part": "friction", "min": "1.6 mm", "source": "sheet"}],
}


def changed(*path: str | int, to: Any) -> tuple[Finding, ...]:
    """The findings of the small unit with one value changed."""
    tree = copy.deepcopy(UNIT)
    node = tree
    for step in path[:-1]:
        node = node[step]
    node[path[-1]] = to
    return cross_check(Transmission.model_validate(tree))


def test_a_unit_that_keeps_every_rule_has_no_finding() -> None:
    assert cross_check(Transmission.model_validate(UNIT)) == ()


@settings(max_examples=50, deadline=None)
@given(transmissions())
def test_no_rule_objects_to_what_keeps_it(transmission: Transmission) -> None:
    assert cross_check(transmission) == ()


@pytest.mark.parametrize(
    ("path", "to", "message", "cure"),
    [
        (("packs", 0, "element"), "B", "there is no shift element 'B'", "Known are C."),
        (("packs", 0, "clearance"), "CLC", "there is no fit 'CLC'", "Did you mean 'CL-C'?"),
        (("packs", 0, "source"), "sheets", "there is no source 'sheets'", "Did you mean 'sheet'?"),
        (
            ("packs", 0, "friction", "part"),
            "fricton",
            "there is no part 'fricton'",
            "Did you mean 'friction'?",
        ),
        (("packs", 0, "steel", "part"), "steels", "there is no part 'steels'", "Did you mean 'steel'?"),
        (("packs", 0, "others", 0, "part"), "Plate", "there is no part 'Plate'", "Did you mean 'plate'?"),
        (("fasteners", 0, "source"), "book", "there is no source 'book'", "Known are sheet."),
        (("steps", 1, "needs", 0), "T9", "there is no step 'T9'", "Did you mean 'T1'?"),
        (("steps", 1, "record", 0), "CL-D", "there is no fit or limit 'CL-D'", "Did you mean 'CL-C'?"),
        (("fits", 0, "part"), "washr", "there is no part 'washr'", "Did you mean 'washer'?"),
        (("fits", 0, "source"), "x", "there is no source 'x'", "Known are sheet."),
        (("limits", 0, "part"), "frictions", "there is no part 'frictions'", "Did you mean 'friction'?"),
        (("limits", 0, "source"), "x", "there is no source 'x'", "Known are sheet."),
    ],
)
def test_a_name_that_leads_nowhere_is_told_with_the_nearest(
    path: tuple[str | int, ...], to: str, message: str, cure: str
) -> None:
    assert changed(*path, to=to) == (Finding(path, message, cure=cure),)


def test_a_name_is_told_even_where_there_is_nothing_to_name() -> None:
    tree = {"format": 1, "name": "x", "limits": [{"id": "a", "name": "a", "source": "sheet"}]}
    (finding,) = cross_check(Transmission.model_validate(tree))
    assert finding.cure == "This file lists none; add the source, or take the name out."


@pytest.mark.parametrize(
    ("section", "key", "what"),
    [
        ("packs", "element", "pack 'C'"),
        ("parts", "id", "part 'case'"),
        ("fasteners", "id", "joint 'pan'"),
        ("steps", "id", "step 'T1'"),
        ("fits", "id", "fit 'CL-C'"),
        ("limits", "id", "limit 'thick'"),
    ],
)
def test_a_name_given_twice_is_told_with_the_first(section: str, key: str, what: str) -> None:
    records = [*UNIT[section], UNIT[section][0]]
    findings = changed(section, to=records)
    assert (
        Finding(
            (section, len(records) - 1, key),
            f"{what} stands twice",
            got=f"the first one is number 1 of {section}",
            cure=f"Give each {what.partition(' ')[0]} its own {key}.",
        )
        in findings
    )


def test_a_limit_may_not_have_the_id_of_a_fit() -> None:
    findings = changed("limits", 0, "id", to="CL-C")
    assert findings[0].message == "a fit has the id 'CL-C' too"


def test_needs_that_wait_for_each_other_are_told_as_a_whole_circle() -> None:
    (finding,) = changed("steps", 0, "needs", to=["T2"])
    assert finding.message in (
        "these steps wait for each other: T1 needs T2 needs T1",
        "these steps wait for each other: T2 needs T1 needs T2",
    )
    assert finding.loc in (("steps", 0, "needs", 0), ("steps", 1, "needs", 0))


def test_two_circles_are_told_at_once() -> None:
    tree = copy.deepcopy(UNIT)
    tree["steps"][0]["needs"] = ["T1"]
    tree["steps"][2]["needs"] = ["A2"]
    found = [finding.message for finding in cross_check(Transmission.model_validate(tree))]
    assert sorted(found) in (
        [
            "these steps wait for each other: A1 needs A2 needs A1",
            "these steps wait for each other: T1 needs T1",
        ],
        [
            "these steps wait for each other: A2 needs A1 needs A2",
            "these steps wait for each other: T1 needs T1",
        ],
    )


def test_teardown_does_not_wait_for_the_build() -> None:
    tree = copy.deepcopy(UNIT)
    tree["steps"][2]["needs"] = []
    tree["steps"][1]["needs"] = ["A1"]
    (finding,) = cross_check(Transmission.model_validate(tree))
    assert finding == Finding(
        ("steps", 1, "needs", 0),
        "teardown step T2 needs build step A1",
        cure="Take the need out, or correct the phase of one of the two.",
    )


@pytest.mark.parametrize(("step", "key"), [(0, "on"), (0, "tighten"), (2, "off"), (2, "loosen")])
def test_a_key_of_the_other_phase_is_told(step: int, key: str) -> None:
    findings = changed("steps", step, key, to=["pan" if key in ("tighten", "loosen") else "plate"])
    phase = "teardown" if step == 0 else "build"
    assert [finding.message for finding in findings] == [f"a {phase} step has no {key!r}"]


def test_more_than_there_is_cannot_come_off() -> None:
    (finding,) = changed("steps", 0, "off", to=["washer", {"part": "friction", "count": 1}])
    assert (finding.loc, finding.message, finding.got) == (
        ("steps", 1, "off", 0),
        "more of part friction friction plates comes off than there is",
        "4 up to here",
    )


def test_what_comes_off_in_parts_over_several_steps_is_summed() -> None:
    tree = copy.deepcopy(UNIT)
    tree["steps"][0]["off"] = ["washer", {"part": "friction", "count": 1}]
    tree["steps"][1]["off"][0]["count"] = 2
    assert cross_check(Transmission.model_validate(tree)) == ()


def test_a_part_that_stays_is_not_taken_off() -> None:
    findings = changed("steps", 0, "off", to=["washer", "case"])
    assert [finding.message for finding in findings] == ["part case case stays, and comes off at T1"]


@pytest.mark.parametrize(
    ("step", "key", "left", "message", "cure"),
    [
        (
            3, "on", [],
            "part washer washer: 1 off in the teardown, but 0 on in the build",
            "Add washer to 'on' of a build step.",
        ),
        (
            0, "off", [],
            "part washer washer: 0 off in the teardown, but 1 on in the build",
            "Add washer to 'off' of a teardown step.",
        ),
        (
            2, "on", [{"part": "friction", "count": 2}, "steel", "plate"],
            "part friction friction plates: 3 off in the teardown, but 2 on in the build",
            "Add friction to 'on' of a build step.",
        ),
    ],
)  # fmt: skip
def test_what_comes_off_goes_on_again(step: int, key: str, left: list[Any], message: str, cure: str) -> None:
    (finding,) = changed("steps", step, key, to=left)
    assert (finding.message, finding.cure) == (message, cure)


def test_a_file_without_build_steps_may_end_with_the_teardown() -> None:
    assert changed("steps", to=UNIT["steps"][:2]) == ()


@pytest.mark.parametrize(
    ("step", "key", "message"),
    [
        (3, "tighten", "joint pan pan is loosened but never tightened"),
        (0, "loosen", "joint pan pan is tightened but never loosened"),
    ],
)
def test_a_joint_that_is_loosened_is_tightened_again(step: int, key: str, message: str) -> None:
    assert [finding.message for finding in changed("steps", step, key, to=[])] == [message]


def test_a_joint_is_loosened_once() -> None:
    (finding,) = changed("steps", 1, "loosen", to=["pan"])
    assert (finding.message, finding.got) == ("joint pan pan is loosened twice", "the first time at T1")


@pytest.mark.parametrize(
    ("path", "loc"),
    [
        (("parts", 1, "quantity"), ("packs", 0, "friction", "count")),
        (("parts", 2, "quantity"), ("packs", 0, "steel", "count")),
    ],
)
def test_packs_hold_no_more_plates_than_there_are(
    path: tuple[str | int, ...], loc: tuple[str | int, ...]
) -> None:
    found = [finding for finding in changed(*path, to=2) if finding.message.startswith("the packs hold more")]
    assert [(finding.loc, finding.expected, finding.got) for finding in found] == [
        (loc, "at most 2 in all packs together", "3 up to here")
    ]


@pytest.mark.parametrize("trial", ["18 mm", "0.18 mm", "1.8 in"])
def test_a_trial_size_that_cannot_be_meant_is_told(trial: str) -> None:
    (finding,) = changed("fits", 0, "trial", to=trial)
    assert (finding.loc, finding.got) == (("fits", 0, "trial"), trial)
    assert finding.expected == "about 1.6 to 2.0 mm"


@pytest.mark.parametrize("trial", ["1.4 mm", "2.2 mm", "0.071 in"])
def test_a_trial_part_from_the_old_unit_need_not_be_in_the_table(trial: str) -> None:
    assert changed("fits", 0, "trial", to=trial) == ()


def test_names_of_records_that_cannot_be_read_count_as_known() -> None:
    tree = copy.deepcopy(UNIT)
    del tree["parts"][4]
    transmission = Transmission.model_validate(tree)
    assert len(reference_check(transmission)) == 3
    assert reference_check(transmission, also_known={"parts": frozenset({"washer"})}) == ()
