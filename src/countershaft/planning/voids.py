"""Which fits no longer hold, because something they rest on was changed after they were measured."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from itertools import pairwise

__all__ = ["Voided", "voided_fits"]


@dataclass(frozen=True, slots=True)
class Voided:
    """A fit that must be measured again, and the way from it to what was changed."""

    fit: str
    changed: str
    way: tuple[str, ...]

    @property
    def why(self) -> str:
        """The reason in one sentence."""
        through = [f"{upper} rests on {lower}" for upper, lower in pairwise(self.way)]
        return f"{'; '.join(through)}; {self.changed} was changed after {self.fit} was measured. Measure it again."


def voided_fits(
    rests_on: Mapping[str, Collection[str]], *, measured: Mapping[str, int], changed: Mapping[str, int]
) -> tuple[Voided, ...]:
    """The fits that a later change makes void, each with the shortest way to what was changed.

    A fit rests on parts, and perhaps on other fits; a part may rest on parts again, such as a pump on its gasket.
    A fit that was measured after the change holds, and so does what rests on it alone.

    Parameters
    ----------
    rests_on : Mapping[str, Collection[str]]
        What each fit or part rests on directly, by name.
    measured : Mapping[str, int] [-]
        When each fit was last measured: its place in the log.
    changed : Mapping[str, int] [-]
        When each part was last changed, or each fit last set anew.

    Returns
    -------
    tuple[Voided, ...]
        By name of the fit.

    Examples
    --------
    >>> rests_on = {"input end play": {"pump", "gear case"}, "pump": {"pump gasket"}}
    >>> found = voided_fits(rests_on, measured={"input end play": 40}, changed={"pump gasket": 57, "gear case": 12})
    >>> [(one.fit, one.way) for one in found]
    [('input end play', ('input end play', 'pump', 'pump gasket'))]
    """
    found = []
    for fit in sorted(measured):
        way = _shortest_way(fit, measured[fit], rests_on, changed)
        if way is not None:
            found.append(Voided(fit, way[-1], way))
    return tuple(found)


def _shortest_way(
    fit: str, when: int, rests_on: Mapping[str, Collection[str]], changed: Mapping[str, int]
) -> tuple[str, ...] | None:
    """From a fit to the nearest thing that was changed after it; a circle ends by itself."""
    edge: list[tuple[str, ...]] = [(fit,)]
    seen = {fit}
    while edge:
        further: list[tuple[str, ...]] = []
        for way in edge:
            for below in sorted(rests_on.get(way[-1], ())):
                if below in seen:
                    continue
                seen.add(below)
                if changed.get(below, when) > when:
                    return (*way, below)
                further.append((*way, below))
        edge = further
    return None
