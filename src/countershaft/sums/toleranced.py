"""Sums about toleranced sizes: what a bore and a shaft of a class may measure, and the play or grip of the two."""

from __future__ import annotations

from typing import Final

from countershaft.mechanics.press_fit import interference_range
from countershaft.mechanics.size_limits import HOLES, SHAFTS, SizeLimits, size_limits
from countershaft.sums.answer import Figure, Outcome, Sum
from countershaft.sums.asked import WORD, Asked, Inputs, length_asked

__all__ = ["SUMS"]

_GRADES: Final = (5, 6, 7, 8, 9, 10, 11)
_BORES: Final = tuple((f"{one}{grade}", f"{one}{grade}") for one in HOLES for grade in _GRADES[1:5])
_SHAFT_CLASSES: Final = tuple(
    (f"{one}{grade}", f"{one}{grade}")
    for one in SHAFTS
    for grade in (_GRADES if one in "fgh" else _GRADES[:3])
)


def _limits(inputs: Inputs) -> Outcome:
    nominal = inputs["nominal"]
    figures: list[Figure] = []
    for what in ("bore", "shaft"):
        tolerance = inputs.words.get(what, "")
        if tolerance:
            figures += _ends(what, tolerance, size_limits(nominal, tolerance=tolerance))
    bore, shaft = (inputs.words.get(name, "") for name in ("bore", "shaft"))
    if bore and shaft:
        figures += _grip(nominal, bore, shaft)
    said = ("Choose a class for the bore, for the shaft, or for both.",) if not figures else ()
    return Outcome(tuple(figures), remarks=said)


def _ends(what: str, tolerance: str, limits: SizeLimits) -> list[Figure]:
    return [
        Figure(
            f"{what}_{key}", f"{what.capitalize()} {tolerance}, {key}", "length", end, "mm", "in", limits.working,
            places=(3, 4),
        )
        for key, end in (("least", limits.least), ("greatest", limits.greatest))
    ]  # fmt: skip


def _grip(nominal: float, bore: str, shaft: str) -> list[Figure]:
    hole, pin = (size_limits(nominal, tolerance=one) for one in (bore, shaft))
    told = interference_range(shaft=pin.ends, bore=hole.ends)
    line = f"shaft less bore: {1e6 * told.least:+.4g} µm to {1e6 * told.most:+.4g} µm"
    working = (*hole.working, *pin.working, line)
    return [
        Figure(
            key, f"{'Grip' if end >= 0 else 'Play'} at the {word}", "length", abs(end), "µm", "thou", working,
            places=(0, 2),
        )
        for key, word, end in (("fit_loose", "loosest", told.least), ("fit_tight", "tightest", told.most))
    ]  # fmt: skip


SUMS: Final = (
    Sum(
        "size-limits", "Limits of a toleranced size",
        "What may a bore or a shaft of a class measure, and how do they fit?",
        (
            length_asked("nominal", "Nominal size", "40 mm", "1.5748 in", measured=False),
            Asked("bore", "Class of the bore", WORD, example="H7", options=_BORES, hint="Left open: no bore.",
                  needed=False),
            Asked("shaft", "Class of the shaft", WORD, example="k6", options=_SHAFT_CLASSES,
                  hint="Left open: no shaft.", needed=False),
        ),
        _limits, "ISO 286-1:2010 and ISO 286-2:2010 (above 80 mm partly from memory)",
        blame=(("nominal size", "nominal"), ("begins elsewhere", "shaft"), ("class", "shaft")),
    ),
)  # fmt: skip
