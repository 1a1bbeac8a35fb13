"""How far the preload of bolts scatters that were all tightened alike, by the way they were tightened."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from countershaft.errors import BadInput, OutOfRange

__all__ = ["TIGHTENING_METHODS", "Band", "scatter", "tightening_factor"]

#: How a bolt is tightened to the scatter of its preload about the mean, least and most [-].
#: VDI 2230:1986 as reproduced on a public page; the impact driver from memory.
TIGHTENING_METHODS: Final[dict[str, tuple[float, float]]] = {
    "yield or angle controlled": (0.05, 0.12),
    "hydraulic": (0.09, 0.23),
    "torque wrench, friction tested on this joint": (0.17, 0.23),
    "torque wrench, friction estimated": (0.23, 0.28),
    "power driver": (0.26, 0.43),
    "impact driver": (0.43, 0.60),
}


@dataclass(frozen=True, slots=True)
class Band:
    """What a preload may be [N]; `factor` is most over least, the tightening factor of VDI 2230."""

    least: float
    most: float

    @property
    def factor(self) -> float:
        """Most over least [-]."""
        return self.most / self.least


def tightening_factor(spread: float) -> float:
    """Tightening factor: most over least preload.

    Parameters
    ----------
    spread : float [-]
        Scatter about the mean, 0.28 for ±28 %.

    Returns
    -------
    float [-]
        (1 + t)/(1 − t).

    Raises
    ------
    OutOfRange
        The scatter is negative, or 1 or more.

    References
    ----------
    VDI 2230-1, tightening factor.

    Examples
    --------
    >>> round(tightening_factor(0.23), 1)
    1.6
    """
    if not 0 <= spread < 1:
        raise OutOfRange(f"a scatter lies from 0 to less than 1, got {spread:g}.")
    return (1 + spread) / (1 - spread)


def scatter(preload: float, method: str) -> Band:
    """Preload that bolts get when all are tightened alike.

    Parameters
    ----------
    preload : float [N]
        Mean preload.
    method : str
        How they are tightened, one of `TIGHTENING_METHODS`; the larger scatter of the method is taken.

    Returns
    -------
    Band
        Least and most.

    Raises
    ------
    BadInput
        The method is not in the table.
    OutOfRange
        The preload is not positive.

    References
    ----------
    VDI 2230:1986, scatter by method of tightening (as reproduced on a public page).

    Examples
    --------
    >>> band = scatter(20e3, "torque wrench, friction estimated")
    >>> round(band.least), round(band.most), round(band.factor, 1)
    (14400, 25600, 1.8)
    """
    if method not in TIGHTENING_METHODS:
        raise BadInput(f"method {method!r} is not known; known are {'; '.join(TIGHTENING_METHODS)}.")
    if preload <= 0:
        raise OutOfRange(f"a preload must be more than 0 N, got {preload:g} N.")
    _, spread = TIGHTENING_METHODS[method]
    return Band(preload * (1 - spread), preload * (1 + spread))
