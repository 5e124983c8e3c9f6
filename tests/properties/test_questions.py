"""The ranking of open questions equals brute force: try every answer, solve without a solver, compare, sort."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from brute import drafts, first
from conftest import FULL
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import Instance, instances
from support import CASE, PSU, SYSTEM_DRIVE, make_problem, make_survey

from partsolver.brief import Brief
from partsolver.explain.answers import hoped, open_questions
from partsolver.explain.questions import question_values
from partsolver.join import changed
from partsolver.problem import SLOTS, Draft, Problem
from partsolver.survey.model import Display, OperatingSystem

SOME = settings(max_examples=80 if FULL else 6)
# Facts that may be unknown, each with plausible answers in partsolver.explain.answers.
UNKNOWN: dict[str, dict[str, Any]] = {
    "psu.cpu_plugs": {"psu": replace(PSU, cpu_plugs=None)},
    "psu.pinout": {"psu": replace(PSU, pinout=None)},
    "psu.rated_w": {"psu": replace(PSU, rated_w=None)},
    "case.max_board_depth_mm": {"case": replace(CASE, max_board_depth_mm=None)},
    "case.max_cooler_height_mm": {"case": replace(CASE, max_cooler_height_mm=None)},
    "drive:ssd.start_mode": {"drives": (SYSTEM_DRIVE.model_copy(update={"start_mode": None}),)},
    "display:monitor.inputs": {"displays": (Display(name="monitor", width_px=1680, height_px=1050, refresh_hz=60),)},
    "os.licence": {"os": OperatingSystem(family="desktop-2015")},
}


def standing(known: Problem, everything: list[Draft], today: Draft) -> int | None:
    """Time of today's parts (with whatever cooler) in an answered problem; None when they do not stand there."""
    here = [d for d in everything if all(d.parts.candidate(s).key == today.parts.candidate(s).key for s in SLOTS if s != "cooler")]
    return min((d.time_ppm for d in here), default=None)


Row = tuple[int, int, int, bool]


def value(problem: Problem, path: str, today: Draft | None) -> Row:
    """(money at risk, time, money, matters) of one question."""
    risk = time = money = 0
    matters = False
    bests: list[Draft | None] = []
    question = next(q for q in open_questions(problem.survey) if q.path == path)
    for answer in question.answers:
        known = changed(problem, survey=question.answered(answer))
        everything = list(drafts(known))
        best = first(known, everything)
        bests.append(best)
        if today is None or best is None:
            matters |= today is not best
            risk = max(risk, 0 if today is None else today.cost)
            continue
        mine = standing(known, everything, today)
        if mine is None:
            risk = max(risk, today.cost)
        elif best.time_ppm < mine:
            time = max(time, 1000 * (mine - best.time_ppm) // mine)
        if best.parts.keys != today.parts.keys:
            money = max(money, abs(best.cost - today.cost))
        matters |= mine is None or best.parts.keys != today.parts.keys
    if today is None and any(bests) and not all(bests):
        risk = max(best.cost for best in bests if best)
    return risk, time, money, matters


def by_hand(problem: Problem) -> tuple[Draft | None, list[tuple[str, int, int, int]]]:
    """Today's first plan and (question, money at risk, time, money) in the order of their value.

    Where nothing new can be bought today, a question that alone changes nothing is valued with hoped answers to the
    others: several unknowns may block together.
    """
    today = first(problem, list(drafts(problem)))
    questions = list(open_questions(problem.survey))
    rows: list[tuple[Row, str]] = []
    for question in questions:
        row = value(problem, question.path, today)
        if (today is None or today.parts.board_kept) and not row[3]:
            survey = problem.survey
            for other in questions:
                again = {q.path: q for q in open_questions(survey)}
                if other.path != question.path and other.path in again:
                    survey = again[other.path].answered(hoped(other))
            hopeful = changed(problem, survey=survey)
            row = value(hopeful, question.path, first(hopeful, list(drafts(hopeful))))
        rows.append((row, question.path))
    rows.sort(key=lambda r: (-r[0][0], -r[0][1], -r[0][2], not r[0][3], r[1]))
    return today, [(path, risk, time, money) for (risk, time, money, _), path in rows]


def check(problem: Problem) -> list[tuple[str, int, int, int]]:
    today, expected = by_hand(problem)
    plan, values = question_values(problem)
    assert (None if plan is None else plan.parts.keys) == (None if today is None else today.parts.keys)
    assert [(v.path, v.at_risk, v.time_permille, v.money) for v in values] == expected
    return expected


@st.composite
def uncertain(draw: st.DrawFn) -> Problem:
    instance: Instance = draw(instances(most=2, survey_changes=1, wishes=False, alternatives=1))
    survey = instance.survey
    for path in draw(st.lists(st.sampled_from(sorted(UNKNOWN)), min_size=1, max_size=3, unique=True)):
        for table, value in UNKNOWN[path].items():
            survey = survey.model_copy(update={table: value})
    return replace(instance, survey=survey).problem()


@SOME
@given(uncertain())
def test_ranking_equals_brute_force(problem: Problem) -> None:
    check(problem)


def test_by_hand() -> None:
    """An unknown CPU plug blocks every new board; the depth of the case changes nothing here (the board is 220 mm deep
    and answers are 200, 230, 260 mm: at 200 mm it does not fit)."""
    survey = make_survey(psu=replace(PSU, cpu_plugs=None), os=OperatingSystem(family="none", licence="none-needed"))
    ranked = check(make_problem(survey, Brief(budget="200.00", alternatives=1, min_speedup="1.1")))
    assert ranked[0][0] == "psu.cpu_plugs" and ranked[0][1] > 0
    known = check(make_problem(make_survey(case=replace(CASE, max_board_depth_mm=None)), Brief(budget="200.00", alternatives=1)))
    assert known[0][0] == "case.max_board_depth_mm" and known[0][1] == 3003
