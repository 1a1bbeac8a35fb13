"""Property-test strategies that the whole suite shares; add to this file, do not fork it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from hypothesis import strategies as st

from countershaft.mechanics.gear_sets import (
    BasicRatio,
    CompoundPlanet,
    Differential,
    DoublePinion,
    GearPair,
    GearSet,
    Ravigneaux,
    SinglePinion,
    Wheel,
)
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import (
    Brake,
    Clutch,
    Element,
    OneWayBetween,
    OneWayToGround,
    Sleeve,
)

__all__ = ["TrainInState", "gear_sets", "matrices", "trains"]

MEMBERS = ("in", "out", "M1", "M2", "M3", "M4", "M5")
TEETH = st.integers(min_value=12, max_value=120)


@dataclass(frozen=True)
class TrainInState:
    """A gear train and the elements that are applied to it."""

    network: Network
    applied: tuple[str, ...]


def _names(count: int) -> st.SearchStrategy[list[str]]:
    return st.lists(st.sampled_from(MEMBERS), min_size=count, max_size=count, unique=True)


@st.composite
def gear_sets(draw: st.DrawFn, set_id: str) -> GearSet:
    """One gear set of any kind over the common pool of members."""
    kind = draw(st.sampled_from(["single", "double", "ravigneaux", "compound", "differential", "basic"]))
    if kind == "single":
        planet = draw(st.sampled_from([None, f"{set_id}p"]))
        return SinglePinion(set_id, *draw(_names(3)), draw(TEETH), draw(TEETH), planet, draw(TEETH))
    if kind == "double":
        return DoublePinion(set_id, *draw(_names(3)), draw(TEETH), draw(TEETH))
    if kind == "ravigneaux":
        return Ravigneaux(set_id, *draw(_names(4)), draw(TEETH), draw(TEETH), draw(TEETH))
    if kind == "compound":
        carrier, *around = draw(_names(draw(st.integers(2, 4))))
        wheels = tuple(Wheel(member, draw(TEETH), draw(TEETH), draw(st.booleans())) for member in around)
        return CompoundPlanet(set_id, carrier, f"{set_id}p", wheels)
    if kind == "differential":
        return Differential(set_id, *draw(_names(3)), spur=draw(st.booleans()))
    carrier, b, other = draw(_names(3))
    value = Fraction(draw(TEETH), draw(TEETH)) * draw(st.sampled_from([1, -1]))
    return BasicRatio(set_id, carrier, b, ((other, value),))


@st.composite
def _elements(draw: st.DrawFn, element_id: str, one_ways: bool) -> Element:
    kinds = ["brake", "clutch", "sleeve", *(["to ground", "between"] if one_ways else [])]
    kind = draw(st.sampled_from(kinds))
    first, second = draw(_names(2))
    sense = draw(st.sampled_from(["+", "-"]))
    if kind == "brake":
        return Brake(element_id, first)
    if kind == "sleeve":
        return Sleeve(element_id, (("near", (first, second)),))
    if kind == "to ground":
        return OneWayToGround(element_id, first, sense)
    if kind == "between":
        return OneWayBetween(element_id, first, second, sense)
    return Clutch(element_id, first, second)


@st.composite
def trains(draw: st.DrawFn, *, one_ways: bool = True) -> TrainInState:
    """A gear train of up to three sets, a pair and five elements, with some of its elements applied."""
    sets = tuple(draw(gear_sets(f"P{index}")) for index in range(draw(st.integers(1, 3))))
    pairs: tuple[GearPair, ...] = ()
    if draw(st.booleans()):
        (a, b), kind = draw(_names(2)), draw(st.sampled_from(["outer", "inner", "chain"]))
        teeth = draw(TEETH), draw(TEETH)
        pairs = (GearPair("Z", a, b, *teeth, internal=kind == "inner", chain=kind == "chain"),)
    grounded = tuple(draw(st.lists(st.sampled_from(MEMBERS[2:]), max_size=1)))
    elements = tuple(draw(_elements(f"E{index}", one_ways)) for index in range(draw(st.integers(0, 5))))
    network = Network("in", "out", sets, pairs, grounded, further=MEMBERS)
    applied = [element.id for element in elements if draw(st.booleans())]
    return TrainInState(replace(network, elements=elements), tuple(applied))


@st.composite
def matrices(draw: st.DrawFn) -> list[list[Fraction]]:
    """A small matrix of fractions, with many zeros and repeated rows, so that low ranks are common."""
    width = draw(st.integers(1, 5))
    cell = st.one_of(
        st.just(Fraction(0)),
        st.fractions(min_value=-9, max_value=9, max_denominator=7),
        st.sampled_from([Fraction(1)]),
    )
    rows = draw(st.lists(st.lists(cell, min_size=width, max_size=width), min_size=1, max_size=5))
    return [*rows, rows[0]] if draw(st.booleans()) else rows
