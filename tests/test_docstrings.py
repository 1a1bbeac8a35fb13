"""Docstrings of the computing packages agree with their signatures, units included; the checker sees a breach.

The expected faults are written by hand for small functions made on the spot.
"""

from __future__ import annotations

from pathlib import Path
from textwrap import indent

import pytest

from tools.docstrings import faults_in
from tools.layers import PURE

SOURCE = Path(__file__).parents[1] / "src" / "countershaft"
MODULES = sorted(path for package in PURE for path in (SOURCE / package).rglob("*.py"))


@pytest.mark.parametrize("path", MODULES, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_the_docstrings_fit_the_signatures(path: Path) -> None:
    found = faults_in(path)
    assert not found, "\n".join(found)


def faults(folder: Path, signature: str, docstring: str, body: str = "...") -> list[str]:
    """What is said about one made-up function."""
    path = folder / "made_up.py"
    text = indent(f'"""{docstring}"""\n{body}', "    ")
    path.write_text(f"Row = Sequence[Fraction]\n\n\n{signature}\n{text}\n", encoding="utf-8")
    return [fault.partition("(): ")[2] for fault in faults_in(path)]


GOOD = """Torque of a force on a lever.

Parameters
----------
force, arm : float [SI]
    What pulls, and how far out.
turns : Sequence[Fraction] (n,) [-]
    Tries.
name : str, optional
    What to call it.

Returns
-------
float [N m]
    The torque.

Raises
------
OutOfRange
    The arm is negative.
"""
SIGNATURE = "def torque(force: float, arm: float, turns: Row, *, name: str | None = None) -> float:"
RAISE = "raise OutOfRange('no')"


def test_a_full_docstring_has_no_fault(tmp_path: Path) -> None:
    assert faults(tmp_path, SIGNATURE, GOOD, RAISE) == []


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("force, arm", "force", "its parameters are force, arm, turns, name; described are force, turns, name"),
        ("force, arm : float [SI]", "force, arm : float", "parameter force is a figure without its unit in brackets"),
        (" [-]", "", "parameter turns is a figure without its unit in brackets"),
        ("name : str", "name : bytes", "parameter name is str | None; described as bytes"),
        ("float [N m]", "float", "result is a figure without its unit in brackets"),
        ("float [N m]", "int [N m]", "result is float; described as int"),
        ("Returns\n-------", "Notes\n-----", "it does not say what it returns"),
        ("Raises\n------", "Notes\n-----", "it raises OutOfRange, and does not say so"),
    ],
)  # fmt: skip
def test_every_difference_is_named(tmp_path: Path, old: str, new: str, said: str) -> None:
    assert old in GOOD
    assert said in faults(tmp_path, SIGNATURE, GOOD.replace(old, new), RAISE)


def test_a_result_of_nothing_is_not_described(tmp_path: Path) -> None:
    assert faults(tmp_path, "def go() -> None:", "Go.") == []
    said = "it returns nothing, and says that it does"
    assert faults(tmp_path, "def go() -> None:", "Go.\n\nReturns\n-------\nstr\n    A word.\n") == [said]


def test_a_bare_function_is_told_everything(tmp_path: Path) -> None:
    expected = ["its parameters are x; described are none", "it does not say what it returns"]
    assert faults(tmp_path, "def f(x: int) -> int:", "Double.", "return 2 * x") == expected
