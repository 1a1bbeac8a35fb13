"""Every gear of a chart worked out once: what a train does before anybody asks for a torque or a speed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, lru_cache

from countershaft.errors import OutOfRange
from countershaft.mechanics.chart_check import ChartCheck, check_chart
from countershaft.mechanics.element_roles import ElementRole, element_roles
from countershaft.mechanics.gears import GearLoad, solve_gears
from countershaft.mechanics.network import Network
from countershaft.mechanics.states import StateKind, TrainState, solve_chart
from countershaft.model.train import Train

__all__ = ["WorkedChart", "worked_chart"]


@dataclass(frozen=True)
class WorkedChart:
    """A train with its chart; each answer is worked out when it is first asked for, and kept."""

    network: Network
    gears: tuple[tuple[str, tuple[str, ...]], ...]

    @cached_property
    def chart(self) -> Mapping[str, tuple[str, ...]]:
        """Gear to the elements that are applied in it."""
        return dict(self.gears)

    @cached_property
    def states(self) -> Mapping[str, TrainState]:
        """Every gear with what turns."""
        return solve_chart(self.network, self.chart)

    @cached_property
    def drive(self) -> Mapping[str, GearLoad]:
        """Every gear under a torque of one at the input, without losses."""
        return solve_gears(self.network, self.chart)

    @cached_property
    def coast(self) -> Mapping[str, GearLoad]:
        """Every gear under a torque of minus one at the input, without losses."""
        return solve_gears(self.network, self.chart, input_torque=Fraction(-1))

    @cached_property
    def check(self) -> ChartCheck | None:
        """The chart against all that the train can do; None where that is too much to try."""
        try:
            return check_chart(self.network, self.chart)
        except OutOfRange:
            return None

    @cached_property
    def roles(self) -> Mapping[str, ElementRole]:
        """What each element does in the chart, and what fails with it."""
        return {role.element: role for role in element_roles(self.network, self.chart)}

    def brakes(self, gear: str) -> bool:
        """Whether the engine brakes in a gear: on coast torque passes back to the input."""
        return self.coast[gear].kind is StateKind.DEFINITE


def worked_chart(train: Train) -> WorkedChart:
    """The chart of a train; of the trains asked for last the answers are still there."""
    return _kept(train.network(), tuple((gear, tuple(applied)) for gear, applied in train.chart.items()))


# A shop looks at one unit after the other; a page asks for its train a dozen times.
@lru_cache(maxsize=16)
def _kept(network: Network, gears: tuple[tuple[str, tuple[str, ...]], ...]) -> WorkedChart:
    return WorkedChart(network, gears)
