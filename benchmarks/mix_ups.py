"""Mix-ups and tags of 120 places: every bolt in every hole, and the fewest trays, proven, in half a second.

The places are drawn by lot so that every bolt is a sort of its own, which no real unit comes near.  Beside it stands
networkx' greedy colouring of the same conflicts, a general library that gives a number of trays and no proof.
"""

from __future__ import annotations

import random
from fractions import Fraction

import networkx as nx

from benchmarks.timing import median_ms, row
from countershaft.planning.mixup import MixUps, mix_ups
from countershaft.planning.places import Bolt, Place
from countershaft.planning.tags import smallest_grouping

PLACES = 120


def places() -> list[Place]:
    """120 places of made-up joints, each with a bolt and a hole of its own sort."""
    draw = random.Random(2)
    found = []
    for number in range(PLACES):
        diameter, pitch = draw.choice((("6", "1"), ("8", "1.25"), ("10", "1.25")))
        thick = int(diameter)
        length, strength = draw.randrange(16, 80), draw.choice(("8.8", "10.9"))
        bolt = Bolt(
            Fraction(diameter), Fraction(pitch), Fraction(length), strength=strength,
            proof=Fraction(580 if strength == "8.8" else 830),
        )  # fmt: skip
        reach = draw.randrange(3 * thick // 2, 5 * thick // 2)
        depth, needed = reach + draw.randrange(2, 6), draw.choice((1, 2)) * thick
        found.append(
            Place(
                f"P{number}",
                f"joint {number // 6}",
                bolt,
                Fraction(length - reach),
                Fraction(depth),
                Fraction(needed),
            )
        )
    return found


def conflicts(found: MixUps) -> tuple[list[int], set[tuple[int, int]]]:
    """Sorts of bolts with their counts, and the pairs that must lie apart."""
    sorts = list(dict.fromkeys(pairing.bolts for pairing in found.pairings))
    sort_of = {name: index for index, names in enumerate(sorts) for name in names}
    apart = set()
    for pairing in found.dangerous:
        one, other = sort_of[pairing.bolts[0]], sort_of[pairing.holes[0]]
        if one != other:
            apart.add((min(one, other), max(one, other)))
    return [len(names) for names in sorts], apart


def main() -> None:
    """Measure both in one run and print the trays that each needs."""
    made = places()
    found = mix_ups(made)
    weights, apart = conflicts(found)
    graph = nx.Graph()
    graph.add_nodes_from(range(len(weights)))
    graph.add_edges_from(apart)
    greedy = nx.greedy_color(graph, strategy="DSATUR")
    peer = median_ms(lambda: nx.greedy_color(graph, strategy="DSATUR"), runs=5)
    row(
        f"mix-ups and tags of {PLACES} places",
        median_ms(lambda: mix_ups(made), runs=5),
        peer,
        "≤ 500 ms",
        "networkx greedy colouring alone",
    )
    row(
        f"fewest tags of {len(weights)} sorts, {len(apart)} conflicts",
        median_ms(lambda: smallest_grouping(weights, apart), runs=5),
        peer,
        "",
        "networkx greedy colouring",
    )
    proof = "proven the fewest" if found.proven else "not proven"
    print(f"  trays: ours {len(found.tags)}, {proof}; greedy {len(set(greedy.values()))}, without proof")
