"""Bench sums: each takes what was typed, with units, and answers in both systems with its working and its source.

A sum asks a core for its figures; how far they may be off follows from the digits that were typed and from any ±.
"""
