"""What the elements of the shipped files must hold and can hold.

Expected values: the tables of the invented demo units, an independent computation from inputs by arithmetic
(consistency only; they print whole newton metres and factors to a hundredth); pressures by hand from the same
figures turned round; which way a band wraps as the demo states it.
"""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.desk.element_loads import Duty, Engine, asked_duties, chart_duties, engine_of, tightest
from countershaft.desk.train import Question, answer
from countershaft.errors import OutOfRange
from countershaft.mechanics.friction import DiscPack, pack_capacity
from countershaft.model.transmission import Transmission

#: Unit, gear, element -> must hold (minus where the layshaft turns back), capacity, factor with new linings.
PRINTED = [
    ("demo-a", "1", "K1", 430, 520, 1.21),
    ("demo-a", "R", "K2", 430, 520, 1.21),
    ("demo-a", "3", "K3", -389, 514, 1.32),
    ("demo-a", "4", "K4", -201, 257, 1.28),
    ("demo-a", "5", "K5", -144, 171, 1.19),
    ("demo-b", "1", "A", 979, 1164, 1.19),
    ("demo-b", "R", "B", 979, 1196, 1.22),
    ("demo-b", "2", "C", 495, 632, 1.28),
    ("demo-b", "R", "D", -2937, 3534, 1.20),
    ("demo-b", "5", "E", 444, 582, 1.31),
    ("demo-c", "1", "U", 400, 510, 1.27),
    ("demo-c", "4", "O", 220, 256, 1.16),
    ("demo-c", "R", "V", 400, 625, 1.56),
    ("demo-c", "R", "L", -1112, 1519, 1.37),
    ("demo-c", "2", "G", 210, 252, 1.20),
]


def unit(name: str) -> Transmission:
    return read_transmission(library_text(name), name)


def duty(transmission: Transmission, gear: str, element: str, engine: Engine | None = None) -> Duty:
    found = engine or engine_of(transmission)
    assert found is not None
    (one,) = [one for one in chart_duties(transmission, found) if (one.gear, one.element) == (gear, element)]
    return one


@pytest.mark.parametrize(("name", "gear", "element", "must", "holds", "factor"), PRINTED)
def test_the_printed_tables_come_out(
    name: str, gear: str, element: str, must: float, holds: float, factor: float
) -> None:
    one = duty(unit(name), gear, element)
    assert one.new is not None
    assert one.required == pytest.approx(must, abs=0.6)
    assert one.new.capacity == pytest.approx(holds, abs=0.6)
    assert one.new.factor == pytest.approx(factor, abs=0.0051)
    assert not one.because


@pytest.mark.parametrize(
    ("name", "gear", "element", "must"), [("demo-b", "1", "F", 1762), ("demo-c", "1", "Q", 834)]
)
def test_a_one_way_clutch_says_what_it_must_hold_and_no_more(
    name: str, gear: str, element: str, must: float
) -> None:
    one = duty(unit(name), gear, element)
    assert one.required == pytest.approx(must, abs=0.6)
    assert (one.new, one.run_in, one.factor) == (None, None, None)
    assert one.because == "the file gives no torque of a one-way clutch; ask the maker's service information"


def test_the_lock_up_clutch_of_the_tables() -> None:
    """Demo B prints 653 N·m for its lock-up clutch, which the chart of the file does not apply."""
    pack = DiscPack(2, 0.118, 0.095, 0.12, 0.120, 0.030)
    assert pack_capacity(pack, pressure=600e3).torque == pytest.approx(653, abs=0.6)


def test_the_band_wraps_on_in_second_and_unwraps_in_fourth() -> None:
    """The demo prints 72 N·m in 4th at torque ratio 1, against 134 unwrapping."""
    trainer = unit("demo-c")
    helped = duty(trainer, "2", "G")
    against = duty(trainer, "4", "G", Engine(200, 1.0))
    assert helped.new is not None and against.new is not None
    assert "pull needed, self-energised" in " ".join(helped.new.working)
    assert "pull needed, de-energised" in " ".join(against.new.working)
    assert (against.required, against.new.capacity) == pytest.approx((-72, 134), abs=0.6)


def test_on_coast_the_band_is_helped_in_the_other_gear() -> None:
    """The reaction turns round with the torque."""
    trainer = unit("demo-c")
    for gear, word in (("2", "de-energised"), ("4", "self-energised")):
        one = duty(trainer, gear, "G", Engine(-50, 1.0))
        assert one.new is not None
        assert f"pull needed, {word}" in " ".join(one.new.working)


def test_the_pressure_needed_makes_the_factor_one() -> None:
    transmission = unit("demo-b")
    assert transmission.train is not None
    first = duty(transmission, "2", "C")
    assert first.new is not None and first.new.pressure_needed is not None
    asked = Question("2", Fraction(320) * Fraction("1.6"), pressure=first.new.pressure_needed / 1e3)
    found = answer(transmission.train, asked)
    again = {one.element: one for one in asked_duties(transmission, asked, found.load)}["C"]
    assert again.new is not None
    assert again.new.factor == pytest.approx(1)
    # Run-in linings hold a little less at the same pressure, so the smaller factor says slip.
    assert again.factor is not None and 0.97 < again.factor < 1


