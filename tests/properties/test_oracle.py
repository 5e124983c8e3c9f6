"""The ranked plans equal those of a brute-force oracle that is an independent statement of the whole job, plan for plan.

Number of examples: ``PARTSOLVER_EXAMPLES`` (60 unless set); 2,000 with ``PARTSOLVER_FULL=1``.
"""

from __future__ import annotations

import os

from hypothesis import HealthCheck, event, given, settings
from oracle import OraclePlan, ranked
from oracle_worlds import World, prunes_rightly, worlds

from partsolver.model.recommend import recommend
from partsolver.problem import Problem

FULL = os.environ.get("PARTSOLVER_FULL") == "1"
EXAMPLES = int(os.environ.get("PARTSOLVER_EXAMPLES", "2000" if FULL else "60"))


def answer(problem: Problem) -> tuple[str, list[OraclePlan]]:
    """The product's status and plans in the oracle's words."""
    outcome = recommend(problem, prune=prunes_rightly(problem))
    plans = [
        OraclePlan(plan.parts.keys, plan.draft.cost, plan.draft.time_ppm, plan.step, -(-plan.power_mw // 1000))
        for plan in outcome.plans
    ]
    return outcome.status, plans


@settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck))
@given(world=worlds())
def test_ranked_plans_equal_the_oracle(world: World) -> None:
    problem = world.problem
    expected = ranked(problem, problem.brief.alternatives)
    status, plans = answer(problem)
    event("no plan" if not expected else "1-2 plans" if len(expected) < 3 else "3 or more plans")
    assert status == ("optimal" if expected else "impossible")
    assert plans == expected
