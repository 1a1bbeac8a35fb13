"""How wide the power flows in every line of a drawing, from what sets and elements take and hand on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from countershaft.figures.train_layout import Layout, Tap, Wire
from countershaft.figures.train_router import Cell
from countershaft.mechanics.powerflow import PowerFlow

__all__ = ["PowerShares", "level", "power_shares", "wire_shares"]

_LEVELS = 12
_PER_INPUT = 8
_LEAST = 0.005


@dataclass(frozen=True, slots=True)
class PowerShares:
    """Power over that of the input.

    `parts` holds, for each set and pair, what each member hands to it; `elements` what the first member of a
    clutch hands to the second.
    """

    parts: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    elements: Mapping[str, float] = field(default_factory=dict)


def power_shares(flow: PowerFlow) -> PowerShares:
    """The power of a loaded train over what enters it; nothing where nothing enters."""
    if not flow.entering:
        return PowerShares()
    parts = {
        part.origin: {member: float(power / flow.entering) for member, power in part.into.items()}
        for part in flow.sets
    }
    return PowerShares(parts, {name: float(power / flow.entering) for name, power in flow.elements.items()})


def level(share: float) -> int:
    """Width of a band, 1 to 12; 8 is all of the input's power, 0 where there is none worth drawing."""
    if abs(share) < _LEAST:
        return 0
    return min(max(round(abs(share) * _PER_INPUT), 1), _LEVELS)


def wire_shares(layout: Layout, shares: PowerShares) -> dict[Wire, float]:
    """Power in every line: what enters and leaves its member on the one side of it."""
    network = layout.schematic.network
    found: dict[Wire, float] = {}
    for member in layout.schematic.axis_of:
        wires = [wire for wire in layout.wires if wire.member == member]
        taps = [tap for tap in layout.taps if tap.member == member]
        node = {cell: tap.cells[0] for tap in taps for cell in tap.cells}
        links = {wire: tuple(node.get(cell, cell) for cell in wire.ends) for wire in wires}
        given = {tap: _given(tap, shares, network.input) for tap in taps}
        for wire in wires:
            if len(set(links[wire])) == 1:
                found[wire] = max(abs(given[tap]) for tap in taps if wire.ends[0] in tap.cells)
                continue
            side = _side(links, wire)
            inner = [tap for tap in taps if tap.cells[0] in side]
            if any(tap.end == "out" for tap in inner):
                inner = [tap for tap in taps if tap not in inner]
            found[wire] = abs(sum(given[tap] for tap in inner))
    return found


def _given(tap: Tap, shares: PowerShares, entrance: str) -> float:
    """Power that enters a member at one place."""
    if tap.end:
        return 1.0 if tap.member == entrance else 0.0
    if tap.part:
        return -shares.parts.get(tap.part, {}).get(tap.member, 0.0)
    sleeve = tap.element.partition(":")[0]
    return tap.sign * shares.elements.get(tap.element, shares.elements.get(sleeve, 0.0))


def _side(links: Mapping[Wire, tuple[Cell, ...]], cut: Wire) -> set[Cell]:
    """The cells that one end of a line reaches without it."""
    reached = {links[cut][0]}
    waiting = [links[cut][0]]
    while waiting:
        cell = waiting.pop()
        for wire, ends in links.items():
            if wire != cut and cell in ends:
                fresh = [end for end in ends if end not in reached]
                reached.update(fresh)
                waiting.extend(fresh)
    return reached
