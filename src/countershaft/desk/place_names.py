"""Names of places in one line, short enough to read."""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["places_words"]


def places_words(names: Sequence[str], most: int = 8) -> str:
    """Places in one line; of counted places of one joint only the first and the last: F01/1 to F01/18."""
    runs: list[list[str]] = []
    for name in names:
        if runs and _follows(runs[-1][-1], name):
            runs[-1].append(name)
        else:
            runs.append([name])
    said = [run[0] if len(run) == 1 else f"{run[0]} to {run[-1].rpartition('/')[2]}" for run in runs]
    return ", ".join(said) if len(said) <= most else f"{', '.join(said[:most])} and {len(said) - most} more"


def _follows(before: str, name: str) -> bool:
    """Whether a counted place is the next one of the same joint."""
    (joint, _, number), (own, slash, mine) = before.rpartition("/"), name.rpartition("/")
    counted = bool(slash) and number.isdecimal() and mine.isdecimal()
    return counted and joint == own and int(mine) == int(number) + 1
