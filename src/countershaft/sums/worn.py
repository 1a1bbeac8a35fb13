"""Sums about wear and leaks: what is left to a limit, how much leaks, how a leak has grown, vacuum, a hole."""

from __future__ import annotations

from typing import Final, cast

from countershaft.mechanics.leakage import AnnularGap, annular_leak, gap_from_sizes, leak_growth
from countershaft.mechanics.orifice import SHARP, TURBULENT, orifice_flow
from countershaft.mechanics.vacuum_check import VacuumFigures, check_vacuum
from countershaft.mechanics.wear import Direction, WearLimit, wear
from countershaft.metrology.plausibility import second_thoughts
from countershaft.sums.answer import Figure, Outcome, Sum
from countershaft.sums.asked import FIGURE, WORD, Asked, Inputs, in_unit, length_asked, width_in_unit

__all__ = ["SUMS"]

#: Density of transmission fluid, hot, near enough for what it decides here (from memory) [kg/m³].
_OIL: Final = 830.0

_PRESSURE: Final = Asked(
    "pressure",
    "Pressure across it",
    "pressure",
    "bar",
    "psi",
    "15 bar",
    "220 psi",
    "The higher less the lower one.",
)
_VISCOSITY: Final = Asked(
    "viscosity", "Viscosity of the oil", "viscosity", "mPa·s", "mPa·s", "12 mPa·s",
    hint="At its temperature there, in mPa·s: a figure in cSt times 0.83 is near enough.",
)  # fmt: skip
_DENSITY: Final = Asked(
    "density", "Density of the oil", "density", "kg/m³", "lb/ft³", "830 kg/m³", "51.8 lb/ft³",
    f"Left open: {_OIL:g} kg/m³, hot fluid.", needed=False,
)  # fmt: skip


# --- wear -----------------------------------------------------------------------------------------------------


def _wear(inputs: Inputs) -> Outcome:
    """In the unit of the size as it was typed, so that the reasons speak of what stands on the instrument."""
    unit = inputs.given["size"].unit
    size, least, limit = (_plainly(inputs[name], unit) for name in ("size", "new", "limit"))
    most = _plainly(inputs.get("new_most", inputs["new"]), unit)
    direction = cast("Direction", inputs.words["wears"])
    off = width_in_unit(inputs.expanded("size"), "length", unit)
    told = wear(size, WearLimit((least, most), limit, direction), half_width=float(f"{off:.2g}"))
    sign = 1 if direction == "grows" else -1
    asked = _far(inputs, size, unit, (least, most, limit))
    left = sign * (inputs["limit"] - inputs["size"])
    lines = tuple(
        f"{line} (all in {unit})" if place == 0 else line for place, line in enumerate(told.working)
    )
    return Outcome(
        (
            Figure("left", "Left to the limit", "length", left, "mm", "in", (lines[0], lines[2])),
            *(
                # A share of wear means nothing while the size itself is doubted.
                ()
                if asked
                else (Figure("used", "Of the allowed wear is used", "share", told.share, "%", "", lines[:2]),)
            ),
        ),
        *(("measure again", asked) if asked else (told.verdict, told.why)),
    )


def _far(inputs: Inputs, size: float, unit: str, sizes: tuple[float, ...]) -> str:
    """A question about a size that another unit or another decimal point would explain; empty for none."""
    doubts = second_thoughts(size, unit, lower=min(sizes), upper=max(sizes))
    if not doubts:
        return ""
    meant = " or ".join(f"{doubt.question} {doubt.candidate:.5g} {unit}" for doubt in doubts[:2])
    return f"{inputs.given['size'].text} is far from new and worn alike. Is it {meant}? Type the one that is meant."


def _plainly(value: float, unit: str) -> float:
    """A length in a unit without the noise of its conversion."""
    return float(f"{in_unit(value, 'length', unit):.9g}")


# --- leaks ----------------------------------------------------------------------------------------------------


