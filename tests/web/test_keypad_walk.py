"""Every check of inspect and the first readings of every fit with taps alone; one gauge types.

Expected values: the invented figures of demo B: verdicts of its checks as found, and the size that each of its
eight fits needs (consistency, not evidence); 1 in = 25.4 mm exactly.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Final

import pytest
from playwright.sync_api import Browser

from countershaft.desk.demo_shop import FACTS_B, diagnosed, six_speed
from countershaft.desk.desk import Desk
from countershaft.job.entry import FormTaken, Look, Reading
from countershaft.stages.fit import survey as fits
from countershaft.store.shop import open_store
from tests.web.tablet import TABLET, Tablet
from tests.web.test_split_case_walk import Shop

pytestmark = pytest.mark.browser
HERE: Final = "/jobs/B6"
MM: Final = 10.5 * 25.4 / (820**2 + 1180**2) ** 0.5
#: Verdicts as found: invented demo B.
FOUND: Final = {
    "C01": "bad", "C02": "bad", "C03": "bad", "C04": "good", "C05": "good", "C06": "good",
    "C07": "good", "C08": "good", "C09": "good", "C10": "good", "C12": "good",
}  # fmt: skip
#: Needed [mm]: invented demo B, and by hand (depth - stack - goal; trial + reading - goal).
FITS: Final = {
    "CL-A": "4.59", "CL-B": "2.20", "CL-C": "2.27", "CL-D": "1.78",
    "CL-E": "2.29", "EP-IN": "2.085", "EP-GT": "2.37", "EP-P1": "1.47",
}  # fmt: skip
#: Elements whose text is wider or taller than the box that hides it.
CLIPPED: Final = """() => [...document.querySelectorAll('main *')].filter(e => {
    const s = getComputedStyle(e);
    return e.getClientRects().length && !e.matches(
        '.aside-only, .visually-hidden, svg, svg *, input, textarea, .table-wrap')
        && e.clientWidth > 2 && s.display !== 'inline' && ['hidden', 'clip'].includes(s.overflowX)
        && (e.scrollWidth > e.clientWidth + 1 || e.scrollHeight > e.clientHeight + 1);
}).map(e => e.className + ': ' + e.textContent.trim().slice(0, 60))"""
#: Figures that open nothing: a gauge with a measured value without a figure beside it, and an empty working.
BARE: Final = """() => {
    const bare = [...document.querySelectorAll('main details.figure')]
        .filter(e => !e.querySelector('.num-line, table')).map(e => 'empty: ' + e.textContent.trim());
    for (const gauge of document.querySelectorAll('main .so-far, main .gauge-row')) {
        const words = gauge.textContent;
        if (/±/.test(words) && !gauge.querySelector('details.figure')) bare.push(words.trim().slice(0, 160));
    }
    for (const dd of document.querySelectorAll('main dd'))
        if (/±/.test(dd.textContent) && !dd.querySelector('details.figure'))
            bare.push(dd.parentElement.textContent.trim().slice(0, 160));
    return bare;
}"""
SMALL: Final = """mm => [...document.querySelectorAll('main .key, main .action, main .tile')].filter(e => {
    const r = e.getBoundingClientRect();
    return r.width && Math.min(r.width, r.height) * mm < 18;
}).map(e => e.textContent.trim())"""


class Hand(Tablet):
    """A gloved hand: it taps, and every page that it sees is held to the face."""

    def look(self) -> None:
        """Nothing beside the page, nothing clipped, every target large, every figure with its working."""
        super().look()
        assert self.page.evaluate(CLIPPED) == [], self.page.url
        assert self.page.evaluate(BARE) == [], self.page.url
        assert self.page.evaluate(SMALL, MM) == [], self.page.url

    def go(self, href: str) -> None:
        """Tap a link of the page by where it leads."""
        self.follow(self.page.locator(f'main a[href*="{href}"]').first)
        self.look()

    def key(self, *taps: str) -> None:
        """Tap keys of the pad."""
        for tap in taps:
            self.follow(self.page.locator(f'.key[value="{tap}"]').first)

    def digits(self, text: str) -> None:
        """A figure digit by digit, and Next."""
        self.key(*(f"digit:{sign}" for sign in text), "next")
        self.look()

    def action(self, words: str) -> None:
        """Tap a button or link by its words; forms are sent, links lead on."""
        self.follow(self.page.locator("main .action", has_text=words).first)
        assert self.page.locator(".errors").count() == 0, self.words()
        self.look()


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    """A shop with one job on demo B, diagnosed, that a process of its own serves."""
    store = open_store(tmp_path / "shop")
    desk = Desk(store)
    desk.shelve_library()
    diagnosed(six_speed(desk, "B6", vehicle="invented van", by="R. Bench"))
    store.close()
    opened = Shop(tmp_path / "shop")
    yield opened
    opened.kill()


def test_inspect_and_first_readings_with_taps_alone(browser: Browser, shop: Shop) -> None:
    """Every check and every fit of demo B."""
    context = browser.new_context(viewport=TABLET, has_touch=True)
    context.set_default_timeout(10_000)
    context.add_cookies([{"name": "person", "value": "R.%20Bench", "url": shop.address}])
    hand = Hand(context.new_page(), shop.address)
    hand.open(f"{HERE}/inspect")
    inspect(hand)
    hand.open(f"{HERE}/fit")
    fit_all(hand)
    context.close()
    the_log_says_it(shop)


def inspect(hand: Hand) -> None:
    """Every check in the order in which the page offers them: the next open one is the next tap."""
    hand.keep("walk-01-inspect")
    hand.go("key=C01")
    hand.pick("verdict", "bad")
    hand.keep("walk-02-look")
    hand.send()
    for key in FOUND:
        if key != "C01":
            check(hand, key)
    hand.keep("walk-05-inspect-done")
    assert "11 of 11 checks are answered" in hand.words()


def check(hand: Hand, key: str) -> None:
    """One check from the page of the stage, and back to it."""
    if f"{HERE}/inspect" != hand.path.partition("?")[0]:
        hand.open(f"{HERE}/inspect")
    hand.go(f"measure/reading?key={key}")
    places = [one for row in FACTS_B.places.get(f"{key} as found", ()) for one in row.split()]
    own = FACTS_B.found.get(key, ())
    if key == "C04":
        off_by_an_inch(hand)
    elif key == "C07":
        hand.figures("0.09 mm", "0,09", "+0.090")
    else:
        hand.pad(*(places or [own[number % len(own)] for number in range(3)]))
    hand.keep(f"walk-03-{key}")
    assert FOUND[key] in hand.page.locator("main").inner_text(), hand.words()
    if key == "C05":
        measured_again(hand)
    hand.open(f"{HERE}/inspect")


def off_by_an_inch(hand: Hand) -> None:
    """0.46 mm read in inches is 0.0181: the page asks, and a tap answers."""
    for _ in range(3):
        hand.digits("0.0181")
    hand.keep("walk-04-question")
    hand.follow(hand.page.locator(".doubt .action", has_text="It was in inches"))
    hand.look()


def measured_again(hand: Hand) -> None:
    """Once more, a little higher; the later one counts."""
    hand.open(f"{HERE}/inspect")
    hand.go("measure/reading?key=C05")
    hand.pad("0.62", "0.61", "0.61")


def fit_all(hand: Hand) -> None:
    """First readings of every fit, and the size that each needs."""
    hand.keep("walk-06-fits")
    for key in FITS:
        hand.open(f"{HERE}/fit")
        first_reading(hand, key)
    hand.open(f"{HERE}/fit")
    hand.keep("walk-08-fits-measured")


def first_reading(hand: Hand, key: str) -> None:
    """From the list of fits to the size that is needed."""
    hand.go(f"/fit/{key}")
    hand.go("measure/fit-first")
    own = FACTS_B.gaps[key]
    if key.startswith("CL"):
        hand.pad(*[value for value in own[:2] for _ in range(3)])
    else:
        hand.key("next")
        hand.pad(*[own[0]] * 3)
    hand.keep(f"walk-07-needed-{key}")
    assert FITS[key] in hand.words(), hand.words()


def the_log_says_it(shop: Shop) -> None:
    """Read behind the pages: the sizes, and that every fit closed."""
    store = open_store(shop.folder)
    job = Desk(store).job("B6")
    store.close()
    looked = {body.limit for body in job.state.bodies(Look)}
    read = {body.limit for body in job.state.bodies(Reading)} | {
        body.limit for body in job.state.bodies(FormTaken)
    }
    assert looked == {"C01"} and read == set(FOUND) - {"C01"}
    needed = {found.fit.id: found.needed_mm for found in fits(job.transmission, job.state).fits}
    assert needed == {key: Decimal(size) for key, size in FITS.items()}
