"""platform.used_board and platform.board_age: what is said before money goes into a used or an old board.
Outside: faulty electrolytic capacitors of about 1999 to 2007 (boards reference, section 14); board names hide
revisions (firmware reference, section 3.2, rule 3)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, OLD_BOARD, OLD_CPU, TODAY, agree, make_problem, make_survey, pick

from partsolver.catalog.records import Offer
from partsolver.plan.complete import draft_of
from partsolver.problem.problem import Problem
from partsolver.report.words.platform import QUESTIONS, WORDS
from partsolver.report.words.record import Names
from partsolver.rules import all_rules, platform_board_age, platform_firmware, platform_used_board
from partsolver.standards.settings import defaults


def sold(board: Any = BOARD, **facts: Any) -> Problem:
    """The base problem with the board sold by one offer of these facts."""
    others = [Offer(part=p, seller="shop", price=1000) for p in ("cpu-a", "kit-a", "cooler-a")]
    return make_problem(
        boards=(board,), offers=[Offer(part="board-a", seller="shop", price=1000, **facts), *others]
    )


def said(rule: Any, problem: Problem, **keys: str) -> list[Any]:
    if not keys:
        board = next(c for c in problem.slot("board") if c.id is not None)
        keys = {"board": board.key}
    draft = draft_of(problem, pick(problem, **keys), all_rules())
    found = rule.admits(draft, problem)
    for finding in found:
        words = WORDS[rule.ID].sentence(finding, Names(problem.names))
        assert finding.admits and words.endswith(".") and "None" not in words
        if finding.question:
            assert "board." + finding.question.rpartition(".")[2] in QUESTIONS
    return [(f.verdict, dict(f.facts)) for f in found]


def test_a_new_board_of_no_stated_revision_says_nothing() -> None:
    assert said(platform_used_board, sold()) == []


def test_a_used_board_is_asked_about() -> None:
    assert said(platform_used_board, sold(condition="used")) == [
        ("fits", {"used": "yes", "variant": "not stated"})
    ]
    assert said(platform_used_board, sold(condition="used", made_for="retail")) == [("fits", {"used": "yes"})]


@pytest.mark.parametrize("condition", ["used", "new"])
def test_the_variant_of_a_complete_pc_brings_nothing_that_the_row_promises(condition: str) -> None:
    problem = sold(condition=condition, made_for="complete-pc")
    (board,) = (c for c in problem.slot("board") if c.id is not None)
    # Its firmware is the PC maker's own, and its shield is not the retail one.
    assert (board.part.firmware_shipped, board.part.shield) == (None, None)
    found = said(platform_used_board, problem)
    assert found[0] == ("unknown", {"variant": "complete-pc"})
    firmware = platform_firmware.admits(
        draft_of(problem, pick(problem, board=board.key), all_rules()), problem
    )
    assert [f.question for f in firmware] == ["board:board-a.firmware_shipped"]


@pytest.mark.parametrize(
    ("row", "offered", "condition", "expected"),
    [
        ("1.0", "2.0", "used", {"row": "1.0", "differs": "other", "revision": "2.0"}),
        ("1.0", "2.0", "new", {"row": "1.0", "differs": "other", "revision": "2.0"}),
        ("1.0", None, "used", {"row": "1.0", "differs": "not stated"}),
        ("1.0", None, "new", None),
        ("1.0", "1.0", "used", None),
        (None, "2.0", "used", None),
    ],
)
def test_another_revision_is_another_board(
    row: str | None, offered: str | None, condition: str, expected: dict[str, str] | None
) -> None:
    board = replace(BOARD, revision=row)
    found = said(platform_used_board, sold(board, condition=condition, revision=offered))
    assert [facts for _, facts in found if "differs" in facts] == ([] if expected is None else [expected])


OLD = defaults()["old_board_years"]
FIRST, LAST = defaults()["faulty_capacitor_from_year"], defaults()["faulty_capacitor_to_year"]


def with_kept_board(year: int | None, cpu_year: int | None = 2012) -> Problem:
    """A faster processor for the present board."""
    survey = make_survey(board=replace(OLD_BOARD, year=year), cpu=replace(OLD_CPU, year=cpu_year))
    faster = replace(OLD_CPU, id="cpu-b", name="Faster", serial_score=1200, boxed_cooler=False)
    return make_problem(survey, cpus=(faster,))


def age(problem: Problem) -> list[Any]:
    return said(
        platform_board_age,
        problem,
        board="kept-board",
        cpu="cpu-b",
        memory="kept-memory",
        cooler="kept-cooler",
    )


@pytest.mark.parametrize(
    ("year", "faulty"), [(FIRST - 1, False), (FIRST, True), (LAST, True), (LAST + 1, False)]
)
def test_boards_of_the_years_of_faulty_capacitors(year: int, faulty: bool) -> None:
    ((_, facts),) = age(with_kept_board(year))
    assert (facts.get("capacitors") == "yes", facts["kept"]) == (faulty, "yes")


def test_from_some_years_on_the_age_is_said() -> None:
    assert age(with_kept_board(TODAY.year - OLD + 1)) == []
    ((_, facts),) = age(with_kept_board(TODAY.year - OLD))
    assert facts == {"year": TODAY.year - OLD, "kept": "yes"}


@pytest.mark.parametrize(("ahead", "years"), [(-1, 1), (0, 0), (1, 0)])
def test_a_board_of_a_year_to_come_is_new(ahead: int, years: int) -> None:
    """Bad capacitors of today (a setting), and a label that is dated ahead."""
    problem = replace(
        with_kept_board(TODAY.year + ahead),
        settings=defaults() | {"faulty_capacitor_to_year": TODAY.year + 1},
    )
    keys = {"board": "kept-board", "cpu": "cpu-b", "memory": "kept-memory", "cooler": "kept-cooler"}
    draft = draft_of(problem, pick(problem, **keys), all_rules())
    (found,) = platform_board_age.admits(draft, problem)
    assert (found.value, found.fact("year")) == (years, TODAY.year + ahead)


def test_the_year_of_the_processor_stands_for_that_of_its_board() -> None:
    ((_, facts),) = age(with_kept_board(None, 2006))
    assert (facts["basis"], facts["capacitors"]) == ("processor", "yes")
    assert age(with_kept_board(None, None)) == []


def test_nothing_is_said_where_no_money_goes_into_it_and_nothing_is_refused() -> None:
    problem = with_kept_board(2004)
    kept = {slot: f"kept-{slot}" for slot in ("board", "cpu", "memory", "cooler")}
    assert said(platform_board_age, problem, **kept) == []
    assert agree(platform_board_age, problem)[1] == 0
    assert agree(platform_used_board, sold(condition="used"))[1] == 0


def test_a_bought_board_of_those_years_is_looked_at_too() -> None:
    ((_, facts),) = said(platform_board_age, sold(replace(BOARD, year=2005), condition="used"))
    assert (facts["kept"], facts["capacitors"]) == ("no", "yes")
