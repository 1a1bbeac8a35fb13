"""Texts beside a line: each as near as can be to where it belongs, none on another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from countershaft.figures.canvas import text_width

__all__ = ["InRow", "in_rows", "spread"]

_GAP = 10.0
_NEAR = 30.0


@dataclass(frozen=True, slots=True)
class InRow:
    """Where a text stands: its middle, and in which row, 0 next to what it names."""

    x: float
    row: int


def spread(
    wanted: Sequence[float], sizes: Sequence[float], low: float, high: float, gap: float
) -> list[float] | None:
    """Middles of things in a line, in the order given, as near to the wanted ones as their sizes allow.

    The sum of the squares of the moves is least.
    None where they do not fit between `low` and `high`.
    """
    if sum(sizes) + gap * (len(sizes) - 1) > high - low:
        return None
    offsets, reach = [], 0.0
    for size in sizes:
        offsets.append(reach + size / 2)
        reach += size + gap
    last = high - (reach - gap)
    runs: list[tuple[float, int]] = []
    for want, offset in zip(wanted, offsets, strict=True):
        mean, count = want - offset, 1
        while runs and runs[-1][0] > mean:
            other, others = runs.pop()
            mean, count = (mean * count + other * others) / (count + others), count + others
        runs.append((mean, count))
    starts = [min(max(mean, low), last) for mean, count in runs for _ in range(count)]
    return [start + offset for start, offset in zip(starts, offsets, strict=True)]


def in_rows(
    texts: Sequence[str], xs: Sequence[float], size: float, low: float, high: float
) -> list[InRow] | None:
    """Places of texts that name upright lines, in one row or in two; None where there is no room for them.

    In the farther row of two stands every other text, and its line runs on between the texts of the nearer row.
    """
    widths = [text_width(text, size) for text in texts]
    single = spread(xs, widths, low, high, _GAP)
    if single is not None and all(abs(x - at) <= _NEAR for x, at in zip(single, xs, strict=True)):
        return [InRow(x, 0) for x in single]
    middles = [min(max(x, low + width / 2), high - width / 2) for x, width in zip(xs, widths, strict=True)]
    for first in (0, 1):
        rows = [(place + first) % 2 for place in range(len(xs))]
        if _stands(middles, widths, rows, xs):
            return [InRow(x, row) for x, row in zip(middles, rows, strict=True)]
    return [InRow(x, 0) for x in single] if single is not None else None


def _stands(
    middles: Sequence[float], widths: Sequence[float], rows: Sequence[int], xs: Sequence[float]
) -> bool:
    """Whether no text of two rows touches another of its row, or a line that runs on to the farther row."""
    near = [
        (x - width / 2, x + width / 2)
        for x, width, row in zip(middles, widths, rows, strict=True)
        if row == 0
    ]
    far = [
        (x - width / 2, x + width / 2)
        for x, width, row in zip(middles, widths, rows, strict=True)
        if row == 1
    ]
    for row in (near, far):
        if any(right + _GAP > left for (_, right), (left, _) in pairwise(row)):
            return False
    lines = [x for x, row in zip(xs, rows, strict=True) if row == 1]
    return not any(left - _GAP / 2 < x < right + _GAP / 2 for left, right in near for x in lines)
