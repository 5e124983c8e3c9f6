"""Open questions by how much their answer matters: solve for every plausible answer and compare.

For each answer: does the plan one would order now still stand, and if so, how much better is the best plan that
knows the answer? The value of an answer is the money at risk (the cost of the order that would not fit) or else the
time and money that knowing it saves.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from partsolver.explain.answers import OpenQuestion, hoped, open_questions
from partsolver.join import changed
from partsolver.model.recommend import recommend
from partsolver.model.solve import Limits
from partsolver.outcome import Plan
from partsolver.planner import complete, judge
from partsolver.problem import Parts, Problem
from partsolver.rules import all_rules
from partsolver.survey.model import Survey


@dataclass(frozen=True, slots=True)
class AnswerEffect:
    """What one answer does. plan: the best plan then (None: none exists); stands: today's first plan still stands;
    time_saved_permille: how much faster the best plan is than today's first one under this answer; cost_change:
    best plan's cost minus today's, minor units; same_parts: whether the best plan is today's."""

    value: Any
    plan: Plan | None
    stands: bool
    time_saved_permille: int
    cost_change: int
    same_parts: bool


@dataclass(frozen=True, slots=True)
class QuestionValue:
    """One question with the effects of its answers. at_risk: cost of today's order where an answer makes it not fit;
    matters: whether any answer changes anything."""

    path: str
    effects: tuple[AnswerEffect, ...]
    at_risk: int
    time_permille: int
    money: int

    @property
    def matters(self) -> bool:
        return any(not effect.same_parts or not effect.stands for effect in self.effects)


def question_values(
    problem: Problem, limits: Limits | None = None, progress: Callable[[int, int], None] = lambda done, total: None
) -> tuple[Plan | None, tuple[QuestionValue, ...]]:
    """Today's first plan and every open question, the most valuable answer first."""
    limits = limits or Limits()
    today = _best(problem, limits)
    questions = list(open_questions(problem.survey))
    values = []
    blocked = today is None or today.parts.board_kept
    for number, question in enumerate(questions):
        progress(number, len(questions))
        value = _value(problem, question, today, limits)
        if blocked and not value.matters:
            # Several unknowns may block together; alone none matters. Value this one with hoped answers to the others.
            hopeful = changed(problem, survey=_hopeful(problem, question, questions))
            value = _value(hopeful, question, _best(hopeful, limits), limits)
        values.append(value)
    values.sort(key=lambda v: (-v.at_risk, -v.time_permille, -v.money, not v.matters, v.path))
    return today, tuple(values)


def _hopeful(problem: Problem, question: OpenQuestion, questions: list[OpenQuestion]) -> Survey:
    """The survey with every other open question answered as one hopes."""
    survey = problem.survey
    for other in questions:
        if other.path != question.path:
            again = next((q for q in open_questions(survey) if q.path == other.path), None)
            survey = survey if again is None else again.answered(hoped(other))
    return survey


def _best(problem: Problem, limits: Limits) -> Plan | None:
    brief = problem.brief.model_copy(update={"alternatives": 1})
    outcome = recommend(replace(problem, brief=brief), limits)
    return outcome.plans[0] if outcome.plans else None


def _value(problem: Problem, question: OpenQuestion, today: Plan | None, limits: Limits) -> QuestionValue:
    effects = tuple(_effect(problem, question, answer, today, limits) for answer in question.answers)
    at_risk = today.draft.cost if today is not None and any(not e.stands for e in effects) else 0
    if today is None and any(e.plan is not None for e in effects) and any(e.plan is None for e in effects):
        # Nothing is possible now; the answer decides whether anything is: the cost of what it makes possible.
        at_risk = max(e.plan.draft.cost for e in effects if e.plan is not None)
    return QuestionValue(
        question.path,
        effects,
        at_risk,
        max((e.time_saved_permille for e in effects if e.stands), default=0),
        max((abs(e.cost_change) for e in effects if not e.same_parts), default=0),
    )


def _effect(problem: Problem, question: OpenQuestion, answer: Any, today: Plan | None, limits: Limits) -> AnswerEffect:
    known = changed(problem, survey=_answered(problem, question, answer))
    plan = _best(known, limits)
    if today is None or plan is None:
        return AnswerEffect(answer, plan, today is None, 0, 0, today is None and plan is None)
    standing = _standing(known, today)
    saved = 0
    if standing is not None and plan.draft.time_ppm < standing:
        saved = 1000 * (standing - plan.draft.time_ppm) // standing
    same = plan.parts.keys == today.parts.keys
    return AnswerEffect(answer, plan, standing is not None, saved, plan.draft.cost - today.draft.cost, same)


def _answered(problem: Problem, question: OpenQuestion, answer: Any) -> Survey:
    """The problem's survey with this answer (the question may come from a survey with other answers)."""
    own = next(q for q in open_questions(problem.survey) if q.path == question.path)
    return own.answered(answer)


def _standing(problem: Problem, today: Plan) -> int | None:
    """Expected time of today's plan in the answered problem, or None when it does not stand there."""
    picked = []
    for candidate in today.parts.picked:
        found = next((c for c in problem.slot(candidate.slot) if c.key == candidate.key), None)
        if found is None:
            return None
        picked.append(found)
    rules = all_rules()
    draft = complete(problem, Parts(tuple(picked)), rules)
    if draft is None or any(not finding.admits for finding in judge(problem, draft, rules)):
        return None
    return draft.time_ppm
