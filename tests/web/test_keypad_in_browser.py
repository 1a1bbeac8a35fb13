"""The keypad at a tablet: taps only, and an instrument on a cable that types like a keyboard.

Expected values: sizes of the design for a gloved hand (18 mm targets, 6 mm apart, digits of 6 mm on 10.5 inches);
1 in = 25.4 mm exactly, by hand; limits of the demo file "demo-b" (EP-IN 0.25 to 0.50 mm, trial 1.80 mm).
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pytest
from playwright.sync_api import Browser

from countershaft.desk.demo_shop import diagnosed, six_speed
from countershaft.job.entry import Chosen, Reading, Remeasured, Shelf, Trial
from tests.web.conftest import Site
from tests.web.tablet import TABLET, Tablet

pytestmark = pytest.mark.browser
MM = 10.5 * 25.4 / (820**2 + 1180**2) ** 0.5
LIMIT = "/jobs/J1/measure/reading?key=C04&back=/jobs/J1/inspect"
FIT = "/jobs/J1/fit/EP-IN"


@pytest.fixture
def tablet(site: Site, browser: Browser) -> Iterator[Tablet]:
    """A tablet before a job on demo B."""
    diagnosed(six_speed(site.desk, "J1", vehicle="invented van", by="R. Bench"))
    page = browser.new_page(viewport=TABLET)
    yield Tablet(page, site.address)
    page.close()


def tap(tablet: Tablet, *values: str) -> None:
    """Tap keys of the pad by what they send."""
    for value in values:
        tablet.follow(tablet.page.locator(f'.key[value="{value}"]'))
        tablet.look()


def digits(text: str) -> tuple[str, ...]:
    """The keys of a figure."""
    return tuple(f"digit:{sign}" for sign in text)


def test_a_limit_is_measured_with_taps_only(site: Site, tablet: Tablet) -> None:
    """One reading on the pad, two from the strip that is built around it; verdict and Undo follow."""
    tablet.open("/jobs/J1/inspect")
    tablet.follow(tablet.page.locator('a[href*="measure/reading?key=C04"]').first)
    tap(tablet, *digits(".42"), "next", "take:0.42", "take:0.43")
    (kept,) = site.desk.job("J1").state.bodies(Reading)
    assert [str(value) for value in kept.values] == ["0.42", "0.42", "0.43"]
    assert "good" in tablet.words() and "Undo" in tablet.words()
    tablet.keep("keypad-limit-done")


def test_a_fit_is_measured_with_taps_only(site: Site, tablet: Tablet) -> None:
    """From the trial to the re-measurement: the size that is needed is on the page after the last tap."""
    tablet.open(FIT)
    tablet.follow(tablet.page.get_by_text("Measure with a trial", exact=False).first)
    tap(tablet, "take:1.80", *digits(".66"), "next", "take:0.66", "take:0.66")
    (trial,) = site.desk.job("J1").state.bodies(Trial)
    assert [str(value) for value in (trial.size_mm, *trial.values_mm)] == ["1.80", "0.66", "0.66", "0.66"]
    assert "Needed" in tablet.words()
    fit = site.desk.job("J1").transmission.fit("EP-IN")
    size = min(fit.sizes_mm, key=lambda one: abs(one - (Decimal("1.80") + Decimal("0.66") - fit.goal_exact)))
    for body in (Shelf(fit="EP-IN", sizes_mm=(size,)), Chosen(fit="EP-IN", size_mm=size)):
        site.desk.append("J1", body, by="R. Bench")
    tablet.open(FIT)
    tablet.follow(tablet.page.get_by_text("Re-measure with the part in place", exact=True).first)
    tap(tablet, "take:0.38", "take:0.38", "take:0.38")
    (left,) = site.desk.job("J1").state.bodies(Remeasured)
    assert left.values_mm == (Decimal("0.38"),) * 3
    assert "good" in tablet.words()


def test_an_instrument_that_types_needs_no_tap(site: Site, tablet: Tablet) -> None:
    """Value, then Enter, with spaces, units, a comma, as instruments send them: 0.0165 in is 0.4191 mm."""
    tablet.open(LIMIT)
    for sent in ("  +0.412 mm", "0,43", ".0165in"):
        tablet.cable(sent)
    (kept,) = site.desk.job("J1").state.bodies(Reading)
    assert kept.values == (Decimal("0.412"), Decimal("0.43"), Decimal("0.4191"))
    assert kept.taken is not None and kept.taken.typed == "+0.412 mm, 0,43, .0165in"


def test_the_browsers_back_takes_one_tap_back(tablet: Tablet) -> None:
    tablet.open(LIMIT)
    tap(tablet, *digits("0.4"), "next", *digits("0."))
    tablet.page.go_back()
    assert tablet.page.locator("#f-typed").input_value() == "0"
    tablet.page.reload()
    assert tablet.page.locator("#f-typed").input_value() == "0"
    tablet.page.go_back()
    tablet.page.go_back()
    assert tablet.page.locator("#f-typed").input_value() == "0.4"
    assert "Reading 1 of 3" in tablet.words()


def boxes(tablet: Tablet, selector: str) -> list[dict[str, Any]]:
    """Where elements stand, in CSS pixels."""
    found: list[dict[str, Any]] = tablet.page.evaluate(
        """selector => [...document.querySelectorAll(selector)].map(e => {
            const r = e.getBoundingClientRect();
            return {text: e.textContent.trim(), left: r.left, top: r.top, right: r.right, bottom: r.bottom,
                    font: parseFloat(getComputedStyle(e).fontSize)};
        })""",
        selector,
    )
    return found


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("where", [LIMIT, "/jobs/J1/measure/fit-first?key=CL-A", "/jobs/J1/measure/hub"])
def test_the_pad_is_large_enough_and_stands_on_one_screen(tablet: Tablet, where: str, theme: str) -> None:
    """Digits 0.7 of their size tall (the face's own proportion); cautions give way after the first tap."""
    tablet.page.emulate_media(color_scheme="dark" if theme == "dark" else "light")
    tablet.open(where)
    tap(tablet, "digit:1", "next")
    keys = boxes(tablet, ".key")
    assert len(keys) >= 14
    assert [
        one for one in keys if min(one["right"] - one["left"], one["bottom"] - one["top"]) * MM < 18
    ] == []
    assert max(one["bottom"] for one in keys) <= TABLET["height"]
    near = [
        (one["text"], other["text"])
        for place, one in enumerate(keys)
        for other in keys[place + 1 :]
        if max(
            max(one["left"], other["left"]) - min(one["right"], other["right"]),
            max(one["top"], other["top"]) - min(one["bottom"], other["bottom"]),
        )
        * MM
        < 6.0 - 0.01
    ]
    assert near == []
    figures = [one for one in (*keys, *boxes(tablet, "#f-typed")) if one["text"].replace(".", "").isdigit()]
    assert [one for one in figures if 0.7 * one["font"] * MM < 6.0] == []
    tablet.keep(f"keypad-{where.partition('measure/')[2].partition('?')[0]}-{theme}")
