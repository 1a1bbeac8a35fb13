"""The choice of all parts of a job together.

Expected values: by hand on three invented plays (see choices.py: gap = trial + reading - size, window 0.15 to 0.25 mm);
choices and predicted gaps of the demo units from the tables of the invented demo scenarios.
That the choice is the best of all is held by tests/planning/test_choosing.py, on a thousand small shops.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from countershaft.job.entry import Chosen, FitMeasured, PieceGone, Shelf, Undone
from countershaft.stages.choosing import Choosing, choosing
from countershaft.stages.prediction import predicted
from countershaft.stages.stock import families, held, stock
from tests.small_unit import UNIT, Log
from tests.stages.choices import (
    SIDES,
    THREE,
    chosen,
    counted,
    demo,
    left,
    measured_demo,
    piece,
    prices,
    sides,
    three,
)

#: Fit -> what is typed, size chosen, gap predicted: the tables of demos A, B and C.
DEMOS = {
    "demo-a": {
        "CL-K1": (("23.64", "19.66"), "2.85", "1.13"),
        "CL-K2": (("23.52", "19.73"), "2.74", "1.05"),
        "CL-K3": (("27.63", "23.35"), "3.07", "1.21"),
        "CL-K4": (("15.72", "12.29"), "2.63", "0.80"),
        "CL-K5": (("12.06", "8.65"), "2.74", "0.67"),
        "EP-IS": (("0.74",), "1.80", "0.18"),
        "PL-L1": (("0.36",), "1.51", "-0.09"),
        "PL-L2": (("0.48",), "1.61", "-0.07"),
        "EP-g1": (("0.22",), "3.46", "0.12"),
        "EP-d3": (("0.04",), "3.51", "0.09"),
    },
    "demo-b": {
        "CL-A": (("27.68", "21.74"), "4.60", "1.34"),
        "CL-B": (("16.96", "13.71"), "2.20", "1.05"),
        "CL-C": (("20.05", "16.68"), "2.20", "1.17"),
        "CL-D": (("32.94", "29.36"), "1.80", "1.78"),
        "CL-E": (("20.62", "17.13"), "2.20", "1.29"),
        "EP-IN": (("0.66",), "2.10", "0.36"),
        "EP-GT": (("0.47",), "2.40", "0.27"),
        "EP-P1": (("0.22",), "1.50", "0.22"),
    },
    "demo-c": {
        "CL-U": (("19.13", "14.84"), "3.20", "1.09"),
        "CL-O": (("19.06", "14.79"), "3.20", "1.07"),
        "CL-V": (("14.22", "11.43"), "2.00", "0.79"),
        "CL-L": (("32.12", "28.71"), "2.00", "1.41"),
        "EP-IN": (("0.83",), "2.00", "0.43"),
        "EP-OUT": (("0.41",), "2.00", "0.41"),
    },
}


def seen(log: Log, **asked: object) -> Choosing:
    """The joint choice of a log."""
    return choosing(log.transmission, log.state, **asked)  # type: ignore[arg-type]  # short in tests


def taken(found: Choosing) -> dict[str, str]:
    """Fit -> label or size of what is proposed."""
    return {
        one.fit.id: one.goes[0].piece or str(one.goes[0].size_mm)
        for one in found.fits
        if one.how in ("shelf", "order")
    }


@pytest.mark.parametrize("name", DEMOS)
def test_the_demos_are_chosen_and_predicted_as_their_tables_say(name: str) -> None:
    """Ten, eight and six fits at once, with one piece of every size of every family on the shelf."""
    unit, cases = demo(name), DEMOS[name]
    log = measured_demo(unit, {fit: typed for fit, (typed, _, _) in cases.items()})
    for family in families(unit):
        log.say(counted(family.name, {str(size): 1 for size in family.sizes_mm}))
    found = seen(log)
    assert found.proven
    assert taken(found) == {fit: size for fit, (_, size, _) in cases.items()}
    gaps = {one.fit.id: one.left[0].value for one in found.fits if one.left}
    assert gaps == {fit: Fraction(gap) for fit, (_, _, gap) in cases.items()}


def test_a_preload_that_is_set_by_turning_torque_is_chosen_in_its_own_unit() -> None:
    """The table of demo A: 0.7 N·m with 1.90 and 5.6 N·m for each millimetre: 2.20 gives 2.38, the goal is 2.5."""
    unit = demo("demo-a")
    log = Log(unit)
    figures = [
        {"name": "trial shim", "values": ["1.90"], "unit": "mm", "resolution": "0.01"},
        {"name": "turning torque", "values": ["0.7", "0.7", "0.7"], "unit": "N·m", "resolution": "0.1"},
    ]
    log.say(FitMeasured.model_validate({"fit": "PL-D", "bearings": "new", "figures": figures}))
    log.say(counted("5P-M4", {"2.10": 1, "2.20": 1, "2.25": 1}))
    found = seen(log)
    assert taken(found) == {"PL-D": "2.20"}
    assert float(found.of("PL-D").left[0].value) == 2.38


def test_two_sides_and_a_pack_of_plates_are_chosen_seat_by_seat() -> None:
    """As docs/theory/selective-fits.md has it: 1.61 - 0.7 * 2.103 and 4.10 - 2.103 - 2.05; and 4.8 - 1.8 - 2.0."""
    log = sides()
    log.say(piece("s", "t4", "2.094"), piece("s", "t5", "2.103"), counted("s", {"2.05": 2}))
    log.say(counted("p", {"1.80": 1, "2.00": 2}))
    found = seen(log)
    assert [(each.seat, each.piece or str(each.size_mm)) for each in found.of("D").goes] == [
        ("D/left", "t5"),
        ("D/right", "2.05"),
    ]
    assert sorted(float(one.value) for one in found.of("D").left) == [-0.053, 0.1379]
    assert sorted(str(each.size_mm) for each in found.of("K").goes) == ["1.80", "2.00"]
    log.say(
        Chosen.model_validate({"fit": "D", "size_mm": "2.103", "piece": "t5", "side": "left"}),
        Chosen.model_validate({"fit": "K", "size_mm": "3.80", "plates_mm": ["1.80", "2.00"]}),
    )
    again = seen(log)
    assert (again.of("K").how, again.of("D").how) == ("in", "shelf")
    assert {each.seat: each.piece or str(each.size_mm) for each in again.of("D").goes} == {
        "D/left": "t5",
        "D/right": "2.05",
    }
    assert stock(SIDES, log.state)["p"].counts == {Decimal("2.00"): 1}


def test_one_piece_that_two_fits_want_goes_where_it_is_needed_most() -> None:
    """a needs 1.10, b 1.12; of x 1.10 and y 1.16 alone b would take x, but with y in a that one is out: 0.14."""
    log = three(a="0.30", b="0.32")
    log.say(piece("shims", "x", "1.100"), piece("shims", "y", "1.160"))
    found = seen(log)
    assert taken(found) == {"a": "x", "b": "y"}
    assert [float(one.left[0].value) for one in found.fits if one.left] == [0.2, 0.16]
    assert found.of("b").elsewhere.startswith(
        "x (shim, 1.1 mm measured) would come nearer here; it goes to play a"
    )
    assert found.of("a").elsewhere == ""
    # 1.30 - 1.16 = 0.14 and 1.32 - 1.10 = 0.22: the other way round is the only other plan, and it is improbable
    assert [one.at("a").piece for one in found.others] == ["y"]
    assert found.best is not None and found.others[0].probability < found.best.probability


def test_a_gap_that_hangs_on_another_fits_part_is_chosen_with_it() -> None:
    """c was read with 1.00 in b's place; with 1.10 there it opens by 0.10, so 2.20 is needed and not 2.10."""
    log = three(b="0.30", c="0.30")
    log.say(counted("shims", {"1.10": 1, "1.20": 1}), counted("rings", {"2.10": 1, "2.20": 1}))
    found = seen(log)
    assert taken(found) == {"b": "1.10", "c": "2.20"}
    assert found.of("c").left[0].working[0] == "c = 1.3 + 1.1 (b) − 2.2 (c) = 0.2"