def _leak(inputs: Inputs) -> Outcome:
    gap = gap_from_sizes(bore=inputs["bore"], inner=inputs["inner"], length=inputs["length"])
    lies = {
        "flow_middle": ("In the middle of its bore", 0.0),
        "flow_wall": ("Against the wall of its bore", 1.0),
    }
    if "eccentricity" in inputs:
        lies["flow"] = ("Where it lies as told", inputs["eccentricity"])
    clearance = (inputs["bore"] - inputs["inner"]) / 2
    figures = [
        Figure(
            "clearance", "Radial clearance", "length", clearance, "µm", "thou",
            (f"({1e3 * inputs['bore']:.6g} − {1e3 * inputs['inner']:.6g}) mm / 2 = {1e6 * clearance:.6g} µm",),
        )
    ]  # fmt: skip
    for key, (label, lie) in lies.items():
        leak = annular_leak(
            AnnularGap(gap.diameter, gap.clearance, gap.length, lie),
            pressure_drop=inputs["pressure"],
            viscosity=inputs["viscosity"],
            density=inputs.get("density", _OIL),
        )
        figures.append(Figure(key, label, "flow", leak.flow, "mL/min", "in³/min", leak.working))
    return Outcome(tuple(figures))


def _growth(inputs: Inputs) -> Outcome:
    inner_then = inputs["inner"]
    then = gap_from_sizes(bore=inputs["bore"], inner=inner_then, length=1.0)
    now = gap_from_sizes(bore=inputs["bore_now"], inner=inputs.get("inner_now", inner_then), length=1.0)
    told = leak_growth(then, now)
    last = (told.working[-1],)
    clearances = ", ".join(
        f"{2e6 * gap.clearance:.6g} µm {when}" for gap, when in ((then, "then"), (now, "now"))
    )
    return Outcome(
        (
            Figure("growth", "Times as much leaks", "figure", told.factor, "", "", told.working),
            Figure("least", "At least, wherever the part lies", "figure", told.least, "", "", last),
            Figure("most", "At most, wherever the part lies", "figure", told.most, "", "", last),
        ),
        remarks=(f"Play of the diameters: {clearances}.",),
    )


def _vacuum(inputs: Inputs) -> Outcome:
    good = inputs.get("good", 0.5)
    asked = VacuumFigures(good, inputs.get("bad", good), "as typed", inputs.get("bench", 0.0))
    told = check_vacuum(
        inputs["held"],
        blocked=inputs["blocked"],
        figures=asked,
        gauge_half_width=inputs.bound("held", "blocked"),
    )
    judges = "good" in inputs or inputs["blocked"] < asked.least_blocked
    lines = told.working if "good" in inputs else told.working[:-1]
    figures = [
        Figure("share", "Of the blocked reading is held", "share", told.share, "%", "", lines, answers=True)
    ]
    if "rated" in inputs:
        there = told.share * inputs["rated"]
        line = f"{told.share:.4g} · {inputs['rated'] / 1e3:.6g} kPa = {there / 1e3:.6g} kPa"
        label = "As if the hose blocked read that"
        figures.append(
            Figure("vacuum", label, "pressure", there, "kPa", "inHg", (lines[0], line), answers=True)
        )
    return Outcome(tuple(figures), told.verdict if judges else "", told.why if judges else "")


def _orifice(inputs: Inputs) -> Outcome:
    told = orifice_flow(
        inputs["diameter"],
        pressure_drop=inputs["pressure"],
        density=inputs.get("density", _OIL),
        coefficient=inputs.get("coefficient", SHARP),
        viscosity=inputs.find("viscosity"),
    )
    thick = told.reynolds is not None and told.reynolds < TURBULENT
    remarks = (
        ("The oil is too thick or the hole too small for this coefficient: less passes.",) if thick else ()
    )
    flow = Figure("flow", "Passes", "flow", told.flow, "L/min", "US gal/min", told.working)
    return Outcome((flow,), remarks=remarks)


_GAP: Final = (
    ("inner part", "inner"), ("radial clearance", "bore"), ("diameter of a gap", "bore"), ("length", "length"),
    ("Reynolds", "bore"), ("inlet", "length"), ("viscosity", "viscosity"), ("density", "density"),
    ("pressure", "pressure"), ("eccentricity", "eccentricity"),
)  # fmt: skip

