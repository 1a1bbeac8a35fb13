"""The ways of reading a fit beyond one trial reading: from named figures to the size that is needed."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Final

from countershaft.errors import OutOfRange
from countershaft.job.entry import Dimensions, FitLeft, FitMeasured, Trial
from countershaft.job.taken import Taken
from countershaft.metrology.readings import Estimate
from countershaft.metrology.stackup import Link
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
from countershaft.planning.clutch_fits import (
    Plates,
    clutch_by_arithmetic,
    clutch_by_dial,
    clutch_by_feeler,
    clutch_under_load,
)
from countershaft.planning.gap_fits import Measured, Needed
from countershaft.planning.reach import shown
from countershaft.planning.shelf import Gap, Term
from countershaft.planning.size_tables import band_by_turns
from countershaft.planning.torque_fits import by_known_rate, by_two_trials, two_sided
from countershaft.stages.fit_asked import asked_left
from countershaft.stages.fit_needed import (
    Found,
    Need,
    Read,
    Window,
    find_plain,
    link_of,
    seats_of,
    single,
    windows_of,
)
from countershaft.stages.measuring import estimated

__all__ = ["closing", "find", "torque_window"]

#: How far a screw may be off its count of turns by the feel of its stop (common practice, no source).
_FEEL_OF_STOP: Final = 0.02


def find(fit: Fit, measured: Trial | Dimensions | FitMeasured | None) -> Found:
    """What the first readings of a fit come to; readings that cannot be say why."""
    if measured is None:
        return Found(windows=windows_of(fit))
    try:
        if isinstance(measured, Trial | Dimensions):
            return find_plain(fit, measured)
        return _WAYS[type(fit.by)](fit, measured)
    except OutOfRange as fault:
        return Found(windows=windows_of(fit), fault=str(fault))


def closing(fit: Fit, body: FitLeft) -> tuple[Estimate, ...]:
    """What closes a fit, one estimate for each of its windows, from figures with the chosen parts in place."""
    if isinstance(fit.by, ByFeeler):
        return (_feelers(body),)
    if isinstance(fit.by, ByDial):
        return (_travels(body),)
    if isinstance(fit.by, ByTurns):
        return (_turned(fit, fit.by, body),)
    pairs = zip(asked_left(fit), windows_of(fit), strict=True)
    return tuple(_read(body, asked.name, window.unit).value for asked, window in pairs)


def _turned(fit: Fit, by: ByTurns, body: FitLeft) -> Estimate:
    """Turns of the screw to its stop, or the clearance that they are."""
    figure, factor = body.figures[0], _per_turn(fit, by)
    values = [Decimal(f"{float(Fraction(one) * factor):.6f}") for one in figure.values]
    step = Decimal(f"{float(Fraction(figure.resolution) * factor):.6f}")
    return estimated(values, fit.unit, resolution=step, to=fit.unit)


def _per_turn(fit: Fit, by: ByTurns) -> Fraction:
    """What one turn of the screw does to the gap, in the fit's unit."""
    if by.pitch is None or fit.unit == "turns":
        return Fraction(1)
    return Fraction(exact_mm(by.pitch)) * Fraction(by.ratio)


def torque_window(fit: Fit, bearings: str) -> Window:
    """The turning torque that holds for new bearings, or for those that ran before."""
    own, by = windows_of(fit)[0], fit.by
    if bearings != "ran before" or not isinstance(by, ByTurningTorque):
        return own
    if by.reused_min is None or by.reused_max is None:
        return own
    low, high = (Decimal(str(round(one.to("N·m"), 6))) for one in (by.reused_min, by.reused_max))
    goal = own.goal if low <= own.goal <= high else (low + high) / 2
    return replace(own, lower=low, upper=high, goal=goal)


def _read(body: FitMeasured | FitLeft, name: str, unit: str, *, size: bool = False) -> Read:
    """A figure of the entry; the size of a part was not taken with the instrument of the readings."""
    figure = body.figure(name)
    assert figure is not None, "every figure was asked for before the entry joined the log"
    taken = None if size else body.taken
    return Read(
        name, unit, estimated(figure.values, figure.unit, resolution=figure.resolution, to=unit, taken=taken)
    )


def _exact(body: FitMeasured | FitLeft, name: str) -> tuple[Fraction, ...]:
    """Lengths of a figure in millimetres, exactly."""
    figure = body.figure(name)
    assert figure is not None, "every figure was asked for before the entry joined the log"
    factor = {"in": Fraction("25.4"), "thou": Fraction("0.0254")}.get(figure.unit, Fraction(1))
    return tuple(Fraction(value) * factor for value in figure.values)


def _pairs(body: FitMeasured | FitLeft, first: str, second: str) -> list[tuple[Fraction, Fraction]]:
    """Two figures of every place, in millimetres; raises OutOfRange where one has more places than the other."""
    one, other = _exact(body, first), _exact(body, second)
    if len(one) != len(other):
        raise OutOfRange(
            f'"{first}" is read at {len(one)} places and "{second}" at {len(other)}; read both at every place.'
        )
    return list(zip(one, other, strict=True))


