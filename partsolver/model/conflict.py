"""A smallest conflict: rules that together leave no plan, and without any one of them leave one.

QuickXplain (Junker, "QuickXplain: preferred explanations and relaxations for over-constrained problems", AAAI 2004)
over the rules' literals: every test fixes the literals of some rules to true and the others to false and solves
without an objective, so the answer never rests on the solver's own cores (which are neither minimal nor, in some
versions, right). The preference order puts physical reasons first, so the conflict found prefers them to wishes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from partsolver.errors import InternalFault
from partsolver.model.build import Built, build
from partsolver.model.solve import Limits, Solved, solve
from partsolver.problem import Problem
from partsolver.rules import all_rules
from partsolver.rules.base import Rule

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

    def possible(self, active: Sequence[str]) -> bool:
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
    found = sorted(_explain(test, [], [], list(order)), key=list(order).index)
    if test.possible(found):
        raise InternalFault(f"the conflict {found} leaves a plan")
    for rule in found:
        if not test.possible([r for r in found if r != rule]):
            raise InternalFault(f"the conflict {found} is not minimal: {rule} is not needed")
    return tuple(found)


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
