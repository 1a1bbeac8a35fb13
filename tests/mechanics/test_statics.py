"""Torques of a train: signs, what each figure means, and the sums that are taken of every answer.

Expected values: torque proportions of a plain set, sun : ring : carrier as 1 : i : −(1 + i) with i = ring / sun (Müller
H.W., Epicyclic Drive Trains, 1982, from memory; GT-02 of `gear_trains.json` is a printed case of it), worked by hand.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from countershaft.errors import TrainError
from countershaft.mechanics.exact import Shared
from countershaft.mechanics.forces import Forces, Loading
from countershaft.mechanics.gear_sets import GearPair, SinglePinion
from countershaft.mechanics.gears import load_gear
from countershaft.mechanics.layout import CASE, Layout
from countershaft.mechanics.losses import MeshLosses
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import Brake, Clutch, OneWayBetween
from countershaft.mechanics.statics import Torques, torques_of, whole_speeds

SET = SinglePinion("P", "S", "C", "R", 30, 72)


def torques(network: Network, *applied: str, torque: int = 1) -> Torques[Fraction]:
    load = load_gear(network, applied, input_torque=torque).load
    assert load is not None and load.torques is not None
    return load.torques


def test_a_forward_output_has_a_negative_torque() -> None:
    """Power goes in at the input and comes out at the output, so that torque and speed differ in sign there."""
    found = torques(Network("S", "C", sets=(SET,), grounded=("R",)))
    assert found.external == {"S": 1, "C": -Fraction(17, 5), "R": Fraction(12, 5)}
    assert found.ground == Fraction(12, 5)
    assert found.bearings == 0


def test_a_reverse_output_has_a_positive_torque() -> None:
    """Carrier held: the ring turns back at −30/72, and takes 2.4 the same way as the input pushes."""
    train = Network("S", "R", sets=(SET,), elements=(Brake("B", "C"),))
    found = torques(train, "B")
    assert found.external == {"S": 1, "R": Fraction(12, 5), "C": -Fraction(17, 5)}
    assert found.elements == {"B": -Fraction(17, 5)}


@pytest.mark.parametrize(("first", "second", "sign"), [("S", "R", 1), ("R", "S", -1)])
def test_a_clutch_hands_on_from_the_first_that_it_names(first: str, second: str, sign: int) -> None:
    """Locked, sun and ring take 5/17 and 12/17 of the input torque; the ring's share comes through the clutch."""
    train = Network("S", "C", sets=(SET,), elements=(Clutch("K", first, second),))
    assert torques(train, "K").elements == {"K": sign * Fraction(12, 17)}


def test_elements_in_a_row_hand_on_the_same() -> None:
    """Input, drum, hub and sun hang on each other by clutches: each hands on all of it, from the end named first."""
    elements = (Clutch("K1", "in", "drum"), Clutch("K2", "hub", "drum"), OneWayBetween("W", "S", "hub", "+"))
    train = Network("in", "C", sets=(SET,), grounded=("R",), elements=elements, further=("in", "drum", "hub"))
    found = torques(train, "K1", "K2", torque=100)
    assert found.elements == {"K1": 100, "K2": -100, "W": -100}
    assert found.external["C"] == -340


def test_three_elements_meet_at_one_member() -> None:
    """A drum feeds two suns; the second set turns idly, its carrier braked and its ring free, and takes nothing."""
    sets = (SET, SinglePinion("Q", "S2", "C2", "R2", 30, 72))
    elements = (
        Clutch("K", "in", "drum"),
        Clutch("K1", "drum", "S"),
        Clutch("K2", "drum", "S2"),
        Brake("B2", "C2"),
    )
    train = Network("in", "C", sets=sets, grounded=("R",), elements=elements, further=("in", "drum"))
    found = torques(train, "K", "K1", "K2", "B2")
    assert found.elements == {"K": 1, "K1": 1, "K2": 0, "B2": 0}


