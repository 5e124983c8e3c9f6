"""The search, in plain Python and numpy: what can still be in a wanted plan, and a best-first search for good
ones.

Its contract, which ``solve/`` relies on and ``tests/search`` tests:

- **A bound never lies above the truth.** Every number that bounds time or cost from below (``bounds``,
``rows``, the close
  cost of ``rule_memory``) is at most that of any plan with the candidates it is about, so what a bound leaves
  out can be in no wanted plan.
- **A search is exhausted or spent, and says which.** Exhausted: every combination that the window lets
through was
  looked at or bounded out, so that what was not found does not exist. Spent: the allowance ran out, and
  nothing follows from what was not found.
"""
