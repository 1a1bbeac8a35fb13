"""The gear-train solver beside numpy's dense solver and beside a computer-algebra library, in one run.

All of them get the gears of an eight-speed of four sets: speeds, torques without losses, and torques with a loss in
every mesh.  The train and its chart are the published case GT-24 of `tests/published/gear_trains.json`; the gears that
the case leaves out are those that its chart must have to shift one element at a time.

numpy is given its matrices ready made and does nothing but solve them: one solve for the speeds, one for the torques,
and one more for every guess of the sides that power comes from, of which all but the last are known to be wrong only
when they are solved.  It is not asked whether a matrix is singular, what floats, or whether the guess is the only one.
It is measured twice: with every mesh and planet an unknown, which is what losses mesh by mesh ask for, and with the two
meshes of a set merged into one by hand.

sympy is measured by its two doors: `solve`, and `linsolve`, which knows that the equations are linear.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any, NamedTuple

import numpy as np
import sympy

from benchmarks.timing import median_ms, medians_ms, row
from countershaft.mechanics.abilities import train_abilities
from countershaft.mechanics.gear_sets import SinglePinion
from countershaft.mechanics.gears import GearLoad, solve_gears
from countershaft.mechanics.losses import MeshLosses
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import Brake, Clutch

__all__ = ["main"]

#: What a mesh passes on, of wheels with outer teeth and of a ring with a planet.
OUTER, INNER = Fraction(99, 100), Fraction(995, 1000)
TORQUE = Fraction(250)

Grid = list[list[Fraction]]
Door = Callable[[Sequence[sympy.Expr], Sequence[sympy.Symbol]], list[Any]]


def eight_speed() -> tuple[Network, dict[str, list[str]]]:
    """Four single-pinion sets, two brakes, three clutches, eight gears and a reverse."""
    sets = (
        SinglePinion("P1", "S12", "X", "R1", 48, 96),
        SinglePinion("P2", "S12", "in", "Y", 48, 96),
        SinglePinion("P3", "Y", "C3", "V", 69, 111),
        SinglePinion("P4", "V", "out", "X", 23, 85),
    )
    elements = (
        Brake("A", "S12"),
        Brake("B", "R1"),
        Clutch("C", "in", "V"),
        Clutch("D", "C3", "out"),
        Clutch("E", "Y", "V"),
    )
    held = {"1": "ABC", "2": "ABE", "3": "BCE", "4": "BDE", "5": "BCD"}
    held |= {"6": "CDE", "7": "ACD", "8": "ADE", "R": "ABD"}
    return Network("in", "out", sets, elements=elements), {gear: list(names) for gear, names in held.items()}


def in_a_row(count: int) -> tuple[Network, dict[str, list[str]]]:
    """Sets that hang on each other: each ring on the carrier before, each sun on the input or on a carrier."""
    sets = []
    for number in range(1, count + 1):
        sun = "in" if number % 2 or number < 4 else f"C{number - 3}"
        sets.append(
            SinglePinion(f"P{number}", sun, f"C{number}", f"C{number - 1}", 24 + number, 70 + 3 * number)
        )
    return Network("in", f"C{count}", tuple(sets), elements=(Brake("B", "C0"),)), {"1": ["B"]}


def eight_elements() -> Callable[[], Network]:
    """The same sets with eight elements; made anew each time, since a train keeps what it has worked out."""
    network, _ = eight_speed()
    more = (Clutch("F", "in", "C3"), Brake("G", "C3"), Clutch("H", "S12", "in"))
    return lambda: replace(network, elements=(*network.elements, *more))


# --- what the peers solve ---


class Contact(NamedTuple):
    """Two wheels on a carrier with size_a · (w_a − w_carrier) = size_b · (w_b − w_carrier), and what it passes on."""

    a: str
    size_a: Fraction
    b: str
    size_b: Fraction
    carrier: str
    kept: Fraction


class Task:
    """One gear as the peers have it: rows for the speeds, and for the torques with every contact's side known."""

    def __init__(self, network: Network, applied: Sequence[str], *, merged: bool) -> None:
        self.network, self.applied = network, applied
        self.contacts: list[Contact] = []
        for part in network.sets:
            assert isinstance(part, SinglePinion)
            sun, ring = Fraction(part.sun_teeth), Fraction(part.ring_teeth)
            name, carrier, planet = f"{part.id}.planet", part.carrier, (ring - sun) / 2
            if merged:
                self.contacts.append(Contact(part.sun, sun, part.ring, -ring, carrier, OUTER * INNER))
            else:
                self.contacts.append(Contact(part.sun, sun, name, -planet, carrier, OUTER))
                self.contacts.append(Contact(name, planet, part.ring, ring, carrier, INNER))
        planets = [] if merged else [f"{part.id}.planet" for part in network.sets]
        self.members = [*network.members, *planets]

    def speed_rows(self) -> tuple[Grid, list[Fraction]]:
        """Contacts, elements, and the input turning once."""
        rows = [
            {one.a: one.size_a, one.b: -one.size_b, one.carrier: one.size_b - one.size_a}
            for one in self.contacts
        ]
        for name in self.applied:
            first, *second = self.network.held(name).members
            rows.append({first: Fraction(1), **{other: Fraction(-1) for other in second}})
        rows.append({self.network.input: Fraction(1)})
        return self.grid(rows), [Fraction(0)] * (len(rows) - 1) + [Fraction(1)]

    def torque_rows(self, sides: Sequence[int]) -> tuple[Grid, list[Fraction]]:
        """What contacts, elements and output do at each member; a side of 1 is power from a to b, 0 no loss."""
        columns: list[dict[str, Fraction]] = []
        for one, side in zip(self.contacts, sides, strict=True):
            at_b = -one.size_b / one.size_a * one.kept**side
            columns.append({one.a: Fraction(1), one.b: at_b, one.carrier: -1 - at_b})
        for name in self.applied:
            first, *second = self.network.held(name).members
            columns.append({first: Fraction(1), **{other: Fraction(-1) for other in second}})
        columns.append({self.network.output: Fraction(-1)})
        grid = [list(line) for line in zip(*self.grid(columns), strict=True)]
        return grid, [TORQUE if one == self.network.input else Fraction(0) for one in self.members]

    def grid(self, rows: Sequence[Mapping[str, Fraction]]) -> Grid:
        """Rows as numbers per member."""
        return [[row.get(one, Fraction(0)) for one in self.members] for row in rows]

    def sides(self, speeds: Sequence[Any], forces: Sequence[Any]) -> list[int]:
        """The sense of the power through each contact: the force at a times the speed of a against the carrier."""
        turning = dict(zip(self.members, speeds, strict=True))
        found = []
        for one, force in zip(self.contacts, forces, strict=False):
            power = force * (turning[one.a] - turning[one.carrier])
            found.append(1 if power > 1e-9 else -1 if power < -1e-9 else 0)
        return found


