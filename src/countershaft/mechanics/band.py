"""Band brakes: tensions round the drum, what a band holds both ways, and the servo that pulls it.

The drum drags the band with it.  Where that helps the servo, moving the end that it pulls the way it pulls, the band
is *self-energised*; turned the other way it is *de-energised*, and holds less by the ratio of the two tensions.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp

from countershaft.errors import OutOfRange

__all__ = [
    "Band",
    "BandCapacity",
    "Servo",
    "band_capacity",
    "band_force",
    "band_lining_pressure",
    "servo_force",
    "servo_pressure",
]


@dataclass(frozen=True, slots=True)
class Band:
    """A band on its drum: radius [m], wrapped angle [rad], friction coefficient [-].

    The angle is what the lining covers: a band that goes round twice has more than one turn.
    """

    drum_radius: float
    wrap_angle: float
    friction_coefficient: float

    def __post_init__(self) -> None:
        for what, value in (
            ("drum radius", self.drum_radius),
            ("wrapped angle", self.wrap_angle),
            ("friction coefficient", self.friction_coefficient),
        ):
            if value <= 0:
                raise OutOfRange(f"the {what} of a band is {value:g}; expected a figure above zero.")

    @property
    def tension_ratio(self) -> float:
        """Tight side over slack side when the band slips: e to the friction coefficient times the angle."""
        return exp(self.friction_coefficient * self.wrap_angle)


@dataclass(frozen=True, slots=True)
class BandCapacity:
    """What a band holds both ways [N·m] when one end is pulled with `force` [N] and the other is anchored.

    Self-energised the servo holds the slack end and the anchor the tight one; de-energised it is the other way.
    """

    band: Band
    force: float
    energised: float
    de_energised: float
    working: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Servo:
    """The piston that pulls a band: area [m²], spring in the applied position [N], and its lever.

    `lever_ratio` is force at the band over force at the piston.  `release_area` is the other side of the piston,
    where fluid lets the band go.
    """

    area: float
    return_spring: float = 0.0
    lever_ratio: float = 1.0
    release_area: float = 0.0

    def __post_init__(self) -> None:
        if self.area <= 0 or self.lever_ratio <= 0:
            raise OutOfRange("a servo's piston area and lever ratio are above zero.")
        if self.return_spring < 0 or self.release_area < 0:
            raise OutOfRange("a servo's spring and release area are zero or more.")


def band_capacity(band: Band, *, force: float) -> BandCapacity:
    """Torque that a band holds, both ways, when its end is pulled with a force.

    Parameters
    ----------
    band : Band
        The band on its drum.
    force : float [N]
        At the end that the servo pulls.

    Returns
    -------
    BandCapacity
        F r (e^(µθ) − 1) self-energised and F r (1 − e^(−µθ)) de-energised, with the working.

    Raises
    ------
    OutOfRange
        The force is below zero.

    References
    ----------
    Budynas R.G., Nisbett J.K., Shigley's Mechanical Engineering Design, ch. 16, band-type clutches and brakes
    (from memory); Euler's belt friction.

    Examples
    --------
    Mott R.L., Machine Elements in Mechanical Design, 4th ed., Example Problem 22-10, p. 861, pulls the tight end
    with 300 lb on a drum of 6 in: 225 degrees at 0.25 hold 1128 lb·in there, with the slack tension rounded.

    >>> from math import radians
    >>> round(band_capacity(Band(6.0, radians(225), 0.25), force=300).de_energised)
    1126
    """
    if force < 0:
        raise OutOfRange(f"a band cannot be pushed: the force is {force:g} N; expected zero or more.")
    ratio, radius = band.tension_ratio, band.drum_radius
    energised, de_energised = force * (ratio - 1) * radius, force * (1 - 1 / ratio) * radius
    working = (
        f"tight over slack: e^({band.friction_coefficient:g} · {band.wrap_angle:.6g} rad) = {ratio:.6g}",
        f"self-energised: {force:.6g} N · ({ratio:.6g} − 1) · {1e3 * radius:.6g} mm = {energised:.6g} N·m",
        f"de-energised: {force:.6g} N · (1 − 1/{ratio:.6g}) · {1e3 * radius:.6g} mm = {de_energised:.6g} N·m",
    )
    return BandCapacity(band, force, energised, de_energised, working)


def band_force(band: Band, *, torque: float, energised: bool) -> float:
    """Force at the pulled end with which a band just holds a torque.

    Parameters
    ----------
    band : Band
        The band on its drum.
    torque : float [N m]
        To be held; its sign does not matter.
    energised : bool
        Whether the drum helps the servo.

    Returns
    -------
    float [N]
        The force.

    References
    ----------
    `band_capacity`, turned round.

    Examples
    --------
    Khurmi R.S., Gupta J.K., Theory of Machines, Example 19.4 (from memory): 225 N·m on a drum of 450 mm, three
    quarters wrapped at 0.25: slack 444 N, tight 1444 N, with the tension ratio from a table of logarithms.

    >>> from math import pi
    >>> band = Band(0.225, 1.5 * pi, 0.25)
    >>> round(band_force(band, torque=225, energised=True)), round(band_force(band, torque=225, energised=False))
    (445, 1445)
    """
    per_newton = band_capacity(band, force=1.0)
    return abs(torque) / (per_newton.energised if energised else per_newton.de_energised)


def band_lining_pressure(tension: float, *, drum_radius: float, width: float) -> float:
    """Pressure of a band on its drum where it has a tension; it is greatest at the tight end.

    Parameters
    ----------
    tension : float [N]
        At that place of the band.
    drum_radius, width : float [m]
        Of drum and band.

    Returns
    -------
    float [Pa]
        P / (b r).

    Raises
    ------
    OutOfRange
        Radius or width is not above zero.

    References
    ----------
    Budynas R.G., Nisbett J.K., Shigley's Mechanical Engineering Design, ch. 16 (from memory).

    Examples
    --------
    >>> round(band_lining_pressure(2712.5, drum_radius=0.175, width=0.025) / 1000)
    620
    """
    if drum_radius <= 0 or width <= 0:
        raise OutOfRange("drum radius and width of a band are above zero.")
    return tension / (width * drum_radius)


def servo_force(servo: Servo, *, pressure: float, release_pressure: float = 0.0) -> float:
    """Force with which a servo pulls its band.

    Parameters
    ----------
    servo : Servo
        The servo.
    pressure, release_pressure : float [Pa]
        On the apply side and on the release side.

    Returns
    -------
    float [N]
        The force at the band; zero or less where the band is off.

    Raises
    ------
    OutOfRange
        A pressure is below zero.

    References
    ----------
    Balance of forces on the piston.

    Examples
    --------
    >>> round(servo_force(Servo(0.002, return_spring=300, lever_ratio=1.5), pressure=600e3))
    1350
    """
    if pressure < 0 or release_pressure < 0:
        raise OutOfRange("a pressure is below zero; give it above that of the surroundings.")
    at_piston = pressure * servo.area - release_pressure * servo.release_area - servo.return_spring
    return at_piston * servo.lever_ratio


def servo_pressure(servo: Servo, *, force: float, release_pressure: float = 0.0) -> float:
    """Pressure at which a servo pulls its band with a force.

    Parameters
    ----------
    servo : Servo
        The servo.
    force : float [N]
        At the band.
    release_pressure : float [Pa]
        On the release side.

    Returns
    -------
    float [Pa]
        The pressure on the apply side.

    References
    ----------
    `servo_force`, turned round.

    Examples
    --------
    >>> round(servo_pressure(Servo(0.002, return_spring=300, lever_ratio=1.5), force=1350) / 1000)
    600
    """
    at_piston = force / servo.lever_ratio + servo.return_spring + release_pressure * servo.release_area
    return at_piston / servo.area
