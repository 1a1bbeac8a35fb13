"""The stack-up of a fit: what each dimension adds to the gap, by worst case, root sum square and simulation."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from countershaft.metrology.stackup import Link, Simulated, StackUp, simulate, stack_up
from countershaft.planning.gap_fits import Measured
from countershaft.planning.shelf import Gap
from countershaft.stages.fit_needed import Found, Seat, link_of

__all__ = ["Stack", "stacks"]

#: Draws of the simulation: enough for the third digit of a 95 % interval, and still quick to show.
_TRIALS = 20_000
_SEED = 1


@dataclass(frozen=True, slots=True)
class Stack:
    """One gap as the sum of its dimensions, with the parts that are in or would go in."""

    gap: Gap
    unit: str
    links: tuple[Link, ...]
    sums: StackUp
    drawn: Simulated


def stacks(found: Found, seats: tuple[Seat, ...], placed: dict[str, Measured]) -> tuple[Stack, ...]:
    """Every gap of a fit, added up; none where a place is still empty."""
    made = []
    # Before anything is measured there are windows, but no gaps.
    for gap, links, window in zip(found.gaps, found.links, found.windows, strict=False):
        if all(term.place in placed for term in gap.terms):
            made.append(_stack(gap, window.unit, (*links, *_parts(gap, seats, placed))))
    return tuple(made)


def _stack(gap: Gap, unit: str, links: tuple[Link, ...]) -> Stack:
    drawn = simulate(links, seed=_SEED, trials=_TRIALS, lower=float(gap.lower), upper=float(gap.upper))
    return Stack(gap, unit, links, stack_up(links, coverage=2.0), drawn)


def _parts(gap: Gap, seats: tuple[Seat, ...], placed: dict[str, Measured]) -> tuple[Link, ...]:
    """The selective parts as links, and the error of the rate where the gap follows them by one that was learned."""
    labels = {seat.name: seat.label for seat in seats}
    found: list[Link] = []
    for term in gap.terms:
        part, label = placed[term.place], labels[term.place]
        number = f" {term.place.rpartition('/')[2]}" if len(gap.terms) > 2 else ""
        less = f" less {float(term.pivot):g} mm" if term.pivot else ""
        size = Measured(Fraction(part.value) - term.pivot, part.standard)
        found.append(link_of(f"{label}{number}{less}", size, factor=float(term.factor)))
        if term.standard:
            error = Measured(Fraction(0), term.standard)
            found.append(link_of(f"rate of the {label}", error, factor=float(size.value)))
    return tuple(found)
