"""Contrast by the formula of WCAG 2.2 (relative luminance, contrast ratio, success criterion 1.4.6).

Published ratios that check the formula itself: black on white 21:1 (WCAG 2.2, note to contrast ratio);
#767676 on white 4.54:1 (W3C, technique G18, the lightest grey that passes 4.5:1, from memory).
Colour-blind sight: matrices of Vienot, Brettel and Mollon, Color Research and Application 24 (1999) 243,
on linear light, from memory; colour difference CIE 1976 (L*a*b*, D65 white), ISO/CIE 11664-4, from memory.
The size of the tablet is that of the design: 10.5 inches, 820 by 1180 CSS pixels.
"""

from __future__ import annotations

import math
import re
from itertools import combinations
from pathlib import Path

import pytest

from countershaft.web.assets import static_dir, templates_dir

CSS = static_dir()
TOKENS = (CSS / "tokens.css").read_text(encoding="utf-8")
OTHER_SHEETS = ("layout.css", "parts.css", "print.css")
FIGURES = Path(static_dir()).parents[1] / "figures"
SEVEN, THREE = 7.0, 3.0

# (ink, ground) of every text of the face
TEXT_PAIRS = (
    [
        (ink, ground)
        for ink in ("ink", "ink-quiet", "dye", "good", "bad", "again", "unknown")
        for ground in ("paper", "paper-field")
    ]
    + [("ink", "dye-wash"), ("ink-quiet", "dye-wash"), ("paper", "ink"), ("on-dye", "dye")]
    + [(f"on-{word}", word) for word in ("danger", "warning", "caution", "notice")]
)
# (line, ground) of every line or shape that carries a meaning
SHAPE_PAIRS = [(line, ground) for line in ("rule", "dye") for ground in ("paper", "paper-field", "dye-wash")]


def luminance(colour: str) -> float:
    """Return the relative luminance of #rrggbb."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def block(start: str) -> dict[str, str]:
    """Return the custom properties of the block that starts with the given text."""
    assert TOKENS.count(start) == 1, start
    body = TOKENS.split(start, 1)[1].split("}", 1)[0]
    return dict(re.findall(r"--([a-z0-9-]+):\s*([^;]+);", body))


LIGHT = block("\n:root {")
DARK_SYSTEM = block('(prefers-color-scheme: dark) {\n  :root:not([data-theme="light"]) {')
DARK_CHOSEN = block('\n:root[data-theme="dark"] {')
PRINT = block('@media print {\n  :root,\n  :root[data-theme],\n  :root:not([data-theme="light"]) {')
THEMES = {"light": LIGHT, "dark": LIGHT | DARK_CHOSEN, "print": LIGHT | PRINT}


@pytest.mark.parametrize(
    ("one", "other", "ratio"), [("#000000", "#ffffff", 21.0), ("#767676", "#ffffff", 4.54)]
)
def test_the_formula_gives_published_ratios(one: str, other: str, ratio: float) -> None:
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)


@pytest.mark.parametrize("theme", sorted(THEMES))
@pytest.mark.parametrize(("ink", "ground"), TEXT_PAIRS)
def test_every_text_has_a_contrast_of_seven(theme: str, ink: str, ground: str) -> None:
    tokens = THEMES[theme]
    ratio = contrast(tokens[ink], tokens[ground])
    assert ratio >= SEVEN, f"{ink} on {ground} in {theme}: {ratio:.2f}"


@pytest.mark.parametrize("theme", sorted(THEMES))
@pytest.mark.parametrize(("line", "ground"), SHAPE_PAIRS)
def test_every_shape_with_a_meaning_has_a_contrast_of_three(theme: str, line: str, ground: str) -> None:
    tokens = THEMES[theme]
    assert contrast(tokens[line], tokens[ground]) >= THREE


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_the_number_is_read_through_the_paint_mark(theme: str) -> None:
    assert contrast(THEMES[theme]["ink"], THEMES[theme]["paint"]) >= 6.0


SIGHT = {
    "ordinary": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "protanope": ((0.11238, 0.88762, 0), (0.11238, 0.88762, 0), (0.00401, -0.00401, 1)),
    "deuteranope": ((0.29275, 0.70725, 0), (0.29275, 0.70725, 0), (-0.02234, 0.02234, 1)),
}
TO_XYZ = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))


def lab(colour: str, sight: str) -> tuple[float, float, float]:
    """Return L*, a*, b* of #rrggbb as a kind of sight sees it."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    seen = [min(1.0, max(0.0, sum(m * c for m, c in zip(row, linear, strict=True)))) for row in SIGHT[sight]]
    xyz = [sum(m * c for m, c in zip(row, seen, strict=True)) for row in TO_XYZ]
    ratios = [value / white for value, white in zip(xyz, (0.95047, 1.0, 1.08883), strict=True)]
    x, y, z = (t ** (1 / 3) if t > 216 / 24389 else (24389 / 27 * t + 16) / 116 for t in ratios)
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def test_the_difference_of_colours_gives_known_values() -> None:
    """White is L* 100, black 0; sRGB red is 53.2, 80.1, 67.2 (widely tabulated, from memory)."""
    assert lab("#ffffff", "ordinary") == pytest.approx((100, 0, 0), abs=0.05)
    assert lab("#000000", "ordinary") == pytest.approx((0, 0, 0), abs=0.05)
    assert lab("#ff0000", "ordinary") == pytest.approx((53.2, 80.1, 67.2), abs=0.1)


