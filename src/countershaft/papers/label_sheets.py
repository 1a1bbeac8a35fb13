"""Labels as sheets for a printer: twenty-four to a sheet that fits on A4 and on US letter alike.

A sheet is 189 mm wide and 256 mm high, so that 10 mm stay free on either paper.  Label and code are drawn in
millimetres; the browser prints them in their size at a scale of 100 %.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Final

from countershaft.figures.scan_code import scan_code
from countershaft.job.tags import Tag
from countershaft.papers.labels import Label

__all__ = ["PER_SHEET", "label_document", "label_sheets"]

PER_SHEET: Final = 24

#: The same measures stand in the pages' own style sheets; here they make a file that stands alone.
_STYLE: Final = """\
@page { margin: 10mm; }
* { box-sizing: border-box; margin: 0; padding: 0; }
body { font-family: Barlow, "DejaVu Sans Condensed", "Liberation Sans", sans-serif; color: #000; background: #fff; }
.label-sheet { display: grid; grid-template-columns: repeat(3, 63mm); grid-auto-rows: 32mm; break-after: page; }
.label-sheet:last-child { break-after: auto; }
.label { display: flex; align-items: center; overflow: hidden; border: 0.2mm dashed #8a8a8a; break-inside: avoid; }
.code { flex: none; width: 28mm; height: 28mm; }
.code-paper { fill: #fff; }
.code-ink { fill: #000; }
.code * { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
.label-text { min-width: 0; padding: 1mm 1mm 1mm 0; font-size: 8pt; line-height: 1.15; overflow-wrap: anywhere; }
.label-title { font-size: 10pt; font-weight: 600; }
.label-code { margin-top: 1mm; font-weight: 600; }
"""


def label_sheets(labels: Sequence[Label], address: str) -> str:
    """Labels as HTML, sheet by sheet; each code leads to its page below `address`, such as http://192.168.1.5:8765."""
    sheets = [labels[start : start + PER_SHEET] for start in range(0, len(labels), PER_SHEET)]
    return "\n".join(
        f'<div class="label-sheet">\n{"".join(_label(one, address) for one in sheet)}</div>'
        for sheet in sheets
    )


def label_document(title: str, labels: Sequence[Label], address: str) -> str:
    """Labels as a file of its own."""
    return (
        f'<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n<title>{escape(title)}</title>\n'
        f"<style>\n{_STYLE}</style>\n</head>\n<body>\n{label_sheets(labels, address)}\n</body>\n</html>\n"
    )


def _label(label: Label, address: str) -> str:
    lines = "".join(f"<p>{escape(_short(line))}</p>" for line in label.lines)
    return (
        f'<div class="label">{_graphic(label.tag, address)}<div class="label-text">'
        f'<p class="label-title">{escape(_short(label.title, 56))}</p>{lines}'
        f'<p class="label-code">{escape(label.tag.code)}</p></div></div>\n'
    )


def _graphic(tag: Tag, address: str) -> str:
    return scan_code(address.rstrip("/") + tag.path, words=f"Code {tag.code}")


def _short(words: str, most: int = 44) -> str:
    """Words that fit on their label; the whole of them stands on the page that the code opens."""
    return words if len(words) <= most else f"{words[: most - 1].rstrip()}…"
