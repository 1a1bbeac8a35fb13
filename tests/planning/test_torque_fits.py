"""Preload by turning torque, and two-sided fits.  Expected values: by hand, and draws (a second route)."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from random import Random
from statistics import fmean, stdev

import pytest

from countershaft.errors import OutOfRange
from countershaft.planning.choosing import choose_fits
from countershaft.planning.gap_fits import Measured
from countershaft.planning.shelf import Family, Listed, Place, Shop
from countershaft.planning.torque_fits import by_known_rate, by_two_trials, two_sided


def m(text: str, standard: float = 0.0) -> Measured:
    """A measured figure."""
    return Measured(Fraction(text), standard)


@pytest.mark.parametrize("goal", ["1.3", "2.5", "0.2"])
def test_two_trials_teach_the_rate_by_draws(goal: str) -> None:
    """Small errors, so that the law of propagation holds: 20 000 lines through drawn points."""
    chance = Random(11)
    sizes, rates = [], []
    for _ in range(20_000):
        s1, s2 = chance.gauss(1.9, 0.001), chance.gauss(2.1, 0.002)
        t1, t2 = chance.gauss(0.7, 0.02), chance.gauss(1.82, 0.03)
        rates.append((t2 - t1) / (s2 - s1))
        sizes.append(s1 + (float(goal) - t1) / rates[-1])
    found = by_two_trials(
        (m("1.9", 0.001), m("0.7", 0.02)), (m("2.1", 0.002), m("1.82", 0.03)), goal=Fraction(goal)
    )
    assert float(found.size) == pytest.approx(fmean(sizes), abs=0.001)
    assert found.standard == pytest.approx(stdev(sizes), rel=0.03)
    assert found.rate.standard == pytest.approx(stdev(rates), rel=0.03)


@pytest.mark.parametrize("size", ["1.7", "2.0", "2.3"])
def test_the_torque_to_expect_by_draws(size: str) -> None:
    """The line at another size: rate and torque are taken at the pivot, where they are uncorrelated."""
    chance = Random(12)
    draws = []
    for _ in range(20_000):
        t1, t2 = chance.gauss(0.7, 0.02), chance.gauss(1.82, 0.05)
        draws.append(t1 + (t2 - t1) / 0.2 * (float(size) - 1.9))
    found = by_two_trials((m("1.9"), m("0.7", 0.02)), (m("2.1"), m("1.82", 0.05)), goal=Fraction("2.5"))
    given = found.gives(Fraction(size))
    assert float(given.value) == pytest.approx(fmean(draws), abs=0.003)
    assert given.standard == pytest.approx(stdev(draws), rel=0.03)
    gap = found.as_gap("P", place="D", lower=Fraction(1), upper=Fraction(4))
    term = gap.terms[0]
    spread = gap.standard**2 + (float(Fraction(size) - term.pivot) * term.standard) ** 2
    assert spread**0.5 == pytest.approx(given.standard)


def test_exact_readings_teach_an_exact_rate() -> None:
    """(1.82 - 0.70) / 0.2 = 5.6; 1.9 + 1.8 / 5.6 = 2.2214."""
    found = by_two_trials((m("1.9"), m("0.7")), (m("2.1"), m("1.82")), goal=Fraction("2.5"))
    known = by_known_rate(m("1.9"), m("0.7"), rate=m("5.6"), goal=Fraction("2.5"))
    assert found.size == known.size == Fraction("1.9") + Fraction("1.8") / Fraction("5.6")
    assert found.standard == known.standard == 0


def test_a_known_rate_by_draws() -> None:
    chance = Random(13)
    draws = [
        chance.gauss(1.9, 0.002) + (2.5 - chance.gauss(0.7, 0.05)) / chance.gauss(5.6, 0.2)
        for _ in range(20_000)
    ]
    found = by_known_rate(m("1.9", 0.002), m("0.7", 0.05), rate=m("5.6", 0.2), goal=Fraction("2.5"))
    assert found.standard == pytest.approx(stdev(draws), rel=0.03)


def sided(rate: str = "-0.7"):  # type: ignore[no-untyped-def]  # short in tests
    """Trial shims of 2.00 each, 0.10 of play, backlash 0.21; 0.06 of interference and 0.14 of backlash wanted."""
    return two_sided(
        m("2.00", 0.003), m("2.00", 0.003), play=m("0.10", 0.005), backlash=m("0.21", 0.006),
        rate=m(rate, 0.05), goals=(Fraction("0.06"), Fraction("0.14")),
    )  # fmt: skip


def test_the_total_sets_the_preload_and_the_split_the_backlash() -> None:
    """By hand: left 2.00 + 0.07 / 0.7 = 2.10; total 4.16, so right 2.06."""
    found = sided()
    assert (float(found.needed_left), float(found.needed_right)) == (2.1, 2.06)
    assert found.working[0] == "total = 2 + 2 + play 0.1 + interference 0.06 = 4.16 mm"


def test_the_uncertainty_of_both_sides_by_draws() -> None:
    """Right is the total less left: the error of the left trial shim drops out of it."""
    chance = Random(14)
    lefts, rights = [], []
    for _ in range(20_000):
        left, right, play = chance.gauss(2, 0.003), chance.gauss(2, 0.003), chance.gauss(0.1, 0.005)
        needed = left + (0.14 - chance.gauss(0.21, 0.006)) / chance.gauss(-0.7, 0.05)
        lefts.append(needed)
        rights.append(left + right + play + 0.06 - needed)
    assert sided().standard_left == pytest.approx(stdev(lefts), rel=0.03)
    assert sided().standard_right == pytest.approx(stdev(rights), rel=0.03)


def test_both_gaps_are_met_by_the_needed_sizes() -> None:
    found = sided()
    limits = (Fraction("0.04"), Fraction("0.08")), (Fraction("0.10"), Fraction("0.18"))
    gaps = found.as_gaps("carrier", places=("left", "right"), preload=limits[0], backlash=limits[1])
    at = {"left": found.needed_left, "right": found.needed_right}
    values = [gap.rest + sum(term.factor * at[term.place] for term in gap.terms) for gap in gaps]
    assert values == [Fraction("-0.06"), Fraction("0.14")]
    table = tuple(Fraction(200 + 2 * step, 100) for step in range(10))
    shop = Shop(
        (Family("shim", table),), (Place("left", "shim"), Place("right", "shim")), gaps,
        listed=tuple(Listed("shim", size) for size in table),
    )  # fmt: skip
    assert {one.place: one.size for one in choose_fits(shop).best.selected} == at


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (lambda: sided("0"), "the backlash does not change with the left shim"),
        (lambda: sided("0.01"), "both must be above zero"),
        (
            lambda: by_known_rate(m("1"), m("1"), rate=m("0"), goal=Fraction(1)),
            "a thicker shim must turn harder",
        ),
        (
            lambda: by_two_trials((m("1"), m("1")), (m("1"), m("2")), goal=Fraction(1)),
            "both trials were made with 1 mm",
        ),
        (
            lambda: by_two_trials((m("1"), m("2")), (m("2"), m("1")), goal=Fraction(1)),
            "the rate is −1 N·m/mm: a thicker shim must turn harder",
        ),
    ],
)
def test_trials_that_teach_nothing_are_refused(asked: Callable[[], object], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        asked()
