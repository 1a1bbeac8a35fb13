"""One invented job through all nine stages, in a browser at tablet size, by tapping and typing only.

Expected values: the choices and verdicts of the invented demo B (consistency), and the gate at the end.
Pictures of the pages are kept in test-output/ to be looked at.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Browser, Page

from countershaft.desk.demo_shop import FACTS_B
from countershaft.model.transmission import Transmission
from countershaft.stages.fit import follow
from tests.web.conftest import Site
from tests.web.tablet import OUTPUT, TABLET, Tablet

pytestmark = pytest.mark.browser


class AtSite(Tablet):
    """A tablet in front of a shop that this process serves."""

    def __init__(self, page: Page, site: Site) -> None:
        super().__init__(page, site.address)
        self.site = site


@pytest.fixture
def tablet(browser: Browser, site: Site) -> AtSite:
    """A tablet in the browser."""
    context = browser.new_context(viewport=TABLET, has_touch=True)
    context.set_default_timeout(10_000)
    return AtSite(context.new_page(), site)


def test_a_whole_job_on_the_six_speed(tablet: AtSite, tmp_path: Path) -> None:
    """From the first page to the release, and the report says so."""
    begin(tablet)
    unit = tablet.site.desk.job("0500").transmission
    intake(tablet, tmp_path)
    diagnose(tablet)
    steps(tablet, unit, "teardown")
    inspect(tablet, unit)
    decide(tablet)
    steps(tablet, unit, "build")
    rest_of_fits(tablet, unit)
    prove(tablet, unit)
    hand_over(tablet)


def begin(tablet: AtSite) -> None:
    """The first page, and a new job from it."""
    tablet.open("/")
    tablet.keep("01-first-empty")
    tablet.tap("New job")
    tablet.type("tag", "0500")
    tablet.type("vehicle", "invented estate, 3.0 L")
    tablet.type("mileage_km", "142000")
    tablet.page.get_by_label("Demo B, six-speed planetary").check(force=True)
    tablet.send()
    assert tablet.path == "/jobs/0500/intake"


def enter(tablet: AtSite, form: str, fields: dict[str, str], picks: dict[str, str], *, key: str = "") -> None:
    """Fill one form and send it."""
    tablet.open(f"/jobs/0500/enter/{form}?key={key}")
    for name, value in picks.items():
        tablet.pick(name, value)
    for name, text in fields.items():
        tablet.type(name, text)
    tablet.send()


def intake(tablet: AtSite, tmp_path: Path) -> None:
    """Complaint, symptoms, fluid, pan, consent, and a photo."""
    enter(
        tablet,
        "complaint",
        {"words": "flares 1-2 hot", "fixed_when": "1-2 hot without flare, no slip in 6th"},
        {},
    )
    enter(
        tablet,
        "symptom",
        {},
        {"feel": "flares", "gear": "2", "temperature": "hot", "load": "medium", "onset": "after towing"},
    )
    enter(tablet, "fluid", {"temperature_c": "40"}, {"level": "right", "colour": "brown", "smell": "burnt"})
    enter(tablet, "pan", {}, {"debris": "friction dust", "degree": "medium"})
    enter(
        tablet,
        "consent",
        {"limit": "250", "given_by": "the owner"},
        {"purpose": "diagnosis", "how": "signed"},
    )
    photo = tmp_path / "tag.jpg"
    Image.linear_gradient("L").resize((800, 600)).convert("RGB").save(photo)
    tablet.open("/jobs/0500/enter/photo?key=intake&back=/jobs/0500/intake")
    tablet.page.locator('input[type="file"]').set_input_files(photo)
    tablet.type("caption", "tag of the unit")
    tablet.send()
    tablet.keep("02-intake")
    assert tablet.page.locator("main img").count() == 1


def diagnose(tablet: AtSite) -> None:
    """Bad in 2 and 6: C alone explains it."""
    picks = {
        f"gear {gear}": "bad" if gear in "26" else "good" for gear in ("1", "2", "3", "4", "5", "6", "R")
    }
    enter(tablet, "gears", {}, picks)
    tablet.open("/jobs/0500/diagnose")
    tablet.keep("03-diagnose")
    assert re.search(r"brake C.*explains", tablet.page.locator("main").inner_text(), re.DOTALL)
    enter(
        tablet,
        "cause",
        {"words": "brake C piston lip hardened", "killers": "crushed return line"},
        {"element": "C"},
    )


def steps(tablet: AtSite, unit: Transmission, phase: str) -> None:
    """Every step of a phase: measure, tighten, count, tick, done."""
    for _ in range(100):
        tablet.open(f"/jobs/0500/{phase}")
        if tablet.page.get_by_role("button", name="Done", exact=True).count() == 0:
            tablet.keep(f"04-{phase}-plan")
            return
        one_step(tablet, unit, phase)
    raise AssertionError(f"{phase} never ended")


def one_step(tablet: AtSite, unit: Transmission, phase: str) -> None:
    """Do the step that the stage opens at."""
    title = tablet.page.locator("main h1").inner_text()
    step = unit.step(title.split()[0])
    for joint in step.tighten:
        tighten(tablet, joint)
    for key in step.record:
        if any(fit.id == key for fit in unit.fits) and phase == "build":
            close_fit(tablet, unit, key)
        elif any(fit.id == key for fit in unit.fits) or unit.limit(key).measured:
            reading(tablet, unit, key, "as found" if phase == "teardown" else "as left")
    tablet.open(f"/jobs/0500/{phase}/{step.id}")
    if step.count:
        tablet.type("counted", step.count)
    if step.write_down:
        tablet.type("written", "noted")
    for tick in tablet.page.locator('input[type="checkbox"]').all():
        tick.check(force=True)
    if step.id in ("T08", "A12"):
        tablet.keep(f"05-step-{step.id}")
    tablet.send()


def tighten(tablet: AtSite, joint: str) -> None:
    """Place by place in the first round, then the rest of each round at once."""
    tablet.open(f"/jobs/0500/joint/{joint}")
    for _ in range(40):
        buttons = tablet.page.locator("main form button")
        if buttons.count() == 0:
            return
        if joint == "P" and tablet.page.get_by_text("second round").count():
            tablet.keep("06-joint")
        tablet.follow(buttons.nth(1 if buttons.count() > 1 else 0))
        assert tablet.page.locator(".errors").count() == 0, tablet.page.locator(".errors").inner_text()
    raise AssertionError(f"{joint} never ended")


def reading(tablet: AtSite, unit: Transmission, key: str, when: str) -> None:
    """Readings of a limit or of a fit as found, once."""
    table = FACTS_B.found if when == "as found" else FACTS_B.left
    target = next((fit for fit in unit.fits if fit.id == key), None) or unit.limit(key)
    values = table.get(key) or FACTS_B.found.get(key)
    if values is None:
        low, high = target.min, target.max
        middle = (
            (float(low.value) if low else 0.0) + (float(high.value) if high else 2.5 * float(low.value))
        ) / 2  # type: ignore[union-attr]
        values = (f"{middle:.2f}",)
    phase = "build" if when == "as left" else "teardown"
    tablet.open(f"/jobs/0500/measure/reading?key={phase}:{key}")
    places = [value for row in FACTS_B.places.get(f"{key} {when}", ()) for value in row.split()]
    tablet.pad(*(places or [values[number % len(values)] for number in range(target.readings)]))


def close_fit(tablet: AtSite, unit: Transmission, key: str) -> None:
    """Measure, look on the shelf, choose the one that is offered, re-measure."""
    fit, own = unit.fit(key), FACTS_B.gaps[key]
    if follow(unit, tablet.site.desk.job("0500").state, fit).closed:
        return
    tablet.open(f"/jobs/0500/measure/fit-first?key={key}")
    if fit.trial is not None:
        tablet.pad(str(fit.trial.value), *[own[0]] * fit.readings)
    else:
        tablet.pad(*[value for _, value in zip(fit.gap, own, strict=False) for _ in range(fit.readings)])
    tablet.open(f"/jobs/0500/enter/shelf?key={key}")
    for size in fit.sizes_mm:
        tablet.pick("sizes_mm", str(size))
    tablet.send()
    tablet.open(f"/jobs/0500/enter/choose?key={key}")
    tablet.send()
    tablet.open(f"/jobs/0500/measure/remeasure?key={key}")
    tablet.pad(*[own[-1]] * fit.readings)
    if key == "EP-IN":
        tablet.open(f"/jobs/0500/fit/{key}")
        tablet.keep("07-fit")


def inspect(tablet: AtSite, unit: Transmission) -> None:
    """A finding, and every check of the parts."""
    enter(
        tablet, "finding", {"place": "outer lip"},
        {"word": "hardened", "pattern": "all round", "degree": "heavy", "verdict": "replace"}, key="P020",
    )  # fmt: skip
    for limit in unit.limits:
        if limit.stage != "inspect":
            continue
        if limit.measured:
            reading(tablet, unit, limit.id, "as found")
        else:
            enter(tablet, "look", {"words": "looked at"}, {"verdict": "bad"}, key=limit.id)
    tablet.open("/jobs/0500/inspect")
    tablet.keep("08-inspect")


def decide(tablet: AtSite) -> None:
    """Prices, hours, estimate, consent, and the killer cleared."""
    tablet.open("/jobs/0500/decide")
    assert tablet.page.get_by_text("Decide: steel plates C, D, 2.00").count() == 1, (
        "coned plates ask for a decision"
    )
    enter(tablet, "part", {"because": "coned 0.31 mm"}, {"decision": "replace"}, key="P025")
    tablet.open("/jobs/0500/enter/prices")
    for field in tablet.page.locator('main input[type="text"]').all():
        field.fill("12.50")
    tablet.send()
    enter(tablet, "labour", {"hours": "19", "rate": "110", "currency": "invented units"}, {})
    tablet.open("/jobs/0500/enter/estimate")
    tablet.send()
    enter(
        tablet, "consent", {"limit": "5000", "given_by": "the owner"}, {"how": "by telephone"}, key="overhaul"
    )
    enter(tablet, "killer", {"how": "new line, clear of the crossmember"}, {}, key="crushed%20return%20line")
    tablet.open("/jobs/0500/decide")
    tablet.keep("09-decide")


def rest_of_fits(tablet: AtSite, unit: Transmission) -> None:
    """Fits that no step asked for."""
    for fit in unit.fits:
        close_fit(tablet, unit, fit.id)


def prove(tablet: AtSite, unit: Transmission) -> None:
    """Every check of the proof, a ratio by hand, and the fixed-when sentence."""
    for limit in unit.limits:
        if limit.stage == "prove" or limit.must or limit.killer:
            if limit.measured:
                reading(tablet, unit, limit.id, "as left")
            else:
                enter(
                    tablet,
                    "look",
                    {"words": "dry after the road"},
                    {"verdict": "good", "when": "as left"},
                    key=limit.id,
                )
    enter(tablet, "turns", {"input_turns": "18", "output_turns": "4"}, {"gear": "1"})
    enter(tablet, "fixed-when", {"words": "hill at 90 °C, twice"}, {"true": "yes"})
    tablet.open("/jobs/0500/prove")
    tablet.keep("10-prove")


def hand_over(tablet: AtSite) -> None:
    """The gate is open; release; the report and its paper."""
    tablet.open("/jobs/0500/handover")
    tablet.keep("11-gate")
    assert tablet.page.locator("main h1").inner_text() == "Ready to release"
    enter(tablet, "release", {"warranty": "24 months or 40 000 km"}, {})
    tablet.open("/jobs/0500/handover")
    assert tablet.page.locator("main h1").inner_text() == "Released"
    tablet.open("/jobs/0500/report")
    tablet.keep("12-report")
    words = tablet.page.locator("main").inner_text()
    for expected in (
        "Released by R. Bench",
        "brake C piston lip hardened",
        "input shaft (front) end play",
        "2.1",
        "0.36",
    ):
        assert expected in words, expected
    paper = tablet.page.pdf(format="A4", print_background=True)
    assert paper.startswith(b"%PDF")
    (OUTPUT / "12-report.pdf").write_bytes(paper)
