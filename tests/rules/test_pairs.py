"""Rules that compare one fact of two parts: what stays together is let alone, else the two words have to be the same.

Both parts of the PC have the word "y" ("other" where they do not even agree today); on sale is each with "x", "y" and
without a word. Every pair by the plain predicate against the table below, and both statements against each other.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import pytest
from support import (
    BOARD,
    CASE,
    COOLER,
    CPU,
    KIT,
    MEMORY,
    OLD_BOARD,
    OLD_COOLER,
    OLD_CPU,
    PSU,
    admitted,
    agree,
    make_problem,
    make_survey,
    pick,
)

from partsolver.problem.problem import Problem
from partsolver.rules import (
    fit_cooler_mount,
    memory_generation,
    memory_module,
    platform_socket,
    power_supply_size,
)
from partsolver.wishes.brief import Brief

WORDS = ("x", "y", None)
ALL = Brief(budget="10000.00", replace=("psu", "case"))
FEW: dict[str, Any] = {"boards": [], "cpus": [], "memory": [], "coolers": []}


@dataclass(frozen=True)
class Pair:
    """Two slots; the problem of what the PC has in them; what is read of x and y; whether a missing word lets buy."""

    slots: tuple[str, str]
    kept: tuple[str, str]
    world: Callable[[str | None, str | None], Problem]
    stands: bool = True


def _memory(board_fact: str, module_fact: str, words: dict[str | None, str | None]) -> Callable[..., Problem]:
    def world(board: str | None, other: str | None) -> Problem:
        survey = make_survey(
            board=replace(OLD_BOARD, **{board_fact: words[board]}),
            cpu=replace(OLD_CPU, memory_rates=None),
            memory=(MEMORY.model_copy(update={module_fact: words[other]}),),
        )
        boards = [replace(BOARD, id=f"board-{word}", **{board_fact: words[word]}) for word in WORDS]
        kits = [replace(KIT, id=f"kit-{word}", modules=4, **{module_fact: words[word]}) for word in WORDS]
        return make_problem(survey, **{**FEW, "boards": boards, "memory": kits})

    return world


def _sockets(board: str | None, other: str | None) -> Problem:
    survey = make_survey(board=replace(OLD_BOARD, socket=board), cpu=replace(OLD_CPU, socket=other))
    boards = [replace(BOARD, id=f"board-{word}", socket=word) for word in WORDS]
    cpus = [replace(CPU, id=f"cpu-{word}", socket=word, boxed_cooler=None) for word in WORDS]
    return make_problem(survey, **{**FEW, "boards": boards, "cpus": cpus})


def _bays(psu: str | None, case: str | None) -> Problem:
    words = {"x": "sfx", "y": "tfx", "other": "lfx", None: None}
    survey = make_survey(psu=replace(PSU, form=words[psu]), case=replace(CASE, psu_form=words[case]))
    psus = [replace(PSU, id=f"psu-{word}", form=words[word]) for word in WORDS]
    cases = [replace(CASE, id=f"case-{word}", psu_form=words[word]) for word in WORDS]
    return make_problem(survey, ALL, **FEW, psus=psus, cases=cases)


def _mounts(board: str | None, cooler: str | None) -> Problem:
    def sockets(word: str | None) -> tuple[str, ...] | None:
        return None if word is None else (word, "more")

    survey = make_survey(
        board=replace(OLD_BOARD, socket=board), cooler=replace(OLD_COOLER, sockets=sockets(cooler))
    )
    boards = [replace(BOARD, id=f"board-{word}", socket=word) for word in WORDS]
    coolers = [replace(COOLER, id=f"cooler-{word}", sockets=sockets(word)) for word in WORDS]
    return make_problem(survey, **{**FEW, "boards": boards, "coolers": coolers})


GENERATIONS: dict[str | None, str | None] = {"x": "ddr4", "y": "ddr3", "other": "ddr2", None: None}
FORMS: dict[str | None, str | None] = {"x": "dimm", "y": "so-dimm", "other": "own", None: None}
PAIRS: dict[Any, Pair] = {
    memory_generation: Pair(
        ("board", "memory"),
        ("kept-board", "kept-memory"),
        _memory("memory_generation", "generation", GENERATIONS),
    ),
    memory_module: Pair(
        ("board", "memory"), ("kept-board", "kept-memory"), _memory("memory_module", "module", FORMS)
    ),
    platform_socket: Pair(("board", "cpu"), ("kept-board", "kept-cpu"), _sockets, stands=False),
    power_supply_size: Pair(("psu", "case"), ("kept-psu", "kept-case"), _bays),
    fit_cooler_mount: Pair(("board", "cooler"), ("kept-board", "kept-cooler"), _mounts, stands=False),
}


@pytest.mark.parametrize("today", [("y", "y"), ("y", "other"), ("y", None), (None, "y")], ids=str)
@pytest.mark.parametrize("rule", PAIRS, ids=lambda rule: rule.ID)
def test_two_parts_by_one_word(rule: Any, today: tuple[str | None, str | None]) -> None:
    pair = PAIRS[rule]
    problem = pair.world(*today)
    first, second = pair.slots
    met = set()
    for one in problem.slot(first):  # type: ignore[arg-type]
        for two in problem.slot(second):  # type: ignore[arg-type]
            words = [
                here if part.kept else {"x": "x", "y": "y"}.get(str(part.id).rpartition("-")[2])
                for part, here in ((one, today[0]), (two, today[1]))
            ]
            if two.key == "boxed-cooler" or ("kit" in two.key and "kept" in two.key):
                continue  # made for its processor; new and present modules together have one word of their own
            good = words[0] == words[1] if None not in words else pair.stands
            if rule is fit_cooler_mount and None in words:
                good = two.kept  # a present cooler is looked at, a new one may be useless
            good = good or (one.kept and two.kept)
            parts = pick(problem, **{first: one.key, second: two.key})
            assert admitted(rule, problem, parts) is good, (one.key, two.key, words)
            met.add(good)
    assert met == {True, False}
    agree(rule, problem)
