"""What the package promises by name, what it loads, and what a built package contains.

Expected: each module's own `__all__` (its order is the linter's business), and the files of the source folder.
"""

from __future__ import annotations

import ast
import subprocess
import sys
import zipfile
from functools import cache
from importlib import import_module
from importlib.metadata import entry_points
from pathlib import Path

import pytest

import countershaft

SOURCE = Path(__file__).parents[1] / "src" / "countershaft"
ROOT = SOURCE.parents[1]
MODULES = sorted(path for path in SOURCE.rglob("*.py") if "migrations" not in path.parts)
# What a person who only asks for help must not wait for.
HEAVY = ("alembic", "jinja2", "pint", "pydantic", "PIL", "sqlalchemy", "starlette", "uvicorn", "yaml")


@cache
def parsed(path: Path) -> ast.Module:
    """The syntax tree of a file."""
    return ast.parse(path.read_text(encoding="utf-8"))


def dotted(path: Path) -> str:
    """The name that a file is imported by."""
    return ".".join(path.relative_to(SOURCE.parent).with_suffix("").parts).removesuffix(".__init__")


def promised(tree: ast.Module) -> list[str] | None:
    """The names in `__all__`, or None where there is none."""
    for node in tree.body:
        if isinstance(node, ast.Assign) and any(ast.unparse(one) == "__all__" for one in node.targets):
            found: list[str] = ast.literal_eval(node.value)
            return found
    return None


def test_the_top_package_promises_sorted_names_that_are_there() -> None:
    assert countershaft.__all__ == sorted(countershaft.__all__)
    assert all(hasattr(countershaft, name) for name in countershaft.__all__)


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(SOURCE)))
def test_a_module_says_what_it_is_for_and_what_it_offers(path: Path) -> None:
    tree = parsed(path)
    assert ast.get_docstring(tree), "no docstring at the top"
    if path.name == "__init__.py" and path.parent != SOURCE:
        bodies = [node for node in tree.body[1:] if ast.unparse(node) != "from __future__ import annotations"]
        assert bodies == [], "a package's __init__ holds a docstring only"
    elif path.name != "__main__.py":
        names = promised(tree)
        assert names, "no __all__"
        assert len(names) == len(set(names))
        module = import_module(dotted(path))
        assert [name for name in names if not hasattr(module, name)] == []


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(SOURCE)))
def test_a_module_takes_only_what_another_offers(path: Path) -> None:
    known = {dotted(other): promised(parsed(other)) for other in MODULES}
    taken = [
        f"{node.module}.{alias.name}"
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.ImportFrom) and node.module in known
        for alias in node.names
        if f"{node.module}.{alias.name}" not in known and alias.name not in (known[node.module] or [])
    ]
    assert taken == []


def test_help_loads_nothing_heavy() -> None:
    program = (
        "import sys\nsys.argv = ['countershaft', '--help']\n"
        "try:\n    import runpy; runpy.run_module('countershaft', run_name='__main__')\n"
        f"except SystemExit:\n    print('LOADED', [name for name in {HEAVY!r} if name in sys.modules])"
    )
    run = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True, cwd=ROOT / "src"
    )
    assert "Commands:" in run.stdout
    assert run.stdout.endswith("LOADED []\n")


def test_the_command_is_an_entry_point() -> None:
    found = {one.name: one.value for one in entry_points(group="console_scripts")}
    if "countershaft" not in found:
        pytest.skip("the package is on the path but not installed; ./bench test installs it")
    assert found["countershaft"] == "countershaft.cli.main:main"


def test_a_built_package_holds_every_file_of_the_source(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path)]
    subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    (wheel,) = tmp_path.glob("*.whl")
    inside = set(zipfile.ZipFile(wheel).namelist())
    there = {
        str(path.relative_to(SOURCE.parent))
        for path in SOURCE.rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert {Path(name).suffix for name in there} >= {".py", ".yaml", ".css", ".woff2", ".html", ".json"}
    assert sorted(there - inside) == []
    licence = [name for name in inside if name.endswith("licenses/LICENSE")]
    assert len(licence) == 1
