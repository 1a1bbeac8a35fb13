"""A job as the ordered list of its entries, and the state folded from it.

Nothing is ever deleted: undo is an entry, and what contradicts is shown.
"""
