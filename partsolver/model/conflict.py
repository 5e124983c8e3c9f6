"""A smallest conflict: rules that together leave no plan, and without any one of them leave one.

QuickXplain (Junker, "QuickXplain: preferred explanations and relaxations for over-constrained problems", AAAI 2004)
over the rules' literals: every test fixes the literals of some rules to true and the others to false and solves
without an objective. The solver's own core (neither minimal nor, in some versions, right) only proposes where to look:
it is used when a test with fixed literals confirms that it leaves no plan, and the result is verified in any case.
Physical reasons are preferred: the smallest group of physics, system, money, wishes (in this order) that leaves no plan
is searched, and within it the preference order decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from partsolver.errors import InternalFault
from partsolver.model.build import Built, build
from partsolver.model.solve import Limits, Solved, proposed_core, solve
from partsolver.problem import Problem
from partsolver.rules import all_rules
from partsolver.rules.base import Rule

# Candidates from which the solver's core narrows the search first (a smaller problem is searched in full).
CORE_FROM = 150
_PREFERENCE = {"physics": 0, "system": 1, "money": 2, "wish": 3}


@dataclass
class Tester:
    """Whether a set of rules leaves a plan; answers are remembered."""

    built: Built
    limits: Limits

    def __post_init__(self) -> None:
        self._known: dict[frozenset[str], Solved] = {}
        self.solves = 0

    def solved(self, active: Sequence[str]) -> Solved:
        key = frozenset(active)
        if key not in self._known:
            trial = self.built.model.clone()
            for rule, literal in self.built.on.items():
                trial.add(literal == (1 if rule in key else 0))
            self.solves += 1
            self._known[key] = solve(trial, self.limits)
            if self._known[key].status == "unknown":
                raise InternalFault("a conflict test was not decided within the limit")
        return self._known[key]

    def core(self, active: Sequence[str]) -> list[str] | None:
        """Rules that the solver names as enough for "no plan" (a proposal, to be checked), in the given order."""
        trial = self.built.model.clone()
        for rule, literal in self.built.on.items():
            if rule not in active:
                trial.add(literal == 0)
        named = proposed_core(trial, [self.built.on[rule] for rule in active])
        self.solves += 1
        return None if named is None else [rule for rule in active if self.built.on[rule].index in named]

    def nearest(self, active: Sequence[str], missed: str) -> Solved:
        """A plan that these rules leave, as near as it can be to what the missed rule wants: the cheapest for the
        budget, the fastest for the minimums, any for the others."""
        goal = {"buying.budget": self.built.cost, "buying.minimums": self.built.time}.get(missed)
        if goal is None:
            return self.solved(active)
        trial = self.built.model.clone()
        for rule, literal in self.built.on.items():
            trial.add(literal == (1 if rule in active else 0))
        trial.minimize(goal)
        self.solves += 1
        return solve(trial, self.limits)

    def possible(self, active: Sequence[str]) -> bool:
        """Whether the rules leave a plan. Fewer rules than a set that leaves one do too; more than one that leaves
        none leave none: only what is not decided that way is solved."""
        wanted = frozenset(active)
        for known, solved in self._known.items():
            if solved.found and wanted <= known:
                return True
            if not solved.found and known <= wanted:
                return False
        return self.solved(active).found


def tester(problem: Problem, rules: Sequence[Rule] | None = None, limits: Limits | None = None) -> Tester:
    """A tester for a problem with every rule on a literal of its own (no pruning: switched-off rules revive parts)."""
    return Tester(build(problem, all_rules() if rules is None else rules, switchable=True), limits or Limits())


def preference(rules: Sequence[Rule]) -> list[str]:
    """Rule ids, those preferred as reasons first."""
    order = sorted(range(len(rules)), key=lambda i: (_PREFERENCE[rules[i].NATURE], i))
    return [rules[i].ID for i in order]


def smallest_conflict(test: Tester, order: Sequence[str]) -> tuple[str, ...]:
    """A minimal set of rules without a plan, () when all rules together leave one. Verified before it is returned."""
    if test.possible(order):
        return ()
    if not test.possible([]):
        return ()  # even without rules nothing can be picked: a slot is empty
    within = _first_group(test, order)
    if test.built.picks.size > CORE_FROM:
        core = test.core(within)
        if core is not None and not test.possible(core):
            within = core
    found = sorted(_explain(test, [], [], within), key=list(order).index)
    # Solved again in so many words, not deduced: the answer is shown to people.
    if test.solved(found).found:
        raise InternalFault(f"the conflict {found} leaves a plan")
    for rule in found:
        if not test.solved([r for r in found if r != rule]).found:
            raise InternalFault(f"the conflict {found} is not minimal: {rule} is not needed")
    return tuple(found)


def _first_group(test: Tester, order: Sequence[str]) -> list[str]:
    """The rules up to the first nature with which no plan is left."""
    nature = {rule.ID: _PREFERENCE[rule.NATURE] for rule in all_rules()}
    for most in sorted(set(nature.values())):
        group = [rule for rule in order if nature[rule] <= most]
        if group and not test.possible(group):
            return group
    return list(order)


def _explain(test: Tester, background: list[str], added: list[str], rules: list[str]) -> list[str]:
    """QuickXplain: a minimal subset of ``rules`` that conflicts with the background."""
    if added and not test.possible(background):
        return []
    if len(rules) == 1:
        return rules
    half = len(rules) // 2
    first, second = rules[:half], rules[half:]
    from_second = _explain(test, background + first, first, second)
    from_first = _explain(test, background + from_second, from_second, first)
    return from_first + from_second
