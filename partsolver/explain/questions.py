"""Open questions by how much their answer matters: solve for every plausible answer and compare.

First come, in one group, the questions that are *needed*: those that together keep the best plan out, since a
wrong guess could destroy parts, and those without which no speed-up can be told. Alone none of them may
change anything, so each is valued with the hoped answers to the others of its group. Every other question is
valued in the problem a person has once the group is answered as hoped: for each answer, does the plan one
would order then still stand, and if so, how much better is the best plan that knows the answer? The value of
an answer is the money at risk (the cost of the order that would not fit) or else the time and money that
knowing it saves.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cached_property
from itertools import groupby
from operator import itemgetter
from typing import Any

from partsolver.base.records import record
from partsolver.explain.answers import OpenQuestion, open_questions
from partsolver.explain.favourable import favourable, hoped
from partsolver.model.solve import Limits
from partsolver.performance.present import present_time_ppm
from partsolver.plan.complete import admitted, complete, draft_of, judge
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding
from partsolver.plan.outcome import Plan
from partsolver.problem.candidates import Parts
from partsolver.problem.join import changed
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.solve.recommend import first_plan
from partsolver.survey.model import Survey


@record
class AnswerEffect:
    """What one answer does. plan: the best plan then (None: none exists); stands: the first plan still
    stands;
    time_saved_permille: how much faster the best plan is than the first one under this answer; cost_change:
    best plan's cost minus the first one's, minor units; same_parts: whether the best plan is the first
    one."""

    value: Any
    plan: Plan | None
    stands: bool
    time_saved_permille: int
    cost_change: int
    same_parts: bool


@record
class QuestionValue:
    """One question with the effects of its answers. at_risk: cost of the order where an answer makes it not
    fit;
    needed: without it the best plan stays out or no speed-up can be told; matters: whether any answer changes
    anything."""

    path: str
    effects: tuple[AnswerEffect, ...]
    at_risk: int
    time_permille: int
    money: int
    needed: bool = False

    @property
    def matters(self) -> bool:
        return self.needed or any(not effect.same_parts or not effect.stands for effect in self.effects)

    @property
    def failing_permille(self) -> int:
        """Share of the answers with which the first plan would not stand."""
        return 1000 * sum(not effect.stands for effect in self.effects) // len(self.effects)


@record
class Questions:
    """All open questions, the most valuable answer first. today: the first plan with what is known; supposed:
    the first plan once the needed questions are answered as hoped (today's where none is needed)."""

    today: Plan | None
    supposed: Plan | None
    values: tuple[QuestionValue, ...]

    @property
    def needed(self) -> tuple[QuestionValue, ...]:
        return tuple(value for value in self.values if value.needed)

    def first_paths(self, most: int) -> tuple[str, ...]:
        """Paths of the questions to ask first: those that matter, at most so many."""
        return tuple(value.path for value in self.values if value.matters)[:most]


def question_values(
    problem: Problem,
    limits: Limits | None = None,
    progress: Callable[[int, int], None] = lambda done, total: None,
) -> Questions:
    """Every open question with its value, in order, and the plans the values are measured against."""
    worth = Worth(problem, limits or Limits())
    values = []
    for number, question in enumerate(worth.questions):
        progress(number, len(worth.questions))
        values.append(worth.value(question))
    progress(len(values), len(values))
    settled = worth.settled
    return Questions(
        first_plan(problem, worth.limits) if worth.group else settled.first,
        settled.first,
        tuple(sorted(values, key=_order)),
    )


def _order(value: QuestionValue) -> Any:
    return (
        not value.needed,
        -value.at_risk,
        -value.failing_permille,
        -value.time_permille,
        -value.money,
        not value.matters,
        value.path,
    )


class Worth:
    """Values of the open questions of a problem, each computed when it is asked for. ``askable``: which
    questions there are; what the others ask stays unknown."""

    def __init__(
        self,
        problem: Problem,
        limits: Limits | None = None,
        askable: Callable[[str], bool] = lambda path: True,
    ) -> None:
        self.problem, self.limits = problem, limits or Limits()
        self.questions = [question for question in _open(problem) if askable(question.path)]
        self.group = needed(problem, self.questions, self.limits)

    @cached_property
    def settled(self) -> _Measured:
        """The problem with the needed questions answered as hoped."""
        return _Measured(hoping(self.problem, self.group), self.limits)

    def first_paths(self, most: int, progress: Callable[[int], None] = lambda done: None) -> tuple[str, ...]:
        """Paths of the questions that matter most, at most so many, in the order of `question_values` (but
        those that are needed in the order of the survey when all of them are among the first). Only what
        decides the order is solved. ``progress`` hears how many questions are solved."""
        if len(self.group) > most:
            values = [self.value(question) for question in self.questions if question.path in self.group]
            return tuple(value.path for value in sorted(values, key=_order))[:most]
        chosen = list(self.group)
        rest = [
            (self.risk(question), question) for question in self.questions if question.path not in self.group
        ]
        rest.sort(key=itemgetter(0), reverse=True)
        solved = 0
        for (at_risk, _), group in groupby(rest, key=itemgetter(0)):
            tied = [question for _, question in group]
            if len(chosen) >= most:
                break
            if at_risk and len(tied) == 1:  # it matters, and nothing has to be told apart
                chosen.append(tied[0].path)
                continue
            equals = []
            for question in tied:
                progress(solved := solved + 1)
                equals.append(self.value(question))
            chosen += [value.path for value in sorted(equals, key=_order) if value.matters]
        return tuple(chosen[:most])

    def value(self, question: OpenQuestion) -> QuestionValue:
        """The value of a question, each answer solved."""
        if question.path not in self.group:
            return _value(self.settled, question, self.limits)
        others = _Measured(
            hoping(self.problem, [path for path in self.group if path != question.path]), self.limits
        )
        return replace(_value(others, question, self.limits, self.settled), needed=True)

    def risk(self, question: OpenQuestion) -> tuple[int, int]:
        """Money at risk and failing share of the value of a question that is not needed, without a solve
        where a first plan stands."""
        first = self.settled.first
        if first is None:
            value = self.value(question)
            return value.at_risk, value.failing_permille
        problem = self.settled.problem
        known = (changed(problem, survey=_answered(problem, question, answer)) for answer in question.answers)
        failing = sum(standing(answered, first) is None for answered in known)
        return (first.draft.cost if failing else 0), 1000 * failing // len(question.answers)


def needed(problem: Problem, questions: Sequence[OpenQuestion], limits: Limits) -> tuple[str, ...]:
    """The questions that must be answered before the best plan can be recommended at all; none of them can be
    left out.

    The best plan is that of the problem with every question answered as hoped. Its blocking findings in
    today's problem name questions; answering those as hoped may uncover further ones.
    """
    bright = hoping(problem, [question.path for question in questions])
    wanted = first_plan(bright, limits)
    if wanted is None:
        return ()
    known = {question.path for question in questions}
    group: list[str] = []
    while True:
        blocking = {f.question for f in _findings(hoping(problem, group), wanted) if f.blocks}
        asked = [q.path for q in questions if q.path in blocking & known and q.path not in group]
        if not asked:
            break
        group += asked
    for path in list(group):
        rest = [other for other in group if other != path]
        if not any(f.blocks for f in _findings(hoping(problem, rest), wanted)):
            group = rest
    return (*group, *_telling(problem, questions, bright))


def _telling(problem: Problem, questions: Sequence[OpenQuestion], bright: Problem) -> list[str]:
    """Questions without which the time of the PC as it is, and so every speed-up, stays unknown."""
    if present_time_ppm(problem) is not None or present_time_ppm(bright) is None:
        return []
    left = [question.path for question in questions]
    for path in list(left):
        rest = [other for other in left if other != path]
        if present_time_ppm(hoping(problem, rest)) is not None:
            left = rest
    return left


def _open(problem: Problem) -> list[OpenQuestion]:
    return list(open_questions(problem.survey, sockets_on_sale(problem)))


def sockets_on_sale(problem: Problem) -> tuple[str, ...]:
    """Sockets of the processors on sale: what the present board's may be, if another processor is to go into
    it."""
    parts: list[Any] = [c.part for c in problem.slot("cpu") if not c.kept]
    return tuple(sorted({part.socket for part in parts if part.socket is not None}))


def hoping(problem: Problem, paths: Sequence[str]) -> Problem:
    """The problem with these questions answered as one hopes."""
    survey = problem.survey
    sockets = sockets_on_sale(problem)
    for path in paths:
        question = next((q for q in open_questions(survey, sockets) if q.path == path), None)
        if question is not None:  # another answer may have settled it
            survey = question.answered(hoped(question))
    return changed(problem, survey=survey)


class _Measured:
    """A problem with its first plan and its fastest one, against which answers are measured; the fastest, which
    few answers need, is sought when it is asked for."""

    def __init__(self, problem: Problem, limits: Limits) -> None:
        self.problem, self.limits = problem, limits
        self.first = first_plan(problem, limits)

    @cached_property
    def fastest(self) -> Plan | None:
        brief = self.problem.brief
        if self.first is None or brief.goal != "speed" or not brief.resolution_percent:
            return self.first
        return first_plan(self.problem, self.limits, resolution_percent=0)

    def untouched(self, known: Problem) -> bool:
        """Whether both plans stand in the answered problem at the same cost and time, measured against the
        same present.

        Then an answer that can only take plans away leaves the first plan first: the least time and so every
        step of the resolution are the same, and nothing that was behind has become faster or cheaper.
        """
        return present_time_ppm(known) == present_time_ppm(self.problem) and all(
            plan is not None
            and (draft := standing(known, plan)) is not None
            and (draft.time_ppm, draft.cost) == (plan.draft.time_ppm, plan.draft.cost)
            for plan in (self.first, self.fastest)
        )


def _value(
    world: _Measured, question: OpenQuestion, limits: Limits, solved: _Measured | None = None
) -> QuestionValue:
    """The value of a question in a world. ``solved``: a world that one of the answers may lead to."""
    first = world.first
    effects = tuple(_effect(world, question, answer, limits, solved) for answer in question.answers)
    at_risk = first.draft.cost if first is not None and any(not e.stands for e in effects) else 0
    if first is None and any(e.plan is not None for e in effects) and any(e.plan is None for e in effects):
        # Nothing is possible now; the answer decides whether anything is: the cost of what it makes possible.
        at_risk = max(e.plan.draft.cost for e in effects if e.plan is not None)
    return QuestionValue(
        question.path,
        effects,
        at_risk,
        max((e.time_saved_permille for e in effects if e.stands), default=0),
        max((abs(e.cost_change) for e in effects if not e.same_parts), default=0),
    )


def _effect(
    world: _Measured, question: OpenQuestion, answer: Any, limits: Limits, solved: _Measured | None
) -> AnswerEffect:
    first = world.first
    known = changed(world.problem, survey=_answered(world.problem, question, answer))
    if favourable(question) and world.untouched(known):
        return AnswerEffect(answer, first, True, 0, 0, True)
    plan = (
        solved.first
        if solved is not None and known.survey == solved.problem.survey
        else first_plan(known, limits)
    )
    if first is None or plan is None:
        return AnswerEffect(answer, plan, first is None, 0, 0, first is None and plan is None)
    left = standing(known, first)
    saved = 0
    if left is not None and plan.draft.time_ppm < left.time_ppm:
        saved = 1000 * (left.time_ppm - plan.draft.time_ppm) // left.time_ppm
    same = plan.parts.keys == first.parts.keys
    return AnswerEffect(answer, plan, left is not None, saved, plan.draft.cost - first.draft.cost, same)


def _answered(problem: Problem, question: OpenQuestion, answer: Any) -> Survey:
    """The problem's survey with this answer (the question may come from a survey with other answers)."""
    own = next((q for q in _open(problem) if q.path == question.path), None)
    return problem.survey if own is None else own.answered(answer)


def _picked(problem: Problem, plan: Plan) -> Parts | None:
    """The parts of a plan as they are in a problem with other answers; None when one is no candidate
    there."""
    picked = []
    for candidate in plan.parts.picked:
        here = problem.slot(candidate.slot)
        found = next((c for c in here if c.key == candidate.key), None)
        if found is None and candidate.slot == "board":  # the state it is sold in stands in its key
            found = next((c for c in here if c.id is not None and c.id == candidate.id), None)
        if found is None:
            return None
        picked.append(found)
    return Parts(tuple(picked))


def _findings(problem: Problem, plan: Plan) -> tuple[Finding, ...]:
    """What the rules say of a plan in a problem with other answers."""
    parts, rules = _picked(problem, plan), all_rules()
    return () if parts is None else judge(problem, draft_of(problem, parts, rules), rules)


def standing(problem: Problem, plan: Plan) -> Draft | None:
    """A plan as it is in the answered problem, or None when it does not stand there."""
    parts, rules = _picked(problem, plan), all_rules()
    if parts is None:
        return None
    draft = complete(problem, parts, rules)
    if draft is None or not admitted(problem, draft, rules):
        return None
    return draft
