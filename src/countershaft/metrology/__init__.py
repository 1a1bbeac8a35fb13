"""Readings, their uncertainty, and what they say against a limit.

Pure: no files, clock, database, HTTP or randomness, and no knowledge of our model; numbers in, frozen records out.
"""
