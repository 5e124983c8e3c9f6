"""Rankings kept for other budgets: what a changed budget cannot touch is not asked again.

Of a question whose every other wish and fact is the same, three things follow from a ranking that came to its
end (a *choice* is what plan/identity.py holds for the same plan; the best plan of each is ranked):

1. *Less money, all of it still payable.* Plans only go away, and what a plan costs does not hang on the
   budget. So the best plan of every choice that is ranked stays the best of it, no plan comes in, and where
   one that takes the least time can still be paid for, the steps are counted from the same time: the ranking
   is the same. That no plan exists stays true.
2. *More money, the goal cost, as many plans as were wanted.* What comes in costs more than the old budget,
   hence more than any plan that is ranked: it comes after them.
3. *More money, the goal speed, the least time still the same, all ranked plans in the first step.* What comes
   in costs more than they do, in the first step or a later one: it comes after them. The least time has to be
   found and proven again. With less money the same holds.

A ranking also says among how many combinations the model chose (search/window.py): it is kept for the
budgets with which that number is the same.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from typing import Any, TypeVar

from partsolver.base.parallel import Beside, each
from partsolver.base.records import record
from partsolver.model.solve import Limits
from partsolver.plan.draft import Draft
from partsolver.plan.outcome import Proof
from partsolver.problem.problem import Problem
from partsolver.rules.base import Rule
from partsolver.search.pool import FAR

# More than any budget: there is none.
NO_BUDGET = FAR
# Rankings kept of a question, the last ones.
MOST_KEPT = 8
T = TypeVar("T")


@record
class Kept:
    """A ranking that came to its end.

    budget: that it was asked with; drafts, least, fastest, proof: as in `Ranking`; pays: the least budget
    that pays for all its plans and for one that takes the least time; full: whether there are as many plans
    as were wanted; first_step: whether none is slower than the first step; same_count_from: the least budget
    with which the model has as many combinations.
    """

    budget: int
    drafts: tuple[Draft, ...]
    least: int | None
    fastest: Draft | None
    pays: int
    full: bool
    first_step: bool
    proof: Proof
    same_count_from: int


class Memory:
    """The rankings that are kept of one question, whatever its budget.

    ``of``: the problem that remembers it, where the question is asked of one made from it (``about`` says
    how); ``proof_shown``: whether anybody is told among how many combinations the model chose.
    """

    def __init__(
        self,
        problem: Problem,
        rules: Sequence[Rule],
        limits: Limits,
        shown: bool,
        of: Problem | None = None,
        about: tuple[str, ...] = (),
        proof_shown: bool = True,
    ) -> None:
        wishes = problem.brief.model_dump_json(exclude={"budget"})
        self.key = (about, wishes, tuple(rule.ID for rule in rules), limits, shown, proof_shown)
        self.asked = (of or problem).store.rankings
        self.budget = NO_BUDGET if problem.budget is None else problem.budget
        self.by_cost = problem.brief.goal == "cost"
        self.proof_shown = proof_shown

    def find(self) -> Kept | None:
        """The ranking, where the budget cannot have changed it (laws 1 and 2)."""
        for kept in self._kept():
            more = self.by_cost and kept.full and bool(kept.drafts)
            if kept.pays <= self.budget and (self.budget <= kept.budget or more):
                return kept
        return None

    def find_of_least(self, least: int) -> Kept | None:
        """The ranking by speed, where the least time was proven anew and is the same (law 3)."""
        for kept in self._kept():
            payable = max((draft.cost for draft in kept.drafts), default=NO_BUDGET) <= self.budget
            if kept.least == least and kept.full and kept.first_step and payable:
                return kept
        return None

    def fastest(self) -> Draft | None:
        """The fastest plan that other budgets told and that this one pays for: a plan is one whatever else
        is paid for. None where there is none."""
        told = [kept.fastest for kept in self.asked.get(self.key, ()) if kept.fastest is not None]
        return min(
            (draft for draft in told if draft.cost <= self.budget),
            key=lambda draft: draft.time_ppm,
            default=None,
        )

    def keep(self, kept: Kept) -> None:
        """Keep a ranking of the question."""
        _remember(self.asked, [(self.key, kept)])

    def _kept(self) -> Iterable[Kept]:
        for kept in self.asked.get(self.key, ()):
            if not self.proof_shown or kept.same_count_from <= self.budget < NO_BUDGET:
                yield kept


def _remember(asked: dict[Any, tuple[Kept, ...]], rankings: Iterable[tuple[Any, Kept]]) -> None:
    """Keep rankings of some questions, the last ones of each."""
    for key, kept in rankings:
        known = asked.get(key, ())
        if not any(kept is other for other in known):
            asked[key] = (kept, *known)[:MOST_KEPT]


def each_kept(problem: Problem, tasks: Sequence[Callable[[], T]]) -> list[T]:
    """The result of every task, half of them on a second process; what either keeps of the problem's
    questions is kept here."""
    found = each([partial(_with_kept, problem, task) for task in tasks], in_both(problem))
    for _, added in found:
        _remember(problem.store.rankings, added)
    return [result for result, _ in found]


def beside_kept(problem: Problem, task: Callable[[], T]) -> Beside[tuple[T, list[tuple[Any, Kept]]]]:
    """A task on a second process, with the rankings that it keeps there (`kept_from` takes both)."""
    return Beside(partial(_with_kept, problem, task), in_both(problem))


def _with_kept(problem: Problem, task: Callable[[], T]) -> tuple[T, list[tuple[Any, Kept]]]:
    """The result of a task and the rankings that were kept meanwhile."""
    asked = problem.store.rankings
    before = dict(asked)
    result = task()
    added = [
        (key, one)
        for key, kept in asked.items()
        for one in reversed(kept)
        if not any(one is other for other in before.get(key, ()))
    ]
    return result, added


def kept_from(problem: Problem, beside: Beside[tuple[T, list[tuple[Any, Kept]]]]) -> T:
    """The result of a task on a second process; the rankings kept there are kept here."""
    result, added = beside.result()
    _remember(problem.store.rankings, added)
    return result


def in_both(problem: Problem) -> list[Any]:
    """What a plan holds that is itself in both processes: candidates, and what they are bought from."""
    candidates = [c for listed in problem.candidates.values() for c in listed]
    offers = [offer for c in candidates for offer in c.offers]
    extras = [offer for listed in problem.extra_offers.values() for offer in listed]
    return [*candidates, *offers, *extras, *problem.bundles]


__all__ = ["Kept", "Memory", "beside_kept", "each_kept", "in_both", "kept_from"]
