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
    read = {rule.ID: rule.SUMS for rule in all_rules() if rule.SUMS}
    assert read == {"buying.budget": ("cost",), "buying.minimums": ("time",), "power.total": ("power",)}


# What slows the PC down, costs a lead or a look, or is said: nothing of it stops anybody from buying.
REMARKS = """
fit.cooler_memory memory.channels memory.mixing memory.os_limit memory.rate os.usb_driver platform.board_age
platform.used_board ports.fans ports.front_audio ports.front_panel ports.front_usb power.lead_reach power.low_load
storage.accessories storage.encryption storage.link
"""


def test_which_rules_only_say_something() -> None:
    """Every other rule is asked by the searches; these never are, so a refusal of theirs would never be heard."""
    assert {rule.ID for rule in all_rules() if not rule.REFUSES} == set(REMARKS.split())
