"""What is wrong with a train, told at its line.  Expected values: lines and words by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from countershaft.definitions.reader import read_transmission
from countershaft.errors import DefinitionError

TEXT = """\
format: 1
name: six
train:
  input: in
  output: out
  sets:
    - {id: front, kind: single_pinion, sun: gnd, carrier: K, ring: in, teeth: {sun: 40, ring: 80}}
    - {id: rear, kind: single_pinion, sun: S, carrier: out, ring: R, ring_over_sun: 2.6}
  grounded: [gnd]
  elements:
    A: {kind: clutch, members: [K, S]}
    B: {kind: brake, member: R}
  chart:
    "1": [A, B]
"""


def told(old: str, new: str) -> list[str]:
    assert TEXT.count(old) == 1
    with pytest.raises(DefinitionError) as caught:
        read_transmission(TEXT.replace(old, new), "six.yaml")
    return [str(fault) for fault in caught.value.faults]


def test_the_train_itself_has_no_fault() -> None:
    train = read_transmission(TEXT, "six.yaml").train
    assert train is not None
    # Front set: K turns 80 / 120 of the input; rear set with its ring held: 1 + 2.6.
    assert train.states()["1"].ratio == Fraction(3, 2) * Fraction(18, 5)


@pytest.mark.parametrize(
    ("old", "new", "place", "words"),
    [
        ("output: out", "output: in", "six.yaml:5:11: train.output: ",
         "input and output are the same member; name two"),
        ("input: in", "input: inn", "six.yaml:4:10: train.input: ",
         "no set, pair or element names 'inn'; did you mean 'in'?"),
        ("grounded: [gnd]", "grounded: [gnnd]", "six.yaml:9:14: train.grounded[#1]: ",
         "no set or pair has a member 'gnnd'; did you mean 'gnd'?"),
        ("members: [K, S]", "members: [K, Ss]", "six.yaml:11:36: train.elements.A.members[#2]: ",
         "no set or pair has a member 'Ss'; did you mean 'S'?"),
        ("member: R}", "member: Rr}", "six.yaml:12:30: train.elements.B.member: ",
         "no set or pair has a member 'Rr'; did you mean 'R'?"),
        ("[A, B]", "[A, b]", "six.yaml:14:14: train.chart.1[#2]: ",
         "there is no shift element 'b'; did you mean 'B'?"),
        ("sun: 40, ring: 80", "sun: 0, ring: 80", "six.yaml:7:85: train.sets[front].teeth.sun: ",
         "the figure is too small; expected 1 or more, got '0'"),
        ("sun: S, carrier: out", "sun: out, carrier: out", "six.yaml:8:58: train.sets[rear].carrier: ",
         "'out' already stands as sun of this set; give each its own name"),
        ("kind: brake", "kind: brak", "six.yaml:12:15: train.elements.B.kind: ", "brake"),
    ],
)  # fmt: skip
def test_every_fault_says_its_line_and_what_to_do(old: str, new: str, place: str, words: str) -> None:
    (fault,) = told(old, new)
    assert fault.startswith(place)
    assert words in fault
