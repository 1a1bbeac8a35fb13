"""Property-test strategies for threads, bolts and places."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import strategies as st

from countershaft.mechanics.thread import Thread, parse_thread
from countershaft.planning.places import Bolt, Place

__all__ = ["listed_threads", "piles_of_places", "positions"]

THREADS = (
    "M5",
    "M6",
    "M8x1.25",
    "M8x1",
    "M10x1.5",
    "M10x1.25",
    "M12x1.75",
    "M14x1.5",
    "M16x2",
    "1/4-20 UNC",
    "3/8-24 UNF",
)


def listed_threads() -> st.SearchStrategy[Thread]:
    """A thread that stands in the tables."""
    return st.sampled_from(THREADS).map(parse_thread)


@st.composite
def _bolts(draw: st.DrawFn) -> Bolt:
    diameter, pitch = draw(st.sampled_from([(6, "1"), (8, "1.25"), (8, "1"), (10, "1.25"), (11, "1.25")]))
    length = draw(st.one_of(st.none(), st.sampled_from([16, 18, 20, 21, 25, 30, 45, 60])))
    return Bolt(
        Fraction(diameter),
        Fraction(pitch),
        None if length is None else Fraction(length),
        hand=draw(st.sampled_from(["right", "right", "right", "left"])),
        strength=draw(st.sampled_from([None, "8.8", "10.9"])),
        proof=draw(st.sampled_from([None, Fraction(580), Fraction(830)])),
        head=draw(st.sampled_from([None, "hex", "socket"])),
        coating=draw(st.sampled_from([None, None, "patch"])),
        special=draw(st.sampled_from([None, None, None, "hollow"])),
        one_use=draw(st.sampled_from([False, False, True])),
    )


@st.composite
def piles_of_places(draw: st.DrawFn, *, most: int = 12, sorts: int = 6) -> list[Place]:
    """Places of a few joints whose bolts are of a few sorts."""
    bolts = draw(st.lists(_bolts(), min_size=1, max_size=sorts))
    count = draw(st.integers(1, most))
    places = []
    for number in range(count):
        bolt = draw(st.sampled_from(bolts))
        maybe = [
            draw(st.one_of(st.none(), st.integers(low, high))) for low, high in ((2, 50), (8, 30), (5, 20))
        ]
        grip, depth, needed = (None if value is None else Fraction(value) for value in maybe)
        places.append(Place(f"p{number}", draw(st.sampled_from("AB")), bolt, grip, depth, needed))
    return places


@st.composite
def positions(draw: st.DrawFn) -> dict[str, tuple[int, int]]:
    """Places that lie apart, in whole millimetres."""
    coordinate = st.integers(-200, 200)
    points = draw(st.lists(st.tuples(coordinate, coordinate), min_size=1, max_size=20, unique=True))
    return {f"p{number}": point for number, point in enumerate(points)}
