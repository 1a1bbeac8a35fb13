"""The graphic of a label.

Expected values: what an independent reader of QR Codes (zxing-cpp) reads back from the bars that were drawn; the free
edge of four modules and the size of a symbol (17 modules and 4 for each version): ISO/IEC 18004, from memory.
"""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageDraw

from countershaft.figures.scan_code import QUIET_MODULES, scan_code

SCALE = 6


def drawn(svg: str) -> Image.Image:
    """The graphic as a picture, from its own bars."""
    root = ElementTree.fromstring(svg)
    size = int(root.attrib["viewBox"].split()[2])
    picture = Image.new("L", (size * SCALE, size * SCALE), 255)
    pen = ImageDraw.Draw(picture)
    for x, y, width in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\d+z", root[1].attrib["d"]):
        left, top = int(x) * SCALE, int(y) * SCALE
        pen.rectangle((left, top, left + int(width) * SCALE - 1, top + SCALE - 1), fill=0)
    return picture


def read(picture: Image.Image) -> list[tuple[str, str]]:
    """Every text in a picture, with the level at which it was written."""
    return [(one.text, one.ec_level) for one in zxingcpp.read_barcodes(picture)]


@pytest.mark.parametrize(
    "text", ["http://192.168.1.5:8765/t/T-0412-1-2", "http://shop.example/t/J-2026017B-%2A", "7", "x" * 300]
)
def test_another_program_reads_what_was_drawn(text: str) -> None:
    assert read(drawn(scan_code(text, words="code"))) == [(text, "Q")]


@settings(max_examples=30, deadline=None)
@given(st.text("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-", min_size=1, max_size=60))
def test_any_code_is_read_back(text: str) -> None:
    address = f"http://192.168.1.5:8765/t/{text}"
    assert read(drawn(scan_code(address, words="code"))) == [(address, "Q")]


def test_a_smear_over_a_tenth_of_the_symbol_does_no_harm() -> None:
    text = "http://192.168.1.5:8765/t/P-0412-P020-D"
    picture = drawn(scan_code(text, words="code"))
    middle, reach = picture.width // 2, int(picture.width * 0.12)
    ImageDraw.Draw(picture).rectangle(
        (middle - reach, middle - reach, middle + reach, middle + reach), fill=0
    )
    assert read(picture) == [(text, "Q")]


def test_the_edge_is_free_and_the_symbol_is_of_a_known_size() -> None:
    picture = drawn(scan_code("http://192.168.1.5:8765/t/T-0412-1-2", words="code"))
    modules = picture.width // SCALE
    inside = modules - 2 * QUIET_MODULES
    assert QUIET_MODULES == 4
    assert (inside - 17) % 4 == 0
    dark = picture.point(lambda value: 255 - value).getbbox()
    assert dark == (4 * SCALE, 4 * SCALE, (modules - 4) * SCALE, (modules - 4) * SCALE)


def test_a_screen_reader_is_told_and_nothing_becomes_markup() -> None:
    svg = scan_code("x", words='Code "<1>"')
    assert ElementTree.fromstring(svg).attrib["aria-label"] == 'Code "<1>"'
    assert "<1>" not in svg
