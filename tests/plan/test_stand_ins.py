"""Stand-ins: rules that do not see a slot are not asked again of another part in it; the answer is the
same."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import assume, given, settings
from hypothesis import strategies as st
from strategies import Instance, instances

from partsolver.catalog.records import Offer
from partsolver.plan.complete import admitted, allowed_by, judge
from partsolver.plan.cooler_choice import all_needs, needs_to_buy
from partsolver.plan.draft import Draft
from partsolver.plan.purchase import cheapest
from partsolver.plan.stand_ins import MOST_STAND_INS, _find_trial, _similar, stand_ins
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


@settings(max_examples=60)
@given(instances(), st.lists(st.tuples(st.integers(0, 9), st.sampled_from([150, 200, 490, 900])), min_size=8))
def test_the_cheapest_extras_stand_in(instance: Instance, drawn: list[tuple[int, int]]) -> None:
    """The first three of all that would do, each bought with the whole order again."""
    sellers = [seller.id for seller in instance.tables["sellers"]]
    extras = instance.tables["extras"]
    assume(extras)
    copies, offers = [], list(instance.tables["offers"])
    for number, (which, price) in enumerate(drawn):
        extra = extras[which % len(extras)]
        copies.append(replace(extra, id=f"{extra.id}-{number}"))
        offers.append(Offer(copies[-1].id, sellers[number % len(sellers)], price))
    problem, rules = instance.with_tables(extras=[*extras, *copies], offers=offers).problem(), all_rules()
    allowed = allowed_by(problem, rules)
    for plan in recommend(problem).plans[:2]:
        draft = plan.draft
        needs = needs_to_buy(all_needs(problem, draft.parts, rules))
        for line in draft.lines:
            if line.need is None or line.offer is None:
                continue
            right = []
            for extra_id, quantity in line.need.options:
                only = [
                    replace(need, options=((extra_id, quantity),)) if need == line.need else need
                    for need in needs
                ]
                basket = cheapest(problem, draft.parts, only, allowed)
                if extra_id == line.item or basket is None:
                    continue
                trial = Draft(draft.parts, basket.lines, basket.deliveries, basket.cost, draft.time_ppm)
                if admitted(problem, trial, rules):
                    right.append((basket.cost - draft.cost, extra_id))
            found = [(s.difference, s.id) for s in plan.stand_ins if s.replaces == line.item]
            assert found == sorted(right)[:MOST_STAND_INS]
