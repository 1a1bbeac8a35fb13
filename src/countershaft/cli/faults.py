"""What is wrong with the input, as plain JSON."""

from __future__ import annotations

import json
from dataclasses import asdict

from countershaft.errors import CountershaftError, DefinitionError, Fault

__all__ = ["as_json", "faults_json"]


def as_json(value: object) -> str:
    """A plain value as JSON."""
    return json.dumps(value, ensure_ascii=False, indent=2)


def faults_json(error: CountershaftError, file: str) -> str:
    """Every fault of a file, or the one sentence of another error."""
    faults = (
        error.faults
        if isinstance(error, DefinitionError)
        else (Fault(key="", message=str(error), file=file),)
    )
    return as_json([asdict(fault) for fault in faults])
