"""The face under a head: its size by the head's standard, its mean friction diameter, and the pressure on it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from countershaft.errors import BadInput, OutOfRange
from countershaft.mechanics.thread import Thread

__all__ = ["CLEARANCE_HOLES", "HEADS", "BearingFace", "bearing_face", "bearing_pressure"]


def _sizes(text: str) -> dict[Fraction, float]:
    return {Fraction(size): float(value) * 1e-3 for size, value in (pair.split(":") for pair in text.split())}


#: Kind of head to thread diameter [mm] to least diameter of its bearing face [m].
HEADS: Final[dict[str, tuple[str, dict[Fraction, float]]]] = {
    "hex": ("ISO 4014, from memory", _sizes("5:6.88 6:8.88 8:11.63 10:14.63 12:16.63 14:19.64 16:22.49")),
    "hex flange": ("EN 1665", _sizes("5:9.8 6:12.2 8:15.8 10:19.6 12:23.8 14:27.6 16:31.9 20:39.9")),
    "socket": ("ISO 4762, from memory", _sizes("5:8.03 6:9.38 8:12.33 10:15.33 12:17.23 14:20.17 16:23.17")),
    # The head is flat below up to its edge; least head diameter, which ISO 14583 shares with ISO 7045 (from memory).
    "hexalobular pan": ("ISO 7045", _sizes("5:9.14 6:11.57 8:15.57 10:19.48")),
}

#: Thread diameter [mm] to clearance hole [m], medium series of ISO 273 (from memory).
CLEARANCE_HOLES: Final = _sizes("5:5.5 6:6.6 8:9 10:11 12:13.5 14:15.5 16:17.5 20:22")


@dataclass(frozen=True, slots=True)
class BearingFace:
    """A ring under a head or nut: outer and inner diameter [m]."""

    outer: float
    inner: float
    source: str = "given"

    def __post_init__(self) -> None:
        """Refuse a face without area."""
        if not 0 < self.inner < self.outer < math.inf:
            raise OutOfRange(
                f"a bearing face from {self.inner * 1e3:g} to {self.outer * 1e3:g} mm has no area; "
                "the head must be wider than its hole."
            )

    @property
    def friction_diameter(self) -> float:
        """Mean diameter on which the head rubs, (outer + inner)/2 [m], as in VDI 2230."""
        return (self.outer + self.inner) / 2

    @property
    def area(self) -> float:
        """Area that bears [m²]."""
        return math.pi / 4 * (self.outer**2 - self.inner**2)


def bearing_face(head: str, thread: Thread) -> BearingFace:
    """Bearing face of a standard head over a hole of the medium series.

    Parameters
    ----------
    head : str
        Kind of head, one of `HEADS`.
    thread : Thread
        The bolt's thread.

    Returns
    -------
    BearingFace
        The least face that the standard allows.

    Raises
    ------
    BadInput
        The kind of head is not in the table.
    OutOfRange
        The diameter is not in the table of that head.

    References
    ----------
    ISO 4014, ISO 4762, ISO 273 (from memory); EN 1665, ISO 7045 (as reproduced on public pages).

    Examples
    --------
    >>> from countershaft.mechanics.thread import parse_thread
    >>> round(bearing_face("hex flange", parse_thread("M8x1.25")).friction_diameter * 1e3, 1)
    12.4
    """
    if head not in HEADS:
        raise BadInput(
            f"the bearing face of a {head!r} head is not known; known are {', '.join(HEADS)}. "
            "Measure its outer diameter and the hole."
        )
    source, sizes = HEADS[head]
    if thread.system != "metric" or thread.diameter_mm not in sizes:
        raise OutOfRange(
            f"{source} gives no {head} head for {thread.designation}; measure its outer diameter and the hole."
        )
    return BearingFace(sizes[thread.diameter_mm], CLEARANCE_HOLES[thread.diameter_mm], source)


def bearing_pressure(preload: float, face: BearingFace) -> float:
    """Pressure under a head, spread evenly.

    Parameters
    ----------
    preload : float [N]
        Force of the bolt.
    face : BearingFace
        What bears.

    Returns
    -------
    float [Pa]
        Force over area.

    Raises
    ------
    OutOfRange
        The force is negative.

    References
    ----------
    VDI 2230-1, surface pressure.

    Examples
    --------
    >>> round(bearing_pressure(20e3, BearingFace(15.8e-3, 9e-3)) / 1e6, 0)
    151.0
    """
    if preload < 0:
        raise OutOfRange(f"a bolt pulls; got a preload of {preload:g} N.")
    return preload / face.area
