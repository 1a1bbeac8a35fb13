"""Expected values: the macros' own promise; one id once, every control named: from the HTML standard."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest
from jinja2 import Environment, FileSystemLoader, StrictUndefined

from countershaft.web.assets import asset_url, templates_dir
from countershaft.web.patterns import patterns_page

MACROS = (templates_dir() / "macros.html").read_text(encoding="utf-8")
VOID = {"meta", "link", "input", "img", "br", "hr"}


class Reader(HTMLParser):
    """Collects the elements of a page and complains about tags that do not close."""

    def __init__(self) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, {name: value or "" for name, value in attrs}))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        assert self.open and self.open[-1] == tag, f"</{tag}> closes <{self.open[-1:]}>"
        self.open.pop()


def environment() -> Environment:
    """Return an environment as the app makes it."""
    env = Environment(
        loader=FileSystemLoader(templates_dir()),
        undefined=StrictUndefined,
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    env.globals["asset_url"] = asset_url
    return env


@pytest.fixture(scope="module")
def page() -> Reader:
    reader = Reader()
    reader.feed(patterns_page(environment()))
    return reader


def rendered(call: str, **values: object) -> str:
    """Return what one macro writes."""
    return environment().from_string('{% import "macros.html" as m %}' + call).render(**values)


def test_every_macro_is_shown() -> None:
    shown = (templates_dir() / "patterns.html").read_text(encoding="utf-8") + MACROS
    names = re.findall(r"{% macro ([a-z]\w*)\(", MACROS)
    assert len(names) > 25
    assert [name for name in names if len(re.findall(rf"\b{name}\(", shown)) < 2] == []


def test_every_macro_has_a_comment_that_names_it() -> None:
    names = re.findall(r"{% macro (\w+)\(", MACROS)
    assert [
        name for name in names if not re.search(rf"{{# {name}\b[^#]*#}}\n{{% macro {name}\(", MACROS)
    ] == []


def test_the_page_is_closed_and_each_id_stands_once(page: Reader) -> None:
    assert page.open == []
    ids = [attributes["id"] for _, attributes in page.elements if "id" in attributes]
    assert len(ids) == len(set(ids))


def test_every_control_has_a_name_to_be_called_by(page: Reader) -> None:
    targets = {attributes.get("for") for tag, attributes in page.elements if tag == "label"}
    for tag, attributes in page.elements:
        kind = attributes.get("type")
        if tag in {"input", "select", "textarea"} and kind not in {"hidden", "radio", "checkbox"}:
            assert attributes.get("aria-label") or attributes["id"] in targets, attributes


def test_what_describes_a_field_is_there(page: Reader) -> None:
    ids = {attributes.get("id") for _, attributes in page.elements}
    described = [a["aria-describedby"] for _, a in page.elements if "aria-describedby" in a]
    assert described
    assert all(name in ids for names in described for name in names.split())


def test_every_drawing_has_a_text_or_is_hidden(page: Reader) -> None:
    drawings = [attributes for tag, attributes in page.elements if tag == "svg"]
    assert drawings
    assert all(a.get("aria-label") or a.get("aria-hidden") == "true" for a in drawings)


def test_no_script_and_no_style_in_the_page(page: Reader) -> None:
    assert [tag for tag, _ in page.elements if tag in {"script", "style"}] == []
    assert [a for _, a in page.elements if "style" in a or any(name.startswith("on") for name in a)] == []


def test_nothing_that_is_typed_becomes_markup() -> None:
    for call in (
        'm.field("a", x, x, x, x, x)',
        'm.area("a", x, x, x, x)',
        'm.choice("a", x, [(x, x, x)], x, x, x)',
        'm.select("a", x, [(x, x)], x, x, x)',
        "m.errors([x, (x, x)])",
        'm.caution("WARNING", x)',
        "m.pair(x, x)",
        "m.table([x], [[x]], x)",
        "m.figure(x, {'lines': [x], 'source': x, 'table': none})",
        'm.verdict("good", x)',
        'm.photo("/p", x, "", x)',
        "m.title_block(x, x, x, x, x, x)",
        "m.resume(x, x, x, x, x, x)",
        "m.neighbours({'text': x, 'href': x})",
    ):
        html = rendered("{{ " + call + " }}", x='<b onclick="x">\'')
        assert "<b" not in html, call
        assert 'onclick="' not in html, call


def test_what_was_typed_comes_back_into_the_field() -> None:
    assert 'value="0,4x6"' in rendered('{{ m.field("reading", "Reading", "0,4x6", "no figure") }}')
    assert ">\n  two\nlines</textarea>" in rendered('{{ m.area("a", "A", v) }}', v="  two\nlines")
    assert 'value="warm" checked' in rendered('{{ m.choice("c", "C", ["cold", "warm"], "warm") }}')
    assert '<option value="glazed" selected>' in rendered(
        '{{ m.select("s", "S", ["burnt", "glazed"], "glazed") }}'
    )
    ticked = rendered('{{ m.ticks("t", "T", ["1", "2", "12"], ["12"]) }}')
    assert re.findall(r'value="(\d+)" checked', ticked) == ["12"]


def test_a_choice_of_nothing_checks_nothing() -> None:
    assert " checked" not in rendered('{{ m.choice("c", "C", [("", "none"), "warm"], none) }}')


@pytest.mark.parametrize(
    ("hand", "doing", "turn"),
    [
        ("right", "tighten", "clockwise"),
        ("right", "loosen", "anticlockwise"),
        ("left", "tighten", "anticlockwise"),
        ("left", "loosen", "clockwise"),
    ],
)
def test_the_hand_of_a_thread_turns_the_right_way(hand: str, doing: str, turn: str) -> None:
    """ISO 5408: a right-hand thread recedes when turned clockwise (from memory)."""
    html = rendered("{{ m.hand_of_thread(hand, doing) }}", hand=hand, doing=doing)
    assert f"To {doing}, turn {turn}<" in html
    assert f'aria-label="Turn {turn}"' in html
    sweep = re.search(r"A46 46 0 1 (\d)", html)
    assert sweep is not None
    assert (sweep.group(1) == "1") == (turn == "clockwise"), (
        "SVG 2: sweep flag 1 draws clockwise on the screen"
    )


@pytest.mark.parametrize("word", ["DANGER", "Warning", "caution", "NOTICE"])
def test_a_signal_word_is_written_in_capitals(word: str) -> None:
    html = rendered('{{ m.caution(word, "text") }}', word=word)
    assert f'<p class="signal">{word.upper()}</p>' in html
    assert f"caution-{word.lower()}" in html


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_a_chosen_theme_stands_on_the_page(theme: str) -> None:
    html = environment().get_template("base.html").render(theme=theme, page_path="/job/1")
    assert f'<html lang="en" data-theme="{theme}">' in html
    assert '<input type="hidden" name="back" value="/job/1">' in html


def test_a_theme_that_is_none_follows_the_system() -> None:
    assert '<html lang="en">' in environment().get_template("base.html").render()
    assert '<html lang="en">' in environment().get_template("base.html").render(theme="pink")


def test_every_page_defers_to_the_maker() -> None:
    html = environment().get_template("base.html").render()
    assert (
        "Follow the maker's service information, local codes and licensed practice. "
        "countershaft computes; the technician decides."
    ) in html
