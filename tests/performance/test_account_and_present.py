"""What a speed-up is made of where nothing is gained, and the PC as it is where a part of it is broken."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import CPU, MEMORY, OLD_BOARD, OLD_CPU, make_problem, make_survey, pick

from partsolver.performance.account import _percent, account_of
from partsolver.performance.interval import speedup
from partsolver.performance.present import as_today, present_parts, present_time_ppm
from partsolver.performance.time import terms_ppm
from partsolver.problem.candidates import SLOTS
from partsolver.survey.model import Card, OperatingSystem
from partsolver.wishes.brief import Brief

CARD = Card(name="card", kind="graphics", bus="pcie", lanes=16, graphics_score=700, required=False)


@pytest.mark.parametrize(
    ("part", "whole", "percent"),
    [(1, 8, 13), (-1, 8, -13), (1, 200, 1), (-1, 200, -1), (1, 201, 0), (-1, 201, 0), (0, 8, 0), (8, 8, 100)],
)
def test_whole_per_cent_halves_away_from_zero(part: int, whole: int, percent: int) -> None:
    assert _percent(part, whole) == percent


def test_what_gains_nothing_has_no_shares_of_a_gain() -> None:
    """The PC as it is, and one that is slower: there is nothing to divide, what holds it back is said all the same."""
    problem = make_problem(cpus=[replace(CPU, serial_score=400, parallel_score=700)])
    slower = pick(problem)
    same = present_parts(problem)
    assert sum(terms_ppm(problem, slower).values()) > sum(terms_ppm(problem, same).values())
    for parts in (same, slower):
        found, new = account_of(problem, parts), terms_ppm(problem, parts)
        assert found is not None and (found.gain_by_resource, found.gain_by_part) == ({}, {})
        assert found.held_back_by == "serial" == max(new, key=lambda name: new[name])
        assert found.held_back_percent == round(100 * new["serial"] / sum(new.values()))


def test_a_broken_part_is_what_the_speedup_is_against() -> None:
    """Board, processor and memory that do not work are no candidates, but they are what the PC had: its time is that
    of the whole PC."""
    whole = make_problem()
    broken = make_survey(
        pc=make_survey().pc.model_copy(
            update={"board_works": False, "cpu_works": False, "memory_works": False}
        )
    )
    problem = make_problem(broken)
    for slot in ("board", "cpu", "memory"):
        assert not any(c.kept for c in problem.slot(slot))
    found, sound = present_parts(problem), present_parts(whole)
    assert [c.slot for c in found.picked] == list(SLOTS)
    for slot in ("board", "cpu", "memory"):
        candidate = found.candidate(slot)
        assert (
            candidate.kept
            and candidate.key == f"kept-{slot}"
            and candidate.part == sound.candidate(slot).part
        )
        assert (candidate.id, candidate.quantity, candidate.offers) == (None, 0, ())
    assert found.board == OLD_BOARD and found.cpu == OLD_CPU
    assert terms_ppm(problem, found) == terms_ppm(whole, sound)
    assert present_time_ppm(problem) == present_time_ppm(whole) == sum(terms_ppm(whole, sound).values())


def test_memory_of_which_nothing_is_known() -> None:
    """No module is on record and the memory does not work: one module of unknown size and rate, kept."""
    survey = make_survey(memory=())
    problem = make_problem(survey)
    memory = present_parts(problem).memory
    assert (memory.id, memory.kit, memory.kits, memory.with_kept) == ("kept-memory", None, 0, True)
    assert (memory.module_mib, memory.rate_mts, memory.generation, memory.modules) == (None, None, None, 1)


def test_the_time_of_today_has_every_card_in_use() -> None:
    """A wish to leave a card out changes what is to come, not what the PC is today."""
    survey = make_survey(cards=(CARD,))
    plain = make_problem(survey, Brief(budget="10000.00", use="games"))
    without = make_problem(survey, Brief(budget="10000.00", use="games", leave_out=("card",)))
    assert as_today(plain) is plain and as_today(without).brief.leave_out == ()
    assert present_time_ppm(without) == present_time_ppm(plain)
    assert terms_ppm(as_today(without), present_parts(without)) == terms_ppm(plain, present_parts(plain))


def test_a_system_that_uses_more_memory_is_no_gain_of_parts() -> None:
    """The same parts are 1.0 times as fast, whatever system is asked for: what that makes of 16 GiB (a 32-bit one uses
    4 GiB at most) could be had without an order."""
    memory = MEMORY.model_copy(update={"capacity_mib": 8192, "count": 2})
    survey = make_survey(memory=(memory,), os=OperatingSystem(family="desktop-2009-32bit"))
    narrow, wide = (
        make_problem(survey, Brief(budget="100.00", use="programming", os=wanted))
        for wanted in (None, "desktop-2009")
    )
    assert sum(terms_ppm(narrow, present_parts(narrow)).values()) > present_time_ppm(wide)  # type: ignore[operator]
    for problem in (narrow, wide):
        same = speedup(problem, present_parts(problem))
        assert same is not None and (same.low_milli, same.expected_milli, same.high_milli) == (
            1000,
            1000,
            1000,
        )
