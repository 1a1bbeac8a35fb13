"""The examples in the docstrings of `mechanics` and in the theory page run as they are printed."""

from __future__ import annotations

import doctest
from importlib import import_module
from pathlib import Path

import pytest

import countershaft.mechanics

MODULES = sorted(path.stem for path in Path(countershaft.mechanics.__path__[0]).glob("[a-z]*.py"))
PAGE = Path(__file__).parents[2] / "docs" / "theory" / "gear-train.md"


@pytest.mark.parametrize("name", MODULES)
def test_docstring_examples(name: str) -> None:
    assert doctest.testmod(import_module(f"countershaft.mechanics.{name}")).failed == 0


def test_theory_page_examples() -> None:
    found = doctest.testfile(str(PAGE), module_relative=False)
    assert found.attempted >= 10
    assert found.failed == 0