@pytest.mark.parametrize("sight", sorted(SIGHT))
@pytest.mark.parametrize("theme", sorted(THEMES))
def test_verdicts_differ_to_colour_blind_eyes(theme: str, sight: str) -> None:
    """Colour is the second sign only; a difference of 10 is seen at a glance (common practice, no source)."""
    seen = [lab(THEMES[theme][name], sight) for name in ("good", "bad", "again")]
    for one, other in combinations(seen, 2):
        assert math.dist(one, other) >= 10.0


def test_both_darks_are_one() -> None:
    assert DARK_SYSTEM == DARK_CHOSEN


def test_the_dark_turns_every_colour_but_the_signal_words() -> None:
    signal = {
        f"{prefix}{word}" for prefix in ("", "on-") for word in ("danger", "warning", "caution", "notice")
    }
    colours = {name for name, value in LIGHT.items() if value.startswith("#")}
    assert colours - signal == set(DARK_CHOSEN)


def pixels(value: str) -> float:
    """Return a length in CSS pixels."""
    assert value.endswith("px"), value
    return float(value.removesuffix("px"))


def test_targets_gaps_and_digits_are_large_enough_on_the_tablet() -> None:
    millimetres = 10.5 * 25.4 / (820**2 + 1180**2) ** 0.5
    assert pixels(LIGHT["target"]) * millimetres >= 18.0
    assert pixels(LIGHT["gap"]) * millimetres >= 6.0
    cap_height = 0.7  # of Barlow, its OS/2 table
    assert pixels(LIGHT["t-figure"]) * cap_height * millimetres >= 6.0


@pytest.mark.parametrize("name", OTHER_SHEETS)
def test_the_other_sheets_hold_no_raw_colour_and_no_raw_length(name: str) -> None:
    text = re.sub(r"/\*.*?\*/", "", (CSS / name).read_text(encoding="utf-8"), flags=re.DOTALL)
    values = [value for _, value in re.findall(r"([a-z-]+):\s*([^;{}]+);", text)]
    raw = re.compile(
        r"#[0-9a-f]{3,8}\b|\b(rgb|hsl|oklch|lab|color)a?\(|\b\d+(\.\d+)?(px|pt|rem|cm|in)\b", re.IGNORECASE
    )
    named = re.compile(
        r"\b(black|white|red|green|blue|yellow|orange|gr[ae]y|brown|navy|teal|purple|beige|ivory)\b",
        re.IGNORECASE,
    )
    assert [value for value in values if raw.search(value) or named.search(value)] == []


@pytest.mark.parametrize("name", OTHER_SHEETS)
def test_every_token_that_is_used_is_there(name: str) -> None:
    text = (CSS / name).read_text(encoding="utf-8")
    local = set(re.findall(r"--([a-z0-9-]+):", text))
    assert set(re.findall(r"var\(--([a-z0-9-]+)\)", text)) <= set(LIGHT) | local


def test_every_token_is_used() -> None:
    text = "".join((CSS / name).read_text(encoding="utf-8") for name in OTHER_SHEETS)
    assert set(LIGHT) - set(re.findall(r"var\(--([a-z0-9-]+)\)", text)) == set()


def sources() -> list[Path]:
    """Return what writes markup: templates and drawings."""
    return sorted(templates_dir().rglob("*.html")) + sorted(FIGURES.glob("*.py"))


@pytest.mark.parametrize("path", sources(), ids=lambda path: path.name)
def test_markup_holds_no_colour_no_style_and_no_script(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert re.findall(r"#[0-9a-fA-F]{6}\b", text) == []
    assert re.findall(r"\b(?:fill|stroke|style)=\"", text) == []
    assert re.findall(r"<style|<script|javascript:|\son[a-z]+=", text) == []
