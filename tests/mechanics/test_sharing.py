"""How shift elements share what comes upon them.

Expected values: by hand, beside each; and the general equations, which must come to the same as following the ties one
by one wherever the ties make no circle.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from countershaft.mechanics import sharing
from countershaft.mechanics.forces import Forces, Loading
from countershaft.mechanics.gears import load_gear
from countershaft.mechanics.layout import CASE, Layout, Tie, merge
from countershaft.mechanics.losses import MeshLosses
from countershaft.mechanics.sharing import Tally, share_out
from tests.mechanics.random_trains import driving_trains


def chain(ties: list[tuple[str, Tie]], acting: dict[int, int]) -> tuple[Loading, Forces]:
    """Five members without teeth, held together by ties, and what acts on them."""
    layout = Layout.of(("a", "b", "c", "d", "e"), [], ())
    label = merge(5, [tie for _, tie in ties])
    loads = {place: Fraction(torque) for place, torque in acting.items()}
    return Loading(layout, label, ties, loads, [], (0, 0, 0, 0, 0, 0)), Forces([], acting, (), 1)


def test_torque_is_followed_from_the_ends() -> None:
    """7 on a and 2 on c meet at b; b hands 9 to d, which is braked; e hangs on d and has none."""
    ties: list[tuple[str, Tie]] = [
        ("K1", (0, 1)),
        ("K2", (1, 2)),
        ("K3", (1, 3)),
        ("B", (3, CASE)),
        ("K4", (4, 3)),
    ]
    loading, forces = chain(ties, {0: 7, 2: 2})
    (found,) = share_out(loading, forces, [Tally.of(loading, forces)])
    assert found.held == {"K1": 7, "K2": -2, "K3": 9, "B": -9, "K4": 0}
    assert found.at_case == {3: -9}
    assert found.open == []


def test_a_circle_of_ties_is_left_open() -> None:
    """Three clutches round in a circle may be strained against each other; the brake beside them is told."""
    ties: list[tuple[str, Tie]] = [("K1", (0, 1)), ("K2", (1, 2)), ("K3", (2, 0)), ("B", (2, CASE))]
    loading, forces = chain(ties, {0: 6})
    (found,) = share_out(loading, forces, [Tally.of(loading, forces)])
    assert found.held == {"B": -6}
    assert found.open == ["K1", "K2", "K3"]


def test_two_clutches_side_by_side_are_told_together_only() -> None:
    ties: list[tuple[str, Tie]] = [("K1", (0, 1)), ("K2", (1, 0)), ("B", (1, CASE))]
    loading, forces = chain(ties, {0: 6})
    (found,) = share_out(loading, forces, [Tally.of(loading, forces)])
    assert found.held == {"B": -6}
    assert found.open == ["K1", "K2"]


def test_following_the_ties_and_solving_for_them_come_to_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two hundred random trains, by the short way and by the general equations."""
    short = 0
    for _, network, applied in driving_trains(31, 200, most_sets=4, most_pairs=3):
        losses = MeshLosses("0.98")
        quick = load_gear(network, applied, losses=losses).load
        assert quick is not None and quick.torques is not None
        short += not quick.torques.indeterminate
        with monkeypatch.context() as patched:
            patched.setattr(sharing, "_peeled", lambda *_: None)
            full = load_gear(network, applied, losses=losses).load
        assert full is not None and full.torques is not None
        assert quick.torques.elements == full.torques.elements
        assert quick.torques.external == full.torques.external
        assert quick.torques.indeterminate == full.torques.indeterminate
        if quick.with_losses is not None:
            assert full.with_losses is not None
            assert quick.with_losses.torques.elements == full.with_losses.torques.elements
    assert short > 150
