"""A second route to torques with losses: every mesh and every planet written out, and every choice of sides tried.

Nothing of the project's stars, forces or search is used: each mesh is an unknown torque, each planet a member of its
own, and for every combination of the sides that power may come from the equations are solved anew.  The solver of
`countershaft.mechanics.exact` is held to a general library in `test_exact.py`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product

from countershaft.mechanics.exact import solve
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

__all__ = ["HandBalance", "all_balances"]


@dataclass(frozen=True)
class HandMesh:
    """Wheels a and b with size_a · (w_a − w_carrier) = size_b · (w_b − w_carrier); the carrier None is the case."""

    a: str
    size_a: Fraction
    b: str
    size_b: Fraction
    carrier: str | None
    efficiency: Fraction


@dataclass(frozen=True)
class HandBalance:
    """One consistent answer: output torque per element and at the output, and the power lost."""

    output: Fraction
    elements: Mapping[str, Fraction]
    lost: Fraction


def of_set(part: GearSet, outer: Fraction, inner: Fraction) -> Iterator[HandMesh]:
    """The meshes of a set; a planet's teeth, where they are not given, are any number, since they cancel."""

    def mesh(a: str, size_a: Fraction | int, b: str, size_b: Fraction | int, kind: str) -> HandMesh:
        sense = 1 if kind == "inner" else -1
        efficiency = {"inner": inner, "outer": outer, "whole": outer * inner}[kind]
        return HandMesh(a, Fraction(size_a), b, sense * Fraction(size_b), part.carrier, efficiency)

    p, q = f"{part.id}/1", f"{part.id}/2"
    if isinstance(part, SinglePinion):
        planet = part.planet or p
        yield mesh(part.sun, part.sun_teeth, planet, part.planet_teeth or 20, "outer")
        yield mesh(part.ring, part.ring_teeth, planet, part.planet_teeth or 20, "inner")
    elif isinstance(part, DoublePinion):
        yield mesh(part.sun, part.sun_teeth, p, 17, "outer")
        yield mesh(p, 17, q, 19, "outer")
        yield mesh(part.ring, part.ring_teeth, q, 19, "inner")
    elif isinstance(part, Ravigneaux):
        yield mesh(part.small_sun, part.small_sun_teeth, p, 17, "outer")
        yield mesh(p, 17, q, 19, "outer")
        yield mesh(part.large_sun, part.large_sun_teeth, q, 19, "outer")
        yield mesh(part.ring, part.ring_teeth, q, 19, "inner")
    elif isinstance(part, CompoundPlanet):
        for wheel in part.wheels:
            kind = "inner" if wheel.internal else "outer"
            yield mesh(wheel.member, wheel.teeth, part.planet, wheel.planet_teeth, kind)
    elif isinstance(part, Differential):
        # Bevel pinions turn with one side and against the other, whichever way they are looked at.
        one = Fraction(1)
        if part.spur:
            yield mesh(part.first_side, 1, p, 1, "outer")
            yield mesh(p, 1, q, 1, "outer")
            yield mesh(part.second_side, 1, q, 1, "outer")
        else:
            yield HandMesh(part.first_side, one, p, one, part.carrier, outer)
            yield HandMesh(part.second_side, one, p, -one, part.carrier, outer)
    else:
        assert isinstance(part, BasicRatio)
        for member, value in part.others:
            yield HandMesh(member, Fraction(1), part.b, value, part.carrier, outer * inner)


def meshes_of(network: Network, outer: Fraction, inner: Fraction) -> list[HandMesh]:
    found = [mesh for part in network.sets for mesh in of_set(part, outer, inner)]
    for pair in network.pairs:
        sense = 1 if pair.internal or pair.chain else -1
        efficiency = inner if pair.internal else outer
        sizes = Fraction(pair.a_teeth), sense * Fraction(pair.b_teeth)
        found.append(HandMesh(pair.a, sizes[0], pair.b, sizes[1], None, efficiency))
    return found


def with_planets(meshes: Sequence[HandMesh], speeds: Mapping[str, Fraction]) -> dict[str, Fraction]:
    """Speeds of the members and of every planet."""
    found = dict(speeds)
    for mesh in (*meshes, *meshes):
        carrier = Fraction(0) if mesh.carrier is None else found[mesh.carrier]
        if mesh.a in found and mesh.b not in found:
            found[mesh.b] = carrier + mesh.size_a / mesh.size_b * (found[mesh.a] - carrier)
        elif mesh.b in found and mesh.a not in found:
            found[mesh.a] = carrier + mesh.size_b / mesh.size_a * (found[mesh.b] - carrier)
    return found


def all_balances(
    network: Network,
    applied: Sequence[str],
    speeds: Mapping[str, Fraction],
    torque: Fraction,
    efficiencies: tuple[Fraction, Fraction],
) -> list[HandBalance]:
    """Every consistent balance with the input under a torque, with the efficiencies of outer and inner meshes."""
    meshes = meshes_of(network, *efficiencies)
    turning = with_planets(meshes, speeds)
    members = list(turning)
    spins = [
        turning[mesh.a] - (Fraction(0) if mesh.carrier is None else turning[mesh.carrier]) for mesh in meshes
    ]
    places = [place for place, spin in enumerate(spins) if spin and meshes[place].efficiency != 1]
    found: dict[tuple[Fraction | None, ...], HandBalance] = {}
    for sides in product((1, -1), repeat=len(places)):
        side = dict(zip(places, sides, strict=True))
        columns = []
        for place, mesh in enumerate(meshes):
            # Power enters at a: what b gets is the efficiency's share; power leaves at a: a gets that share.
            factor = mesh.efficiency ** side.get(place, 0)
            at_b = -mesh.size_b / mesh.size_a * factor
            column = {mesh.a: Fraction(1), mesh.b: at_b}
            if mesh.carrier is not None:
                column[mesh.carrier] = column.get(mesh.carrier, Fraction(0)) - 1 - at_b
            columns.append(column)
        for name in applied:
            # A brake pushes on the train from outside; an element between two members takes what it gives on.
            first, *second = network.held(name).members
            columns.append({first: Fraction(1), second[0]: Fraction(-1)} if second else {first: Fraction(-1)})
        columns += [{member: Fraction(-1)} for member in (*network.grounded, network.output)]
        rows = [[column.get(member, Fraction(0)) for column in columns] for member in members]
        right = [torque if member == network.input else Fraction(0) for member in members]
        answer = solve(rows, right, width=len(columns))
        if not answer.consistent or None in answer.values:
            continue
        values = [value for value in answer.values if value is not None]
        if all(values[place] * spins[place] * sign >= 0 for place, sign in side.items()):
            output = values[-1]
            lost = torque * turning[network.input] + output * turning[network.output]
            elements = dict(zip(applied, values[len(meshes) :], strict=False))
            found.setdefault(answer.values, HandBalance(output, elements, lost))
    return list(found.values())
