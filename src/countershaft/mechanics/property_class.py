"""Strength of a bolt by the class on its head: ISO 898-1 property classes and SAE J429 grades."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal

from countershaft.errors import BadInput, OutOfRange
from countershaft.mechanics.thread import Thread

__all__ = ["GRADES", "PROPERTY_CLASSES", "Strength", "proof_load", "strength", "tensile_load"]

MPA: Final = 1e6
KSI: Final = 6.894757293e6


@dataclass(frozen=True, slots=True)
class Strength:
    """Least strength of a class [Pa] for diameters over `over_mm` up to `up_to_mm` [mm].

    `yield_stress` is Rp0.2 (ReL for 4.6 and 5.6, Rpf for 4.8, 5.8 and 6.8; the machined specimen's yield for SAE).
    """

    name: str
    standard: str
    over_mm: Fraction
    up_to_mm: Fraction
    tensile_strength: float
    yield_stress: float
    proof_stress: float

    def covers(self, diameter_mm: Fraction) -> bool:
        """Whether the row holds for a diameter."""
        return self.over_mm < diameter_mm <= self.up_to_mm


def _iso(name: str, over: str, up_to: int, tensile: float, yields: float, proof: float) -> Strength:
    return Strength(
        name, "ISO 898-1:2013", Fraction(over), Fraction(up_to), tensile * MPA, yields * MPA, proof * MPA
    )


def _sae(name: str, over: str, up_to: str, tensile: float, yields: float, proof: float) -> Strength:
    inch = Fraction(254, 10)
    return Strength(
        f"grade {name}",
        "SAE J429",
        Fraction(over) * inch,
        Fraction(up_to) * inch,
        tensile * KSI,
        yields * KSI,
        proof * KSI,
    )


#: ISO 898-1:2013, Table 3; the standard covers M1.6 to M39, class 9.8 only up to M16.
PROPERTY_CLASSES: Final = (
    _iso("4.6", "1.5", 39, 400, 240, 225),
    _iso("4.8", "1.5", 39, 420, 340, 310),
    _iso("5.6", "1.5", 39, 500, 300, 280),
    _iso("5.8", "1.5", 39, 520, 420, 380),
    _iso("6.8", "1.5", 39, 600, 480, 440),
    _iso("8.8", "1.5", 16, 800, 640, 580),
    _iso("8.8", "16", 39, 830, 660, 600),
    _iso("9.8", "1.5", 16, 900, 720, 650),
    _iso("10.9", "1.5", 39, 1040, 940, 830),
    _iso("12.9", "1.5", 39, 1220, 1100, 970),
)

#: SAE J429, bolts from 1/4 in to 1 1/2 in [ksi].
GRADES: Final = (
    _sae("1", "0.249", "1.5", 60, 36, 33),
    _sae("2", "0.249", "0.75", 74, 57, 55),
    _sae("2", "0.75", "1.5", 60, 36, 33),
    _sae("5", "0.249", "1", 120, 92, 85),
    _sae("5", "1", "1.5", 105, 81, 74),
    _sae("5.2", "0.249", "1", 120, 92, 85),
    _sae("8", "0.249", "1.5", 150, 130, 120),
    _sae("8.2", "0.249", "1", 150, 130, 120),
)

_TABLES: Final[dict[Literal["metric", "unified"], tuple[Strength, ...]]] = {
    "metric": PROPERTY_CLASSES,
    "unified": GRADES,
}


def strength(name: str, thread: Thread) -> Strength:
    """Strength of the class marked on a bolt, for its diameter.

    Parameters
    ----------
    name : str
        "8.8", "class 10.9", "grade 5".
    thread : Thread
        The bolt's thread: metric threads have property classes, Unified ones SAE grades.

    Returns
    -------
    Strength
        The row of the table.

    Raises
    ------
    BadInput
        The class is in no table for this kind of thread.
    OutOfRange
        The class has no row for this diameter.

    References
    ----------
    ISO 898-1:2013, Table 3; SAE J429 (both as reproduced on public pages).

    Examples
    --------
    >>> from countershaft.mechanics.thread import parse_thread
    >>> [strength("8.8", parse_thread(text)).proof_stress / 1e6 for text in ("M16", "M18")]
    [580.0, 600.0]
    """
    found = re.fullmatch(
        r"\s*(class|grade|SAE(?: J429)?(?: grade)?)?\s*(\d+(?:[.,]\d+)?)\s*", name, re.IGNORECASE
    )
    figure = found[2].replace(",", ".") if found else ""
    word = (found[1] or "").lower() if found else ""
    rows = [row for row in _TABLES[thread.system] if row.name.removeprefix("grade ") == figure]
    if word and (word == "class") != (thread.system == "metric"):
        rows = []
    if not rows:
        known = ", ".join(dict.fromkeys(row.name for row in _TABLES[thread.system]))
        raise BadInput(
            f"class {name!r} is not known for {thread.designation}; known are {known} "
            f"({_TABLES[thread.system][0].standard}). Without it neither proof load nor preload share can be told."
        )
    fits = next((row for row in rows if row.covers(thread.diameter_mm)), None)
    if fits is None:
        raise OutOfRange(
            f"{rows[0].name} of {rows[0].standard} is not defined for {thread.designation} "
            f"(up to {float(max(row.up_to_mm for row in rows)):g} mm)."
        )
    return fits


def proof_load(name: str, thread: Thread) -> float:
    """Load that a bolt must carry without staying longer.

    Parameters
    ----------
    name : str
        Class, as for `strength`.
    thread : Thread
        The bolt's thread.

    Returns
    -------
    float [N]
        Proof stress times nominal stress area.

    References
    ----------
    ISO 898-1:2013, Tables 5 and 7, which round area and product.

    Examples
    --------
    >>> from countershaft.mechanics.thread import parse_thread
    >>> round(proof_load("8.8", parse_thread("M8x1.25")), -2)
    21200.0
    """
    return strength(name, thread).proof_stress * thread.stress_area


def tensile_load(name: str, thread: Thread) -> float:
    """Least load at which a bolt breaks.

    Parameters
    ----------
    name : str
        Class, as for `strength`.
    thread : Thread
        The bolt's thread.

    Returns
    -------
    float [N]
        Tensile strength times nominal stress area.

    References
    ----------
    ISO 898-1:2013, Tables 4 and 6, which round area and product.

    Examples
    --------
    >>> from countershaft.mechanics.thread import parse_thread
    >>> round(tensile_load("10.9", parse_thread("M10")), -2)
    60300.0
    """
    return strength(name, thread).tensile_strength * thread.stress_area
