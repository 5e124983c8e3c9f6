"""What a problem remembers: every field says what it reads, and only what still holds is carried over."""

from __future__ import annotations

from dataclasses import fields
from typing import get_args

from support import make_problem

from partsolver.performance.present import store_of_fewer
from partsolver.problem.join import changed
from partsolver.problem.store import Reads, Store
from partsolver.solve.recommend import recommend


def test_every_field_says_what_it_reads() -> None:
    assert all(f.metadata["reads"] <= set(get_args(Reads)) for f in fields(Store))


def test_with_fewer_candidates_nothing_that_reads_them_is_kept() -> None:
    problem = make_problem()
    recommend(problem)
    kept = store_of_fewer(problem)
    for f in fields(Store):
        here, there = getattr(problem.store, f.name), getattr(kept, f.name)
        if f.name == "present_parts":
            assert there is here and here is not None
        elif "candidates" in f.metadata["reads"]:
            assert not there, f.name
        else:
            assert there is here, f.name


def test_another_wish_keeps_what_rules_about_parts_said_and_drops_what_the_wish_decides() -> None:
    problem = make_problem()
    recommend(problem)
    assert problem.store.said and problem.store.kinds.by_candidate
    goal = changed(problem, goal="cost").store
    assert goal.said is problem.store.said and goal.views is problem.store.views
    assert not goal.arrivals and goal.present_time_ppm is None and goal.law is None
    use = changed(problem, use="games").store
    assert not use.said and not use.time_terms and use.kinds.by_facts is problem.store.kinds.by_facts


def test_nothing_reads_the_budget() -> None:
    problem = make_problem()
    recommend(problem)
    assert changed(problem, budget="1.00").store is problem.store
    assert changed(problem, budget="1.00", without=("board-a",)).store is not problem.store


def test_the_same_survey_written_otherwise_keeps_all_of_it() -> None:
    problem = make_problem()
    written = problem.survey.model_copy(update={"text": "# the same, with a note"})
    other = written.model_copy(update={"drives": written.drives[:1]})
    assert changed(problem, written, budget="1.00").store is problem.store
    assert (changed(problem, other).store is problem.store) == (other.drives == problem.survey.drives)
