"""The look for a conflict: which tests it makes, and by what they are decided."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from brute import possible
from support import TODAY, make_problem

from partsolver.problem.candidates import Parts
from partsolver.rules import all_rules, rule
from partsolver.solve import conflict
from partsolver.solve.conflict import BOUNDED, preference, released, smallest_conflict
from partsolver.wishes.brief import Brief


class Counting(conflict.Tester):
    """Counts the tests that are made, and those that leave no plan (of the others many are decided by parts that
    are known)."""

    made = none = 0

    def decide(self, active: Sequence[str]) -> Parts | None:
        found = super().decide(active)
        self.made += 1
        self.none += found is None
        return found


IMPOSSIBLE = make_problem(brief=Brief(budget="1.00", min_speedup="1.5"))


def test_rules_that_the_bounds_know_decide_most_tests() -> None:
    """What holds a small set that is known to leave no plan is not asked again."""
    test = Counting(IMPOSSIBLE)
    found = smallest_conflict(test, preference(all_rules()))
    assert found == ("buying.budget", "buying.minimums") and set(found) < set(BOUNDED)
    # All rules, those of the bounds, the conflict within them: QuickXplain alone makes eleven of them.
    assert test.none <= 3


def test_a_test_that_the_search_decides_needs_no_model(monkeypatch: pytest.MonkeyPatch) -> None:
    """At 20,000 parts CP-SAT took minutes for what the search had looked at to the end."""

    def no_model(*_: object) -> None:
        raise AssertionError("a model was built")

    right = smallest_conflict(conflict.Tester(IMPOSSIBLE), preference(all_rules()))
    monkeypatch.setattr(conflict, "build", no_model)
    assert smallest_conflict(conflict.Tester(IMPOSSIBLE), preference(all_rules())) == right


def test_what_was_found_elsewhere_is_believed() -> None:
    """Neither all rules nor all but one are asked again where a recommendation has told."""
    order = preference(all_rules())
    without = [rule for rule in order if rule != "buying.minimums"]
    told, plain = Counting(IMPOSSIBLE), Counting(IMPOSSIBLE)
    told.know_none(order)
    told.know_cheapest(without, plain.cheapest(without))
    first = smallest_conflict(told, order)
    assert first == smallest_conflict(plain, order)
    assert told.made < plain.made
    assert released(told, order, first) == released(plain, order, first)


def test_few_rules_grow_by_what_refuses_their_plan() -> None:
    """Where the rules that the bounds know leave a plan, those that refuse it are asked as well."""
    problem = make_problem(brief=Brief(min_speedup="1.2", need_by=TODAY))
    order = preference(all_rules())
    assert possible(problem, [rule(one) for one in BOUNDED]) and not possible(problem)
    few = conflict._few_without_a_plan(conflict.Tester(problem), order)
    assert set(BOUNDED) < set(few) and len(few) < 10
    assert not possible(problem, [rule(one) for one in few])
    test = Counting(problem)
    assert smallest_conflict(test, order) == ("buying.arrival", "buying.minimums")
    assert test.none <= 4


def test_no_few_rules_where_all_leave_a_plan() -> None:
    assert conflict._few_without_a_plan(conflict.Tester(make_problem()), preference(all_rules())) == []
