"""Boards without a plug for the processor: their processor may be fed from 5 V as well as from 12 V.

The plug came with ATX12V; before 2003 most of a supply's power was meant for 5 V, 12 V had 50 to 60 % of it (boards
reference, section 9); boards without one were sold until about 2005 (from memory). So a supply that feeds such a
board proves neither rail, only the power. Currents by hand: 60 W are 5.0 A at 12 V or 12.0 A at 5 V (parts up to
2016 are measured at the plug); fans 0.65 A, a board of that time 0.3 A at 12 V and 2.0 A at 5 V (settings), so the
PC of today draws 0.95 A and the processor's 5.0 A at 12 V; 65 % are trusted of a label of 2001.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import (
    BOARD,
    CPU,
    GRAPHICS,
    OLD_BOARD,
    OLD_CPU,
    PSU,
    agree,
    findings,
    make_problem,
    make_survey,
    pick,
)

from partsolver.problem.problem import Problem
from partsolver.rules import (
    power_main_plug,
    power_rail_12v,
    power_rails_12v,
    power_rails_low,
    power_startup,
    power_total,
)
from partsolver.wishes.brief import Brief

EARLY = replace(OLD_BOARD, year=2001, cpu_plugs=(), main_plug="20", load_mw=None, slots=BOARD.slots)
CPU_60W = replace(OLD_CPU, year=2001, tdp_w=60, power_limit_w=None)
# 9 A: 5.85 A are trusted; 22 A at 5 V: 14.3 A.
SUPPLY = replace(
    PSU, year=2001, main_plug="20", cpu_plugs=("4",), rated_w=300, rail_12v_ma=(9000,), combined_12v_ma=None,
    rail_5v_ma=22_000, combined_5v_3v3_mw=None,
)  # fmt: skip
RULES = (power_main_plug, power_rail_12v, power_rails_12v, power_rails_low, power_startup, power_total)


def pc(
    board: Any = EARLY, psu: Any = SUPPLY, cpu: Any = CPU_60W, settings: Any = None, **tables: Any
) -> Problem:
    brief = Brief(budget="10000.00", replace=("graphics",), settings=settings or {})
    return make_problem(make_survey(board=board, psu=psu, cpu=cpu), brief, coolers=(), memory=(), **tables)


def kept(problem: Problem, **keys: str) -> Any:
    own = {"board": "kept-board", "cpu": "kept-cpu", "memory": "kept-memory"}
    return pick(problem, **{**own, **keys})


@pytest.mark.parametrize(
    ("year", "headers", "settings", "verdict", "question"),
    [
        (2001, (), None, "fails", None),
        (2005, (), None, "fails", None),
        (2006, (), None, "fits", None),
        (2001, (), {"cpu_from_5v_to_year": 2000}, "fits", None),  # its manual says 12 V
        (None, (), None, "fails", None),
        (None, (), {"cpu_from_5v_to_year": 0}, "fits", None),
        (2001, ("4",), None, "fits", None),
        (2001, None, None, "unknown", "board.cpu_plugs"),  # nobody looked for a plug
        (None, None, None, "fits", None),  # nothing says that it is an early one
    ],
)
def test_what_the_old_processor_drew_is_no_proof_at_12_v(
    year: int | None, headers: Any, settings: Any, verdict: str, question: str | None
) -> None:
    """The new PC draws 0.605 + 0.65 A and 50 W / (0.9 x 12 V) = 4.63 A, 5.885 A at 12 V: more than the 5.85 A that are
    trusted, less than today's 5.95 A if these came from 12 V."""
    board = replace(EARLY, year=year, cpu_plugs=headers)
    problem = pc(board, settings=settings, cpus=[replace(CPU, power_limit_w=50)])
    found = findings(power_rail_12v, problem)[0]
    assert (found.verdict, found.question, found.blocks) == (verdict, question, verdict == "unknown")
    assert (found.value, found.fact("feed")) == (5885, None if verdict == "fits" else "5v")
    assert (
        found.limit == (5850 if verdict != "fits" else found.limit)
        and findings(power_total, problem)[0].admits
    )
    agree(power_rail_12v, problem)


