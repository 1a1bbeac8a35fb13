"""All fits chosen together.

Expected values come from trying every choice (fit_shops.py, written apart), and by hand for the cases with names.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from countershaft.errors import GoalOutOfReach, OutOfRange, Unknown
from countershaft.planning.choosing import Answer, FitPlan, choose_fits
from countershaft.planning.reach import needed_size
from countershaft.planning.shelf import Family, Gap, Listed, Piece, Place, Shop, Term
from tests.planning.fit_shops import all_choices, big_shop, small_shop

SEEDS = st.integers(0, 10**6)


def within_reach(answer: Answer) -> bool:
    """Every fit was chosen for, so that trying all answers the same question."""
    return not answer.beyond and not answer.waiting


@pytest.mark.parametrize("block", range(10))
def test_the_choice_is_the_best_of_all_choices(block: int) -> None:
    """A thousand shops in all."""
    tried = 0
    for seed in range(100 * block, 100 * block + 100):
        shop = small_shop(seed)
        try:
            answer = choose_fits(shop, plans=3)
        except GoalOutOfReach:
            assert not list(all_choices(shop)), seed
            continue
        assert within_reach(answer), seed
        best: dict[tuple[tuple[str, Fraction, float, bool], ...], tuple[int, int, int, int]] = {}
        for objective, choice in all_choices(shop):
            best[choice] = min(best.get(choice, objective), objective)
        expected = sorted(best.values())[:3]
        assert [plan.goals for plan in (answer.best, *answer.others)] == expected, seed
        assert answer.verdict == "optimal"
        tried += 1
    assert tried > 80


def test_what_a_plan_says_of_itself_is_so() -> None:
    """Each piece once and of the right family; the product; what is left, summed anew."""
    for seed in range(200):
        shop = small_shop(seed)
        plan = choose_fits(shop).best
        pieces = [one.piece for one in plan.selected if one.piece is not None]
        assert len(set(pieces)) == len(pieces)
        family = {one.name: one.family for one in (*shop.places, *shop.pieces)}
        assert all(one.piece is None or family[one.piece] == family[one.place] for one in plan.selected)
        at = {one.place: one.size for one in plan.selected}
        product = 1.0
        for gap in shop.gaps:
            left = next(one for one in plan.left if one.gap == gap.name)
            assert left.value == gap.rest + sum(term.factor * at[term.place] for term in gap.terms)
            assert left.inside == (gap.lower <= left.value <= gap.upper)
            product *= left.probability
        assert plan.probability == pytest.approx(product)


@given(SEEDS, st.randoms(use_true_random=False))
def test_the_order_in_which_things_are_given_changes_nothing(seed: int, chance: Random) -> None:
    shop = small_shop(seed)

    def mixed(things: tuple[object, ...]) -> tuple[object, ...]:
        return tuple(chance.sample(things, len(things)))

    gaps = tuple(replace(gap, terms=mixed(gap.terms)) for gap in shop.gaps)
    other = Shop(*(mixed(each) for each in (shop.families, shop.places, gaps, shop.pieces, shop.listed)))  # type: ignore[arg-type]  # mixed keeps the kind
    try:
        expected = choose_fits(shop, plans=3)
    except GoalOutOfReach:
        with pytest.raises(GoalOutOfReach):
            choose_fits(other, plans=3)
        return
    assert choose_fits(other, plans=3) == expected


def objective(shop: Shop) -> tuple[float, ...]:
    """The best objective; worse than all where not every place can be filled."""
    try:
        return choose_fits(shop).best.goals
    except GoalOutOfReach:
        return (float("inf"),)


@given(SEEDS, st.integers(1, 30))
def test_wider_limits_never_make_it_less_probable(seed: int, hundredths: int) -> None:
    shop = small_shop(seed)
    wider = replace(
        shop,
        gaps=tuple(
            replace(
                gap, lower=gap.lower - Fraction(hundredths, 100), upper=gap.upper + Fraction(hundredths, 100)
            )
            for gap in shop.gaps
        ),
    )
    assert objective(wider)[0] <= objective(shop)[0]


@given(SEEDS, st.sampled_from(("shim", "washer")), st.integers(90, 270))
def test_one_more_piece_never_makes_it_worse(seed: int, family: str, hundredths: int) -> None:
    shop = small_shop(seed)
    more = replace(shop, pieces=(*shop.pieces, Piece("extra", family, Fraction(hundredths, 100), 0.005)))
    assert objective(more) <= objective(shop)


@given(SEEDS)
def test_the_shelf_alone_is_never_better_than_with_orders(seed: int) -> None:
    try:
        answer = choose_fits(small_shop(seed), plans=4)
    except GoalOutOfReach:
        return
    plans = [answer.best, *answer.others]
    assert [plan.goals for plan in plans] == sorted(plan.goals for plan in plans)
    if answer.from_shelf is not None:
        assert not answer.from_shelf.to_order
        assert answer.from_shelf.goals >= answer.best.goals


@pytest.mark.parametrize("seed", range(40))
def test_a_pack_of_plates_that_could_be_exchanged(seed: int) -> None:
    """Plans that only exchange plates between equal places are one plan; three or four plates of seven."""
    chance = Random(seed)
    places = tuple(Place(f"p{number}", "steel") for number in range(chance.choice((3, 4))))
    sizes = [chance.choice((180, 200)) + chance.randint(-1, 1) for _ in range(7)]
    pieces = tuple(
        Piece(f"s{number}", "steel", Fraction(size, 100), 0.003) for number, size in enumerate(sizes)
    )
    rest = Fraction(19 * len(places) + 10, 10)
    terms = tuple(Term(place.name) for place in places)
    gap = Gap("pack", rest, 0.02, terms, mm("0.9"), mm("1.2"), mm("1.05"))
    shop = Shop((Family("steel", (mm("1.8"), mm("2.0"))),), places, (gap,), pieces)
    best: dict[tuple[Fraction, ...], tuple[int, int, int, int]] = {}
    for objective, choice in all_choices(shop):
        best[tuple(sorted(one[1] for one in choice))] = objective
    answer = choose_fits(shop, plans=4)
    assert [plan.goals for plan in (answer.best, *answer.others)] == sorted(best.values())[:4]


@settings(max_examples=10)
@given(SEEDS, st.booleans(), st.booleans())
def test_twelve_fits_of_twenty_sizes_are_proven(seed: int, listed: bool, crowded: bool) -> None:
    """Few nodes, so that the time stays within what is promised; `benchmarks/choosing.py` measures it."""
    answer = choose_fits(big_shop(seed, listed=listed, crowded=crowded))
    assert answer.verdict == "optimal" and within_reach(answer)
    assert answer.nodes < 2000


def mm(text: str) -> Fraction:
    """A length in millimetres."""
    return Fraction(text)


SHIMS = Family("shim", tuple(mm("1.80") + Fraction(15 * step, 100) for step in range(4)))


def play(rest: str, low: str = "0.25", high: str = "0.50", goal: str = "0.375", place: str = "IN") -> Gap:
    """An end play that one shim sets; known to a hundredth or so."""
    return Gap(
        f"play {place}", mm(rest), 0.01, (Term(place),), mm(low), mm(high), mm(goal), ("a washer is doubled",)
    )


def one_fit(gap: Gap, *pieces: str, listed: tuple[Listed, ...] = ()) -> Shop:
    """A shop with one place and pieces of these sizes."""
    stock = tuple(Piece(f"on hand {size}", "shim", mm(size)) for size in pieces)
    return Shop((SHIMS,), (Place("IN", "shim"),), (gap,), stock, listed)


def sizes(plan: FitPlan) -> list[float]:
    """The sizes of a plan, by place."""
    return [float(one.size) for one in plan.selected]


def test_a_size_off_the_table_is_not_chosen() -> None:
    """2.85 is needed, the table ends at 2.25: the suspects of the caller are named, nothing is chosen."""
    answer = choose_fits(one_fit(play("3.225"), "2.25"))
    assert (answer.best.selected, answer.beyond[0].direction) == ((), "thicker")
    said = "play IN: 2.85 mm is needed, but the table ends at 2.25 mm. A selective part must not make up for a fault."
    assert answer.said() == (f"{said} Look at: a washer is doubled.",)


def test_half_a_step_beyond_the_end_is_still_the_end() -> None:
    """Steps of 0.15: 0.075 beyond is the last that the table answers for, as where one fit is chosen alone."""
    assert not choose_fits(one_fit(play("2.700"), "2.25")).beyond
    assert choose_fits(one_fit(play("2.701"), "2.25")).beyond[0].needed == mm("2.326")
    assert choose_fits(one_fit(play("2.099"), "2.25")).beyond[0].direction == "thinner"


def test_a_fit_that_shares_a_place_with_one_out_of_reach_waits() -> None:
    far = play("3.225")
    near = Gap("split", mm("4.3"), 0.01, (Term("IN"), Term("OUT")), mm("0.2"), mm("0.4"), mm("0.3"))
    other = play("2.4", place="AWAY")
    places = tuple(Place(name, "shim") for name in ("IN", "OUT", "AWAY"))
    stock = tuple(Piece(f"s{number}", "shim", size) for number, size in enumerate(SHIMS.table))
    answer = choose_fits(Shop((SHIMS,), places, (far, near, other), stock))
    assert answer.waiting == ("split",)
    assert [one.place for one in answer.best.selected] == ["AWAY"]
    assert "split waits: it shares a part with a fit that is out of reach." in answer.said()


def test_limits_between_two_steps_are_said() -> None:
    """0.30 to 0.40 is asked; 1.95 leaves 0.45 and 2.10 leaves 0.30 less a little: neither holds."""
    gap = play("2.395", "0.30", "0.40", "0.35")
    answer = choose_fits(one_fit(gap, "1.95", "2.10"))
    assert answer.no_step[0].why == (
        "play IN: the nearest steps leave 0.295 and 0.445, not 0.3 to 0.4; it takes 1.995 to 2.095 mm, and the table "
        "has nothing there. Measure again, or have a part made to size."
    )
    assert sizes(answer.best) == [2.1]


def test_what_to_order_and_what_the_shelf_alone_would_cost() -> None:
    """2.085 is needed; 1.95 leaves 0.51, one standard uncertainty outside: 16 %."""
    listed = tuple(Listed("shim", size, 0.0, 300, 2) for size in SHIMS.table)
    answer = choose_fits(one_fit(play("2.46"), "1.95", listed=listed), plans=2)
    assert sizes(answer.best) == [2.1]
    assert answer.from_shelf is not None
    assert answer.from_shelf.probability == pytest.approx(0.1587, abs=1e-4)
    assert "Order shim 2.1 mm for IN, here in 2 days." in answer.said()
    assert (
        "From the shelf alone all fits are good with 15.9 %, with the order more than 99.9 %."
        in answer.said()
    )
    assert answer.costs(answer.others[0]) == pytest.approx(0.8413, abs=1e-4)
    assert "The second best costs 84.1 % of probability." in answer.said()


def test_a_piece_at_hand_goes_before_an_equal_one_that_is_ordered() -> None:
    listed = (Listed("shim", mm("2.10"), 0.0, 0, 0),)
    answer = choose_fits(one_fit(play("2.46"), "2.10", listed=listed))
    assert not answer.best.to_order


def test_the_cheaper_of_equals_is_ordered_and_the_late_one_left_out() -> None:
    listed = (Listed("shim", mm("2.10"), 0.0, 900, 1), Listed("shim", mm("2.10"), 0.0, 300, 9))
    assert choose_fits(one_fit(play("2.46"), listed=listed)).best.price == 300
    assert choose_fits(one_fit(play("2.46"), listed=listed), within_days=3).best.price == 900


def test_a_learned_rate_counts_the_more_the_farther_from_where_it_was_learned() -> None:
    """Torque 0.7 at 1.80, 5 +- 1 N m for every mm: at 2.10 the rate alone leaves 0.3 uncertain."""
    term = Term("IN", Fraction(5), mm("1.80"), 1.0)
    gap = Gap("torque", mm("0.7") - 9, 0.0, (term,), Fraction(1), Fraction(4), Fraction(2))
    left = choose_fits(one_fit(gap, "2.10")).best.left[0]
    assert (float(left.value), left.standard) == (2.2, pytest.approx(0.3))


def test_a_shop_that_cannot_fill_its_places_says_who_wants_what() -> None:
    two = Shop(
        (SHIMS,),
        (Place("IN", "shim"), Place("OUT", "shim")),
        (play("2.46"), play("2.46", place="OUT")),
        (Piece("only", "shim", mm("2.10")),),
    )
    with pytest.raises(
        GoalOutOfReach, match="shim: IN, OUT want 2, 1 on the shelf, and none is listed in time"
    ):
        choose_fits(two)


def test_a_search_that_is_cut_short_does_not_say_optimal() -> None:
    """Shops that take more than one node are searched with one."""
    verdicts = {choose_fits(big_shop(seed, listed=False), most_nodes=2).verdict for seed in range(5)}
    assert "best found" in verdicts


@pytest.mark.parametrize(
    ("change", "error", "said"),
    [
        ({"pieces": (Piece("a", "shim", mm("1")), Piece("a", "shim", mm("2")))}, OutOfRange, "two pieces are called a"),
        ({"pieces": (Piece("a", "ring", mm("1")),)}, Unknown, "piece a: there is no family ring"),
        ({"places": (Place("OUT", "shim"),)}, Unknown, "gap play IN: there is no place IN"),
        ({"places": (Place("IN", "shim"), Place("OUT", "shim"))}, OutOfRange, "no gap says what goes to OUT"),
    ],
)  # fmt: skip
def test_a_shop_with_a_slip_is_refused(change: dict[str, object], error: type[Exception], said: str) -> None:
    with pytest.raises(error, match=said):
        replace(one_fit(play("2.46")), **change)  # type: ignore[arg-type]  # by name


def test_records_with_a_slip_are_refused() -> None:
    with pytest.raises(OutOfRange, match="piece a measures -1 mm; expected more than 0"):
        Piece("a", "shim", Fraction(-1))
    with pytest.raises(OutOfRange, match="listed at -1 cents in 0 days; neither can be below zero"):
        Listed("shim", Fraction(1), price=-1)
    with pytest.raises(OutOfRange, match=r"the goal 1 does not lie between 0\.25 and 0\.5"):
        play("2", goal="1")
    with pytest.raises(OutOfRange, match="the table of shim must rise without repeats"):
        Family("shim", (Fraction(2), Fraction(1)))
    with pytest.raises(OutOfRange, match="0 plans are asked for"):
        choose_fits(one_fit(play("2.46"), "2.10"), plans=0)
    with pytest.raises(OutOfRange, match="is set at 2 places; no one size is needed"):
        needed_size(Gap("two", mm("4"), 0.0, (Term("a"), Term("b")), mm("0"), mm("1"), mm("0.5")))
