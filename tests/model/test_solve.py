"""The one place that runs CP-SAT: statuses, limits, reading values, and what this project relies on in
ortools."""

from __future__ import annotations

import json
import subprocess
import sys
from itertools import product
from random import Random

import pytest
from ortools.sat.python import cp_model
from support import make_problem

from partsolver.base.errors import InternalFault, NotDecided
from partsolver.explain.why import why
from partsolver.explain.whynot import why_not
from partsolver.model.build import build
from partsolver.model.solve import Limits, Solved, fixed_at_zero, solve
from partsolver.report.why import why_json, why_not_text, why_text
from partsolver.rules import all_rules
from partsolver.solve.agreement import Refutation
from partsolver.solve.recommend import first_plan, recommend
from partsolver.wishes.brief import Brief


def hard_model(size: int = 60, rows: int = 40, seed: int = 7) -> cp_model.CpModel:
    """A market-split model (Cornuejols and Dawande 1998): no solver decides it in a moment."""
    draw = Random(seed)
    model = cp_model.CpModel()
    x = [model.new_bool_var(f"x{i}") for i in range(size)]
    for _ in range(rows):
        weights = [draw.randrange(100) for _ in x]
        model.add(sum(w * v for w, v in zip(weights, x, strict=True)) == sum(weights) // 2)
    return model


def test_statuses() -> None:
    model = cp_model.CpModel()
    x = model.new_int_var(0, 9, "x")
    model.add(x >= 4)
    feasible = solve(model, Limits())
    assert feasible.found and 4 <= feasible.value(x) <= 9 and feasible.objective is None
    model.minimize(3 * x + 1)
    best = solve(model, Limits())
    assert (best.status, best.value(x), best.objective, best.bound) == ("optimal", 4, 13, 13)
    assert best.evaluate(2 * x - 1) == 7 and best.evaluate(5) == 5
    model.add(x <= 3)
    assert solve(model, Limits()).status == "impossible"


def test_negated_literals_are_read_as_negations() -> None:
    model = cp_model.CpModel()
    a, b = model.new_bool_var("a"), model.new_bool_var("b")
    model.add(a == 1)
    model.add(b == 0)
    solved = solve(model, Limits())
    assert [solved.value(v) for v in (a, ~a, b, ~b)] == [1, 0, 0, 1]  # type: ignore[arg-type]


@pytest.mark.parametrize("status", ["impossible", "unknown"])
def test_no_value_without_a_solution(status: str) -> None:
    model = cp_model.CpModel()
    x = model.new_int_var(3, 9, "x")
    if status == "impossible":
        model.add(x <= 2)
        solved = solve(model, Limits())
    else:
        solved = solve(hard_model(), Limits(deterministic_s=0.0001))
    assert solved.status == status and not solved.found and solved.values == ()
    for read in (solved.value, solved.evaluate):
        with pytest.raises(InternalFault):
            read(x)


def test_an_invalid_model_is_a_fault() -> None:
    """Sums beyond 64 bits."""
    model = cp_model.CpModel()
    x = model.new_int_var(0, 2**40, "x")
    model.add(2**40 * x >= 1)
    with pytest.raises(InternalFault, match="invalid"):
        solve(model, Limits())


def test_a_limit_is_never_a_no() -> None:
    assert solve(hard_model(), Limits(deterministic_s=0.001)).status == "unknown"
    assert solve(hard_model(), Limits(wall_s=0.01)).status == "unknown"


@pytest.mark.parametrize("limit", [0.0, 1e-9, 1e-6, 1e-5, 1e-4, 1e-3])
def test_a_tiny_limit_on_a_possible_problem_is_not_impossible(limit: float) -> None:
    problem = make_problem()
    outcome = recommend(problem, Limits(deterministic_s=limit))
    assert outcome.status in ("undecided", "best_found", "optimal")
    if outcome.status == "optimal":
        assert [p.parts.keys for p in outcome.plans] == [p.parts.keys for p in recommend(problem).plans]


def test_undecided_is_not_explained_as_impossible() -> None:
    """`why` with a limit of nothing: it says that it does not know, never that no plan exists."""
    none = Limits(deterministic_s=0.0)
    for problem in (make_problem(), make_problem(brief=Brief(budget="1.00", min_speedup="1.5"))):
        found = why(problem, none)
        assert not found.decided and not found.possible and found.reasons == () and found.proof.by == ()
        assert json.loads(why_json(found, problem))["decided"] is False
        assert "not decided" in why_text(found, problem) and "No plan exists" not in why_text(found, problem)
    with pytest.raises(NotDecided):
        first_plan(make_problem(), none)


def test_a_conflict_that_meets_the_limit_is_not_decided(monkeypatch: pytest.MonkeyPatch) -> None:
    """The limit is met while the conflict is sought, after "no plan" was proven: no fault of the program."""
    from partsolver.solve import conflict

    problem = make_problem(brief=Brief(budget="1.00", min_speedup="1.5"))
    assert why(problem).reasons and why(problem).proof.by == ("search", "model")
    # The model that confirms the conflict comes to no end.
    monkeypatch.setattr(conflict, "refute_impossible", lambda *_: Refutation(None, False))
    found = why(problem)
    assert not found.decided and found.reasons == ()
    part = why_not(problem, "board-a")
    assert part.verdict == "undecided" and "not decided" in why_not_text(part, problem)


def test_the_same_answer_for_every_seed_and_worker() -> None:
    built = build(make_problem(), all_rules())
    built.model.minimize(built.cost * 10**6 + built.time)
    values = {
        solve(built.model, Limits(seed=seed, workers=workers, permute=permute)).objective
        for seed, workers, permute in ((1, 1, False), (9, 1, True), (3, 2, False))
    }
    assert len(values) == 1


def test_a_hint_changes_nothing_but_speed() -> None:
    model = cp_model.CpModel()
    x = model.new_int_var(0, 9, "x")
    model.add(x >= 2)
    model.minimize(x)
    assert solve(model, Limits(), hint=Solved("feasible", (8,))).value(x) == 2


# -- what the project relies on in the installed ortools ---------------------------------------------------------------


def count(on_value: int, post: str) -> set[tuple[int, int]]:
    """All (x, y) in 0..2 that a constraint leaves when its enforcement literal has this value."""
    found = set()
    for x_value, y_value in product(range(3), repeat=2):
        model = cp_model.CpModel()
        x, y, on = model.new_int_var(0, 2, "x"), model.new_int_var(0, 2, "y"), model.new_bool_var("on")
        a, b = model.new_bool_var("x is 1"), model.new_bool_var("y is 1")
        for literal, variable in ((a, x), (b, y)):
            model.add(variable == 1).only_enforce_if(literal)
            model.add(variable != 1).only_enforce_if(~literal)
        posted = {
            "table": lambda: model.add_allowed_assignments([x, y], [(0, 1), (2, 2)]),
            "forbidden": lambda: model.add_forbidden_assignments([x, y], [(0, 0), (1, 2)]),
            "linear": lambda: model.add(x + 2 * y <= 2),
            "equal": lambda: model.add(x + y == 3),
            "different": lambda: model.add(x != y),
            "or": lambda: model.add_bool_or([a, b]),
            "and": lambda: model.add_bool_and([a, b]),
            "exactly one": lambda: model.add_exactly_one([a, b]),
            "at most one": lambda: model.add_at_most_one([a, b]),
        }[post]()
        posted.only_enforce_if(on)
        model.add(on == on_value)
        model.add(x == x_value)
        model.add(y == y_value)
        if solve(model, Limits()).found:
            found.add((x_value, y_value))
    return found


EVERYTHING = set(product(range(3), repeat=2))
ENFORCED = {
    "table": {(0, 1), (2, 2)},
    "forbidden": EVERYTHING - {(0, 0), (1, 2)},
    "linear": {(0, 0), (0, 1), (1, 0), (2, 0)},
    "equal": {(1, 2), (2, 1)},
    "different": {(x, y) for x, y in EVERYTHING if x != y},
    "or": {(x, y) for x, y in EVERYTHING if 1 in (x, y)},
    "and": {(1, 1)},
    "exactly one": {(x, y) for x, y in EVERYTHING if (x == 1) != (y == 1)},
    "at most one": EVERYTHING - {(1, 1)},
}


@pytest.mark.parametrize("post", ENFORCED)
def test_enforced_constraints_are_conditional(post: str) -> None:
    """OR-tools issue 3902 (2023): enforcement used to be ignored on tables without a word."""
    assert count(1, post) == ENFORCED[post]
    assert count(0, post) == EVERYTHING


def test_two_enforcement_literals_must_both_hold() -> None:
    for first, second in product((0, 1), repeat=2):
        model = cp_model.CpModel()
        x, a, b = model.new_int_var(0, 5, "x"), model.new_bool_var("a"), model.new_bool_var("b")
        model.add(x >= 3).only_enforce_if(a, b)
        model.add(a == first)
        model.add(b == second)
        model.minimize(x)
        assert solve(model, Limits()).value(x) == (3 if first and second else 0)


def test_a_clone_keeps_indices_and_leaves_the_first_model_alone() -> None:
    model = cp_model.CpModel()
    x = model.new_int_var(0, 9, "x")
    clone = model.clone()
    clone.add(x >= 7)
    clone.minimize(x)
    model.minimize(x)
    assert (solve(clone, Limits()).value(x), solve(model, Limits()).value(x)) == (7, 0)


def test_tightened_domains_name_what_cannot_be() -> None:
    model = cp_model.CpModel()
    a, b, c = (model.new_bool_var(n) for n in "abc")
    model.add_exactly_one([a, b, c])
    model.add_implication(a, c)
    assert fixed_at_zero(model) == {a.index}
    model.add_bool_and([~b, ~c])
    assert fixed_at_zero(model) is None


INTERRUPTED = """
import os, signal
from ortools.sat.python import cp_model
from partsolver.model.solve import Limits, fixed_at_zero, solve
signal.signal(signal.SIGINT, signal.default_int_handler)
for use in (lambda m: solve(m, Limits()), fixed_at_zero):
    model = cp_model.CpModel()
    model.add_bool_or([model.new_bool_var("a"), model.new_bool_var("b")])
    use(model)
    try:
        os.kill(os.getpid(), signal.SIGINT)
    except KeyboardInterrupt:
        print("given back")
"""


def test_an_interrupt_after_a_solve_is_ours() -> None:
    """The solver's own handler would end the process without a word (seen in OR-tools 9.15)."""
    done = subprocess.run([sys.executable, "-c", INTERRUPTED], capture_output=True, text=True, timeout=60)
    assert (done.returncode, done.stdout.split("\n")[:2]) == (0, ["given back"] * 2)