def _feelers(body: FitMeasured | FitLeft) -> Estimate:
    """The middles between two leaves; a gap lies evenly anywhere between them, as in a step of a scale."""
    pairs = _pairs(body, "goes in", "does not go in")
    step = max((refused - goes for goes, refused in pairs), default=Fraction(0))
    middles = [Decimal(f"{float((goes + refused) / 2):.6f}") for goes, refused in pairs]
    return estimated(
        middles, "mm", resolution=Decimal(f"{float(step):.6f}"), to="mm", taken=_difference(body.taken)
    )


def _travels(body: FitMeasured | FitLeft) -> Estimate:
    """Travel of a dial at every place; each is the difference of two readings of one scale."""
    figure = body.figure("lifted")
    assert figure is not None, "every figure was asked for before the entry joined the log"
    pairs = _pairs(body, "at rest", "lifted")
    travels = [Decimal(f"{float(lifted - rest):.6f}") for rest, lifted in pairs]
    step = float(figure.resolution) * {"in": 25.4, "thou": 0.0254}.get(figure.unit, 1.0) * math.sqrt(2)
    return estimated(travels, "mm", resolution=Decimal(f"{step:.6f}"), to="mm", taken=_difference(body.taken))


def _difference(taken: Taken | None) -> Taken | None:
    """How a difference of two readings of one scale was taken: its zero offset moved both, and drops out."""
    if taken is None or taken.used is None:
        return taken
    return taken.model_copy(update={"used": taken.used.model_copy(update={"zero_offset": None})})


def _in_place(fit: Fit, body: FitMeasured) -> Read:
    return _read(body, f"{fit.selective} in place", "mm", size=True)


def _beside(placed: Read, needed: Needed, name: str) -> list[Link]:
    """The part in place, and whatever else the size was found from as one figure."""
    other = math.sqrt(max(0.0, needed.standard**2 - placed.measured.standard**2))
    rest = Measured(needed.rest - placed.measured.value, other)
    return [link_of(placed.name, placed.measured), link_of(name, rest)]


def _with_error(known: Measured, read: Estimate) -> Measured:
    """A size with the instrument's own error beside it: what moves every place alike stays whole, however many."""
    alike = math.hypot(read.permitted_error / math.sqrt(3), *(one.effect for one in read.others))
    return Measured(known.value, math.hypot(known.standard, alike))


def _by_feeler(fit: Fit, body: FitMeasured) -> Found:
    placed = _in_place(fit, body)
    places = _pairs(body, "goes in", "does not go in")
    clearance = _feelers(body)
    needed = clutch_by_feeler(_with_error(placed.measured, clearance), places, goal=Fraction(fit.goal_exact))
    read = (placed, Read("clearance", "mm", clearance))
    return single(fit, needed, read, _beside(placed, needed, "clearance by feeler"))


def _by_dial(fit: Fit, body: FitMeasured) -> Found:
    placed = _in_place(fit, body)
    travel = _travels(body)
    half = travel.resolution / math.sqrt(24)
    pairs = _pairs(body, "at rest", "lifted")
    travels = [(Measured(rest, half), Measured(lifted, half)) for rest, lifted in pairs]
    known = _with_error(placed.measured, travel)
    needed = clutch_by_dial(known, travels, goal=Fraction(fit.goal_exact))
    return single(
        fit, needed, (placed, Read("travel", "mm", travel)), _beside(placed, needed, "travel of the dial")
    )


def _by_plates(fit: Fit, body: FitMeasured) -> Found:
    by = fit.by
    assert isinstance(by, ByPlates), "chosen by its kind"
    depth = _read(body, "depth", "mm")
    rows = [(one, _read(body, one.name, "mm")) for one in by.plates]
    plates = [
        Plates(one.name, one.count, read.measured, one_measured=len(read.value.readings) < one.count)
        for one, read in rows
    ]
    needed = clutch_by_arithmetic(depth.measured, plates, goal=Fraction(fit.goal_exact))
    links = [link_of("depth", depth.measured)]
    links += [link_of(f"{one.count} × {one.name}", one.stack, factor=-1.0) for one in plates]
    return single(fit, needed, (depth, *(read for _, read in rows)), links)


def _under_load(fit: Fit, body: FitMeasured) -> Found:
    by = fit.by
    assert isinstance(by, ByTwoLoads), "chosen by its kind"
    placed = _in_place(fit, body)
    loads = [(load, _read(body, f"under {load}", "mm")) for load in (by.first, by.second)]
    first, second = ((_newtons(load.to("N")), read.measured) for load, read in loads)
    needed = clutch_under_load(
        placed.measured, first, second, load=_newtons(by.load.to("N")), goal=Fraction(fit.goal_exact)
    )
    links = _beside(placed, needed, f"clearance under {by.load}")
    return single(fit, needed, (placed, *(read for _, read in loads)), links)


