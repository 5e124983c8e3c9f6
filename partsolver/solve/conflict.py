"""A smallest conflict: rules that together leave no plan, and without any one of them leave one.

QuickXplain (Junker, "QuickXplain: preferred explanations and relaxations for over-constrained problems", AAAI
2004) over the rules: a test asks whether a plan is left when only some of them are in force. The pruning
(search/prune.py) or a plain search decides most tests; what they leave open a model of those rules decides,
without an objective. No core that the solver names is used (they need not be minimal), and the result is
tested again before it is returned. Physical reasons are preferred: the smallest group of physics, system,
money, wishes (in this order) that leaves no plan is searched, and within it the preference order decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from partsolver.base.errors import InternalFault
from partsolver.model.build import build
from partsolver.model.solve import Limits, solve
from partsolver.performance.present import present_parts, store_of_fewer
from partsolver.plan.complete import complete, judge
from partsolver.plan.outcome import Plan
from partsolver.problem.candidates import Parts
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.rules import rule as rule_of
from partsolver.rules.base import Rule
from partsolver.search.prune import screened, within
from partsolver.solve.ranking import picked_parts
from partsolver.solve.recommend import recommend

_PREFERENCE = {"physics": 0, "system": 1, "money": 2, "wish": 3}


@dataclass
class Tester:
    """Whether a set of rules leaves a plan; answers are remembered."""

    problem: Problem
    limits: Limits = field(default_factory=Limits)

    def __post_init__(self) -> None:
        self._known: dict[frozenset[str], bool] = {}
        self._firsts: dict[tuple[frozenset[str], str], Plan | None] = {}
        # Parts that some test found possible, the last first; at the start what the PC has now.
        self._seen: list[Parts] = [present_parts(self.problem)]
        # By demanded extra: the rules that may need it.
        self._needing: dict[str, set[str]] = {
            extra: set() for extra in self.problem.brief.including if extra in self.problem.extras
        }
        if self._needing:
            for (rule, _), chosen in build(self.problem, all_rules()).picks.needs.items():
                for extra in {extra for extra, _, _ in chosen} & self._needing.keys():
                    self._needing[extra].add(rule)

    def _under(self, active: Sequence[str]) -> tuple[Problem, list[Rule]]:
        """The problem and the rules of a test.

        An extra is bought only because a rule needs it: with that rule switched off nobody can demand it.
        Otherwise fewer rules could leave fewer plans, and no smallest conflict would exist.
        """
        rules = [rule for rule in all_rules() if rule.ID in active]
        idle = {extra for extra, needing in self._needing.items() if not needing.issubset(active)}
        if not idle:
            return self.problem, rules
        brief = self.problem.brief
        fewer = brief.model_copy(
            update={"including": tuple(part for part in brief.including if part not in idle)}
        )
        return replace(self.problem, brief=fewer, store=store_of_fewer(self.problem)), rules

    def cheapest(self, active: Sequence[str]) -> Plan | None:
        """The cheapest plan that these rules leave, None when they leave none."""
        return self._first(active, "cost")

    def know(self, active: Sequence[str], plan: Plan | None) -> None:
        """Remember the cheapest plan that these rules leave (found elsewhere)."""
        self._firsts[frozenset(active), "cost"] = plan

    def fastest(self, active: Sequence[str]) -> Plan | None:
        """The fastest plan that these rules leave, None when they leave none."""
        return self._first(active, "speed")

    def _first(self, active: Sequence[str], goal: str) -> Plan | None:
        key = (frozenset(active), goal)
        if key not in self._firsts:
            problem, rules = self._under(active)
            brief = problem.brief.model_copy(
                update={"alternatives": 1, "goal": goal, "resolution_percent": "0"}
            )
            plans = recommend(replace(problem, brief=brief), self.limits, rules, with_stand_ins=False).plans
            self._firsts[key] = plans[0] if plans else None
        return self._firsts[key]

    def decide(self, active: Sequence[str]) -> bool:
        """Whether the rules leave a plan, found out anew."""
        problem, rules = self._under(active)
        for parts in self._seen:
            if self._will_do(problem, rules, parts):
                return True
        left = screened(problem, rules)
        if left is None:
            return False
        pool = left.pool
        if not left.small:
            search = left.search()
            draft = search.anything()
            if draft is not None:
                self._seen.insert(0, draft.parts)
                return True
            pool = within(left, search, left.most_time, left.most_cost)
            if not pool.alive:
                return False
        built = build(pool.restricted(), rules)
        solved = solve(built.model, self.limits)
        if solved.status == "unknown":
            raise InternalFault("a conflict test was not decided within the limit")
        if solved.found:
            self._seen.insert(0, picked_parts(built, solved))
        return solved.found

    @staticmethod
    def _will_do(problem: Problem, rules: Sequence[Rule], parts: Parts) -> bool:
        """Whether parts of another test are a plan under these rules."""
        if not all(any(c.key == own.key for c in problem.slot(own.slot)) for own in parts.picked):
            return False
        draft = complete(problem, parts, rules)
        return draft is not None and all(finding.admits for finding in judge(problem, draft, rules))

    def possible(self, active: Sequence[str]) -> bool:
        """Whether the rules leave a plan. Fewer rules than a set that leaves one do too; more than one that
        leaves none leave none: only what is not decided that way is tested."""
        wanted = frozenset(active)
        for known, found in self._known.items():
            if found and wanted <= known:
                return True
            if not found and known <= wanted:
                return False
        self._known[wanted] = self.decide(active)
        return self._known[wanted]


def preference(rules: Sequence[Rule]) -> list[str]:
    """Rule ids, those preferred as reasons first."""
    order = sorted(range(len(rules)), key=lambda i: (_PREFERENCE[rules[i].NATURE], i))
    return [rules[i].ID for i in order]


def smallest_conflict(test: Tester, order: Sequence[str]) -> tuple[str, ...]:
    """A minimal set of rules without a plan, () when all rules together leave one. Verified before it is
    returned."""
    if test.possible(order):
        return ()
    if not test.possible([]):
        return ()  # even without rules nothing can be picked: a slot is empty
    within = _first_group(test, order)
    found = sorted(_explain(test, [], [], within), key=list(order).index)
    # Tested again in so many words, not deduced: the answer is shown to people.
    if test.decide(found):
        raise InternalFault(f"the conflict {found} leaves a plan")
    for rule in found:
        if not test.decide([r for r in found if r != rule]):
            raise InternalFault(f"the conflict {found} is not minimal: {rule} is not needed")
    return tuple(found)


def _first_group(test: Tester, order: Sequence[str]) -> list[str]:
    """The rules up to the first nature with which no plan is left."""
    nature = {rule: _PREFERENCE[rule_of(rule).NATURE] for rule in order}
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