def test_what_lay_in_the_other_place_is_read_from_the_log() -> None:
    """b is set with 1.10 before c is read: then c opens no more, and 2.00 + 0.40 - 0.20 = 2.20 is needed."""
    log = three(b="0.30")
    log.say(counted("shims", {"1.10": 1}), counted("rings", {"2.10": 1, "2.20": 1}), chosen("b", "1.10"))
    log.say(left("b", "0.20"))
    log.entries += three(c="0.40").entries[1:]
    assert taken(seen(log)) == {"c": "2.20"}


def test_a_fit_that_hangs_on_one_that_is_not_measured_counts_what_lay_there() -> None:
    """c alone: the trial shim of b was in, and stays in the reckoning: 2.10."""
    log = three(c="0.30")
    log.say(counted("rings", {"2.10": 1, "2.20": 1}), counted("shims", {"1.10": 1}))
    found = seen(log)
    assert (taken(found), found.of("b").how) == ({"c": "2.10"}, "not measured")


def test_a_choice_that_puts_a_neighbour_out_needs_a_reason() -> None:
    """c with 2.20 is in and found at 0.20; 1.20 in b, however right there, leaves c at 0.30."""
    log = three(b="0.40", c="0.30")
    log.say(counted("shims", {"1.10": 1, "1.20": 1}), counted("rings", {"2.20": 1}))
    assert "would leave play b at 0.3 mm" not in log.refused(chosen("b", "1.10"))
    log.say(chosen("b", "1.10", because="a try"), chosen("c", "2.20"), left("c", "0.20"))
    words = log.refused(chosen("b", "1.20"))
    assert "1.20 mm would leave play c at 0.3 mm, outside 0.15 mm to 0.25 mm" in words