SUMS: Final = (
    Sum(
        "wear", "Wear against its limit", "How much of the allowed wear is used, and what is left?",
        (
            length_asked("size", "Measured now", "14.041 ± 0.003 mm", "0.5528 ± 0.0001 in"),
            length_asked("new", "New, least", "14.000 mm", "0.5512 in", measured=False),
            length_asked("new_most", "New, greatest", "14.018 mm", "0.5519 in", hint="Left open: the same.",
                         needed=False, measured=False),
            length_asked("limit", "Limit of wear", "14.050 mm", "0.5531 in", measured=False),
            Asked("wears", "Wear makes it", WORD, example="grows", options=(
                ("grows", "grow: a bore, a clearance, backlash"), ("shrinks", "shrink: a shaft, a lining, a plate"))),
        ),
        _wear, "ISO 14253-1:2017 for the verdict with uncertainty; the limit is yours",
        blame=(("its limit", "limit"), ("a new part", "new"), ("size", "size")),
    ),
    Sum(
        "leak", "Leak round a spool or piston", "How much oil leaks through a narrow clearance?",
        (
            length_asked("bore", "Bore", "14.030 mm", "0.5524 in"),
            length_asked("inner", "Spool or piston", "14.000 mm", "0.5512 in"),
            length_asked("length", "Length that seals", "8.0 mm", "0.315 in"),
            _PRESSURE, _VISCOSITY,
            Asked("eccentricity", "How far from the middle", FIGURE, example="0.5", needed=False,
                  hint="0 in the middle, 1 against the wall; left open, both are told."),
            _DENSITY,
        ),
        _leak,
        "Rabie M.G., Fluid Power Engineering, eq. 2.19; Wilkes J.O., Fluid Mechanics for Chemical Engineers, 6.3",
        blame=_GAP,
    ),
    Sum(
        "leak-growth", "Leak of a worn bore", "How many times more leaks than when it was new, or last time?",
        (
            length_asked("bore", "Bore when new, or last time", "14.030 mm", "0.5524 in"),
            length_asked("inner", "Spool then", "14.000 mm", "0.5512 in"),
            length_asked("bore_now", "Bore now", "14.060 mm", "0.5535 in"),
            length_asked("inner_now", "Spool now", "14.000 mm", "0.5512 in", hint="Left open: as then.", needed=False),
        ),
        _growth, "Rabie M.G., Fluid Power Engineering, eq. 2.19, twice: oil, pressure and length drop out",
        blame=(("inner part", "inner"), ("clearance", "bore")),
    ),
    Sum(
        "vacuum", "Vacuum test of a bore", "Which share of the blocked reading does a bore hold, and is that enough?",
        (
            Asked("held", "Held on the bore", "pressure", "kPa", "inHg", "58 ± 1 kPa", "17.1 ± 0.3 inHg",
                  "Vacuum, as a figure above zero.", measured=True),
            Asked("blocked", "With the hose blocked", "pressure", "kPa", "inHg", "68 ± 1 kPa", "20.1 ± 0.3 inHg",
                  measured=True),
            Asked("good", "Good from", "share", "%", "%", "80 %", hint="The shop's figure, or the maker's; left open, "
                  "nothing is judged here.", needed=False),
            Asked("bad", "Bad below", "share", "%", "%", "70 %", hint="Left open: the same.", needed=False),
            Asked("bench", "The bench must reach", "pressure", "kPa", "inHg", "60 kPa", "18 inHg",
                  "With its hose blocked; left open, any.", needed=False),
            Asked("rated", "Its limit is for a blocked reading of", "pressure", "kPa", "inHg", "84 kPa", "25 inHg",
                  "Where a limit is a vacuum and no share; left open, the share alone is told.", needed=False),
        ),
        _vacuum, "common practice, no source; ISO 14253-1:2017 for the verdict with uncertainty",
        cautions=(("CAUTION", "Vacuum draws in what is loose: keep fingers, rags and hoses off the open port."),),
        blame=(("shares of a vacuum test", "good"), ("blocked reading is", "blocked"), ("the bore holds", "held"),
               ("reading on the bore", "held")),
        answers=("share", "pressure"),
    ),
    Sum(
        "orifice", "Oil through a drilled hole", "How much oil passes a sharp hole?",
        (
            length_asked("diameter", "Hole", "1.00 mm", "0.040 in"),
            _PRESSURE,
            Asked("coefficient", "Coefficient of discharge", FIGURE, example="0.62", needed=False,
                  hint=f"Left open: {SHARP:g}, a sharp edge; a rounded one has about 0.95."),
            _DENSITY,
            Asked("viscosity", "Viscosity of the oil", "viscosity", "mPa·s", "mPa·s", "12 mPa·s", needed=False,
                  hint="Left open: nothing is said about thick oil."),
        ),
        _orifice, "ISO 5167-2 with a small ratio of diameters (from memory)",
        cautions=(("WARNING", "Oil that leaves a fine hole under pressure goes through the skin: never feel for it."),),
        blame=(("coefficient", "coefficient"), ("diameter", "diameter"), ("density", "density"),
               ("viscosity", "viscosity"), ("pressure", "pressure")),
    ),
)  # fmt: skip
