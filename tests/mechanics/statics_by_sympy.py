"""A second route to torques without losses: the torque proportions of each kind of set, solved by sympy.

Nothing of the project's rows or forces is used.  The proportions are those of the textbooks: with i = ring / sun, sun,
ring and carrier of a single-pinion set have torques as 1 : i : −(1 + i), of a double-pinion set as 1 : −i : (i − 1);
side gears of a differential share evenly.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import sympy

from countershaft.mechanics.gear_sets import (
    BasicRatio,
    CompoundPlanet,
    Differential,
    DoublePinion,
    GearSet,
    Ravigneaux,
    SinglePinion,
)
from countershaft.mechanics.network import Network
from tests.mechanics.willis_by_sympy import exact

__all__ = ["reactions"]

Shares = dict[str, sympy.Expr]


def of_set(part: GearSet) -> list[Shares]:
    """Torques at the members per unit of each force that the set can carry."""

    def ratio(ring: int | Fraction, sun: int | Fraction) -> sympy.Rational:
        return exact(Fraction(ring) / Fraction(sun))

    if isinstance(part, SinglePinion):
        i = ratio(part.ring_teeth, part.sun_teeth)
        shares = [{part.sun: 1, part.ring: i, part.carrier: -1 - i}]
        if part.planet and part.planet_teeth:
            # A torque on the planet alone is held by the sun and the carrier.
            k = ratio(part.sun_teeth, part.planet_teeth)
            shares.append({part.planet: 1, part.sun: k, part.carrier: -1 - k})
        return shares
    if isinstance(part, DoublePinion):
        i = ratio(part.ring_teeth, part.sun_teeth)
        return [{part.sun: 1, part.ring: -i, part.carrier: i - 1}]
    if isinstance(part, Ravigneaux):
        i, k = ratio(part.ring_teeth, part.small_sun_teeth), ratio(part.ring_teeth, part.large_sun_teeth)
        return [
            {part.small_sun: 1, part.ring: -i, part.carrier: i - 1},
            {part.large_sun: 1, part.ring: k, part.carrier: -1 - k},
        ]
    if isinstance(part, CompoundPlanet):
        shares = []
        for wheel in part.wheels:
            # Torque on a wheel per unit of torque on the planet shaft.
            i = ratio(wheel.teeth, wheel.planet_teeth) * (-1 if wheel.internal else 1)
            shares.append({part.planet: 1, wheel.member: i, part.carrier: -1 - i})
        return shares
    if isinstance(part, Differential):
        return [{part.first_side: 1, part.second_side: 1, part.carrier: -2}]
    assert isinstance(part, BasicRatio)
    return [
        {member: 1, part.b: -exact(value), part.carrier: exact(value) - 1} for member, value in part.others
    ]


def reactions(network: Network, applied: Sequence[str]) -> dict[str, Fraction]:
    """Torque at the output and of every element that holds, with a torque of 1 at the input.

    What parts share by their stiffness alone is left out; a load that nothing holds raises ValueError.
    """
    balance: dict[str, sympy.Expr] = dict.fromkeys(network.members, sympy.Integer(0))
    unknowns: list[sympy.Symbol] = []

    def unknown(shares: Shares) -> sympy.Symbol:
        symbol = sympy.Symbol(f"f{len(unknowns)}")
        unknowns.append(symbol)
        for member, share in shares.items():
            balance[member] += share * symbol
        return symbol

    for part in network.sets:
        for shares in of_set(part):
            unknown(shares)
    for pair in network.pairs:
        sense = -1 if pair.internal or pair.chain else 1
        unknown({pair.a: 1, pair.b: sense * exact(Fraction(pair.b_teeth) / Fraction(pair.a_teeth))})
    named = {}
    for name in applied:
        first, *second = network.held(name).members
        named[name] = unknown({first: 1, second[0]: -1} if second else {first: -1})
    for member in network.grounded:
        unknown({member: -1})
    named[network.output] = unknown({network.output: -1})
    balance[network.input] -= 1
    (answer,) = sympy.linsolve(list(balance.values()), *unknowns)
    values = dict(zip(unknowns, answer, strict=True))
    return {
        name: Fraction(str(values[symbol]))
        for name, symbol in named.items()
        if not values[symbol].free_symbols
    }
