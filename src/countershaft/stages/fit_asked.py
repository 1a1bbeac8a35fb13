"""What a way of reading a fit asks for: which figures, how many of each, where, and what may be expected of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from countershaft.model.fit_methods import (
    ByDial,
    ByFeeler,
    ByPlates,
    ByTurningTorque,
    ByTurns,
    ByTwoLoads,
    TwoSidedShims,
)
from countershaft.model.fits import Fit, exact_mm
from countershaft.units import Quantity

__all__ = ["Asked", "asked_first", "asked_left", "gap_expected"]

#: As many readings as one figure of an entry holds.
_MOST = 12

Range = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Asked:
    """One figure: its name in the log, its unit, how many readings there are places for and how many are needed.

    `cells` name the places; `size` is the measured size of a part, not a reading of the gap; `start` stands in the
    form already; `expected` is what may be expected, in `unit`.
    """

    name: str
    unit: str
    count: int
    fewest: int
    cells: tuple[str, ...] = ()
    size: bool = False
    hint: str = ""
    start: str = ""
    expected: Range | None = None


def asked_first(fit: Fit) -> tuple[Asked, ...]:
    """The figures of the first measurement; none where a trial or plain dimensions do."""
    by = fit.by
    if isinstance(by, ByFeeler | ByDial):
        return (_trial(fit, f"{fit.selective} in place"), *_at_places(fit, by, gap_expected(fit)))
    if isinstance(by, ByPlates):
        return (Asked("depth", "mm", fit.readings, fit.readings), *_plates(by))
    if isinstance(by, ByTwoLoads):
        wide = gap_expected(fit)
        loads = (_reading(fit, f"under {load}", wide) for load in (by.first, by.second))
        return (_trial(fit, f"{fit.selective} in place"), *loads)
    if isinstance(by, ByTurningTorque):
        return tuple(_torques(fit, by))
    if isinstance(by, TwoSidedShims):
        return tuple(_two_sides(fit, by))
    if isinstance(by, ByTurns):
        return (
            Asked("turns as found", "turns", 1, 1, hint="Bring the screw to its stop and count the turns."),
        )
    return ()


def asked_left(fit: Fit) -> tuple[Asked, ...]:
    """The figures that close the fit; none where plain readings of the gap do."""
    by, window = fit.by, (fit.lower, fit.upper)
    if isinstance(by, ByFeeler | ByDial):
        return _at_places(fit, by, window)
    if isinstance(by, ByTurningTorque):
        return (Asked("turning torque", "N·m", fit.readings, fit.readings, expected=_torque_window(fit, by)),)
    if isinstance(by, TwoSidedShims):
        backlash = (by.backlash_min.to("mm"), by.backlash_max.to("mm"))
        return (
            _reading(fit, "preload as a gap", None, "Below zero where the bearings interfere."),
            _reading(fit, "backlash", backlash),
        )
    if isinstance(by, ByTurns):
        hint = "Mark the screw, bring it to its stop, count, and back it off again."
        return (Asked("turns to the stop", "turns", fit.readings, fit.readings, hint=hint, expected=window),)
    return ()


def gap_expected(fit: Fit, size: float | None = None) -> Range | None:
    """The readings of the gap that the table can answer, with a part of that size in place; None where none is."""
    placed = size if size is not None else fit.trial.to("mm") if fit.trial is not None else None
    if placed is None or fit.unit != "mm":
        return None
    low, high = (fit.pieces * float(one) for one in (fit.sizes_mm[0], fit.sizes_mm[-1]))
    return fit.lower + low - placed, fit.upper + high - placed


def _trial(fit: Fit, name: str, trial: Quantity | None = None) -> Asked:
    given = trial or fit.trial
    hint = "Measure it; do not trust the marking."
    return Asked(name, "mm", 1, 1, size=True, hint=hint, start=str(exact_mm(given)) if given else "")


def _reading(fit: Fit, name: str, expected: Range | None, hint: str = "") -> Asked:
    return Asked(name, "mm", fit.readings, fit.readings, hint=hint, expected=expected)


def _at_places(fit: Fit, by: ByFeeler | ByDial, expected: Range | None) -> tuple[Asked, ...]:
    """Two figures for each place; only the thicker leaf and the lifted dial say how wide the gap is."""
    count = len(by.places) or fit.readings
    first, second = ("goes in", "does not go in") if isinstance(by, ByFeeler) else ("at rest", "lifted")
    hints = (
        ("The thickest leaf that goes in.", "The thinnest leaf that does not.")
        if isinstance(by, ByFeeler)
        else ("The dial with the pack at rest.", "The dial with the pack lifted or the piston applied.")
    )
    wide = expected if isinstance(by, ByFeeler) else None
    return (
        Asked(first, "mm", count, count, by.places, hint=hints[0], expected=wide),
        Asked(second, "mm", count, count, by.places, hint=hints[1], expected=wide),
    )


def _plates(by: ByPlates) -> Iterator[Asked]:
    for one in by.plates:
        cells = min(one.count, _MOST)
        hint = f"Count them first: {one.count}. Measure each, or one for all; each is surer."
        yield Asked(one.name, "mm", cells, 1, hint=hint if one.count > 1 else "")


def _torques(fit: Fit, by: ByTurningTorque) -> Iterator[Asked]:
    """One trial where the rate is known, else two."""
    yield _trial(fit, "trial shim")
    yield Asked("turning torque", "N·m", fit.readings, fit.readings)
    if by.torque_per_mm is None:
        yield Asked("second trial shim", "mm", 1, 1, size=True, hint="Another size, to learn the rate.")
        yield Asked("turning torque with the second", "N·m", fit.readings, fit.readings)


def _two_sides(fit: Fit, by: TwoSidedShims) -> Iterator[Asked]:
    yield _trial(fit, "left trial shim")
    yield _trial(fit, "right trial shim", by.right_trial)
    yield _reading(fit, "play", None, "Between the bearings, with both trial shims in.")
    yield _reading(fit, "backlash", None, "With the carrier against the left shim.")


def _torque_window(fit: Fit, by: ByTurningTorque) -> Range:
    """Wide enough for new bearings and for those that ran before."""
    low = by.reused_min.to("N·m") if by.reused_min is not None else fit.lower
    high = by.reused_max.to("N·m") if by.reused_max is not None else fit.upper
    return min(low, fit.lower), max(high, fit.upper)
