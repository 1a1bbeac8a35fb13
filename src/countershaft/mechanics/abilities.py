"""What a train can do: every combination of its shift elements that gives a definite ratio, by ratio.

The count is complete and exact; ratios that are equal are equal fractions.  One-way clutches behave as in
`countershaft.mechanics.states`; where drive torque would make one overrun that the combination needs, it says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from countershaft.errors import OutOfRange
from countershaft.mechanics.constraints import number
from countershaft.mechanics.holding import HoldingTable, Outcome
from countershaft.mechanics.network import Network
from countershaft.mechanics.states import StateKind

__all__ = ["Abilities", "Combination", "RatioGroup", "abilities_of", "in_order", "train_abilities"]

#: More combinations than any gearbox has; at some 0.2 ms each this is half a minute.
_MOST = 1 << 17


@dataclass(frozen=True, slots=True)
class Combination:
    """Elements that give a definite state.

    `needless` could be let go, one at a time, without a change of ratio; among them are one-way clutches that
    overrun.  `fails_on_drive` are one-way clutches that it needs and that drive torque would make overrun, so that
    it is no gear on drive.
    """

    applied: tuple[str, ...]
    needless: tuple[str, ...] = ()
    overrunning: tuple[str, ...] = ()
    catching: tuple[str, ...] = ()
    fails_on_drive: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RatioGroup:
    """One ratio and all combinations that give it, those with the fewest elements first.

    `ratio` is None where gears hold the output still while the input turns: the ratio is infinite.
    """

    ratio: Fraction | None
    combinations: tuple[Combination, ...]

    @property
    def lean(self) -> tuple[tuple[str, ...], ...]:
        """The combinations in which no element is needless and that hold on drive."""
        return tuple(one.applied for one in self.combinations if not (one.needless or one.fails_on_drive))


@dataclass(frozen=True, slots=True)
class Abilities:
    """Every definite ratio of a train: forward from the highest down, then standing still, then reverse.

    `tried`, `neutral` and `tied` count combinations; the rest are definite and stand in `groups`.
    """

    groups: tuple[RatioGroup, ...]
    tried: int
    neutral: int
    tied: int
    working: tuple[str, ...]

    def group(self, ratio: Fraction | None) -> RatioGroup | None:
        """The combinations of one ratio; None where there are none."""
        return next((group for group in self.groups if group.ratio == ratio), None)


def train_abilities(network: Network) -> Abilities:
    """Every ratio that some combination of a train's shift elements gives.

    Parameters
    ----------
    network : Network
        The gear train.

    Returns
    -------
    Abilities
        The ratios, each with its combinations, and how many combinations are neutral or tied up.

    Raises
    ------
    OutOfRange
        The train has more combinations than can be tried.

    References
    ----------
    Hsieh H.-I., Tsai L.-W., The selection of a most efficient clutching sequence associated with automatic
    transmission mechanisms, Journal of Mechanical Design 120 (1998) 514-519: all clutching conditions of a train
    are enumerated, then sequences chosen (from memory).

    Examples
    --------
    A set with its sun driven: hold the ring, hold the carrier, or lock the set.

    >>> from countershaft.mechanics.gear_sets import SinglePinion
    >>> from countershaft.mechanics.shift_elements import Brake, Clutch
    >>> elements = (Brake("B", "R"), Clutch("K", "in", "R"))
    >>> train = Network("in", "out", sets=(SinglePinion("P", "in", "out", "R", 30, 72),), elements=elements)
    >>> [(number(group.ratio), group.lean) for group in train_abilities(train).groups]
    [('3.4', (('B',),)), ('1', (('K',),))]
    """
    return abilities_of(HoldingTable(network))


def abilities_of(table: HoldingTable) -> Abilities:
    r"""The same for a table that is at hand, so that what it has worked out is not worked out again.

    Parameters
    ----------
    table : HoldingTable
        The combinations of a train.

    Returns
    -------
    Abilities
        As for `train_abilities`.

    Raises
    ------
    OutOfRange
        The train has more combinations than can be tried.

    Examples
    --------
    >>> from countershaft.mechanics.gear_sets import GearPair
    >>> table = HoldingTable(Network("in", "out", pairs=(GearPair("Z", "in", "out", 20, 40),)))
    >>> print("\n".join(abilities_of(table).working))
    1 combination of 0 elements: 1 definite in 1 ratio, 0 neutral, 0 tied up
    −2: nothing applied
    """
    count = _count(table)
    if count > _MOST:
        raise OutOfRange(
            f"the train has {count} combinations of shift elements; at most {_MOST} are tried. "
            "Leave out elements that are never used together, such as those of a transfer set."
        )
    outcomes = {mask: table.outcome(mask) for mask in table.masks()}
    found: dict[Fraction, list[int]] = {}
    for mask, outcome in outcomes.items():
        if outcome.speed is not None:
            found.setdefault(outcome.speed, []).append(mask)
    groups = tuple(
        RatioGroup(1 / speed if speed else None, _combinations(table, outcomes, masks))
        for speed, masks in sorted(found.items(), key=lambda item: in_order(1 / item[0] if item[0] else None))
    )
    kinds = [outcome.kind for outcome in outcomes.values()]
    neutral, tied = kinds.count(StateKind.NEUTRAL), kinds.count(StateKind.TIE_UP)
    line = (
        f"{_counted(count, 'combination')} of {_counted(len(table.network.elements), 'element')}: "
        f"{count - neutral - tied} definite in {_counted(len(groups), 'ratio')}, {neutral} neutral, {tied} tied up"
    )
    return Abilities(groups, count, neutral, tied, (line, *_listed(groups)))


def in_order(ratio: Fraction | None) -> tuple[int, Fraction]:
    """Place of a ratio in a list: forward from the highest down, then standing still, then reverse likewise.

    Parameters
    ----------
    ratio : Fraction | None [-]
        The ratio; None where the output stands still.

    Returns
    -------
    tuple[int, Fraction] [-]
        A key to sort by.

    Examples
    --------
    >>> ratios = [Fraction(-2), None, Fraction(1), Fraction(-3), Fraction(4)]
    >>> [ratio and number(ratio) for ratio in sorted(ratios, key=in_order)]
    ['4', '1', None, '−3', '−2']
    """
    if ratio is None:
        return (1, Fraction(0))
    return (0, -ratio) if ratio > 0 else (2, ratio)


def _count(table: HoldingTable) -> int:
    count = 1
    for element in dict.fromkeys(hold.element for hold in table.holds):
        count *= 1 + sum(hold.element == element for hold in table.holds)
    return count


def _combinations(
    table: HoldingTable, outcomes: dict[int, Outcome], masks: list[int]
) -> tuple[Combination, ...]:
    return tuple(
        Combination(
            table.names(mask),
            needless=table.names(_needless(outcomes, mask)),
            overrunning=table.names(outcomes[mask].overrunning),
            catching=table.names(outcomes[mask].catching),
            fails_on_drive=table.names(table.overrun_on_drive(outcomes[mask].held)),
        )
        for mask in sorted(masks, key=lambda mask: (mask.bit_count(), table.names(mask)))
    )


def _needless(outcomes: dict[int, Outcome], mask: int) -> int:
    """The holds that may be let go, one at a time, without a change of the output's speed."""
    single = (1 << place for place in range(mask.bit_length()) if mask >> place & 1)
    return sum(bit for bit in single if outcomes[mask ^ bit].speed == outcomes[mask].speed)


def _listed(groups: tuple[RatioGroup, ...]) -> tuple[str, ...]:
    return tuple(
        f"{number(group.ratio) if group.ratio is not None else 'output held'}: "
        + (", or ".join(" + ".join(names) or "nothing applied" for names in group.lean) or "not on drive")
        for group in groups
    )


def _counted(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"
