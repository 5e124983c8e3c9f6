"""Stand-ins: rules that do not see a slot are not asked again of another part in it; the answer is the
same."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from strategies import Instance, instances

from partsolver.plan.complete import judge
from partsolver.plan.stand_ins import _find_trial, _similar, stand_ins
from partsolver.problem.candidates import SLOTS
from partsolver.rules import all_rules
from partsolver.solve.recommend import recommend


@settings(max_examples=60)
@given(instances())
def test_every_rule_asked_again_says_the_same(instance: Instance) -> None:
    problem, rules = instance.problem(), all_rules()
    for plan in recommend(problem).plans:
        draft = plan.draft
        found = {(s.replaces, s.id): s.difference for s in plan.stand_ins}
        for slot in SLOTS:
            here = draft.parts.candidate(slot)
            if here.id is None or slot == "cpu":
                continue
            right = {
                (here.id, candidate.id): trial.cost - draft.cost
                for candidate in _similar(problem, draft, slot)
                if (trial := _find_trial(problem, draft, slot, candidate, rules, rules)) is not None
            }
            assert {key: found[key] for key in found if key[0] == here.id}.items() <= right.items()
            assert bool(right) == any(key[0] == here.id for key in found)


@settings(max_examples=30)
@given(instances())
def test_what_a_rule_refuses_whatever_the_slot_has_no_stand_in(instance: Instance) -> None:
    """A finding against the plan that no exchange of this slot can better."""
    problem, rules = instance.problem(), all_rules()
    for plan in recommend(problem).plans[:2]:
        findings = list(judge(problem, plan.draft, rules))
        sees_all = [f for f in findings if f.rule == "power.total"]
        refused = [f for f in findings if f.rule != "power.total"]
        assert sees_all
        spoilt = [*refused, *(replace(f, verdict="fails") for f in sees_all)]
        coolers = {c.id for c in problem.slot("cooler")}
        kept = [s for s in stand_ins(problem, plan.draft, rules, spoilt) if s.replaces in coolers]
        assert not kept  # power.total does not see the cooler
