"""The converter on its way in: how deep it sits, the gap it leaves to the drive plate, and how true its hub runs."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

from countershaft import units
from countershaft.errors import OutOfRange
from countershaft.job.entry import ConverterDepths, Entry, HubTrial
from countershaft.job.state import JobState
from countershaft.metrology.clock_face import clock_angle, length_words
from countershaft.metrology.conformity import Judgement, Verdict
from countershaft.metrology.converter_fit import Clocking, ConverterGap, converter_gap, reclock
from countershaft.metrology.harmonics import Runout, runout
from countershaft.metrology.readings import Estimate, estimate
from countershaft.model.housing import BoltUp, LengthWindow, RunoutLimit
from countershaft.model.transmission import Transmission
from countershaft.source import Source
from countershaft.stages.housing_sweep import metres, told_in
from countershaft.stages.measuring import doubts, estimated, judged
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to

__all__ = [
    "ConverterState",
    "DepthState",
    "Judged",
    "TrialState",
    "depths_judged",
    "hub_trials",
    "review",
    "review_depths",
    "review_trial",
    "survey",
]

#: Digits behind the point of a length in each unit of the sentences.
_DIGITS: Final = {"mm": 2, "in": 3}


@dataclass(frozen=True, slots=True)
class Judged:
    """One figure against its window, in `unit`, with its working; `window` is empty where no limit is known."""

    name: str
    value: Estimate
    judgement: Judgement
    lower: float | None
    upper: float | None
    unit: str
    working: tuple[str, ...]
    source: Source | None


@dataclass(frozen=True, slots=True)
class DepthState:
    """Depths of the converter's pads, and the gap to the plate where the plate was read too."""

    body: ConverterDepths
    entry: Entry | None
    depth: Judged
    gap: Judged | None
    gaps: ConverterGap | None

    @property
    def sentences(self) -> tuple[str, ...]:
        """What the figures say, and what to do."""
        unit = told_in(self.body.unit)
        said = [self.gaps.words(unit)] if self.gaps is not None else []
        low = self.depth.lower
        if low is not None and self.depth.value.mean < low:
            said.append(
                "NOTICE: the converter stands too far out. It is not home in all its engagements: turn and push it "
                "until it drops, and measure again. Never draw the unit in with the bolts: it would break the pump."
            )
        return tuple(said)


@dataclass(frozen=True, slots=True)
class TrialState:
    """The hub in one position of its bolt pattern: its runout, and the eccentricity in the crank's own angles."""

    body: HubTrial
    entry: Entry | None
    runout: Runout
    total: Judged

    @property
    def eccentricity(self) -> tuple[float, float]:
        """Offset and direction [m, rad]."""
        return self.runout.eccentricity.amplitude, self.runout.eccentricity.angle


@dataclass(frozen=True, slots=True)
class ConverterState:
    """All that is known of the converter's fit; `clocking` needs two trials in different positions."""

    asked: BoltUp | None
    depths: DepthState | None
    trials: tuple[TrialState, ...]
    clocking: Clocking | None
    why_no_clocking: str
    hub_limit: float | None

    @property
    def newest(self) -> TrialState | None:
        """The position in which the hub was read last."""
        return self.trials[-1] if self.trials else None

    @property
    def advice(self) -> tuple[str, ...]:
        """What to do about the hub, in order."""
        newest = self.newest
        if newest is None or newest.total.judgement.verdict is Verdict.GOOD:
            return ()
        if self.clocking is None:
            return (self.why_no_clocking,)
        limit = self.hub_limit if self.hub_limit is not None else math.inf
        return (self.clocking.words(limit, told_in(newest.body.unit)),)


def survey(transmission: Transmission, state: JobState) -> ConverterState:
    """The converter's fit as its page shows it; the newest depths count, and the newest trial of each position."""
    asked = transmission.housing.converter if transmission.housing else None
    depths = state.of(ConverterDepths)
    newest = {body.position: (entry, body) for entry, body in state.of(HubTrial)}
    trials = sorted(newest.values(), key=lambda one: state.position[one[0].id])
    return ConverterState(
        asked,
        depths_judged(transmission, depths[-1][1], depths[-1][0]) if depths else None,
        *hub_trials(transmission, tuple(trials)),
    )


