"""What a problem remembers: every field says what it reads, and only what still holds is carried over."""

from __future__ import annotations

from dataclasses import fields
from typing import get_args

from support import make_problem

from partsolver.catalog.records import Extra
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
    assert problem.store.said and problem.store.kinds.by_candidate and problem.store.arrivals
    assert problem.store.law is not None and problem.store.time_terms
    without = changed(problem, without=("board-a",)).store
    assert without.said is problem.store.said and without.views is problem.store.views
    assert without.law is problem.store.law and without.rankings is problem.store.rankings
    assert not without.arrivals and not without.in_place
    use = changed(problem, use="server").store
    assert use.said is problem.store.said and use.rankings is problem.store.rankings
    assert not use.time_terms and use.law is None and use.present_time_ppm is None
    system = changed(problem, secure_boot=True).store
    assert not system.said and not system.time_terms and system.law is None
    assert system.kinds.by_facts is problem.store.kinds.by_facts


def test_an_extra_that_cannot_be_had_any_more_is_asked_of_rules_again() -> None:
    problem = make_problem(extras=[Extra("extra-paste", "paste", kind="thermal-paste")])
    recommend(problem)
    assert problem.store.said and problem.obtainable_extras() == {"extra-paste"}
    assert not changed(problem, without=("extra-paste",)).store.said


def test_no_field_reads_what_only_a_ranking_reads() -> None:
    problem = make_problem()
    recommend(problem)
    for wishes in (
        {"budget": "1.00"},
        {"goal": "cost"},
        {"alternatives": 2, "resolution_percent": "3"},
        {"min_speedup": "1.5", "min_memory_gb": 16},
    ):
        assert changed(problem, **wishes).store is problem.store, wishes
    assert changed(problem, budget="1.00", without=("board-a",)).store is not problem.store


def test_the_same_survey_written_otherwise_keeps_all_of_it() -> None:
    problem = make_problem()
    written = problem.survey.model_copy(update={"text": "# the same, with a note"})
    other = written.model_copy(update={"drives": written.drives[:1]})
    assert changed(problem, written, budget="1.00").store is problem.store
    assert (changed(problem, other).store is problem.store) == (other.drives == problem.survey.drives)