def test_a_choice_that_fits_together_with_one_to_come_is_taken_first() -> None:
    """c with 2.20 is right once 1.10 is in b, whichever is chosen first; judged when both are."""
    log = three(b="0.30", c="0.30")
    log.say(counted("shims", {"1.10": 1, "1.20": 1}), counted("rings", {"2.20": 1}))
    log.say(chosen("c", "2.20"), chosen("b", "1.10"))


def test_a_part_that_is_changed_later_voids_what_hangs_on_it() -> None:
    log = three(b="0.30", c="0.30")
    log.say(counted("shims", {"1.10": 1, "1.20": 1}), counted("rings", {"2.20": 1}))
    log.say(chosen("b", "1.10"), chosen("c", "2.20"), left("b", "0.20"), left("c", "0.20"))
    assert seen(log).voided == ()
    log.say(chosen("b", "1.20", because="to see"))
    (void,) = seen(log).voided
    assert void == "play c rests on play b; play b was changed after play c was measured. Measure it again."


def test_a_set_fit_speaks_when_the_part_that_it_hangs_on_is_chosen_anew() -> None:
    """c was found at 0.20 with 1.10 in b: with 1.20 there it is out at 0.30, so b keeps 1.10, its own gap or not."""
    log = three(b="0.30", c="0.30")
    log.say(counted("shims", {"1.10": 1, "1.20": 1}), counted("rings", {"2.20": 1}))
    log.say(chosen("b", "1.10"), chosen("c", "2.20"), left("b", "0.20"), left("c", "0.20"))
    found = seen(log, free="b")
    assert taken(found) == {"b": "1.10"}
    assert [(one.gap, float(one.value)) for one in found.best.left] == [("b", 0.2), ("c", 0.2)]  # type: ignore[union-attr]
    other = found.others[0]
    assert [(one.gap, float(one.value)) for one in other.left] == [("b", 0.1), ("c", 0.3)]


def test_what_is_not_on_the_shelf_is_ordered_where_that_is_more_probable() -> None:
    """c alone needs 2.10: on the shelf 2.20 leaves 0.10, outside; the list has 2.10 in two days for 4.50."""
    log = three(c="0.30")
    log.say(counted("rings", {"2.20": 1}), prices("rings", {"2.10": (450, 2), "2.00": (300, 0)}))
    found = seen(log)
    assert (found.of("c").how, taken(found)) == ("order", {"c": "2.10"})
    assert found.best is not None and (found.best.price_cents, found.best.days) == (450, 2)
    assert found.shelf_only is not None and found.shelf_only.at("c").size_mm == Decimal("2.20")
    assert found.shelf_only.probability < 0.01
    assert found.best.probability > 0.99
    assert found.currency == "crowns"
    assert taken(seen(log, within_days=1)) == {"c": "2.20"}


def test_of_equal_plans_the_shelf_comes_before_the_list() -> None:
    log = three(c="0.30")
    log.say(counted("rings", {"2.10": 1}), prices("rings", {"2.10": (450, 2)}))
    assert seen(log).of("c").how == "shelf"


