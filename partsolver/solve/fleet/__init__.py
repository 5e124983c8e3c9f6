"""The joint choice of a fleet: columns of classes over shared stock, deliveries and money.

`form.py` states it once as rows of whole numbers; `relax.py` solves its linear relaxation (GLOP) for prices
and a bound, `whole.py` the same rows in whole numbers (CP-SAT); `generate.py` finds columns by price until
the bound closes (`close.py`); `goals_in_order.py` goes through the goals, `levels.py` through those of worst-first.
"""
