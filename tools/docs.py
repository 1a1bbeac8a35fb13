"""The generated files: written by `python -m tools.docs`, compared by `python -m tools.docs --check`.

Each is made from what it describes, so that it cannot say something else: the commands' own help, the records of the
transmission file, and the published cases that the tests run.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any, Final

import click

from countershaft.cli.main import cli
from countershaft.definitions.schema import schema_text

__all__ = ["GENERATED", "commands", "main", "stale"]

ROOT: Final = Path(__file__).parents[1]
PUBLISHED: Final = ROOT / "tests" / "published"
NOTE: Final = "<!-- Written by ./bench docs; change what it describes, not this page. -->\n"


def commands() -> Iterator[tuple[str, click.Context]]:
    """Every command with its full name and a context that prints at one width everywhere."""

    def walk(
        name: str, command: click.Command, parent: click.Context | None
    ) -> Iterator[tuple[str, click.Context]]:
        settings = {**command.context_settings, "terminal_width": 88, "max_content_width": 88}
        context = click.Context(command, info_name=name, parent=parent, **settings)
        yield context.command_path, context
        if isinstance(command, click.Group):
            for below in command.list_commands(context):
                found = command.get_command(context, below)
                assert found is not None, f"{below} is listed, so it is there"
                yield from walk(below, found, context)

    yield from walk("countershaft", cli, None)


def cli_page() -> str:
    """The reference of the commands: each with its own help."""
    parts = [
        NOTE,
        "# Commands\n",
        "Wrong input ends with exit code 1 and says what is wrong; wrong use ends with 2.\n",
    ]
    for name, context in commands():
        parts.append(f"## {name}\n\n```text\n{context.command.get_help(context)}\n```\n")
    return "\n".join(parts)


# --- validation ---------------------------------------------------------------------------------------------


VALIDATION: Final = """\
# What the results are held against

Every case below is data under `tests/published/`; the test beside it says at its top what of it is judged.
*Read*: the printed value was seen.
*Recalled*: the value is known from memory and was confirmed by computation; it is weaker evidence.
*Weak*: part of the case was settled after our own result was seen.
*Common practice*: a fact of the trade without a source.
*Ours*: it shows that nothing changed, and is no evidence from outside.
"""


def validation_page() -> str:
    """What the results are held against: every published case, its source, and how well we know the source."""
    parts = [NOTE, VALIDATION]
    for path in sorted(PUBLISHED.glob("*.json")):
        cases = _cases(path)
        held = [evidence(case) for case in cases]
        counts = ", ".join(f"{held.count(kind)} {kind}" for kind in dict.fromkeys(held))
        parts.append(f"## {path.stem.replace('_', ' ').capitalize()}\n")
        parts.append(f"{len(cases)} cases, run by `tests/published/test_{path.stem}.py`: {counts}.\n")
        parts.append("| case | what | source | evidence |\n|---|---|---|---|")
        parts.extend(_row(case, kind) for case, kind in zip(cases, held, strict=True))
        parts.append("")
    return "\n".join(parts)


def evidence(case: Mapping[str, Any]) -> str:
    """How much a case proves: read, recalled, weak, common practice, or ours."""
    said = f"{case.get('kind', '')} {case.get('check', '')}".lower()
    if any(word in said for word in ("derived", "self only", "two routes")):
        return "ours"
    if "common practice" in f"{said} {case['source']}".lower():
        return "common practice"
    if "weak" in said:
        return "weak"
    return "read" if case["seen"] == "read" else "recalled"


def _cases(path: Path) -> list[dict[str, Any]]:
    found = json.loads(path.read_text(encoding="utf-8"))
    cases: list[dict[str, Any]] = found["cases"] if isinstance(found, dict) else found
    return cases


def _row(case: Mapping[str, Any], kind: str) -> str:
    cells = (case["id"], case["title"], case["source"], kind)
    return f"| {' | '.join(cell.replace('|', '/') for cell in cells)} |"


# --- writing and comparing ----------------------------------------------------------------------------------

GENERATED: Final[dict[str, Callable[[], str]]] = {
    "docs/reference/cli.md": cli_page,
    "src/countershaft/definitions/schema.json": schema_text,
    "docs/validation.md": validation_page,
}


def stale() -> list[str]:
    """The generated files that are missing or differ from what they describe."""

    def differs(name: str, make: Callable[[], str]) -> bool:
        path = ROOT / name
        return not path.exists() or path.read_text(encoding="utf-8") != make()

    return [name for name, make in GENERATED.items() if differs(name, make)]


def main(arguments: list[str]) -> int:
    """Write the files; with --check only compare them, and answer 1 where one is stale."""
    if "--check" in arguments:
        found = stale()
        for name in found:
            print(f"{name} is stale: run ./bench docs")
        return 1 if found else 0
    for name, make in GENERATED.items():
        path = ROOT / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(make(), encoding="utf-8")
        print(f"wrote {name}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
