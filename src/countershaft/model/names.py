"""The names that the sections of a transmission give, and what to say of one that leads nowhere."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from countershaft.mechanics.network import nearest
from countershaft.model.finding import Finding, Loc
from countershaft.model.transmission import Transmission

__all__ = ["Names", "unknown"]


class Names:
    """Every name that a record may point at, by section; with those of records that could not be read."""

    def __init__(self, transmission: Transmission, also_known: Mapping[str, Collection[str]]) -> None:
        def known(section: str, own: Collection[str]) -> tuple[str, ...]:
            return tuple(dict.fromkeys([*own, *also_known.get(section, ())]))

        train = transmission.train
        self.elements = known("elements", train.elements if train is not None else ())
        self.parts = known("parts", [part.id for part in transmission.parts])
        self.joints = known("fasteners", [joint.id for joint in transmission.fasteners])
        self.steps = known("steps", [step.id for step in transmission.steps])
        followed = [fit.id for fit in transmission.fits]
        followed += [preload.id for preload in transmission.preloads]
        followed += [f"BAND-{band.element}" for band in transmission.bands if band.turns is not None]
        self.fits = known("fits", followed)
        self.limits = known("limits", [limit.id for limit in transmission.limits])
        self.sources = known("sources", list(transmission.about.sources))


def unknown(loc: Loc, what: str, name: str, known: Collection[str]) -> Iterator[Finding]:
    """A finding if a name is not known, with the nearest that is."""
    if name in known:
        return
    if known:
        hint = nearest(name, known)
        cure = hint[0].upper() + hint[1:]
    else:
        cure = f"This file lists none; add the {what}, or take the name out."
    yield Finding(loc, f"there is no {what} {name!r}", cure=cure)
