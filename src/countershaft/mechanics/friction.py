"""Clutch and brake packs: what clamps them, what they hold, and the pressure that a torque asks for.

Radii count from the axis of turning.  A rotating piston chamber stands full of fluid down to its *free radius*, where
the fluid is fed and its pressure from turning is zero; the fluid further out presses on the piston by itself.  A
balance chamber on the other side of the piston presses back.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import pi, sqrt

from countershaft.errors import OutOfRange

__all__ = [
    "ClampForce",
    "DiscPack",
    "FluidChamber",
    "PackCapacity",
    "PackPressure",
    "PressureLaw",
    "clamp_force",
    "head_force",
    "lining_pressure",
    "mean_radius",
    "pack_capacity",
    "pack_pressure",
    "self_apply_speed",
]


class PressureLaw(StrEnum):
    """How the pressure is spread over a lining: evenly when new, more towards the inside when run in."""

    UNIFORM_PRESSURE = "uniform pressure"
    UNIFORM_WEAR = "uniform wear"


@dataclass(frozen=True, slots=True)
class FluidChamber:
    """A chamber that turns with its fluid: the annulus on which it presses, and its free radius [m].

    Where the free radius lies outside the inner radius, the annulus is wetted only from there outward.
    """

    outer_radius: float
    inner_radius: float
    free_radius: float

    def __post_init__(self) -> None:
        _annulus("chamber", self.outer_radius, self.inner_radius)
        if self.free_radius < 0:
            raise OutOfRange(
                f"free radius {self.free_radius:g} m is below zero; give where the fluid is fed."
            )


@dataclass(frozen=True, slots=True)
class DiscPack:
    """A pack of plates: `faces` rubbing faces, its lining, its piston and return spring.

    Radii [m], force of the return spring in the applied position [N].  `chamber` is the apply chamber of a rotating
    clutch and `balance` the chamber that answers it; both None for a brake, or where nothing is known of them.
    Transmission fluid weighs about 850 kg/m³ cold and 5 % less hot (common practice, no source).
    """

    faces: int
    lining_outer_radius: float
    lining_inner_radius: float
    friction_coefficient: float
    piston_outer_radius: float
    piston_inner_radius: float
    return_spring: float = 0.0
    law: PressureLaw = PressureLaw.UNIFORM_PRESSURE
    chamber: FluidChamber | None = None
    balance: FluidChamber | None = None
    fluid_density: float = 850.0

    def __post_init__(self) -> None:
        _annulus("lining", self.lining_outer_radius, self.lining_inner_radius)
        _annulus("piston", self.piston_outer_radius, self.piston_inner_radius)
        if self.faces < 1:
            raise OutOfRange(f"{self.faces} rubbing faces; a pack has at least one.")
        if self.friction_coefficient <= 0:
            raise OutOfRange(f"friction coefficient {self.friction_coefficient:g} is not above zero.")
        if self.return_spring < 0 or self.fluid_density <= 0:
            raise OutOfRange("the return spring pulls with zero or more, and the fluid weighs something.")
        if self.balance is not None and self.chamber is None:
            raise OutOfRange("a balance chamber needs an apply chamber that it answers; give both.")

    @property
    def piston_area(self) -> float:
        """Area on which the pressure acts [m²]."""
        return pi * (self.piston_outer_radius**2 - self.piston_inner_radius**2)

    @property
    def mean_radius(self) -> float:
        """Radius at which the friction force acts as a whole [m]."""
        return mean_radius(self.lining_outer_radius, self.lining_inner_radius, law=self.law)

    @property
    def torque_per_newton(self) -> float:
        """Torque that each newton of clamp force holds [m]."""
        return self.friction_coefficient * self.faces * self.mean_radius


@dataclass(frozen=True, slots=True)
class ClampForce:
    """The forces on a piston [N]: `net` clamps the plates where it is above zero."""

    static: float
    head: float
    balance: float
    spring: float

    @property
    def net(self) -> float:
        """Static force and head, less balance and return spring."""
        return self.static + self.head - self.balance - self.spring


@dataclass(frozen=True, slots=True)
class PackCapacity:
    """What a pack holds at a pressure [N·m]; zero where the spring keeps it off (`applied` is False)."""

    pack: DiscPack
    pressure: float
    speed: float
    clamp: ClampForce
    torque: float
    working: tuple[str, ...]

    @property
    def applied(self) -> bool:
        """Whether the plates are clamped at all."""
        return self.clamp.net > 0


@dataclass(frozen=True, slots=True)
class PackPressure:
    """The pressure that makes a pack hold a torque [Pa]; zero or less where the head of the fluid alone does."""

    pack: DiscPack
    torque: float
    speed: float
    pressure: float
    working: tuple[str, ...]


def mean_radius(outer_radius: float, inner_radius: float, *, law: PressureLaw) -> float:
    """Radius at which the friction on an annular lining acts as a whole.

    Parameters
    ----------
    outer_radius, inner_radius : float [m]
        Radii of the lining.
    law : PressureLaw
        How the pressure is spread.

    Returns
    -------
    float [m]
        2/3 · (Ro³ − Ri³) / (Ro² − Ri²) under uniform pressure, (Ro + Ri) / 2 under uniform wear.

    Raises
    ------
    OutOfRange
        The radii are not those of an annulus.

    References
    ----------
    Budynas R.G., Nisbett J.K., Shigley's Mechanical Engineering Design, ch. 16, frictional-contact axial clutches
    (from memory).

    Examples
    --------
    >>> round(mean_radius(0.060, 0.045, law=PressureLaw.UNIFORM_PRESSURE) * 1000, 3)
    52.857
    """
    _annulus("lining", outer_radius, inner_radius)
    if law == PressureLaw.UNIFORM_WEAR:
        return (outer_radius + inner_radius) / 2
    return 2 / 3 * (outer_radius**3 - inner_radius**3) / (outer_radius**2 - inner_radius**2)


def lining_pressure(force: float, *, outer_radius: float, inner_radius: float, law: PressureLaw) -> float:
    """Greatest pressure on a lining under a clamp force.

    Parameters
    ----------
    force : float [N]
        Clamp force.
    outer_radius, inner_radius : float [m]
        Radii of the lining.
    law : PressureLaw
        How the pressure is spread.

    Returns
    -------
    float [Pa]
        F / (π (Ro² − Ri²)) under uniform pressure, F / (2π Ri (Ro − Ri)), at the inner edge, under uniform wear.

    Raises
    ------
    OutOfRange
        The radii are not those of an annulus.

    References
    ----------
    Budynas R.G., Nisbett J.K., Shigley's Mechanical Engineering Design, ch. 16 (from memory).

    Examples
    --------
    >>> round(lining_pressure(4000, outer_radius=0.125, inner_radius=0.0875, law=PressureLaw.UNIFORM_WEAR) / 1000)
    194
    """
    _annulus("lining", outer_radius, inner_radius)
    if law == PressureLaw.UNIFORM_WEAR:
        return force / (2 * pi * inner_radius * (outer_radius - inner_radius))
    return force / (pi * (outer_radius**2 - inner_radius**2))


def head_force(chamber: FluidChamber, *, density: float, speed: float) -> float:
    """Force with which turning fluid presses on the annulus of a chamber.

    Parameters
    ----------
    chamber : FluidChamber
        The annulus and the free radius.
    density : float [kg/m³]
        Of the fluid.
    speed : float [rad/s]
        Of the drum.

    Returns
    -------
    float [N]
        The integral of ρ ω² (r² − r0²) / 2 over the wetted annulus.

    References
    ----------
    Rigid-body rotation of a liquid, any text on fluid mechanics, such as White F.M., Fluid Mechanics, ch. 2 (from
    memory).

    Examples
    --------
    At 6000 rpm, fed at 30 mm, pressing from 35 to 65 mm:

    >>> chamber = FluidChamber(outer_radius=0.065, inner_radius=0.035, free_radius=0.030)
    >>> round(head_force(chamber, density=850, speed=6000 * pi / 30))
    2886
    """
    return density * speed**2 * _head_per_density(chamber)


def clamp_force(pack: DiscPack, *, pressure: float, speed: float = 0.0) -> ClampForce:
    """Every force on the piston of a pack.

    Parameters
    ----------
    pack : DiscPack
        The pack.
    pressure : float [Pa]
        Fed to the piston.
    speed : float [rad/s]
        Of the drum; zero for a brake.

    Returns
    -------
    ClampForce
        The forces, and what is left to clamp the plates.

    Raises
    ------
    OutOfRange
        The pressure is below zero.

    References
    ----------
    Balance of forces on the piston; see `head_force`.

    Examples
    --------
    >>> pack = DiscPack(6, 0.088, 0.068, 0.13, 0.092, 0.069, return_spring=1300)
    >>> round(clamp_force(pack, pressure=639e3).net)
    6134
    """
    if pressure < 0:
        raise OutOfRange(
            f"a pressure of {pressure:g} Pa is below zero; give it above that of the surroundings."
        )

    def head(chamber: FluidChamber | None) -> float:
        return (
            head_force(chamber, density=pack.fluid_density, speed=speed)
            if chamber is not None and speed
            else 0.0
        )

    return ClampForce(pressure * pack.piston_area, head(pack.chamber), head(pack.balance), pack.return_spring)


def pack_capacity(pack: DiscPack, *, pressure: float, speed: float = 0.0) -> PackCapacity:
    """Torque that a pack holds at a pressure.

    Parameters
    ----------
    pack : DiscPack
        The pack.
    pressure : float [Pa]
        Fed to the piston.
    speed : float [rad/s]
        Of the drum; zero for a brake.

    Returns
    -------
    PackCapacity
        Friction coefficient times faces times clamp force times mean radius, with the working.

    Raises
    ------
    OutOfRange
        The pressure is below zero.

    References
    ----------
    Budynas R.G., Nisbett J.K., Shigley's Mechanical Engineering Design, ch. 16 (from memory).

    Examples
    --------
    >>> pack = DiscPack(6, 0.088, 0.068, 0.07, 0.092, 0.069, return_spring=1300)
    >>> found = pack_capacity(pack, pressure=639e3)
    >>> round(found.torque, 1)
    202.0
    >>> print(found.working[-1])
    held: 0.07 · 6 faces · 6133.69 N · 78.4274 mm = 202.041 N·m
    """
    clamp = clamp_force(pack, pressure=pressure, speed=speed)
    torque = pack.torque_per_newton * max(clamp.net, 0.0)
    held = (
        f"held: {_friction_text(pack)} · {clamp.net:.6g} N · {1e3 * pack.mean_radius:.6g} mm = {torque:.6g} N·m"
        if clamp.net > 0
        else "held: 0 N·m, the return spring keeps the plates apart"
    )
    pressing = f"piston: {pressure / 1e3:.6g} kPa · {1e4 * pack.piston_area:.6g} cm² = {clamp.static:.6g} N"
    return PackCapacity(pack, pressure, speed, clamp, torque, (pressing, _clamp_text(clamp), held))


def pack_pressure(pack: DiscPack, *, torque: float, speed: float = 0.0) -> PackPressure:
    """Pressure at which a pack just holds a torque.

    Parameters
    ----------
    pack : DiscPack
        The pack.
    torque : float [N m]
        To be held; its sign does not matter.
    speed : float [rad/s]
        Of the drum; zero for a brake.

    Returns
    -------
    PackPressure
        The pressure, with the working.

    References
    ----------
    `pack_capacity`, turned round.

    Examples
    --------
    >>> pack = DiscPack(6, 0.088, 0.068, 0.07, 0.092, 0.069, return_spring=1300)
    >>> round(pack_pressure(pack, torque=202.041).pressure / 1000)
    639
    """
    still = clamp_force(pack, pressure=0.0, speed=speed)
    clamp = abs(torque) / pack.torque_per_newton
    pressure = (clamp - still.net) / pack.piston_area
    needed = (
        f"clamp force needed: {abs(torque):.6g} N·m / ({_friction_text(pack)} · {1e3 * pack.mean_radius:.6g} mm) "
        f"= {clamp:.6g} N"
    )
    fed = (
        f"pressure needed: ({clamp:.6g} + {still.spring:.6g} spring − {still.head:.6g} head + {still.balance:.6g} "
        f"balance) N / {1e4 * pack.piston_area:.6g} cm² = {pressure / 1e3:.6g} kPa"
    )
    return PackPressure(pack, torque, speed, pressure, (needed, fed.replace("-", "−")))


def self_apply_speed(pack: DiscPack) -> float | None:
    """Drum speed above which the fluid clamps a pack that is not fed.

    Parameters
    ----------
    pack : DiscPack
        The pack.

    Returns
    -------
    float | None [rad/s]
        The speed; None where no speed does, as in a brake or behind a full balance chamber.

    References
    ----------
    `head_force` of apply and balance chamber against the return spring.  A check ball that empties the chamber is
    not counted on.

    Examples
    --------
    >>> chamber = FluidChamber(outer_radius=0.065, inner_radius=0.035, free_radius=0.030)
    >>> pack = DiscPack(6, 0.088, 0.068, 0.13, 0.065, 0.035, return_spring=900, chamber=chamber)
    >>> round((self_apply_speed(pack) or 0) * 30 / pi)
    3351
    """
    if pack.chamber is None:
        return None
    left = _head_per_density(pack.chamber)
    left -= _head_per_density(pack.balance) if pack.balance is not None else 0.0
    return sqrt(pack.return_spring / (pack.fluid_density * left)) if left > 0 else None


def _annulus(what: str, outer_radius: float, inner_radius: float) -> None:
    if not 0 <= inner_radius < outer_radius:
        raise OutOfRange(
            f"{what}: outer radius {outer_radius:g} m and inner radius {inner_radius:g} m make no ring; "
            "the outer must be the larger one, and none below zero."
        )


def _head_per_density(chamber: FluidChamber) -> float:
    """Head force per density and squared speed [m⁴]; nothing presses inside the free radius."""
    inner = max(chamber.inner_radius, chamber.free_radius)
    outer = max(chamber.outer_radius, inner)
    free = chamber.free_radius**2
    return pi / 4 * ((outer**4 - inner**4) - 2 * free * (outer**2 - inner**2))


def _friction_text(pack: DiscPack) -> str:
    return f"{pack.friction_coefficient:g} · {pack.faces} face{'' if pack.faces == 1 else 's'}"


def _clamp_text(clamp: ClampForce) -> str:
    parts = f"{clamp.static:.6g} + {clamp.head:.6g} head − {clamp.balance:.6g} balance − {clamp.spring:.6g} spring"
    return f"clamp force: {parts} = {clamp.net:.6g} N".replace("= -", "= −")
