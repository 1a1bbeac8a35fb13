"""`countershaft plan FILE` and `countershaft job plan TAG`.

Expected values: those of the demos that tests/desk/test_order_of_work.py holds; sums of the printed figures by hand.
"""

from __future__ import annotations

import json
from pathlib import Path

from click.testing import CliRunner, Result

from countershaft.cli.job import job
from countershaft.cli.main import cli
from countershaft.cli.plan import plan


def run(*words: str) -> Result:
    return CliRunner().invoke(plan, list(words), catch_exceptions=True)


def test_json_is_plain_figures_that_add_up() -> None:
    found = json.loads(run("demo-b", "--prove", "--json").output)
    assert (found["verdict"], found["total_s"], found["bound_s"]) == ("optimal", 39460, 39460)
    assert found["total_s"] == found["working_s"] + found["setup_s"] + found["idle_s"]
    assert found["steps"][-1]["ends_s"] == found["total_s"]
    assert sum(one["setup_before_s"] for one in found["steps"]) == found["setup_s"]
    after = {one["step"]: one["after"] for one in found["steps"]}
    assert after["T03"] == [{"step": "T02", "why": "a full unit spills when it is turned", "by": "need"}]
    assert found["build_after"] is None


def test_text_says_what_is_known_of_the_rest() -> None:
    said = run("demo-b").output
    assert "657 min 40 s; no order" in said
    assert "turn the unit: nose up" in said
    assert "after T02: a full unit spills when it is turned" in said
    assert "Can be done now: T00." in said


def test_two_people() -> None:
    found = json.loads(run("demo-c", "--people", "2", "--json").output)
    assert found["bound_s"] <= found["total_s"] < 16820
    assert {person for one in found["steps"] for person in one["by"]} == {1, 2}
    assert "person 2" in run("demo-c", "--people", "2").output


def test_reach_leaves_out_what_is_not_needed() -> None:
    found = json.loads(run("demo-b", "--reach", "P046", "--done", "T00", "--json").output)
    assert "T18" in found["not_needed"]
    assert "T00" not in [one["step"] for one in found["steps"]]
    assert found["build_after"]["phase"] == "build"


def test_late_parts_block_the_build() -> None:
    found = json.loads(run("demo-b", "--phase", "build", "--late", "P030", "--json").output)
    assert "A02: part P030 is late" in found["blocked"]
    assert "A02" in found["late"]["P030"]
    assert "P030 alone blocks" in run("demo-b", "--phase", "build", "--late", "P030").output
    assert run("demo-b", "--late", "P030").exit_code == 2


def test_wrong_names_are_answered_with_the_nearest() -> None:
    answer = run("demo-b", "--reach", "pmup", "--json")
    assert answer.exit_code == 1
    assert "Did you mean P004 pump body" in json.loads(answer.output)[0]["message"]
    assert "'T99' is asked for" in json.loads(run("demo-b", "--done", "T99", "--json").output)[0]["message"]
    assert "Did you mean 'T19'" in str(run("demo-b", "--done", "T99").exception)


def test_a_step_that_was_done_early_is_told() -> None:
    found = json.loads(run("demo-b", "--done", "T03", "--json").output)
    assert {"step": "T03", "before": ["T02"]} in found["done_early"]
    assert "T03 is done, though T02 was not." in run("demo-b", "--done", "T03").output.replace(
        "/as-written", ""
    )


def test_an_impossible_step_says_what_hangs_on_it() -> None:
    answer = json.loads(run("demo-b", "--impossible", "T02", "--reach", "T06", "--json").output)
    assert "which needs T02" in answer[0]["message"]
    assert "T02: it cannot be done." in answer[0]["message"]


def test_a_circle_of_needs_is_named_in_full_with_lines(tmp_path: Path) -> None:
    file = tmp_path / "ring.yaml"
    rows = (("T1", "T2"), ("T2", "T3"), ("T3", "T1"))
    file.write_text(
        "format: 1\nname: ring\nsteps:\n"
        + "".join(
            f"  - {{id: {one}, phase: teardown, title: {one} off, needs: [{need}]}}\n" for one, need in rows
        ),
        encoding="utf-8",
    )
    for command in ("plan", "check"):
        answer = CliRunner().invoke(cli, [command, str(file), "--json"])
        fault = json.loads(answer.output)[0]
        assert answer.exit_code == 1
        assert "T1 needs T2 needs T3 needs T1" in fault["message"]
        assert (fault["line"], fault["got"]) == (4, "lines 4, 5 and 6")


def test_a_job_is_planned_as_it_stands(tmp_path: Path) -> None:
    shop = ["--shop", str(tmp_path / "shop")]

    def ask(*words: str) -> Result:
        return CliRunner().invoke(job, [*words, *shop], catch_exceptions=False)

    ask("new", "J1", "--unit", "Demo B, six-speed planetary", "--vehicle", "van", "--by", "R. Bench")
    ask("record", "J1", "step_done", "step=T00", "written=as drawn", "--by", "R. Bench")
    ask("record", "J1", "part_late", "part=P030", "until=Thursday", "--by", "R. Bench")
    found = json.loads(ask("plan", "J1", "--json").output)
    assert "T00" not in [one["step"] for one in found["steps"]]
    assert found["now"][0] == "T21"
    build = json.loads(ask("plan", "J1", "--phase", "build", "--json").output)
    assert "A02: part P030 is late" in build["blocked"]
