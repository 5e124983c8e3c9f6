"""Memory modules as sets: what each kit and each row of the survey brings."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import KIT, MEMORY, make_problem, make_survey, pick

from partsolver.assembly.modules import (
    ModuleMake,
    ModuleSet,
    least_total_mib,
    memory_ids,
    memory_question,
    module_makes,
    module_sets,
    part_question,
    together_today,
)
from partsolver.problem.candidates import MemoryChoice

OWN = MEMORY.model_copy(update={"voltage_mv": 1500, "chips": 8, "ranks": 1, "generation": "ddr4"})
ODD = OWN.model_copy(
    update={"count": 1, "capacity_mib": None, "rate_mts": 1066, "registered": None, "ecc": None, "ranks": 2}
)
PACK = replace(KIT, modules=2, module_mib=4096, rate_mts=2400, registered=False, ecc=True, chips=16)
PROBLEM = make_problem(make_survey(memory=(OWN, ODD)), memory=[PACK])
BY_KEY = {candidate.key: candidate.part for candidate in PROBLEM.slot("memory")}
KEPT, NEW = BY_KEY["kept-memory"], BY_KEY["kit-a*2"]
MIXED = BY_KEY["kit-a*1+kept-memory"]
NEW_SET = ModuleSet(False, False, True, 4096, 2400, 2)
OWN_SETS = (ModuleSet(True, False, False, 2048, 1333, 2), ModuleSet(True, None, None, None, 1066, 1))


@pytest.mark.parametrize(
    ("choice", "sets"),
    [
        (KEPT, OWN_SETS),
        (NEW, (replace(NEW_SET, count=4),)),
        (MIXED, (NEW_SET, *OWN_SETS)),
        (replace(NEW, kit=replace(PACK, modules=None)), (replace(NEW_SET, count=2),)),  # one in a pack
    ],
)
def test_sets(choice: MemoryChoice, sets: tuple[ModuleSet, ...]) -> None:
    assert module_sets(choice, PROBLEM) == sets


def test_makes() -> None:
    new = ModuleMake(False, 4096, 1200, 16, 1)
    own = (ModuleMake(True, 2048, 1500, 8, 1), ModuleMake(True, None, 1500, 8, 2))
    assert (module_makes(KEPT), module_makes(NEW), module_makes(MIXED)) == (own, (new,), (new, *own))


def test_the_least_that_they_hold() -> None:
    """Two of 2 GiB and one that nobody looked at; four of 4 GiB; two of these beside those."""
    assert [least_total_mib(choice, PROBLEM) for choice in (KEPT, NEW, MIXED)] == [4096, 16384, 12288]


def test_names_and_questions() -> None:
    assert memory_ids(KEPT) == ("kept-memory",)
    assert memory_ids(NEW) == ("kit-a",)
    assert memory_ids(MIXED) == ("kit-a", "kept-memory")
    asked = [memory_question(choice, "capacity_mib") for choice in (KEPT, NEW, MIXED)]
    assert asked == ["memory.capacity_mib", "memory:kit-a.module_mib", "memory.capacity_mib"]
    assert memory_question(NEW, "ecc") == "memory:kit-a.ecc"
    assert memory_question(MIXED, "ecc", kept=False) == "memory:kit-a.ecc"
    assert memory_question(MIXED, "ecc", kept=True) == "memory.ecc"
    assert memory_question(NEW, "ecc", kept=True) == "memory.ecc"
    assert memory_question(KEPT, "ecc", kept=False) == "memory.ecc"  # there is no kit to ask about


def test_parts_of_today() -> None:
    mixed = pick(PROBLEM, board="board-a", cpu="kept-cpu")
    assert part_question(mixed.candidate("board"), "socket") == "board:board-a.socket"
    assert part_question(mixed.candidate("cpu"), "socket") == "cpu.socket"
    assert together_today(mixed, "cpu", "case") and not together_today(mixed, "board", "cpu")
    assert not together_today(mixed, "cpu", "board") and together_today(mixed)
