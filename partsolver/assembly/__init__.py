"""Facts about parts put together: what runs at which rate, what goes into which slot, what draws how much.

Pure functions of survey, catalogue records and settings; no verdicts (those are the rules') and no solver.
"""
