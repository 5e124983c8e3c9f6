"""The ranked plans equal those of a brute-force oracle that is an independent statement of the whole job,
plan for plan.

Number of worlds: ``PARTSOLVER_EXAMPLES`` (60 unless set; 2,000 with ``PARTSOLVER_FULL=1``), one third of them
by hypothesis (they shrink), the others by number (they are independent of one another).
"""

from __future__ import annotations

import os

import pytest
from hypothesis import HealthCheck, event, given, settings
from oracle import OraclePlan, ranked
from oracle_worlds import World, world_of, worlds

from partsolver.problem.problem import Problem
from partsolver.solve.recommend import recommend

FULL = os.environ.get("PARTSOLVER_FULL") == "1"
EXAMPLES = int(os.environ.get("PARTSOLVER_EXAMPLES", "2000" if FULL else "60"))
SHARES = 10  # numbered worlds are spread over this many tests


def answer(problem: Problem) -> tuple[str, list[OraclePlan]]:
    """The product's status and plans in the oracle's words."""
    outcome = recommend(problem)
    plans = [
        OraclePlan(
            plan.parts.keys, plan.draft.cost, plan.draft.time_ppm, plan.step, -(-plan.power_mw // 1000)
        )
        for plan in outcome.plans
    ]
    return outcome.status, plans


def check(world: World) -> list[OraclePlan]:
    """Both answers are equal; returns the plans."""
    problem = world.problem
    expected = ranked(problem, problem.brief.alternatives)
    status, plans = answer(problem)
    assert status == ("optimal" if expected else "impossible"), world
    assert plans == expected, world
    return plans


@settings(max_examples=max(1, EXAMPLES // 3), deadline=None, suppress_health_check=list(HealthCheck))
@given(world=worlds())
def test_ranked_plans_equal_the_oracle(world: World) -> None:
    plans = check(world)
    event("no plan" if not plans else "1-2 plans" if len(plans) < 3 else "3 or more plans")


@pytest.mark.parametrize("share", range(SHARES))
def test_ranked_plans_of_numbered_worlds_equal_the_oracle(
    share: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    if share % 2:
        # Worlds are so small that the search for bounds would never be tried.
        monkeypatch.setattr("partsolver.search.prune.SMALL", 0)
    found = [len(check(world_of(number))) for number in range(share, EXAMPLES - EXAMPLES // 3, SHARES)]
    assert len(found) < 5 or max(found) > 0  # worlds are not all without a plan
