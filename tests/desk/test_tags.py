"""What a tag names in a shop.  Expected values: the jobs that the test opens itself."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from countershaft.desk.desk import Desk
from countershaft.desk.tags import jobs_like, place_of, targets, why_none
from countershaft.job.entry import JobOpened, Placed, StepDone
from countershaft.job.tags import job_tag, part_tag, tray_tag
from countershaft.store.shop import open_store

UNIT = """\
format: 1
name: two parts
parts:
  - {id: P1, name: lid}
  - {id: "油圧", name: pressure sensor}
steps:
  - {id: T1, phase: teardown, title: lid off, off: [P1]}
"""


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A shop with the jobs A-1, a1 and 0412; the lid of 0412 lies in box 3."""
    store = open_store(tmp_path / "shop")
    desk = Desk(store)
    digest = desk.add_definition(UNIT, file="unit.yaml")
    for tag, vehicle in (("A-1", "van"), ("a1", "lorry"), ("0412", "pick-up")):
        desk.open_job(JobOpened(tag=tag, vehicle=vehicle, unit="two parts", definition=digest), by="R. Bench")
    placed = (Placed(part="P1", count=1, place="box 3"),)
    desk.append("0412", StepDone(step="T1", placed=placed), by="R. Bench")
    yield desk
    store.close()


def names(desk: Desk, tag: object) -> list[tuple[str, str]]:
    return [(one.job, one.name) for one in targets(desk, tag)]  # type: ignore[arg-type]


def test_a_tag_names_its_job_its_tray_its_part(desk: Desk) -> None:
    assert names(desk, job_tag("0412")) == [("0412", "")]
    assert names(desk, tray_tag("0412", "0412-T9")) == [("0412", "0412-T9")]
    assert names(desk, tray_tag("0412", "Box 3")) == [("0412", "box 3")]
    assert names(desk, part_tag("0412", "P1", 1)) == [("0412", "P1")]
    assert names(desk, part_tag("0412", "油圧", 2)) == [("0412", "油圧")]


def test_two_jobs_with_one_plain_name_are_both_named(desk: Desk) -> None:
    assert sorted(names(desk, job_tag("a-1"))) == [("A-1", ""), ("a1", "")]
    assert sorted(names(desk, part_tag("A1", "P1", 1))) == [("A-1", "P1"), ("a1", "P1")]


def test_what_is_not_here_is_told_apart(desk: Desk) -> None:
    for tag, words in (
        (job_tag("0999"), "this shop has no job 0999"),
        (part_tag("0412", "P7", 7), "job 0412 has no part P7"),
        (tray_tag("0412", "shelf"), "job 0412 has no tray or place SHELF"),
    ):
        assert tag is not None
        assert targets(desk, tag) == ()
        assert words in why_none(desk, tag)


def test_jobs_are_found_by_what_a_person_remembers(desk: Desk) -> None:
    def found(words: str) -> list[str]:
        return sorted(card.tag for card in jobs_like(desk, words))

    assert found("pick") == ["0412"]
    assert found("J-0412-Q") == ["0412"]
    assert found("a 1") == ["A-1", "a1"]
    assert found("two parts") == ["0412", "A-1", "a1"]
    assert found("  ") == []
    assert found("bus") == []


@pytest.mark.parametrize(
    ("asked", "found"),
    [("box 3", "box 3"), ("0412-T7", "0412-T7"), ("0412-T0", None), ("mat", None), ("0412-T", None), ("Box 3", None)],
)  # fmt: skip
def test_a_place_is_one_that_the_log_names_or_a_numbered_tray(
    desk: Desk, asked: str, found: str | None
) -> None:
    assert place_of(desk.job("0412"), asked) == found
