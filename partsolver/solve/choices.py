"""Plans that differ: the short answer beside the exact list of next-best plans.

The next-best plans of a ranking mostly differ in a board's name. What an owner chooses between is another
thing: the best for the money, the least money for a clear gain, only memory, or nothing. Each of these is the
first plan of a problem of its own, so each is proven as the list is.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction

from partsolver.base.quantities import round_half_up
from partsolver.base.records import record
from partsolver.model.solve import Limits
from partsolver.performance.present import store_of_fewer
from partsolver.plan.choices import Choice, Choices, Kind
from partsolver.plan.keeping import with_keeping
from partsolver.plan.make import make_plan
from partsolver.plan.outcome import CompletePc, Outcome, Plan
from partsolver.problem.candidates import SLOTS, SlotName
from partsolver.problem.join import changed
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.solve.kept import Memory
from partsolver.solve.ranking import Progress, no_progress
from partsolver.solve.recommend import recommend
from partsolver.solve.replaced import with_replaced

# Speed-ups that count as a clear gain, thousandths, the clearest first: half the time, two thirds, four
# fifths (judgement; a change of duration of about a fifth is what people notice: common practice in usability
# work).
CLEAR_GAINS_MILLI = (2000, 1500, 1250)
# A clear gain is shown when it saves at least this share of the first plan's money (judgement).
LEAST_SAVING_PERCENT = 10


@record
class Sought:
    """The plans of a short answer that can be sought before its first plan is known.

    gains: by gain in thousandths the cheapest plan that reaches it, None where there is none; the clearest
    first, up to the first that a plan reaches.
    """

    fastest: Choice | None
    gains: Mapping[int, Choice | None]
    memory_only: Choice | None
    keep: Choice | None


def sought(problem: Problem, limits: Limits) -> Sought:
    """The plans that differ, each the first plan of a problem of its own."""
    gains: dict[int, Choice | None] = {}
    for gain in _gains_wanted(problem):
        gains[gain] = _cheapest_with(problem, gain, problem.budget, limits)
        if gains[gain] is not None:
            break
    return Sought(_fastest(problem, limits), gains, _memory_only(problem, limits), _keep(problem, limits))


def choices(
    problem: Problem,
    outcome: Outcome,
    limits: Limits | None = None,
    progress: Progress = no_progress,
    known: Callable[[], Sought] | None = None,
) -> Choices:
    """The plans of the short answer, ranked: the first, a clear gain, memory only, the complete PC, keep.

    ``outcome``: the answer to the problem, with at least one plan; ``known``: gives what was sought already.
    Plans that turn out to be the same are one choice with several kinds.
    """
    limits = limits or Limits()
    first = outcome.plans[0]
    before = known() if known is not None else None
    wanted: tuple[Callable[[], Choice | None], ...] = (
        lambda: Choice(("first",), first, outcome.status == "optimal"),
        lambda: before.fastest if before else _fastest(problem, limits),
        lambda: _clear_gain(problem, first, limits, before.gains if before else {}),
        lambda: before.memory_only if before else _memory_only(problem, limits),
        lambda: before.keep if before else _keep(problem, limits),
    )
    found: list[Choice] = []
    for done, look in enumerate(wanted):
        progress(done, len(wanted))
        choice = look()
        if choice is None:
            continue
        same = next((i for i, there in enumerate(found) if _same(there.plan, choice.plan)), None)
        if same is None:
            found.append(choice)
        else:
            kinds, gain = (*found[same].kinds, *choice.kinds), max(found[same].gain_milli, choice.gain_milli)
            found[same] = replace(found[same], kinds=kinds, gain_milli=gain)
    return _ranked(problem, found, _complete_pc(outcome), limits)


def _same(a: Plan, b: Plan) -> bool:
    return a.parts.keys == b.parts.keys and a.draft.cost == b.draft.cost


def _best(
    kind: Kind, problem: Problem, limits: Limits, of: Problem, with_stand_ins: bool = True
) -> Choice | None:
    """The first plan of a problem made of another one (``of``)."""
    memory = Memory(problem, all_rules(), limits, True, of, (kind,), proof_shown=False)
    outcome = recommend(problem, limits, with_stand_ins=with_stand_ins, memory=memory)
    return Choice((kind,), outcome.plans[0], outcome.status == "optimal") if outcome.plans else None


def _fastest(problem: Problem, limits: Limits) -> Choice | None:
    if problem.brief.goal == "speed":
        return None
    return _best("fastest", changed(problem, goal="speed", alternatives=1), limits, problem)


def _gains_wanted(problem: Problem) -> tuple[int, ...]:
    """The gains that count where the wishes ask for no more, the clearest first."""
    if problem.brief.goal == "cost":
        return ()
    wanted = problem.brief.min_speedup
    least = 1000 if wanted is None else round_half_up(1000 * Fraction(wanted))
    return tuple(gain for gain in CLEAR_GAINS_MILLI if gain > least)


def _clear_gain(
    problem: Problem, first: Plan, limits: Limits, known: Mapping[int, Choice | None]
) -> Choice | None:
    """The cheapest plan that reaches the clearest gain for noticeably less money than the first plan."""
    if first.speedup is None:
        return None
    # Only what saves enough is wanted: with no more money than that less is to be looked through.
    most = first.draft.cost * (100 - LEAST_SAVING_PERCENT) // 100
    for gain in _gains_wanted(problem):
        if gain >= first.speedup.expected_milli:
            continue
        found = known[gain] if gain in known else _cheapest_with(problem, gain, most, limits)
        if found is not None and found.plan.draft.cost <= most:
            return found
    return None


def _cheapest_with(problem: Problem, gain: int, most: int | None, limits: Limits) -> Choice | None:
    """The cheapest plan with a gain, for at most so much."""
    asked = changed(problem, goal="cost", min_speedup=f"{gain // 1000}.{gain % 1000:03d}", alternatives=1)
    found = _best("clear-gain", replace(asked, budget=most), limits, problem, with_stand_ins=False)
    if found is None:
        return None
    # What is said of the plan is said against the owner's own budget.
    plan = make_plan(asked, found.plan.draft, all_rules(), 1, 0, None)
    return replace(found, plan=plan, gain_milli=gain)


def _memory_only(problem: Problem, limits: Limits) -> Choice | None:
    found = _best("memory-only", _restricted(problem, "memory"), limits, problem)
    return None if found is None or found.plan.parts.unchanged else found


def _keep(problem: Problem, limits: Limits) -> Choice | None:
    found = _best("keep", _restricted(problem), limits, problem)
    return found if found is not None and found.plan.parts.unchanged else None


def _restricted(problem: Problem, *free: SlotName) -> Problem:
    """The problem in which every slot but the free ones keeps what it has."""
    left = {
        slot: problem.slot(slot) if slot in free else tuple(c for c in problem.slot(slot) if c.kept)
        for slot in SLOTS
    }
    brief = problem.brief.model_copy(update={"alternatives": 1})
    return replace(problem, candidates=left, brief=brief, store=store_of_fewer(problem))


def _complete_pc(outcome: Outcome) -> CompletePc | None:
    """The fastest complete PC that beats the first plan on time or on cost."""
    first = outcome.plans[0].draft
    better = (pc for pc in outcome.complete_pcs if pc.time_ppm < first.time_ppm or pc.cost < first.cost)
    return next(better, None)


def _ranked(problem: Problem, found: list[Choice], complete_pc: CompletePc | None, limits: Limits) -> Choices:
    """The choices with their place in the answer; the complete PC stands before keeping."""
    last = bool(found) and found[-1].kinds == ("keep",)
    pc_rank = 0 if complete_pc is None else len(found) + (0 if last else 1)
    ranks = [i + 1 + (complete_pc is not None and i + 1 >= pc_rank) for i in range(len(found))]
    plans = tuple(
        replace(choice.plan, rank=rank, equal_to_previous=False)
        for choice, rank in zip(found, ranks, strict=True)
    )
    outcome = Outcome("optimal", plans, None, None, None)  # type: ignore[arg-type]
    told = with_replaced(problem, with_keeping(problem, outcome), limits).plans
    return Choices(
        tuple(replace(choice, plan=plan) for choice, plan in zip(found, told, strict=True)),
        complete_pc,
        pc_rank,
    )


__all__ = ["CLEAR_GAINS_MILLI", "Sought", "choices", "sought"]
