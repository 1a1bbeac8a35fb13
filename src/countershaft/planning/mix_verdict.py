"""What happens when a bolt goes into a wrong hole.

Four answers: right; shows before any torque; hides but does no harm; hides and is dangerous.  A fifth, unknown, stands
where a figure is missing.  One wrong bolt at a time is judged; its neighbours are taken to be right.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from typing import Final, Literal

from countershaft.planning.places import GLANCE_MM, Bolt, Place

__all__ = ["Mixing", "judge"]

Mixing = Literal["right", "shows", "harmless", "dangerous", "unknown"]

#: Depth of the basic thread profile of a hole, 5/8 H on both sides, in pitches (ISO 68-1).
_PROFILE: Final = Fraction(10825, 10000)
#: A bolt this little too thick may still start, since threads have tolerances (5/16 in for 8 mm) [-].
_NEAR: Final = Fraction(3, 100)


def judge(
    bolt: Bolt, place: Place, beside: Sequence[Bolt] = (), *, glance: Fraction = GLANCE_MM
) -> tuple[Mixing, Fraction | None, str]:
    """What happens when one bolt goes into one place.

    Parameters
    ----------
    bolt : Bolt
        The bolt in hand.
    place : Place
        Where it is put.
    beside : Sequence[Bolt], optional
        Bolts of neighbouring places that stand level with the right bolt; by them a wrong height shows.
    glance : Fraction, optional [mm]
        Difference in height that the eye sees.

    Returns
    -------
    tuple[Mixing, Fraction | None, str] [mm]
        The result, by how much it shows, and one sentence.

    References
    ----------
    Common practice, no source, for what the eye sees; the rest is arithmetic.

    Examples
    --------
    >>> short, long = (Bolt(Fraction(6), Fraction(1), Fraction(length)) for length in (20, 30))
    >>> judge(long, Place("a", "cover", short, Fraction(8), Fraction(15)), [short])[2]
    'stands 10 mm higher than its neighbours'
    """
    if bolt == place.bolt:
        return "right", None, "its own place, or one just like it"
    for look in (_by_thread, _by_height, _by_hand):
        found = look(bolt, place, beside, glance)
        if found is not None:
            return found
    dangers, missing = _dangers(bolt, place), tuple(_missing(bolt, place))
    if dangers:
        return "dangerous", None, "; ".join(dangers)
    if missing:
        return "unknown", None, f"cannot be judged: {'; '.join(missing)}"
    return "harmless", None, _harmless(bolt, place)


# --- what shows before any torque ---------------------------------------------------------------------------

_Found = tuple[Mixing, Fraction | None, str] | None


def _by_thread(bolt: Bolt, place: Place, _beside: Sequence[Bolt], _glance: Fraction) -> _Found:
    """Diameter, pitch and hand: whether it enters at all, and how it holds."""
    own = place.bolt
    return _enters(bolt.diameter, bolt.pitch, bolt.hand, own.diameter, own.pitch, own.hand)


@lru_cache(maxsize=4096)
def _enters(
    diameter: Fraction, pitch: Fraction, hand: str, own_diameter: Fraction, own_pitch: Fraction, own_hand: str
) -> _Found:
    """A thread in a thread; a unit has few of them, and each is asked for again and again."""
    smaller = own_diameter - diameter
    if smaller < 0 and -smaller < _NEAR * own_diameter:
        return (
            "shows",
            -smaller,
            f"does not run in by hand: {_mm(-smaller)} too thick; a driver would ruin the thread",
        )
    if smaller < 0:
        return "shows", -smaller, f"does not enter: {_mm(-smaller)} too thick"
    overlap = _PROFILE * own_pitch - smaller
    if overlap <= 0:
        return "shows", smaller, f"drops in without touching the thread: {_mm(smaller)} too thin"
    if hand != own_hand:
        return "shows", None, f"does not start: the thread is {own_hand}-hand, the bolt {hand}-hand"
    if pitch != own_pitch:
        pitches = f"pitch {_figure(pitch)} in a thread of {_figure(own_pitch)}"
        return "shows", None, f"jams when it is run in by hand ({pitches}); a driver would ruin the thread"
    if smaller > 0:
        flank = Fraction(round(overlap * 50), 100)  # to a hundredth: real threads differ by more
        return "dangerous", None, f"runs in and holds by {_mm(flank)} of each flank only: strips"
    return None


def _by_height(bolt: Bolt, place: Place, beside: Sequence[Bolt], glance: Fraction) -> _Found:
    """Dropped in beside neighbours that stand level."""
    own = place.bolt
    if bolt.length is None or own.length is None:
        return None
    higher = bolt.length - own.length
    if beside and place.height is not None and abs(higher) >= glance:
        word = "higher" if higher > 0 else "lower"
        return "shows", abs(higher), f"stands {_mm(abs(higher))} {word} than its neighbours"
    if place.grip is not None and bolt.length <= place.grip:
        return "shows", place.grip - bolt.length, "does not reach the thread"
    return None


def _by_hand(bolt: Bolt, place: Place, beside: Sequence[Bolt], glance: Fraction) -> _Found:
    """Run in by hand: a head that stays off, or a head of another kind."""
    reach = _reach(bolt, place)
    if reach is not None and place.depth is not None and reach - place.depth >= glance:
        off = reach - place.depth
        return "shows", off, f"run in by hand, its head stays {_mm(off)} off the part"
    heads = {other.head for other in beside}
    if bolt.head and place.bolt.head and bolt.head != place.bolt.head and heads == {place.bolt.head}:
        return "shows", None, f"its head is {bolt.head}, its neighbours' are {place.bolt.head}"
    return None


# --- what hides ---------------------------------------------------------------------------------------------


def _dangers(bolt: Bolt, place: Place) -> tuple[str, ...]:
    own = place.bolt
    found = [*_bottom(bolt, place), *_thread_held(bolt, place)]
    if (
        bolt.strength != own.strength
        and bolt.proof is not None
        and own.proof is not None
        and bolt.proof < own.proof
    ):
        found.append(f"weaker: class {bolt.strength} for {own.strength}")
    if bolt.special != own.special:
        found.append(f"{bolt.special or 'a plain bolt'} where {own.special or 'a plain bolt'} belongs")
    if bolt.coating != own.coating:
        found.append(
            f"{bolt.coating or 'no coating'} for {own.coating or 'no coating'}: another friction, so another preload"
        )
    if bolt.one_use and not own.one_use:
        found.append("a bolt that was stretched or locked once")
    if own.one_use and not bolt.one_use:
        found.append("a plain bolt where one for one use belongs")
    return tuple(found)


def _bottom(bolt: Bolt, place: Place) -> Iterator[str]:
    reach, own_reach = _reach(bolt, place), _reach(place.bolt, place)
    if reach is None or place.depth is None:
        return
    left = place.depth - reach
    if left <= 0:
        off = f"its head {_mm(-left)} off the part" if left < 0 else "its head just down"
        yield f"meets the bottom with {off}: nothing is clamped"
    elif left < bolt.pitch and (own_reach is None or reach > own_reach):
        yield f"leaves {_mm(left)} at the bottom, less than one pitch"


def _thread_held(bolt: Bolt, place: Place) -> Iterator[str]:
    reach = _reach(bolt, place)
    if reach is not None and place.needed is not None:
        held = reach if place.depth is None else min(reach, place.depth)
        if held < place.needed:
            yield f"holds by {_mm(held)} of thread, {_mm(place.needed)} are needed: strips"


def _missing(bolt: Bolt, place: Place) -> Iterator[str]:
    """What would have to be known to call it harmless."""
    own = place.bolt
    if bolt.length is None or own.length is None:
        yield f"the length of {'the bolt' if bolt.length is None else 'the right bolt'} is not given"
    elif bolt.length > own.length and (place.grip is None or place.depth is None):
        yield "longer than the right one, and grip or thread depth is not given"
    elif bolt.length < own.length and (place.grip is None or place.needed is None):
        yield "shorter than the right one, and grip or the thread that is needed is not given"
    if bolt.strength != own.strength and (bolt.proof is None or own.proof is None):
        yield f"class {bolt.strength or 'not known'} for {own.strength or 'not known'} cannot be ranked"


def _harmless(bolt: Bolt, place: Place) -> str:
    own = place.bolt
    found = []
    if bolt.length is not None and own.length is not None and bolt.length != own.length:
        longer = bolt.length - own.length
        found.append(
            f"{_mm(abs(longer))} {'longer' if longer > 0 else 'shorter'}, and it holds and does not bottom"
        )
    if bolt.strength != own.strength:
        found.append(f"class {bolt.strength} for {own.strength}, not weaker")
    if bolt.head != own.head:
        found.append(f"head {bolt.head or 'not known'} for {own.head or 'not known'}")
    return "; ".join(found)


def _reach(bolt: Bolt, place: Place) -> Fraction | None:
    return None if bolt.length is None or place.grip is None else bolt.length - place.grip


def _mm(value: Fraction) -> str:
    return f"{_figure(value)} mm"


@lru_cache(maxsize=4096)
def _figure(value: Fraction) -> str:
    return f"{float(round(value, 3)):g}"
