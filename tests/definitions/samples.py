"""The bad files of tests/samples, each with its expected faults as comments on the faulty lines."""

from __future__ import annotations

import re
from pathlib import Path

SAMPLES = Path(__file__).parent.parent / "samples"

_FAULT = re.compile(r"\s+# fault (\d+): (.*?)(?=\s+# fault \d+: |$)")


def sample_names() -> list[str]:
    return sorted(path.name for path in SAMPLES.glob("*.yaml"))


def sample(name: str) -> tuple[str, list[tuple[int, int, str]]]:
    """The text without its comments, and (line, column, message and cure) of every fault that it must have."""
    text: list[str] = []
    faults: list[tuple[int, int, str]] = []
    for number, line in enumerate((SAMPLES / name).read_text(encoding="utf-8").splitlines(), start=1):
        faults += [(number, int(found[1]), found[2]) for found in _FAULT.finditer(line)]
        text.append(_FAULT.sub("", line))
    return "\n".join(text) + "\n", faults