def test_a_chosen_piece_is_held_and_an_undo_frees_it() -> None:
    log = three(a="0.30", b="0.30")
    log.say(piece("shims", "x", "1.100"), counted("shims", {"1.20": 2}))
    entry = log.say(chosen("a", "1.10", "x"))
    assert [(one.fit, one.piece) for one in held(log.state)] == [("a", "x")]
    assert "x is in play a already" in log.refused(chosen("b", "1.10", "x"))
    found = seen(log)
    assert (found.of("a").how, taken(found)) == ("in", {"b": "1.20"})
    log.say(Undone(target=entry.id, because="wrong tap"))
    assert held(log.state) == ()
    assert "x" in taken(seen(log)).values()


def test_the_last_counted_piece_goes_in_once() -> None:
    log = three(a="0.30", b="0.30")
    log.say(counted("shims", {"1.10": 1, "1.20": 1}), chosen("a", "1.10"))
    assert "The last 1.10 mm is in play a; there are 1.20" in log.refused(chosen("b", "1.10"))
    assert stock(THREE, log.state)["shims"].counts == {Decimal("1.20"): 1}


def test_a_count_is_of_what_lies_there_then_and_what_comes_out_later_is_added() -> None:
    """Two of 1.10: one goes in, one is left; counted anew with one, and one again once the choice is undone."""
    log = three(a="0.30")
    log.say(counted("shims", {"1.10": 2}))
    entry = log.say(chosen("a", "1.10"))
    assert stock(THREE, log.state)["shims"].counts == {Decimal("1.10"): 1}
    log.say(counted("shims", {"1.10": 1, "1.30": 3}))
    assert stock(THREE, log.state)["shims"].counts == {Decimal("1.10"): 1, Decimal("1.30"): 3}
    log.say(Undone(target=entry.id, because="wrong tap"))
    assert stock(THREE, log.state)["shims"].counts == {Decimal("1.10"): 2, Decimal("1.30"): 3}


def test_a_measured_piece_that_is_in_cannot_be_undone_before_its_choice() -> None:
    log = three(a="0.30")
    entry = log.say(piece("shims", "x", "1.100"))
    log.say(chosen("a", "1.1", "x"))
    assert "Undo first: play a, chosen by R. Bench" in log.refused(Undone(target=entry.id, because="wrong"))


def test_a_fit_that_is_measured_anew_gives_its_piece_back() -> None:
    log = three(a="0.30")
    log.say(counted("shims", {"1.10": 1}), chosen("a", "1.10"))
    assert stock(THREE, log.state)["shims"].counts == {}
    log.entries += three(a="0.31").entries[1:]
    assert stock(THREE, log.state)["shims"].counts == {Decimal("1.10"): 1}


def test_a_size_beyond_the_table_gives_suspects_and_leaves_the_others_alone() -> None:
    """a needs 1.00 + 1.30 - 0.20 = 2.10, the table ends at 1.30."""
    log = three(a="1.30", b="0.30")
    log.say(counted("shims", {"1.10": 2}))
    found = seen(log)
    one = found.of("a")
    assert one.how == "beyond"
    assert "2.1 mm is needed, but the table ends at 1.3 mm" in one.why
    assert one.suspects[0] == "a race is missing"
    assert taken(found) == {"b": "1.10"}


def test_a_family_that_is_short_is_said_and_the_others_are_chosen() -> None:
    log = three(a="0.30", b="0.30", c="0.30")
    log.say(counted("shims", {"1.10": 1}), counted("rings", {"2.10": 1}))
    found = seen(log)
    assert [found.of(name).how for name in "ab"] == ["short", "short"]
    assert "2 seats want shim, and 1 can be had" in found.of("a").why


def test_a_family_that_nobody_looked_at_is_asked_for() -> None:
    log = three(a="0.30", c="0.30")
    log.say(counted("rings", {"2.10": 1}))
    found = seen(log)
    assert found.of("a").how == "no stock"
    assert "Nobody has said which shim can be had" in found.of("a").why


def test_what_was_only_ticked_is_one_marked_piece_for_each_fit_as_before() -> None:
    log = Log(THREE)
    log.entries += three(a="0.30", b="0.30").entries[1:]
    log.say(_ticked("a", "1.10"))
    assert taken(seen(log)) == {"a": "1.10", "b": "1.10"}


def _ticked(fit: str, *sizes: str) -> Shelf:
    return Shelf.model_validate({"fit": fit, "sizes_mm": sizes})


