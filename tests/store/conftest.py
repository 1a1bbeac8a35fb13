"""A shop's folder that is closed again."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from countershaft.store.shop import Store, open_store


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """An empty shop."""
    opened = open_store(tmp_path / "shop", busy_seconds=0.2)
    yield opened
    opened.close()
