"""Golden drawings: compared byte by byte; REWRITE_GOLDEN=1 writes them anew, to be looked at first."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

GOLDEN = Path(__file__).parents[1] / "golden"


@pytest.fixture
def golden() -> Callable[[str, str], None]:
    """Return a check that a text is the golden text of that name."""

    def check(name: str, text: str) -> None:
        path = GOLDEN / name
        if os.environ.get("REWRITE_GOLDEN") == "1":
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text + "\n", encoding="utf-8")
        assert path.read_text(encoding="utf-8") == text + "\n", (
            f"{name} changed; look at it, then REWRITE_GOLDEN=1"
        )

    return check
