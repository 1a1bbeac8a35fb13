"""An application chart against what its train can do: dead gears, doubles, skipped ratios, steps, spread, shifts."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations, pairwise

from countershaft.mechanics.abilities import Abilities, abilities_of, in_order
from countershaft.mechanics.holding import HoldingTable, Outcome
from countershaft.mechanics.network import Network
from countershaft.mechanics.states import StateKind

__all__ = ["IDLE_GEARS", "ChartCheck", "DeadGear", "Shift", "SkippedRatio", "Step", "check_chart"]

#: Gears that are meant to drive nothing (common practice, no source).
IDLE_GEARS = ("P", "N")


@dataclass(frozen=True, slots=True)
class DeadGear:
    """A gear that drives nothing though it should: a neutral, a tie-up, or an output that gears hold still."""

    gear: str
    applied: tuple[str, ...]
    kind: StateKind


@dataclass(frozen=True, slots=True)
class SkippedRatio:
    """A ratio that the train can give and no gear uses, with the gears of the same sense next to it.

    `higher` is the gear with the next higher ratio (towards first), `lower` that with the next lower one; None
    where the skipped ratio lies outside the chart's.
    """

    ratio: Fraction
    combinations: tuple[tuple[str, ...], ...]
    higher: str | None
    lower: str | None


@dataclass(frozen=True, slots=True)
class Step:
    """The step between two neighbouring forward gears: ratio of the lower gear over that of the higher."""

    gear: str
    next_gear: str
    step: Fraction
    working: str


@dataclass(frozen=True, slots=True)
class Shift:
    """What changes between two gears of one sense: holds that let go and holds that take hold.

    `by_itself` are the one-way clutches among them, which nobody commands.  `neighbours` is whether no ratio of the
    chart lies between the two.
    """

    gear: str
    next_gear: str
    off: tuple[str, ...]
    on: tuple[str, ...]
    by_itself: tuple[str, ...]
    neighbours: bool

    @property
    def one_for_one(self) -> bool:
        """Whether one hold changes for one other."""
        return len(self.off) == 1 and len(self.on) == 1


@dataclass(frozen=True, slots=True)
class ChartCheck:
    """What a chart makes of its train.

    `ratios` holds every gear that drives.  `driving_idle` are gears meant to be neutral that drive.  `doubles` are
    gears of one ratio.  `steps` and `spread` are of the forward gears; `spread` is None where there is none.
    """

    ratios: Mapping[str, Fraction]
    dead: tuple[DeadGear, ...]
    driving_idle: tuple[str, ...]
    doubles: tuple[tuple[str, ...], ...]
    skipped: tuple[SkippedRatio, ...]
    steps: tuple[Step, ...]
    spread: Fraction | None
    shifts: tuple[Shift, ...]
    abilities: Abilities
    working: tuple[str, ...]


def check_chart(
    network: Network, chart: Mapping[str, Sequence[str]], *, idle: Collection[str] = IDLE_GEARS
) -> ChartCheck:
    """Check an application chart against everything that its train can do.

    Parameters
    ----------
    network : Network
        The gear train.
    chart : Mapping[str, Sequence[str]] [-]
        Gear to the elements that are applied in it.
    idle : Collection[str] [-]
        Gears that are meant to drive nothing; so are all in which nothing is applied.

    Returns
    -------
    ChartCheck
        Dead gears, doubles, skipped ratios, steps, spread, and what each shift changes.

    Raises
    ------
    TrainError
        An element is not there, or applied twice in one gear.
    OutOfRange
        The train has more combinations than can be tried.

    References
    ----------
    Step and spread: Naunheimer H. and others, Automotive Transmissions, 2nd ed. 2011, ch. 4 (from memory).  That a
    shift should change one element for one: common practice, no source.

    Examples
    --------
    >>> from countershaft.mechanics.gear_sets import SinglePinion
    >>> from countershaft.mechanics.shift_elements import Brake, Clutch
    >>> elements = (Brake("B", "R"), Clutch("K", "in", "R"))
    >>> train = Network("in", "out", sets=(SinglePinion("P", "in", "out", "R", 30, 72),), elements=elements)
    >>> check = check_chart(train, {"1": ["B"], "2": ["K"]})
    >>> check.steps[0].working, check.shifts[0].one_for_one
    ('1 over 2: 3.4 / 1 = 3.4', True)
    """
    table = HoldingTable(network)
    abilities = abilities_of(table)
    outcomes = {gear: table.outcome(table.mask(applied)) for gear, applied in chart.items()}
    found = {gear: outcome.ratio for gear, outcome in outcomes.items() if outcome.ratio is not None}
    driving = {gear: ratio for gear, ratio in found.items() if gear not in idle}
    forward = sorted((gear for gear in driving if driving[gear] > 0), key=lambda gear: -driving[gear])
    steps = tuple(_steps(driving, forward))
    return ChartCheck(
        ratios=driving,
        dead=tuple(
            DeadGear(gear, tuple(applied), outcomes[gear].kind)
            for gear, applied in chart.items()
            if applied and gear not in idle and gear not in driving
        ),
        driving_idle=tuple(gear for gear in found if gear in idle),
        doubles=_doubles(driving),
        skipped=tuple(_skipped(abilities, driving)),
        steps=steps,
        spread=driving[forward[0]] / driving[forward[-1]] if forward else None,
        shifts=tuple(_shifts(table, outcomes, driving)),
        abilities=abilities,
        working=(*(step.working for step in steps), *_spread_line(driving, forward)),
    )


def _doubles(driving: Mapping[str, Fraction]) -> tuple[tuple[str, ...], ...]:
    gears: dict[Fraction, list[str]] = {}
    for gear, ratio in driving.items():
        gears.setdefault(ratio, []).append(gear)
    return tuple(tuple(names) for names in gears.values() if len(names) > 1)


def _skipped(abilities: Abilities, driving: Mapping[str, Fraction]) -> Iterator[SkippedRatio]:
    used = set(driving.values())
    for group in abilities.groups:
        ratio = group.ratio
        if ratio is None or ratio in used:
            continue
        same_sense = [gear for gear in driving if (driving[gear] > 0) == (ratio > 0)]
        above = [gear for gear in same_sense if abs(driving[gear]) > abs(ratio)]
        below = [gear for gear in same_sense if abs(driving[gear]) < abs(ratio)]
        yield SkippedRatio(
            ratio,
            group.lean,
            higher=min(above, key=lambda gear: abs(driving[gear]), default=None),
            lower=max(below, key=lambda gear: abs(driving[gear]), default=None),
        )


def _steps(driving: Mapping[str, Fraction], forward: Sequence[str]) -> Iterator[Step]:
    """Steps between forward gears of different ratio; of doubles the first of the chart speaks for all."""
    firsts = list(dict.fromkeys(min(_same(driving, gear), key=list(driving).index) for gear in forward))
    for gear, following in pairwise(firsts):
        step = driving[gear] / driving[following]
        line = f"{gear} over {following}: {_decimal(driving[gear])} / {_decimal(driving[following])} = {_decimal(step)}"
        yield Step(gear, following, step, line)


def _same(driving: Mapping[str, Fraction], gear: str) -> list[str]:
    return [other for other in driving if driving[other] == driving[gear]]


def _spread_line(driving: Mapping[str, Fraction], forward: Sequence[str]) -> Iterator[str]:
    if forward:
        most, least = driving[forward[0]], driving[forward[-1]]
        yield f"spread: {_decimal(most)} / {_decimal(least)} = {_decimal(most / least)}"


def _shifts(
    table: HoldingTable, outcomes: Mapping[str, Outcome], driving: Mapping[str, Fraction]
) -> Iterator[Shift]:
    """Every two gears of one sense and different ratio, from the higher ratio to the lower."""
    own_ways = sum(1 << place for place, hold in enumerate(table.holds) if hold.free is not None)
    order = sorted(driving, key=lambda gear: in_order(driving[gear]))
    ratios = list(dict.fromkeys(driving[gear] for gear in order))
    for gear, following in combinations(order, 2):
        if driving[gear] == driving[following] or (driving[gear] > 0) != (driving[following] > 0):
            continue
        before, after = outcomes[gear].held, outcomes[following].held
        yield Shift(
            gear,
            following,
            off=table.names(before & ~after),
            on=table.names(after & ~before),
            by_itself=table.names((before ^ after) & own_ways),
            neighbours=ratios.index(driving[following]) - ratios.index(driving[gear]) == 1,
        )


def _decimal(value: Fraction) -> str:
    return f"{float(value):.6g}".replace("-", "−")
