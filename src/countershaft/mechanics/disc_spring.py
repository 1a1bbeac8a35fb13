"""Disc springs: load, rate and stress of one by Almen and László, and stacks of them.

The load of a disc spring is no straight line; where the cone is high it falls again before the disc is flat.
CAUTION: a loaded stack stores energy and flies out.  Compress it only in a guided tool, and stand aside.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from countershaft.errors import OutOfRange
from countershaft.mechanics.sizes import above_zero, between, not_below_zero

__all__ = [
    "DiscLoad",
    "DiscSpring",
    "DiscStack",
    "StackLoad",
    "disc_deflection",
    "disc_load",
    "stack_load",
]

#: Outer over inner diameter for which a rigid turning section is a fair picture [-]: below it the radii of the edges
#: shorten the lever too much, above it the section bends (from memory).
_RATIO: Final = (1.2, 3.0)
#: Above this cone height over thickness the load falls again, above the second the disc stays turned inside out [-].
_FALLS, _SNAPS = math.sqrt(2), math.sqrt(8)
#: Thickness above which standard discs have flats and are made thinner [m] (DIN 2093).
_FLATS: Final = 6e-3
#: Reduced over nominal thickness of discs with flats [-] (DIN 2093 has 0.94 to 0.96, from memory).
_REDUCED: Final = (0.90, 0.99)
#: Share of the cone height beyond which the real load rises above the computed one [-] (DIN EN 16984).
_STRAIGHT: Final = 0.75


@dataclass(frozen=True, slots=True)
class DiscSpring:
    """A disc spring: outer and inner diameter, thickness, cone height [m], modulus [Pa], Poisson [-].

    The cone height is the free overall height less the thickness.
    Discs above 6 mm have flats where they bear; `reduced` is their thickness, and `thickness` the nominal one.
    """

    outer: float
    inner: float
    thickness: float
    cone_height: float
    modulus: float = 206e9
    poisson: float = 0.3
    reduced: float | None = None

    def __post_init__(self) -> None:
        above_zero("inner diameter of a disc spring", self.inner, "m")
        above_zero("thickness of a disc spring", self.thickness, "m")
        above_zero("cone height of a disc spring", self.cone_height, "m", "A flat washer is no spring.")
        above_zero("modulus of a disc spring", self.modulus, "Pa")
        between("Poisson's ratio", self.poisson, 0, 0.5, "", "Steel has 0.3.")
        between("outer over inner diameter", self.outer / self.inner, *_RATIO, "", "The formula ends there.")
        if (self.thickness > _FLATS) != (self.reduced is not None):
            raise OutOfRange(
                f"the disc is {1e3 * self.thickness:.4g} mm thick and its reduced thickness is "
                f"{'not given' if self.reduced is None else f'{1e3 * self.reduced:.4g} mm'}; expected one above "
                f"{1e3 * _FLATS:g} mm and none up to it. Thicker standard discs have flats, and are made thinner."
            )
        if self.reduced is not None:
            between(
                "reduced over nominal thickness",
                self.reduced / self.thickness,
                *_REDUCED,
                "",
                "Standard discs have 0.92 to 0.97. Measure the disc itself for the reduced one.",
            )
        between(
            "cone height over thickness",
            self.stiffening * self.travel / self.bearing,
            0,
            _SNAPS,
            "",
            "Above that the disc snaps through and stays there. Cone height is overall height less thickness.",
        )

    @property
    def bearing(self) -> float:
        """The thickness that the disc really has [m]."""
        return self.thickness if self.reduced is None else self.reduced

    @property
    def travel(self) -> float:
        """How far the disc is pressed until it is flat [m]."""
        return self.cone_height + self.thickness - self.bearing

    @property
    def stiffening(self) -> float:
        """K4 of the standard: what the flats add, since they move the load inwards; 1 without them [-]."""
        if self.reduced is None:
            return 1.0
        thinner, height = self.reduced / self.thickness, 1 + self.cone_height / self.thickness
        first = thinner**2 / ((height / 4 - thinner + 0.75) * (0.625 * height - thinner + 0.375))
        second = first / thinner**3 * (5 / 32 * (height - 1) ** 2 + 1)
        return math.sqrt(math.sqrt((first / 2) ** 2 + second) - first / 2)


@dataclass(frozen=True, slots=True)
class DiscLoad:
    """Load [N], rate [N/m] and stress at the top centre [Pa, compression negative] of a disc, cautions, working."""

    load: float
    rate: float
    stress: float
    cautions: tuple[str, ...]
    working: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DiscStack:
    """Discs of one kind: `parallel` nested the same way make a set, `series` sets stand against each other."""

    disc: DiscSpring
    parallel: int = 1
    series: int = 1

    def __post_init__(self) -> None:
        if self.parallel < 1 or self.series < 1:
            raise OutOfRange(
                f"the stack has {self.parallel} in parallel and {self.series} in series; expected one or more of each."
            )

    @property
    def free_length(self) -> float:
        """Length of the unloaded stack."""
        one = self.disc.cone_height + self.disc.thickness
        set_height = one + (self.parallel - 1) * self.disc.bearing
        return self.series * set_height


@dataclass(frozen=True, slots=True)
class StackLoad:
    """Load of a stack without friction, and while it is pressed together and let go [N]; length [m], the working."""

    load: float
    pressing: float
    releasing: float
    length: float
    disc: DiscLoad
    working: tuple[str, ...]


def disc_load(disc: DiscSpring, *, deflection: float) -> DiscLoad:
    """Load, rate and stress of one disc spring.

    Parameters
    ----------
    disc : DiscSpring
        The disc.
    deflection : float [m]
        How far it is pressed from its free height, up to flat.

    Returns
    -------
    DiscLoad
        By the formula of Almen and László; the stress is that at the top centre, which decides about setting.

    Raises
    ------
    OutOfRange
        The deflection is negative, or more than the cone height.

    References
    ----------
    Almen J.O., László A., The Uniform-Section Disk Spring, Trans. ASME 58 (1936); DIN EN 16984 (formerly DIN 2092),
    for discs with flats with its K4 (from memory).

    Examples
    --------
    DIN 2093 A 12.5 at the printed deflection of 0.23 mm carries 673 N, in the table as in the formula.

    >>> disc = DiscSpring(12.5e-3, 6.2e-3, 0.7e-3, 0.3e-3)
    >>> round(disc_load(disc, deflection=0.23e-3).load)
    673

    DIN 2093 A 125, 8 mm thick and made 7.5 mm, carries 85.9 kN at three quarters of its cone height.

    >>> thick = DiscSpring(125e-3, 64e-3, 8e-3, 2.6e-3, reduced=7.5e-3)
    >>> round(disc_load(thick, deflection=1.95e-3).load / 1e3, 1)
    85.9
    """
    not_below_zero("deflection of a disc spring", deflection, "m", "It is pressed flatter, never pulled.")
    between(
        "deflection of a disc spring",
        1e3 * deflection,
        0,
        1e3 * disc.travel,
        "mm",
        "Beyond flat it turns inside out.",
    )
    thick, flats = disc.bearing, disc.stiffening**2
    ratio, high, pressed = disc.outer / disc.inner, disc.travel / thick, deflection / thick
    first = _first(ratio)
    stiff = 4 * disc.modulus / (1 - disc.poisson**2) / (first * disc.outer**2)
    load = stiff * thick**4 * flats * pressed * (flats * (high - pressed) * (high - pressed / 2) + 1)
    rate = stiff * thick**3 * flats * (flats * (high**2 - 3 * high * pressed + 1.5 * pressed**2) + 1)
    stress = -stiff * thick**2 * disc.stiffening * pressed * 3 / math.pi
    whole, times = stiff * thick**4 * flats, f"{flats:.6g} · " if disc.reduced is not None else ""
    working = (
        f"K1 for {1e3 * disc.outer:.6g}/{1e3 * disc.inner:.6g} = {ratio:.6g}: {first:.6g}",
        *((f"K4² of the flats: {flats:.6g}",) if disc.reduced is not None else ()),
        f"4 E/(1 − ν²) · {'K4² t′⁴' if times else 't⁴'}/(K1 De²) = {whole:.6g} N",
        (
            f"load: {whole:.6g} N · {pressed:.6g} · ({times}({high:.6g} − {pressed:.6g}) · "
            f"({high:.6g} − {pressed:.6g}/2) + 1) = {load:.6g} N"
        ),
        f"rate there: {rate / 1e3:.6g} N/mm; stress at the top centre: {stress / 1e6:.4g} MPa",
    )
    return DiscLoad(load, rate, stress, _cautions(disc, deflection), working)


def disc_deflection(disc: DiscSpring, *, load: float) -> float:
    """How far a disc spring is pressed by a load.

    Parameters
    ----------
    disc : DiscSpring
        The disc, with a cone not higher than √2 times its thickness.
    load : float [N]
        On it.

    Returns
    -------
    float [m]
        The deflection, by halving the interval.

    Raises
    ------
    OutOfRange
        The load is negative, more than what makes the disc flat, or one load has several deflections.

    References
    ----------
    `disc_load`, turned round.

    Examples
    --------
    >>> disc = DiscSpring(12.5e-3, 6.2e-3, 0.7e-3, 0.3e-3)
    >>> round(disc_deflection(disc, load=672.8) * 1e3, 3)
    0.23
    """
    not_below_zero("load of a disc spring", load, "N")
    steepness = disc.stiffening * disc.travel / disc.bearing
    if steepness > _FALLS * (1 + 1e-12):
        raise OutOfRange(
            f"cone height over thickness is {steepness:.4g}; expected at most {_FALLS:.4g}. "
            "Above that one load has more than one deflection; give the deflection instead."
        )
    flat = disc_load(disc, deflection=disc.travel).load
    if load > flat * (1 + 1e-12):
        raise OutOfRange(
            f"the load is {load:.6g} N, and {flat:.6g} N make the disc flat; expected less. "
            "Use a thicker disc, or more in parallel."
        )
    low, high = 0.0, disc.travel
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if disc_load(disc, deflection=middle).load < load else (low, middle)
    return (low + high) / 2


def stack_load(
    stack: DiscStack, *, deflection: float, between_discs: float = 0.0, at_edges: float = 0.0
) -> StackLoad:
    """Load of a stack of disc springs, without friction and with it.

    Parameters
    ----------
    stack : DiscStack
        The stack.
    deflection : float [m]
        How far the whole stack is pressed.
    between_discs, at_edges : float, optional [-]
        Friction between nested discs and at the edges of a set, as the standard's coefficients.

    Returns
    -------
    StackLoad
        n F(s/i), and that over 1 ∓ w_M (n − 1) ∓ w_R while it is pressed together and let go.

    Raises
    ------
    OutOfRange
        The deflection is beyond flat, or the friction is negative or holds the stack fast.

    Notes
    -----
    Friction between the sets, and against the guide, comes on top, and grows with their number.

    References
    ----------
    DIN EN 16984 (stacks; friction formula from memory).

    Examples
    --------
    Two nested make a set, four sets stand against each other:

    >>> stack = DiscStack(DiscSpring(25e-3, 12.2e-3, 1.5e-3, 0.55e-3), parallel=2, series=4)
    >>> pressed = stack_load(stack, deflection=1.65e-3, between_discs=0.02, at_edges=0.03)
    >>> round(pressed.load), round(pressed.pressing), round(pressed.releasing)
    (5852, 6160, 5573)
    >>> round(1e3 * stack.free_length, 2)
    14.2
    """
    not_below_zero("friction between discs", between_discs, "")
    not_below_zero("friction at the edges", at_edges, "")
    friction = between_discs * (stack.parallel - 1) + at_edges
    if friction >= 1:
        raise OutOfRange(
            f"the friction of the set adds to {friction:.3g}; expected less than 1. Count fewer in parallel, or "
            "look at the coefficients (a few hundredths each)."
        )
    one = disc_load(stack.disc, deflection=deflection / stack.series)
    load = stack.parallel * one.load
    length = stack.free_length - deflection
    working = (
        f"each disc: {1e3 * deflection:.6g} mm / {stack.series} = {1e3 * deflection / stack.series:.6g} mm",
        *one.working,
        f"stack: {stack.parallel} · {one.load:.6g} N = {load:.6g} N, {1e3 * length:.6g} mm long",
        f"friction {friction:.4g}: {load / (1 - friction):.6g} N pressing, {load / (1 + friction):.6g} N releasing",
    )
    return StackLoad(load, load / (1 - friction), load / (1 + friction), length, one, working)


def _first(ratio: float) -> float:
    """K1 of the standard."""
    share = ((ratio - 1) / ratio) ** 2
    return share / ((ratio + 1) / (ratio - 1) - 2 / math.log(ratio)) / math.pi


def _cautions(disc: DiscSpring, deflection: float) -> tuple[str, ...]:
    said = []
    if deflection > _STRAIGHT * disc.cone_height * (1 + 1e-9):
        said.append("Beyond three quarters of its cone height the real disc is stiffer than computed.")
    if disc.stiffening * disc.travel > _FALLS * disc.bearing * (1 + 1e-12):
        said.append("The load of this disc falls again before it is flat; one load has several deflections.")
    return tuple(said)