def test_turning_fluid_presses_and_the_balance_chamber_takes_most_of_it_back() -> None:
    transmission = unit("demo-b")
    assert transmission.train is not None

    def at(rpm: float) -> Duty:
        asked = Question("3", Fraction(300), rpm)
        load = answer(transmission.train, asked).load  # type: ignore[arg-type]
        return {one.element: one for one in asked_duties(transmission, asked, load)}["A"]

    still, turning = at(0), at(6000)
    assert still.unbalanced is None
    assert still.new is not None and turning.new is not None and turning.unbalanced is not None
    assert still.new.capacity is not None and turning.new.capacity is not None
    assert turning.unbalanced.capacity is not None
    assert still.new.capacity < turning.new.capacity < turning.unbalanced.capacity
    gained = turning.new.capacity - still.new.capacity
    assert gained < 0.25 * (turning.unbalanced.capacity - still.new.capacity)


def test_a_brake_knows_no_fluid_that_turns() -> None:
    transmission = unit("demo-b")
    assert transmission.train is not None
    capacities = []
    for rpm in (0.0, 6000.0):
        asked = Question("2", Fraction(300), rpm)
        load = answer(transmission.train, asked).load
        one = {one.element: one for one in asked_duties(transmission, asked, load)}["C"]
        assert one.new is not None
        capacities.append(one.new.capacity)
    assert capacities[0] == capacities[1]


def test_what_the_file_lacks_is_said_and_never_guessed() -> None:
    text = library_text("demo-c")
    unlisted = re.sub(r"(record: \[.*?)(?:, )?BAND-G", r"\1", text)
    without_band = unit_of(
        unlisted[: unlisted.index("\nbands:")] + unlisted[unlisted.index("\n# Worst cases") :]
    )
    assert duty(without_band, "2", "G").because == "the file has no band of G"
    assert duty(unit_of(text.replace("    drum_od_mm: 152.0\n", "")), "2", "G").because == (
        "the band of G in the file lacks drum_od_mm"
    )
    lacking = duty(unit_of(text.replace("    faces: 4\n", "", 1)), "R", "V")
    assert (lacking.because, lacking.new) == ("the pack of V in the file lacks faces", None)
    assert lacking.required == pytest.approx(400)
    unpressed = duty(unit_of(text.replace("    full_pressure: 850 kPa\n", "")), "2", "G")
    assert unpressed.because.startswith("the file gives no full_pressure")
    assert unpressed.new is not None and unpressed.new.capacity is None
    assert unpressed.new.pressure_needed is not None
    unsaid = duty(unit_of(text.replace('    energised_by: "-"\n', "")), "2", "G")
    assert unsaid.new is not None
    assert unsaid.new.capacity == pytest.approx(134, abs=0.6)
    assert "the weaker way is counted" in unsaid.remarks[0]
    unsprung = duty(unit_of(text.replace("    return_spring: 200 N\n", "")), "2", "G")
    assert "no return spring" in unsprung.remarks[0]


def unit_of(text: str) -> Transmission:
    return read_transmission(text, "changed")


def test_a_gear_without_a_case_is_worked_out_with_the_engine_alone_and_says_so() -> None:
    text = library_text("demo-c")
    cases = text.index("\n# Worst cases")
    bare = unit_of(text[:cases] + text[text.index("\nparts:") :])
    one = duty(bare, "1", "U")
    assert one.required == pytest.approx(200)
    assert one.case == "torque ratio 1, since the file has no load case of this gear"


def test_the_pressure_of_a_load_case_goes_before_the_full_one() -> None:
    """5th gear feeds clutch B with 1000 kPa, reverse with 1600."""
    transmission = unit("demo-b")
    for gear, pressure in (("5", 1000), ("R", 1600)):
        one = duty(transmission, gear, "B")
        assert one.new is not None and one.new.pressure is not None
        assert one.new.pressure / 1e3 == pytest.approx(pressure)


def test_tightest_names_the_gear_of_the_smallest_factor() -> None:
    transmission = unit("demo-b")
    engine = engine_of(transmission)
    assert engine is not None
    worst = {one.element: one.gear for one in tightest(chart_duties(transmission, engine))}
    assert worst == {"A": "1", "B": "R", "C": "2", "D": "R", "E": "5"}


@pytest.mark.parametrize(
    ("torque", "ratio", "said"),
    [
        (0.0, None, "makes no sense"),
        (float("nan"), None, "makes no sense"),
        (200.0, 9.0, "is no converter's"),
    ],
)
def test_an_engine_that_makes_no_sense(torque: float, ratio: float | None, said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        Engine(torque, ratio)
