"""Why board and processor stay: what blocks every new board, or what a clear gain would take."""

from __future__ import annotations

from partsolver.base.records import record
from partsolver.explain.why import BLOCKING, WayOut, why
from partsolver.model.solve import Limits
from partsolver.plan.outcome import Outcome
from partsolver.problem.join import changed
from partsolver.problem.problem import Problem
from partsolver.solve.choices import CLEAR_GAINS_MILLI


@record
class Nothing:
    """Why the first plan keeps board and processor.

    bought: whether anything else is bought; open_facts: facts of the survey that block new boards until they are known; gain_milli: the clear gain
    that was asked for (thousandths); rules: the smallest conflict that stands in its way; way_out: the
    cheapest change that reaches it, None where no single change does.
    """

    bought: bool
    open_facts: tuple[str, ...]
    gain_milli: int
    rules: tuple[str, ...]
    way_out: WayOut | None


def why_nothing(problem: Problem, outcome: Outcome, limits: Limits | None = None) -> Nothing | None:
    """The reason, or None where a board or a processor is bought, or the gain is a clear one without."""
    first = outcome.plans[0]
    gain = CLEAR_GAINS_MILLI[-1]
    if not (first.parts.candidate("board").kept and first.parts.candidate("cpu").kept):
        return None
    bought = bool(first.draft.lines)
    if bought and first.speedup is not None and first.speedup.expected_milli >= gain:
        return None
    facts = tuple(
        f"{fact.table}.{fact.key}"
        for fact in BLOCKING
        if getattr(getattr(problem.survey, fact.table), fact.key) is None
    )
    if first.speedup is None:
        return Nothing(bought, facts, gain, (), None)
    wish = f"{gain // 1000}.{gain % 1000:03d}"
    answer = why(changed(problem, goal="cost", min_speedup=wish), limits)
    ways = [way for way in answer.ways_out if (way.kind, way.what) != ("drop-wish", "min_speedup")]
    cheapest = min(ways, key=lambda way: (way.plan.draft.cost, way.kind, way.what), default=None)
    return Nothing(bought, facts, gain, tuple(reason.rule for reason in answer.reasons), cheapest)
