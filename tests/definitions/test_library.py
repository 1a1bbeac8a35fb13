"""Where the expected values come from: tests/definitions/demo_facts.json, invented figures that check consistency only.

They were made together with the demo units, by a program other than this one, so they show that the files hold what
was invented, and nothing about any real unit.
"""

from __future__ import annotations

import json
from collections import Counter
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from countershaft.definitions.library import library, library_text, shipped_schema
from countershaft.definitions.reader import read_file, read_transmission
from countershaft.errors import Unknown
from countershaft.model.step_order import always_before
from countershaft.model.transmission import Transmission
from countershaft.source import SourceKind

FACTS: dict[str, Any] = json.loads(
    (Path(__file__).parent / "demo_facts.json").read_text(encoding="utf-8"), parse_float=Decimal
)
NAMES = ("demo-a", "demo-b", "demo-c")


@pytest.fixture(params=NAMES)
def demo(request: pytest.FixtureRequest) -> tuple[Transmission, dict[str, Any]]:
    name: str = request.param
    return read_transmission(library_text(name), f"{name}.yaml"), FACTS[name]


def test_the_library_holds_the_invented_units() -> None:
    assert library() == NAMES
    assert shipped_schema().startswith("{")


def test_an_unknown_file_is_answered_with_the_ones_there_are() -> None:
    with pytest.raises(Unknown, match="'demo-z' ships with countershaft; it has demo-a, demo-b, demo-c"):
        library_text("demo-z")
    with pytest.raises(Unknown):
        library_text("../schema")


def test_the_unit_is_the_one_of_the_facts(demo: tuple[Transmission, dict[str, Any]]) -> None:
    transmission, facts = demo
    about = transmission.about
    assert about.code == facts["unit"]["code"]
    assert str(about.mass) == f"{facts['unit']['mass_kg']} kg"
    assert str(about.engine_torque) == f"{facts['unit']['engine_max_torque_Nm']} N·m"
    assert about.stall_torque_ratio == facts["unit"]["stall_torque_ratio"]


def test_the_chart_and_the_ratios_are_those_of_the_facts(demo: tuple[Transmission, dict[str, Any]]) -> None:
    transmission, facts = demo
    assert transmission.train is not None
    assert {gear: list(applied) for gear, applied in transmission.train.chart.items()} == facts["chart"]
    assert sorted(transmission.train.elements) == sorted(facts["elements"])
    states = transmission.train.states()
    for gear, ratio in facts["ratios"].items():
        found = states[gear].ratio
        assert found is not None
        # The facts are rounded to four decimals.
        assert abs(found - Fraction(ratio)) <= Fraction(1, 20_000), gear
    if "1 manual" in states:
        assert states["1 manual"].ratio == states["1"].ratio


def test_the_packs_and_their_fits_are_those_of_the_facts(demo: tuple[Transmission, dict[str, Any]]) -> None:
    transmission, facts = demo
    assert [pack.element for pack in transmission.packs] == [pack["element"] for pack in facts["packs"]]
    for pack, fact in zip(transmission.packs, facts["packs"], strict=True):
        assert [pack.friction.count, pack.friction.thickness_mm] == fact["friction"]
        assert [pack.steel.count, pack.steel.thickness_mm] == fact["steel"]
        assert pack.nominal_stack_mm == fact["nominal_stack_mm"]
        assert pack.clearance is not None
        fit = transmission.fit(pack.clearance)
        assert [fit.min.value, fit.max.value] == fact["spec_mm"]
        assert list(fit.sizes_mm) == fact["sizes_mm"]
        assert fit.selective == fact["selective"]
        # depth - stack - goal is the size that the facts ask for, to a hundredth
        needed = fact["depth_mm"] - fact["measured_stack_mm"] - Decimal(str(fit.goal_value))
        assert abs(needed - fact["target_mm"]) <= Decimal("0.0051")


def test_the_end_plays_are_those_of_the_facts(demo: tuple[Transmission, dict[str, Any]]) -> None:
    transmission, facts = demo
    for fact in facts["loops"]:
        fit = transmission.fit(fact["id"])
        assert [fit.min.value, fit.max.value] == fact["spec_mm"]
        assert fit.goal is not None and fit.goal.value == fact["goal_mm"]
        assert fit.trial is not None and fit.trial.value == fact["trial_mm"]
        assert list(fit.sizes_mm) == fact["sizes_mm"]
        assert fit.suspects
        if "needed_mm" in fact:
            # trial and reading of the facts ask for the size of the facts; a preload is a gap below nothing
            assert fit.trial.value + fact["reading_mm"] - fit.goal_exact == fact["needed_mm"]


def test_the_preload_set_by_turning_torque_is_that_of_the_facts() -> None:
    transmission, fact = read_transmission(library_text("demo-a"), "demo-a"), FACTS["demo-a"]["torque_loop"]
    (preload,) = transmission.preloads
    for name, key in ((preload.limit, "spec_new_Nm"), (preload.limit_reused, "spec_reused_Nm")):
        assert name is not None
        limit = transmission.limit(name)
        assert limit.min is not None and limit.max is not None
        assert [limit.min.value, limit.max.value] == fact[key]
    assert list(preload.sizes_mm) == fact["options_mm"]
    assert preload.torque_per_mm is not None
    assert preload.torque_per_mm.value == fact["rate_Nm_per_mm"]
    assert (preload.trial.value, preload.goal.value) == (fact["trial_shim_mm"], fact["goal_Nm"])


