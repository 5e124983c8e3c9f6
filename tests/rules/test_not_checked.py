"""What no rule looks at is said to the person, and the modules of the rules say the same."""

from __future__ import annotations

import importlib
from dataclasses import replace

from support import make_problem, pick

from partsolver.plan.complete import draft_of
from partsolver.plan.findings import fits
from partsolver.plan.make import make_plan
from partsolver.report import text
from partsolver.report.words.not_checked import HEADING, NOT_CHECKED, SHOWN, not_checked
from partsolver.rules import all_rules, fit_cards, fit_outline


def test_every_rule_that_says_so_has_its_line() -> None:
    said = {
        rule.ID
        for rule in all_rules()
        if "Not checked" in " ".join((importlib.import_module(rule.__name__).__doc__ or "").split())  # type: ignore[attr-defined]
    }
    assert said == set(NOT_CHECKED)


def test_what_stays_as_it_is_leaves_nothing_to_look_at() -> None:
    found = (fits(fit_outline.ID, today="yes"), fits(fit_cards.ID), fits(fit_cards.ID))
    assert not_checked(found) == (NOT_CHECKED[fit_cards.ID],)


def test_check_prints_them() -> None:
    problem = make_problem()
    plan = make_plan(problem, draft_of(problem, pick(problem), all_rules()), all_rules(), 1, 0, None)
    every = not_checked(plan.findings)
    assert len(every) > SHOWN
    short, full = (" ".join(text.check(plan, problem, f).split()) for f in (False, True))
    assert HEADING in short and every[0] in short and every[-1] not in short
    assert f"{len(every) - SHOWN} more: --full." in short
    assert all(line in full for line in every)
    nothing = replace(plan, findings=())
    assert HEADING not in text.check(nothing, problem)
