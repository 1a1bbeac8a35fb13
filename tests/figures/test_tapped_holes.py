"""Marks of tapped holes.  Expected values: by hand; every picture is shown 764 units wide."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest

from countershaft.errors import OutOfRange
from countershaft.figures.hole_layout import WIDTH, lay_out
from countershaft.figures.tapped_holes import PICTURE_WIDTH, TappedHole, picture_height, tapped_holes

SVG = "{http://www.w3.org/2000/svg}"


def test_a_picture_keeps_its_shape() -> None:
    """1600 × 1100 shown 764 wide is 525 high."""
    assert PICTURE_WIDTH == 764
    assert picture_height(1600, 1100) == 525
    with pytest.raises(OutOfRange, match="0 × 5 pixels shows nothing"):
        picture_height(0, 5)


def test_marks_lie_where_they_were_tapped() -> None:
    """The order is written where it is known, else the name; both are in the words."""
    drawing = tapped_holes("lid", 400, [TappedHole("a", 2, 100, 50), TappedHole("b", None, 700, 390)])
    root = ET.fromstring(drawing)
    assert root.get("viewBox") == "0 0 764 400"
    centres = [(circle.get("cx"), circle.get("cy")) for circle in root.iter(f"{SVG}circle")]
    assert centres == [("100", "50"), ("700", "390")]
    assert [text.text for text in root.iter(f"{SVG}text")] == ["2", "b"]
    assert "In order: 2 a; b." in (root.get("aria-label") or "")
    assert "No hole is tapped yet." in tapped_holes("lid", 400, [])


def test_a_crowded_flange_is_shown_smaller_before_it_is_laid_out_in_rows() -> None:
    """Two rows of nine, 30 mm apart, need a wider sheet than the first; where no width helps, rows remain."""
    points = [(40.0 * number, 300.0 * row) for row in (0, 1) for number in range(7)]
    turns = list(range(len(points)))
    assert lay_out(points, turns).in_rows
    wide = lay_out(points, turns, widths=(WIDTH, WIDTH * 1.2, WIDTH * 1.4, WIDTH * 1.6))
    assert not wide.in_rows and wide.width > WIDTH
    crowd = [(float(number), 0.0) for number in range(40)]
    assert lay_out(crowd, list(range(40)), widths=(WIDTH, WIDTH * 1.6)).in_rows
