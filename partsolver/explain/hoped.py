"""The hoped plan: first if the looks turn out well, never proven.

A purchase whose basic fit is not known is barred (rules/fit_facts.py, and the rules that ward off damage).
What is barred is not lost: the same problem is solved once more with the survey's barring questions answered
as one hopes and without the rule about fit facts. Where the best plan then is another one, it is shown beside
the proven plans with everything that has to be looked at before it may be ordered, and what hangs on each
look.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from operator import attrgetter

from partsolver.explain.answers import OpenQuestion, open_questions
from partsolver.explain.favourable import hoped
from partsolver.explain.questions import hoping, sockets_on_sale
from partsolver.model.solve import Limits
from partsolver.plan.complete import draft_of
from partsolver.plan.findings import Finding
from partsolver.plan.make import make_plan
from partsolver.plan.outcome import HopedPlan, Look, Plan
from partsolver.problem.candidates import SLOTS, Parts
from partsolver.problem.join import changed
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules, fit_facts
from partsolver.rules.base import Rule
from partsolver.solve.recommend import recommend

# Facts of the survey without which a purchase is barred.
_BARRING = {
    "psu": ("main_plug", "cpu_plugs", "pinout"),
    "case": ("form_factor",),
    "board": ("socket", "memory_generation", "memory_module", "memory_slots"),
    "memory": ("generation",),
}


def hoped_plan(problem: Problem, first: Plan | None, limits: Limits | None = None) -> HopedPlan | None:
    """The plan that would be first if the looks turn out well; None where nothing is barred, or where what is
    barred would not be first."""
    questions = list(_barring(problem))
    if not questions and not _barred_by_catalogue(problem):
        return None
    bright = hoping(problem, [question.path for question in questions])
    found = _first_plan(bright, limits)
    if found is None:
        return None
    looks = _looks(problem, found, questions)
    today = _plan(problem, found)
    if not looks or today is None or (first is not None and not _better(problem, today, first)):
        return None
    return HopedPlan(today, looks)


def _barring(problem: Problem) -> Iterator[OpenQuestion]:
    for question in open_questions(problem.survey, sockets_on_sale(problem)):
        table, _, key = question.path.rpartition(".")
        if key in _BARRING.get(table.partition(":")[0], ()):
            yield question


def _barred_by_catalogue(problem: Problem) -> bool:
    """Whether some part on sale has a fit fact that nobody stated."""
    for slot, names in fit_facts.READS.items():
        stated = (name for name in names if name not in ("kept", "boxed", "with_kept", "modules"))
        facts = attrgetter("id", *stated)
        if any(None in facts(candidate.part) for candidate in problem.slot(slot) if candidate.id is not None):
            return True
    return False


def _rules() -> list[Rule]:
    return [rule for rule in all_rules() if rule.ID != fit_facts.ID]


def _first_plan(problem: Problem, limits: Limits | None) -> Plan | None:
    alone = changed(problem, alternatives=1)
    outcome = recommend(alone, limits, _rules(), with_stand_ins=False)
    return outcome.plans[0] if outcome.plans else None


def _plan(problem: Problem, plan: Plan) -> Plan | None:
    """The parts of a plan as a plan of a problem with other answers: what its facts leave open is open."""
    picked = []
    for candidate in plan.parts.picked:
        found = next((c for c in problem.slot(candidate.slot) if c.key == candidate.key), None)
        if found is None:
            return None
        picked.append(found)
    rules = all_rules()
    return make_plan(problem, draft_of(problem, Parts(tuple(picked)), rules), rules, 1, 0, None, False)


def _looks(problem: Problem, plan: Plan, questions: Sequence[OpenQuestion]) -> tuple[Look, ...]:
    """What has to be looked at before this plan may be ordered: the questions that bar it today, and those
    that their answers uncover."""
    by_path = {question.path: question for question in questions}
    group: dict[str, Finding] = {}
    while True:
        known = _plan(hoping(problem, [path for path in group if path in by_path]), plan)
        findings = () if known is None else known.findings
        barring = [f for f in findings if f.blocks and f.question not in (None, *group)]
        if not barring:
            break
        group |= {str(f.question): f for f in barring}
    return tuple(
        Look(path, hoped(by_path[path]) if path in by_path else None, _at_stake(plan, finding), finding.rule)
        for path, finding in group.items()
    )


def look_at(plan: Plan, finding: Finding) -> Look:
    """What has to be looked at because of a finding that bars a plan."""
    return Look(str(finding.question), None, _at_stake(plan, finding), finding.rule)


def _at_stake(plan: Plan, finding: Finding) -> int:
    """The price of what is bought on the strength of the fact; of the whole order where the finding names no
    part of it."""
    slots = str(finding.fact("slots") or "").split()
    ids = {plan.parts.candidate(slot).id for slot in SLOTS if slot in slots} or set(finding.parts)
    amounts = [line.amount for line in plan.draft.lines if line.item in ids]
    return sum(amounts) if amounts else plan.draft.cost


def _better(problem: Problem, hoped_for: Plan, first: Plan) -> bool:
    """Whether the hoped plan comes before the proven first one by the brief's goal."""
    if hoped_for.parts.keys == first.parts.keys:
        return False
    one, other = hoped_for.draft, first.draft
    if problem.brief.goal == "cost":
        return (one.cost, one.time_ppm) < (other.cost, other.time_ppm)
    return (one.time_ppm, one.cost) < (other.time_ppm, other.cost)
