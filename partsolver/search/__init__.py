"""The search, in plain Python and numpy: what can still be in a wanted plan, and a best-first search for the
first ones.

Its contract, which ``solve/`` relies on and ``tests/search`` tests:

- **A bound never lies above the truth.** Every number that bounds time or cost from below (``bounds``,
  ``rows``, ``ways``, ``cost_bound``) is at most that of any plan with the candidates it is
  about, so what a bound leaves out can be in no wanted plan.
- **A search is exhausted or spent, and says which** (``shortlist.Found.exhausted``). Exhausted: every
  combination that the limits let through was looked at or bounded out, so that the plans found are the first
  there are, and what was not found does not exist. Spent: the allowance ran out (or there were more rows than
  are looked at), and nothing follows from what was not found. The plans found are plans either way: bought
  and judged by every plain rule.

What a person sees rests on the search and on CP-SAT, compared both ways (``solve/agreement.py``).
"""
