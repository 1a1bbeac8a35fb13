"""States of a gear train: what becomes of the input's turning when certain shift elements are applied.

A state is one of

- *definite*: the output's speed follows from the input's, and so does that of every member that carries
  torque between them; idle members may still float;
- *neutral*: too few elements are applied, so that members float and the output is not driven;
- *tie-up*: too many are applied, so that the input cannot turn; the elements that fight are named.

One-way clutches that are listed as applied hold, unless their holding would tie the train up and their
letting go leaves them overrunning in their free direction.  One-way clutches that are not listed catch
where the motion would turn them against their free direction.  Both follow from speeds alone; the sense of
torque (drive or coast) is not looked at here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from itertools import combinations

from countershaft.mechanics.conflicts import minimal_conflicts, smallest_hits
from countershaft.mechanics.constraints import ConstraintMatrix, Row
from countershaft.mechanics.network import Network
from countershaft.mechanics.speeds import Speeds, settle

__all__ = ["StateKind", "TrainState", "solve_chart", "solve_held", "solve_state"]


class StateKind(StrEnum):
    """What the applied elements make of the train; self-locking is said by the losses, never by speeds alone."""

    DEFINITE = "definite"
    NEUTRAL = "neutral"
    TIE_UP = "tie-up"
    SELF_LOCKING = "self-locking"


@dataclass(frozen=True)
class TrainState:
    """The answer for one state.

    `speeds` are per input turn and hold the determined members only; they are empty in a tie-up.
    `ratio` is None in neutral, in a tie-up, and where the output stands still while the input turns
    (`output_at_rest`: the ratio is infinite).
    `floating` are members whose speed does not follow from the input's; in a definite state they are idle.
    `loose` are those of them that nothing touches in this state: no teeth, and no applied element.
    `missing` is how many further independent constraints a neutral needs to settle every geared member.
    `fighting` holds every set of elements that ties the train up and would not with any one of them let go;
    `frees` holds every smallest choice of elements whose letting go frees the train.
    `redundant` elements could be let go, one at a time, and nothing would change.
    `overrunning` are listed one-way clutches that do not hold, `catching` those not listed that do.
    `matrix` holds the rows that decided it, the input's own turn last.
    """

    kind: StateKind
    input: str
    output: str
    applied: tuple[str, ...]
    matrix: ConstraintMatrix
    speeds: Mapping[str, Fraction]
    ratio: Fraction | None = None
    output_at_rest: bool = False
    floating: tuple[str, ...] = ()
    loose: tuple[str, ...] = ()
    missing: int = 0
    fighting: tuple[tuple[str, ...], ...] = ()
    frees: tuple[tuple[str, ...], ...] = ()
    redundant: tuple[str, ...] = ()
    overrunning: tuple[str, ...] = ()
    catching: tuple[str, ...] = ()

    @property
    def holding(self) -> tuple[str, ...]:
        """What really holds: the applied elements that do not overrun, then the one-way clutches that catch."""
        return (*(name for name in self.applied if name not in self.overrunning), *self.catching)

    @property
    def idle(self) -> tuple[str, ...]:
        """Floating members that mesh with something or are tied to something."""
        return tuple(member for member in self.floating if member not in self.loose)

    @property
    def output_floats(self) -> bool:
        """Whether the output is free to turn at any speed, whatever the input does."""
        return self.output in self.floating


def solve_state(network: Network, applied: Sequence[str]) -> TrainState:
    """State of a train with certain elements applied, the input turning once.

    Parameters
    ----------
    network : Network
        The gear train.
    applied : Sequence[str] [-]
        Shift elements that are applied, a sleeve as `id:position`.

    Returns
    -------
    TrainState
        Kind, speeds, ratio, and what floats or fights.

    Raises
    ------
    TrainError
        An element is not there, or applied twice.

    References
    ----------
    Jindal U.C., Machine Design, 1st ed. 2010, ch. 29, Example 29-1, p. 749: first gear of the train below,
    4.5.

    Examples
    --------
    >>> from countershaft.mechanics.gear_sets import SinglePinion
    >>> from countershaft.mechanics.shift_elements import Brake
    >>> first = SinglePinion("P1", "in", "out", "J", 20, 70)
    >>> train = Network("in", "out", sets=(first,), elements=(Brake("B1", "J"),))
    >>> solve_state(train, ["B1"]).ratio
    Fraction(9, 2)
    >>> solve_state(train, []).kind.value
    'neutral'
    """
    state = _with_one_ways(network, tuple(applied))
    return replace(
        state,
        applied=tuple(applied),
        redundant=tuple(name for name in state.redundant if name in applied),
        overrunning=tuple(name for name in state.overrunning if name in applied),
        catching=tuple(
            name for name in state.applied if name not in applied and name not in state.overrunning
        ),
    )


def solve_chart(network: Network, chart: Mapping[str, Sequence[str]]) -> dict[str, TrainState]:
    """State of every gear of an application chart, in its order.

    Parameters
    ----------
    network : Network
        The gear train.
    chart : Mapping[str, Sequence[str]] [-]
        Gear to the elements that are applied in it.

    Returns
    -------
    dict[str, TrainState]
        Gear to its state.

    Raises
    ------
    TrainError
        An element is not there, or applied twice in one gear.

    Examples
    --------
    >>> from countershaft.mechanics.gear_sets import GearPair
    >>> from countershaft.mechanics.shift_elements import Clutch
    >>> pair = GearPair("1st", "in", "wheel", 15, 49)
    >>> train = Network("in", "out", pairs=(pair,), elements=(Clutch("K1", "wheel", "out"),))
    >>> solve_chart(train, {"1": ["K1"]})["1"].ratio
    Fraction(-49, 15)
    """
    return {gear: solve_state(network, applied) for gear, applied in chart.items()}


def _with_one_ways(network: Network, applied: tuple[str, ...]) -> TrainState:
    """State after every one-way clutch that the motion would turn the wrong way has caught."""
    state = _with_overrun(network, applied)
    against = [
        clutch.id
        for clutch in network.one_ways
        if clutch.id not in applied and _slip(state, clutch.weights()) < 0
    ]
    return _with_one_ways(network, (*applied, *against)) if against else state


def _with_overrun(network: Network, applied: tuple[str, ...]) -> TrainState:
    """State with the fewest applied one-way clutches let go, of those that may, that end a tie-up."""
    tied = solve_held(network, applied)
    listed = [clutch for clutch in network.one_ways if clutch.id in applied]
    if tied.kind != StateKind.TIE_UP:
        return tied
    for count in range(1, len(listed) + 1):
        for released in combinations(listed, count):
            names = tuple(clutch.id for clutch in released)
            state = solve_held(network, tuple(name for name in applied if name not in names))
            if all(_slip(state, clutch.weights()) > 0 for clutch in released):
                return replace(state, overrunning=names)
    return tied


def _slip(state: TrainState, weights: Mapping[str, Fraction]) -> Fraction:
    """Speed of a one-way clutch in its free direction; zero where nothing determines it."""
    if state.kind == StateKind.TIE_UP:
        return Fraction(0)
    factors = state.matrix.multipliers(weights)
    if factors is None:
        return Fraction(0)
    return sum(
        (factor * row.constant for factor, row in zip(factors, state.matrix.rows, strict=True)), Fraction(0)
    )


def solve_held(network: Network, applied: tuple[str, ...]) -> TrainState:
    """State with exactly these elements holding, one-way clutches like any other.

    Parameters
    ----------
    network : Network
        The gear train.
    applied : tuple[str, ...] [-]
        The elements that hold, a sleeve as `id:position`.

    Returns
    -------
    TrainState
        Kind, speeds, ratio, and what floats or fights.

    Examples
    --------
    >>> from countershaft.mechanics.gear_sets import GearPair
    >>> from countershaft.mechanics.shift_elements import OneWayToGround
    >>> pair = GearPair("Z", "in", "out", 20, 40)
    >>> train = Network("in", "out", pairs=(pair,), elements=(OneWayToGround("W", "out", "-"),))
    >>> solve_held(train, ("W",)).kind.value, solve_state(train, ["W"]).kind.value
    ('tie-up', 'definite')
    """
    rows = network.holds(applied)
    return _plain(network, applied, rows) or _general(network, dict(zip(applied, rows, strict=True)))


def _plain(network: Network, applied: tuple[str, ...], rows: Sequence[Row]) -> TrainState | None:
    """The state where every row counts and settles every member, as in nearly every gear; None in any other."""
    layout, (label, ties) = network.layout, network.nodes(applied)
    if len(set(label)) != len(label) - len(ties):
        return None
    found = layout.speeds(label, layout.place[network.input])
    if found is None or not found.numbers[network.output]:
        return None
    speeds: Mapping[str, Fraction] = found
    if len(speeds) < len(network.members):
        every = layout.with_idlers(speeds)
        speeds = {member: every[member] for member in network.members}
    return TrainState(
        StateKind.DEFINITE,
        network.input,
        network.output,
        applied,
        network.structure.with_rows((*rows, network.turn)),
        speeds=speeds,
        ratio=Fraction(found.shared, found.numbers[network.output]),
    )


def _general(network: Network, held: Mapping[str, Row]) -> TrainState:
    applied = tuple(held)
    matrix = network.structure.with_rows(held.values())
    turning = matrix.with_rows([network.turn])
    if matrix.locks(network.input):
        fighting = minimal_conflicts(network.structure, held, network.input)
        return TrainState(
            StateKind.TIE_UP,
            network.input,
            network.output,
            applied,
            turning,
            speeds={},
            fighting=fighting,
            frees=smallest_hits(applied, fighting),
        )
    speeds = settle(turning)
    ratio = speeds.ratio(network.input, network.output)
    driven = _driven(network, matrix, speeds)
    loose = _loose(network, matrix, speeds)
    return TrainState(
        StateKind.DEFINITE if driven else StateKind.NEUTRAL,
        network.input,
        network.output,
        applied,
        turning,
        speeds=speeds.values,
        ratio=ratio if driven else None,
        output_at_rest=speeds.values.get(network.output) == 0,
        floating=speeds.floating,
        loose=loose,
        missing=0 if driven else speeds.freedom - len(loose),
        redundant=tuple(name for name in applied if _redundant(network, held, name)),
    )


def _driven(network: Network, matrix: ConstraintMatrix, speeds: Speeds) -> bool:
    """Whether the output's speed follows from the input's through members that are all determined."""
    speed = speeds.values.get(network.output)
    if speed is None:
        return False
    if speed == 0:
        # An output that is held is driven only where wheels that mesh with it turn with the input.
        beside = (row.members for row in matrix.rows if network.output in row.members)
        return any(speeds.values.get(member) for members in beside for member in members)
    factors = matrix.multipliers({network.output: Fraction(1), network.input: -speed}) or ()
    carrying = (row for factor, row in zip(factors, matrix.rows, strict=True) if factor)
    return all(member in speeds.values for row in carrying for member in row.members)


def _loose(network: Network, matrix: ConstraintMatrix, speeds: Speeds) -> tuple[str, ...]:
    """Floating members that nothing touches: no teeth, and no element that is applied."""
    tied = {network.input, network.output, *(member for row in matrix.rows for member in row.members)}
    return tuple(member for member in speeds.floating if member not in tied)


def _redundant(network: Network, held: Mapping[str, Row], name: str) -> bool:
    others = (row for other, row in held.items() if other != name)
    return network.structure.with_rows(others).implies(held[name])
