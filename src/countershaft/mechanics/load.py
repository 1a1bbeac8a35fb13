"""A train under load: torques without losses and with them, efficiency, and what each mesh loses.

Where several ways of rolling are consistent, those count in which power leaves where it should: with power going in
at the given torques it leaves at the members that react, and the other way round.  Where there is none, friction
holds the train fast: it is *self-locking* for power in that direction.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from countershaft.errors import OutOfRange, TrainError
from countershaft.mechanics.constraints import RowKind
from countershaft.mechanics.forces import Equations, Forces, Loading, LossPort, equations, loss_ports
from countershaft.mechanics.layout import merge
from countershaft.mechanics.losses import Losses
from countershaft.mechanics.meshes import Mesh
from countershaft.mechanics.network import Network, nearest
from countershaft.mechanics.rolling import rolling_ways
from countershaft.mechanics.speeds import Speeds
from countershaft.mechanics.states import TrainState
from countershaft.mechanics.statics import Torques, torques_of, whole_speeds

__all__ = ["Load", "LossBalance", "MeshLoad", "balance", "load_state", "solve_load"]


class MeshLoad(NamedTuple):
    """What one mesh carries, seen from its carrier.

    `torque` acts on the first wheel of the mesh; None where that is a planet.  `power` is what enters the mesh,
    positive from the first wheel to the second; `loss` is what it loses.  Both are per unit of speed of the input:
    torque times speed per turn of the input.
    """

    mesh: Mesh
    torque: float | None
    power: float
    loss: float


@dataclass(frozen=True, slots=True)
class LossBalance:
    """A train in balance with its losses.

    `efficiency` is the power that leaves over the power that enters; `torque_ratio` is the reacting torque over the
    given one, taken negative so that it compares with the ratio of speeds, and None where several members react.
    `lost` is the power lost in all meshes.  `ways` counts the ways of rolling that drive; where there are more than
    one, a part of the train can wedge, and the figures are those of the way that loses least.
    """

    torques: Torques[float]
    meshes: tuple[MeshLoad, ...]
    efficiency: float | None
    torque_ratio: float | None
    lost: float
    ways: int


@dataclass(frozen=True, slots=True)
class Load:
    """A train under given torques.

    `torques` is None where the loads cannot be held at all.  `with_losses` is None where no losses were asked, where
    the train is `self_locking`, or where `unsaid` names meshes whose share of the load statics does not say.
    """

    given: Mapping[str, Fraction]
    reacting: tuple[str, ...]
    speeds: Mapping[str, Fraction]
    torques: Torques[Fraction] | None
    losses: Losses | None = None
    with_losses: LossBalance | None = None
    self_locking: bool = False
    unsaid: tuple[str, ...] = ()


def solve_load(
    network: Network,
    turning: Speeds,
    *,
    torques: Mapping[str, Fraction | int],
    reacting: Sequence[str],
    losses: Losses | None = None,
) -> Load:
    """Torques of a turning train from given torques, with any number of inputs and outputs.

    Parameters
    ----------
    network : Network
        The gear train.
    turning : Speeds
        Its speeds, from `solve_speeds`; what holds there holds here, one-way clutches like any other element.
    torques : Mapping[str, Fraction | int] [any unit of torque]
        Member to the external torque that acts there.
    reacting : Sequence[str] [-]
        Members at which an external torque is to be found; what is held still reacts without being named.
    losses : Losses, optional
        Efficiencies of the meshes or sets.

    Returns
    -------
    Load
        Speeds and torques.

    Raises
    ------
    TrainError
        A member is not there, is given a torque and is to react as well, or losses leave a torque that nothing holds.
    OutOfRange
        The losses feed back so much that the ways of rolling cannot be searched out.

    References
    ----------
    Khurmi R.S., Gupta J.K., Theory of Machines, 14th ed. 2009, ch. 13, Example 13.20: 100 N m on a sun of 16 teeth
    need 400 N m to hold a ring of 64.

    Examples
    --------
    >>> from countershaft.mechanics.gear_sets import SinglePinion
    >>> from countershaft.mechanics.speeds import solve_speeds
    >>> train = Network("S", "C", sets=(SinglePinion("P", "S", "C", "R", 16, 64),))
    >>> found = solve_load(train, solve_speeds(train, given={"S": 5}, held=["R"]), torques={"S": 100}, reacting=["C"])
    >>> {member: int(torque) for member, torque in found.torques.external.items()}
    {'S': 100, 'C': -500, 'R': 400}
    """
    for member in (*torques, *reacting):
        if member not in network.members:
            raise TrainError(f"the train has no member {member!r}; {nearest(member, network.members)}")
        if member in torques and member in reacting:
            raise TrainError(
                f"{member} has a given torque and is to react as well; leave it out of one of the two."
            )
    rows = [row for row in turning.matrix.rows if row.kind not in (RowKind.SET, RowKind.PAIR)]
    layout = network.layout_with([*torques, *reacting, *(member for row in rows for member in row.members)])
    ties = tuple(
        (row.origin if row.kind is RowKind.ELEMENT else "", layout.tie(row.members))
        for row in rows
        if row.kind is not RowKind.GIVEN
    )
    loads = {layout.place[member]: Fraction(torque) for member, torque in torques.items()}
    places = tuple(layout.place[member] for member in dict.fromkeys(reacting))
    whole, pace = whole_speeds(layout, turning.values)
    label = merge(len(layout.members), [tie for _, tie in ties])
    return balance(Loading(layout, label, ties, loads, places, whole, pace), turning.values, losses)


def load_state(
    network: Network,
    state: TrainState,
    input_torque: Fraction,
    *,
    losses: Losses | None = None,
    ports: Sequence[LossPort] | None = None,
) -> Load:
    """Torques of a definite state, driven at the input, with the output reacting.

    Parameters
    ----------
    network : Network
        The gear train.
    state : TrainState
        A definite state; one-way clutches that overrun in it carry nothing, and those that catch hold.
    input_torque : Fraction [any unit of torque]
        Torque at the input; negative on coast.
    losses : Losses, optional
        Efficiencies of the meshes or sets.
    ports : Sequence[LossPort], optional
        The ports that those losses make, where they are at hand.

    Returns
    -------
    Load
        Torques without losses, and with them where they were asked.

    Raises
    ------
    OutOfRange
        The losses feed back so much that the ways of rolling cannot be searched out.

    Examples
    --------
    >>> from countershaft.mechanics.gear_sets import GearPair
    >>> from countershaft.mechanics.states import solve_held
    >>> train = Network("in", "out", pairs=(GearPair("Z", "in", "out", 20, 40),))
    >>> load_state(train, solve_held(train, ()), Fraction(100)).torques.external["out"]
    Fraction(200, 1)
    """
    layout, speeds = network.layout, state.speeds
    label, ties = network.nodes(state.holding)
    whole, pace = whole_speeds(layout, speeds)
    loads, reacting = {layout.place[network.input]: input_torque}, (layout.place[network.output],)
    return balance(Loading(layout, label, ties, loads, reacting, whole, pace), speeds, losses, ports)


def balance(
    loading: Loading,
    speeds: Mapping[str, Fraction],
    losses: Losses | None,
    ports: Sequence[LossPort] | None = None,
) -> Load:
    """Torques of a train that is ready for solving.

    Parameters
    ----------
    loading : Loading
        What acts on the train.
    speeds : Mapping[str, Fraction] [any unit of speed]
        Speed of each member that has one.
    losses : Losses | None
        Efficiencies of the meshes or sets.
    ports : Sequence[LossPort], optional
        The ports that those losses make, where they are at hand.

    Returns
    -------
    Load
        The torques without losses, and with them where they were asked.

    Raises
    ------
    TrainError
        Losses leave a torque that nothing can hold.
    OutOfRange
        The losses feed back so much that the ways of rolling cannot be searched out.

    Examples
    --------
    >>> from countershaft.mechanics.gear_sets import GearPair
    >>> from countershaft.mechanics.layout import Layout
    >>> from countershaft.mechanics.losses import MeshLosses
    >>> layout = Layout.of(("a", "b"), [GearPair("Z", "a", "b", 20, 40)], ())
    >>> loading = Loading(layout, [1, 2, 0], [], {0: Fraction(1)}, [1], (2, -1, 0))
    >>> found = balance(loading, {"a": Fraction(1), "b": Fraction(-1, 2)}, MeshLosses("0.98"))
    >>> found.with_losses.efficiency, found.with_losses.torque_ratio
    (0.98, -1.96)
    """
    layout = loading.layout
    if ports is None:
        ports = () if losses is None else loss_ports(layout, losses)
    found = equations(loading, ports)
    given = {layout.members[place]: torque for place, torque in loading.loads.items()}
    reacting = tuple([layout.members[place] for place in loading.reacting])
    if not found.balanced:
        return Load(given, reacting, speeds, None, losses)
    lossless = found.lossless()
    unsaid = tuple([one.mesh.id for port in found.open_kinks for one in port.meshes])
    if losses is None or unsaid or lossless.open:
        return Load(given, reacting, speeds, torques_of(loading, lossless)[0], losses, unsaid=unsaid)
    way, count = _rolled(loading, found)
    torques, with_losses = torques_of(loading, lossless, way.forces if way else None)
    if way is None or with_losses is None:
        return Load(given, reacting, speeds, torques, losses, self_locking=True)
    return Load(given, reacting, speeds, torques, losses, _told(loading, way, ports, with_losses, count))


class _Rolled(NamedTuple):
    """The forces in one way of rolling, and the power at the given and at the reacting torques."""

    forces: Forces
    given: int
    reacting: int

    @property
    def drives(self) -> bool:
        """Whether power leaves where it should, or none is given."""
        return self.given * self.reacting < 0 or not self.given

    @property
    def share_lost(self) -> Fraction:
        """The share of the entering power that is lost."""
        into, out = max(self.given, self.reacting), -min(self.given, self.reacting)
        return Fraction(into - out, into) if into else Fraction(0)


def _rolled(loading: Loading, found: Equations) -> tuple[_Rolled | None, int]:
    """The way of rolling that drives and loses least, and how many ways drive; None where none does."""
    loaded = found.loaded_kinks()
    rollers = found.rollers(loaded)
    search = rolling_ways(rollers)
    forces = [found.lossy(way, loaded, rollers) for way in search.ways]
    balanced = [_Rolled(each, *_powers(loading, each)) for each in forces if each is not None]
    if search.ways and not balanced:
        raise TrainError(
            "with losses the given torques do not balance; name one more member that reacts, or give one torque less."
        )
    driving = [way for way in balanced if way.drives]
    if not driving and not search.complete:
        raise OutOfRange(
            "the losses feed back so strongly that the ways of rolling cannot be searched out; "
            "look at efficiencies that are far too low, or at sets that drive each other round in a circle."
        )
    if len(driving) < 2:
        return (driving[0] if driving else None), len(driving)
    return min(driving, key=lambda way: way.share_lost), len(driving)


def _powers(loading: Loading, forces: Forces) -> tuple[int, int]:
    """Power at the given and at the reacting torques."""
    given, reacting = 0, 0
    for place, torque in forces.acting.items():
        power = torque * (loading.speeds[place] or 0)
        if place in loading.loads:
            given += power
        else:
            reacting += power
    return given, reacting


def _told(
    loading: Loading, way: _Rolled, ports: Sequence[LossPort], torques: Torques[float], ways: int
) -> LossBalance:
    into, out = max(way.given, way.reacting), -min(way.given, way.reacting)
    acting, ratio = way.forces.acting, None
    if len(acting) == 2 and len(loading.loads) == 1:
        (place,), (member,) = loading.loads, loading.reacting
        ratio = -acting[member] / acting[place] if acting[place] else None
    meshes: list[MeshLoad] = []
    for port in ports:
        _add_mesh_loads(meshes, loading, way.forces, port)
    return LossBalance(
        torques,
        tuple(meshes),
        efficiency=out / into if into else None,
        torque_ratio=ratio,
        lost=(into - out) / (way.forces.shared * loading.pace),
        ways=ways,
    )


def _add_mesh_loads(found: list[MeshLoad], loading: Loading, forces: Forces, port: LossPort) -> None:
    """The meshes of a port one after the other, in the order in which power passes them."""
    spokes, torques, shared = loading.layout.spokes[port.star], forces.ports[port.star], forces.shared
    speed, carrier = loading.speeds[spokes.places[port.port]], loading.speeds[spokes.carrier]
    torque, power = torques[port.port], 0.0
    if torque and speed is not None and carrier is not None:
        power = torque * (speed - carrier) / (shared * loading.pace)
    if not power:
        for mesh, _, _, place in port.meshes:
            found.append(MeshLoad(mesh, None if place is None else (torques[place] or 0) / shared, 0.0, 0.0))
        return
    inward = power > 0
    entering = power if inward else -power / port.kept
    for mesh, efficiency, near, place in port.meshes if inward else port.meshes[::-1]:
        loss = entering * (1 - efficiency)
        first = None if place is None else (torques[place] or 0) / shared
        found.append(MeshLoad(mesh, first, entering if near == inward else -entering, loss))
        entering -= loss
