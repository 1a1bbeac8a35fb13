"""Oil that leaks through the narrow gap round a spool, a piston or a sealing ring's land, and how wear makes it grow.

The flow is laminar, and grows with the cube of the clearance: a bore that has worn little leaks a lot.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from countershaft.errors import OutOfRange
from countershaft.mechanics.sizes import above_zero, between, not_below_zero

__all__ = [
    "LAMINAR",
    "AnnularGap",
    "Leak",
    "LeakGrowth",
    "annular_leak",
    "clearance_at_growth",
    "eccentricity_factor",
    "gap_from_sizes",
    "leak_growth",
]

#: Greatest Reynolds number, with twice the radial clearance as its length, at which the flow is surely laminar [-].
#: Between parallel walls the turbulence begins above about 2000 (from memory).
LAMINAR: Final = 2000.0

#: A gap is narrow, so that its walls count as flat, up to this share of the diameter [-]: the exact annulus differs
#: there by less than 0.01 %.
_NARROW: Final = 0.02

#: Share of the pressure that inlet and outlet may eat before the formula, which leaves them out, is refused [-].
_INLET: Final = 0.1


@dataclass(frozen=True, slots=True)
class AnnularGap:
    """The gap between a bore and what stands or slides in it: diameter, radial clearance, sealing length [m].

    `clearance` is half the difference of the diameters.  `eccentricity` is 0 where the axes agree and 1 where the
    inner part lies against the wall [-].
    """

    diameter: float
    clearance: float
    length: float
    eccentricity: float = 0.0

    def __post_init__(self) -> None:
        above_zero("diameter of a gap", self.diameter, "m")
        above_zero("radial clearance of a gap", self.clearance, "m", "Without clearance nothing flows.")
        above_zero("length of a gap", self.length, "m")
        between("eccentricity of a gap", self.eccentricity, 0, 1, "", "1 means that it touches the wall.")
        if self.clearance > _NARROW * self.diameter * (1 + 1e-9):
            raise OutOfRange(
                f"the radial clearance is {1e3 * self.clearance:.4g} mm on {1e3 * self.diameter:.4g} mm; expected "
                f"at most {_NARROW:.0%} of the diameter. Give half the difference of the diameters; a wider gap "
                "leaks by another law."
            )


@dataclass(frozen=True, slots=True)
class Leak:
    """Flow through a gap [m³/s], its Reynolds number, the share of the pressure lost at the inlet, the working."""

    flow: float
    reynolds: float
    inlet_share: float
    working: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LeakGrowth:
    """How many times the leak has grown: as told, and at least and at most where nobody knows how the part lies."""

    factor: float
    least: float
    most: float
    working: tuple[str, ...]


def gap_from_sizes(*, bore: float, inner: float, length: float, eccentricity: float = 0.0) -> AnnularGap:
    """The gap between a measured bore and a measured spool or piston.

    Parameters
    ----------
    bore, inner : float [m]
        Diameter of the bore and of what stands in it.
    length : float [m]
        Length over which they seal.
    eccentricity : float, optional [-]
        0 centred, 1 against the wall.

    Returns
    -------
    AnnularGap
        With half the difference as its clearance, on the mean diameter.

    Raises
    ------
    OutOfRange
        The inner part is not smaller than the bore, or the gap is no narrow one.

    References
    ----------
    Rabie M.G., Fluid Power Engineering, section 2.2 (radial clearance).

    Examples
    --------
    >>> gap = gap_from_sizes(bore=14.03e-3, inner=14e-3, length=8e-3)
    >>> round(gap.clearance * 1e6, 3), round(gap.diameter * 1e3, 3)
    (15.0, 14.015)
    """
    if not inner < bore:
        raise OutOfRange(
            f"the inner part is {1e3 * inner:.6g} mm in a bore of {1e3 * bore:.6g} mm; expected a smaller one. "
            "Measure both again at one temperature."
        )
    return AnnularGap((bore + inner) / 2, (bore - inner) / 2, length, eccentricity)


def eccentricity_factor(eccentricity: float) -> float:
    """How many times more leaks because the inner part does not lie in the middle.

    Parameters
    ----------
    eccentricity : float [-]
        0 centred, 1 against the wall.

    Returns
    -------
    float [-]
        1 + 1.5 ε².

    Raises
    ------
    OutOfRange
        The eccentricity lies outside 0 to 1.

    References
    ----------
    Wilkes J.O., Fluid Mechanics for Chemical Engineers, problem 6.3 (as reproduced on a public page), derives it.

    Examples
    --------
    Against the wall two and a half times as much leaks as in the middle.

    >>> eccentricity_factor(1.0)
    2.5
    """
    between("eccentricity", eccentricity, 0, 1, "", "1 means that it touches the wall.")
    return 1 + 1.5 * eccentricity**2


def annular_leak(gap: AnnularGap, *, pressure_drop: float, viscosity: float, density: float) -> Leak:
    """Oil that leaks through a gap whose walls stand still.

    Parameters
    ----------
    gap : AnnularGap
        The gap.
    pressure_drop : float [Pa]
        Between its ends.
    viscosity : float [Pa s]
        Dynamic, of the oil at its temperature in the gap.
    density : float [kg/m^3]
        Of the oil; it only decides whether the formula may be used.

    Returns
    -------
    Leak
        π D c³ Δp (1 + 1.5 ε²)/(12 µ L), with the working.

    Raises
    ------
    OutOfRange
        A figure is not above zero, the flow is not laminar, or the gap is so short that inlet and outlet matter.

    Notes
    -----
    The inlet is counted as 1.5 times the dynamic pressure ρ v²/2 (from memory).

    References
    ----------
    Rabie M.G., Fluid Power Engineering, eq. 2.19; `eccentricity_factor`.

    Examples
    --------
    A spool of 14 mm with 15 µm round it, 8 mm long, thin hot oil, 15 bar:

    >>> gap = AnnularGap(14e-3, 15e-6, 8e-3)
    >>> leak = annular_leak(gap, pressure_drop=15e5, viscosity=0.012, density=830)
    >>> round(leak.flow * 6e7, 1)
    11.6
    >>> print(leak.working[1])
    flow: π · 14 mm · (15 µm)³ · 15 bar / (12 · 12 mPa·s · 8 mm) · 1 = 11.5969 ml/min
    """
    not_below_zero("pressure drop", pressure_drop, "Pa", "Give the higher pressure less the lower one.")
    above_zero("viscosity", viscosity, "Pa·s")
    above_zero("density", density, "kg/m³")
    factor = eccentricity_factor(gap.eccentricity)
    concentric = math.pi * gap.diameter * gap.clearance**3 * pressure_drop / (12 * viscosity * gap.length)
    flow = concentric * factor
    reynolds = 2 * density * flow / (math.pi * gap.diameter * viscosity)
    speed = flow / (math.pi * gap.diameter * gap.clearance)
    inlet = 1.5 * density * speed**2 / 2 / pressure_drop if pressure_drop else 0.0
    if reynolds > LAMINAR:
        raise OutOfRange(
            f"the Reynolds number in the gap is {reynolds:.0f}; expected at most {LAMINAR:.0f}. The flow is not "
            "laminar, and this formula tells too much; measure the leak instead."
        )
    if inlet > _INLET:
        raise OutOfRange(
            f"inlet and outlet take {inlet:.0%} of the pressure; expected at most {_INLET:.0%}. The gap is too "
            "short or too wide for this formula, which tells too much here; measure the leak instead."
        )
    return Leak(flow, reynolds, inlet, _leak_lines(gap, pressure_drop, viscosity, factor, flow, reynolds))


def leak_growth(before: AnnularGap, after: AnnularGap) -> LeakGrowth:
    """How many times more a worn gap leaks, with the same oil and the same pressure.

    Parameters
    ----------
    before, after : AnnularGap
        The gap as new, or as measured last time, and the gap now.

    Returns
    -------
    LeakGrowth
        The ratio of the flows; the least is that of two centred parts after the first lay at the wall, the most
        the other way round.

    References
    ----------
    `annular_leak`, twice; oil and pressure cancel out.

    Examples
    --------
    A bore that has worn from 30 µm to 60 µm of play leaks eight times as much.

    >>> new = gap_from_sizes(bore=14.030e-3, inner=14e-3, length=8e-3)
    >>> worn = gap_from_sizes(bore=14.060e-3, inner=14e-3, length=8e-3)
    >>> round(leak_growth(new, worn).factor, 2)
    8.01
    """
    lie = eccentricity_factor(after.eccentricity) / eccentricity_factor(before.eccentricity)
    centred = (after.clearance / before.clearance) ** 3 * (
        after.diameter / before.diameter * before.length / after.length
    )
    factor, widest = centred * lie, eccentricity_factor(1.0)
    working = (
        (
            f"clearance: ({1e6 * after.clearance:.6g} µm / {1e6 * before.clearance:.6g} µm)³ = "
            f"{(after.clearance / before.clearance) ** 3:.6g}"
        ),
        (
            f"diameter and length: {1e3 * after.diameter:.6g} / {1e3 * before.diameter:.6g} · "
            f"{1e3 * before.length:.6g} / {1e3 * after.length:.6g} = "
            f"{after.diameter / before.diameter * before.length / after.length:.6g}"
        ),
        (
            f"how the part lies: {eccentricity_factor(after.eccentricity):.6g} / "
            f"{eccentricity_factor(before.eccentricity):.6g} = {lie:.6g}"
        ),
        (
            f"leak grows {factor:.4g} times; {centred / widest:.4g} to {centred * widest:.4g} times if nobody knows "
            "how the part lies"
        ),
    )
    return LeakGrowth(factor, centred / widest, centred * widest, working)


def clearance_at_growth(clearance: float, *, growth: float) -> float:
    """Clearance at which the leak has grown by a factor, everything else the same.

    Parameters
    ----------
    clearance : float [m]
        As new.
    growth : float [-]
        How many times more leaks.

    Returns
    -------
    float [m]
        The clearance times the cube root of the factor.

    Raises
    ------
    OutOfRange
        A figure is not above zero.

    References
    ----------
    `leak_growth`, turned round.

    Examples
    --------
    A quarter more clearance doubles the leak.

    >>> round(clearance_at_growth(20e-6, growth=2.0) * 1e6, 1)
    25.2
    """
    above_zero("clearance", clearance, "m")
    above_zero("growth of a leak", growth, "")
    return clearance * math.cbrt(growth)


def _leak_lines(
    gap: AnnularGap, pressure_drop: float, viscosity: float, factor: float, flow: float, reynolds: float
) -> tuple[str, ...]:
    return (
        f"how the part lies: 1 + 1.5 · {gap.eccentricity:.6g}² = {factor:.6g}",
        (
            f"flow: π · {1e3 * gap.diameter:.6g} mm · ({1e6 * gap.clearance:.6g} µm)³ · {pressure_drop / 1e5:.6g} bar "
            f"/ (12 · {1e3 * viscosity:.6g} mPa·s · {1e3 * gap.length:.6g} mm) · {factor:.6g} = {flow * 6e7:.6g} ml/min"
        ),
        f"Reynolds number: {reynolds:.3g}, laminar up to {LAMINAR:.0f}",
    )
