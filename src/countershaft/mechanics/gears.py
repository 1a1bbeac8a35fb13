"""Every gear of a chart under torque: state, speeds, torques, losses, and what its one-way clutches do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from countershaft.errors import OutOfRange
from countershaft.mechanics.forces import LossPort, loss_ports
from countershaft.mechanics.load import Load
from countershaft.mechanics.losses import Losses
from countershaft.mechanics.network import Network
from countershaft.mechanics.oneways import OneWayAction, settle_one_ways
from countershaft.mechanics.states import StateKind, TrainState

__all__ = ["GearLoad", "engine_braking", "load_gear", "solve_gears"]


@dataclass(frozen=True, slots=True)
class GearLoad:
    """One gear under torque.

    `kind` is that of the state, or self-locking where losses hold the train fast for power in this direction.
    `state` has the speeds, and says of the one-way clutches what they do under this torque.  `load` has the torques;
    None where no torque can pass.
    """

    kind: StateKind
    input_torque: Fraction
    state: TrainState
    load: Load | None
    one_ways: Mapping[str, OneWayAction]

    @property
    def ratio(self) -> Fraction | None:
        """Input speed over output speed."""
        return self.state.ratio

    @property
    def efficiency(self) -> float | None:
        """Power that leaves over power that enters; None without losses, or where none can pass."""
        return self.load.with_losses.efficiency if self.load and self.load.with_losses else None


def solve_gears(
    network: Network,
    chart: Mapping[str, Sequence[str]],
    *,
    input_torque: Fraction | float = 1,
    losses: Losses | None = None,
) -> dict[str, GearLoad]:
    """Every gear of an application chart under one input torque.

    Parameters
    ----------
    network : Network
        The gear train.
    chart : Mapping[str, Sequence[str]] [-]
        Gear to the elements that are applied in it.
    input_torque : Fraction | float [any unit of torque]
        Torque at the input, whose sense of turning is +; negative on coast.
    losses : Losses, optional
        Efficiencies of the meshes or sets; without them the torques are those of a train without losses.

    Returns
    -------
    dict[str, GearLoad]
        Gear to its load.

    Raises
    ------
    TrainError
        An element is not there, or applied twice in one gear.
    OutOfRange
        The torque is no figure, or losses feed back so much that the ways of rolling cannot be searched out.

    References
    ----------
    Müller H.W., Epicyclic Drive Trains, 1982: torques, efficiency and self-locking of planetary trains from the
    rolling power of each (from memory).
    Pennestri E., Freudenstein F., The mechanical efficiency of epicyclic gear trains, Journal of Mechanical Design
    115 (1993) 645-651: mesh by mesh (from memory).

    Examples
    --------
    A set with its ring held, sun 20 and ring 70, every mesh at 0.99; seen from its carrier 7/9 of the power rolls.

    >>> from countershaft.mechanics.gear_sets import SinglePinion
    >>> from countershaft.mechanics.losses import MeshLosses
    >>> from countershaft.mechanics.shift_elements import Brake
    >>> train = Network("S", "C", sets=(SinglePinion("P", "S", "C", "R", 20, 70),), elements=(Brake("B", "R"),))
    >>> gear = solve_gears(train, {"1": ["B"]}, input_torque=100, losses=MeshLosses("0.99"))["1"]
    >>> gear.ratio, {member: int(torque) for member, torque in gear.load.torques.external.items()}
    (Fraction(9, 2), {'S': 100, 'C': -450, 'R': 350})
    >>> round(gear.efficiency, 6), round(1 - 7 / 9 * (1 - 0.99**2), 6)
    (0.984522, 0.984522)
    """
    torque = _torque(input_torque)
    ports = None if losses is None else loss_ports(network.layout, losses)
    return {
        gear: load_gear(network, applied, input_torque=torque, losses=losses, ports=ports)
        for gear, applied in chart.items()
    }


def load_gear(
    network: Network,
    applied: Sequence[str],
    *,
    input_torque: Fraction | float = 1,
    losses: Losses | None = None,
    ports: Sequence[LossPort] | None = None,
) -> GearLoad:
    """One gear under an input torque.

    Parameters
    ----------
    network : Network
        The gear train.
    applied : Sequence[str] [-]
        Shift elements that are applied; one-way clutches act whether they are listed or not.
    input_torque : Fraction | float [any unit of torque]
        Torque at the input; negative on coast.
    losses : Losses, optional
        Efficiencies of the meshes or sets.
    ports : Sequence[LossPort], optional
        The ports that those losses make, where they are at hand.

    Returns
    -------
    GearLoad
        State, torques, and what the one-way clutches do.

    Raises
    ------
    TrainError
        An element is not there, or applied twice.
    OutOfRange
        The torque is no figure, or losses feed back so much that the ways of rolling cannot be searched out.

    Examples
    --------
    >>> from countershaft.mechanics.gear_sets import GearPair
    >>> train = Network("in", "out", pairs=(GearPair("Z", "in", "out", 20, 40),))
    >>> found = load_gear(train, [], input_torque=-5)
    >>> found.kind.value, found.load.torques.external["out"], found.load.torques.bearings
    ('definite', Fraction(-10, 1), Fraction(15, 1))
    """
    torque = _torque(input_torque)
    settled = settle_one_ways(network, applied, torque, losses=losses, ports=ports)
    state, load = settled.state, settled.load
    kind = StateKind.SELF_LOCKING if load is not None and load.self_locking else state.kind
    if settled.one_ways:
        state = _as_listed(network, state, tuple(applied))
    return GearLoad(kind, torque, state, load, settled.one_ways)


def _torque(value: Fraction | float) -> Fraction:
    try:
        return value if isinstance(value, Fraction) else Fraction(value)
    except (ValueError, OverflowError) as cause:
        raise OutOfRange(f"the input torque is {value}; expected a figure, negative on coast.") from cause


def _as_listed(network: Network, state: TrainState, applied: tuple[str, ...]) -> TrainState:
    """The state with what was applied, and beside it the one-way clutches that differ."""
    if state.kind is StateKind.TIE_UP:
        return state
    one_ways = {clutch.id for clutch in network.one_ways}
    return replace(
        state,
        applied=applied,
        redundant=tuple(name for name in state.redundant if name in applied),
        overrunning=tuple(name for name in applied if name in one_ways and name not in state.applied),
        catching=tuple(name for name in state.applied if name not in applied),
    )


def engine_braking(network: Network, applied: Sequence[str]) -> bool:
    """Whether a gear carries torque on coast, so that the engine brakes; without losses.

    Parameters
    ----------
    network : Network
        The gear train.
    applied : Sequence[str] [-]
        Shift elements that are applied.

    Returns
    -------
    bool
        True where torque passes from the output back to the input.

    Raises
    ------
    TrainError
        An element is not there, or applied twice.

    Examples
    --------
    A brake beside the one-way clutch gives engine braking.

    >>> from countershaft.mechanics.gear_sets import SinglePinion
    >>> from countershaft.mechanics.shift_elements import Brake, OneWayToGround
    >>> holds = (Brake("B", "R"), OneWayToGround("W", "R", "+"))
    >>> train = Network("S", "C", sets=(SinglePinion("P", "S", "C", "R", 20, 70),), elements=holds)
    >>> engine_braking(train, ["W"]), engine_braking(train, ["B", "W"])
    (False, True)
    """
    return load_gear(network, applied, input_torque=-1).kind is StateKind.DEFINITE
