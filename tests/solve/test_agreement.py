"""Two proofs of one answer: a search or a model that is wrong is never believed, whatever is asked."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

import pytest
from adversarial import adversarial, searching
from hypothesis import given, settings
from strategies import Instance, instances
from support import BOARD, CPU, POSSIBLE, make_problem, shop

from partsolver.base.errors import InternalFault
from partsolver.explain.why import why
from partsolver.explain.whynot import why_not
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.search import prune
from partsolver.search.bounds import Figures
from partsolver.search.cost_bound import CostBound
from partsolver.search.rows import Columns
from partsolver.search.search import Search
from partsolver.search.shortlist import Found
from partsolver.search.window import LEAST_EACH
from partsolver.solve import conflict
from partsolver.solve.conflict import preference, smallest_conflict
from partsolver.solve.recommend import recommend
from partsolver.solve.tradeoff import tradeoff
from partsolver.wishes.brief import Brief


@contextmanager
def posted(rule: Any, post: Callable[..., None]) -> Iterator[None]:
    """A rule with another ``post``."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(rule, "post", post)
        yield


def too_strict(rule: Any) -> Callable[..., None]:
    plain = rule.post

    def post(model: Any, picks: Any, problem: Problem, on: Any) -> None:
        plain(model, picks, problem, on)
        model.add_bool_or([])

    return post


@pytest.mark.parametrize("rule", all_rules(), ids=lambda rule: rule.ID)
def test_a_post_that_refuses_everything_is_never_believed(rule: Any) -> None:
    """Never "no plan exists, this is proved": the search holds plans that every plain rule admits."""
    for problem in (make_problem(), shop()):
        with posted(rule, too_strict(rule)):
            with pytest.raises(InternalFault, match=r"the search has .*board.* the model has no plan"):
                recommend(problem)
            with pytest.raises(InternalFault, match="differ"):
                tradeoff(problem)
            with pytest.raises(InternalFault, match="differ"):
                why(problem)


@pytest.mark.parametrize("slot, part", [("board", "board-0"), ("cpu", "cpu-3"), ("memory", "kit-2")])
def test_a_post_that_refuses_one_part_of_the_list_is_never_believed(slot: Any, part: str) -> None:
    """The k-th plan against the k-th: the model's list lacks the plans with one part."""
    problem = shop()
    assert any(part in {c.id for c in plan.parts.picked} for plan in recommend(problem).plans)
    rule = all_rules()[0]
    plain = rule.post

    def post(model: Any, picks: Any, problem: Problem, on: Any) -> None:
        plain(model, picks, problem, on)
        for candidate, literal in picks.candidates(slot):
            if candidate.id == part:
                model.add(literal == 0)

    for goal in ("speed", "cost"):
        asked = replace(problem, brief=problem.brief.model_copy(update={"goal": goal, "alternatives": 30}))
        with posted(rule, post), searching(), pytest.raises(InternalFault, match="model is too strict"):
            recommend(asked)


