"""One pure file per stage of a job: (transmission, state, entry) -> outcome, and what its page shows.

No files, clock, database or HTTP: the desk supplies time and person, loads and appends.
"""
