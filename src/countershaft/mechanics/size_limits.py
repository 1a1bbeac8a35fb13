"""Limits of size of a toleranced bore or shaft: what "40 H7" or "40 k6" on a drawing allows.

The printed tables of the standard govern; they are rounded, so that no formula gives them exactly.
Holes tighter than H have a rule of their own, which is left out.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from dataclasses import dataclass
from typing import Final

from countershaft.errors import BadInput
from countershaft.mechanics.sizes import between

__all__ = ["HOLES", "SHAFTS", "SizeLimits", "fundamental_deviation", "size_limits", "standard_tolerance"]

#: Greatest size of each step of the standard tolerances [mm]; a step begins over the one before.
_STEPS: Final = (3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500)
#: Standard tolerances by grade [µm] (ISO 286-1:2010, table 1).
_GRADES: Final[dict[int, tuple[int, ...]]] = {
    5: (4, 5, 6, 8, 9, 11, 13, 15, 18, 20, 23, 25, 27),
    6: (6, 8, 9, 11, 13, 16, 19, 22, 25, 29, 32, 36, 40),
    7: (10, 12, 15, 18, 21, 25, 30, 35, 40, 46, 52, 57, 63),
    8: (14, 18, 22, 27, 33, 39, 46, 54, 63, 72, 81, 89, 97),
    9: (25, 30, 36, 43, 52, 62, 74, 87, 100, 115, 130, 140, 155),
    10: (40, 48, 58, 70, 84, 100, 120, 140, 160, 185, 210, 230, 250),
    11: (60, 75, 90, 110, 130, 160, 190, 220, 250, 290, 320, 360, 400),
}
#: Upper deviation of shafts that lie below the nominal size, less its sign [µm] (ISO 286-1:2010, table 4).
_BELOW: Final[dict[str, tuple[int, ...]]] = {
    "f": (6, 10, 13, 16, 20, 25, 30, 36, 43, 50, 56, 62, 68),
    "g": (2, 4, 5, 6, 7, 9, 10, 12, 14, 15, 17, 18, 20),
    "h": (0,) * 13,
}
#: Lower deviation of shafts that lie above it [µm] (ISO 286-1:2010, table 5).
_ABOVE: Final[dict[str, tuple[int, ...]]] = {
    "k": (0, 1, 1, 1, 2, 2, 2, 3, 3, 4, 4, 4, 5),
    "m": (2, 4, 6, 7, 8, 9, 11, 13, 15, 17, 20, 21, 23),
    "n": (4, 8, 10, 12, 15, 17, 20, 23, 27, 31, 34, 37, 40),
    "p": (6, 12, 15, 18, 22, 26, 32, 37, 43, 50, 56, 62, 68),
}
#: The tightest ones have finer steps above 50 mm: greatest size of each [mm], and lower deviations [µm] (table 6).
_FINE_STEPS: Final = (
    3,
    6,
    10,
    18,
    30,
    50,
    65,
    80,
    100,
    120,
    140,
    160,
    180,
    200,
    225,
    250,
    280,
    315,
    355,
    400,
    450,
    500,
)
_FINE: Final[dict[str, tuple[int, ...]]] = {
    "r": (10, 15, 19, 23, 28, 34, 41, 43, 51, 54, 63, 65, 68, 77, 80, 84, 94, 98, 108, 114, 126, 132),
    "s": (14, 19, 23, 28, 35, 43, 53, 59, 71, 79, 92, 100, 108, 122, 130, 140, 158, 170, 190, 208, 232, 252),
}

#: Classes that are known: shafts by small letters, holes by capitals.
SHAFTS: Final = (*_BELOW, *_ABOVE, *_FINE)
HOLES: Final = ("F", "G", "H")


@dataclass(frozen=True, slots=True)
class SizeLimits:
    """Least and greatest size that a class allows [m], and the working."""

    least: float
    greatest: float
    working: tuple[str, ...]

    @property
    def ends(self) -> tuple[float, float]:
        """Both, least first."""
        return self.least, self.greatest


def standard_tolerance(nominal: float, *, grade: int) -> float:
    """Width of a standard tolerance.

    Parameters
    ----------
    nominal : float [m]
        Nominal size, 1 mm to 500 mm.
    grade : int [-]
        Grade number, 5 to 11.

    Returns
    -------
    float [m]
        Tolerance width.

    Raises
    ------
    BadInput
        The grade is not in the table.
    OutOfRange
        The size lies outside the table.

    References
    ----------
    ISO 286-1:2010, table 1 (h5 to h9 as reproduced on a public page).

    Examples
    --------
    >>> round(standard_tolerance(45e-3, grade=7) * 1e6)
    25
    """
    if grade not in _GRADES:
        raise BadInput(f"grade {grade} is not in the table; expected 5 to 11. Look at the drawing again.")
    return _GRADES[grade][_step(nominal, _STEPS)] / 1e6


def fundamental_deviation(nominal: float, *, letter: str) -> float:
    """Where the tolerance of a class begins: its deviation that is nearest to the nominal size.

    Parameters
    ----------
    nominal : float [m]
        Nominal size, 1 mm to 500 mm.
    letter : str
        One of `SHAFTS` or `HOLES`.

    Returns
    -------
    float [m]
        The upper deviation of f to h and the lower one of k to s; of holes the lower one.

    Raises
    ------
    BadInput
        The letter is not in the table.
    OutOfRange
        The size lies outside the table.

    References
    ----------
    ISO 286-1:2010, tables 2 to 6 (up to 80 mm as reproduced on a public page, above from memory).

    Examples
    --------
    >>> [round(fundamental_deviation(60e-3, letter=one) * 1e6) for one in ("g", "k", "p", "r", "G")]
    [-10, 2, 32, 41, 10]
    """
    if letter in HOLES:
        return 0.0 - fundamental_deviation(nominal, letter=letter.lower())
    if letter in _BELOW:
        return 0.0 - _BELOW[letter][_step(nominal, _STEPS)] / 1e6
    if letter in _ABOVE:
        return _ABOVE[letter][_step(nominal, _STEPS)] / 1e6
    if letter in _FINE:
        return _FINE[letter][_step(nominal, _FINE_STEPS)] / 1e6
    known = f"shafts {', '.join(SHAFTS)} and holes {', '.join(HOLES)}"
    raise BadInput(
        f"class {letter!r} is not in the table; known are {known}. Take its limits from the drawing."
    )


def size_limits(nominal: float, *, tolerance: str) -> SizeLimits:
    """Least and greatest size of a toleranced bore or shaft.

    Parameters
    ----------
    nominal : float [m]
        Nominal size, 1 mm to 500 mm.
    tolerance : str
        Letter and grade, such as "H7" for a bore and "k6" for a shaft.

    Returns
    -------
    SizeLimits
        Both limits, with the working.

    Raises
    ------
    BadInput
        The class is no letter with a grade, or is not in the tables.
    OutOfRange
        The size lies outside the tables.

    References
    ----------
    ISO 286-1:2010; ISO 286-2:2010.

    Examples
    --------
    >>> limits = size_limits(40e-3, tolerance="k6")
    >>> round(limits.least * 1e3, 3), round(limits.greatest * 1e3, 3)
    (40.002, 40.018)
    >>> print(limits.working[1])
    k6: +2 µm to +18 µm
    """
    found = re.fullmatch(r"\s*([A-Za-z]+)\s*(\d+)\s*", tolerance)
    if found is None:
        raise BadInput(
            f"{tolerance!r} is no class of tolerance; expected a letter and a grade, such as H7 or k6."
        )
    letter, grade = found[1], int(found[2])
    width, begins = standard_tolerance(nominal, grade=grade), fundamental_deviation(nominal, letter=letter)
    if letter == "k" and grade > 7:
        raise BadInput(
            f"k{grade} begins elsewhere than k5 to k7; expected one of those. Look at the drawing again."
        )
    low, high = (begins - width, begins) if letter in _BELOW else (begins, begins + width)
    working = (
        f"grade {grade} at {1e3 * nominal:.6g} mm: {1e6 * width:.0f} µm; {letter} begins at {1e6 * begins:+.0f} µm",
        f"{letter}{grade}: {1e6 * low:+.0f} µm to {1e6 * high:+.0f} µm",
    )
    return SizeLimits(nominal + low, nominal + high, working)


def _step(nominal: float, steps: tuple[int, ...]) -> int:
    millimetres = round(1e3 * nominal, 6)
    between(
        "nominal size",
        millimetres,
        1,
        steps[-1],
        "mm",
        "The tables end there; take the limits from the drawing.",
    )
    return bisect_left(steps, millimetres)