def test_the_checks_are_those_of_the_facts(demo: tuple[Transmission, dict[str, Any]]) -> None:
    transmission, facts = demo
    for fact in facts["checks"]:
        limit = transmission.limit(fact["id"])
        assert limit.part == fact["part"]
        assert limit.unit == fact["unit"]
        assert (limit.min.value if limit.min else None) == fact["min"]
        assert (limit.max.value if limit.max else None) == fact["max"]
    pressures = [limit for limit in transmission.limits if limit.id.startswith("LP-")]
    assert [[one.min.value, one.max.value] for one in pressures if one.min and one.max] == list(
        facts["line_pressure_kPa"].values()
    )


def test_every_fastener_is_that_of_the_facts(demo: tuple[Transmission, dict[str, Any]]) -> None:
    transmission, facts = demo
    places = {
        place: joint
        for joint in transmission.fasteners
        for place in ([joint.id] if joint.count else joint.place_ids)
    }
    assert len(places) == len(facts["fasteners"])
    for name, count, thread, hand, length, grip, depth, torque, into in facts["fasteners"]:
        joint = places[name]
        place = joint.place(name)
        assert (joint.count or 1, joint.thread, joint.hand) == (count, thread, hand)
        assert (place.length_mm, place.grip_mm, place.thread_depth_mm, place.into) == (
            length,
            grip,
            depth,
            into,
        )
        torques = [stage.torque.value for stage in joint.stages if stage.torque is not None]
        assert torques[-1] == torque
    for name, order in facts["orders"].items():
        assert list(transmission.joint(name).order) == order


def test_every_part_is_that_of_the_facts_and_comes_off_and_goes_on(
    demo: tuple[Transmission, dict[str, Any]],
) -> None:
    transmission, facts = demo
    listed = {part.id: part.quantity for part in transmission.parts}
    assert {name: listed[name] for name in facts["parts"]} == facts["parts"]
    moved: dict[str, Counter[str]] = {"off": Counter(), "on": Counter()}
    for step in transmission.steps:
        for key, counter in moved.items():
            for piece in getattr(step, key):
                counter[piece.part] += piece.count or listed[piece.part]
    whole = {part.id: part.quantity for part in transmission.parts if not part.stays}
    assert moved == {"off": Counter(whole), "on": Counter(whole)}
    assert all(part.note for part in transmission.parts if part.stays)


def test_every_joint_is_loosened_once_and_tightened_once(demo: tuple[Transmission, dict[str, Any]]) -> None:
    transmission, facts = demo
    kept = set(facts.get("undisturbed", ()))
    joints = sorted(joint.id for joint in transmission.fasteners if joint.id not in kept)
    assert all(transmission.joint(name).note for name in kept)
    assert sorted(joint for step in transmission.steps for joint in step.loosen) == joints
    assert sorted(joint for step in transmission.steps for joint in step.tighten) == joints


def test_every_operation_of_the_facts_is_a_step(demo: tuple[Transmission, dict[str, Any]]) -> None:
    transmission, facts = demo
    for fact in facts["operations"]:
        step = transmission.step(fact["id"])
        # Steps that were added to the invented demo may be needed too.
        assert set(fact["needs"]) <= set(step.needs)
        assert (step.minutes, step.people) == (fact["minutes"], fact["people"])


def test_every_value_points_at_the_invented_source(demo: tuple[Transmission, dict[str, Any]]) -> None:
    transmission, _ = demo
    records = [
        *transmission.packs,
        *transmission.fasteners,
        *transmission.fits,
        *transmission.preloads,
        *transmission.limits,
    ]
    sources = [transmission.source(record.source) for record in records]
    assert {source.kind for source in sources if source is not None} == {SourceKind.INVENTED}
    assert None not in sources


@pytest.mark.parametrize(
    ("words", "signal"), [("spring", "WARNING"), ("air", "WARNING"), ("hoist", "WARNING"), ("lift", "DANGER")]
)
def test_where_work_can_hurt_its_caution_stands_at_the_step(words: str, signal: str) -> None:
    tools = {"spring": "spring compressor", "air": "regulated air", "hoist": "hoist", "lift": "on the lift"}
    for name in NAMES:
        transmission = read_transmission(library_text(name), name)
        for step in transmission.steps:
            if tools[words] in (step.tool_words or "") or (words == "lift" and step.lies == tools[words]):
                assert signal in {caution.signal for caution in step.cautions}, f"{name} {step.id}"


def test_no_shipped_file_earns_a_warning_but_for_its_invented_thread() -> None:
    said = [str(one) for name in NAMES for one in read_file(library_text(name), name).warnings]
    assert [words.partition(": ")[2] for words in said] == [
        "fasteners[F10].thread: M11x1.25 is not in ISO 261; read the pitch again with a gauge"
    ]


def test_the_meshes_of_the_split_case_are_those_of_the_facts() -> None:
    train = read_transmission(library_text("demo-a"), "demo-a").train
    assert train is not None
    assert [list(pair.teeth) for pair in train.pairs] == [mesh[1:] for mesh in FACTS["demo-a"]["meshes"]]


def test_a_shaft_is_named_where_it_is_built_up_off_the_unit() -> None:
    """What a step of the bench works on comes off before it and goes on after it."""
    transmission = read_transmission(library_text("demo-a"), "demo-a")
    before = always_before(transmission)
    gone = {piece.part: step.id for step in transmission.steps for piece in step.off if piece.count is None}
    for step in transmission.steps:
        for part in step.parts_needed:
            if part in gone and step.phase == "build":
                assert gone[part] in before[step.id], (step.id, part)


def test_every_step_says_why_each_other_must_come_before(demo: tuple[Transmission, dict[str, Any]]) -> None:
    unit, _ = demo
    silent = {
        f"{step.id} after {need}"
        for phase in ("teardown", "build")
        for step in unit.phase(phase)  # type: ignore[arg-type]  # the two phases there are
        for need in step.needs
        if need not in step.why
    }
    assert silent == set()