@pytest.mark.parametrize(("card_mw", "verdict"), [(27_600, "fits"), (27_612, "fails")])
def test_the_12_v_that_a_weaker_processor_saves_are_not_free(card_mw: int, verdict: str) -> None:
    """A processor of 30 W and a card in its slot (2.3 A and 12 mW more) on the board that stays: 5.75 A, less than
    today's 5.95 A if all came from 12 V; but if the processor is fed from 5 V, 3.25 A beside the 0.95 A of today,
    and 3.25 A are trusted of a label of 5 A."""
    card = replace(GRAPHICS, id="card", load_mw=card_mw)
    weak = replace(CPU_60W, id="weak", tdp_w=30)
    psu = replace(SUPPLY, rail_12v_ma=(5000,))
    problem = pc(psu=psu, boards=(), cpus=[weak], graphics=[card])
    found = findings(power_rail_12v, problem, kept(problem, cpu="weak", graphics="card"))[0]
    drawn = 950 + -(-card_mw // 12)
    assert (found.verdict, found.value, found.limit) == (verdict, drawn, 3250)
    assert found.fact("feed") == ("5v" if verdict == "fails" else None)
    for rule in RULES:
        agree(rule, problem)


@pytest.mark.parametrize(("watts", "verdict"), [(60, "fits"), (72, "fails")])
def test_a_stronger_processor_has_to_find_its_power_at_5_v_too(watts: int, verdict: str) -> None:
    """72 W are 14.4 A at 5 V, 2.4 A more than today; with the board's 2.0 A more than the 14.3 A that are trusted
    and more than today's."""
    other = replace(CPU_60W, id="other", tdp_w=watts)
    problem = pc(psu=replace(SUPPLY, rail_12v_ma=(12_000,)), boards=(), cpus=[other])
    found = next(
        f
        for f in findings(power_rails_low, problem, kept(problem, cpu="other"))
        if f.fact("rail") == "rail_5v_ma"
    )
    late = pc(replace(EARLY, year=2006), psu=replace(SUPPLY, rail_12v_ma=(12_000,)), boards=(), cpus=[other])
    at_12v = findings(power_rails_low, late, kept(late, cpu="other"))[0]
    assert (found.verdict, found.fact("feed")) == (verdict, "5v" if verdict == "fails" else None)
    # A board of 2006 draws 0.5 A more at 5 V itself (settings).
    assert isinstance(found.value, int) and found.value == at_12v.value - 500 + watts * 1000 // 5
    assert at_12v.verdict == "fits"
    for rule in RULES:
        agree(rule, problem)


def test_contacts_of_the_main_plug_prove_nothing_of_a_processor_that_5_v_may_feed() -> None:
    """A card of 66 W takes 5.5 A from its slot: with board and fans 6.755 A through the one 12 V contact of a
    20-contact plug (6.6 A with a warning). Today 72 W, 6.0 A, run through it beside 0.95 A, or none of them."""
    card = replace(GRAPHICS, id="card", load_mw=66_000, height="full")
    for year, verdict in ((2001, "fails"), (2006, "fits")):
        board = replace(EARLY, year=year, load_mw=20_000)
        problem = pc(board, cpu=replace(CPU_60W, tdp_w=72), graphics=[card])
        found = findings(power_main_plug, problem, pick(problem, board="board-a", graphics="card"))[0]
        assert (found.verdict, found.value) == (verdict, 6755)
        assert found.fact("feed") == ("5v" if verdict == "fails" else None)
        agree(power_main_plug, problem)


def test_the_board_that_stays_feeds_its_processor_as_it_does() -> None:
    """72 W and a card of 2.4 W (0.2 A): 7.15 A through the one contact, today 6.95 A and 5 %, or 1.15 A if the
    processor is fed from 5 V."""
    problem = pc(
        cpu=replace(CPU_60W, tdp_w=72),
        boards=(),
        cpus=(),
        graphics=[replace(GRAPHICS, id="card", load_mw=2400, height="full")],
    )
    found = findings(power_main_plug, problem, kept(problem, graphics="card"))[0]
    assert (found.verdict, found.value, found.fact("feed")) == ("fits", 7150, None)
    agree(power_main_plug, problem)


@pytest.mark.parametrize(("year", "verdict"), [(2001, "fails"), (2006, "fits")])
def test_single_rails_prove_nothing_of_it_either(year: int, verdict: str) -> None:
    """Rails of 3.5 and 3 A: the main plug's group carries 6 A today if the processor is fed from 12 V, 1 A if from
    5 V. On another early board a card of 36 W (3.0 A) and a processor of 12 W (1.0 A) hang there: 5 A and, from 5 V,
    4 A, more than either rail."""
    card = replace(GRAPHICS, id="card", load_mw=36_000, height="full")
    board = replace(EARLY, year=year)
    psu = replace(SUPPLY, rail_12v_ma=(3500, 3000), cpu_rail=None)
    problem = pc(
        board,
        psu,
        boards=[replace(board, id="other", socket=CPU.socket)],
        cpus=[replace(CPU_60W, id="cool", tdp_w=12, socket=CPU.socket)],
        graphics=[card],
    )
    found = findings(power_rails_12v, problem, pick(problem, board="other", cpu="cool", graphics="card"))[0]
    assert found.verdict == verdict and found.fact("feed") == ("5v" if verdict == "fails" else None)
    for rule in RULES:
        agree(rule, problem)


@pytest.mark.parametrize("headers", [(), None])
@pytest.mark.parametrize("rails", [(9000,), (5000,), (4000, 3000)])
def test_both_statements_agree_on_early_boards(headers: Any, rails: tuple[int, ...]) -> None:
    early = replace(EARLY, cpu_plugs=headers, socket=CPU.socket)
    problem = pc(
        early,
        replace(SUPPLY, rail_12v_ma=rails, cpu_plugs=() if headers is None else ("4",)),
        boards=[BOARD, replace(early, id="early-too"), replace(early, id="late", year=2009)],
        cpus=[replace(CPU, power_limit_w=50), replace(CPU_60W, id="hot", tdp_w=75, socket=CPU.socket)],
        graphics=[replace(GRAPHICS, id="card", load_mw=28_000)],
    )
    refused = sum(agree(rule, problem)[1] for rule in RULES)
    assert refused > 0
