"""A shift matrix laid out: where its columns and its rows stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from countershaft.figures.canvas import text_width, wrap
from countershaft.figures.matrix_cells import Also, Change, Row
from countershaft.figures.spread import InRow, in_rows

__all__ = ["LINE", "ROW", "TEXT", "Sheet", "lay_out"]

TEXT = 22.0
LINE = 30.0
ROW = 52.0

_WIDTH = 780.0
_ALSO_ROW = 38.0
_LEAST, _MOST = 36.0, 84.0
_GAP = 18.0


@dataclass(frozen=True, slots=True)
class Sheet:
    """The columns at `xs` with their names, the right ends of the columns of figures, and the tops of both tables.

    `key` explains columns that are only numbered; `step_end` is 0 where there is no step.
    """

    head: tuple[str, ...]
    width: float
    xs: tuple[float, ...]
    texts: tuple[str, ...]
    names: tuple[InRow, ...]
    key: str
    ratio_end: float
    step_end: float
    top: float
    also_top: float
    also_row: float
    bottom: float


def lay_out(
    title: str,
    columns: Sequence[str],
    rows: Sequence[Row],
    shifts: Sequence[Change | None],
    also: Sequence[Also],
) -> Sheet:
    """Lay out a matrix."""
    left = 12.0 + _GAP + max(text_width(text, TEXT) for text in ("gear", *(row.gear for row in rows)))
    brakes = text_width("engine", TEXT)
    stepped = any(change and change.step is not None for change in shifts)
    step = text_width("0.000", TEXT) + _GAP if stepped else 0.0
    ratio = max(text_width(text, TEXT) for text in ("−0.000", *_ratios(rows, also)))
    right = _GAP + ratio + step + _GAP + brakes
    pitch = min((_WIDTH - left - right) / max(len(columns), 1), _MOST)
    pitch = max(pitch, _LEAST)
    width = max(_WIDTH, left + right + pitch * len(columns))
    xs = tuple(left + pitch * (place + 0.5) for place in range(len(columns)))
    ratio_end = width - brakes - _GAP - step
    texts, names, key = _names(columns, xs, left - _GAP / 2, ratio_end - ratio)
    head = tuple(wrap(title, TEXT, width, 2))
    deep = max([1, *(place.row for place in names)])
    top = LINE * (len(head) + 1 + deep) + 24.0
    end = top + ROW * len(rows)
    also_top = end + 16.0
    bottom = also_top + LINE * 1.3 + _ALSO_ROW * len(also) if also else end
    return Sheet(
        head,
        width,
        xs,
        texts,
        names,
        key,
        ratio_end,
        width - brakes - _GAP if stepped else 0.0,
        top,
        also_top,
        _ALSO_ROW,
        bottom,
    )


def _ratios(rows: Sequence[Row], also: Sequence[Also]) -> list[str]:
    said = [f"{float(row.ratio):.3f}" if row.ratio is not None else row.kind for row in rows]
    return [text.replace("-", "−") for text in (*said, *(f"{float(one.ratio):.3f}" for one in also))]


def _names(
    columns: Sequence[str], xs: Sequence[float], low: float, high: float
) -> tuple[tuple[str, ...], tuple[InRow, ...], str]:
    """Names of the elements over their columns; numbers and a key where they have no room."""
    places = in_rows(columns, xs, TEXT, low, high) if columns else []
    near = places is not None and all(abs(place.x - x) < 12.0 for place, x in zip(places, xs, strict=True))
    if places is not None and near:
        return tuple(columns), tuple(places), ""
    numbers = tuple(str(number) for number in range(1, len(columns) + 1))
    key = ", ".join(f"{number} {text}" for number, text in zip(numbers, columns, strict=True))
    return numbers, tuple(InRow(x, 0) for x in xs), key
