"""What must come before what, and which part to choose.

Pure: no files, clock, database, HTTP or randomness, and no knowledge of our model; generic keys in, orders out.
"""
