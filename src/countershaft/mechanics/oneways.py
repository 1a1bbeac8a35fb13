"""One-way clutches under torque: each holds or overruns, as speeds and torques allow together.

A one-way clutch cannot turn against its free direction, can hold only against that direction, and where it turns it
carries nothing: speed and torque, each in its allowed sense, are never both there (a complementarity problem).
Which of them hold depends on whether the input drives or is dragged along, so drive and coast are two problems.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from itertools import combinations

from countershaft.mechanics.forces import LossPort
from countershaft.mechanics.load import Load, load_state
from countershaft.mechanics.losses import Losses
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import OneWay, OneWayToGround
from countershaft.mechanics.states import StateKind, TrainState, solve_held, solve_state

__all__ = ["OneWayAction", "OneWayDoes", "Settled", "settle_one_ways"]


class OneWayDoes(StrEnum):
    """What a one-way clutch does: `slack` is neither holding nor turning, or turning as it likes in a neutral."""

    HOLDS = "holds"
    OVERRUNS = "overruns"
    SLACK = "slack"


@dataclass(frozen=True, slots=True)
class OneWayAction:
    """What a one-way clutch does in one state.

    `torque` is that without losses and follows the convention of elements; None where the clutch shares a load with
    another element that holds the same members.  `speed` is that of its member, of two the first's less the second's,
    per input turn; None where it is open.
    """

    does: OneWayDoes
    torque: Fraction | None
    speed: Fraction | None


@dataclass(frozen=True, slots=True)
class Settled:
    """A state in which every one-way clutch does what its torque and speed allow, and its load if it is definite.

    `state` names under `applied` what really holds.
    """

    state: TrainState
    load: Load | None
    one_ways: Mapping[str, OneWayAction]


def settle_one_ways(
    network: Network,
    applied: Sequence[str],
    input_torque: Fraction,
    *,
    losses: Losses | None = None,
    ports: Sequence[LossPort] | None = None,
) -> Settled:
    """State of a train whose input turns once under torque, with its one-way clutches holding or overrunning.

    Parameters
    ----------
    network : Network
        The gear train.
    applied : Sequence[str] [-]
        Shift elements that are applied; one-way clutches act whether they are listed or not.
    input_torque : Fraction [any unit of torque]
        Torque at the input; negative on coast.
    losses : Losses, optional
        Efficiencies of the meshes or sets.
    ports : Sequence[LossPort], optional
        The ports that those losses make, where they are at hand.

    Returns
    -------
    Settled
        The state, its load, and what each one-way clutch does.  Where no state with torque agrees with all of them,
        the state is neutral, or a tie-up, and there is no load.

    Raises
    ------
    TrainError
        An element is not there, or applied twice.
    OutOfRange
        The losses feed back so much that the ways of rolling cannot be searched out.

    References
    ----------
    Pfeiffer F., Glocker C., Multibody Dynamics with Unilateral Contacts, 1996: freewheels as complementarity
    conditions (from memory).

    Examples
    --------
    First gear drives through a one-way clutch; on coast the output runs ahead.

    >>> from countershaft.mechanics.gear_sets import GearPair
    >>> from countershaft.mechanics.shift_elements import OneWayBetween
    >>> pair, ahead = GearPair("1", "in", "w", 20, 40, internal=True), OneWayBetween("W", "out", "w", "+")
    >>> train = Network("in", "out", pairs=(pair,), elements=(ahead,), further=("out",))
    >>> for torque in (1, -1):
    ...     found = settle_one_ways(train, [], Fraction(torque))
    ...     print(found.state.kind.value, found.one_ways["W"].does.value, found.one_ways["W"].torque)
    definite holds -2
    neutral slack 0
    """
    clutches = {clutch.id: clutch for clutch in network.one_ways}
    fixed = tuple(name for name in applied if name not in clutches)
    if not clutches:
        state = solve_held(network, fixed)
        if state.ratio is None:
            return Settled(state, None, {})
        return Settled(state, load_state(network, state, input_torque, losses=losses, ports=ports), {})
    trial = _Trial(network, fixed, clutches, input_torque, losses, ports)
    plain = solve_state(network, applied)
    for held in _choices(plain, tuple(clutches)):
        state, load = trial.holding(held)
        if load is not None and load.torques is not None and trial.agrees(held, state, load):
            return Settled(state, load, trial.actions(state, load))
    # No torque can pass: what drives, or is dragged along, spins free or is tied up.
    state = plain if plain.kind is not StateKind.DEFINITE else solve_held(network, fixed)
    return Settled(state, None, trial.actions(state, None))


def _choices(plain: TrainState, names: Sequence[str]) -> Iterator[tuple[str, ...]]:
    """Which one-way clutches may hold: first those that speeds alone make hold, then every other choice."""
    guess = tuple(
        name for name in names if name in (*plain.applied, *plain.catching) and name not in plain.overrunning
    )
    yield guess
    for count in range(len(names) + 1):
        yield from (choice for choice in combinations(names, count) if choice != guess)


@dataclass(frozen=True)
class _Trial:
    """States of one train with some of its one-way clutches holding, tried under one torque."""

    network: Network
    fixed: tuple[str, ...]
    clutches: Mapping[str, OneWay]
    input_torque: Fraction
    losses: Losses | None
    ports: Sequence[LossPort] | None

    def holding(self, held: Sequence[str]) -> tuple[TrainState, Load | None]:
        """The state with some holding, and its load where it drives."""
        state = solve_held(self.network, (*self.fixed, *held))
        if state.ratio is None:
            return state, None
        load = load_state(self.network, state, self.input_torque, losses=self.losses, ports=self.ports)
        return state, load

    def agrees(self, held: Sequence[str], state: TrainState, load: Load) -> bool:
        """Whether none that holds pulls the wrong way, and none that does not hold turns the wrong way."""
        slips = (self._slip(name, state) for name in self.clutches if name not in held)
        if any(slip is not None and slip < 0 for slip in slips):
            return False
        return all(self._can_hold(name, held, load) for name in held)

    def _can_hold(self, name: str, held: Sequence[str], load: Load) -> bool:
        torque = self._torque(name, load)
        if torque is None:
            # It shares with another element; alone, that one shows the sense in which both are pulled.
            _, other = self.holding([each for each in held if each != name])
            ties = self.network.ties
            beside = [each for each in (*self.fixed, *held) if each != name and ties[each] == ties[name]]
            pulls = [self._torque(each, other) for each in beside] if other is not None else []
            torque = next((pull for pull in pulls if pull is not None), Fraction(0))
        return torque * self._sense(name) >= 0

    def _torque(self, name: str, load: Load) -> Fraction | float | None:
        """Torque of an element, with its losses where there are any."""
        if load.with_losses is not None:
            return load.with_losses.torques.elements.get(name)
        return load.torques.elements.get(name) if load.torques is not None else None

    def _sense(self, name: str) -> int:
        """Sign that the clutch's torque has where it holds."""
        clutch = self.clutches[name]
        sign = 1 if clutch.free_direction == "+" else -1
        return sign if isinstance(clutch, OneWayToGround) else -sign

    def _slip(self, name: str, state: TrainState) -> Fraction | None:
        """Speed in the free direction; None where it is open."""
        weights = self.clutches[name].weights()
        if any(member not in state.speeds for member in weights):
            return None
        return sum((state.speeds[member] * weight for member, weight in weights.items()), Fraction(0))

    def actions(self, state: TrainState, load: Load | None) -> dict[str, OneWayAction]:
        """What each one-way clutch does."""
        found = {}
        for name, clutch in self.clutches.items():
            slip = self._slip(name, state)
            speed = None if slip is None else slip if clutch.free_direction == "+" else -slip
            if load is not None and load.torques is not None and name in state.applied:
                torque = load.torques.elements.get(name)
                found[name] = OneWayAction(OneWayDoes.HOLDS, torque, speed)
            else:
                does = OneWayDoes.OVERRUNS if slip else OneWayDoes.SLACK
                found[name] = OneWayAction(does, Fraction(0), speed)
        return found
