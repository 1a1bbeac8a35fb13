"""Drawings as SVG text: from plain frozen records to a picture with a text alternative.

No files, clock, database or HTTP.
The same record always gives the same text, so that a drawing can be compared byte by byte.
Colours are left to the style sheet: elements carry class names only.
"""
