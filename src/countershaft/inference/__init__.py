"""What explains the symptoms: from good and bad gears to the elements that can be at fault.

Pure: no files, clock, database, HTTP or randomness, and no knowledge of our model; generic keys in, records out.
"""
