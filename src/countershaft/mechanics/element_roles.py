"""What each shift element is for: gears lost without it, gears upset when it sticks, and how fast it drags when off.

Everything follows from speeds.  A gear that an element leaves may be kept on drive by a one-way clutch that holds the
same member; such gears are told apart, since they lose their engine braking only.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from countershaft.mechanics.constraints import number
from countershaft.mechanics.holding import HoldingTable, Outcome
from countershaft.mechanics.network import Network
from countershaft.mechanics.states import StateKind

__all__ = ["Drag", "ElementRole", "GearChange", "element_roles"]


@dataclass(frozen=True, slots=True)
class GearChange:
    """What becomes of a gear when one element fails it.

    `like` are gears of the chart that have the ratio it comes to.  `kept_by` are one-way clutches of which any one
    keeps the gear on drive.
    """

    gear: str
    kind: StateKind
    ratio: Fraction | None
    like: tuple[str, ...] = ()
    kept_by: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Drag:
    """Speed difference across an element that is off, per input turn; None where it floats.

    Of a clutch it is first member less second, of a brake the member's own speed.
    """

    gear: str
    per_turn: Fraction | None
    working: str


@dataclass(frozen=True, slots=True)
class ElementRole:
    """One shift element, or one position of a sleeve, through all gears of a chart.

    `holds_in` are the gears in which it holds.  `without` says what each of them becomes when it does not hold;
    `stuck` names the gears in which it should be off and that change when it does not let go.  `drags` has one line
    per gear in which it is off and the train can turn.
    """

    element: str
    holds_in: tuple[str, ...]
    without: tuple[GearChange, ...]
    stuck: tuple[GearChange, ...]
    drags: tuple[Drag, ...]

    @property
    def lost(self) -> tuple[str, ...]:
        """Gears that are gone on drive when it does not hold."""
        return tuple(change.gear for change in self.without if not change.kept_by)

    @property
    def tied(self) -> tuple[str, ...]:
        """Gears that tie up when it does not let go."""
        return tuple(change.gear for change in self.stuck if change.kind == StateKind.TIE_UP)

    @property
    def fastest(self) -> Drag | None:
        """The gear in which it turns fastest while off; None where no gear settles its speed."""
        known = [drag for drag in self.drags if drag.per_turn is not None]
        return max(known, key=lambda drag: abs(drag.per_turn or Fraction(0)), default=None)


def element_roles(network: Network, chart: Mapping[str, Sequence[str]]) -> tuple[ElementRole, ...]:
    """What every shift element of a train does in the gears of a chart.

    Parameters
    ----------
    network : Network
        The gear train.
    chart : Mapping[str, Sequence[str]] [-]
        Gear to the elements that are applied in it.

    Returns
    -------
    tuple[ElementRole, ...]
        One per element, and one per position of a sleeve, in their order.

    Raises
    ------
    TrainError
        An element is not there, or applied twice in one gear.

    References
    ----------
    The application chart read row by row (common practice, no source); speeds by Willis' equation.

    Examples
    --------
    >>> from countershaft.mechanics.gear_sets import SinglePinion
    >>> from countershaft.mechanics.shift_elements import Brake, Clutch
    >>> elements = (Brake("B", "R"), Clutch("K", "in", "R"))
    >>> train = Network("in", "out", sets=(SinglePinion("P", "in", "out", "R", 30, 72),), elements=elements)
    >>> brake, clutch = element_roles(train, {"1": ["B"], "2": ["K"]})
    >>> brake.lost, brake.tied, [drag.working for drag in brake.drags]
    (('1',), ('2',), ['2: R = 1 per input turn'])
    """
    table = HoldingTable(network)
    masks = {gear: table.mask(applied) for gear, applied in chart.items()}
    outcomes = {gear: table.outcome(mask) for gear, mask in masks.items()}
    gears: dict[Fraction, list[str]] = {}
    for gear, outcome in outcomes.items():
        if outcome.ratio is not None:
            gears.setdefault(outcome.ratio, []).append(gear)
    like = {ratio: tuple(names) for ratio, names in gears.items()}
    return tuple(
        ElementRole(
            element=hold.name,
            holds_in=tuple(gear for gear, outcome in outcomes.items() if outcome.held >> place & 1),
            without=tuple(_without(table, place, masks, outcomes, like)),
            stuck=tuple(_stuck(table, place, masks, outcomes, like)),
            drags=tuple(_drags(table, place, outcomes)),
        )
        for place, hold in enumerate(table.holds)
    )


_Like = Mapping[Fraction, tuple[str, ...]]


def _change(gear: str, outcome: Outcome, like: _Like, *, kept_by: tuple[str, ...] = ()) -> GearChange:
    ratio = outcome.ratio
    same = like.get(ratio, ()) if ratio is not None else ()
    return GearChange(gear, outcome.kind, ratio, same, kept_by)


def _without(
    table: HoldingTable,
    place: int,
    masks: Mapping[str, int],
    outcomes: Mapping[str, Outcome],
    like: _Like,
) -> Iterator[GearChange]:
    """Gears with another outcome when a hold never holds."""
    bit = 1 << place
    for gear, mask in masks.items():
        before = outcomes[gear]
        if before.speed is None or not before.held & bit:
            continue
        after = table.outcome(mask, broken=bit)
        if after.speed == before.speed:
            continue
        kept_by = [
            hold.name
            for other, hold in enumerate(table.holds)
            if hold.free is not None and other != place and _keeps(table, mask, bit, 1 << other, before)
        ]
        yield _change(gear, after, like, kept_by=tuple(kept_by))


def _keeps(table: HoldingTable, mask: int, lost: int, way: int, before: Outcome) -> bool:
    """Whether a one-way clutch keeps a gear on drive when a hold is lost."""
    kept = table.outcome(mask | way, broken=lost)
    return kept.speed == before.speed and not table.overrun_on_drive(kept.held)


def _stuck(
    table: HoldingTable,
    place: int,
    masks: Mapping[str, int],
    outcomes: Mapping[str, Outcome],
    like: _Like,
) -> Iterator[GearChange]:
    """Gears with another outcome when a hold never lets go."""
    bit = 1 << place
    for gear, mask in masks.items():
        before = outcomes[gear]
        if before.held & bit:
            continue
        after = table.outcome(table.swapped(mask, place), seized=bit)
        if (after.kind, after.speed) != (before.kind, before.speed):
            yield _change(gear, after, like)


def _drags(table: HoldingTable, place: int, outcomes: Mapping[str, Outcome]) -> Iterator[Drag]:
    """Speed across a hold in every gear in which it is off and the input can turn."""
    row = table.holds[place].row
    across = " − ".join(row.members)
    for gear, outcome in outcomes.items():
        if outcome.held >> place & 1 or outcome.kind == StateKind.TIE_UP:
            continue
        speed = table.speed_across(outcome.held, place)
        said = f"{_decimal(speed)} per input turn" if speed is not None else "floats"
        yield Drag(
            gear, speed, f"{gear}: {across} {'=' if speed is not None else ''} {said}".replace("  ", " ")
        )


def _decimal(value: Fraction) -> str:
    exact = number(value)
    return f"{exact} = {float(value):.6g}".replace("-", "−") if "/" in exact else exact
