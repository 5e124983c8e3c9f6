"""Facts of what is bought that were read from a title or come from a platform row."""

from __future__ import annotations

from dataclasses import replace

from support import make_problem, pick

from partsolver.plan.complete import draft_of
from partsolver.plan.inferred import InferredFact, inferred_facts
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules

MARKS = {
    "board-a": "socket:title chipset:platform name:title mass_g:title memory_slots:maker",
    "cpu-a": "cores:title",
    "kit-a": "modules:printed",
    "cooler-a": "height_mm:title",
}


def marked(marks: dict[str, str] | None = None) -> Problem:
    problem = make_problem()
    return replace(problem, source=replace(problem.source, marks=MARKS if marks is None else marks))


def test_of_what_is_bought_what_is_inferred() -> None:
    """By part and column; the name and mass tell nothing; the cooler is not bought."""
    problem = marked()
    draft = draft_of(problem, pick(problem), all_rules())
    assert inferred_facts(problem, draft) == (
        InferredFact("boards", "board-a", "chipset", "chip-1", "platform"),
        InferredFact("boards", "board-a", "socket", "sock-1", "title"),
        InferredFact("cpus", "cpu-a", "cores", 4, "title"),
    )


def test_nothing_is_inferred_without_marks_or_catalogue() -> None:
    problem = marked({})
    draft = draft_of(problem, pick(problem), all_rules())
    assert inferred_facts(problem, draft) == ()
    assert inferred_facts(replace(problem, source=None), draft) == ()
