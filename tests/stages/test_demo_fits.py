"""The fits of the three demo units, from first reading to re-measurement.

Expected values: the tables of the invented demo, copied here; worked out apart from the program by plain arithmetic.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

import pytest

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.job.entry import (
    Chosen,
    Dimensions,
    FitFigure,
    FitLeft,
    FitMeasured,
    Remeasured,
    Shelf,
    Trial,
)
from countershaft.model.transmission import Transmission
from countershaft.stages.fit import FitState, follow
from countershaft.stages.handover import gate
from countershaft.stages.inspection import checked
from tests.small_unit import Log

UNITS: dict[str, Transmission] = {
    name: read_transmission(library_text(name), name) for name in ("demo-a", "demo-b", "demo-c")
}
STEP = Decimal("0.01")


@dataclass(frozen=True)
class Row:
    """One row of a table: readings, what is needed, what is chosen, predicted and measured again."""

    unit: str
    fit: str
    read: tuple[str, ...]
    needed: str
    chosen: str
    predicted: str
    left: str


#: Invented demo: depth and stack of every pack.
PACKS = [
    Row("demo-a", "CL-K1", ("23.64", "19.66"), "2.88", "2.85", "1.13", "1.12"),
    Row("demo-a", "CL-K2", ("23.52", "19.73"), "2.69", "2.74", "1.05", "1.06"),
    Row("demo-a", "CL-K3", ("27.63", "23.35"), "3.08", "3.07", "1.21", "1.20"),
    Row("demo-a", "CL-K4", ("15.72", "12.29"), "2.63", "2.63", "0.80", "0.81"),
    Row("demo-a", "CL-K5", ("12.06", "8.65"), "2.76", "2.74", "0.67", "0.65"),
    Row("demo-b", "CL-A", ("27.68", "21.74"), "4.59", "4.60", "1.34", "1.33"),
    Row("demo-b", "CL-B", ("16.96", "13.71"), "2.20", "2.20", "1.05", "1.04"),
    Row("demo-b", "CL-C", ("20.05", "16.68"), "2.27", "2.20", "1.17", "1.15"),
    Row("demo-b", "CL-D", ("32.94", "29.36"), "1.78", "1.80", "1.78", "1.78"),
    Row("demo-b", "CL-E", ("20.62", "17.13"), "2.29", "2.20", "1.29", "1.27"),
    Row("demo-c", "CL-U", ("19.13", "14.84"), "3.24", "3.20", "1.09", "1.07"),
    Row("demo-c", "CL-O", ("19.06", "14.79"), "3.22", "3.20", "1.07", "1.08"),
    Row("demo-c", "CL-V", ("14.22", "11.43"), "2.04", "2.00", "0.79", "0.78"),
    Row("demo-c", "CL-L", ("32.12", "28.71"), "2.01", "2.00", "1.41", "1.40"),
]
#: Invented demo: trial part and reading of every end play, and of every preload by gap.
LOOPS = [
    Row("demo-a", "EP-IS", ("1.24", "0.74"), "1.79", "1.80", "0.18", "0.19"),
    Row("demo-a", "PL-L1", ("1.06", "0.36"), "1.50", "1.51", "-0.09", "-0.08"),
    Row("demo-a", "PL-L2", ("1.06", "0.48"), "1.62", "1.61", "-0.07", "-0.07"),
    Row("demo-a", "EP-g1", ("3.36", "0.22"), "3.48", "3.46", "0.12", "0.11"),
    Row("demo-a", "EP-d3", ("3.56", "0.04"), "3.50", "3.51", "0.09", "0.09"),
    Row("demo-b", "EP-IN", ("1.80", "0.66"), "2.085", "2.10", "0.36", "0.36"),
    Row("demo-b", "EP-GT", ("2.20", "0.47"), "2.37", "2.40", "0.27", "0.28"),
    Row("demo-b", "EP-P1", ("1.50", "0.22"), "1.47", "1.50", "0.22", "0.22"),
    Row("demo-c", "EP-IN", ("1.60", "0.83"), "2.08", "2.00", "0.43", "0.43"),
    Row("demo-c", "EP-OUT", ("2.00", "0.41"), "2.035", "2.00", "0.41", "0.41"),
]


def now(log: Log, fit: str) -> FitState:
    """A fit as it stands."""
    return follow(log.transmission, log.state, log.transmission.fit(fit))


@pytest.mark.parametrize("row", [*PACKS, *LOOPS], ids=lambda row: f"{row.unit} {row.fit}")
def test_a_fit_of_the_demo_is_followed_to_its_end(row: Row) -> None:
    log = Log(UNITS[row.unit])
    fit = log.transmission.fit(row.fit)
    first, second = (Decimal(text) for text in row.read)
    if fit.gap:
        names = [one.name for one in fit.gap]
        values = dict(zip(names, ((first,) * fit.readings, (second,) * fit.readings), strict=True))
        log.say(Dimensions(fit=fit.id, values_mm=values, resolution_mm=STEP))
    else:
        log.say(Trial(fit=fit.id, size_mm=first, values_mm=(second,) * fit.readings, resolution_mm=STEP))
    log.say(Shelf(fit=fit.id, sizes_mm=fit.sizes_mm))
    found = now(log, row.fit)
    assert found.needed_mm == Decimal(row.needed)
    assert found.needed is not None and 0 < found.needed.standard < 0.01
    assert found.choice is not None
    assert (found.choice.size, found.choice.gap) == (Decimal(row.chosen), Decimal(row.predicted))
    log.say(Chosen(fit=fit.id, size_mm=Decimal(row.chosen)))
    log.say(Remeasured(fit=fit.id, values_mm=(Decimal(row.left),) * fit.readings, resolution_mm=STEP))
    assert (now(log, row.fit).judgement.verdict.value, now(log, row.fit).closed) == ("good", True)


def torque(name: str, *values: str, unit: str = "N·m", step: str = "0.1") -> FitFigure:
    """A figure of a turning torque, or of a shim."""
    return FitFigure.model_validate({"name": name, "values": values, "unit": unit, "resolution": step})


def preload(reading: str, bearings: str = "new") -> FitMeasured:
    """The differential with its trial shim."""
    figures = (torque("trial shim", "1.90", unit="mm", step="0.01"), torque("turning torque", *[reading] * 3))
    return FitMeasured.model_validate({"fit": "PL-D", "figures": figures, "bearings": bearings})


def left(reading: str, bearings: str = "new") -> FitLeft:
    """The differential with the chosen shim."""
    return FitLeft.model_validate(
        {"fit": "PL-D", "figures": (torque("turning torque", *[reading] * 3),), "bearings": bearings}
    )


def test_the_preload_of_the_differential() -> None:
    """Invented demo: trial 1.9 mm gives 0.7 N·m, 5.6 N·m for each mm, goal 2.5: 2.2 mm, predicted 2.38, found 2.4."""
    log = Log(UNITS["demo-a"])
    limit = log.transmission.limit("TT-D")
    log.say(preload("0.7"), Shelf(fit="PL-D", sizes_mm=log.transmission.fit("PL-D").sizes_mm))
    found = now(log, "PL-D")
    # By hand: 1.9 + (2.5 - 0.7) / 5.6 = 2.22143
    assert found.needed_mm == Decimal("2.2214")
    assert found.choice is not None
    assert (found.choice.size, found.choice.gap) == (Decimal("2.20"), Decimal("2.38"))
    assert found.working[0].startswith(
        "needed = trial + (goal − torque) / rate = 1.9 + (2.5 − 0.7) / 5.6 = 2.2214 mm"
    )
    log.say(Chosen(fit="PL-D", size_mm=Decimal("2.20")))
    assert (
        checked(log.transmission, log.state, limit, when="as left").judgement.verdict.value == "not measured"
    )
    assert {point.key for point in gate(log.transmission, log.state) if point.holds} >= {
        "fit:PL-D",
        "limit:TT-D",
    }
    log.say(left("2.4"))
    assert now(log, "PL-D").closed
    assert checked(log.transmission, log.state, limit, when="as left").judgement.verdict.value == "good"
    assert not {"fit:PL-D", "limit:TT-D"} & {
        one.key for one in gate(log.transmission, log.state) if one.holds
    }


def test_bearings_that_ran_before_have_a_limit_of_their_own() -> None:
    """Invented demo: 1.0 to 1.7 N·m; by hand the middle 1.35 needs 1.9 + (1.35 - 0.7) / 5.6 = 2.0161."""
    log = Log(UNITS["demo-a"])
    assert "say which these are" in log.refused(preload("0.7", ""))
    log.say(preload("0.7", "ran before"))
    found = now(log, "PL-D")
    assert found.needed_mm == Decimal("2.0161")
    assert [str(end) for end in (found.found.windows[0].lower, found.found.windows[0].upper)] == [
        "1.0",
        "1.7",
    ]
    log.say(
        Shelf(fit="PL-D", sizes_mm=log.transmission.fit("PL-D").sizes_mm),
        Chosen(fit="PL-D", size_mm=Decimal("2.00")),
        left("1.3", "ran before"),
    )
    assert now(log, "PL-D").closed
    reused = log.transmission.limit("TT-DR")
    assert checked(log.transmission, log.state, reused, when="as left").judgement.verdict.value == "good"


def test_the_seeded_fault_says_that_a_part_is_missing() -> None:
    """Invented demo C: 4.03 instead of 0.83 with the trial washer; by hand 1.60 + 4.03 - 0.35 = 5.28."""
    log = Log(UNITS["demo-c"])
    log.say(Trial(fit="EP-IN", size_mm=Decimal("1.60"), values_mm=(Decimal("4.03"),) * 3, resolution_mm=STEP))
    found = now(log, "EP-IN")
    assert (found.phase, found.needed_mm) == ("suspects", Decimal("5.28"))
    assert "5.28 mm is needed, but the table ends at 2.60 mm" in found.why_suspects
    assert "a part is missing" in found.why_suspects
    assert found.suspects[0] == "thrust bearing no. 3 missing, or still on the drum"
    assert all(side.choice.size is None for side in found.sides)


def test_a_shim_that_was_found_tells_how_far_it_interfered() -> None:
    """Invented demo A: 1.71 mm stood where the zero is 1.06 + 0.42 = 1.48: 0.23 mm of interference, bad."""
    log = Log(UNITS["demo-a"])
    log.say(
        Trial(fit="PL-L1", size_mm=Decimal("1.06"), values_mm=(Decimal("0.42"),) * 3, resolution_mm=STEP,
              found_mm=Decimal("1.71"))
    )  # fmt: skip
    found = now(log, "PL-L1")
    assert found.as_found is not None and found.as_found_judgement is not None
    assert round(found.as_found.mean, 4) == -0.23
    assert found.as_found_judgement.verdict.value == "bad"
    assert "1.71 − 1.48 = 0.23 mm" in found.working[-1]
