"""A preload is a gap below nothing.  Expected values: the invented figures of demo A, as in demo_facts.json."""

from __future__ import annotations

from decimal import Decimal

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.job.entry import Chosen, Remeasured, Shelf, Trial
from countershaft.stages.fit import follow
from tests.small_unit import Log

UNIT = read_transmission(library_text("demo-a"), "demo-a")


def test_an_interference_is_chosen_measured_again_and_closed() -> None:
    fit, log = UNIT.fit("PL-L1"), Log(UNIT)
    readings = [Decimal("0.36"), Decimal("0.36"), Decimal("0.36")]
    log.say(
        Trial(fit=fit.id, size_mm=Decimal("1.06"), values_mm=tuple(readings), resolution_mm=Decimal("0.01"))
    )
    now = follow(UNIT, log.state, fit)
    # 1.06 + 0.36 of end play + 0.08 of interference
    assert now.needed_mm == Decimal("1.50")
    log.say(Shelf(fit=fit.id, sizes_mm=fit.sizes_mm), Chosen(fit=fit.id, size_mm=Decimal("1.51")))
    left = [Decimal("-0.08")] * 3
    log.say(Remeasured(fit=fit.id, values_mm=tuple(left), resolution_mm=Decimal("0.01")))
    assert follow(UNIT, log.state, fit).closed


def test_the_shim_of_the_other_shaft_is_told_bad() -> None:
    """The found shims were exchanged: 1.71 mm where 1.56 mm belongs gave 0.23 mm of interference."""
    fit, log = UNIT.fit("PL-L1"), Log(UNIT)
    trial = Trial(
        fit=fit.id, size_mm=Decimal("1.06"), values_mm=(Decimal("0.42"),) * 3, resolution_mm=Decimal("0.01")
    )
    log.say(trial, Shelf(fit=fit.id, sizes_mm=fit.sizes_mm))
    chosen = Chosen(fit=fit.id, size_mm=Decimal("1.71"))
    assert not log.ask(chosen).accepted
    log.say(Chosen(fit=fit.id, size_mm=Decimal("1.71"), because="as found"))
    log.say(Remeasured(fit=fit.id, values_mm=(Decimal("-0.23"),) * 3, resolution_mm=Decimal("0.01")))
    now = follow(UNIT, log.state, fit)
    assert not now.closed and now.judgement.verdict.value == "bad"