def test_the_case_bears_pairs() -> None:
    """20 to 40 and both outside: 1 in and 2 out the same way, so that the bearings hold against 3."""
    found = torques(Network("a", "b", pairs=(GearPair("Z", "a", "b", 20, 40),)))
    assert found.external == {"a": 1, "b": 2}
    assert found.bearings == -3
    assert found.ground == -3
    assert found.sets == {"Z": {"a": 1, "b": 2}}
    assert repr(found) == f"Torques(external={found.external}, elements={{}})"


def test_a_brake_on_what_is_grounded_or_loaded_adds_to_it() -> None:
    """Output and brake on one member share its torque by stiffness: neither is told, the member's sum is."""
    train = Network("S", "C", sets=(SET,), grounded=("R",), elements=(Brake("B", "R"),))
    found = torques(train, "B")
    assert found.indeterminate == ("B",)
    assert found.elements == {}
    assert found.external["R"] == Fraction(12, 5)


def test_with_losses_the_same_words_are_figures() -> None:
    train = Network("S", "C", sets=(SET,), grounded=("R",))
    load = load_gear(train, [], losses=MeshLosses("0.98", internal="0.99")).load
    assert load is not None and load.with_losses is not None
    found = load.with_losses.torques
    ring = 2.4 * 0.98 * 0.99
    assert found.external == pytest.approx({"S": 1, "C": -1 - ring, "R": ring})
    assert found.ground == pytest.approx(ring)
    assert found.sets["P"] == pytest.approx({"S": 1, "R": ring, "C": -1 - ring})
    ((star, at),) = found.stars
    assert (star.origin, at) == ("P", pytest.approx({"S": 1, "R": ring, "C": -1 - ring}))


def test_speeds_as_whole_numbers() -> None:
    layout = Layout.of(("S", "C", "R"), [SET], ())
    assert whole_speeds(layout, {"S": Fraction(1), "C": Fraction(5, 17), "R": Fraction(0)}) == (
        (17, 5, 0, 0),
        17,
    )
    assert whole_speeds(layout, Shared({"S": 34, "C": 10}, 34)) == ((34, 10, None, 0), 34)


def loading(reacting: int = 1) -> Loading:
    """Sun driven, ring braked, the carrier reacting; speeds as 17 : 5 : 0."""
    layout = Layout.of(("S", "C", "R"), [SET], ())
    return Loading(layout, [1, 2, 0, 0], [("B", (2, CASE))], {0: Fraction(1)}, [reacting], (17, 5, 0, 0), 17)


@pytest.mark.parametrize(
    ("ports", "acting", "message"),
    [
        ([[5, 12]], {0: 5, 1: -16}, "what acts on a member does not add up to zero"),
        ([[5, 11]], {0: 5, 1: -17}, "what acts on a member does not add up to zero"),
        ([[5, 11]], {0: 5, 1: -16}, "the power that goes in is not the power that is lost"),
    ],
)
def test_forces_out_of_balance_are_never_told(
    ports: list[list[int | None]], acting: dict[int, int], message: str
) -> None:
    """A wrong carrier torque, a wrong ring torque, and both of them wrong so that only the power tells."""
    with pytest.raises(TrainError, match=f"{message}; this is a fault of countershaft and not of the train"):
        torques_of(loading(), Forces(ports, acting, (), 5))


def test_losses_that_would_give_power_are_never_told() -> None:
    """Forces under which the meshes would give power: 12 at the ring becomes 13, and the carrier gets 18."""
    good = Forces([[5, 12]], {0: 5, 1: -17}, (), 5)
    exact, _ = torques_of(loading(), good)
    assert exact.external == {"S": 1, "C": -Fraction(17, 5), "R": Fraction(12, 5)}
    with pytest.raises(TrainError, match="the power that goes in is not the power that is lost"):
        torques_of(loading(), good, Forces([[5, 13]], {0: 5, 1: -18}, (), 5))
    _, lossy = torques_of(loading(), good, Forces([[5, 11]], {0: 5, 1: -16}, (), 5))
    assert lossy is not None
    assert lossy.external == {"S": 1.0, "C": -3.2, "R": 2.2}


def test_a_load_that_nothing_holds_has_no_torques() -> None:
    assert load_gear(Network("S", "C", sets=(SET,)), []).load is None