def depths_judged(
    transmission: Transmission, body: ConverterDepths, entry: Entry | None = None
) -> DepthState:
    """Depth and gap against the file's windows; the pad that lies farthest off is judged."""
    asked = transmission.housing.converter if transmission.housing else None
    unit = told_in(body.unit)
    one = estimated(body.depths[:1], body.unit, resolution=body.resolution, to=unit, taken=body.taken)
    metre = metres(Decimal(1), unit)
    zero = one.mean - units.convert(body.depths[0], body.unit, unit)
    deep = [metres(value - body.straightedge, body.unit) / metre + zero for value in body.depths]
    over = math.sqrt(2) if body.straightedge else 1.0
    edge = f" − straightedge {body.straightedge}" if body.straightedge else ""
    depth = _judged(
        "Converter depth",
        deep,
        one.standard * over,
        asked.depth if asked else None,
        body,
        (
            *(f"pad {at}: {typed}{edge} {body.unit}" for at, typed in enumerate(body.depths, start=1)),
            *((f"zero of the gauge taken off: {zero:+.3f} {unit}",) if abs(zero) > 1e-9 else ()),
        ),
        transmission,
    )
    if not body.plate:
        return DepthState(body, entry, depth, None, None)
    gaps = converter_gap(
        [(value - zero) * metre for value in deep],  # read with one gauge, so that its zero cancels
        [metres(value, body.unit) for value in body.plate],
        spacer=asked.spacer.to("m") if asked and asked.spacer else metres(body.spacer, body.unit),
        standard=one.standard * metre,
    )
    spread = math.hypot(gaps.standard / metre, one.standard if body.straightedge else 0.0)
    window = asked.gap if asked else None
    lines = (gaps.working,)
    gap = _judged(
        "Gap to the drive plate", [g / metre for g in gaps.gaps], spread, window, body, lines, transmission
    )
    return DepthState(body, entry, depth, gap, gaps)


def hub_trials(
    transmission: Transmission, trials: tuple[tuple[Entry | None, HubTrial], ...]
) -> tuple[tuple[TrialState, ...], Clocking | None, str, float | None]:
    """Each trial judged, the clocking that follows from them, why there is none, and the limit [m]."""
    asked = transmission.housing.converter if transmission.housing else None
    hub, positions = (asked.hub, asked.positions) if asked else (None, None)
    found = tuple(_trial(transmission, hub, entry, body) for entry, body in trials)
    limit = hub.max.to("m") if hub else None
    if not positions:
        return (
            found,
            None,
            "The file does not say in how many positions the converter can be bolted on.",
            limit,
        )
    turns = [2 * math.pi * place / positions for place in range(positions)]
    if len(found) < 2:
        return found, None, "Bolt the converter on in another position and read the hub again.", limit
    standard = max(one.runout.eccentricity.standard for one in found)
    try:
        clocking = reclock({one.body.position: one.eccentricity for one in found}, turns, standard=standard)
    except OutOfRange as why:
        return found, None, str(why), limit
    return found, clocking, "", limit


def review(transmission: Transmission, state: JobState, entry: Entry) -> Outcome:
    """Whether depths of the converter or a trial of its hub may join the log."""
    body, on = entry.body, entry.at.date()
    if isinstance(body, ConverterDepths):
        return review_depths(transmission, body, on)
    return review_trial(transmission, body, on) if isinstance(body, HubTrial) else ACCEPTED


