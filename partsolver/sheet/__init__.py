"""The bench sheet as data: what is done in which order for one plan, and what its pictures show.

No sentences here (those are in report/), no file, no clock.
"""
