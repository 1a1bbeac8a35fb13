"""Rules that every verdict of a stage keeps, whatever was typed, in whatever unit, on whatever instrument.

Expected: no figures, but what ISO 14253-1 and JCGM 106 demand of any rule, stated as properties.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from hypothesis import assume, given
from hypothesis import strategies as st

from countershaft import units
from countershaft.job.taken import InstrumentUsed, RuleName, Taken
from countershaft.metrology.conformity import Verdict
from countershaft.metrology.decision import Decision
from countershaft.stages.measuring import estimated, judged

FIGURES = st.lists(st.decimals("0.05", "1.50", places=2), min_size=1, max_size=4)
RULES: st.SearchStrategy[RuleName] = st.sampled_from(["plain", "guarded"])
ENDS = st.tuples(st.one_of(st.none(), st.floats(0, 0.8)), st.one_of(st.none(), st.floats(0.81, 1.6))).filter(
    lambda ends: ends != (None, None)
)


def instrument(error: Decimal, unit: str = "mm") -> InstrumentUsed:
    """A dial of the shop with a permitted error."""
    return InstrumentUsed(
        tag="I1",
        name="dial",
        kind="dial indicator",
        unit=unit,
        resolution=Decimal("0.01"),
        permitted_error=error,
    )


def verdict(
    values: list[Decimal], ends: tuple[float | None, float | None], rule: RuleName, error: str = "0.01",
    unit: str = "mm", to: str = "mm",
) -> Decision:  # fmt: skip
    """The verdict of the stages on readings in one unit against limits in another."""
    taken = Taken(used=instrument(Decimal(error), unit), rule=rule)
    value = estimated(values, unit, resolution=Decimal("0.01"), to=to, taken=taken)
    return judged(value, lower=ends[0], upper=ends[1], unit=to, digits=2, taken=taken)


@given(FIGURES, ENDS, RULES, st.floats(0, 1), st.floats(0, 1))
def test_wider_limits_never_turn_good_to_bad(
    values: list[Decimal], ends: tuple[float | None, float | None], rule: RuleName, down: float, up: float
) -> None:
    lower, upper = ends
    wider = (None if lower is None else lower - down, None if upper is None else upper + up)
    narrow, wide = verdict(values, ends, rule), verdict(values, wider, rule)
    if narrow.verdict is Verdict.GOOD:
        assert wide.verdict is Verdict.GOOD
    if narrow.verdict is Verdict.AGAIN:
        assert wide.verdict is not Verdict.BAD
    assert wide.probability >= narrow.probability - 1e-12


@given(FIGURES, ENDS, RULES, st.sampled_from(["0.02", "0.05", "0.20"]))
def test_a_poorer_instrument_never_makes_a_good_side_surer(
    values: list[Decimal], ends: tuple[float | None, float | None], rule: RuleName, error: str
) -> None:
    """With one reading, so that its freedom stays; more readings bring a Student factor that can shrink."""
    single = values[:1]
    figure = float(single[0])
    assume((ends[0] is None or figure >= ends[0]) and (ends[1] is None or figure <= ends[1]))
    fine, poor = verdict(single, ends, rule, "0.01"), verdict(single, ends, rule, error)
    assert poor.probability <= fine.probability + 1e-12
    assert poor.verdict in (fine.verdict, Verdict.AGAIN)


@given(FIGURES, ENDS)
def test_a_guarded_verdict_never_says_more_than_a_plain_one(
    values: list[Decimal], ends: tuple[float | None, float | None]
) -> None:
    guarded, plain = verdict(values, ends, "guarded"), verdict(values, ends, "plain")
    assert guarded.verdict in (plain.verdict, Verdict.AGAIN)
    assert guarded.probability == plain.probability


@given(FIGURES, ENDS, RULES)
def test_inches_and_millimetres_give_one_verdict(
    values: list[Decimal], ends: tuple[float | None, float | None], rule: RuleName
) -> None:
    """The same readings and limits in inches, 25.4 mm each, have the same probability."""
    metric = verdict(values, ends, rule, unit="in", to="mm")
    lower, upper = (None if one is None else one / 25.4 for one in ends)
    inches = verdict(values, (lower, upper), rule, unit="in", to="in")
    assert abs(metric.probability - inches.probability) < 1e-9


@given(
    st.decimals("-999.999", "999.999", places=3),
    st.sampled_from([(a, b) for kind in units.KINDS.values() for a in kind for b in kind if a != b]),
)
def test_a_unit_there_and_back_is_exact_to_the_printed_digits(figure: Decimal, pair: tuple[str, str]) -> None:
    """A figure of six digits comes back to every one of them, through any other unit of its kind."""
    one, other = pair
    there = units.convert(figure, one, other)
    back: Any = units.convert(Decimal(repr(there)), other, one)
    assert abs(back - float(figure)) <= 1e-9 * max(1.0, abs(float(figure)))
    assert Decimal(f"{back:.3f}") == figure
