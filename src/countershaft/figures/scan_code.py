"""The graphic of a label that a camera or a scanner reads: a QR Code symbol (ISO/IEC 18004) as SVG.

Level Q restores up to a quarter of the symbol, for a label that got oily; four modules stay free around it, as the
standard asks.
"""

from __future__ import annotations

from html import escape
from itertools import groupby
from typing import Final

import segno

__all__ = ["QUIET_MODULES", "scan_code"]

#: Free modules on each side of the symbol.
QUIET_MODULES: Final = 4


def scan_code(text: str, *, words: str) -> str:
    """The symbol that holds a text, as SVG with one unit to a module; `words` is what a screen reader says."""
    symbol = segno.make(text, error="q", micro=False, boost_error=False)
    rows = [list(map(bool, row)) for row in symbol.matrix]
    size = len(rows) + 2 * QUIET_MODULES
    path = "".join(_row(row, QUIET_MODULES + at) for at, row in enumerate(rows))
    return (
        f'<svg class="code" viewBox="0 0 {size} {size}" shape-rendering="crispEdges" role="img" '
        f'aria-label="{escape(words)}"><path class="code-paper" d="M0 0H{size}V{size}H0Z"/>'
        f'<path class="code-ink" d="{path}"/></svg>'
    )


def _row(row: list[bool], y: int) -> str:
    """The dark runs of a row, each as one bar."""
    x, bars = QUIET_MODULES, []
    for dark, run in groupby(row):
        width = len(list(run))
        if dark:
            bars.append(f"M{x} {y}h{width}v1h-{width}z")
        x += width
    return "".join(bars)