def test_predicted_and_found_are_compared_by_their_uncertainties() -> None:
    """By hand: rest 1.30 from two figures on a 0.01 scale, u = 0.01 / sqrt(12) each; piece 1.100, u = 0.001 / sqrt(12):

    U = 2 * 0.0041 = 0.0082; a single reading has U = 1.96 * 0.0029 = 0.0057; together 0.0100.
    """
    log = three(a="0.30")
    log.say(piece("shims", "x", "1.100"), chosen("a", "1.1", "x"))
    assert predicted(THREE, log.state, "a")[0].why == "predicted 0.20 ± 0.008 mm"
    log.say(left("a", "0.19"))
    (close,) = predicted(THREE, log.state, "a")
    assert close.e_n == pytest.approx(-1.0, abs=0.01)
    log.entries.pop()
    log.say(left("a", "0.30"))
    (far,) = predicted(THREE, log.state, "a")
    assert not far.agree and far.e_n == pytest.approx(10.0, abs=0.1)
    assert far.why == (
        "predicted 0.20 ± 0.008 mm, found 0.30 ± 0.006 mm: they do not agree: something is not seated, or another "
        "piece is in. Look before it stays in (E_n = 10.0)."
    )


# The stock itself


def test_families_are_told_by_name_by_part_and_by_table() -> None:
    assert [(one.name, one.fits) for one in families(THREE)] == [("shims", ("a", "b")), ("rings", ("c",))]
    assert [(one.name, one.fits) for one in families(UNIT)] == [
        ("washer", ("play",)),
        ("washer/gap", ("gap",)),
    ]
    assert [one.name for one in families(demo("demo-a"))][:2] == ["end-plates-132", "end-plates-122"]


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (
            lambda: counted("shims", {"1.15": 1}),
            "1.15 mm is not in the table of the shim (1.00, 1.10, 1.20, 1.30 mm)",
        ),
        (lambda: counted("pins", {"1.10": 1}), "There is no family pins; this file has shims, rings."),
        (lambda: prices("rings", {"9.00": (100, 1)}), "9.00 mm is not in the table of the ring"),
        (lambda: piece("shims", "z", "1.234", "1.100"), "sure: "),
        (lambda: piece("shims", "z", "0.0433"), "Is it inch"),
        (
            lambda: piece("shims", "z", "1.100", marked_mm="1.20"),
            "It is marked 1.20 mm and measures 1.100 mm",
        ),
    ],
)
def test_stock_that_cannot_be_so_is_refused_with_the_reason(body, words: str) -> None:  # type: ignore[no-untyped-def]
    assert words in Log(THREE).refused(body())


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: counted("shims", {"1.10": -1}), "greater than or equal to 0"),
        (lambda: prices("rings", {"2.10": (-5, 1)}), "greater than or equal to 0"),
        (lambda: prices("rings", {"2.10": (5, 1), "2.1": (6, 1)}), "size 2.10 mm stands there twice"),
    ],
)
def test_stock_with_figures_below_zero_or_twice_is_no_stock(make, words: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(ValueError, match=words):
        make()


def test_a_piece_stands_there_once_until_it_is_gone_or_measured_again() -> None:
    log = Log(THREE)
    log.say(piece("shims", "x", "1.100"))
    assert "A piece x is there already: 1.1 mm" in log.refused(piece("shims", "x", "1.105"))
    assert "A piece x is there already" in log.refused(piece("rings", "x", "2.100"))
    log.say(piece("shims", "x", "1.105", again=True))
    assert [str(one.size_mm) for one in stock(THREE, log.state)["shims"].pieces] == ["1.105"]
    log.say(PieceGone(label="x", because="lent"))
    assert stock(THREE, log.state)["shims"].pieces == ()
    assert "No piece x is on the shelf; there are none" in log.refused(PieceGone(label="x", because="lent"))


def test_a_piece_that_is_in_cannot_go() -> None:
    log = three(a="0.30")
    log.say(piece("shims", "x", "1.100"), chosen("a", "1.1", "x"))
    assert "x is chosen for play a. Undo that choice first" in log.refused(
        PieceGone(label="x", because="lent")
    )


def test_all_price_lists_of_a_job_count_in_one_money() -> None:
    log = Log(THREE)
    log.say(prices("rings", {"2.10": (450, 2)}))
    words = log.refused(prices("shims", {"1.10": (450, 2)}, currency="dollars"))
    assert "The other price lists of this job are in crowns" in words
