"""Small made-up shops, and what every choice in them comes to, worked out by trying all: written apart from ours.

The objective is taken from its words: the sum of -ln(probability) in steps of 0.0001, then the sum of the distances in
thousandths of half a window, then the parts to order, then the cents.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction
from itertools import product
from random import Random

from countershaft.planning.shelf import Family, Gap, Listed, Piece, Place, Shop, Term

__all__ = ["all_choices", "big_shop", "small_shop"]

Objective = tuple[int, int, int, int]


def small_shop(seed: int) -> Shop:
    """Two families, two to four places, gaps of one to three places, a few pieces and listed sizes."""
    chance = Random(seed)
    families = (
        Family("shim", tuple(Fraction(100 + 10 * step, 100) for step in range(5))),
        Family("washer", tuple(Fraction(200 + 20 * step, 100) for step in range(4))),
    )
    places = tuple(
        Place(f"p{number}", chance.choice(("shim", "shim", "washer")))
        for number in range(chance.randint(2, 4))
    )
    family_of = {one.name: next(family for family in families if family.name == one.family) for one in places}
    pieces, listed = [], []
    for family in families:
        wanted = sum(1 for one in places if one.family == family.name)
        for number in range(chance.randint(wanted, 4)):
            size = chance.choice(family.table) + Fraction(chance.choice((-10, 0, 0, 10)), 1000)
            pieces.append(Piece(f"{family.name}{number}", family.name, size, chance.choice((0.0, 0.01))))
        listed += [
            Listed(
                family.name,
                chance.choice(family.table),
                0.01,
                10 * chance.randint(0, 3),
                chance.randint(0, 4),
            )
            for _ in range(chance.randint(0, 2))
        ]
    gaps = [_gap(chance, f"g{one.name}", (one,), family_of) for one in places if chance.random() < 0.8]
    for number in range(chance.randint(0, 2)):
        some = chance.sample(places, min(len(places), chance.choice((2, 2, 3))))
        gaps.append(_gap(chance, f"s{number}", tuple(some), family_of))
    set_by = {term.place for gap in gaps for term in gap.terms}
    gaps += [_gap(chance, f"h{one.name}", (one,), family_of) for one in places if one.name not in set_by]
    return Shop(families, places, tuple(gaps), tuple(pieces), tuple(listed))


def _gap(chance: Random, name: str, places: tuple[Place, ...], family_of: dict[str, Family]) -> Gap:
    """A gap whose goal some sizes of the tables come near, so that none is out of reach."""
    terms = tuple(
        Term(
            one.name,
            chance.choice((Fraction(-1), Fraction(-1), Fraction(1), Fraction(-56, 10))),
            Fraction(1),
            chance.choice((0.0, 0.0, 0.1)),
        )
        for one in places
    )
    goal = Fraction(chance.randint(10, 40), 100)
    near = sum((term.factor * chance.choice(family_of[term.place].table) for term in terms), Fraction(0))
    half = Fraction(chance.randint(3, 15), 100)
    rest = goal - near + Fraction(chance.randint(-4, 4), 100)
    standard = chance.choice((0.0, 0.01, 0.04))
    return Gap(
        name, rest, standard, terms, goal - half, goal + half + Fraction(chance.randint(0, 5), 100), goal
    )


def all_choices(shop: Shop) -> Iterator[tuple[Objective, tuple[tuple[str, Fraction, float, bool], ...]]]:
    """Every choice that uses no piece twice: its objective, and size, uncertainty and origin at each place."""
    options: list[list[tuple[str | None, Fraction, float, int]]] = []
    for place in shop.places:
        pieces = [(one.name, one.size, one.standard, 0) for one in shop.pieces if one.family == place.family]
        lines = [
            (None, one.size, one.standard, one.price) for one in shop.listed if one.family == place.family
        ]
        options.append([*pieces, *lines])
    for chosen in product(*options):
        names = [one[0] for one in chosen if one[0] is not None]
        if len(set(names)) < len(names):
            continue
        at = {place.name: one for place, one in zip(shop.places, chosen, strict=True)}
        lost = far = 0
        for gap in shop.gaps:
            value = gap.rest + sum(term.factor * at[term.place][1] for term in gap.terms)
            variance = gap.standard**2 + math.fsum(
                float(term.factor) ** 2 * at[term.place][2] ** 2
                + float(at[term.place][1] - term.pivot) ** 2 * term.standard**2
                for term in gap.terms
            )
            lost += _lost(gap, value, math.sqrt(variance))
            far += math.floor(1000 * abs(value - gap.goal) / ((gap.upper - gap.lower) / 2))
        ordered = sum(1 for one in chosen if one[0] is None)
        objective = (lost, far, ordered, sum(one[3] for one in chosen))
        yield (
            objective,
            tuple(
                (place.name, one[1], one[2], one[0] is None)
                for place, one in zip(shop.places, chosen, strict=True)
            ),
        )


def _lost(gap: Gap, value: Fraction, standard: float) -> int:
    worst = 6_900_000
    if standard == 0:
        return 0 if gap.lower <= value <= gap.upper else worst
    above = float(gap.upper - value) / standard / math.sqrt(2)
    below = float(value - gap.lower) / standard / math.sqrt(2)
    near, far = min(above, below), max(above, below)
    out = math.erfc(near) / 2 + math.erfc(far) / 2
    chance = (
        (math.erfc(-near) - math.erfc(far)) / 2 if near < 0 else 1 - out
    )  # outside: one tail less the other
    return min(worst, round(-math.log(chance) * 10_000)) if chance > 0 else worst


def big_shop(seed: int, *, listed: bool, crowded: bool = False) -> Shop:
    """Twelve fits of one family of shims, one piece of each of twenty sizes, two fits that hang on a neighbour's.

    In a crowded one all fits want one of eight neighbouring sizes.
    """
    fits, sizes = 12, 20
    chance = Random(seed)
    family = Family("shim", tuple(Fraction(150 + 5 * step, 100) for step in range(sizes)))
    places = tuple(Place(f"p{number:02}", "shim") for number in range(fits))
    wanted = (
        chance.choices(family.table[6:14], k=fits) if crowded else chance.sample(family.table[1:-1], fits)
    )
    pieces = [
        Piece(f"s{number:02}", "shim", size + Fraction(chance.randint(-8, 8), 1000), 0.002)
        for number, size in enumerate(family.table)
    ]
    gaps = []
    for number, size in enumerate(wanted):
        rest = size + Fraction(100 + chance.randint(-40, 40), 1000)
        terms = [Term(f"p{number:02}")]
        if number in (1, 4):
            terms.append(Term(f"p{number - 1:02}", Fraction(1)))
            rest -= wanted[number - 1]
        limits = Fraction(5, 100), Fraction(15, 100), Fraction(10, 100)
        gaps.append(Gap(f"g{number:02}", rest, 0.01, tuple(terms), *limits))
    lines = [
        Listed("shim", size, 0.005, chance.randint(100, 900), chance.randint(1, 5))
        for size in (family.table if listed else ())
    ]
    return Shop((family,), places, tuple(gaps), tuple(pieces), tuple(lines))