def _newtons(load: float) -> Fraction:
    return Fraction(f"{load:.6f}")


def _by_torque(fit: Fit, body: FitMeasured) -> Found:
    by = fit.by
    assert isinstance(by, ByTurningTorque), "chosen by its kind"
    window = torque_window(fit, body.bearings)
    goal = Fraction(window.goal)
    trial, torque = _read(body, "trial shim", "mm", size=True), _read(body, "turning torque", "N·m")
    read: tuple[Read, ...] = (trial, torque)
    if by.torque_per_mm is not None:
        within = by.torque_per_mm_within.to("N·m") if by.torque_per_mm_within is not None else 0.0
        rate = Measured(Fraction(f"{by.torque_per_mm.to('N·m'):.6f}"), within / math.sqrt(3))
        needed = by_known_rate(trial.measured, torque.measured, rate=rate, goal=goal)
    else:
        second = _read(body, "second trial shim", "mm", size=True)
        harder = _read(body, "turning torque with the second", "N·m")
        read = (*read, second, harder)
        needed = by_two_trials(
            (trial.measured, torque.measured), (second.measured, harder.measured), goal=goal
        )
    seat = seats_of(fit)[0]
    gap = needed.as_gap(
        fit.id,
        place=seat.name,
        lower=Fraction(window.lower),
        upper=Fraction(window.upper),
        suspects=fit.suspects,
    )
    links = (link_of(f"torque with {shown(needed.pivot)} mm of shim", needed.at_pivot),)
    need = Need("", fit.selective, Measured(needed.size, needed.standard))
    return Found((need,), (gap,), needed.working, (links,), read, (window,))


def _by_two_sides(fit: Fit, body: FitMeasured) -> Found:
    by = fit.by
    assert isinstance(by, TwoSidedShims), "chosen by its kind"
    left, right = (_read(body, f"{side} trial shim", "mm", size=True) for side in ("left", "right"))
    play, backlash = _read(body, "play", "mm"), _read(body, "backlash", "mm")
    preload, split = windows_of(fit)
    rate = Measured(Fraction(by.backlash_per_mm), float(by.backlash_per_mm_within) / math.sqrt(3))
    needed = two_sided(
        left.measured, right.measured, play=play.measured, backlash=backlash.measured, rate=rate,
        goals=(-Fraction(preload.goal), Fraction(split.goal)),
    )  # fmt: skip
    seats = seats_of(fit)
    gaps = needed.as_gaps(
        f"{fit.id}:", places=(seats[0].name, seats[1].name),
        preload=(-Fraction(preload.upper), -Fraction(preload.lower)),
        backlash=(Fraction(split.lower), Fraction(split.upper)), suspects=fit.suspects,
    )  # fmt: skip
    sizes = (
        Need("left", seats[0].label, Measured(needed.needed_left, needed.standard_left)),
        Need("right", seats[1].label, Measured(needed.needed_right, needed.standard_right)),
    )
    links = (
        tuple(link_of(one.name, one.measured) for one in (left, right, play)),
        (link_of(f"backlash with {shown(needed.left)} mm on the left", needed.backlash),),
    )
    return Found(sizes, gaps, needed.working, links, (left, right, play, backlash), (preload, split))


def _by_turns(fit: Fit, body: FitMeasured) -> Found:
    """Turns of the screw: as the file gives them, or from the clearance and the pitch."""
    by = fit.by
    assert isinstance(by, ByTurns), "chosen by its kind"
    window, found = windows_of(fit)[0], _read(body, "turns as found", "turns")
    goal, seat = Fraction(window.goal), seats_of(fit)[0]
    per_turn = _per_turn(fit, by)
    turns = goal / per_turn
    lines: tuple[str, ...] = (f"needed = turns of the file = {shown(goal)} turns, u = {_FEEL_OF_STOP} turns",)
    if by.pitch is not None and window.unit == "mm":
        setting = band_by_turns(
            goal, pitch=Fraction(exact_mm(by.pitch)), ratio=Fraction(by.ratio), angle=_FEEL_OF_STOP
        )
        lines = setting.working
    gap = Gap(
        fit.id, Fraction(0), _FEEL_OF_STOP * float(per_turn), (Term(seat.name, per_turn),),
        Fraction(window.lower), Fraction(window.upper), goal, fit.suspects,
    )  # fmt: skip
    feel = link_of("feel of the stop", Measured(Fraction(0), gap.standard))
    need = Need("", fit.selective, Measured(turns, _FEEL_OF_STOP))
    was = found.value if window.unit == "turns" else None
    return Found((need,), (gap,), lines, ((feel,),), (found,), (window,), as_found=was)


_Way = Callable[[Fit, FitMeasured], Found]
_WAYS: Final[dict[type, _Way]] = {
    ByFeeler: _by_feeler,
    ByDial: _by_dial,
    ByPlates: _by_plates,
    ByTwoLoads: _under_load,
    ByTurningTorque: _by_torque,
    TwoSidedShims: _by_two_sides,
    ByTurns: _by_turns,
}
