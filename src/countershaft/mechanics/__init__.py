"""Pure engineering of a transmission: gear trains, exact where exact is possible.

Nothing here opens a file, asks the clock, touches a database, speaks HTTP, draws random numbers without a
seed argument, or knows our model of a transmission file; numbers and names go in, frozen records come out.
"""
