"""A document as plain text for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from countershaft.papers.blocks import Block, Document, Gauges, Heading, Pairs, Paragraph, Pictures, Table

__all__ = ["as_text"]


def as_text(document: Document, *, width: int = 100) -> str:
    """The whole document, wrapped to a width."""
    lines = [document.title, "=" * min(len(document.title), width)]
    for block in document.blocks:
        lines.extend(("", *_block(block, width)))
    return "\n".join(lines) + "\n"


def _block(block: Block, width: int) -> Iterator[str]:
    if isinstance(block, Heading):
        yield from (block.text, "-" * min(len(block.text), width))
    elif isinstance(block, Paragraph):
        yield from textwrap.wrap(block.text, width) or [""]
    elif isinstance(block, Pairs):
        label_width = max((len(label) for label, _ in block.rows), default=0)
        for label, value in block.rows:
            yield from textwrap.wrap(
                value,
                width,
                initial_indent=f"{label:<{label_width}}  ",
                subsequent_indent=" " * (label_width + 2),
            ) or [label]
    elif isinstance(block, Table):
        yield from _table(block)
    elif isinstance(block, Pictures):
        yield from (f"picture {digest[:12]}: {caption}" for digest, caption in block.pictures)
    elif isinstance(block, Gauges):
        yield from (f"{one.name}: {one.word}" for one in block.gauges)
    else:
        yield from (f"{line}: ______________________" for line in block.lines)


def _table(table: Table) -> Iterator[str]:
    rows = (table.head, *table.rows)
    widths = [max(len(row[column]) for row in rows) for column in range(len(table.head))]
    if table.caption:
        yield table.caption
    for number, row in enumerate(rows):
        yield "  ".join(
            cell.rjust(widths[column]) if column in table.right else cell.ljust(widths[column])
            for column, cell in enumerate(row)
        ).rstrip()
        if number == 0:
            yield "  ".join("-" * column_width for column_width in widths)
