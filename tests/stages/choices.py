"""Jobs with several measured fits and a stock, for the tests of choosing: an invented unit of three coupled gaps."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.job.entry import (
    Chosen,
    Dimensions,
    FitMeasured,
    PieceMeasured,
    PriceList,
    Remeasured,
    SizesCounted,
    Trial,
)
from countershaft.model.fits import Fit
from countershaft.model.transmission import Transmission
from tests.small_unit import Log

__all__ = [
    "SIDES",
    "THREE",
    "chosen",
    "counted",
    "demo",
    "first",
    "left",
    "measured_demo",
    "piece",
    "prices",
    "sides",
    "three",
]


def _fit(name: str, **more: object) -> dict[str, object]:
    return {
        "id": name, "name": f"play {name}", "kind": "end play", "min": "0.15 mm", "max": "0.25 mm",
        "trial": "1.00 mm", "part": "shims", "selective": "shim", "sizes_mm": ["1.00", "1.10", "1.20", "1.30"],
        "readings": 1, "instrument": {"name": "dial", "resolution": "0.01 mm"}, "suspects": ["a race is missing"],
        **more,
    }  # fmt: skip


#: Two plays that take the same shims, and a third that another part sets and that opens with the shim of the second.
THREE = Transmission.model_validate(
    {
        "format": 1,
        "name": "three plays",
        "parts": [
            {"id": "shims", "name": "shims", "quantity": 2, "policy": "selective"},
            {"id": "rings", "name": "rings", "policy": "selective"},
        ],
        "fits": [
            _fit("a"),
            _fit("b"),
            _fit("c", part="rings", selective="ring", sizes_mm=["2.00", "2.10", "2.20", "2.30"], trial="2.00 mm",
                 also=[{"fit": "b", "factor": 1}]),
        ],
    }
)  # fmt: skip


#: A carrier that is held by two shims, and a pack whose height is made up of two steels.
SIDES = Transmission.model_validate(
    {
        "format": 1,
        "name": "two sides and a pack",
        "parts": [
            {"id": "s", "name": "side shims", "quantity": 2, "policy": "selective"},
            {"id": "p", "name": "plates", "quantity": 2, "policy": "selective"},
        ],
        "fits": [
            _fit("D", kind="preload", min="-0.08 mm", max="-0.04 mm", trial="2.00 mm", part="s",
                 selective="left shim", sizes_mm=["1.95", "2.00", "2.05", "2.10", "2.15"],
                 by={"kind": "two-sided", "right_trial": "1.90 mm", "backlash_min": "0.10 mm",
                     "backlash_max": "0.18 mm", "backlash_per_mm": "-0.7"}),
            _fit("K", kind="clutch clearance", min="0.90 mm", max="1.10 mm", trial=None, pieces=2, part="p",
                 gap=[{"name": "depth"}, {"name": "stack", "sign": "-"}], selective="steel",
                 sizes_mm=["1.80", "2.00"]),
        ],
    }
)  # fmt: skip


def sides() -> Log:
    """Both measured: play 0.20 and backlash 0.21 with 2.00 and 1.90; depth less stack 4.80."""
    log = Log(SIDES)
    named = {"left trial shim": "2.00", "right trial shim": "1.90", "play": "0.20", "backlash": "0.21"}
    figures = [
        {"name": name, "values": [value], "unit": "mm", "resolution": "0.01"} for name, value in named.items()
    ]
    log.say(
        FitMeasured.model_validate({"fit": "D", "figures": figures}),
        Dimensions.model_validate(
            {"fit": "K", "values_mm": {"depth": ["24.00"], "stack": ["19.20"]}, "resolution_mm": "0.01"}
        ),
    )
    return log


def three(**readings: str) -> Log:
    """The three plays, each measured with its trial part."""
    log = Log(THREE)
    for name, reading in readings.items():
        trial = "2.00" if name == "c" else "1.00"
        log.say(
            Trial.model_validate(
                {"fit": name, "size_mm": trial, "values_mm": [reading], "resolution_mm": "0.01"}
            )
        )
    return log


def counted(family: str, counts: dict[str, int], off: str = "0.02") -> SizesCounted:
    """A count of sizes."""
    lines = [{"size_mm": size, "count": count} for size, count in counts.items()]
    return SizesCounted.model_validate({"family": family, "counts": lines, "off_mark_mm": off})


def piece(family: str, label: str, *values: str, **more: object) -> PieceMeasured:
    """A measured piece."""
    body = {"family": family, "label": label, "values_mm": values, "resolution_mm": "0.001", **more}
    return PieceMeasured.model_validate(body)


def prices(family: str, lines: dict[str, tuple[int, int]], currency: str = "crowns") -> PriceList:
    """A price list: size to cents and days."""
    rows = [{"size_mm": size, "price_cents": cents, "days": days} for size, (cents, days) in lines.items()]
    return PriceList.model_validate(
        {"family": family, "currency": currency, "lines": rows, "off_mark_mm": "0.02"}
    )


def chosen(fit: str, size: str, label: str = "", because: str = "") -> Chosen:
    """A choice."""
    return Chosen.model_validate({"fit": fit, "size_mm": size, "piece": label, "because": because})


def left(fit: str, *values: str) -> Remeasured:
    """A re-measurement."""
    return Remeasured.model_validate({"fit": fit, "values_mm": values, "resolution_mm": "0.01"})


def demo(name: str) -> Transmission:
    """A file that ships with the program."""
    return read_transmission(library_text(name), name)


def first(fit: Fit, typed: Sequence[str]) -> Trial | Dimensions:
    """The first readings of a fit, all equal: with its trial part, or its dimensions in the order of the file."""
    if fit.trial is not None:
        readings = (Decimal(typed[0]),) * fit.readings
        return Trial(fit=fit.id, size_mm=fit.trial.value, values_mm=readings, resolution_mm=Decimal("0.01"))
    values = {one.name: (Decimal(text),) * fit.readings for one, text in zip(fit.gap, typed, strict=False)}
    return Dimensions(fit=fit.id, values_mm=values, resolution_mm=Decimal("0.01"))


def measured_demo(transmission: Transmission, typed: dict[str, Sequence[str]]) -> Log:
    """A job on a file of the library with these fits measured."""
    log = Log(transmission)
    for name, figures in typed.items():
        log.say(first(transmission.fit(name), figures))
    return log
