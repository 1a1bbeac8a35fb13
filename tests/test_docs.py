"""The pages: nothing generated is stale, nothing is unlinked, no link is dead, every command is described.

The examples on the pages and in the docstrings are collected by pytest itself (pyproject.toml), not here.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path
from urllib.parse import unquote

import click
import pytest

from tools import docs

ROOT = Path(__file__).parents[1]
PAGES = sorted([*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md"), *(ROOT / "src").rglob("*.md")])
LINK = re.compile(r"\[[^\]]*\]\(([^)\s]+)\)")


def targets(page: Path) -> list[str]:
    """Where the links and pictures of a page lead, code blocks left out."""
    text = re.sub(r"```.*?```|`[^`]*`", "", page.read_text(encoding="utf-8"), flags=re.DOTALL)
    return [unquote(target) for target in LINK.findall(text)]


def anchor(heading: str) -> str:
    """The anchor that a page viewer gives to a heading."""
    return re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-")


def test_no_generated_file_is_stale() -> None:
    """In a process of its own: a command that a test has called keeps the help options of that call."""
    command = [sys.executable, "-m", "tools.docs", "--check"]
    path = os.pathsep.join(filter(None, [str(ROOT / "src"), os.environ.get("PYTHONPATH")]))
    run = subprocess.run(
        command, cwd=ROOT, env={**os.environ, "PYTHONPATH": path}, capture_output=True, text=True, check=False
    )
    assert (run.returncode, run.stdout) == (0, ""), run.stdout + run.stderr


def test_a_stale_file_is_named(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setitem(docs.GENERATED, "docs/index.md", lambda: "something else")
    assert docs.main(["--check"]) == 1
    assert "docs/index.md is stale: run ./bench docs" in capsys.readouterr().out


def test_every_command_has_its_help_on_the_page() -> None:
    page = (ROOT / "docs" / "reference" / "cli.md").read_text(encoding="utf-8")
    names = [name for name, _ in docs.commands()]
    assert re.findall(r"^## (.+)$", page, flags=re.MULTILINE) == names
    assert {"countershaft train", "countershaft check", "countershaft schema", "countershaft demo"} <= set(
        names
    )


@pytest.mark.parametrize("context", [pytest.param(context, id=name) for name, context in docs.commands()])
def test_every_command_and_option_says_what_it_does(context: click.Context) -> None:
    assert context.command.help
    options = [one for one in context.command.params if isinstance(one, click.Option)]
    assert [one.name for one in options if not one.help] == []


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_no_link_is_dead(page: Path) -> None:
    for target in targets(page):
        if "://" in target or target.startswith("mailto:"):
            continue
        path, _, place = target.partition("#")
        found = (page.parent / path).resolve() if path else page
        assert found.exists(), f"{target} leads nowhere"
        assert ROOT in found.parents, f"{target} leads out of the repository"
        if place:
            headings = re.findall(r"^#+ (.+)$", found.read_text(encoding="utf-8"), flags=re.MULTILINE)
            assert place in map(anchor, headings), f"{target} names no heading"


@pytest.mark.parametrize("folder", ["decisions", "reference", "stages", "theory"])
def test_every_page_is_linked_from_the_index(folder: str) -> None:
    index = ROOT / "docs" / "index.md"
    linked = {(index.parent / target).resolve() for target in targets(index)}
    unlinked = [path.name for path in (ROOT / "docs" / folder).glob("*.md") if path.resolve() not in linked]
    assert unlinked == []


def test_the_decisions_are_numbered_without_a_gap_and_titled_by_their_number() -> None:
    found = sorted((ROOT / "docs" / "decisions").glob("*.md"))
    assert [path.name[:4] for path in found] == [f"{number:04d}" for number in range(1, len(found) + 1)]
    for number, path in enumerate(found, start=1):
        assert path.read_text(encoding="utf-8").startswith(f"# {number}. "), path.name


def test_the_docs_have_examples_and_pytest_runs_them() -> None:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["pytest"][
        "ini_options"
    ]
    assert {"docs", "src"} <= set(settings["testpaths"])
    assert {"--doctest-modules", "--doctest-glob=*.md"} <= set(settings["addopts"])
    assert any(">>> " in page.read_text(encoding="utf-8") for page in PAGES)


@pytest.mark.parametrize("path", sorted(docs.PUBLISHED.glob("*.json")), ids=lambda path: path.stem)
def test_every_file_of_published_cases_is_run(path: Path) -> None:
    runner = path.with_name(f"test_{path.stem}.py")
    assert path.name in runner.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("case", "word"),
    [
        ({"kind": "published", "seen": "read"}, "read"),
        ({"kind": "published", "seen": "memory"}, "recalled"),
        ({"kind": "derived", "seen": "read"}, "ours"),
        ({"check": "two routes of ours", "seen": "memory"}, "ours"),
        ({"check": "self only", "seen": "read"}, "ours"),
        ({"check": "external, weak", "seen": "read"}, "weak"),
        ({"check": "external, read", "seen": "read"}, "read"),
        ({"source": "common practice, no source", "seen": "memory"}, "common practice"),
    ],
)
def test_the_validation_page_claims_no_more_than_a_case_proves(case: dict[str, str], word: str) -> None:
    assert docs.evidence({"source": "a book", **case}) == word
