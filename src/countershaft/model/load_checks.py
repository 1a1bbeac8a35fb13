"""Rules across the records that say what the shift elements must hold: bands, and load cases."""

from __future__ import annotations

from collections.abc import Iterator

from countershaft.model.finding import Finding, Loc
from countershaft.model.names import Names, unknown
from countershaft.model.transmission import Transmission

__all__ = ["band_names", "load_case_names"]


def band_names(transmission: Transmission, names: Names) -> Iterator[Finding]:
    """Bands of an element that is not there, or is no band."""
    train = transmission.train
    for index, band in enumerate(transmission.bands):
        here: Loc = ("bands", index)
        if train is not None:
            yield from unknown((*here, "element"), "shift element", band.element, names.elements)
            element = train.elements.get(band.element)
            if element is not None and element.kind != "band":
                yield Finding(
                    (*here, "element"),
                    f"{band.element} is a {element.kind.replace('_', ' ')} in the train",
                    expected="an element of the kind band",
                    got=element.kind,
                    cure="Correct the name, or the kind of the element.",
                )
        if band.source is not None:
            yield from unknown((*here, "source"), "source", band.source, names.sources)


def load_case_names(transmission: Transmission, names: Names) -> Iterator[Finding]:
    """Load cases of gears and elements that are not there."""
    train = transmission.train
    for index, case in enumerate(transmission.load_cases):
        here: Loc = ("load_cases", index)
        if train is not None:
            yield from unknown((*here, "gear"), "gear", case.gear, tuple(train.chart))
            for element in case.pressures:
                yield from unknown((*here, "pressures", element), "shift element", element, names.elements)
        if case.source is not None:
            yield from unknown((*here, "source"), "source", case.source, names.sources)