def review_depths(transmission: Transmission, body: ConverterDepths, on: date) -> Outcome:
    """The plate must be read once or at each pad, and the depths be this converter's."""
    if len(body.plate) not in {0, 1, len(body.depths)}:
        return object_to(
            plate=f"{len(body.depths)} pads but {len(body.plate)} figures of the plate; type one, or one for each pad."
        )
    asked = transmission.housing.converter if transmission.housing else None
    strange = set(body.answers) - set((asked or BoltUp()).checks(plate=bool(body.plate)))
    if strange:
        return object_to(
            f"The depths do not answer {', '.join(sorted(strange))}; the file does not say that they do."
        )
    depth = asked.depth if asked else None
    if depth is None:
        return ACCEPTED
    net = tuple(value - body.straightedge for value in body.depths)
    said = doubts(
        net,
        body.unit,
        resolution=body.resolution,
        taken=body.taken,
        on=on,
        lower=depth.min.to(body.unit),
        upper=depth.max.to(body.unit),
        one_place=False,
    )
    return object_to(sure=" ".join(said)) if said else ACCEPTED


def review_trial(transmission: Transmission, body: HubTrial, on: date) -> Outcome:
    """The position must be there, and four places be read."""
    asked = transmission.housing.converter if transmission.housing else None
    if asked is not None and asked.positions is not None and body.position >= asked.positions:
        return object_to(position=f"the converter can be bolted on in positions 0 to {asked.positions - 1}.")
    if len({hour % 12 for hour in body.hours}) < 4:
        return object_to(values="read four different places of the crank at least.")
    upper = asked.hub.max.to(body.unit) if asked is not None and asked.hub is not None else None
    total = max(body.values) - min(body.values)
    said = doubts((total,), body.unit, resolution=body.resolution, taken=body.taken, on=on, upper=upper)
    return object_to(sure=" ".join(said)) if said else ACCEPTED


def _trial(
    transmission: Transmission, hub: RunoutLimit | None, entry: Entry | None, body: HubTrial
) -> TrialState:
    unit = told_in(body.unit)
    metre = metres(Decimal(1), unit)
    one = estimated(body.values[:1], body.unit, resolution=body.resolution, to=unit, taken=body.taken)
    found = runout(
        [clock_angle(float(hour)) for hour in body.hours],
        [metres(value, body.unit) for value in body.values],
        standard=one.standard * metre,
        highest=1,
    )
    wave = found.eccentricity
    total = estimate([2 * wave.amplitude / metre], resolution=2 * wave.standard / metre * math.sqrt(12))
    limit = hub.max.to(unit) if hub else None
    lines = (
        *found.working(unit),
        f"total of the hub = 2 · eccentricity = {length_words(2 * wave.amplitude, unit, extra=1)}",
    )
    judged_ = _verdict(total, None, limit, unit, body)
    source = transmission.source(hub.source) if hub else None
    name = f"Hub runout, position {body.position}"
    return TrialState(body, entry, found, Judged(name, total, judged_, None, limit, unit, lines, source))


def _judged(
    name: str,
    pads: list[float],
    standard: float,
    window: LengthWindow | None,
    body: ConverterDepths,
    lines: tuple[str, ...],
    transmission: Transmission,
) -> Judged:
    """The pad that lies farthest from the middle of the window, or the least where there is none."""
    unit = told_in(body.unit)
    low, high = (window.min.to(unit), window.max.to(unit)) if window else (None, None)
    middle = (low + high) / 2 if low is not None and high is not None else math.inf
    worst = max(pads, key=lambda pad: abs(pad - middle)) if math.isfinite(middle) else min(pads)
    value = estimate([worst], resolution=standard * math.sqrt(12))
    working = (
        *lines,
        f"{'farthest from the middle of the window' if window else 'the least'}: {worst:.{_DIGITS[unit]}f} {unit}",
        f"u = {standard:.{_DIGITS[unit] + 1}f} {unit}, U = 2 · u = {2 * standard:.{_DIGITS[unit] + 1}f} {unit}",
    )
    found = _verdict(value, low, high, unit, body)
    source = transmission.source(window.source) if window else None
    return Judged(name, value, found, low, high, unit, working, source)


def _verdict(
    value: Estimate, low: float | None, high: float | None, unit: str, body: ConverterDepths | HubTrial
) -> Judgement:
    if low is None and high is None:
        return Judgement(Verdict.NOT_MEASURED, "no limit is known, so nothing is judged.")
    return judged(value, lower=low, upper=high, unit=unit, digits=_DIGITS[unit], taken=body.taken)
