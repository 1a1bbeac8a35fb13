"""From two measured speeds to the element that slips: input (or turbine) and output, in a gear.

In a gear the input turns ratio times as fast as the output.  What it turns beyond that is its *excess*.  Let one
element go that should hold, impose both measured speeds, and the speed across that element follows; it is a fixed
multiple of the excess.  So one pair of speeds says how fast each element would slip, were it the one; which of them
it is follows from the other gears that show it.

Speeds carry the sense of the input; a sensor that tells no sense takes that of the ratio.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from countershaft.errors import OutOfRange
from countershaft.mechanics.constraints import number
from countershaft.mechanics.holding import HoldingTable, Outcome
from countershaft.mechanics.network import Network, nearest

__all__ = [
    "SlipCandidate",
    "SlipFactor",
    "SpeedExplanation",
    "SpeedVerdict",
    "explain_speeds",
    "slip_factors",
]


class SpeedVerdict(StrEnum):
    """What a pair of speeds says about a gear."""

    IN_GEAR = "in gear"
    OTHER_GEAR = "another gear"
    OVERRUN = "a one-way clutch overruns"
    SLIP = "an element slips"
    NONE = "nothing explains it"


@dataclass(frozen=True, slots=True)
class SlipFactor:
    """Speed across an element per unit of excess input speed, were it the one that slips.

    `across` says what is counted: first member less second of a clutch, the member's own speed of a brake.
    `free` is 1 or −1 where the element is a one-way clutch: the sense of `across` in which it may turn; else 0.
    """

    element: str
    across: str
    factor: Fraction
    free: int = 0


@dataclass(frozen=True, slots=True)
class SlipCandidate:
    """One element that alone would explain the pair.

    `slip` is the speed across it, and `half_width` how far the resolution of the two speeds leaves it open.
    `overruns` is a one-way clutch turning in its free direction, which is no fault.
    """

    element: str
    slip: float
    half_width: float
    overruns: bool
    working: str


@dataclass(frozen=True, slots=True)
class SpeedExplanation:
    """What a pair of speeds says.

    `expected` is the input speed that the output speed asks for in that gear, `excess` what the input turns beyond
    it, `half_width` how far the resolution leaves the excess open; all None where the gear has no ratio.
    `fits` are the gears whose ratio the pair has, within resolution.
    """

    gear: str
    ratio: Fraction | None
    input_speed: float
    output_speed: float
    expected: float | None
    excess: float | None
    half_width: float | None
    fits: tuple[str, ...]
    candidates: tuple[SlipCandidate, ...]
    verdict: SpeedVerdict
    working: tuple[str, ...]


def slip_factors(network: Network, applied: Sequence[str]) -> tuple[SlipFactor, ...]:
    """How fast each element that holds in a gear would turn, per unit of excess input speed, if it alone slipped.

    Parameters
    ----------
    network : Network
        The gear train.
    applied : Sequence[str] [-]
        Shift elements that are applied, a sleeve as `id:position`.

    Returns
    -------
    tuple[SlipFactor, ...]
        One per element whose slipping frees the input from the output; none where the state is not definite.

    Raises
    ------
    TrainError
        An element is not there, or applied twice.

    References
    ----------
    Willis' equation with one row released and two speeds given.  Power that is lost at the element comes from the
    input, so without other losses one over the factor is the torque on the element per unit of input torque.

    Examples
    --------
    Sun 30 driven, ring 72 braked: the ring is pushed back by 30/72 of what the sun runs ahead.

    >>> from countershaft.mechanics.gear_sets import SinglePinion
    >>> from countershaft.mechanics.shift_elements import Brake
    >>> set_ = SinglePinion("P", "in", "out", "R", 30, 72)
    >>> train = Network("in", "out", sets=(set_,), elements=(Brake("B", "R"),))
    >>> slip_factors(train, ["B"])[0].factor
    Fraction(-5, 12)
    """
    table = HoldingTable(network)
    return _factors(table, table.outcome(table.mask(applied)))


def explain_speeds(
    network: Network,
    chart: Mapping[str, Sequence[str]],
    gear: str,
    *,
    input_speed: float,
    output_speed: float,
    input_resolution: float,
    output_resolution: float,
    drive: bool | None = None,
) -> SpeedExplanation:
    """Say what a measured pair of speeds means in a gear.

    Parameters
    ----------
    network : Network
        The gear train.
    chart : Mapping[str, Sequence[str]] [-]
        Gear to the elements that are applied in it.
    gear : str [-]
        The gear that is commanded.
    input_speed, output_speed : float [any unit of speed]
        The measured speeds, with the sense of the input as plus.
    input_resolution, output_resolution : float [the same unit]
        Smallest difference that each reading can show, noise included; the true speed lies within half of it.
    drive : bool, optional [-]
        True where the input drives, False where the output does; not known where not given.  What slips under drive
        lets the input run ahead, and on coast lets it fall behind.

    Returns
    -------
    SpeedExplanation
        The excess, the gears that fit, and each element that alone would explain the pair, with the speed across it.

    Raises
    ------
    OutOfRange
        The gear is not in the chart, or a resolution is not above zero.
    TrainError
        The chart names an element that is not there.

    References
    ----------
    Willis' equation with one row released and two speeds given; see `slip_factors`.

    Examples
    --------
    Sun 30 driven, ring 72 braked, ratio 3.4: at 500 of the output the input should turn 1700, and turns 1940.

    >>> from countershaft.mechanics.gear_sets import SinglePinion
    >>> from countershaft.mechanics.shift_elements import Brake
    >>> set_ = SinglePinion("P", "in", "out", "R", 30, 72)
    >>> train = Network("in", "out", sets=(set_,), elements=(Brake("B", "R"),))
    >>> said = explain_speeds(
    ...     train, {"1": ["B"]}, "1", input_speed=1940, output_speed=500, input_resolution=1, output_resolution=1
    ... )
    >>> said.verdict.value, said.excess, said.candidates[0].working
    ('an element slips', 240.0, 'B: R = −5/12 · 240 = −100')
    """
    if gear not in chart:
        raise OutOfRange(f"gear {gear!r} is not in the chart; {nearest(gear, chart)}")
    if input_resolution <= 0 or output_resolution <= 0:
        raise OutOfRange("a resolution is not above zero; give the smallest step that the reading can show.")
    table = HoldingTable(network)
    outcomes = {name: table.outcome(table.mask(applied)) for name, applied in chart.items()}
    ratios = {name: outcome.ratio for name, outcome in outcomes.items() if outcome.ratio is not None}

    def half_width(ratio: Fraction) -> float:
        return (input_resolution + abs(float(ratio)) * output_resolution) / 2

    def excess_in(ratio: Fraction) -> float:
        return input_speed - float(ratio) * output_speed

    fits = tuple(name for name, ratio in ratios.items() if abs(excess_in(ratio)) <= half_width(ratio))
    ratio = ratios.get(gear)
    if ratio is None:
        verdict = SpeedVerdict.OTHER_GEAR if fits else SpeedVerdict.NONE
        line = f"gear {gear} has no ratio: it is {outcomes[gear].kind.value}"
        return SpeedExplanation(
            gear, None, input_speed, output_speed, None, None, None, fits, (), verdict, (line,)
        )
    excess, open_by = excess_in(ratio), half_width(ratio)
    candidates: tuple[SlipCandidate, ...] = ()
    if gear not in fits and drive in (None, excess > 0):
        factors = _factors(table, outcomes[gear])
        candidates = tuple(_candidate(factor, excess, open_by) for factor in factors)
    return SpeedExplanation(
        gear,
        ratio,
        input_speed,
        output_speed,
        expected=float(ratio) * output_speed,
        excess=excess,
        half_width=open_by,
        fits=fits,
        candidates=candidates,
        verdict=_verdict(gear, fits, candidates),
        working=(*_lines(ratio, input_speed, output_speed, open_by), *(one.working for one in candidates)),
    )


def _factors(table: HoldingTable, outcome: Outcome) -> tuple[SlipFactor, ...]:
    """Factors of every hold whose release lets input and output turn as they please."""
    if outcome.ratio is None:
        return ()
    found = []
    for place, hold in enumerate(table.holds):
        if not outcome.held >> place & 1:
            continue
        factors = table.across_per_speeds(outcome.held & ~(1 << place), place)
        if factors is not None:
            across = " − ".join(hold.row.members)
            found.append(SlipFactor(hold.name, across, factors[0], table.free_sense(place)))
    return tuple(found)


def _candidate(factor: SlipFactor, excess: float, open_by: float) -> SlipCandidate:
    slip = float(factor.factor) * excess
    return SlipCandidate(
        factor.element,
        slip,
        abs(float(factor.factor)) * open_by,
        overruns=slip * factor.free > 0,
        working=f"{factor.element}: {factor.across} = {number(factor.factor)} · {_plain(excess)} = {_plain(slip)}",
    )


def _lines(ratio: Fraction, input_speed: float, output_speed: float, open_by: float) -> tuple[str, str]:
    expected = float(ratio) * output_speed
    return (
        f"expected: {number(ratio)} · {_plain(output_speed)} = {_plain(expected)}",
        f"excess: {_plain(input_speed)} − {_plain(expected)} = {_plain(input_speed - expected)} ± {_plain(open_by)}",
    )


def _verdict(gear: str, fits: tuple[str, ...], candidates: tuple[SlipCandidate, ...]) -> SpeedVerdict:
    if gear in fits:
        return SpeedVerdict.IN_GEAR
    if fits:
        return SpeedVerdict.OTHER_GEAR
    if any(candidate.overruns for candidate in candidates):
        return SpeedVerdict.OVERRUN
    return SpeedVerdict.SLIP if candidates else SpeedVerdict.NONE


def _plain(value: float) -> str:
    return f"{value:.6g}".replace("-", "−")
