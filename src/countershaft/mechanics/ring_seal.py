"""O-rings in their glands: how much the section is squeezed, how far the ring is stretched, how full the gland is.

How much is enough is a matter of the seal's maker, its motion and its fluid; the limits come from the caller.
CAUTION: a seal that is tested with air stores energy; hold the part, cover the opening, regulate the pressure.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import product

from countershaft.errors import OutOfRange
from countershaft.mechanics.sizes import above_zero, between

__all__ = ["ORing", "SealFit", "SealGland", "SealRange", "seal_fit", "seal_range", "section_loss"]


@dataclass(frozen=True, slots=True)
class ORing:
    """An O-ring as it lies free: inside diameter and diameter of its section [m]."""

    inside: float
    section: float

    def __post_init__(self) -> None:
        above_zero("inside diameter of an O-ring", self.inside, "m")
        above_zero("section of an O-ring", self.section, "m")


@dataclass(frozen=True, slots=True)
class SealGland:
    """Where an O-ring sits: diameter that it is stretched over, room for its section, width of the groove [m].

    `room` is the distance from the bottom of the groove to the face that is sealed, play included.
    """

    seat: float
    room: float
    width: float

    def __post_init__(self) -> None:
        above_zero("seat of an O-ring", self.seat, "m")
        above_zero("room in the gland", self.room, "m")
        above_zero("width of the groove", self.width, "m")


@dataclass(frozen=True, slots=True)
class SealFit:
    """Squeeze, stretch and fill as shares [-], the section once stretched [m], what is wrong in itself, the working."""

    squeeze: float
    stretch: float
    fill: float
    section: float
    cautions: tuple[str, ...]
    working: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SealRange:
    """Least and most of squeeze, stretch and fill over all sizes within their limits [-]."""

    squeeze: tuple[float, float]
    stretch: tuple[float, float]
    fill: tuple[float, float]


def section_loss(stretch: float) -> float:
    """Share by which the section of an O-ring gets thinner when the ring is stretched.

    Parameters
    ----------
    stretch : float [-]
        Of the inside diameter: 0.02 is 2 %.

    Returns
    -------
    float [-]
        0 up to no stretch; in per cent 0.01 + 1.06 X − 0.1 X² up to 3 %, and 0.56 + 0.59 X − 0.0046 X² up to 25 %.

    Raises
    ------
    OutOfRange
        The ring is stretched by more than 25 %, or squeezed together by more than 5 %.

    Notes
    -----
    A ring of constant volume would lose about half of its stretch; the rule is measured, and loses more.

    References
    ----------
    SAE AS4716 and ISO 3601-2, reduction of the cross-section by stretch (upper branch as reproduced on public pages,
    lower branch from memory; the two meet at 3 %).

    Examples
    --------
    A public worked example stretches a section of 5.3 mm by 6.21 %, to 5.09 mm.

    >>> round(5.3 * (1 - section_loss(0.0621)), 2)
    5.09
    """
    between(
        "stretch of an O-ring",
        100 * stretch,
        -5,
        25,
        "%",
        "Look at inside diameter and seat; take another ring.",
    )
    percent = 100 * stretch
    if percent <= 0:
        return 0.0
    if percent <= 3:
        return (0.01 + 1.06 * percent - 0.1 * percent**2) / 100
    return (0.56 + 0.59 * percent - 0.0046 * percent**2) / 100


def seal_fit(ring: ORing, gland: SealGland) -> SealFit:
    """Squeeze, stretch and fill of an O-ring in its gland.

    Parameters
    ----------
    ring : ORing
        The free ring.
    gland : SealGland
        The gland, with the mating face in place.

    Returns
    -------
    SealFit
        Squeeze of the stretched section; fill by the free section, which is the greater; the working.

    Raises
    ------
    OutOfRange
        The stretch lies outside −5 % to 25 %.

    References
    ----------
    `section_loss`; squeeze = (section − room)/section, fill = π/4 section² / (room · width), as in ISO 3601-2.

    Examples
    --------
    >>> fit = seal_fit(ORing(50e-3, 3.53e-3), SealGland(seat=51e-3, room=2.9e-3, width=4.8e-3))
    >>> round(100 * fit.squeeze, 1), round(100 * fit.stretch, 1), round(100 * fit.fill, 1)
    (16.4, 2.0, 70.3)
    """
    stretch = gland.seat / ring.inside - 1
    loss = section_loss(stretch)
    section = ring.section * (1 - loss)
    squeeze = (section - gland.room) / section
    fill = math.pi / 4 * ring.section**2 / (gland.room * gland.width)
    working = (
        f"stretch: {1e3 * gland.seat:.6g} mm / {1e3 * ring.inside:.6g} mm − 1 = {100 * stretch:.4g} %",
        f"section: {1e3 * ring.section:.6g} mm less {100 * loss:.4g} % = {1e3 * section:.6g} mm",
        f"squeeze: ({1e3 * section:.6g} − {1e3 * gland.room:.6g}) mm / {1e3 * section:.6g} mm = {100 * squeeze:.4g} %",
        (
            f"fill: π/4 · ({1e3 * ring.section:.6g} mm)² / ({1e3 * gland.room:.6g} mm · {1e3 * gland.width:.6g} mm) = "
            f"{100 * fill:.4g} %"
        ),
    )
    return SealFit(squeeze, stretch, fill, section, _wrong(squeeze, stretch, fill), working)


def seal_range(rings: tuple[ORing, ORing], glands: tuple[SealGland, SealGland]) -> SealRange:
    """Least and most squeeze, stretch and fill over the limits of all sizes.

    Parameters
    ----------
    rings : tuple[ORing, ORing]
        The ring with all its least, and with all its greatest sizes.
    glands : tuple[SealGland, SealGland]
        The gland with all its least, and with all its greatest sizes.

    Returns
    -------
    SealRange
        Over every combination of least and greatest.

    Raises
    ------
    OutOfRange
        A least size is above its greatest, or a combination stretches the ring out of range.

    References
    ----------
    Worst case of `seal_fit`, which rises or falls with each size alone.

    Examples
    --------
    >>> rings = ORing(49.6e-3, 3.43e-3), ORing(50.4e-3, 3.63e-3)
    >>> found = seal_range(rings, (SealGland(50.95e-3, 2.85e-3, 4.8e-3), SealGland(51.05e-3, 2.95e-3, 5.0e-3)))
    >>> [round(100 * share, 1) for share in found.squeeze]
    [12.0, 20.7]
    """
    sizes = (
        ("inside diameter", rings[0].inside, rings[1].inside),
        ("section", rings[0].section, rings[1].section),
        ("seat", glands[0].seat, glands[1].seat),
        ("room", glands[0].room, glands[1].room),
        ("width", glands[0].width, glands[1].width),
    )
    for what, low, high in sizes:
        if low > high:
            raise OutOfRange(
                f"the least {what} is {1e3 * low:.6g} mm and the greatest {1e3 * high:.6g} mm; expected the least "
                "first. Swap the two."
            )
    fits = [
        seal_fit(ORing(inside, section), SealGland(seat, room, width))
        for inside, section, seat, room, width in product(*((low, high) for _, low, high in sizes))
    ]
    squeezes, stretches, fills = zip(*((fit.squeeze, fit.stretch, fit.fill) for fit in fits), strict=True)
    return SealRange(
        (min(squeezes), max(squeezes)), (min(stretches), max(stretches)), (min(fills), max(fills))
    )


def _wrong(squeeze: float, stretch: float, fill: float) -> tuple[str, ...]:
    said = []
    if squeeze <= 0:
        said.append("The ring does not touch the other face: it cannot seal.")
    if stretch < 0:
        said.append("The ring is larger than its seat: it may be pinched when it is put together.")
    if fill > 1:
        said.append("The ring has more volume than its gland: rubber does not give way, and something will.")
    return tuple(said)
