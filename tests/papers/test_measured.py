"""A budget as a table, and how a figure was taken, in words.

Expected values: by hand.  0.01/√4 = 0.0050; 0.01/√12 = 0.0029; 0.012/√3 = 0.0069; 0.006/2 = 0.0030 (JCGM 100, 4.2.3,
F.2.2.1, 4.3.7, 4.3.3); shares are squares of these.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from countershaft.job.taken import InstrumentUsed, Taken, Warmth
from countershaft.metrology.budget import (
    Contribution,
    combine,
    from_certificate,
    from_half_width,
    from_repeats,
    from_step,
)
from countershaft.metrology.conformity import Judgement, Verdict
from countershaft.metrology.decision import PLAIN, decide
from countershaft.metrology.readings import estimate
from countershaft.papers.measured import budget_table, figure, odds, shares, taken_words


def test_every_row_tells_what_is_known_its_distribution_and_its_share() -> None:
    rows = [
        from_repeats(0.01, 4),
        from_step(0.01),
        from_half_width("permitted error", 0.012),
        from_certificate("certificate", 0.006),
        Contribution("temperature of the part", 0.5, -0.002),
    ]
    table = budget_table(combine(rows), "mm")
    assert table.head[-2:] == ("u, mm", "Share")
    assert table.rows == (
        ("repeats", "s = 0.010", "scatter (Student)", "√4", "1", "0.0050", "27 %"),
        ("step of the scale", "± 0.0050", "rectangular", "√3", "1", "0.0029", "9 %"),
        ("permitted error", "± 0.012", "rectangular", "√3", "1", "0.0069", "53 %"),
        ("certificate", "U = 0.0060", "normal", "2", "1", "0.0030", "10 %"),
        ("temperature of the part", "u = 0.50", "as given", "1", "−0.0020", "0.0010", "1 %"),
        ("together", "", "", "", "", "0.0096", "100 %"),
    )


def test_what_weighs_most_stands_in_short() -> None:
    budget = combine([from_step(0.01), from_half_width("permitted error", 0.012)])
    assert shares(budget) == "permitted error 85 %, step of the scale 15 %"


@pytest.mark.parametrize(
    ("amount", "text"),
    [(0.0, "0"), (0.00288, "0.0029"), (5.77, "5.8"), (57.7, "58"), (1.327e-6, "1.3·10⁻⁶"), (-0.02, "−0.020")],
)
def test_an_uncertainty_has_two_digits(amount: float, text: str) -> None:
    """JCGM 100, 7.2.6."""
    assert figure(amount) == text


def test_the_odds_come_with_their_rule() -> None:
    """0.002 is 0.69 u inside the limit: Φ(0.69) = 76 %."""
    play = estimate([0.068], resolution=0.01)
    assert odds(decide(play, lower=0.02, upper=0.07, unit="mm", rule=PLAIN)) == "76 % probable, plain rule"
    assert odds(Judgement(Verdict.NOT_MEASURED, "nobody has measured it yet.")) == ""


def test_how_a_figure_was_taken_is_said_in_one_line() -> None:
    used = InstrumentUsed(
        tag="I1",
        name="dial 1",
        kind="dial indicator",
        unit="mm",
        resolution=Decimal("0.01"),
        permitted_error=Decimal("0.012"),
    )
    warm = Warmth(part_c=Decimal(31), tool_c=Decimal(20), material="aluminium")
    taken = Taken(
        used=used, by="A. Learner", on=date(2026, 5, 4), warmth=warm, sure="measured again: it is so"
    )
    assert taken_words(taken) == (
        "on dial 1 (I1); taken by A. Learner on 04 May 2026; aluminium at 31 °C, instrument at 20 °C; "
        "asked whether it is so: measured again: it is so"
    )
    assert taken_words(Taken(typed="14 thou")) == "typed 14 thou"
    assert taken_words(Taken()) == taken_words(None) == ""
