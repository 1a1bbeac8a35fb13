"""Which bolt stands in a hole, told from how high its head stands when it is dropped in, or from its length.

What is measured with a rule beside a head is good to about a millimetre; the rest is exact.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final, Literal

from countershaft.errors import BadInput, OutOfRange
from countershaft.planning.mix_verdict import judge
from countershaft.planning.places import Bolt, Place

__all__ = ["RULER_MM", "Standing", "Stands", "who_stands"]

#: How far a height read with a rule beside a head may be off (common practice, no source) [mm].
RULER_MM: Final = Fraction(1)

Stands = Literal["right", "harmless", "dangerous", "unknown"]

#: Results from the worst to the best.
_WORST: Final[tuple[Stands, ...]] = ("dangerous", "unknown", "harmless", "right")


@dataclass(frozen=True, slots=True)
class Standing:
    """What a head that was looked at says about the bolt under it.

    `length` is that of the bolt, at most so long where `at_most`, None where it cannot be told [mm]; `off` is by how
    much the bolt is too long, minus too short.  `belongs` are the places that take such a bolt, sort by sort, the
    likeliest first.  `result` is what happens if it is tightened where it is.
    """

    place: str
    length: Fraction | None
    at_most: bool
    off: Fraction | None
    result: Stands
    belongs: tuple[tuple[str, ...], ...]
    words: str


def who_stands(
    place: Place,
    places: Sequence[Place],
    *,
    height: Fraction | None = None,
    length: Fraction | None = None,
    also: Collection[str] = (),
) -> Standing:
    """Tell which bolt stands in a hole, and what happens if it is tightened there.

    Parameters
    ----------
    place : Place
        The hole.
    places : Sequence[Place]
        Every place that the bolt may come from.
    height : Fraction, optional [mm]
        How high the underside of the head stands above the part, dropped in without turning.
    length : Fraction, optional [mm]
        Length of the bolt under its head, where that was measured instead.
    also : Collection[str], optional
        Other places that stand out in the same look; a bolt of one of them is the likeliest.

    Returns
    -------
    Standing
        Its length, where it belongs, and one to three sentences.

    Raises
    ------
    BadInput
        Neither or both of height and length are given.
    OutOfRange
        The height is negative, or the length is not positive.

    References
    ----------
    Common practice, no source, for the standing height; the rest is arithmetic.

    Examples
    --------
    >>> short, long = (Bolt(Fraction(6), Fraction(1), Fraction(length)) for length in (45, 60))
    >>> holes = [
    ...     Place("V03", "valve body", short, Fraction(33), Fraction(15)),
    ...     Place("V06", "valve body", long, Fraction(48), Fraction(15)),
    ... ]
    >>> found = who_stands(holes[0], holes, height=Fraction(27), also=["V06"])
    >>> print(*found.words.split(". "), sep=f".{chr(10)}")
    V03 holds a bolt of about 60 mm, 15 mm too long.
    It is probably that of V06, which stands out too.
    If it stays in V03: run in by hand, its head stays 12 mm off the part.
    """
    if (height is None) == (length is None):
        raise BadInput(f"{place.id}: type either how high the head stands or how long the bolt is.")
    if height is not None and height < 0:
        raise OutOfRange(f"{place.id}: a head stands 0 mm or more above the part, got {_mm(height)}.")
    if length is not None and length <= 0:
        raise OutOfRange(f"{place.id}: a bolt is longer than 0 mm, got {_mm(length)}.")
    found, at_most = _length(place, height, length)
    own = place.bolt.length
    if found is None or own is None:
        missing = "grip" if found is None else "length of its own bolt"
        words = f"{place.id}: which bolt that is cannot be told, since the {missing} is not given."
        return Standing(place.id, found, at_most, None, "unknown", (), words)
    if abs(found - own) <= RULER_MM and not (at_most and own > found):
        words = f"{place.id} holds a bolt as long as its own, {_mm(own)}."
        return Standing(place.id, found, at_most, found - own, "right", (), words)
    sorts = _sorts(place, places, found, at_most, also)
    judged = [_judged(bolt, place) for bolt in sorts or [replace(place.bolt, length=found)]]
    result = min((one for one, _ in judged), key=_WORST.index)
    belongs = tuple(sorts.values())
    words = " ".join(_words(place, found, at_most, belongs, also, judged))
    return Standing(place.id, found, at_most, found - own, result, belongs, words)


def _length(place: Place, height: Fraction | None, length: Fraction | None) -> tuple[Fraction | None, bool]:
    """Length of the bolt, and whether it is only known to be no longer: its head lies on the part."""
    if length is not None:
        return length, False
    if height is None or place.grip is None:
        return None, False
    return height + place.grip, height == 0


def _sorts(
    place: Place, places: Sequence[Place], length: Fraction, at_most: bool, also: Collection[str]
) -> dict[Bolt, tuple[str, ...]]:
    """Bolts of that length that go into the hole's thread, with where they belong; the likeliest first."""
    found: dict[Bolt, list[str]] = {}
    own = place.bolt
    for other in places:
        bolt = other.bolt
        if (bolt.diameter, bolt.pitch, bolt.hand) != (own.diameter, own.pitch, own.hand) or bolt == own:
            continue
        if bolt.length is None:
            continue
        fits = bolt.length <= length + RULER_MM if at_most else abs(bolt.length - length) <= RULER_MM
        if fits:
            found.setdefault(bolt, []).append(other.id)
    joint_of = {other.id: other.joint for other in places}

    def rank(item: tuple[Bolt, list[str]]) -> tuple[bool, bool]:
        names = item[1]
        return not any(name in also for name in names), all(joint_of[name] != place.joint for name in names)

    return {
        bolt: tuple(sorted(names, key=lambda name: (name not in also, names.index(name))))
        for bolt, names in sorted(found.items(), key=rank)
    }


def _judged(bolt: Bolt, place: Place) -> tuple[Stands, str]:
    """What happens when a bolt is tightened in a hole; what would show by hand is pulled down by a wrench."""
    result, _, how = judge(bolt, place)
    return ("dangerous" if result == "shows" else result), how


def _words(
    place: Place,
    length: Fraction,
    at_most: bool,
    belongs: Sequence[Sequence[str]],
    also: Collection[str],
    judged: Sequence[tuple[Stands, str]],
) -> Iterator[str]:
    own = place.bolt.length or Fraction(0)
    length = Fraction(round(length * 10), 10)  # a rule reads no finer
    off = length - own
    about = f"{_mm(length)} at most" if at_most else f"about {_mm(length)}"
    least = "at least " if at_most else ""
    yield f"{place.id} holds a bolt of {about}, {least}{_mm(abs(off))} too {'long' if off > 0 else 'short'}."
    likely = [name for names in belongs for name in names if name in also]
    if likely:
        verb = "stands" if len(likely) == 1 else "stand"
        yield f"It is probably that of {' or '.join(likely)}, which {verb} out too."
    elif belongs:
        yield f"Such a bolt belongs in {'; or in '.join(_listed(names) for names in belongs)}."
    else:
        yield "No other place of the unit takes such a bolt: it is a foreign one."
    hows = list(dict.fromkeys(how for _, how in judged))
    yield f"If it stays in {place.id}: {'; or '.join(hows)}."


def _listed(names: Sequence[str]) -> str:
    shown = ", ".join(names[:6])
    return shown if len(names) <= 6 else f"{shown} or {len(names) - 6} more"


def _mm(value: Fraction) -> str:
    return f"{float(round(value, 2)):g} mm"
