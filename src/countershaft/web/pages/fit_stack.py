"""The stack-up of a fit as its page shows it: every dimension, how wide it is, and its share of the whole."""

from __future__ import annotations

from dataclasses import dataclass

from countershaft.metrology.readings import uncertainty_places
from countershaft.model.fits import Fit
from countershaft.model.transmission import Transmission
from countershaft.stages.fit import FitState, placed_sizes
from countershaft.stages.fit_stack import Stack, stacks
from countershaft.stages.fit_voids import rests_on
from countershaft.web.pages.shown import Working

__all__ = ["StackRow", "StackTable", "named_rests", "stack_tables", "stated_u"]


@dataclass(frozen=True, slots=True)
class StackRow:
    """One dimension: its value, how far it may be off, and its share by worst case and by root sum square."""

    name: str
    value: str
    worst: str
    share: str


@dataclass(frozen=True, slots=True)
class StackTable:
    """One gap of a fit as the sum of its dimensions."""

    name: str
    rows: tuple[StackRow, ...]
    sums: tuple[tuple[str, str], ...]
    working: Working


def stack_tables(now: FitState) -> tuple[StackTable, ...]:
    """The gaps of a fit with what is in, or would go in; empty before anything is known."""
    return tuple(_table(one, now.fit) for one in stacks(now.found, now.seats, placed_sizes(now)))


def _table(one: Stack, fit: Fit) -> StackTable:
    sums, unit = one.sums, one.unit
    rows = tuple(
        StackRow(
            link.name,
            f"{_signed(link.sensitivity)}{link.middle:.4g}".replace("-", "−"),
            _percent(sums.worst_share[link.name]),
            _percent(sums.variance_share[link.name]),
        )
        for link in one.links
    )
    low, high = (float(limit) for limit in (one.gap.lower, one.gap.upper))
    drawn = one.drawn
    told = (
        ("All at their worst together", _span(sums.worst, unit)),
        ("Root sum square, 2 u", _span(sums.statistical, unit)),
        (f"Simulated, {drawn.trials} draws, 95 %", _span(drawn.interval, unit)),
        (f"Of the draws within {_figure(low)} to {_figure(high)} {unit}", _percent(drawn.inside or 0.0)),
    )
    line = f"simulation: seed {drawn.seed}, mean {drawn.mean:.4g}, s = {drawn.standard:.3g} {unit}"
    source = "JCGM 100:2008, 5.1.2; JCGM 101:2008, 7.5 and 7.7"
    name = "" if one.gap.name == fit.id else one.gap.name.partition(": ")[2]
    return StackTable(name, rows, told, Working((*sums.working, line), source))


def _signed(factor: float) -> str:
    """The factor before a dimension, where it is not just added."""
    size = abs(factor)
    times = "" if size == 1 else f"{size:.3g} · "
    return f"{'−' if factor < 0 else '+'} {times}"


def _span(ends: tuple[float, float], unit: str) -> str:
    return f"{_figure(ends[0])} to {_figure(ends[1])} {unit}"


def _figure(value: float) -> str:
    """Three digits behind the point, two where the third is a nought."""
    return f"{value:.3f}".removesuffix("0").replace("-", "−")


def _percent(share: float) -> str:
    return "less than 1 %" if 0 < share < 0.005 else f"{100 * share:.0f} %"


def stated_u(expanded: float) -> str:
    """An expanded uncertainty with at most two digits that mean something."""
    return f"{expanded:.{uncertainty_places(expanded, digits=4)}f}" if expanded > 0 else "0"


def named_rests(transmission: Transmission, fit: Fit) -> tuple[str, ...]:
    """What a fit rests on, as a person calls it."""
    names = {one.id: one.name for one in (*transmission.all_fits,)}
    names |= {one.id: one.name for one in transmission.fasteners} | {
        one.id: one.name for one in transmission.parts
    }
    return tuple(names.get(one, one) for one in rests_on(transmission, fit))
