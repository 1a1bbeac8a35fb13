"""Pages and forms of fits that are read as several figures.

Expected values: by hand, as in tests/stages/test_fit_ways.py.
"""

from __future__ import annotations

from countershaft.job.entry import FitLeft, FitMeasured
from countershaft.web.forms import fit as forms
from countershaft.web.forms.fit_figures import choose
from countershaft.web.forms.form import Answers
from countershaft.web.pages.fit import fit_page
from tests.stages.test_fit_ways import FEELER, chosen, figure, log_of, measured, now, shelf, two_sided
from tests.web.test_stage_pages import opened, shown


def filled(**texts: tuple[str, ...]) -> Answers:
    """What a browser sends for the first measurement of a feeler fit."""
    own = {name.replace("_", " "): value for name, value in texts.items()}
    scale = {"unit": ("mm",), "resolution": ("0.05",), "instrument": ("leaves",)}
    return Answers({"end plate in place": ("2.20",), **scale, **own})


def test_the_form_of_a_feeler_names_its_places_and_gives_its_figures() -> None:
    log = log_of(**FEELER)
    form = forms.first(opened(log)[0], "F")
    cells = {one.name: one.cell_labels for one in form.fields if one.kind == "readings"}
    assert cells == {"goes in": ("12 o'clock", "6 o'clock"), "does not go in": ("12 o'clock", "6 o'clock")}
    (body,) = form.read(filled(goes_in=("1.15", "1.10"), does_not_go_in=("1.20", "1.15")))
    assert isinstance(body, FitMeasured)
    log.say(body)
    assert str(now(log).needed_mm) == "2.30"
    page = fit_page(*opened(log), "F")
    assert page.needed.startswith("2.30 ± 0.0") and page.needed.endswith(" mm")
    assert page.needed_working is not None
    told = " ".join(page.needed_working.lines)
    assert "clearance at 2 places = 1.175, 1.125: mean 1.15 mm" in told
    (stack,) = page.stacks
    assert [row.name for row in stack.rows] == ["end plate in place", "clearance by feeler", "end plate"]
    assert {label.partition(",")[0] for label, _ in stack.sums} >= {
        "All at their worst together",
        "Root sum square",
    }


def test_two_shims_are_chosen_one_after_the_other_and_both_gaps_shown() -> None:
    log = two_sided()
    log.say(
        measured(figure("left trial shim", "2.00"), figure("right trial shim", "2.00"), figure("play", "0.10", "0.10"),
                 figure("backlash", "0.21", "0.21")),
        shelf(log),
    )  # fmt: skip
    form = choose(opened(log)[0], "F")
    assert (form.title, form.fields[0].value) == ("the fit: choose the left shim", "2.10")
    log.say(chosen("2.10", side="left"))
    form = choose(opened(log)[0], "F")
    assert (form.title, form.fields[0].value) == ("the fit: choose the right shim", "2.05")
    log.say(chosen("2.05", side="right"))
    again = forms.remeasure(opened(log)[0], "F")
    assert [one.name for one in again.fields if one.kind == "readings"] == ["preload as a gap", "backlash"]
    log.say(
        FitLeft(fit="F", figures=(figure("preload as a gap", "-0.06", "-0.06", step="0.001"),
                                  figure("backlash", "0.14", "0.14")))
    )  # fmt: skip
    page = fit_page(*opened(log), "F")
    assert page.chosen == "left 2.10 mm, right 2.05 mm"
    assert (page.left.word, [one.word for one in page.beside]) == ("good", ["good"])
    assert [stack.name for stack in page.stacks] == ["preload", "backlash"]
    assert {label for label, _ in page.facts} >= {"Allowed, preload as a gap", "Allowed, backlash", "Read by"}
    text = shown("fit/fit.html", page)
    assert "What the gap is made of: backlash" in text and "the fit: backlash" in text
