"""Property checks on a person's own catalogue and survey: laws that must hold whatever the right answer
is, asked of drawn trials; what breaks one is made small and written as a folder. ``draw.py`` is the only
user of hypothesis."""
