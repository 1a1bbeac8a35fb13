"""Probabilities of conformity and verdicts: a general normal distribution, draws, and the rules as properties.

Published values are held in tests/published/test_uncertainty.py.
"""

from __future__ import annotations

import math
import statistics

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from countershaft.errors import OutOfRange
from countershaft.metrology.conformity import Verdict
from countershaft.metrology.decision import (
    GUARDED,
    PLAIN,
    Remedies,
    Rule,
    conformity_probability,
    decide,
    what_decides,
)
from countershaft.metrology.instrument import Instrument
from countershaft.metrology.readings import Estimate, estimate

MEANS = st.floats(-2, 2)
LIMITS = st.one_of(
    st.tuples(MEANS, st.none()),
    st.tuples(st.none(), MEANS),
    st.tuples(MEANS, st.floats(0.01, 3)).map(lambda one: (one[0], one[0] + one[1])),
)
STANDARDS = st.floats(1e-3, 2)
FREEDOMS = st.one_of(st.floats(1, 100), st.just(math.inf))
READINGS = st.lists(st.floats(-2, 2), min_size=1, max_size=5)
RULES = st.sampled_from([PLAIN, GUARDED, Rule("half", 0.5), Rule("95 % on one side", 0.82)])


@given(MEANS, STANDARDS, LIMITS)
def test_a_normal_value(mean: float, standard: float, limits: tuple[float | None, float | None]) -> None:
    """The standard library's normal distribution gives the same."""
    lower, upper = limits
    normal = statistics.NormalDist(mean, standard)
    expected = (1.0 if upper is None else normal.cdf(upper)) - (0.0 if lower is None else normal.cdf(lower))
    assert conformity_probability(mean, standard, lower=lower, upper=upper) == pytest.approx(
        expected, abs=1e-12
    )


def test_few_readings_by_brute_force() -> None:
    """A million draws of Student's distribution (numpy), three degrees of freedom, tolerance five deviations."""
    draws = 0.4 + 0.3 * np.random.default_rng(3).standard_t(3, size=1_000_000)
    inside = float(((draws >= 0.0) & (draws <= 0.9)).mean())
    found = conformity_probability(0.4, 0.3, lower=0.0, upper=0.9, degrees_of_freedom=3)
    assert found == pytest.approx(inside, abs=5 * math.sqrt(found * (1 - found) / 1e6))


@given(MEANS, STANDARDS, st.floats(1, 5), LIMITS, FREEDOMS)
def test_more_uncertainty_never_makes_a_good_value_surer(
    mean: float, standard: float, more: float, limits: tuple[float | None, float | None], freedom: float
) -> None:
    """On the good side of its limits, a value's probability only falls with its uncertainty."""
    lower, upper = limits
    assume((lower is None or mean >= lower) and (upper is None or mean <= upper))
    known = conformity_probability(mean, standard, lower=lower, upper=upper, degrees_of_freedom=freedom)
    less = conformity_probability(mean, standard * more, lower=lower, upper=upper, degrees_of_freedom=freedom)
    assert less <= known + 1e-12


@given(MEANS, STANDARDS, LIMITS, st.floats(0, 2), st.floats(0, 2), FREEDOMS)
def test_wider_limits_are_never_less_probable(
    mean: float,
    standard: float,
    limits: tuple[float | None, float | None],
    down: float,
    up: float,
    freedom: float,
) -> None:
    lower, upper = limits
    narrow = conformity_probability(mean, standard, lower=lower, upper=upper, degrees_of_freedom=freedom)
    wide = conformity_probability(
        mean,
        standard,
        lower=None if lower is None else lower - down,
        upper=None if upper is None else upper + up,
        degrees_of_freedom=freedom,
    )
    assert wide >= narrow - 1e-12


@given(READINGS, LIMITS, st.floats(0, 2), st.floats(0, 2), RULES)
def test_wider_limits_never_turn_good_to_bad(
    readings: list[float], limits: tuple[float | None, float | None], down: float, up: float, rule: Rule
) -> None:
    """By every rule, what is good stays good, and what is undecided never turns bad."""
    lower, upper = limits
    value = estimate(readings, resolution=0.05, permitted_error=0.05)
    narrow = decide(value, lower=lower, upper=upper, unit="mm", rule=rule).verdict
    wide = decide(
        value,
        lower=None if lower is None else lower - down,
        upper=None if upper is None else upper + up,
        unit="mm",
        rule=rule,
    ).verdict
    if narrow is Verdict.GOOD:
        assert wide is Verdict.GOOD
    if narrow is Verdict.AGAIN:
        assert wide is not Verdict.BAD


