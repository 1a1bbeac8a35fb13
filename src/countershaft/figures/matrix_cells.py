"""What stands in the cells of a shift matrix: which element does what in which gear, and what a shift changes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise

from countershaft.figures.train_words import listed
from countershaft.mechanics.chart_check import ChartCheck
from countershaft.mechanics.gears import GearLoad
from countershaft.mechanics.network import Network
from countershaft.mechanics.oneways import OneWayDoes
from countershaft.mechanics.shift_elements import Sleeve
from countershaft.mechanics.states import StateKind

__all__ = ["Also", "Cell", "Change", "Row", "also_possible", "changes", "columns_of", "in_words", "rows_of"]


class Cell(StrEnum):
    """What an element does in a gear, as the key says it."""

    APPLIED = "applied"
    HOLDS = "one-way clutch, holds"
    OVERRUNS = "one-way clutch, overruns"
    SLACK = "one-way clutch, carries nothing"
    OFF = "off"


@dataclass(frozen=True, slots=True)
class Row:
    """One gear: its cells in the order of the columns, its ratio or what it is instead, and its engine braking."""

    gear: str
    cells: tuple[Cell, ...]
    ratio: Fraction | None
    kind: str
    braking: bool | None

    @property
    def holding(self) -> frozenset[int]:
        """The columns whose elements hold."""
        return frozenset(at for at, cell in enumerate(self.cells) if cell in (Cell.APPLIED, Cell.HOLDS))


@dataclass(frozen=True, slots=True)
class Change:
    """What changes from one row to the next: columns that let go and that take hold; None where nothing shifts."""

    off: tuple[int, ...]
    on: tuple[int, ...]
    step: Fraction | None


@dataclass(frozen=True, slots=True)
class Also:
    """A ratio that no gear uses, the leanest way to it, and how many others there are."""

    ratio: Fraction
    cells: tuple[Cell, ...]
    others: int


def columns_of(network: Network) -> tuple[str, ...]:
    """The elements as a chart names them, a sleeve once for each of its positions."""
    found: list[str] = []
    for element in network.elements:
        if isinstance(element, Sleeve):
            found += [f"{element.id}:{name}" for name, _ in element.positions]
        else:
            found.append(element.id)
    return tuple(found)


def rows_of(
    network: Network, drive: Mapping[str, GearLoad], coast: Mapping[str, GearLoad]
) -> tuple[Row, ...]:
    """One row for each gear, under drive torque; with engine braking where torque passes on coast as well."""
    rows = []
    for gear, load in drive.items():
        cells = _cells(network, load.state.applied, load)
        braking = coast[gear].kind is StateKind.DEFINITE if load.ratio is not None and gear in coast else None
        rows.append(Row(gear, cells, load.ratio, _kind(load), braking))
    return tuple(rows)


def _kind(load: GearLoad) -> str:
    if load.kind is StateKind.DEFINITE and load.ratio is None:
        return "at rest"
    return load.kind.value


def _cells(network: Network, applied: Sequence[str], load: GearLoad | None) -> tuple[Cell, ...]:
    """One cell per column; without a load a one-way clutch that is named holds."""
    on = {_full_name(network, name) for name in applied}
    one_ways = {clutch.id for clutch in network.one_ways}
    doing = load.one_ways if load is not None else {}
    cells = []
    for column in columns_of(network):
        if column not in one_ways:
            cells.append(Cell.APPLIED if column in on else Cell.OFF)
        elif column in doing:
            cells.append(_one_way(doing[column].does, column in on))
        else:
            cells.append(Cell.HOLDS if column in on else Cell.OFF)
    return tuple(cells)


def _one_way(does: OneWayDoes, named: bool) -> Cell:
    if does is OneWayDoes.SLACK:
        return Cell.SLACK if named else Cell.OFF
    return Cell.HOLDS if does is OneWayDoes.HOLDS else Cell.OVERRUNS


def _full_name(network: Network, name: str) -> str:
    """A sleeve of one position may be applied by its own name."""
    for element in network.elements:
        if isinstance(element, Sleeve) and element.id == name:
            return f"{name}:{element.positions[0][0]}"
    return name


def changes(rows: Sequence[Row], check: ChartCheck | None) -> tuple[Change | None, ...]:
    """What changes between each row and the next: between gears of one sense and different ratio, else None."""
    steps: dict[frozenset[Fraction], Fraction] = {}
    if check is not None:
        for one in check.steps:
            steps[frozenset((check.ratios[one.gear], check.ratios[one.next_gear]))] = one.step
    found: list[Change | None] = []
    for row, after in pairwise(rows):
        before, then = row.ratio, after.ratio
        if before is None or then is None or before * then < 0 or before == then:
            found.append(None)
            continue
        off, on = row.holding - after.holding, after.holding - row.holding
        found.append(Change(tuple(sorted(off)), tuple(sorted(on)), steps.get(frozenset((before, then)))))
    return tuple(found)


def also_possible(network: Network, check: ChartCheck | None) -> tuple[Also, ...]:
    """Ratios that the train can give on drive and that no gear uses."""
    if check is None:
        return ()
    return tuple(
        Also(one.ratio, _cells(network, one.combinations[0], None), len(one.combinations) - 1)
        for one in check.skipped
        if one.combinations
    )


def in_words(columns: Sequence[str], rows: Sequence[Row], shifts: Sequence[Change | None]) -> Iterator[str]:
    """Each gear, and each shift to the next, as a sentence without its stop."""
    for place, row in enumerate(rows):
        yield _row_in_words(columns, row)
        change = shifts[place] if place < len(shifts) else None
        if change is not None:
            off = f"{listed([columns[at] for at in change.off])} off" if change.off else ""
            on = f"{listed([columns[at] for at in change.on])} on" if change.on else ""
            what = ", ".join(filter(None, (off, on))) or "no element changes"
            step = f", step {float(change.step):.3f}" if change.step is not None else ""
            yield f"{row.gear} to {rows[place + 1].gear}: {what}{step}"


def _row_in_words(columns: Sequence[str], row: Row) -> str:
    parts = []
    for cell in (Cell.APPLIED, Cell.HOLDS, Cell.OVERRUNS, Cell.SLACK):
        names = [column for column, its in zip(columns, row.cells, strict=True) if its is cell]
        if names:
            parts.append(f"{listed(names)} {cell.value.removeprefix('one-way clutch, ')}")
    parts.append(f"ratio {float(row.ratio):.3f}".replace("-", "−") if row.ratio is not None else row.kind)
    if row.braking is not None:
        parts.append("engine braking" if row.braking else "no engine braking")
    return f"Gear {row.gear}: {', '.join(parts)}"
