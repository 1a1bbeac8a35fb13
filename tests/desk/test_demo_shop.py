"""The demo shop: what its first page says at a glance.

Expected values: the invented story of each job, and for demo A the figures of tests/definitions/demo_facts.json.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from countershaft.desk.demo_shop import FACTS_A, make_demo_shop
from countershaft.desk.desk import Desk
from countershaft.job.custody import custody
from countershaft.stages.build import joint_state
from countershaft.store.shop import open_store
from tests.desk.test_split_case import GAPS


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The demo shop as it is made."""
    folder: Path = tmp_path_factory.mktemp("demo")
    store = open_store(folder / "shop")
    make_demo_shop(store, now=datetime(2026, 5, 4, 9, 0, tzinfo=UTC))
    yield Desk(store)
    store.close()


def test_five_jobs_each_at_its_exact_point(desk: Desk) -> None:
    """The order of the first page, and the words of each largest button."""
    assert [(card.tag, card.progress.resume.words) for card in desk.cards()] == [
        ("0418", "valve body to converter housing: bolt 7 of 11, round 2 of 2"),
        ("0421", "1st clutch clearance: choose"),
        ("0412", "pump to case: bolt 4 of 10, round 2 of 3"),
        ("0415", "T08 Pump bolts; pull the pump with two slide hammers, evenly"),
        ("L7", "L steel cone"),
    ]


def test_the_split_case_waits_for_a_bearing_and_has_its_bolts_parked(desk: Desk) -> None:
    card = next(card for card in desk.cards() if card.tag == "0418")
    assert card.progress.waiting == ("input shaft rear bearing (ball, snap-ring groove), expected Friday",)
    job = desk.job("0418")
    where = custody(job.transmission, job.state)
    assert {(one.id, spot.name) for one, spot, _ in where.at("sent out")} == {("5P-H3", "the machine shop")}
    parked = {one.id: count for one, _, count in where.at("own holes")}
    assert parked["H"] == 17 and parked["E"] == 10
    assert not parked.keys() & {"N01", "N02", "N03"}, "nuts that are never used twice stay out"
    valve_body = joint_state(job.state, job.transmission.joint("V"))
    assert (valve_body.round, valve_body.next) == (2, "V04")


def test_the_figures_are_those_of_the_demo() -> None:
    # The torque with the trial shim, and the one that is left, as in the shared figures of the demo.
    torque = {"PL-D": ("0.7", "2.4")}
    assert FACTS_A.gaps == {**GAPS, **torque}
