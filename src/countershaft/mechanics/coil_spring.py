"""Cylindrical compression springs of round wire: rate, load at a length, stress, and the rate from two readings.

CAUTION: a compressed spring stores energy and flies out.  Compress it only in a guided tool, and stand aside.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from countershaft.errors import BadInput, OutOfRange
from countershaft.mechanics.sizes import above_zero, between, not_below_zero

__all__ = [
    "CoilSpring",
    "Curvature",
    "MeasuredRate",
    "SpringLoad",
    "coil_spring_load",
    "coil_spring_rate",
    "coil_spring_stress",
    "curvature_factor",
    "measured_rate",
    "solid_length",
]

#: Spring index and least number of active coils for which EN 13906-1 gives its formulas [-].
_INDEX: Final = (4.0, 20.0)
_LEAST_COILS: Final = 2.0


class Curvature(StrEnum):
    """By which formula the stress at the inside of the coil is told from that of plain torsion."""

    DIRECT_SHEAR = "direct shear only"
    WAHL = "Wahl"
    BERGSTRAESSER = "Bergsträsser"


@dataclass(frozen=True, slots=True)
class CoilSpring:
    """A compression spring: wire, mean diameter of the coil [m], active coils [-], shear modulus [Pa], lengths [m].

    The mean diameter is the outer one less one wire.  `solid` is the length with all coils touching.
    """

    wire: float
    mean_diameter: float
    active_coils: float
    shear_modulus: float
    free: float
    solid: float

    def __post_init__(self) -> None:
        above_zero("wire diameter of a spring", self.wire, "m")
        above_zero("shear modulus of a spring", self.shear_modulus, "Pa")
        above_zero("solid length of a spring", self.solid, "m")
        between(
            "spring index (mean diameter over wire)",
            self.mean_diameter / self.wire,
            *_INDEX,
            "",
            "The formulas hold there only. The mean diameter is the outer one less one wire.",
        )
        if not _LEAST_COILS <= self.active_coils < math.inf:
            raise OutOfRange(
                f"the spring has {self.active_coils:g} active coils; expected at least {_LEAST_COILS:g}. "
                "Count the coils that move; those that lie on the seat are not active."
            )
        if not self.solid < self.free < math.inf:
            raise OutOfRange(
                f"the spring is {1e3 * self.free:.6g} mm free and {1e3 * self.solid:.6g} mm solid; expected a free "
                "length above the solid one. Swap the two, or measure again."
            )

    @property
    def index(self) -> float:
        """Mean diameter over wire diameter."""
        return self.mean_diameter / self.wire


@dataclass(frozen=True, slots=True)
class SpringLoad:
    """Load [N] of a spring at a length, how far it is compressed [m], its stress inside [Pa], and the working."""

    load: float
    deflection: float
    stress: float
    working: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MeasuredRate:
    """Rate from two readings [N/m], what it may be off [N/m], the free length that it tells [m], and the working."""

    rate: float
    half_width: float
    free: float
    working: tuple[str, ...]


def solid_length(wire: float, *, total_coils: float, ground: bool) -> float:
    """Length of a spring with all its coils touching.

    Parameters
    ----------
    wire : float [m]
        Diameter of the wire.
    total_coils : float [-]
        All coils, those on the seats too.
    ground : bool
        Whether the ends are ground flat.

    Returns
    -------
    float [m]
        The total coils, and one more where the ends are not ground, times the wire.

    Raises
    ------
    OutOfRange
        A figure is not above zero.

    References
    ----------
    Budynas R.G., Nisbett J.K., Shigley's Mechanical Engineering Design, table 10-1 (from memory).

    Examples
    --------
    >>> round(solid_length(0.037, total_coils=12.5, ground=False), 3)
    0.499
    """
    above_zero("wire diameter of a spring", wire, "m")
    above_zero("number of coils", total_coils, "")
    return wire * (total_coils + (0 if ground else 1))


def coil_spring_rate(spring: CoilSpring) -> float:
    """Force for each length of compression.

    Parameters
    ----------
    spring : CoilSpring
        The spring.

    Returns
    -------
    float [N/m]
        G d⁴ / (8 D³ n).

    References
    ----------
    EN 13906-1:2013, spring rate.

    Examples
    --------
    EN 13906-1 as computed on a public page: wire 5 mm, outer diameter 39.6 mm, 9.5 active coils: 16.181 N/mm.

    >>> spring = CoilSpring(5e-3, 34.6e-3, 9.5, 81.5e9, free=105.8e-3, solid=57.5e-3)
    >>> round(coil_spring_rate(spring) / 1e3, 3)
    16.181
    """
    return spring.shear_modulus * spring.wire**4 / (8 * spring.mean_diameter**3 * spring.active_coils)


def curvature_factor(index: float, *, curvature: Curvature) -> float:
    """How many times the mean torsional stress stands at the inside of the coil.

    Parameters
    ----------
    index : float [-]
        Mean diameter over wire diameter, 4 to 20.
    curvature : Curvature
        By which formula.

    Returns
    -------
    float [-]
        1 + 0.5/C, which leaves the curvature out; (4C − 1)/(4C − 4) + 0.615/C (Wahl); or (4C + 2)/(4C − 3)
        (Bergsträsser, that of EN 13906-1).

    Raises
    ------
    OutOfRange
        The index lies outside 4 to 20.

    References
    ----------
    Wahl A.M., Mechanical Springs; EN 13906-1:2013, stress correction factor (w + 0.5)/(w − 0.75).

    Examples
    --------
    >>> for by in (Curvature.WAHL, Curvature.BERGSTRAESSER):
    ...     print(by.value, round(curvature_factor(10.82, curvature=by), 3))
    Wahl 1.133
    Bergsträsser 1.124
    """
    between("spring index", index, *_INDEX, "", "The formulas hold there only.")
    if curvature is Curvature.WAHL:
        return (4 * index - 1) / (4 * index - 4) + 0.615 / index
    if curvature is Curvature.DIRECT_SHEAR:
        return 1 + 0.5 / index
    return (4 * index + 2) / (4 * index - 3)


def coil_spring_stress(
    spring: CoilSpring, *, load: float, curvature: Curvature = Curvature.BERGSTRAESSER
) -> float:
    """Torsional stress of the wire at the inside of the coil.

    Parameters
    ----------
    spring : CoilSpring
        The spring.
    load : float [N]
        On the spring.
    curvature : Curvature, optional
        By which formula the inside is told from the middle.

    Returns
    -------
    float [Pa]
        K · 8 F D/(π d³).

    Raises
    ------
    OutOfRange
        The load is below zero.

    References
    ----------
    EN 13906-1:2013, corrected torsional stress.

    Examples
    --------
    >>> spring = CoilSpring(5e-3, 34.6e-3, 9.5, 81.5e9, free=105.8e-3, solid=57.5e-3)
    >>> round(coil_spring_stress(spring, load=620) / 1e6)
    526
    """
    not_below_zero("load of a spring", load, "N", "A compression spring is not pulled.")
    factor = curvature_factor(spring.index, curvature=curvature)
    return factor * 8 * load * spring.mean_diameter / (math.pi * spring.wire**3)


def coil_spring_load(spring: CoilSpring, *, length: float) -> SpringLoad:
    """Load of a spring that is held at a length.

    Parameters
    ----------
    spring : CoilSpring
        The spring.
    length : float [m]
        Length at which it is held, not above the free and not below the solid one.

    Returns
    -------
    SpringLoad
        R (L0 − L), the stress at the inside of the coil, and the working.

    Raises
    ------
    OutOfRange
        The length lies outside free and solid length.

    Notes
    -----
    Near the solid length coils touch one by one and the load rises above the straight line.

    References
    ----------
    EN 13906-1:2013.

    Examples
    --------
    >>> spring = CoilSpring(5e-3, 34.6e-3, 9.5, 81.5e9, free=105.8e-3, solid=57.5e-3)
    >>> held = coil_spring_load(spring, length=88.5e-3)
    >>> round(held.load)
    280
    >>> held.working[1]
    'load: 16.1806 N/mm · (105.8 − 88.5) mm = 279.925 N'
    """
    between(
        "length of the spring",
        1e3 * length,
        1e3 * spring.solid,
        1e3 * spring.free,
        "mm",
        "Between solid and free the spring is a spring; measure its free length again.",
    )
    rate = coil_spring_rate(spring)
    deflection = max(spring.free - length, 0.0)
    load = rate * deflection
    stress = coil_spring_stress(spring, load=load)
    working = (
        (
            f"rate: {spring.shear_modulus / 1e9:.6g} GPa · ({1e3 * spring.wire:.6g} mm)⁴ / "
            f"(8 · ({1e3 * spring.mean_diameter:.6g} mm)³ · {spring.active_coils:g}) = {rate / 1e3:.6g} N/mm"
        ),
        f"load: {rate / 1e3:.6g} N/mm · ({1e3 * spring.free:.6g} − {1e3 * length:.6g}) mm = {load:.6g} N",
        (
            f"stress at the inside: {curvature_factor(spring.index, curvature=Curvature.BERGSTRAESSER):.4g} · 8 · "
            f"{load:.6g} N · {1e3 * spring.mean_diameter:.6g} mm / (π · ({1e3 * spring.wire:.6g} mm)³) = "
            f"{stress / 1e6:.4g} MPa"
        ),
    )
    return SpringLoad(load, deflection, stress, working)


def measured_rate(
    first: tuple[float, float],
    second: tuple[float, float],
    *,
    length_half_width: float = 0.0,
    load_half_width: float = 0.0,
) -> MeasuredRate:
    """Rate and free length of a spring from two readings of length and load on a tester.

    Parameters
    ----------
    first, second : tuple[float, float] [m, N]
        Length and load of each reading; the shorter length has the higher load.
    length_half_width : float, optional [m]
        How far each length may be off.
    load_half_width : float, optional [N]
        How far each load may be off.

    Returns
    -------
    MeasuredRate
        The slope, how far it may be off with all errors against it, and the free length that it leads to.

    Raises
    ------
    BadInput
        A reading is not above zero, the two do not differ, or the longer one has the higher load.

    References
    ----------
    Straight line through two points; the linear part of a spring is that between 30 % and 70 % of its load
    (EN 13906-1:2013, from memory).

    Examples
    --------
    >>> told = measured_rate((88.5e-3, 280.0), (67.5e-3, 620.0), length_half_width=0.05e-3, load_half_width=2.0)
    >>> round(told.rate / 1e3, 2), round(told.half_width / 1e3, 2), round(1e3 * told.free, 1)
    (16.19, 0.27, 105.8)
    """
    (longer, less), (shorter, more) = sorted((first, second), reverse=True)
    between_lengths, between_loads = longer - shorter, more - less
    if not (shorter > 0 and less >= 0 and between_lengths > 2 * length_half_width and math.isfinite(longer)):
        raise BadInput(
            f"the two readings are {1e3 * longer:.6g} mm with {less:.6g} N and {1e3 * shorter:.6g} mm with "
            f"{more:.6g} N; expected two lengths that differ by more than they may be off. Read at lengths farther "
            "apart."
        )
    if not between_loads > 2 * load_half_width:
        raise BadInput(
            f"at {1e3 * shorter:.6g} mm the load is {more:.6g} N and at {1e3 * longer:.6g} mm {less:.6g} N; "
            "expected clearly more at the shorter length. Swap the two, or read at lengths farther apart."
        )
    rate = between_loads / between_lengths
    most = (between_loads + 2 * load_half_width) / (between_lengths - 2 * length_half_width)
    working = (
        f"rate: ({more:.6g} − {less:.6g}) N / ({1e3 * longer:.6g} − {1e3 * shorter:.6g}) mm = {rate / 1e3:.6g} N/mm",
        f"with every reading off the worst way: up to {most / 1e3:.6g} N/mm",
        (
            f"free length: {1e3 * longer:.6g} mm + {less:.6g} N / {rate / 1e3:.6g} N/mm = "
            f"{1e3 * (longer + less / rate):.6g} mm"
        ),
    )
    return MeasuredRate(rate, most - rate, longer + less / rate, working)
