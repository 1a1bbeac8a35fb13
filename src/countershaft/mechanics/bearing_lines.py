"""Lines of a rolling bearing whose rings may both turn, each in the frame in which it lives.

All speeds are turns per second with their sense.  The elements roll without slip; a real bearing lies up to some
percent lower or higher.  Passing frequencies depend on the difference of the rings' speeds alone; what modulates them
depends on how ring, cage and load turn against each other.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, isclose

from countershaft.errors import OutOfRange

__all__ = ["BearingGeometry", "BearingLines", "bearing_lines", "multiplier_faults"]


@dataclass(frozen=True, slots=True)
class BearingGeometry:
    """Rolling elements, their (mean) diameter [m], the pitch diameter [m] and the contact angle [rad].

    Only the ratio of the two diameters counts.
    """

    elements: int
    element_diameter: float
    pitch_diameter: float
    contact_angle: float = 0.0

    def __post_init__(self) -> None:
        if self.elements < 2:
            raise OutOfRange(f"a bearing with {self.elements} rolling element(s); expected two or more.")
        if not 0 < self.element_diameter < self.pitch_diameter:
            raise OutOfRange(
                f"rolling elements of {self.element_diameter:g} m on a pitch diameter of {self.pitch_diameter:g} m; "
                "the pitch diameter is the larger one, and neither is zero."
            )
        if not 0 <= cos(self.contact_angle) <= 1 or self.contact_angle < 0:
            raise OutOfRange(f"a contact angle of {self.contact_angle:g} rad; expected 0 to a quarter turn.")

    @property
    def gamma(self) -> float:
        """Element diameter times the cosine of the contact angle, over the pitch diameter."""
        return self.element_diameter * cos(self.contact_angle) / self.pitch_diameter


@dataclass(frozen=True, slots=True)
class BearingLines:
    """Lines of one bearing [1/s].

    `cage` is the cage's own speed, with its sense, as seen from the case.  `outer_pass` and `inner_pass` are the rates
    at which elements pass a point of the outer and of the inner ring, `spin` the turns of an element about itself as
    seen from the cage; a flaw on an element strikes both rings, so `element_strikes` is twice that.
    `outer_modulation`, `inner_modulation` and `element_modulation` are the rates at which a flaw on that part goes
    round through the loaded zone; zero where it stays in it.
    """

    geometry: BearingGeometry
    inner_speed: float
    outer_speed: float
    load_speed: float
    cage: float
    outer_pass: float
    inner_pass: float
    spin: float
    outer_modulation: float
    inner_modulation: float
    element_modulation: float
    working: tuple[str, ...]

    @property
    def element_strikes(self) -> float:
        """Strikes of a flaw on one rolling element."""
        return 2 * self.spin

    @property
    def cage_on_outer(self) -> float:
        """Turns of the cage as seen from the outer ring."""
        return abs(self.cage - self.outer_speed)

    @property
    def cage_on_inner(self) -> float:
        """Turns of the cage as seen from the inner ring."""
        return abs(self.inner_speed - self.cage)


def bearing_lines(
    geometry: BearingGeometry, *, inner_speed: float, outer_speed: float = 0.0, load_speed: float = 0.0
) -> BearingLines:
    """Lines of a rolling bearing from the speeds of its rings.

    Parameters
    ----------
    geometry : BearingGeometry
        Elements, diameters, contact angle.
    inner_speed, outer_speed : float [1/s]
        Turns of the rings, with their sense, as seen from the case.
    load_speed : float [1/s]
        Turns of the direction of the load; zero where it stands in the case, the carrier's speed for a planet.

    Returns
    -------
    BearingLines
        The lines, with the working.

    References
    ----------
    Harris T.A., Kotzalas M.N., Essential Concepts of Bearing Technology, 5th ed. 2006, ch. on internal speeds:
    cage speed with both rings turning (from memory).  ISO 15242-1:2015 for the names of the frequencies (from memory).

    Examples
    --------
    Eight elements of 10 mm on 50 mm, inner ring at 30 turns per second: 96 and 144 passes, cage 12, spin 72, as a
    public page tabulates them.

    >>> lines = bearing_lines(BearingGeometry(8, 0.010, 0.050), inner_speed=30)
    >>> [round(value, 9) for value in (lines.outer_pass, lines.inner_pass, lines.cage, lines.spin)]
    [96.0, 144.0, 12.0, 72.0]

    With the outer ring turned instead, the same passes, but the cage goes faster:

    >>> round(bearing_lines(BearingGeometry(8, 0.010, 0.050), inner_speed=0, outer_speed=30).cage, 9)
    18.0
    """
    gamma, count = geometry.gamma, geometry.elements
    apart = abs(inner_speed - outer_speed)
    cage = (inner_speed * (1 - gamma) + outer_speed * (1 + gamma)) / 2
    outer_pass, inner_pass = count / 2 * apart * (1 - gamma), count / 2 * apart * (1 + gamma)
    spin = geometry.pitch_diameter / (2 * geometry.element_diameter) * apart * (1 - gamma**2)
    rings = f"{inner_speed:.6g} inner, {outer_speed:.6g} outer".replace("-", "−")
    working = (
        f"gamma: d cos(alpha) / D = {gamma:.6g}",
        f"rings per second: {rings}, {apart:.6g} apart",
        f"cage: (inner · (1 − gamma) + outer · (1 + gamma)) / 2 = {cage:.6g}".replace("= -", "= −"),
        f"passes of the outer ring: {count} / 2 · {apart:.6g} · (1 − gamma) = {outer_pass:.6g}",
        f"passes of the inner ring: {count} / 2 · {apart:.6g} · (1 + gamma) = {inner_pass:.6g}",
        f"spin: D / 2d · {apart:.6g} · (1 − gamma²) = {spin:.6g}, two strikes a turn = {2 * spin:.6g}",
    )
    return BearingLines(
        geometry,
        inner_speed,
        outer_speed,
        load_speed,
        cage,
        outer_pass,
        inner_pass,
        spin,
        outer_modulation=abs(outer_speed - load_speed),
        inner_modulation=abs(inner_speed - load_speed),
        element_modulation=abs(cage - load_speed),
        working=working,
    )


def multiplier_faults(
    elements: int, *, outer_pass: float, inner_pass: float, cage: float, share: float = 0.005
) -> tuple[str, ...]:
    r"""What is wrong with a bearing's lines as someone typed them, per turn of the inner ring, the outer held.

    Parameters
    ----------
    elements : int [-]
        Number of rolling elements.
    outer_pass, inner_pass, cage : float [-]
        Multiples of the shaft's speed.
    share : float [-]
        Difference that rounding may leave, as a share.

    Returns
    -------
    tuple[str, ...]
        One sentence per relation that does not hold; none where all do.

    References
    ----------
    Rolling without slip: passes of both rings add up to the number of elements, and each element passes the outer
    ring once per turn of the cage against it.

    Examples
    --------
    A public data set stores a cage line of 14.8375 Hz beside 81.125 and 118.875 Hz at 25 turns per second:

    >>> found = multiplier_faults(8, outer_pass=81.125 / 25, inner_pass=118.875 / 25, cage=14.8375 / 25)
    >>> print(found[0].replace(": ", ":\n"))
    8 elements · cage 0.5935 = 4.748, but the passes of the outer ring are 3.245:
    this is the cage of a turning outer ring.
    """
    found = []
    if not isclose(elements * cage, outer_pass, rel_tol=share):
        turned = isclose(elements * cage, inner_pass, rel_tol=share)
        guess = "this is the cage of a turning outer ring" if turned else "one of the three is wrong"
        found.append(
            f"{elements} elements · cage {cage:g} = {elements * cage:g}, "
            f"but the passes of the outer ring are {outer_pass:g}: {guess}."
        )
    if not isclose(outer_pass + inner_pass, elements, rel_tol=share):
        found.append(
            f"passes {outer_pass:g} + {inner_pass:g} = {outer_pass + inner_pass:g}, but there are {elements} elements."
        )
    return tuple(found)
