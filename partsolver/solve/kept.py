"""Rankings kept for other wishes: what a changed wish cannot touch is not asked again.

Six wishes only restrict what is bought: the money, parts that must not be bought and parts that must, the least
speed-up and memory, the day (`Restrictions`; another wish is another question, and so is another extra that can be
had: a plan without it may cost less). Of a question whose every other wish and fact is the same, three things
follow from a ranking that came to its end (a *choice* is what plan/identity.py holds for the same plan; the
best plan of each is ranked):

1. *Narrower restrictions, all of it still plans for the same money.* Plans only go away, and none costs less. So the
   best plan of every choice that is ranked stays the best of it, no plan comes in, and where one that takes the
   least time still is a plan, the steps are counted from the same time: the ranking is the same. That no plan
   exists stays true. (What a plan costs does not hang on the budget; under others of the rest it is bought again.)
2. *More money, the goal cost, as many plans as were wanted.* What comes in costs more than the old budget,
   hence more than any plan that is ranked: it comes after them.
3. *More money, the goal speed, the least time still the same, all ranked plans in the first step.* What comes
   in costs more than they do, in the first step or a later one: it comes after them. The least time has to be
   found and proven again. With less money the same holds.

A ranking also says among how many combinations the model chose (search/window.py): it is kept for the
budgets with which that number is the same; under others of the rest they are counted again (`Ranking.taken`).
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import partial
from typing import Any, NamedTuple, TypeVar

from partsolver.base.parallel import Beside, each
from partsolver.base.quantities import FAR
from partsolver.base.records import record
from partsolver.model.solve import Limits
from partsolver.plan.complete import admitted, complete
from partsolver.plan.draft import Draft
from partsolver.plan.outcome import Proof
from partsolver.plan.steps import step_of
from partsolver.problem.problem import Problem
from partsolver.rules.base import Rule

# More than any budget: there is none.
NO_BUDGET = FAR
# Rankings kept of a question, the last ones.
MOST_KEPT = 64
# Questions of which rankings are kept, the last ones.
MOST_QUESTIONS = 128
# The wishes that only restrict what is bought.
RESTRICTING = {"budget", "without", "including", "min_speedup", "min_memory_gb", "need_by"}
T = TypeVar("T")


class Restrictions(NamedTuple):
    """The wishes that only restrict what is bought, as they are compared: parts and extras by id."""

    budget: int
    without: frozenset[str]
    including: frozenset[str]
    min_speedup: Fraction
    min_memory_gb: int
    need_by: datetime.date

    def within(self, wider: Restrictions) -> bool:
        """Whether nothing is allowed that others do not allow."""
        return (
            self.budget <= wider.budget
            and self.without >= wider.without
            and self.including >= wider.including
            and self.min_speedup >= wider.min_speedup
            and self.min_memory_gb >= wider.min_memory_gb
            and self.need_by <= wider.need_by
        )

    def alike(self, other: Restrictions) -> bool:
        """Whether they differ in money at most."""
        return self[1:] == other[1:]


def restrictions_of(problem: Problem, without: Iterable[str] = ()) -> Restrictions:
    """The restrictions of a problem, which also lacks some parts."""
    brief = problem.brief
    return Restrictions(
        NO_BUDGET if problem.budget is None else problem.budget,
        frozenset((*brief.without, *without)),
        frozenset(brief.including),
        Fraction(brief.min_speedup or 0),
        brief.min_memory_gb or 0,
        brief.need_by or datetime.date.max,
    )


@record
class Kept:
    """A ranking that came to its end.

    asked: what it was asked under; drafts, least, fastest, proof: as in `Ranking`; pays: the least budget
    that pays for all its plans and for one that takes the least time; full: whether there are as many plans
    as were wanted; first_step: whether none is slower than the first step; same_count_from: the least budget
    with which the model has as many combinations.
    """

    asked: Restrictions
    drafts: tuple[Draft, ...]
    least: int | None
    fastest: Draft | None
    pays: int
    full: bool
    first_step: bool
    proof: Proof
    same_count_from: int


class Memory:
    """The rankings that are kept of one question, whatever its restrictions.

    ``of``: the problem that remembers it, where the question is asked of one made from it (``about`` says
    how); ``without``: a part that this one lacks; ``proof_shown``: whether anybody is told among how many
    combinations the model chose.
    """

    def __init__(
        self,
        problem: Problem,
        rules: Sequence[Rule],
        limits: Limits,
        shown: bool,
        of: Problem | None = None,
        about: tuple[str, ...] = (),
        without: tuple[str, ...] = (),
        proof_shown: bool = True,
    ) -> None:
        wishes = problem.brief.model_dump_json(exclude=RESTRICTING)
        had = (of or problem).obtainable_extras()
        self.key = (about, wishes, had, tuple(rule.ID for rule in rules), limits, shown, proof_shown)
        self.problem, self.rules = problem, rules
        self.asked = (of or problem).store.rankings
        self.restrictions = restrictions_of(problem, without)
        self.by_cost = problem.brief.goal == "cost"
        self.proof_shown = proof_shown

    def find(self) -> Kept | None:
        """The ranking, where other money cannot have changed it (laws 1 and 2)."""
        for kept in self._of_other_money():
            more = self.by_cost and kept.full and bool(kept.drafts)
            if kept.pays <= self.restrictions.budget and (
                self.restrictions.budget <= kept.asked.budget or more
            ):
                return kept
        return None

    def find_wider(self) -> Iterator[Kept]:
        """Rankings under wider restrictions (law 1): whether all their plans still are plans is to be told, and
        among how many combinations the model would choose."""
        for kept in self.asked.get(self.key, ()):
            if self.restrictions.within(kept.asked) and not self.restrictions.alike(kept.asked):
                yield kept

    def find_of_least(self, least: int) -> Kept | None:
        """The ranking by speed, where the least time was proven anew and is the same (law 3)."""
        for kept in self._of_other_money():
            payable = (
                max((draft.cost for draft in kept.drafts), default=NO_BUDGET) <= self.restrictions.budget
            )
            if kept.least == least and kept.full and kept.first_step and payable:
                return kept
        return None

    def fastest(self) -> Draft | None:
        """The fastest plan that other budgets told and that this one pays for: a plan is one whatever else
        is paid for. None where there is none."""
        told = [kept for kept in self.asked.get(self.key, ()) if kept.asked.alike(self.restrictions)]
        return min(
            (k.fastest for k in told if k.fastest is not None and k.fastest.cost <= self.restrictions.budget),
            key=lambda draft: draft.time_ppm,
            default=None,
        )

    def still_plans(self, kept: Kept) -> bool:
        """Whether all plans of a ranking are bought just so under these wishes, and admitted."""
        problem, rules, lacking = self.problem, self.rules, self.restrictions.without

        def stands(draft: Draft) -> bool:
            return (
                all(c.id not in lacking for c in draft.parts.picked)
                and complete(problem, draft.parts, rules) == draft
                and admitted(problem, draft, rules)
            )

        return all(map(stands, kept.drafts)) and (kept.fastest is None or stands(kept.fastest))

    def keep(
        self,
        drafts: Sequence[Draft],
        least: int | None,
        fastest: Draft | None,
        wanted: int,
        proof: Proof,
        same_count_from: int,
    ) -> None:
        """Keep a ranking of the question that came to its end: fields of `Ranking`."""
        paid = [*drafts, *([] if fastest is None else [fastest])]
        resolution = Fraction(self.problem.brief.resolution_percent)
        kept = Kept(
            asked=self.restrictions,
            drafts=tuple(drafts),
            least=least,
            fastest=fastest,
            pays=max((draft.cost for draft in paid), default=0),
            full=len(drafts) == wanted,
            first_step=least is not None
            and bool(drafts)
            and step_of(max(draft.time_ppm for draft in drafts), least, resolution) == 0,
            proof=proof,
            same_count_from=same_count_from,
        )
        _remember(self.asked, [(self.key, kept)])

    def keep_here(self, kept: Kept, same_count_from: int) -> None:
        """Keep a ranking of wider restrictions that holds under these."""
        here = replace(kept, asked=self.restrictions, same_count_from=same_count_from)
        _remember(self.asked, [(self.key, here)])

    def _of_other_money(self) -> Iterable[Kept]:
        for kept in self.asked.get(self.key, ()):
            same_count = kept.same_count_from <= self.restrictions.budget < NO_BUDGET
            if kept.asked.alike(self.restrictions) and (same_count or not self.proof_shown):
                yield kept


def _remember(asked: dict[Any, tuple[Kept, ...]], rankings: Iterable[tuple[Any, Kept]]) -> None:
    """Keep rankings of some questions, the last ones of each."""
    for key, kept in rankings:
        known = asked.get(key, ())
        if not any(kept is other for other in known):
            asked.pop(key, None)
            asked[key] = (kept, *known)[:MOST_KEPT]
    while len(asked) > MOST_QUESTIONS:
        del asked[next(iter(asked))]


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


__all__ = ["Kept", "Memory", "Restrictions", "beside_kept", "each_kept", "in_both", "kept_from"]