@given(READINGS, LIMITS)
def test_the_guarded_rule_proves_good_and_bad_by_the_whole_interval(
    readings: list[float], limits: tuple[float | None, float | None]
) -> None:
    """ISO 14253-1, stated as it is printed: good with the whole interval inside, bad with all of it outside."""
    value = estimate(readings, resolution=0.05)
    lower, upper = limits
    low, high = value.interval
    edges = [end - one for end in (low, high) for one in limits if one is not None]
    assume(all(abs(edge) > 1e-9 for edge in edges))
    inside = (lower is None or low >= lower) and (upper is None or high <= upper)
    outside = (lower is not None and high < lower) or (upper is not None and low > upper)
    expected = Verdict.GOOD if inside else Verdict.BAD if outside else Verdict.AGAIN
    assert decide(value, lower=lower, upper=upper, unit="mm").verdict is expected


@given(MEANS, LIMITS)
def test_a_coarser_scale_never_decides_more(value: float, limits: tuple[float | None, float | None]) -> None:
    """What is undecided with a fine scale is not decided the other way with a coarse one."""
    lower, upper = limits
    fine, coarse = (
        decide(estimate([value], resolution=step), lower=lower, upper=upper, unit="mm").verdict
        for step in (0.01, 0.2)
    )
    assert coarse in (fine, Verdict.AGAIN)


def test_on_the_limit_nobody_can_tell() -> None:
    """A reading of 0.07 on a 0.01 scale against at most 0.07 is neither good nor bad, and as probable as not."""
    found = decide(play(0.07), lower=0.02, upper=0.07, unit="mm")
    assert found.verdict is Verdict.AGAIN
    assert "50 % probable that it conforms" in found.why


@given(READINGS, LIMITS, RULES)
def test_a_wider_guard_band_never_decides_more(
    readings: list[float], limits: tuple[float | None, float | None], rule: Rule
) -> None:
    value = estimate(readings, resolution=0.05)
    lower, upper = limits
    loose, strict = (
        decide(value, lower=lower, upper=upper, unit="mm", rule=one).verdict
        for one in (rule, Rule("wider", rule.guard + 0.5))
    )
    assert strict in (loose, Verdict.AGAIN)


@given(READINGS, LIMITS)
def test_what_is_good_and_guarded_is_probable(
    readings: list[float], limits: tuple[float | None, float | None]
) -> None:
    """With the whole 95 % inside, at least 95 % are; rounding of the printed factor takes a little."""
    lower, upper = limits
    value = estimate(readings, resolution=0.05)
    found = decide(value, lower=lower, upper=upper, unit="mm")
    if found.verdict is Verdict.GOOD:
        assert found.probability > 0.95
    if found.verdict is Verdict.BAD:
        assert found.probability < 0.03


def play(*readings: float, resolution: float = 0.01, permitted_error: float = 0.0) -> Estimate:
    """An end play in millimetres."""
    return estimate(readings, resolution=resolution, permitted_error=permitted_error)


@pytest.mark.parametrize(
    ("value", "rule", "verdict", "words"),
    [
        (
            0.05,
            GUARDED,
            Verdict.GOOD,
            "lies inside 0.02 to 0.07 mm; more than 99 % probable that it conforms",
        ),
        (0.10, GUARDED, Verdict.BAD, "lies above 0.07 mm; less than 1 % probable that it conforms"),
        (0.005, GUARDED, Verdict.BAD, "lies below 0.02 mm; less than 1 % probable that it conforms"),
        (0.068, GUARDED, Verdict.AGAIN, "reaches into the guard band at 0.07 mm; 76 % probable"),
        (0.022, GUARDED, Verdict.AGAIN, "reaches into the guard band at 0.02 mm; 76 % probable"),
        (0.068, PLAIN, Verdict.GOOD, "lies inside 0.02 to 0.07 mm; 76 % probable"),
        (0.072, PLAIN, Verdict.BAD, "lies above 0.07 mm; 24 % probable"),
    ],
)
def test_verdicts_by_rule(value: float, rule: Rule, verdict: Verdict, words: str) -> None:
    """By hand: u = 0.01/√12 = 0.00289, 0.002 is 0.69 u from the limit, and Φ(0.69) = 0.756."""
    found = decide(play(value), lower=0.02, upper=0.07, unit="mm", rule=rule)
    assert (found.verdict, found.rule) == (verdict, rule)
    assert words in found.why


def test_one_limit_is_named() -> None:
    """A single limit stands as it was meant, and its window for good means is drawn in by U."""
    most = decide(play(0.03), lower=None, upper=0.05, unit="mm")
    least = decide(play(0.08), lower=0.05, upper=None, unit="mm")
    assert "is at most 0.05 mm" in most.why and "is at least 0.05 mm" in least.why
    assert most.acceptance == (None, pytest.approx(0.05 - 0.0057735))
    assert least.acceptance == (pytest.approx(0.05 + 0.0057735), None)


