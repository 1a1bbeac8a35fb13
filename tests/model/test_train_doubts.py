"""Doubts about a train at their lines in a file.  Expected: places by hand; the doubts: see tests/mechanics."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner

from countershaft.cli.main import cli
from countershaft.definitions.reader import read_file
from countershaft.model.train import Train
from countershaft.model.train_doubts import doubts_of_train

TEXT = """\
format: 1
name: doubtful
train:
  input: in
  output: out
  members: [drum, spare]
  sets:
    - {id: P1, kind: single_pinion, sun: in, carrier: C1, ring: R1, planets: 4, teeth: {sun: 30, ring: 73}}
    - {id: P2, kind: single_pinion, sun: S2, carrier: out, ring: C1, ring_over_sun: 2.6}
    - {id: P3, kind: compound_planet, carrier: a, wheels: [{member: b, teeth: 20, planet_teeth: 30}]}
  pairs:
    - {a: in, b: lay, teeth: [20, 40]}
    - {a: lay, b: C1, teeth: [20, 40]}
    - {a: in, b: C1, teeth: [20, 41]}
  elements:
    B: {kind: brake, member: R1}
    K: {kind: clutch, members: [C1, drum]}
  chart:
    "1": [B]
"""


def test_each_doubt_is_told_at_its_line_with_what_to_do() -> None:
    told = [(fault.line, fault.key, fault.message, fault.cure) for fault in read_file(TEXT, "x").warnings]
    tie = "Give it the name of what it turns with, ground it, or tie it by a shift element."
    assert told == [
        (
            6,
            "train.members[#2]",
            "no set, pair or shift element has the member 'spare'",
            "Take it out, or name it where it belongs.",
        ),
        (
            8,
            "train.sets[P1]",
            "P1: 4 planets do not go in at equal angles: sun + ring = 103, which 4 does not divide",
            "Count teeth and planets again; where they are so, the planets stand at unequal angles.",
        ),
        (
            8,
            "train.sets[P1].teeth",
            "P1: no planet fits between a sun of 30 and a ring of 73 teeth, since 73 − 30 is odd",
            "Count the teeth again; where they are so, the wheels run with profile shift.",
        ),
        (
            9,
            "train.sets[P2].sun",
            (
                "P2: nothing holds, drives or takes 'S2'; unless it is one more output, "
                "it carries nothing in any gear"
            ),
            tie,
        ),
        (
            10,
            "train.sets[P3]",
            "P3: nothing ties b, a, P3.planet to the rest of the train",
            "Look for a shaft that goes by two names, or take the part out.",
        ),
        (
            12,
            "train.pairs[#1]",
            "in-lay, lay-C1 and in-C1 hold the input 'in' still, whatever is applied",
            "Take one of them out, or let a shift element tie what is now one member.",
        ),
    ]


def test_the_command_prints_them_and_uses_the_file(tmp_path: Path) -> None:
    file = tmp_path / "doubtful.yaml"
    file.write_text(TEXT, encoding="utf-8")
    result = CliRunner().invoke(cli, ["check", str(file)])
    assert result.exit_code == 0
    assert f"warning: {file}:8:88: train.sets[P1].teeth: P1: no planet fits between a sun" in result.output
    assert f"{file}: doubtful: no faults; 6 warnings;" in result.output


def test_a_doubt_about_an_end_lies_at_the_end() -> None:
    train = Train.model_validate(
        {
            "input": "in",
            "output": "out",
            "pairs": [{"a": "in", "b": "w", "teeth": [20, 40]}],
            "elements": {"B": {"kind": "brake", "member": "w"}, "B2": {"kind": "brake", "member": "out"}},
            "members": ["out"],
        }
    )
    (finding,) = doubts_of_train(train, ())
    assert finding.loc == ("members", 0)
    assert finding.along == (("input",),)


def test_a_train_without_doubts_has_none() -> None:
    train = Train.model_validate(
        {
            "input": "in",
            "output": "out",
            "sets": [
                {
                    "id": "P",
                    "kind": "single_pinion",
                    "sun": "in",
                    "carrier": "out",
                    "ring": "R",
                    "ring_over_sun": 2.6,
                }
            ],
            "elements": {"B": {"kind": "brake", "member": "R"}},
            "chart": {"1": ["B"]},
        }
    )
    assert list(doubts_of_train(train)) == []
