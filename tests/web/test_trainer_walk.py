"""Inspect and fit of demo C from end to end at tablet size: taps only, and one instrument that types like a keyboard.

Expected values: the invented figures of the classroom trainer, demo C (needed sizes, parts chosen, re-measurements and
verdicts as in its own table, copied below; consistency, no outside evidence of any limit); 1 in = 25.4 mm by hand.
The server is a process of its own on a fresh shop.  Pictures of the pages are kept in test-output/ to be looked at.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest
from playwright.sync_api import Browser

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.desk.demo_shop import FACTS_C
from countershaft.desk.desk import Desk
from countershaft.job.entry import Reading
from countershaft.stages.fit import survey as fits
from countershaft.stages.inspection import survey as checks
from countershaft.store.shop import open_store
from tests.web.tablet import TABLET, Tablet
from tests.web.test_split_case_walk import Shop

pytestmark = pytest.mark.browser

UNIT: Final = read_transmission(library_text("demo-c"), "demo-c.yaml")
TAG: Final = "C7"
HERE: Final = f"/jobs/{TAG}"

#: Checks of demo C that are read at one place: what is tapped for each reading, and the verdict of the page.
CHECKS: Final = {
    "C01": (("0.95", "0.95", "0.95"), "bad"),
    "C02": ((".0173", ".0173", ".0173"), "good"),  # 0.44 mm, typed in inches: a factor of 25.4 off
    "C03": (("0.07", "0.07", "0.07"), "measure again"),  # on its limit of 0.07
    "C04": (("0.10", "0.10", "0.10"), "good"),
    "C07": (("26.9", "26.9", "26.9"), "bad"),
}
#: The checks that are read place by place, 0.24 of cone and 0.10 of flatness, and their verdicts.
BY_PLACES: Final = {"C05": "bad", "C06": "good"}

#: Fits of demo C: what is measured first, the size needed, the part chosen, and the gap with it in place.
FITS: Final = {
    "CL-U": (("19.13", "14.84"), "3.24", "3.20", "1.07"),
    "CL-O": (("19.06", "14.79"), "3.22", "3.20", "1.08"),
    "CL-V": (("14.22", "11.43"), "2.04", "2.00", "0.78"),
    "CL-L": (("32.12", "28.71"), "2.01", "2.00", "1.40"),
    "EP-IN": (("1.60", "0.83"), "2.08", "2.00", "0.43"),
    "EP-OUT": (("2.00", "0.41"), "2.035", "2.00", "0.41"),
    "BAND-G": (("3.25",), "3.25", "3.25", "3.25"),
}

#: What lies on the shelf for each fit: the size of the table, and a wrong one beside it.
SHELF: Final = {
    key: (chosen, "3.40" if key in ("CL-U", "CL-O") else "2.20")
    for key, (_, _, chosen, _) in FITS.items()
    if key != "BAND-G"
}


class Glove(Tablet):
    """A hand that taps what it sees; it never types, and every page is looked at for its width."""

    def press(self, value: str, kind: str = ".key") -> bool:
        """Tap the key that sends a value, where the page has it."""
        found = self._key(value, kind)
        self.look()
        return found

    def digits(self, value: str) -> None:
        """One figure, sign by sign, and on."""
        for sign in value:
            assert self.press(f"digit:{sign}"), self.words()
        assert self.press("next"), self.words()

    def take(self, value: str) -> None:
        """One figure: from the strip where it stands there, else digit by digit."""
        if not self.press(f"take:{value}"):
            self.digits(value)

    def link(self, address: str) -> None:
        """Tap the link on this page that begins so."""
        self.follow(self.page.locator(f'main a[href^="{address}"]').first)
        self.look()

    def saved(self) -> None:
        """What was read is written, and its page says so."""
        assert "saved=" in self.page.url, self.words()


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    """A shop that a process of its own serves."""
    opened = Shop(tmp_path / "shop")
    yield opened
    opened.kill()


@pytest.fixture
def glove(browser: Browser, shop: Shop) -> Iterator[Glove]:
    """A tablet before a job on demo C; only who is there and what came in is typed, at the counter."""
    context = browser.new_context(viewport=TABLET, has_touch=True)
    context.set_default_timeout(20_000)
    tablet = Glove(context.new_page(), shop.address)
    tablet.open("/")
    tablet.type("person", "R. Bench")
    tablet.tap("That is me")
    tablet.tap("New job")
    tablet.type("tag", TAG)
    tablet.type("vehicle", "none: a classroom stand")
    tablet.page.get_by_label("Demo C, four-speed classroom trainer").check(force=True)
    tablet.send()
    yield tablet
    context.close()


def test_inspect_with_taps_only(glove: Glove, shop: Shop) -> None:
    """Every check of demo C: a doubt answered by a tap, a cable that types, and one figure on its limit."""
    glove.open(f"{HERE}/inspect")
    glove.link(f"{HERE}/measure/reading?key=C01")
    for limit in UNIT.limits:
        if limit.stage != "inspect":
            continue
        assert f"key={limit.id}" in glove.page.url, "the next open check is the next tap"
        inspect(glove, limit.id)
        if limit.id == "C07":
            glove.tap("Go on")
        else:
            glove.follow(glove.page.locator("main a.action-primary"))
    glove.look()
    glove.keep("c-inspect-done")
    assert "7 of 7 checks are answered" in glove.words()
    assert every_figure_opens(glove) == []
    store = open_store(shop.folder)
    job = Desk(store).job(TAG)
    store.close()
    assert checks(job.transmission, job.state).open == ()
    kept = {body.limit: body for body in job.state.bodies(Reading)}
    assert [round(float(value), 2) for value in kept["C02"].values] == [0.44] * 3
    assert kept["C04"].taken is not None and kept["C04"].taken.typed == "0,10, +0.100 mm, 0.10"


def inspect(glove: Glove, check: str) -> None:
    """Answer one check, and see its verdict with its working."""
    if check in BY_PLACES:
        for value in " ".join(FACTS_C.places[f"{check} as found"]).split():
            glove.take(value)
        verdict = BY_PLACES[check]
    elif check == "C04":
        for sent in ("0,10", "+0.100 mm", "0.10"):
            glove.cable(sent)
        verdict = CHECKS[check][1]
    else:
        values, verdict = CHECKS[check]
        for value in values:
            glove.take(value)
    if check == "C02":
        glove.keep("c-doubt")
        answer_in_inches(glove)
    glove.saved()
    glove.keep(f"c-check-{check}")
    assert glove.page.locator(".so-far .verdict-word").count() == 1, f"{check}: {glove.words()}"
    assert glove.page.locator(".so-far .verdict-word").inner_text() == verdict, glove.words()
    assert every_figure_opens(glove) == []


def answer_in_inches(glove: Glove) -> None:
    """The page asks whether it was in inches; one tap says so."""
    assert "saved=" not in glove.page.url, "a figure 25.4 off is asked about"
    glove.follow(glove.page.locator(".doubt button").filter(has_text="inches").first)
    glove.look()


def every_figure_opens(glove: Glove) -> list[str]:
    """What has no working beside it, of every gauge that holds a value and every pair that holds a computed figure."""
    missing: list[str] = glove.page.evaluate(
        """() => {
            const bare = [];
            for (const gauge of document.querySelectorAll("main .gauge, main .gauge-row")) {
                const word = gauge.querySelector(".verdict-word");
                if (!word || word.textContent.trim() === "not measured") continue;
                const home = gauge.matches(".gauge-row") ? gauge : gauge.parentElement;
                if (!home.querySelector("details.figure")) bare.push(gauge.textContent.trim().slice(0, 80));
            }
            for (const pair of document.querySelectorAll("main .pairs .pair")) {
                const computed = pair.querySelector("dd .num") || pair.querySelector("dd").textContent.includes("±");
                if (computed && !pair.querySelector("details.figure")) bare.push(pair.textContent.trim());
            }
            return bare;
        }"""
    )
    return missing


def test_fit_with_taps_only(glove: Glove, shop: Shop) -> None:
    """Every fit of demo C: measured, counted on the shelf, chosen jointly, re-measured, closed."""
    for fit in FITS:
        measure_first(glove, fit)
    count_the_shelf(glove)
    choose_jointly(glove)
    for fit in FITS:
        remeasure(glove, fit)
    glove.open(f"{HERE}/fit")
    glove.keep("c-fits-closed")
    assert "7 of 7 fits are closed" in glove.words()
    assert every_figure_opens(glove) == []
    store = open_store(shop.folder)
    job = Desk(store).job(TAG)
    store.close()
    found = fits(job.transmission, job.state)
    assert found.complete


def measure_first(glove: Glove, fit: str) -> None:
    """The trial or the dimensions; the size that is needed is on the page after the last tap."""
    glove.open(f"{HERE}/fit")
    glove.link(f"{HERE}/fit/{fit}")
    glove.link(f"{HERE}/measure/fit-first?key={fit}")
    values, needed, _, _ = FITS[fit]
    count = UNIT.fit(fit).readings
    if UNIT.fit(fit).trial is not None:
        glove.take(values[0])
        values = values[1:]
    for value in values:
        for _ in range(count):
            glove.take(value)
    glove.saved()
    glove.keep(f"c-first-{fit}")
    words = glove.page.locator(".pair").filter(has_text="Needed").locator("summary").inner_text()
    assert words.split()[0].rstrip("0") == needed.rstrip("0"), words
    assert every_figure_opens(glove) == []


def count_the_shelf(glove: Glove) -> None:
    """One piece of the size in the table, and one of the next, of every family; a screw has none."""
    for key, sizes in SHELF.items():
        fit = UNIT.fit(key)
        glove.open(f"{HERE}/fit/stock")
        glove.link(f"{HERE}/fit/count?family={fit.family or fit.part}")
        for size in sizes:
            glove.follow(glove.page.locator(f'button[name="more"][value="{size}"]'))
            glove.look()
        glove.keep("c-count")
        glove.tap("Save the count")
    glove.open(f"{HERE}/fit/stock")
    glove.keep("c-stock")


def choose_jointly(glove: Glove) -> None:
    """All parts together, taken with one tap."""
    glove.open(f"{HERE}/fit/stock")
    glove.tap("Choose all parts together")
    glove.keep("c-choose")
    assert every_figure_opens(glove) == []
    glove.follow(glove.page.locator("main button.action-primary").first)
    glove.look()


def remeasure(glove: Glove, fit: str) -> None:
    """The gap with the chosen part in place closes the fit."""
    _, _, chosen, left = FITS[fit]
    glove.open(f"{HERE}/fit")
    glove.link(f"{HERE}/fit/{fit}")
    glove.keep(f"c-fit-{fit}")
    if UNIT.fit(fit).size_unit == "turns":
        glove.tap("Choose the adjusting screw")
        glove.look()
        glove.send()
    glove.link(f"{HERE}/measure/remeasure?key={fit}")
    for _ in range(UNIT.fit(fit).readings):
        glove.take(left)
    glove.saved()
    assert glove.page.locator(".so-far .verdict-word").first.inner_text() == "good", glove.words()
    glove.tap("Go on")
    glove.look()
    glove.keep(f"c-fit-{fit}-closed")
    told = glove.page.locator(".pair").filter(has_text="Chosen").locator("dd").inner_text()
    assert told.startswith(chosen), told
    assert every_figure_opens(glove) == []
