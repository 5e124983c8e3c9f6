"""A smallest conflict: rules that together leave no plan, and of which any others leave one; and the further
ones.

That fewer of the conflict's own rules leave a plan does not say that one is left beside all *other* rules:
each member is tested with everything else in force (`released`), and where none of them is enough, further
conflicts are looked for.

QuickXplain (Junker, "QuickXplain: preferred explanations and relaxations for over-constrained problems", AAAI
2004) over the rules: a test asks whether a plan is left when only some of them are in force. The pruning
(search/prune.py) or a plain search decides most tests; what they leave open a model of those rules decides,
without an objective. Most tests are not made at all (`Tester.possible`): a few rules that leave no plan are
looked for first (`_few_without_a_plan`), and no set that holds them leaves one. No core that the solver names is
used (they need not be minimal), and the result is
tested again before it is returned: by the plain rules and by CP-SAT, which must agree. Physical reasons are
preferred: the smallest group of physics, system, money, wishes (in this order) that leaves no plan is
searched, and within it the preference order decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from partsolver.base.errors import InternalFault, NotDecided
from partsolver.base.records import record
from partsolver.model.build import build
from partsolver.model.solve import Limits, solve
from partsolver.performance.present import present_parts, store_of_fewer
from partsolver.plan.complete import judge
from partsolver.plan.outcome import Plan
from partsolver.problem.candidates import Parts
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules, buying_budget, buying_minimums, memory_generation, platform_socket
from partsolver.rules import rule as rule_of
from partsolver.rules.base import Rule
from partsolver.search.prune import screened
from partsolver.search.search import Search
from partsolver.search.shortlist import Found
from partsolver.search.window import window_within
from partsolver.solve.agreement import (
    admitted_draft,
    confirm_possible,
    difference,
    picked_parts,
    refute_impossible,
)
from partsolver.solve.recommend import recommend

# What the bounds of a search know without asking a rule: with these the look for a conflict begins.
BOUNDED = (platform_socket.ID, memory_generation.ID, buying_budget.ID, buying_minimums.ID)
_PREFERENCE = {"physics": 0, "system": 1, "money": 2, "wish": 3}


@dataclass
class Tester:
    """Whether a set of rules leaves a plan; answers are remembered."""

    problem: Problem
    limits: Limits = field(default_factory=Limits)

    def __post_init__(self) -> None:
        # By rules: parts that they let be a plan, None where they leave none.
        self._known: dict[frozenset[str], Parts | None] = {}
        self._firsts: dict[tuple[frozenset[str], str, bool], Plan | None] = {}
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

    def cheapest(self, active: Sequence[str], shown: bool = False) -> Plan | None:
        """The cheapest plan that these rules leave, None when they leave none. ``shown``: a person sees it as
        the least there is. Raises NotDecided."""
        return self._first_plan(active, "cost", shown)

    def know_cheapest(self, active: Sequence[str], plan: Plan | None) -> None:
        """Remember the cheapest plan that these rules leave (found elsewhere)."""
        self._firsts[frozenset(active), "cost", False] = plan
        self._know_found(active, None if plan is None else plan.draft.parts)

    def know_none(self, active: Sequence[str]) -> None:
        """Remember that these rules leave no plan (found elsewhere)."""
        self._know_found(active, None)

    def _know_found(self, active: Sequence[str], parts: Parts | None) -> None:
        self._known[frozenset(active)] = parts
        if parts is not None and parts not in self._seen:
            self._seen.insert(0, parts)

    def fastest(self, active: Sequence[str]) -> Plan | None:
        """The fastest plan that these rules leave, None when they leave none. Raises NotDecided."""
        return self._first_plan(active, "speed", False)

    def _first_plan(self, active: Sequence[str], goal: str, shown: bool) -> Plan | None:
        key = (frozenset(active), goal, shown)
        if key not in self._firsts:
            problem, rules = self._under(active)
            brief = problem.brief.model_copy(
                update={"alternatives": 1, "goal": goal, "resolution_percent": "0"}
            )
            wanted = replace(problem, brief=brief)
            outcome = recommend(wanted, self.limits, rules, with_stand_ins=False, shown=shown)
            if outcome.status == "undecided" or (shown and outcome.status == "best_found"):
                raise NotDecided("the first plan without one of the rules")
            plan = self._firsts[key] = outcome.plans[0] if outcome.plans else None
            self._know_found(active, None if plan is None else plan.draft.parts)
        return self._firsts[key]

    def decide(self, active: Sequence[str]) -> Parts | None:
        """Parts that are a plan under some rules, None where these leave none: found out anew. Raises
        NotDecided."""
        return self._find(*self._under(active))

    def _find(self, problem: Problem, rules: Sequence[Rule]) -> Parts | None:
        """Parts that are a plan under some rules; None when there are none.

        1. Parts that other tests found, and the present PC. 2. The search. 3. A model of what it leaves open.
        """
        for parts in self._seen:
            if admitted_draft(problem, rules, parts) is not None:
                return parts
        left = screened(problem, rules)
        if left is None:
            return None
        pool, search = left.pool, left.search()
        draft = search.anything()
        if draft is not None:
            return draft.parts
        found = _every_row(search)
        if found.first is not None or found.exhausted:
            return None if found.first is None else found.first.parts
        if not left.small:
            pool = window_within(left, search, left.most_time, left.most_cost, 0).pool
            if not pool.alive:
                return None
        built = build(pool.restricted(), rules)
        solved = solve(built.model, self.limits)
        if solved.status == "unknown":
            raise NotDecided("whether some of the rules leave a plan")
        if not solved.found:
            return None
        parts = picked_parts(built, solved)
        if admitted_draft(problem, rules, parts) is None:
            raise InternalFault(f"the model has a plan that the plain rules refuse: {'+'.join(parts.keys)}")
        return parts

    def confirm(self, conflict: Sequence[str]) -> None:
        """Test a conflict again in so many words, by plain rules and by CP-SAT. Raises InternalFault where it
        leaves a plan or is not minimal, or where the two differ; NotDecided."""
        problem, rules = self._under(conflict)
        left = screened(problem, rules)
        found = Found((), True) if left is None else _every_row(left.search())
        if found.first is not None:
            raise difference(problem, "whether the conflict leaves a plan", found.first, None)
        if not found.exhausted and self.decide(conflict):
            raise InternalFault(f"the conflict {conflict} leaves a plan")
        if not refute_impossible(problem, rules, self.limits, self._seen).decided:
            raise NotDecided("whether the rules found leave a plan")
        for left_out in conflict:
            problem, rules = self._under([rule for rule in conflict if rule != left_out])
            parts = self._find(problem, rules)
            if parts is None:
                raise InternalFault(f"the conflict {conflict} is not minimal: {left_out} is not needed")
            confirm_possible(problem, rules, parts, self.limits)

    def possible(self, active: Sequence[str]) -> bool:
        """Whether the rules leave a plan. Fewer rules than a set that leaves one do too; more than one that
        leaves none leave none: only what is not decided that way is tested."""
        return self._found(active) is not None

    def _found(self, active: Sequence[str]) -> Parts | None:
        wanted = frozenset(active)
        for known, parts in self._known.items():
            if wanted <= known if parts is not None else known <= wanted:
                return parts
        self._know_found(active, self.decide(active))
        return self._known[wanted]

    def refusing(self, active: Sequence[str], order: Sequence[str]) -> list[str]:
        """Rules of ``order`` that refuse the plan which rules are known to leave, none where these leave none."""
        parts = self._found(active)
        problem, rules = self._under(active)
        draft = None if parts is None else admitted_draft(problem, rules, parts)
        if draft is None:
            return []
        others = [rule_of(rule) for rule in order if rule not in active]
        return [finding.rule for finding in judge(problem, draft, others) if not finding.admits]


def _every_row(search: Search) -> Found:
    """The cheapest plan where most likely there is none, looked for with the full limit."""
    search.rest()
    return search.cheap(1)


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
    few = _few_without_a_plan(test, order)
    if few:
        test.know_none(_explain(test, [], [], few))
    within = _first_group(test, order)
    found = sorted(_explain(test, [], [], within), key=list(order).index)
    # Not deduced but tested again: the answer is shown to people.
    test.confirm(found)
    return tuple(found)


@record
class Further:
    """A conflict that is left once some rules are given up."""

    given_up: tuple[str, ...]
    rules: tuple[str, ...]


@record
class Released:
    """What has to go before there is a plan, each found with everything else in force.

    alone: members of the first conflict without which, alone, there is one; further: conflicts that are left,
    where no member is enough; together: rules, one of each conflict, without which there is a plan.
    """

    alone: tuple[str, ...]
    further: tuple[Further, ...]
    together: tuple[str, ...]


def released(test: Tester, order: Sequence[str], first: Sequence[str]) -> Released:
    """Which rules of a smallest conflict ``first`` have to go for a plan, all others of ``order`` in
    force. Of each conflict the least preferred reason (a wish before physics) is given up. Raises
    NotDecided."""
    alone = tuple(member for member in first if test.possible([rule for rule in order if rule != member]))
    if alone:
        return Released(alone, (), alone[-1:])
    given_up, further = [first[-1]], list[Further]()
    while True:
        rest = [rule for rule in order if rule not in given_up]
        found = smallest_conflict(test, rest)
        if not found:
            return Released((), tuple(further), tuple(given_up))
        further.append(Further(tuple(given_up), found))
        given_up.append(found[-1])


def _few_without_a_plan(test: Tester, order: Sequence[str]) -> list[str]:
    """Few of the rules ``order`` that leave no plan: those that the bounds know, and as long as they leave one
    what refuses it. () where that leads to none."""
    few = [rule for rule in order if rule in BOUNDED]
    while test.possible(few):
        refusing = set(test.refusing(few, order))
        if not refusing:
            return []
        few = [rule for rule in order if rule in few or rule in refusing]
    return few


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
