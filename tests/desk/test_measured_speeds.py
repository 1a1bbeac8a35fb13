"""What a measured pair of speeds says.

Expected values: Willis by hand for demo B.  3rd, A slipping while B holds: K1 = 2000 · 77/124 = 1241.9 = Sl;
3 · K2 = Sl + 2 · out, so K2 = 1147.3 with the output at 1100, and Ss = K2 + 84/30 · (out − K2) = 1014.8:
A slips 227.1.  6th: the large sun turns 3 · K2 − 2 · out, so that at 1700 in and 2731 out C slips 362 backwards.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.desk.measured_speeds import speeds_said
from countershaft.desk.train import Question, answer
from countershaft.model.train import Train


@pytest.fixture(scope="module")
def demo_b() -> Train:
    train = read_transmission(library_text("demo-b"), "demo-b.yaml").train
    assert train is not None
    return train


def _said(train: Train, gear: str, rpm: float, output: float, torque: int | None = None) -> tuple[str, ...]:
    asked = None if torque is None else Fraction(torque)
    return speeds_said(train, answer(train, Question(gear, asked, rpm, output_rpm=output)))


def test_what_slips_under_drive_is_named_with_its_slip(demo_b: Train) -> None:
    assert _said(demo_b, "3", 2000, 1100) == (
        "An element slips.",
        "The output asks for 1771 rpm at the input; 229 rpm more were measured.",
        "clutch A: front carrier to small sun alone would explain it, slipping 227 ± 13 rpm.",
        "clutch B: front carrier to large sun alone would explain it, slipping 378 ± 22 rpm.",
    )


def test_an_input_that_falls_behind_slips_on_coast(demo_b: Train) -> None:
    said = _said(demo_b, "6", 1700, 2731)
    assert "brake C: large sun to case alone would explain it, slipping 362 ± 25 rpm." in said
    assert (
        said[-1] == "The input falls behind: so it slips on coast only, while the vehicle drives the engine."
    )
    assert _said(demo_b, "6", 1700, 2731, torque=-50)[2] == said[2]


@pytest.mark.parametrize(
    ("rpm", "output", "torque", "words"),
    [
        (
            1700,
            2731,
            50,
            "Under drive what slips lets the input run ahead; were the speeds measured on coast",
        ),
        (2341, 2731.5, -50, "On coast what slips lets the input fall behind; were the speeds measured under"),
    ],
)
def test_a_torque_that_goes_the_other_way_is_told(
    demo_b: Train, rpm: float, output: float, torque: int, words: str
) -> None:
    said = _said(demo_b, "6", rpm, output, torque)
    assert said[0] == "Nothing explains it."
    assert said[-1].startswith(words)


def test_a_pair_of_another_gear_names_it(demo_b: Train) -> None:
    """2000 in and 2000 · 77/124 out is third, whatever was asked."""
    said = _said(demo_b, "4", 2000, 1242)
    assert "The pair fits 3." in said
    assert not any("falls behind" in words for words in said)


def test_without_a_pair_nothing_is_said(demo_b: Train) -> None:
    assert speeds_said(demo_b, answer(demo_b, Question("3", rpm=2000.0))) == ()
