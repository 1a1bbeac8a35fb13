"""Expected values: SHA-256 of the file itself, by hashlib over the bytes; vendored files by VENDORED.md."""

from __future__ import annotations

import hashlib
import re

import pytest

from countershaft.errors import Unknown
from countershaft.web.assets import asset_path, asset_url, static_dir


def test_the_address_changes_with_the_content() -> None:
    digest = hashlib.sha256((static_dir() / "parts.css").read_bytes()).hexdigest()
    assert asset_url("parts.css") == f"/static/parts.css?v={digest[:12]}"


@pytest.mark.parametrize(
    "name", ["missing.css", "", "../assets.py", "fonts/../../assets.py", "/etc/hostname", "fonts"]
)
def test_a_name_that_is_no_static_file_is_unknown(name: str) -> None:
    with pytest.raises(Unknown, match="not in the package"):
        asset_path(name)


def test_every_font_that_is_asked_for_is_vendored_with_its_licence() -> None:
    asked = set(re.findall(r'url\("([^"]+)"\)', asset_path("tokens.css").read_text(encoding="utf-8")))
    vendored = asset_path("VENDORED.md").read_text(encoding="utf-8")
    assert len(asked) == 2
    for name in asked | {"fonts/Barlow-OFL.txt"}:
        assert asset_path(name).stat().st_size > 1000
        assert name in vendored
    assert "SIL OPEN FONT LICENSE Version 1.1" in asset_path("fonts/Barlow-OFL.txt").read_text(
        encoding="utf-8"
    )


def test_fonts_are_woff2() -> None:
    """The first four bytes are wOF2 (W3C, WOFF File Format 2.0, section 4)."""
    for path in static_dir().glob("fonts/*.woff2"):
        assert path.read_bytes()[:4] == b"wOF2"


def test_nothing_is_fetched_from_elsewhere() -> None:
    for path in static_dir().glob("*.css"):
        assert re.findall(r"https?:|@import|url\(\"?//", path.read_text(encoding="utf-8")) == []
