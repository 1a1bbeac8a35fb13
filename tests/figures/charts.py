"""Every chart that ladder and matrix are judged on: the states of the published cases, and those of the demos."""

from __future__ import annotations

from dataclasses import dataclass, replace

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import Brake, Clutch
from countershaft.mechanics.states import TrainState, solve_chart
from tests.published.test_gear_trains import CASES, train_of


@dataclass(frozen=True)
class Charted:
    """A train with its chart."""

    name: str
    network: Network
    chart: dict[str, tuple[str, ...]]

    def states(self) -> dict[str, TrainState]:
        """The state of every gear."""
        return solve_chart(self.network, self.chart)


def _published() -> list[Charted]:
    """The published cases: what they hold or lock by hand becomes a brake or a clutch of that name."""
    found: dict[Network, Charted] = {}
    for case in CASES:
        for state, asked in case["inputs"]["states"].items():
            network = train_of(case, state).network()
            held = [Brake(f"hold {member}", member) for member in asked.get("held", [])]
            locked = [Clutch(f"lock {a} {b}", a, b) for a, b in asked.get("locked", [])]
            applied = (*asked.get("applied", []), *(by_hand.id for by_hand in (*held, *locked)))
            charted = found.setdefault(network, Charted(f"{case['id']} {state}", network, {}))
            known = {element.id for element in charted.network.elements}
            added = tuple(by_hand for by_hand in (*held, *locked) if by_hand.id not in known)
            found[network] = replace(
                charted,
                network=replace(charted.network, elements=(*charted.network.elements, *added)),
                chart={**charted.chart, state: applied},
            )
    return list(found.values())


def _demo(name: str) -> Charted:
    train = read_transmission(library_text(name), name).train
    assert train is not None
    return Charted(name, train.network(), {gear: tuple(applied) for gear, applied in train.chart.items()})


CHARTS = {
    charted.name: charted
    for charted in (
        *_published(),
        _demo("demo-a"),
        _demo("demo-b"),
        _demo("demo-c"),
    )
}
