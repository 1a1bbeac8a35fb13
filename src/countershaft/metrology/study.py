"""A small study of measuring: how much of the scatter is the instrument's, the people's, and the parts'."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from countershaft.errors import OutOfRange
from countershaft.metrology.regression import Figure
from countershaft.metrology.variance import Source, source

__all__ = ["Study", "crossed_study"]


@dataclass(frozen=True, slots=True)
class Study:
    """Where the scatter of a study comes from; all deviations are standard deviations in the unit of the readings.

    `share` is what measuring takes of all scatter, `of_window` six standard deviations of measuring as a part of the
    allowed window, `classes` how many sorts of part can be told apart.
    """

    sources: tuple[Source, ...]
    pooled: bool
    repeatability: float
    people: float
    interaction: float
    reproducibility: float
    measuring: float
    parts: float
    total: float
    share: float
    of_window: float | None
    classes: int | None


def crossed_study(
    readings: Sequence[Sequence[Sequence[Figure]]], *, window: float | None = None, pool_above: float = 0.25
) -> Study:
    """Repeatability and reproducibility of a crossed study, by analysis of variance.

    Parameters
    ----------
    readings : Sequence[Sequence[Sequence[Figure]]] (people, parts, repeats) [any]
        Every person measures every part equally often: at least two of each.
    window : float, optional [any]
        Width of the allowed window, to compare measuring with.
    pool_above : float [-]
        The interaction counts as repeatability where luck explains it more often than this.

    Returns
    -------
    Study
        The table and the standard deviations.

    Raises
    ------
    OutOfRange
        The study is not whole, too small, or has a figure that is not finite; or the window is not above zero.

    Notes
    -----
    People and parts are taken as drawn by chance, so both are held against the interaction, or against the pooled
    repeatability; a component that comes out negative is zero.
    The number of classes is the whole part of 1.41 times parts over measuring.

    References
    ----------
    Montgomery, Introduction to Statistical Quality Control, 6th ed., 8.7 (two-factor random model); formulas and the
    limit of 0.25 as in the manual on measurement systems analysis of the motor trade, 4th ed. (from memory).

    Examples
    --------
    >>> anna = [[5.0, 5.1], [7.0, 7.1], [9.1, 9.0]]
    >>> ben = [[5.2, 5.3], [7.3, 7.2], [9.2, 9.3]]
    >>> found = crossed_study([anna, ben], window=2.0)
    >>> round(found.repeatability, 3), round(found.people, 3), round(found.parts, 2), found.classes
    (0.061, 0.139, 2.0, 18)
    """
    table = _whole(readings)
    if window is not None and not window > 0:
        raise OutOfRange(f"the allowed window is {window:g} wide; it must be above zero.")
    people, parts, repeats = len(table), len(table[0]), len(table[0][0])
    cells = [[sum(cell, Fraction(0)) for cell in person] for person in table]
    of_people = [sum(person, Fraction(0)) for person in cells]
    of_parts = [sum(column, Fraction(0)) for column in zip(*cells, strict=True)]
    base = sum(of_people, Fraction(0)) ** 2 / (people * parts * repeats)

    by_person = _squares(of_people) / (parts * repeats) - base
    by_part = _squares(of_parts) / (people * repeats) - base
    by_cell = sum((_squares(person) for person in cells), Fraction(0)) / repeats - base
    total = sum((_squares(cell) for person in table for cell in person), Fraction(0)) - base
    crossed, error = by_cell - by_person - by_part, total - by_cell
    of_crossed, of_error = (people - 1) * (parts - 1), people * parts * (repeats - 1)

    interaction = source("people × parts", of_crossed, crossed, against=(error, of_error))
    pooled = (interaction.chance or 0.0) > pool_above or not crossed
    against = (crossed + error, of_crossed + of_error) if pooled else (crossed, of_crossed)
    noise = (crossed + error) / (of_crossed + of_error) if pooled else error / of_error
    held = against[0] / against[1]
    sources = (
        source("parts", parts - 1, by_part, against=against),
        source("people", people - 1, by_person, against=against),
        interaction,
        source("repeats", of_error, error),
    )
    components = {
        "repeatability": noise,
        "people": max(Fraction(0), (by_person / (people - 1) - held) / (parts * repeats)),
        "interaction": Fraction(0) if pooled else max(Fraction(0), (held - noise) / repeats),
        "parts": max(Fraction(0), (by_part / (parts - 1) - held) / (people * repeats)),
    }
    return _study(sources, pooled, components, window)


def _study(
    sources: tuple[Source, ...], pooled: bool, components: dict[str, Fraction], window: float | None
) -> Study:
    between = components["people"] + components["interaction"]
    measuring = components["repeatability"] + between
    whole = measuring + components["parts"]
    deviation, spread = math.sqrt(measuring), math.sqrt(components["parts"])
    return Study(
        sources=sources,
        pooled=pooled,
        repeatability=math.sqrt(components["repeatability"]),
        people=math.sqrt(components["people"]),
        interaction=math.sqrt(components["interaction"]),
        reproducibility=math.sqrt(between),
        measuring=deviation,
        parts=spread,
        total=math.sqrt(whole),
        share=math.sqrt(measuring / whole) if whole else 0.0,
        of_window=None if window is None else 6 * deviation / window,
        classes=math.floor(1.41 * spread / deviation) if measuring else None,
    )


def _whole(readings: Sequence[Sequence[Sequence[Figure]]]) -> list[list[list[Fraction]]]:
    """The readings as fractions; a study with a gap is refused."""
    people = len(readings)
    parts = len(readings[0]) if people else 0
    repeats = len(readings[0][0]) if parts else 0
    if min(people, parts, repeats) < 2:
        raise OutOfRange(
            f"{people} people, {parts} parts, {repeats} readings each: a study needs at least two of each."
        )
    for number, person in enumerate(readings, start=1):
        if len(person) != parts or any(len(cell) != repeats for cell in person):
            raise OutOfRange(
                f"person {number} has a gap: every person measures all {parts} parts {repeats} times."
            )
        if not all(math.isfinite(value) for cell in person for value in cell):
            raise OutOfRange(f"a reading of person {number} is not finite; type it again.")
    return [[[Fraction(value) for value in cell] for cell in person] for person in readings]


def _squares(values: Sequence[Fraction]) -> Fraction:
    return sum((value * value for value in values), Fraction(0))
