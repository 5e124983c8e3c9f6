"""A "no" explained: the conflict is minimal and sufficient, ways out work and smaller changes do not. Brute
force."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest
from brute import Judged, drafts, possible, with_brief
from conftest import FULL
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from strategies import hard_problems, instances, minor
from support import BOARD, CASE, CPU, KIT, PSU, TODAY, combinations, make_problem, make_survey, needs_of

from partsolver.base.quantities import format_amount
from partsolver.catalog.records import Offer, Seller
from partsolver.explain.why import BLOCKING, WayOut, Why, why
from partsolver.performance.time import time_ppm
from partsolver.problem.candidates import Parts
from partsolver.problem.join import changed
from partsolver.problem.problem import Problem
from partsolver.report.why import why_text
from partsolver.rules import all_rules, rule
from partsolver.rules.base import Rule
from partsolver.wishes.brief import Brief

SOME = settings(max_examples=200 if FULL else 8)
DAY = datetime.timedelta(days=1)


def cheapest(problem: Problem) -> int | None:
    return min((draft.cost for draft in drafts(problem)), default=None)


def check_conflict(problem: Problem, found: Why) -> None:
    rules = [rule(reason.rule) for reason in found.reasons]
    if not rules:
        assert not possible(problem, []), "without a conflict not even bare parts can be bought"
        return
    assert not possible(under(problem, rules), rules), "these rules alone must leave no plan"
    for left_out in rules:
        fewer = [r for r in rules if r is not left_out]
        assert possible(under(problem, fewer), fewer), f"{left_out.ID} is not needed"


def check_released(problem: Problem, found: Why) -> None:
    """What the answer says of giving reasons up, by every combination with all other rules in force."""

    def left_without(*gone: str) -> bool:
        rest = [r for r in all_rules() if r.ID not in gone]
        return possible(under(problem, rest), rest)

    said = found.released
    if not found.reasons:
        return
    assert said is not None
    reasons = [reason.rule for reason in found.reasons]
    assert list(said.alone) == [r for r in reasons if left_without(r)]
    assert left_without(*said.together)
    assert bool(said.further) != bool(said.alone)
    for further in said.further:
        assert not left_without(*further.given_up)
        rules = [rule(r) for r in further.rules]
        assert not set(further.rules) & set(further.given_up)
        assert not possible(under(problem, rules), rules)


def under(problem: Problem, rules: Sequence[Rule]) -> Problem:
    """The problem without its demand for extras that only rules out of force may need (nobody can demand
    those)."""
    demanded = [part for part in problem.brief.including if part in problem.extras]
    if not demanded:
        return problem
    needing: dict[str, set[str]] = {extra: set() for extra in demanded}
    for parts in combinations(problem):
        for other in all_rules():
            for extra in {
                extra for need in needs_of(other, parts, problem) for extra, _ in need.options
            } & needing.keys():
                needing[extra].add(other.ID)
    idle = {extra for extra, ids in needing.items() if not ids <= {r.ID for r in rules}}
    return with_brief(problem, including=tuple(part for part in problem.brief.including if part not in idle))


def with_way(problem: Problem, way: WayOut) -> Problem:
    """The problem with a way out taken, from its words alone."""
    brief, survey = problem.brief, problem.survey
    money = {"budget": format_amount(way.plan.draft.cost)} if way.also_budget else {}
    if way.kind == "budget":
        return changed(problem, budget=way.value)
    if way.kind == "replace":
        return changed(problem, replace=(*brief.replace, way.what), **money)
    if way.kind == "need-by":
        return changed(problem, need_by=datetime.date.fromisoformat(way.value), **money)
    if way.kind == "answer":
        table, key = way.what.split(".")
        value: Any = tuple(way.value.split("+")) if key == "cpu_plugs" else way.value
        record = replace(getattr(survey, table), **{key: value})
        return changed(problem, survey.model_copy(update={table: record}), **money)
    assert way.kind == "drop-wish"
    if way.what in ("min_speedup", "min_memory_gb"):
        return changed(problem, **{way.what: None}, **money)
    if way.what == "secure_boot":
        return changed(problem, secure_boot=False, **money)
    if way.what in ("without", "with"):
        field = "including" if way.what == "with" else "without"
        return changed(problem, **{field: tuple(p for p in getattr(brief, field) if p != way.value)}, **money)
    if way.what == "os":
        return changed(
            problem, survey.model_copy(update={"os": survey.os.model_copy(update={"keep": False})}), **money
        )
    rows = tuple(row for row in getattr(survey, way.what) if row.name != way.value)
    return changed(problem, survey.model_copy(update={way.what: rows}), **money)


def check_ways(problem: Problem, found: Why) -> None:
    kinds = [(way.kind, way.what) for way in found.ways_out]
    for way in found.ways_out:
        assert way.plan.admitted
        assert cheapest(with_way(problem, way)) == way.plan.draft.cost, (way.kind, way.what, way.value)
        if way.kind == "budget":
            assert not possible(changed(problem, budget=format_amount(minor(way.value) - 1)))
        if way.kind == "need-by":
            assert not possible(changed(problem, need_by=datetime.date.fromisoformat(way.value) - DAY))
    expected = [
        ("replace", part, {"replace": (*problem.brief.replace, part)}) for part in ("psu", "case", "drive")
    ]
    expected += [("drop-wish", wish, {wish: None}) for wish in ("min_speedup", "min_memory_gb")]
    expected += [("budget", "budget", {"budget": None}), ("need-by", "need_by", {"need_by": None})]
    for kind, what, changes in expected:
        if (kind, what) not in kinds:
            assert not possible(changed(problem, **changes)), f"the way out {what} is missing"
    # What the budget alone would have to be: an answer that does not lower it is no way out.
    alone = cheapest(changed(problem, budget=None))
    most = problem.brief.budget
    if most is not None and alone is not None:
        most = format_amount(max(minor(most), alone - 1))
    for fact in BLOCKING:
        if (
            getattr(getattr(problem.survey, fact.table), fact.key) is None
            and ("answer", f"{fact.table}.{fact.key}") not in kinds
        ):
            for survey in answered(problem, fact):
                assert not possible(changed(problem, survey, budget=most)), (
                    f"the answer to {fact.key} is missing"
                )


def answered(problem: Problem, fact: Any) -> list[Any]:
    """The survey with each answer to a fact that can block a plan."""
    record = getattr(problem.survey, fact.table)
    return [
        problem.survey.model_copy(update={fact.table: replace(record, **{fact.key: value})})
        for value in fact.answers
    ]


@SOME
@given(hard_problems(), st.sampled_from([0, None]))
def test_generated_impossible_problems(problem: Problem, small: int | None) -> None:
    assume(not possible(problem))
    with pytest.MonkeyPatch.context() as patch:
        if small is not None:
            # Drawn problems are so small that bounds and search would never be tried.
            patch.setattr("partsolver.search.prune.SMALL", small)
        found = why(problem)
    assert not found.possible
    check_released(problem, found)
    check_conflict(problem, found)
    check_ways(problem, found)


@settings(max_examples=200 if FULL else 10)
@given(instances(most=2, survey_changes=3, replace=("psu", "case")), st.sampled_from(BLOCKING))
def test_an_answer_lets_only_the_rules_named_for_it_allow_more(instance: Any, fact: Any) -> None:
    """No other rule admits parts that it refused, or needs less bought, once a blocking fact is answered."""
    survey = instance.survey
    record = replace(getattr(survey, fact.table), **{fact.key: None})
    open_ = changed(instance.problem(), survey.model_copy(update={fact.table: record}))
    others = [r for r in all_rules() if r.ID not in fact.rules and not r.ID.startswith("buying.")]
    before = Judged(open_, others)
    for survey in answered(open_, fact):
        problem = changed(open_, survey)
        after = Judged(problem, others)
        for parts in combinations(problem):
            same = Parts(
                tuple(next(c for c in open_.slot(own.slot) if c.key == own.key) for own in parts.picked)
            )
            for other in others:
                (admitted, needs), (refused_too, needed_too) = (
                    after.said(other, parts),
                    before.said(other, same),
                )
                assert refused_too or not admitted, (other.ID, parts.keys)
                if admitted:
                    options = {need.key: need.options for need in needs}
                    assert all(set(options[need.key]) <= set(need.options) for need in needed_too), (
                        other.ID,
                        parts.keys,
                    )
            assert time_ppm(problem, parts) == time_ppm(open_, same)


@settings(max_examples=60 if FULL else 5)
@given(instances(most=2, min_speedup=None, min_memory_gb=None, need_by=None, budget=None))
def test_possible_problems_have_no_conflict(instance) -> None:  # type: ignore[no-untyped-def]
    problem = instance.problem()
    assume(possible(problem))
    found = why(problem)
    assert found.possible and found.reasons == () and found.ways_out == ()
    assert found.plan is not None and found.plan.draft.cost == cheapest(problem)


# (what is changed, expected conflict): each "no" can be followed by hand.
BY_HAND: dict[str, tuple[dict[str, Any], dict[str, Any], set[str]]] = {
    "too little money for any faster part": (
        {},
        {"budget": "9.00", "min_speedup": "1.1"},
        {"buying.budget", "buying.minimums"},
    ),
    "more memory wanted than any board takes": ({}, {"min_memory_gb": 256}, {"buying.minimums"}),
    "a part that is demanded does not fit the case": (
        {
            "case": replace(CASE, max_board_depth_mm=200),
            "cpu": replace(CPU, id="kept-cpu", socket="sock-0", family="fam-0"),
        },
        {"including": ("board-a",)},
        {"fit.outline", "buying.excluded"},
    ),
    "a maker's own power pinout": (
        {"psu": replace(PSU, pinout="own")},
        {"including": ("board-a",)},
        {"power.pinout", "buying.excluded"},
    ),
}


@pytest.mark.parametrize("name", BY_HAND)
def test_conflicts_followed_by_hand(name: str) -> None:
    survey, brief, expected = BY_HAND[name]
    problem = make_problem(make_survey(**survey), Brief(**{"budget": "1000.00", **brief}))
    found = why(problem)
    assert {reason.rule for reason in found.reasons} == expected
    check_released(problem, found)
    check_conflict(problem, found)
    check_ways(problem, found)


def test_the_earliest_day_that_does() -> None:
    """Board and kit arrive on day 3, the processor is sent on day 8 and arrives on day 11; wanted by day
    5."""
    offers = [
        Offer(BOARD.id, "shop", 4000),
        Offer(KIT.id, "shop", 2000),
        Offer(CPU.id, "shop", 5000, available_on=TODAY + 8 * DAY),
    ]
    brief = Brief(budget="200.00", min_speedup="1.1", need_by=TODAY + 5 * DAY)
    problem = make_problem(brief=brief, offers=offers, sellers=[Seller("shop", "Shop", delivery_days=3)])
    found = why(problem)
    assert {"buying.arrival", "buying.minimums"} <= {reason.rule for reason in found.reasons}
    check_released(problem, found)
    check_conflict(problem, found)
    check_ways(problem, found)
    way = next(way for way in found.ways_out if way.kind == "need-by")
    assert way.value == (TODAY + 11 * DAY).isoformat()


def test_a_second_conflict_is_listed_and_what_has_to_go_together() -> None:
    """The present board is broken, nothing comes in time, and nothing is cheap enough: giving up one is
    not enough."""
    offers = [Offer(part, "shop", 5000) for part in ("board-a", "cpu-a", "kit-a")]
    survey = make_survey()
    survey = make_survey(pc=survey.pc.model_copy(update={"board_works": False}))
    brief = Brief(budget="10.00", need_by=TODAY)
    problem = make_problem(survey, brief, offers=offers, sellers=[Seller("shop", "Shop", delivery_days=3)])
    found = why(problem)
    check_conflict(problem, found)
    check_released(problem, found)
    assert found.released is not None and not found.released.alone
    assert set(found.released.together) == {"buying.budget", "buying.arrival"}
    text = " ".join(why_text(found, problem).split())
    assert "without any one of them there is a plan" not in text
    assert "Even without" in text and "all at once there is a plan." in text