def rational(value: Fraction) -> sympy.Rational:
    return sympy.Rational(value.numerator, value.denominator)


def quick(equations: Sequence[sympy.Expr], unknowns: Sequence[sympy.Symbol]) -> list[Any]:
    """The door for equations that are known to be linear."""
    (answer,) = sympy.linsolve(list(equations), *unknowns)
    return list(answer)


def usual(equations: Sequence[sympy.Expr], unknowns: Sequence[sympy.Symbol]) -> list[Any]:
    """The door that everybody knows."""
    answer = sympy.solve(equations, unknowns)
    return [answer[one] for one in unknowns]


def by_algebra(task: Task, door: Door) -> tuple[list[Any], list[Any]]:
    """Speeds and torques with losses by sympy, sides corrected until they agree."""

    def solved(grid: Grid, right: Sequence[Fraction]) -> list[Any]:
        unknowns = sympy.symbols(f"x:{len(grid)}")
        equations = [
            sum(rational(value) * one for value, one in zip(line, unknowns, strict=True) if value)
            - rational(constant)
            for line, constant in zip(grid, right, strict=True)
        ]
        return door(equations, unknowns)

    speeds = solved(*task.speed_rows())
    sides = [0] * len(task.contacts)
    while True:
        forces = solved(*task.torque_rows(sides))
        found = task.sides(speeds, forces)
        if found == sides:
            return speeds, forces
        sides = found