def test_a_plain_verdict_needs_a_window_wider_than_its_uncertainty() -> None:
    """By hand: U = 0.0577 either way against a window of 0.05; 0.2 lies clear outside."""
    found = decide(play(0.045, resolution=0.1), lower=0.02, upper=0.07, unit="mm", rule=PLAIN)
    assert found.verdict is Verdict.AGAIN
    assert "is less sure than 0.02 to 0.07 mm is wide" in found.why
    assert (
        decide(play(0.2, resolution=0.1), lower=0.02, upper=0.07, unit="mm", rule=PLAIN).verdict
        is Verdict.BAD
    )


def test_more_readings_would_decide() -> None:
    """By hand: s = 0.003, 0.005 to the limit; n = 4: 3.31·0.00153 = 0.0051, n = 5: 2.87·0.00137 = 0.0039."""
    found = what_decides(play(0.062, 0.068, 0.065, resolution=0.001), lower=0.02, upper=0.07)
    assert found.repeats == 5
    assert (found.resolution, found.permitted_error, found.both) == (None, None, None)


def test_a_finer_scale_would_decide() -> None:
    """By hand: 0.002 to the limit; steps of 0.005 leave U = 0.0029, of 0.002 U = 0.0012."""
    found = what_decides(play(0.068), lower=0.02, upper=0.07)
    assert found == Remedies(None, pytest.approx(0.002), None, None, ())
    assert found.possible
    assert found.sentences("mm") == ("A scale with steps of 0.002 mm would decide it.",)


def test_a_truer_instrument_would_decide() -> None:
    """By hand: 0.009 to the limit, step 0.001; error 0.012 leaves U = 0.0139, 0.006 leaves 0.0069."""
    found = what_decides(play(0.061, resolution=0.001, permitted_error=0.012), lower=0.02, upper=0.07)
    assert (found.permitted_error, found.resolution) == (pytest.approx(0.006), None)
    assert found.sentences("mm") == ("An instrument true to 0.006 mm would decide it.",)


def test_both_together_would_decide() -> None:
    """By hand: 0.004 to the limit; the step alone leaves 0.0058, the error alone 0.0069, a half of each 0.0045,
    a fifth of each 0.0018."""
    value = play(0.066, resolution=0.01, permitted_error=0.006)
    found = what_decides(value, lower=0.02, upper=0.07)
    assert (found.resolution, found.permitted_error) == (None, None)
    assert found.both == (pytest.approx(0.002), pytest.approx(0.0012))
    assert found.sentences("mm") == ("A scale with steps of 0.002 mm and true to 0.0012 mm would decide it.",)


def test_the_shops_own_instruments_are_named() -> None:
    """Steps of 0.001 and true to 0.002 leave U = 0.0024 for 0.004; the other is no better."""
    shop = [
        Instrument("dial 1", "dial indicator", 0.01, 0.012),
        Instrument("lever 2", "lever indicator", 0.001, 0.002),
    ]
    found = what_decides(play(0.066, permitted_error=0.012), lower=0.02, upper=0.07, instruments=shop)
    assert found.instruments == ("lever 2",)
    assert found.sentences("mm")[-1] == "Of the shop's instruments, these would decide it: lever 2."


def test_on_the_limit_nothing_decides() -> None:
    found = what_decides(play(0.07, 0.07), lower=0.02, upper=0.07)
    assert found == Remedies(None, None, None, None, ())
    assert not found.possible
    assert "treat it as on the limit" in found.sentences("mm")[0]


@given(READINGS, LIMITS, RULES)
def test_every_remedy_is_one(
    readings: list[float], limits: tuple[float | None, float | None], rule: Rule
) -> None:
    """What is named decides, and one reading fewer does not; what is decided needs nothing."""
    lower, upper = limits
    value = estimate(readings, resolution=0.05, permitted_error=0.03)

    def again(one: Estimate) -> bool:
        return decide(one, lower=lower, upper=upper, unit="mm", rule=rule).verdict is Verdict.AGAIN

    found = what_decides(value, lower=lower, upper=upper, rule=rule)
    assert again(value) or not found.possible
    if found.repeats:
        assert not again(value.foreseen(repeats=found.repeats))
        assert found.repeats == len(readings) + 1 or again(value.foreseen(repeats=found.repeats - 1))
    if found.resolution:
        assert not again(value.foreseen(resolution=found.resolution))
    if found.permitted_error:
        assert not again(value.foreseen(permitted_error=found.permitted_error))
    if found.both:
        assert not again(value.foreseen(resolution=found.both[0], permitted_error=found.both[1]))


def test_nonsense_is_refused() -> None:
    with pytest.raises(OutOfRange, match="nothing to judge by"):
        decide(play(1.0), lower=None, upper=None, unit="mm")
    with pytest.raises(OutOfRange, match="lower limit 2 is not below the upper limit 1"):
        what_decides(play(1.0), lower=2.0, upper=1.0)
    with pytest.raises(OutOfRange, match="standard uncertainty is 0"):
        conformity_probability(1.0, 0.0, lower=0.0, upper=None)
    with pytest.raises(OutOfRange, match="guard band of -1 U"):
        Rule("odd", -1.0)
