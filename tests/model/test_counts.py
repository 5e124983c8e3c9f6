"""What each rule alone leaves, against brute force over whole small catalogues.

Rules about parts (and the minimums): a candidate is left when the rule admits some combination with it. Rules
about
buying: when the candidate alone, everything else kept, can be bought as the rule says.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from brute import Judged
from conftest import FULL
from hypothesis import given, settings
from strategies import Instance, instances
from support import CPU, combinations, make_problem, make_survey

from partsolver.catalog.load import load_catalog
from partsolver.catalog.records import Bundle, Offer
from partsolver.performance.present import present_time_ppm
from partsolver.performance.time import time_ppm
from partsolver.plan.complete import judge
from partsolver.plan.draft import Draft
from partsolver.plan.outcome import RuleCount
from partsolver.problem.candidates import SLOTS, Candidate, Parts
from partsolver.problem.join import join
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules, rule
from partsolver.solve.counts import COUNTED, count_rules, left_by
from partsolver.survey.load import load_survey
from partsolver.survey.model import Pc
from partsolver.wishes.brief import Brief

DEMO = Path(__file__).resolve().parents[2] / "catalogs" / "demo"


def _charge(problem: Problem, offer: Offer, quantity: int) -> int:
    seller = problem.sellers[offer.seller]
    amount = offer.price * quantity
    return amount + (0 if seller.free_from is not None and amount >= seller.free_from else seller.delivery)


# rule id: whether one offer of a candidate will do
BUYING: dict[str, Callable[[Problem, Offer, int], bool]] = {
    "buying.budget": lambda p, o, n: p.budget is None or _charge(p, o, n) <= p.budget,
    "buying.stock": lambda p, o, n: o.stock is None or o.stock >= n,
    "buying.arrival": lambda p, o, n: p.brief.need_by is None or p.arrival(o) <= p.brief.need_by,
    "buying.valid": lambda p, o, n: o.valid_until is None or o.valid_until >= p.today,
    "buying.order": lambda p, o, n: o.price * n >= p.sellers[o.seller].minimum_order,
}


def _wished(problem: Problem, candidate: Candidate) -> bool:
    """Not excluded, and a demanded one where this slot has a demanded one."""

    def ids(c: Candidate) -> set[str]:
        with_kept = c.slot == "memory" and c.part.with_kept  # type: ignore[union-attr]
        return {c.key if c.id is None else c.id} | ({"kept-memory"} if with_kept else set())

    brief = problem.brief
    demanded = any(ids(c) & set(brief.including) for c in problem.slot(candidate.slot))
    return not ids(candidate) & set(brief.without) and (
        not demanded or bool(ids(candidate) & set(brief.including))
    )


def _ways_to_buy(problem: Problem, candidate: Candidate) -> list[tuple[Any, int]]:
    """Offers with how many are taken; a set of nothing else, where only that sells the part in this state."""
    if candidate.offers:
        return [(offer, candidate.quantity) for offer in candidate.offers]
    only = ((candidate.id, candidate.quantity),)
    return [(bundle, 1) for bundle in problem.bundles if bundle.items == only]


def plain(problem: Problem, rule_id: str) -> RuleCount:
    left: dict[str, set[str]] = {slot: set() for slot in COUNTED}
    if rule_id == "buying.excluded":
        left = {slot: {c.key for c in problem.slot(slot) if _wished(problem, c)} for slot in COUNTED}
    elif rule_id in BUYING:
        will_do = BUYING[rule_id]
        left = {
            slot: {
                c.key
                for c in problem.slot(slot)
                if c.id is None or any(will_do(problem, o, n) for o, n in _ways_to_buy(problem, c))
            }
            for slot in COUNTED
        }
    else:
        # What the rule says of parts, whether they can be bought together or not (one may be sold only inside
        # a bundle).
        rules = [rule(rule_id)]
        judged = Judged(problem, rules)
        for parts in combinations(problem):
            bare = Draft(parts, (), (), 0, time_ppm(problem, parts))
            if judged.admits(parts) and (
                rule_id != "buying.minimums" or all(f.admits for f in judge(problem, bare, rules))
            ):
                for slot in COUNTED:
                    left[slot].add(parts.candidate(slot).key)
    return RuleCount(rule_id, len(left["board"]), len(left["cpu"]), len(left["memory"]))


def check(problem: Problem) -> None:
    totals = tuple(len(problem.slot(slot)) for slot in COUNTED)
    expected = [plain(problem, rule.ID) for rule in all_rules()]
    restricting = [c for c in expected if (c.boards, c.cpus, c.memory) != totals]
    found = count_rules(problem)
    assert sorted(found, key=lambda c: c.rule) == sorted(restricting, key=lambda c: c.rule)
    products = [c.boards * c.cpus * c.memory for c in found]
    assert products == sorted(products), "most restrictive first"


@settings(max_examples=60 if FULL else 4)
@given(instances(most=2, survey_changes=3))
def test_counts_equal_brute_force(instance: Instance) -> None:
    check(instance.problem())


def test_a_state_of_a_part_that_only_a_set_sells_is_left() -> None:
    """A processor with its boxed cooler only in a set of one: a candidate without offers."""
    one = Bundle("set", "set", "parts", (("cpu-a", 1),), "shop", 400, boxed_cooler=True)
    bare = make_problem(cpus=[replace(CPU, boxed_cooler=False)], bundles=[one])
    assert any(c.id and not c.offers for c in bare.slot("cpu"))
    check(bare)


def test_what_only_case_analysis_rules_out() -> None:
    """Without graphics of its own a processor gives no picture on either of two boards, so it is never
    left."""
    survey = make_survey(pc=Pc(name="test PC", cpu_works=False))
    check(make_problem(survey, cpus=[CPU, replace(CPU, id="cpu-b", graphics_score=0)]))


@pytest.mark.parametrize(
    "wishes",
    [
        {"budget": "25.00", "min_speedup": "1.3", "min_memory_gb": 8},
        {"without": ("kept-board",)},
        {"without": ("kept-memory",), "including": ("cpu-a",)},
    ],
)
def test_the_base_catalogue(wishes: dict[str, object]) -> None:
    check(make_problem(brief=Brief(**{"budget": "100.00", **wishes})))  # type: ignore[arg-type]


@pytest.mark.skipif(not FULL, reason="half a minute of plain loops")
def test_the_demo_catalogue_by_plain_loops() -> None:
    """A catalogue of real size: every board x processor x memory of the demo, against the wanted speed-up."""
    survey, brief = load_survey(DEMO.with_name("demo-survey.toml"))
    problem = join(survey, load_catalog(DEMO), brief.model_copy(update={"min_speedup": "3.5"}))
    now = present_time_ppm(problem)
    assert now is not None
    rest = tuple(next(c for c in problem.slot(slot) if c.kept) for slot in SLOTS[3:])
    left: dict[str, set[str]] = {slot: set() for slot in COUNTED}
    for picked in product(*(problem.slot(slot) for slot in COUNTED)):
        if not all(c.key in left[c.slot] for c in picked) and 2 * now >= 7 * time_ppm(
            problem, Parts((*picked, *rest))
        ):
            for c in picked:
                left[c.slot].add(c.key)
    assert left_by(problem, rule("buying.minimums")) == {slot: len(left[slot]) for slot in COUNTED}


def test_a_board_in_a_set_with_a_processor_of_another_socket_is_left_by_the_rules_about_parts() -> None:
    """The set cannot be used, and the board is sold nowhere else; the socket alone does not refuse it all the
    same."""
    other = replace(CPU, id="cpu-b", socket="sock-2")
    offers = [Offer(part="cpu-a", seller="shop", price=1000), Offer(part="kit-a", seller="shop", price=1000)]
    problem = make_problem(
        cpus=[CPU, other],
        offers=offers,
        bundles=[Bundle("set", "Set", "parts", (("board-a", 1), ("cpu-b", 1)), "shop", 1800)],
    )
    assert left_by(problem, rule("platform.socket"))["board"] == 2  # the kept one, and board-a beside cpu-a
    check(problem)
