"""What a rule module gets when it is registered (`rules/base.py`): what it does not state, and nothing else."""

from __future__ import annotations

from types import ModuleType
from typing import Any

from support import make_catalog, make_problem, pick

from partsolver.rules import all_rules, base


def test_a_bare_module_refuses_nothing_and_needs_nothing() -> None:
    bare: Any = ModuleType("bare")
    rule = base.complete_rule(bare)
    problem = make_problem()
    (offer, *_), kept = make_catalog().tables["offers"], problem.slot("board")[0]
    assert rule is bare and rule.SUMS == () and rule.REFUSES is True
    assert rule.needs(pick(problem), problem) == ()
    assert rule.allows_offer(problem, offer, 1) is True and rule.allows_candidate(problem, kept) is True
    source: Any = None
    assert rule.allows_bundle(problem, source) is True and rule.allows_trip(problem, source, offer) is True
    assert rule.idle(problem) is False


def test_what_a_module_states_stays() -> None:
    own: Any = ModuleType("own")
    stated = {name: (lambda *given: name) for name in base.DEFAULTS} | {"SUMS": ("cost",), "REFUSES": False}
    vars(own).update(stated)
    rule = base.complete_rule(own)
    assert {name: getattr(rule, name) for name in stated} == stated


def test_only_what_states_a_function_itself_and_is_not_idle_is_asked() -> None:
    problem = make_problem()
    one, two, idle = (ModuleType(name) for name in ("one", "two", "idle"))
    vars(two)["allows_offer"] = lambda *given: False
    vars(idle).update(allows_offer=lambda *given: False, idle=lambda given: given is problem)
    rules = [base.complete_rule(module) for module in (one, two, idle)]
    assert base.choosing(problem, rules, "allows_offer") == [rules[1]]
    assert base.choosing(make_problem(), rules, "allows_offer") == rules[1:]
    assert base.choosing(problem, rules, "allows_trip") == []


def test_the_sums_that_rules_read() -> None:
    """Of the model's three sums; a rule that reads none says nothing of them."""
    read = {rule.ID: rule.SUMS for rule in all_rules() if rule.SUMS}
    assert read and {name for sums in read.values() for name in sums} <= {"time", "power", "cost"}
