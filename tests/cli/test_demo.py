"""`countershaft demo`.  Expected values: what stands in the folder before and after."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from countershaft.cli import demo as module
from countershaft.cli.demo import demo
from countershaft.errors import BadInput
from countershaft.store.shop import Store


def run(folder: Path) -> None:
    """Make the demo shop in a folder; errors come through."""
    CliRunner().invoke(demo, ["--dir", str(folder), "--make-only"], catch_exceptions=False)


@pytest.fixture(autouse=True)
def _quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """An empty shop will do: what is tested is the folder."""

    def nothing(store: Store, *, now: datetime) -> None:
        assert store.folder.is_dir()
        assert now.tzinfo is not None

    monkeypatch.setattr(module, "make_demo_shop", nothing)


def test_a_folder_with_other_files_is_never_touched(tmp_path: Path) -> None:
    """Somebody names their documents: nothing is deleted, and it says what to do."""
    letter = tmp_path / "documents" / "letter.txt"
    letter.parent.mkdir()
    letter.write_text("mine")
    with pytest.raises(BadInput, match=r"nothing was touched\. Name an empty or a new folder with --dir"):
        run(letter.parent)
    assert letter.read_text() == "mine"


@pytest.mark.parametrize("there", [False, True])
def test_a_new_or_empty_folder_becomes_a_shop(tmp_path: Path, there: bool) -> None:
    """The shop stands whole in its place, and nothing half-made beside it."""
    folder = tmp_path / "shop"
    if there:
        folder.mkdir()
    run(folder)
    assert (folder / "shop.db").is_file()
    assert [one.name for one in tmp_path.iterdir()] == ["shop"]


def test_a_half_made_shop_is_made_anew(tmp_path: Path) -> None:
    """What an interrupted start left beside is thrown away."""
    left = tmp_path / ".shop-making" / "shop.db"
    left.parent.mkdir()
    left.write_text("half")
    run(tmp_path / "shop")
    assert not left.exists()
