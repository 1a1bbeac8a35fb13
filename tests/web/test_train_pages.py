"""The train pages.

Expected values: the element torques of the invented demo B (consistency; computed there by another route), and
Willis by hand for the typed train: 1 + 60/30 = 3 with the ring held.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from countershaft.definitions.library import library_text
from countershaft.desk.desk import Desk
from countershaft.desk.train import Question, answer, kilowatts
from countershaft.errors import OutOfRange
from countershaft.store.shop import open_store
from countershaft.web.app import Settings, create_app
from countershaft.web.pages.typed_train import EXAMPLE, KINDS


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    store = open_store(tmp_path / "shop")
    yield Desk(store)
    store.close()


@pytest.fixture
def digest(desk: Desk) -> str:
    return desk.add_definition(library_text("demo-b"), file="demo-b.yaml")


@pytest.fixture
def client(desk: Desk) -> Iterator[TestClient]:
    with TestClient(create_app(desk, Settings(person="R. Bench", warm=lambda: None))) as opened:
        yield opened


def test_element_torques_of_sixth(client: TestClient, digest: str) -> None:
    """Demo B prints E 1.0000 and C -0.3333 per unit of turbine torque in 6th."""
    page = client.get(f"/files/{digest}/train?gear=6&torque=300&rpm=2000").text
    assert "300.00" in page
    assert "−100.00" in page
    assert "carries −100.00 N·m" in page


def test_two_speeds_name_the_element(client: TestClient, digest: str) -> None:
    """Demo B: at 100 km/h 1821 rpm are computed and 2341 measured, 520 rpm of slip."""
    page = client.get(f"/files/{digest}/train?gear=6&rpm=2341&output=2731.5").text
    assert "The output asks for 1821 rpm at the input; 520 rpm more were measured." in page
    assert "brake C: large sun to case alone would explain it, slipping 1560" in page


def test_every_gear_of_the_chart_answers(client: TestClient, desk: Desk, digest: str) -> None:
    train = desk.definition(digest).train
    assert train is not None
    for gear in train.chart:
        assert (
            client.get(
                f"/files/{digest}/train",
                params={"gear": gear, "torque": "250", "rpm": "2000", "loss": "0.99"},
            ).status_code
            == 200
        )


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ("gear=9", "is not in the chart"),
        ("gear=6&torque=much", "is no number; type a figure such as 250."),
        ("gear=6&loss=7", "is outside 0 to 1"),
        ("gear=6&rpm=-5", "makes no sense"),
    ],
)
def test_nonsense_is_said_beside_its_field(client: TestClient, digest: str, query: str, words: str) -> None:
    answer_page = client.get(f"/files/{digest}/train?{query}")
    assert answer_page.status_code == 422
    assert words in answer_page.text


def test_a_fault_stands_at_its_own_field(client: TestClient, digest: str) -> None:
    """An unknown gear has no field: it is told above the gears, and not at the torque."""
    unknown = client.get(f"/files/{digest}/train?gear=9").text
    assert "Gear &#39;9&#39; is not in the chart; known are P, N, R" in unknown
    assert 'id="e-torque"' not in unknown
    for query, field in (
        ("torque=0", "torque"),
        ("rpm=-5", "rpm"),
        ("loss=7", "loss"),
        ("output=900", "output"),
        ("pressure=-1", "pressure"),
        ("pressure=900", "pressure"),
        ("engine=0", "engine"),
        ("ratio=12", "ratio"),
        ("engine=inf", "engine"),
        ("rpm=nan", "rpm"),
        ("torque=1e999999999", "torque"),
        ("torque=1/0", "torque"),
        ("torque=7777777", "torque"),
    ):
        page = client.get(f"/files/{digest}/train?gear=6&{query}")
        assert page.status_code == 422
        assert re.findall(r'id="e-(\w+)"', page.text) == [field], query


def test_a_file_without_a_chart_shows_its_train_at_rest(client: TestClient, desk: Desk) -> None:
    text = f"format: 1\nname: bare\n{EXAMPLE[: EXAMPLE.index('  chart:')]}"
    page = client.get(f"/files/{desk.add_definition(text, file='bare.yaml')}/train")
    assert page.status_code == 422
    assert "The chart of the file is empty; add gears" in page.text
    assert "Pick one" not in page.text
    assert "<svg" in page.text


def test_power_loads_and_drawings_stand_on_the_page(client: TestClient, digest: str) -> None:
    """Fifth of demo B: E 1.261 of the input torque at input speed; A must hold 979 and can 1164 in 1st."""
    page = client.get(f"/files/{digest}/train?gear=5&torque=250&rpm=2000").text
    assert "26.1 % of the power that enters goes round, through B to P1 to E to P2 to B." in page
    assert "126.1 %" in page
    assert "Stands still: S1." in page
    assert "without its balance chamber it would hold" in page
    assert "S1 against K1: −77/124 per turn; times −47/15 (teeth): 3619/1860" in page
    assert page.count("<svg") >= 2
    assert "Speed ladder: Demo B, six-speed planetary, gear 5" in page
    first = client.get(f"/files/{digest}/train?gear=1").text
    assert "Torque ratio 1.9, stall in 1st." in first
    assert "required: 1.61039 · 320 N·m · 1.9 = 979.117 N·m" in first
    assert "what it holds is not computed, because the file gives no torque of a one-way clutch" in first


def test_a_neutral_has_no_power_and_says_what_floats(client: TestClient, digest: str) -> None:
    page = client.get(f"/files/{digest}/train?gear=N").text
    assert "Power flow" not in page
    assert "What the elements hold in N<" not in page
    assert "2 more elements are needed" in page


def test_parts_that_pass_nothing_are_named_once(client: TestClient, desk: Desk) -> None:
    """Third of demo A runs over its own pair and the second final drive; in 3rd of demo C all turns as one."""
    shelf = desk.add_definition(library_text("demo-a"), file="demo-a.yaml")
    page = client.get(f"/files/{shelf}/train?gear=3&torque=210&rpm=2500").text
    assert "Passes no power: DIFF, 1st, 4th, 5th, 2nd, final-1, rev-a and rev-b." in page
    assert "passes none" not in page
    trainer = desk.add_definition(library_text("demo-c"), file="demo-c.yaml")
    direct = client.get(f"/files/{trainer}/train?gear=3&torque=100&rpm=1000").text
    assert "Passes no power: PF." in direct
    assert "Turns as one, so that nothing rolls: PR." in direct


def test_a_typed_pressure_says_what_slips(client: TestClient, digest: str) -> None:
    """Brake C at 10 % of the force that it needs at 1000 kPa cannot hold 495 N·m."""
    page = client.get(f"/files/{digest}/train?gear=2&torque=512&pressure=300").text
    assert "300 kPa at every element" in page
    assert ", slips" in page


def test_losses_take_power(desk: Desk, digest: str) -> None:
    """What is lost is what enters less what leaves."""
    train = desk.definition(digest).train
    assert train is not None
    found = answer(train, Question("1", torque=Fraction(250), rpm=2000, loss=Fraction("0.99")))
    assert (
        found.lossy is not None and found.lossy.load is not None and found.lossy.load.with_losses is not None
    )
    balance = found.lossy.load.with_losses
    assert balance.efficiency is not None
    assert kilowatts(balance.lost, 1.0, 2000) == pytest.approx(
        (1 - balance.efficiency) * kilowatts(250, 1.0, 2000)
    )


def test_what_is_shown_has_the_losses_that_were_asked_for(client: TestClient, digest: str) -> None:
    """3rd of demo B, only the front set rolls: 250 · (1 + 0.99² · 47/77) = 399.56 comes out, A bears 155/248 of it."""
    page = client.get(f"/files/{digest}/train?gear=3&torque=250&rpm=2000&loss=0.99").text
    assert "−399.56" in page
    assert "carries 249.73 N·m" in page
    assert "The torque is multiplied by 1.5982; the ratio of the speeds stays 1.6104." in page
    assert "P1: p1 to S1" in page


def test_a_pair_of_gears_leans_on_the_bearings_in_the_case(client: TestClient, desk: Desk) -> None:
    """Demo A, 3rd: 250 on 27 teeth give 250 · 40/27 = 370.37 on 40, and both act the same way on the pair."""
    shelf = desk.add_definition(library_text("demo-a"), file="demo-a.yaml")
    page = client.get(f"/files/{shelf}/train?gear=3&torque=250").text
    assert "3rd: IS 250.00, d3 370.37 N·m, and the bearings in the case −620.37 N·m (sum 0)" in page


def test_a_gear_that_locks_itself_shows_no_torque_as_lossy(client: TestClient, desk: Desk) -> None:
    """Rings of 60 and 61 on a stepped planet of 20 and 21, driven from the side of the output."""
    wheels = "{member: fixed, teeth: 60, planet_teeth: 20, internal: true}, "
    wheels += "{member: out, teeth: 61, planet_teeth: 21, internal: true}"
    text = (
        "format: 1\nname: worm\ntrain:\n  input: out\n  output: arm\n  grounded: [fixed]\n"
        f"  sets:\n    - {{id: P, kind: compound_planet, carrier: arm, wheels: [{wheels}]}}\n"
        '  chart: {"1": []}\n'
    )
    shelf = desk.add_definition(text, file="worm.yaml")
    page = client.get(f"/files/{shelf}/train?gear=1&torque=10&loss=0.98").text
    assert "Self-locking: with these losses no torque gets through in this direction." in page
    assert "All torques on this page are those without losses." in page
    assert "With the losses." not in page


def test_a_gear_that_is_not_there_is_named(desk: Desk, digest: str) -> None:
    train = desk.definition(digest).train
    assert train is not None
    with pytest.raises(OutOfRange, match=r"gear '9' is not in the chart; known are P, N, R"):
        answer(train, Question("9"))


def test_a_typed_train_is_worked_out_at_once(client: TestClient) -> None:
    page = client.get("/train").text
    assert "3.0000" in page
    typed = client.post("/train", data={"text": EXAMPLE.replace("ring: 60", "ring: 75")})
    assert typed.status_code == 200
    assert "3.5000" in typed.text


def test_a_typed_train_is_drawn_in_the_gear_that_is_tapped(client: TestClient) -> None:
    """The tapped gear goes before the one that the page keeps."""
    first = client.post("/train", data={"text": EXAMPLE})
    assert "gear 1: B applied, ratio 3" in first.text
    tapped = client.post("/train", data={"text": EXAMPLE, "gear": ["2", "1"]})
    assert "gear 2: K applied, ratio 1" in tapped.text
    assert "Speed ladder: The train as typed, gear 2" in tapped.text
    gone = client.post("/train", data={"text": EXAMPLE, "gear": "9"})
    assert "gear 1: B applied" in gone.text


def test_a_typed_train_without_a_chart_is_drawn_at_rest(client: TestClient) -> None:
    typed = client.post("/train", data={"text": EXAMPLE[: EXAMPLE.index("  chart:")]})
    assert typed.status_code == 200
    assert "<svg" in typed.text
    assert "The chart is empty" in typed.text


@pytest.mark.parametrize(("what", "section", "line"), KINDS)
def test_every_kind_can_be_typed_as_it_is_shown(
    client: TestClient, what: str, section: str, line: str
) -> None:
    """The line stands alone in its section, beside a set that ties what it leaves open."""
    base = "{id: X, kind: basic_ratio, carrier: C, b: R, others: {S: -12/5}}"
    rows = ["train:", "  input: S", "  output: C"]
    rows += ["  sets:", f"    - {line if section == 'sets' else base}"]
    rows += {
        "pairs": ["  pairs:", f"    - {line}"],
        "elements": ["  elements:", f"    {line}"],
        "grounded": [f"  {line.replace('[S]', '[R]')}"],
    }.get(section, [])
    typed = client.post("/train", data={"text": "\n".join(rows)})
    assert typed.status_code == 200, (what, re.findall(r"<li>.*?</li>", typed.text))
    assert "<svg" in typed.text


def test_teeth_that_do_not_fit_are_warned_of_and_used(client: TestClient) -> None:
    """31 + 2 · 18 is 67 and not 70, and 4 does not divide 101; the ratio is 1 + 70/31 all the same."""
    teeth = "planets: 4, teeth: {sun: 31, ring: 70, planet: 18}}"
    typed = client.post("/train", data={"text": EXAMPLE.replace("teeth: {sun: 30, ring: 60}}", teeth)})
    assert typed.status_code == 200
    assert "3.2581" in typed.text
    assert typed.text.count("<strong>Line 5</strong>") == 2
    assert "31 + 2 · 18 = 67" in typed.text
    assert "Can this be meant? It is used as it stands." in typed.text


def test_a_whole_file_can_be_typed(client: TestClient) -> None:
    typed = client.post("/train", data={"text": library_text("demo-b")})
    assert typed.status_code == 200
    assert "4.5091" in typed.text


def test_the_first_line_of_the_section_may_be_left_out(client: TestClient) -> None:
    """As somebody types it who begins with input and output; it is put there, so that lines and text agree."""
    bare = "\n".join(line.removeprefix("  ") for line in EXAMPLE.splitlines()[1:])
    typed = client.post("/train", data={"text": bare})
    assert typed.status_code == 200
    assert "3.0000" in typed.text
    assert "train:\n  input: in\n  output: out\n" in typed.text
    wrong = client.post("/train", data={"text": bare.replace("kind: brake", "kind: brik")}).text
    assert "<strong>Line 7</strong>: <code>B: {kind: brik, member: R}</code>" in wrong


def test_a_text_that_is_no_train_is_told_at_its_last_line(client: TestClient) -> None:
    """What the page adds behind it is nothing that the typist could look up."""
    wrong = client.post("/train", data={"text": "sun 30, ring 72\nring held"}).text
    assert "<strong>Line 2</strong>: <code>ring held</code>" in wrong
    assert "<strong>" not in client.post("/train", data={"text": " "}).text.partition("<form")[0]


def test_an_element_that_locks_alone_is_no_fight(client: TestClient) -> None:
    """Two sets of different teeth on the same three members turn only as one, and a brake stops them."""
    second = (
        "    - {id: Q, kind: single_pinion, sun: in, carrier: out, ring: R, teeth: {sun: 20, ring: 60}}\n"
    )
    typed = client.post("/train", data={"text": EXAMPLE.replace("  elements:", f"{second}  elements:")}).text
    assert "tie-up: B alone holds the input" in typed
    assert "B fight" not in typed


def test_a_typed_fault_stands_at_its_line_and_the_text_stays(client: TestClient) -> None:
    wrong = EXAMPLE.replace("kind: brake", "kind: brik")
    typed = client.post("/train", data={"text": wrong})
    assert typed.status_code == 422
    assert "<strong>Line 7</strong>: <code>B: {kind: brik, member: R}</code>" in typed.text
    assert "train.elements.B.kind" in typed.text
    assert "1 fault to mend" in typed.text
    assert 'value="B"' not in typed.text
    assert "no section" in client.post("/train", data={"text": "parts: []"}).text


def test_what_the_page_adds_itself_is_never_told_as_missing(client: TestClient) -> None:
    """A text that breaks off as YAML hides the lines that stand behind it."""
    typed = client.post("/train", data={"text": EXAMPLE.replace("members: [in, out]}", "members: [in, out}")})
    assert typed.status_code == 422
    assert "format" not in typed.text.partition("<form")[0].partition("to mend")[2]
    assert "no YAML from here on" in typed.text


def test_every_mistake_of_a_typist_is_told_at_its_line(client: TestClient) -> None:
    """Four slips at once; the lines are counted by hand."""
    wrong = (
        EXAMPLE.replace("ring: 60", "ring: sixty")
        .replace("member: R", "member: RR")
        .replace('"2": [K]', '"2": [KK]')
    )
    lines = re.findall(r"<strong>Line (\d+)</strong>", client.post("/train", data={"text": wrong}).text)
    assert "5" in lines
    mended = wrong.replace("sixty", "60")
    lines = re.findall(r"<strong>Line (\d+)</strong>", client.post("/train", data={"text": mended}).text)
    assert lines == ["7", "11"]


def test_no_slip_of_the_keyboard_breaks_the_page(client: TestClient) -> None:
    """Sixty texts with characters lost, doubled and swapped (fixed seed): each is answered or told what to mend."""
    draw = random.Random(20)
    for _ in range(60):
        typed = list(EXAMPLE)
        for _ in range(draw.randint(1, 4)):
            place = draw.randrange(len(typed))
            match draw.randrange(3):
                case 0:
                    del typed[place : place + draw.randint(1, 6)]
                case 1:
                    typed.insert(place, draw.choice("{}[]:,-#\"'0159abX\n\t &*!|>%@"))
                case _:
                    typed[place] = draw.choice("0123456789- ")
        text = "".join(typed)
        found = client.post("/train", data={"text": text, "gear": draw.choice(["1", "2", "zz"])})
        assert found.status_code in (200, 422), text
        assert "to mend" in found.text or "<svg" in found.text, text
