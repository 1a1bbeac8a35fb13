"""Rules across the records that say how the housing sits on the engine: names, sources, and agreeing limits."""

from __future__ import annotations

from collections.abc import Iterator

from countershaft.model.finding import Finding, Loc
from countershaft.model.housing import Housing, LengthWindow, RunoutLimit
from countershaft.model.limits import Limit
from countershaft.model.names import Names, unknown
from countershaft.model.transmission import Transmission
from countershaft.units import Quantity

__all__ = ["housing_limits", "housing_names"]


def housing_names(transmission: Transmission, names: Names) -> Iterator[Finding]:
    """Parts, sources and checks of the housing that are not there."""
    housing = transmission.housing
    if housing is None:
        return
    here: Loc = ("housing",)
    if housing.part is not None:
        yield from unknown((*here, "part"), "part", housing.part, names.parts)
    for loc, source in _sources(housing):
        yield from unknown((*here, *loc, "source"), "source", source, names.sources)
    for loc, one in _held(housing):
        if one.check is not None:
            yield from unknown((*here, *loc, "check"), "limit", one.check, names.limits)


def housing_limits(transmission: Transmission) -> Iterator[Finding]:
    """Limits that stand twice, in the housing and under `limits`, and do not agree."""
    housing = transmission.housing
    limits = {limit.id: limit for limit in transmission.limits}
    if housing is None:
        return
    for loc, one in _held(housing):
        limit = limits.get(one.check or "")
        if limit is None:
            continue
        low = one.min if isinstance(one, LengthWindow) else None
        for key, own, theirs in (("max", one.max, limit.max), ("min", low, limit.min)):
            if not _same(own, theirs):
                yield _disagree(("housing", *loc), key, own, theirs, limit)


def _disagree(loc: Loc, key: str, own: Quantity | None, theirs: Quantity | None, limit: Limit) -> Finding:
    return Finding(
        (*loc, "check"),
        f"the {key} here and that of limit {limit.id} do not agree",
        expected=str(theirs) if theirs is not None else f"no {key}",
        got=str(own) if own is not None else f"no {key}",
        cure="Look into the source, and let both say the same.",
    )


def _same(own: Quantity | None, theirs: Quantity | None) -> bool:
    if own is None or theirs is None:
        return own is theirs
    return own.kind == theirs.kind and abs(own.to(theirs.unit) - float(theirs.value)) < 1e-9


def _held(housing: Housing) -> Iterator[tuple[Loc, RunoutLimit | LengthWindow]]:
    """Everything that may name a check, with its place."""
    up = housing.converter
    found: list[tuple[Loc, RunoutLimit | LengthWindow | None]] = [
        (("bore",), housing.bore),
        (("face",), housing.face),
        (("converter", "depth"), up.depth if up else None),
        (("converter", "gap"), up.gap if up else None),
        (("converter", "hub"), up.hub if up else None),
    ]
    yield from ((loc, one) for loc, one in found if one is not None)


def _sources(housing: Housing) -> Iterator[tuple[Loc, str]]:
    found: list[tuple[Loc, str | None]] = [((), housing.source)]
    found += [(loc, one.source) for loc, one in _held(housing)]
    found += [(("dowels", index), dowel.source) for index, dowel in enumerate(housing.dowels)]
    yield from ((loc, source) for loc, source in found if source is not None)