def systems(task: Task) -> list[tuple[Any, Any]]:
    """Every system that a gear needs, in the order in which it is met, as numpy has them."""

    def array(rows: tuple[Grid, list[Fraction]]) -> tuple[Any, Any]:
        grid, right = rows
        return np.array(grid, dtype=float), np.array(right, dtype=float)

    found = [array(task.speed_rows())]
    speeds = np.linalg.solve(*found[0])
    sides = [0] * len(task.contacts)
    while True:
        found.append(array(task.torque_rows(sides)))
        now = task.sides(speeds, np.linalg.solve(*found[-1]))
        if now == sides:
            return found
        sides = now


# --- what is compared ---


def read(gears: Mapping[str, GearLoad]) -> list[tuple[Any, ...]]:
    """All figures of an answer, since they are made when they are asked for."""
    found = []
    for gear in gears.values():
        assert gear.load is not None and gear.load.torques is not None and gear.load.with_losses is not None
        lossy = gear.load.with_losses
        speeds, torques = dict(gear.state.speeds), lossy.torques
        found.append((speeds, torques.external, torques.elements, lossy.meshes, lossy.efficiency))
    return found


def agree(network: Network, chart: Mapping[str, Sequence[str]], gears: Mapping[str, GearLoad]) -> None:
    """Fail unless all of them come to the same; else they could not be compared."""
    for applied, (speeds, external, elements, _, _) in zip(chart.values(), read(gears), strict=True):
        between = [name for name in applied if len(network.held(name).members) > 1]
        ours = [elements[name] for name in between] + [external[network.output]]
        for merged in (False, True):
            task = Task(network, applied, merged=merged)
            turning, forces = by_algebra(task, quick)
            assert by_algebra(task, usual) == (turning, forces)
            told = dict(zip(task.members, turning, strict=True))
            assert all(speeds[one] == Fraction(str(told[one])) for one in network.members)
            dense = np.linalg.solve(*systems(task)[-1])
            assert np.allclose(np.array(forces, dtype=float), dense)
            places = [len(task.contacts) + list(applied).index(name) for name in between]
            assert np.allclose(ours, dense[[*places, -1]])


def compare(
    what: str, network: Network, chart: Mapping[str, Sequence[str]], *, promised: bool = False
) -> None:
    """Print the time of all gears beside the peers."""
    losses = MeshLosses(OUTER, internal=INNER)
    agree(network, chart, solve_gears(network, chart, input_torque=TORQUE, losses=losses))
    tasks = [Task(network, applied, merged=False) for applied in chart.values()]
    by_mesh = [system for task in tasks for system in systems(task)]
    by_set = [system for applied in chart.values() for system in systems(Task(network, applied, merged=True))]

    def solved() -> object:
        return read(solve_gears(network, chart, input_torque=TORQUE, losses=losses))

    ours, meshes, sets = medians_ms(
        solved,
        lambda: [np.linalg.solve(*system) for system in by_mesh],
        lambda: [np.linalg.solve(*system) for system in by_set],
        runs=41,
    )
    row(what, ours, meshes, "≤ 10 ×" if promised else "", "numpy.linalg.solve alone, mesh by mesh")
    if promised:
        row("", ours, sets, "", "the same with the meshes of a set merged")
        for door, words, promise in ((usual, "sympy.solve", "≤ 0.01 ×"), (quick, "sympy.linsolve", "")):
            peer = median_ms(lambda door=door: [by_algebra(task, door) for task in tasks], runs=3)  # type: ignore[misc]
            row("", ours, peer, promise, f"{words}: we are {peer / ours:.0f} times faster")


def main() -> None:
    """Print the lines of the gear trains."""
    network, chart = eight_speed()
    losses = MeshLosses(OUTER, internal=INNER)
    compare("eight-speed: speeds, torques, losses", network, chart, promised=True)
    fresh = median_ms(lambda: read(solve_gears(*eight_speed(), input_torque=TORQUE, losses=losses)), runs=21)
    row("  and made ready anew each time", fresh, None, "")
    for count in (1, 2, 4, 6, 8, 10, 12):
        compare(f"  one gear of {count} set{'s' if count > 1 else ''}", *in_a_row(count))
    many = eight_elements()
    row(
        "all 256 combinations of eight elements", median_ms(lambda: train_abilities(many())), None, "≤ 500 ms"
    )


if __name__ == "__main__":
    main()
