"""The demo shop: five invented jobs at four stages, made through the desk like any other.

Vehicles, people and figures are invented; the jobs follow the files that ship with the program.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Final

from countershaft.definitions.library import library_text
from countershaft.desk.demo_alignment import demo_dowel, demo_sweep
from countershaft.desk.demo_bench import Clock, DemoBench, Facts
from countershaft.desk.desk import Desk
from countershaft.job.at_shelf import OFF_MARK_MM
from countershaft.job.at_shop import InstrumentListed, RuleSaid
from countershaft.job.entry import (
    Body,
    Cause,
    Complaint,
    Consent,
    Finding,
    FluidFound,
    GearTried,
    JobOpened,
    KillerCleared,
    Moved,
    PanFound,
    PartLate,
    PieceMeasured,
    PriceList,
    SizesCounted,
    Spot,
    Symptom,
    TestDone,
    Waiting,
)
from countershaft.job.words import (
    Debris,
    Degree,
    Feel,
    FindingWord,
    FluidColour,
    FluidLevel,
    FluidSmell,
    Load,
    Onset,
    PartVerdict,
    Pattern,
    Temperature,
)
from countershaft.store.shop import Store

__all__ = ["FACTS_A", "FACTS_B", "FACTS_C", "START_OF_DEMO", "diagnosed", "make_demo_shop", "six_speed"]

#: A day in the past for jobs that need no real date.
START_OF_DEMO: Final = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)

#: Invented instruments: name, what it is, its unit, one step, permitted error, days since and until calibration.
_INSTRUMENTS: Final[tuple[tuple[str, str, str, str, str, int, int, dict[str, str | bool]], ...]] = (
    ("dial 1", "dial indicator", "mm", "0.01", "0.012", 160, 205, {"zero_offset": "0", "cable": True}),
    ("feelers", "feeler gauges", "mm", "0.01", "0.005", 348, 17, {}),
    ("depth gauge 300", "depth gauge", "mm", "0.01", "0.03", 377, -12, {"zero_offset": "0.01"}),
    ("micrometer 25", "outside micrometer", "mm", "0.001", "0.004", 90, 275,
     {"zero_offset": "0", "certificate_u": "0.001", "certificate_k": "2"}),
    ("line gauge", "pressure gauge", "kPa", "10", "20", 60, 305, {"note": "with the long hose"}),
    ("bar gauge", "torque gauge", "N·m", "0.1", "0.2", 120, 245, {}),
)  # fmt: skip

#: Invented figures of demo A: how its packs and loops were measured, and what was left.
FACTS_A: Final = Facts(
    found={"C12": ("13.4",)},
    left={"C12": ("10.1",)},
    sweeps=(
        demo_dowel("1", "10.0", when="as found"),
        demo_dowel("2", "13.4", when="as found"),
        demo_sweep(("0.00", "-0.19", "-0.16", "0.02"), face="0.09", when="as found", answers=("C13", "C14")),
        demo_dowel("2", "10.1", when="as left"),
        demo_sweep(
            ("0.00", "-0.06", "-0.07", "-0.02"),
            face="0.07",
            when="as left",
            after="dowel 2 drawn, its hole cleaned, dowel seated fully",
            answers=("C13", "C14"),
        ),
    ),
    gaps={
        "CL-K1": ("23.64", "19.66", "1.12"),
        "CL-K2": ("23.52", "19.73", "1.06"),
        "CL-K3": ("27.63", "23.35", "1.20"),
        "CL-K4": ("15.72", "12.29", "0.81"),
        "CL-K5": ("12.06", "8.65", "0.65"),
        "EP-IS": ("0.74", "0.19"),
        "PL-L1": ("0.36", "-0.08"),
        "PL-L2": ("0.48", "-0.07"),
        "PL-D": ("0.7", "2.4"),
        "EP-g1": ("0.22", "0.11"),
        "EP-d3": ("0.04", "0.09"),
    },
    places={
        "C07 as found": ("0.13 0.12 0.13 0.13",),
        "C07 as left": ("0.12 0.12 0.12 0.12",),
        "C09 as found": ("0.00 0.04 0.00", "0.00 0.04 0.00"),
        "C09 as left": ("0.00 0.03 0.00", "0.00 0.03 0.00"),
        "C20 as found": ("0.00 0.01 0.03 0.05 0.05 0.04 0.02 0.00",),
        "C20 as left": ("0.00 0.01 0.03 0.05 0.05 0.04 0.02 0.00",),
        "C21 as found": ("0.00 0.00 0.00 0.00", "0.07 0.06 0.07 0.06"),
        "C21 as left": ("0.00 0.00 0.00 0.00", "0.06 0.05 0.06 0.05"),
        "C23 as found": ("0.15 0.14 0.15 0.15",),
        "C23 as left": ("0.14 0.14 0.14 0.14",),
    },
)

#: Invented figures of demo B: what was read as found, what was left.
FACTS_B: Final = Facts(
    found={
        "C02": ("1.42", "1.44", "1.41"),
        "C04": ("0.46",),
        "C05": ("0.61",),
        "C06": ("0.05",),
        "C07": ("0.09",),
        "C08": ("68",),
        "C09": ("66",),
        "C10": ("9.7",),
        "C11": ("1.1",),
        "EP-IN": ("0.44", "0.45", "0.44"),
        "EP-GT": ("0.36", "0.36", "0.37"),
        "CL-C": ("2.41", "2.38", "2.43"),
    },
    left={"C11": ("4.2",), "C13": ("0.11",), "C14": ("24.2",)},
    gaps={
        "CL-A": ("27.68", "21.74", "1.33"),
        "CL-B": ("16.96", "13.71", "1.04"),
        "CL-C": ("20.05", "16.68", "1.15"),
        "CL-D": ("32.94", "29.36", "1.78"),
        "CL-E": ("20.62", "17.13", "1.27"),
        "EP-IN": ("0.66", "0.36"),
        "EP-GT": ("0.47", "0.28"),
        "EP-P1": ("0.22", "0.22"),
    },
    places={
        "C03 as found": ("0.00 0.00 0.00 0.00", "0.31 0.30 0.31 0.30"),
        "C03 as left": ("0.00 0.00 0.00 0.00", "0.04 0.03 0.04 0.03"),
        "C12 as found": ("0.00 0.02 0.05 0.07 0.08 0.06 0.03 0.01",),
        "C12 as left": ("0.00 0.02 0.05 0.07 0.08 0.06 0.03 0.01",),
    },
    looks={"C01": ("bad", "hard, flat, two cracks in the outer lip")},
)

#: Invented figures of demo C, with its seeded faults.
FACTS_C: Final = Facts(
    found={
        "C01": ("0.95", "0.94", "0.95"),
        "C02": ("0.44",),
        "C03": ("0.07",),
        "C04": ("0.10",),
        "C07": ("26.9",),
    },
    gaps={"EP-IN": ("0.83", "0.43"), "EP-OUT": ("0.41", "0.41")},
    places={
        "C05 as found": ("0.00 0.00 0.00 0.00", "0.24 0.23 0.24 0.23"),
        "C05 as left": ("0.00 0.00 0.00 0.00", "0.24 0.23 0.24 0.23"),
        "C06 as found": ("0.00 0.10 0.00", "0.00 0.10 0.00", "0.00 0.04 0.00", "0.00 0.06 0.00"),
        "C06 as left": ("0.00 0.10 0.00", "0.00 0.10 0.00", "0.00 0.04 0.00", "0.00 0.06 0.00"),
    },
)


def make_demo_shop(store: Store, *, now: datetime) -> None:
    """Fill an empty shop with its instruments and five jobs; a shop that has jobs is left alone."""
    desk = Desk(store)
    desk.shelve_library()
    if desk.cards():
        return
    _list_instruments(store, now)
    _in_the_classroom(store, now - timedelta(days=21, hours=2))
    _taken_apart(store, now - timedelta(days=3))
    _being_built(store, now - timedelta(days=9))
    _being_fitted(store, now - timedelta(days=2))
    _interrupted(store, now - timedelta(days=1, hours=1))


def six_speed(desk: Desk, tag: str, *, vehicle: str, by: str) -> DemoBench:
    """Open a job on demo B."""
    return _open(desk, tag, "demo-b", vehicle, by, FACTS_B)


def diagnosed(bench: DemoBench) -> None:
    """Intake and diagnosis of the slipping six-speed: bad in 2 and 6, good in the rest."""
    bench.say(
        Complaint(
            words="It flares between first and second when it is hot, "
            "and on the motorway the engine runs up in top gear. "
            "Third, fourth, fifth and reverse are good.",
            fixed_when="1-2 within 0.65 s hot, no flare, and no slip in 6th on a hill at 90 °C.",
        ),
        Symptom(
            feel=Feel.FLARES,
            gear="2",
            temperature=Temperature.HOT,
            load=Load.MEDIUM,
            onset=Onset.AFTER_TOWING,
        ),
        Symptom(
            feel=Feel.SLIPS, gear="6", temperature=Temperature.HOT, load=Load.FULL, onset=Onset.AFTER_TOWING
        ),
        FluidFound(
            level=FluidLevel.RIGHT,
            colour=FluidColour.BROWN,
            smell=FluidSmell.BURNT,
            temperature_c=Decimal(40),
        ),
        PanFound(debris=(Debris.FRICTION, Debris.PASTE), degree=Degree.MEDIUM),
        Consent(purpose="diagnosis", limit=Decimal(250), given_by="the owner", how="signed"),
    )
    for gear in ("1", "2", "3", "4", "5", "6", "R"):
        verdict = "bad" if gear in ("2", "6") else "good"
        bench.say(GearTried.model_validate({"gear": gear, "verdict": verdict, "temperature": "hot"}))
    bench.say(
        TestDone(test="line pressure", result="520 kPa idle, 1 080 kPa stall D, 1 640 kPa stall R: in range"),
        TestDone(
            test="pressure at tap C in 2nd, 900 kPa commanded",
            result="640 kPa hot, 820 kPa cold: a leak behind the regulator",
        ),
        TestDone(test="solenoid C swapped with E", result="the fault stays in 2 and 6"),
    )  # fmt: skip


def _open(desk: Desk, tag: str, unit: str, vehicle: str, by: str, facts: Facts) -> DemoBench:
    digest = desk.add_definition(library_text(unit), file=f"{unit}.yaml")
    name = desk.definition(digest).name
    mileage = 142_000 if unit == "demo-b" else None
    desk.open_job(
        JobOpened(tag=tag, vehicle=vehicle, unit=name, definition=digest, mileage_km=mileage), by=by
    )
    return DemoBench(desk, tag, by=by, facts=facts)


def _list_instruments(store: Store, now: datetime) -> None:
    """Six invented instruments, one of them out of calibration and one due soon; the shop guards."""
    desk = Desk(store, now=Clock(now - timedelta(days=30)))
    today = now.date()
    for number, (name, sort, unit, step, error, ago, ahead, more) in enumerate(_INSTRUMENTS, start=1):
        body = {
            "id": f"I{number}",
            "name": name,
            "sort": sort,
            "unit": unit,
            "resolution": step,
            "permitted_error": error,
            "calibrated": today - timedelta(days=ago),
            "due": today + timedelta(days=ahead),
            **more,
        }
        desk.append_shop(InstrumentListed.model_validate(body), by="R. Bench")
    because = "What is called good must be good with all its uncertainty."
    desk.append_shop(RuleSaid(rule="guarded", because=because), by="R. Bench")


def _in_the_classroom(store: Store, start: datetime) -> None:
    """Demo C: two learners, taken apart, three weeks ago, some checks still open."""
    desk = Desk(store, now=Clock(start))
    bench = _open(desk, "L7", "demo-c", "classroom stand, lesson 7", "A. Learner", FACTS_C)
    bench.say(
        Complaint(
            words="Lesson 7: take it apart, measure it, find what is wrong, build it.",
            fixed_when="Every seeded fault is found, every fit is closed, and it turns by hand in every gear.",
        ),
        Symptom(feel=Feel.NO_DRIVE, temperature=Temperature.ANY, load=Load.ANY, onset=Onset.UNKNOWN),
        FluidFound(level=FluidLevel.UNKNOWN, colour=FluidColour.CLEAR, smell=FluidSmell.NORMAL),
        Consent(purpose="overhaul", limit=Decimal(0), given_by="the teacher", how="in writing"),
        TestDone(test="turned by hand", result="turns with one tight spot; the carrier locks the wrong way"),
    )
    bench.take_apart()
    limits = [limit.id for limit in bench.transmission.limits if limit.stage == "inspect"]
    bench.inspect(limits[:4])
    _find(bench, "P08", FindingWord.EXCESS_PLAY, Pattern.ONE_OF_MANY, PartVerdict.ASK, "front pinions")


def _interrupted(store: Store, start: datetime) -> None:
    """Demo A: the valve body is half tightened, bolts are parked, the cover is sent out, a bearing is late."""
    desk = Desk(store, now=Clock(start))
    bench = _open(desk, "0418", "demo-a", "invented hatchback, 1.8 L", "R. Bench", FACTS_A)
    bench.say(
        Complaint(
            words="It rumbles in third on drive since a case repair last year, and leaves drops of fluid.",
            fixed_when="No rumble in 3rd from 40 to 80 km/h on drive, and dry under the unit after the road test.",
        ),
        Symptom(
            feel=Feel.RUMBLES, gear="3", temperature=Temperature.ANY, load=Load.MEDIUM, onset=Onset.AFTER_WORK
        ),
        FluidFound(level=FluidLevel.LOW, colour=FluidColour.BROWN, smell=FluidSmell.NORMAL),
        PanFound(debris=(Debris.STEEL,), degree=Degree.MEDIUM),
        Consent(purpose="overhaul", limit=Decimal(2400), given_by="the owner", how="in writing"),
    )
    bench.take_apart()
    bench.park()
    bench.say(
        Moved(
            sort="part",
            what="5P-H3",
            count=1,
            start=Spot(how="place", name="0418-T3"),
            to=Spot(how="sent out", name="the machine shop"),
            words="face to be trued, back on Friday",
        ),
        PartLate(part="5P-D5", until="Friday"),
    )
    bench.put_together(until="A10")
    bench.tighten("V", stop_after=17)


def _being_fitted(store: Store, start: datetime) -> None:
    """Demo A in another vehicle: every fit is measured, the drawers are counted, one plate has to be ordered."""
    desk = Desk(store, now=Clock(start))
    bench = _open(desk, "0421", "demo-a", "invented van, 2.0 L", "K. Spanner", FACTS_A)
    bench.say(
        Complaint(
            words="It whines in third since another shop had it open.",
            fixed_when="No whine in 3rd from 30 to 90 km/h, on drive and on overrun.",
        ),
        Symptom(
            feel=Feel.WHINES, gear="3", temperature=Temperature.ANY, load=Load.MEDIUM, onset=Onset.AFTER_WORK
        ),
        FluidFound(level=FluidLevel.RIGHT, colour=FluidColour.BROWN, smell=FluidSmell.NORMAL),
        Consent(purpose="overhaul", limit=Decimal(2200), given_by="the owner", how="signed"),
    )
    bench.take_apart()
    bench.measure_fits(FACTS_A.gaps)
    bench.say(*_drawers())


#: Invented drawers of a shop: family -> sizes and how many lie there.
_COUNTED: Final[dict[str, dict[str, int]]] = {
    "end-plates-132": {"2.63": 1, "2.74": 1, "2.96": 2},
    "end-plates-122": {"2.63": 2, "2.74": 1, "2.85": 1, "2.96": 1},
    "5P-M2": {"1.73": 1, "1.80": 1, "1.87": 1},
    "5P-M1": {"3.46": 1, "3.51": 1, "3.56": 2},
    "5P-M4": {"2.15": 1, "2.20": 1, "2.25": 2},
}

#: Invented pieces with a label of their own: family, label, marking, two readings with a micrometer.
_MEASURED: Final = (
    ("end-plates-132", "plate 7", "2.85", ("2.853", "2.852")),
    ("5P-M3", "found in L1", "1.71", ("1.712", "1.711")),
    ("5P-M3", "found in L2", "1.56", ("1.558", "1.559")),
    ("5P-M3", "shim 12", "1.51", ("1.507", "1.507")),
    ("5P-M3", "shim 13", "1.51", ("1.514", "1.513")),
    ("5P-M3", "shim 19", "1.61", ("1.617", "1.616")),
)

#: Invented prices in cents and days: family -> sizes, price of one, days.
_LISTED: Final = (
    ("end-plates-122", ("2.96", "3.07", "3.18"), 1250, 2),
    ("5P-M3", ("1.46", "1.51", "1.56", "1.61", "1.66"), 480, 1),
)


def _drawers() -> Iterator[Body]:
    """What lies there, what was measured of it, and what can be ordered."""
    for family, counts in _COUNTED.items():
        lines = [{"size_mm": size, "count": count} for size, count in counts.items()]
        yield SizesCounted.model_validate({"family": family, "counts": lines, "off_mark_mm": OFF_MARK_MM})
    for family, label, marked, values in _MEASURED:
        yield PieceMeasured.model_validate(
            {
                "family": family,
                "label": label,
                "marked_mm": marked,
                "values_mm": values,
                "resolution_mm": "0.001",
            }
        )
    for family, sizes, cents, days in _LISTED:
        rows = [{"size_mm": size, "price_cents": cents, "days": days} for size in sizes]
        yield PriceList.model_validate(
            {"family": family, "currency": "crowns", "lines": rows, "off_mark_mm": OFF_MARK_MM}
        )


def _taken_apart(store: Store, start: datetime) -> None:
    """Demo B in another vehicle: at the bench, the pump comes out next."""
    desk = Desk(store, now=Clock(start))
    bench = six_speed(desk, "0415", vehicle="invented pick-up, 2.8 L", by="K. Spanner")
    diagnosed(bench)
    bench.take_apart(until="T08")


def _being_built(store: Store, start: datetime) -> None:
    """Demo B: waiting is over, the pump is half tightened in its second round."""
    desk = Desk(store, now=Clock(start))
    bench = six_speed(desk, "0412", vehicle="invented estate, 3.0 L, tows a trailer", by="R. Bench")
    diagnosed(bench)
    bench.take_apart()
    bench.inspect()
    bench.say(demo_sweep(("0.00", "0.05", "0.04", "-0.01"), face="0.06", when="as found"))
    _find(
        bench,
        "P020",
        FindingWord.HARDENED,
        Pattern.ALL_ROUND,
        PartVerdict.REPLACE,
        "outer lip flat and cracked",
    )
    _find(
        bench, "P023", FindingWord.BURNT, Pattern.ONE_FACE, PartVerdict.REPLACE, "C friction bare on one side"
    )
    _find(bench, "P025", FindingWord.BLUED, Pattern.ALL_ROUND, PartVerdict.REPLACE, "C steels coned too")
    _find(
        bench,
        "P050",
        FindingWord.CRUSHED,
        Pattern.ONE_SPOT,
        PartVerdict.REPLACE,
        "return line, above the crossmember",
    )
    bench.say(
        Cause(
            words="Brake C piston lip hardened by heat; "
            "the heat came from a cooler line crushed by a jack, while towing.",
            element="C",
            killers=("crushed return line", "cooler not flushed", "old converter full of dust"),
        ),
        Waiting(what="overhaul kit and converter"),
    )
    total = bench.decide(hours="19.0", rate="110", currency="invented units")
    bench.say(
        Consent(purpose="overhaul", limit=total, given_by="the owner", how="by telephone"),
        KillerCleared(killer="crushed return line", how="new line fitted, clear of the crossmember by 20 mm"),
        KillerCleared(killer="old converter full of dust", how="exchange converter"),
        Waiting(what="overhaul kit and converter", over=True),
    )
    bench.put_together(until="A12")
    pump = next(joint.id for joint in bench.transmission.fasteners if joint.name == "pump to case")
    bench.tighten(pump, stop_after=13)


def _find(
    bench: DemoBench, part: str, word: FindingWord, pattern: Pattern, verdict: PartVerdict, words: str
) -> None:
    bench.say(
        Finding(part=part, word=word, pattern=pattern, degree=Degree.HEAVY, verdict=verdict, words=words)
    )
