"""What holds for every test: how property tests run, and which tests need a browser."""

from __future__ import annotations

import os
from collections.abc import Sequence

import pytest
from hypothesis import settings

# No deadline: a busy machine is no fault of the code.  As a gate the same examples every time, so that red is red
# again; at a desk new ones every time.
settings.register_profile("desk", deadline=None)
settings.register_profile("gate", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("gate" if os.environ.get("CI") == "true" else "desk")


def pytest_collection_modifyitems(items: Sequence[pytest.Item]) -> None:
    """Mark every test that drives a browser, so that `-m "not browser"` leaves them out.

    Where ./bench found none that can be driven, they are skipped with its reason.
    """
    reason = os.environ.get("BENCH_NO_BROWSER")
    for item in items:
        if "browser" in getattr(item, "fixturenames", ()):
            item.add_marker("browser")
            if reason:
                item.add_marker(pytest.mark.skip(reason=reason))
