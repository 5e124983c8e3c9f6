"""Known faults of the solver that touch models of our shape, each with a test that would notice.

Source: the faults listed in the reference "CP-SAT practice" (sections 5.1 to 5.8), by number of OR-tools' issues; the
others of that list are watched elsewhere:

- enforcement literals that do nothing (#3902): `test_solve.py`, enforced constraints are conditional;
- values read without a solution: `test_solve.py`, no value without a solution;
- overflow comes back as an invalid model: `test_solve.py`, an invalid model is a fault;
- clones that lose indexes, hints that change the answer, seeds and workers (#1145, #3948): `test_solve.py`;
- a wrong "impossible" (#5274, #5003, #5295): every "no" is refuted again by search, or without presolve
  (`solve/agreement.py`), and by the oracle in `tests/properties/test_oracle.py`;
- cores that are not minimal or wrong (#5141, #2649, #4875): `tests/properties/test_conflict.py`.
"""

from __future__ import annotations

import ast
from pathlib import Path
from typing import Any

import pytest
from oracle_worlds import world_of
from support import BOARD, POSSIBLE, make_problem, shop
from world_questions import enlarged

from partsolver.model.build import build
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.solve.answer import answer
from partsolver.wishes.brief import Brief

MODEL = Path(__file__).resolve().parents[2] / "partsolver" / "model"
# 32-bit sums in presolve gave a wrong proved optimum where Booleans of an enforced row total more (#5293, open).
MOST_ENFORCED = 2**31
MOST_ROW = 2**62


def dear(number: int) -> Problem:
    """A world whose plans cost about 10^9 minor units."""
    return enlarged(world_of(number), 200_000).problem


PROBLEMS = [shop(POSSIBLE), *(dear(number) for number in (6, 8, 24, 37))]


def rows(problem: Problem) -> list[tuple[bool, int]]:
    """(enforced, sum of |coefficient| x largest |value|) of every linear row of the whole model."""
    proto: Any = build(problem, all_rules()).model.proto
    most = [max(abs(bound) for bound in variable.domain) for variable in proto.variables]
    found = []
    for row in proto.constraints:
        if row.has_linear():
            terms = zip(row.linear.vars, row.linear.coeffs, strict=True)
            found.append((bool(list(row.enforcement_literal)), sum(abs(c) * most[v] for v, c in terms)))
    return found


@pytest.mark.parametrize("problem", PROBLEMS, ids=["shop", "6", "8", "24", "37"])
def test_no_enforced_row_is_above_32_bits_and_no_row_above_62(problem: Problem) -> None:
    found = rows(problem)
    assert found and max(total for _, total in found) < MOST_ROW
    assert max((total for enforced, total in found if enforced), default=0) < MOST_ENFORCED


def test_the_reader_of_rows_sees_large_ones() -> None:
    """The dear worlds do have rows of 10^9: of money, and none of them is enforced."""
    assert max(total for problem in PROBLEMS[1:] for _, total in rows(problem)) > 10**9


def test_no_number_of_a_model_was_cut() -> None:
    """Decimal and Fraction coefficients become whole numbers without a word (measured, 5.3), fractions in an
    objective end a solve within a gap (5.2): what is minimised is whole and equals what the parts cost."""
    problem = dear(24)
    built = build(problem, all_rules())
    proto: Any = built.model.proto
    assert not proto.HasField("floating_point_objective") if hasattr(proto, "HasField") else True
    for plan in answer(problem).plans:
        bought = [line for line in plan.draft.lines if line.offer is not None or line.slot is None]
        goods = sum(line.amount for line in bought)
        assert plan.draft.cost == goods + sum(charge for _, charge in plan.draft.deliveries)


def test_a_slot_without_a_candidate_is_said_and_not_solved() -> None:
    """An empty exactly-one is impossible without complaint (measured, 5.1): it would be a "no" without a
    reason."""
    problem = make_problem(brief=Brief(budget="100.00"))
    empty = {**problem.candidates, "board": ()}
    from dataclasses import replace

    outcome = answer(replace(problem, candidates=empty))
    assert outcome.status == "impossible" and not outcome.plans
    assert BOARD.id not in {c.key for c in empty["board"]}


# Cores hold what is no assumption (#5141), the pool is no list of the best (5.4), enumeration with an objective
# gives only what improves (5.4), pairs of gaps make an "optimal" that is none (5.8).
UNSAFE = (
    "add_assumptions",
    "add_assumption",
    "sufficient_assumptions_for_infeasibility",
    "fill_additional_solutions_in_response",
    "enumerate_all_solutions",
    "relative_gap_limit",
    "absolute_gap_limit",
    "interleave_search",
)


def test_what_is_known_to_be_wrong_is_not_used() -> None:
    used = {
        node.attr
        for path in MODEL.parent.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute)
    }
    assert not used & set(UNSAFE)
    assert "only_enforce_if" in used  # the reader sees names of the solver
