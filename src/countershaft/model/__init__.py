"""Frozen typed records of a transmission, checked when they are built.

Nothing here knows text, files, SQL or HTML; a text becomes these records in `countershaft.definitions`.
"""
