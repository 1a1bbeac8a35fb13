"""Random gear trains that drive, made fast from a seed: up to five sets and six pairs of every kind.

With one-way clutches among their elements, some catch without being applied, and some that are applied overrun.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from random import Random

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
    Sense,
)
from countershaft.mechanics.states import solve_held, solve_state

__all__ = ["driving_trains", "one_way_trains"]


def teeth(random: Random) -> int:
    return random.randint(15, 110)


class _Members:
    """Members that grow as sets and pairs take them: some that are there already, some new."""

    def __init__(self, random: Random) -> None:
        self.random, self.names = random, ["in"]

    def take(self, count: int) -> list[str]:
        known = min(len(self.names), self.random.choice((1, 1, 2, 2, 3)), count)
        chosen = self.random.sample(self.names, known)
        for _ in range(count - known):
            self.names.append(f"m{len(self.names)}")
            chosen.append(self.names[-1])
        self.random.shuffle(chosen)
        return chosen


def _set(random: Random, members: _Members, name: str) -> GearSet:
    kind = random.choice(
        ("single", "single", "single", "double", "ravigneaux", "compound", "differential", "basic")
    )
    if kind == "single":
        planet = random.choice((None, None, f"{name}p"))
        return SinglePinion(name, *members.take(3), teeth(random), teeth(random), planet, teeth(random))
    if kind == "double":
        return DoublePinion(name, *members.take(3), teeth(random), teeth(random))
    if kind == "ravigneaux":
        return Ravigneaux(name, *members.take(4), teeth(random), teeth(random), teeth(random))
    if kind == "compound":
        carrier, *around = members.take(random.choice((2, 3, 3, 4)))
        wheels = [Wheel(each, teeth(random), teeth(random), random.random() < 0.5) for each in around]
        return CompoundPlanet(name, carrier, f"{name}p", tuple(wheels))
    if kind == "differential":
        return Differential(name, *members.take(3), spur=random.random() < 0.5)
    carrier, b, other = members.take(3)
    value = Fraction(teeth(random), teeth(random)) * random.choice((1, -1))
    return BasicRatio(name, carrier, b, ((other, value),))


def _train(random: Random, most_sets: int, most_pairs: int) -> tuple[Network, tuple[str, ...]]:
    members = _Members(random)
    sets = tuple(_set(random, members, f"P{number}") for number in range(random.randint(0, most_sets)))
    pairs = []
    for number in range(random.randint(0 if sets else 1, most_pairs)):
        kind = random.choice(("outer", "outer", "inner", "chain"))
        ends = members.take(2)
        pairs.append(
            GearPair(
                f"Z{number}", *ends, teeth(random), teeth(random), kind == "inner", chain=kind == "chain"
            )
        )
    output = random.choice(members.names[1:])
    # Every set, of whatever kind, leaves two of its members free, and a pair one of its two.
    free = len(members.names) - sum(len(part.members) - 2 for part in sets) - len(pairs)
    free += sum(len(set(part.members) - set(members.names)) for part in sets)
    elements: list[Element] = []
    for number in range(max(free - 1, 0) + (random.random() < 0.1)):
        if random.random() < 0.5:
            elements.append(Brake(f"E{number}", random.choice(members.names)))
        else:
            elements.append(Clutch(f"E{number}", *random.sample(members.names, 2)))
    applied = tuple(element.id for element in elements)
    return Network("in", output, sets, tuple(pairs), (), tuple(elements)), applied


def driving_trains(
    seed: int, count: int, *, most_sets: int = 5, most_pairs: int = 6
) -> Iterator[tuple[Random, Network, tuple[str, ...]]]:
    """Trains with the elements that are applied, all with a ratio; the random numbers may be drawn on further.

    Nearly all are plain, every row of them counting; one in forty is looked at in full, which finds trains with idle
    members and with elements that share a load.
    """
    random = Random(seed)
    while count:
        network, applied = _train(random, most_sets, most_pairs)
        if _is_plain(network, applied) or (
            random.random() < 0.025 and solve_held(network, applied).ratio is not None
        ):
            yield random, network, applied
            count -= 1


def one_way_trains(
    seed: int, count: int, *, most_sets: int = 4, most_pairs: int = 3
) -> Iterator[tuple[Random, Network, tuple[str, ...]]]:
    """Trains that drive, with one-way clutches beside and in place of other elements, applied or left to the motion."""
    random = Random(seed)
    while count:
        network, applied = _train(random, most_sets, most_pairs)
        names = network.members
        elements = [_one_way(random, element) for element in network.elements]
        elements += [
            _one_way(random, Clutch(f"W{number}", *random.sample(names, 2)), always=True)
            for number in range(random.randint(0, 2))
        ]
        ways = {element.id for element in elements if isinstance(element, OneWayToGround | OneWayBetween)}
        applied = tuple(each.id for each in elements if each.id not in ways or random.random() < 0.5)
        network = replace(network, elements=tuple(elements))
        if ways and solve_state(network, applied).ratio is not None:
            yield random, network, applied
            count -= 1


def _one_way(random: Random, element: Element, *, always: bool = False) -> Element:
    """The element, or a one-way clutch that holds the same; one that is new may as well go to the case."""
    sense: Sense = random.choice(("+", "-"))
    if not always and random.random() < 0.5:
        return element
    if len(element.members) == 1 or (always and random.random() < 0.5):
        return OneWayToGround(element.id, element.members[0], sense)
    return OneWayBetween(element.id, *element.members, sense)


def _is_plain(network: Network, applied: tuple[str, ...]) -> bool:
    label, ties = network.nodes(applied)
    if len(set(label)) < len(label) - len(ties):
        return False
    speeds = network.layout.speeds(label, 0)
    return speeds is not None and bool(speeds[network.output])