def test_a_post_that_lets_everything_through_is_never_believed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Too loose: the plain rules refuse the plan, or the search, which is exhausted, does not have it. (Beside so few
    boards the screening asks the plain rules first, and the model never sees the processor.)"""
    monkeypatch.setattr(prune, "FEW_BESIDE", 0)
    problem = make_problem(cpus=[CPU, replace(CPU, id="cpu-b", name="B", family="fam-9", serial_score=9000)])
    rule = next(rule for rule in all_rules() if rule.ID == "platform.support")
    with posted(rule, lambda model, picks, problem, on: None), pytest.raises(InternalFault):
        recommend(problem)
    nothing = make_problem(
        boards=[replace(BOARD, cpu_families=(("fam-9", "1.00"),))], brief=Brief(min_speedup="1.2")
    )
    assert recommend(nothing).status == "impossible"
    with (
        posted(rule, lambda model, picks, problem, on: None),
        pytest.raises(InternalFault, match=r"platform\.support"),
    ):
        recommend(nothing)


def raised(find: Callable[..., Any], by: Callable[[Any], Any]) -> Callable[..., Any]:
    return lambda *arguments, **names: by(find(*arguments, **names))


WRONG: dict[str, tuple[Any, str, Callable[[Any], Any]]] = {
    "no row of the fastest processor": (Columns, "rows_of", lambda rows: rows.selected(rows.cpu != 3)),
    "every row costs 40.00 more": (Columns, "rows_of", lambda rows: replace(rows, cost=rows.cost + 4000)),
    "the least cost of a processor": (Columns, "least_cost", lambda cost: cost + 9000),
    "the search finds one plan only": (Search, "best", lambda found: Found(found.drafts[:1], True)),
    "the search finds nothing": (Search, "fastest", lambda found: Found((), True)),
    "the cheapest is left out": (Search, "cheap", lambda found: Found(found.drafts[1:], True)),
    "the close cost of a way": (CostBound, "least_cost", lambda cost: cost + 5000),
    "what the rules need beside a row": (
        Search,
        "asked",
        lambda rows: [row._replace(cost=row.cost + 5000, floor=row.floor + 5000) for row in rows],
    ),
}


@pytest.mark.parametrize("wrong", WRONG, ids=str)
def test_a_bound_that_is_too_high_is_never_believed(wrong: str) -> None:
    """Not "optimal" with fewer or other plans: the right list, or a fault with its evidence."""
    owner, name, by = WRONG[wrong]
    for goal in ("speed", "cost"):
        problem = shop(POSSIBLE.model_copy(update={"goal": goal}))
        right = [p.parts.keys for p in recommend(problem).plans]
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(owner, name, raised(getattr(owner, name), by))
            try:
                outcome = recommend(problem)
            except InternalFault as fault:
                assert "search" in str(fault)
            else:
                assert outcome.status == "optimal" and [p.parts.keys for p in outcome.plans] == right


def test_a_screening_that_leaves_nothing_is_never_believed(monkeypatch: pytest.MonkeyPatch) -> None:
    """ "Impossible" by the bounds of single parts, against a model of the nearest candidates."""
    plain = Figures.cost_bounds
    monkeypatch.setattr(
        Figures, "cost_bounds", lambda self: {slot: bound + 10**6 for slot, bound in plain(self).items()}
    )
    problem = shop(Brief(budget="200.00", min_speedup="1.2"))
    for ask in (recommend, tradeoff, why):
        with pytest.raises(InternalFault, match=r"the search has no plan; the model has .*board-"):
            ask(problem)


def test_the_present_pc_refutes_a_no(monkeypatch: pytest.MonkeyPatch) -> None:
    """Both say that nothing is possible; "buy nothing" is admitted by every plain rule."""
    monkeypatch.setattr("partsolver.solve.ranking.screened", lambda problem, rules: None)
    with pytest.raises(InternalFault, match=r"kept-board.* is admitted"):
        recommend(make_problem())


def test_a_conflict_that_the_model_does_not_confirm_is_never_shown() -> None:
    """One rule of the conflict posts nothing, or refuses everything: the model leaves a plan where none
    should be, or none where one should."""
    problem = make_problem(brief=Brief(budget="1.00", min_speedup="1.5"))
    order = preference(all_rules())
    found = smallest_conflict(conflict.Tester(problem), order)
    assert found
    for rule in all_rules():
        if rule.ID in found:
            with posted(rule, lambda model, picks, problem, on: None), pytest.raises(InternalFault):
                smallest_conflict(conflict.Tester(problem), order)
            with posted(rule, too_strict(rule)), pytest.raises(InternalFault):
                smallest_conflict(conflict.Tester(problem), order)


def test_why_not_rests_on_both_as_well() -> None:
    problem = make_problem(brief=Brief(budget="25.00"))
    assert why_not(problem, "board-a").verdict == "ruled-out"
    rule = next(rule for rule in all_rules() if rule.ID == "buying.budget")
    with posted(rule, lambda model, picks, problem, on: None), pytest.raises(InternalFault):
        why_not(problem, "board-a")


# -- what is said of it ------------------------------------------------------------------------------------------------


def test_the_model_of_a_shown_answer_holds_enough_combinations() -> None:
    with searching():
        for wanted in (1, 3, 5):
            outcome = recommend(shop(POSSIBLE.model_copy(update={"alternatives": wanted})))
            proof = outcome.provenance.proof
            assert proof.by == ("search", "model")
            assert proof.combinations is not None
            assert proof.combinations >= min(LEAST_EACH * wanted, 4 * 4 * 3)
        found = tradeoff(shop())
    assert found.proven and found.proof.by == ("search", "model")
    assert found.proof.combinations is not None and found.proof.combinations >= LEAST_EACH


def test_a_spent_search_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """The model alone proves it then, and the answer is the same."""
    right = recommend(shop())
    monkeypatch.setattr("partsolver.search.ways.MOST_DRAFTS", 1)
    with searching():
        outcome = recommend(shop())
    assert outcome.provenance.proof.by == ("model",)
    assert [p.parts.keys for p in outcome.plans] == [p.parts.keys for p in right.plans]


def test_impossible_is_proven_by_both() -> None:
    outcome = recommend(shop(Brief(budget="20.00", min_speedup="1.5")))
    assert outcome.status == "impossible" and outcome.provenance.proof.by == ("search", "model")


@settings(max_examples=100)
@given(instances(most=2))
def test_search_and_model_agree_on_drawn_problems(instance: Instance) -> None:
    """No difference, in a narrow window and a wide one."""
    with searching():
        problem = instance.problem()
        assert recommend(problem).status in ("optimal", "impossible")


@settings(max_examples=50)
@given(adversarial(most=3))
def test_search_and_model_agree_on_hard_problems(instance: Instance) -> None:
    with searching():
        problem = instance.problem()
        shown, inner = recommend(problem), recommend(problem, shown=False)
        assert [p.parts.keys for p in shown.plans] == [p.parts.keys for p in inner.plans]
