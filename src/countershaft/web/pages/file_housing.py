"""Where the gearbox meets the engine, as the page of a file shows it: each limit with its source."""

from __future__ import annotations

from collections.abc import Iterator

from countershaft.model.housing import BoltUp, Housing
from countershaft.model.transmission import Transmission
from countershaft.web.pages.shown import source_words

__all__ = ["housing_rows"]


def housing_rows(transmission: Transmission) -> tuple[tuple[str, str, str], ...]:
    """What is measured, its limit, and where that comes from; nothing without the section."""
    housing = transmission.housing
    return tuple(_rows(transmission, housing)) if housing is not None else ()


def _rows(transmission: Transmission, housing: Housing) -> Iterator[tuple[str, str, str]]:
    def row(what: str, limit: str, source: str | None) -> tuple[str, str, str]:
        return what, limit, source_words(transmission.source(source or housing.source))

    if housing.bore is not None:
        yield row("Runout of the bore to the crank", f"at most {housing.bore.max}", housing.bore.source)
    if housing.face is not None:
        words = f"at most {housing.face.max} on {housing.face.diameter}"
        yield row("Runout of the face", words, housing.face.source)
    if housing.bushing is not None:
        yield row("From the face to the hub bushing", str(housing.bushing), None)
    for dowel in housing.dowels:
        yield row(f"Dowel {dowel.title}, standing out", f"{dowel.min} to {dowel.max}", dowel.source)
    if housing.offset_dowels:
        yield row("Offset dowels in pairs", ", ".join(map(str, housing.offset_dowels)), None)
    for what, limit, source in _converter(housing.converter or BoltUp()):
        yield row(what, limit, source)


def _converter(up: BoltUp) -> Iterator[tuple[str, str, str | None]]:
    if up.depth is not None:
        yield "Converter depth", f"{up.depth.min} to {up.depth.max}", up.depth.source
    if up.gap is not None:
        yield "Converter gap to the drive plate", f"{up.gap.min} to {up.gap.max}", up.gap.source
    if up.spacer is not None:
        yield "Spacer between the faces", str(up.spacer), None
    if up.hub is not None:
        yield "Runout of the converter hub", f"at most {up.hub.max}", up.hub.source
    if up.positions is not None:
        yield "Ways to bolt the converter on", str(up.positions), None
