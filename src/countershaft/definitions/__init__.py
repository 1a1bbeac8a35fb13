"""Text to model and back: transmission files, their faults with line and column, and the invented files that ship.

Nothing here opens a file; text comes in and goes out.  The files that ship are read as package data.
"""
