"""A second route to the speeds of a gear train: equations written afresh and solved by sympy.

Nothing of the project's rows or elimination is used; the equations are written per kind of set, from the
tooth counts.
"""

from __future__ import annotations

from collections.abc import Iterable
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
from countershaft.mechanics.shift_elements import Brake, OneWayToGround, Sleeve


def exact(value: int | Fraction) -> sympy.Rational:
    return sympy.Rational(Fraction(value).numerator, Fraction(value).denominator)


def of_set(part: GearSet, w: dict[str, sympy.Symbol]) -> Iterable[sympy.Expr]:
    c = w[part.carrier]
    if isinstance(part, SinglePinion):
        yield (w[part.sun] - c) + exact(Fraction(part.ring_teeth) / part.sun_teeth) * (w[part.ring] - c)
        if part.planet:
            yield (w[part.planet] - c) - exact(Fraction(part.ring_teeth) / part.planet_teeth) * (
                w[part.ring] - c
            )
    elif isinstance(part, DoublePinion):
        yield (w[part.sun] - c) - exact(Fraction(part.ring_teeth) / part.sun_teeth) * (w[part.ring] - c)
    elif isinstance(part, Ravigneaux):
        # The two suns turn oppositely, seen from the carrier; the ring goes with the small sun.
        ring = w[part.ring] - c
        yield (w[part.small_sun] - c) - exact(Fraction(part.ring_teeth) / part.small_sun_teeth) * ring
        small = exact(Fraction(part.small_sun_teeth) / part.large_sun_teeth) * (w[part.small_sun] - c)
        yield (w[part.large_sun] - c) + small
    elif isinstance(part, CompoundPlanet):
        for wheel in part.wheels:
            sense = 1 if wheel.internal else -1
            spin = sense * exact(Fraction(wheel.teeth) / wheel.planet_teeth) * (w[wheel.member] - c)
            yield (w[part.planet] - c) - spin
    elif isinstance(part, Differential):
        yield (w[part.first_side] + w[part.second_side]) / 2 - c
    else:
        assert isinstance(part, BasicRatio)
        for member, value in part.others:
            yield (w[member] - c) - exact(value) * (w[part.b] - c)


def speeds(network: Network, applied: Iterable[str]) -> dict[str, Fraction] | None:
    """Determined speeds per input turn, or None where the train cannot turn."""
    w = {member: sympy.Symbol(f"w{index}") for index, member in enumerate(network.members)}
    equations = [equation for part in network.sets for equation in of_set(part, w)]
    for pair in network.pairs:
        sense = 1 if pair.internal or pair.chain else -1
        equations.append(w[pair.b] - sense * exact(Fraction(pair.a_teeth) / pair.b_teeth) * w[pair.a])
    equations += [w[member] for member in network.grounded]
    for element in network.elements:
        if element.id in applied:
            first, *second = element.positions[0][1] if isinstance(element, Sleeve) else element.members
            alone = isinstance(element, Brake | OneWayToGround)
            equations.append(w[first] if alone else w[first] - w[second[0]])
    solutions = sympy.linsolve([*equations, w[network.input] - 1], *w.values())
    if not solutions:
        return None
    (solution,) = solutions
    found = zip(w, solution, strict=True)
    return {member: Fraction(int(v.p), int(v.q)) for member, v in found if not v.free_symbols}
