"""The small units of the search, each by hand: the pool, what a rule sees, ways to fill the other slots, what rules say
(and how often they are asked), cards where they are alike."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from search.tiny import (
    Told,
    board,
    keys,
    kit,
    left,
    need,
    parts_of,
    priced,
    problem_of,
    screened_of,
    search_of,
)
from support import BOARD, CASE, CPU, GRAPHICS, PSU, make_problem

from partsolver.base.quantities import FAR
from partsolver.catalog.records import Bundle, DrivePart, Extra, Offer
from partsolver.plan.draft import Draft
from partsolver.problem.candidates import SLOTS, Parts
from partsolver.rules import rule
from partsolver.search import rests, row_rules, rule_memory
from partsolver.search.bounds import Numbers, present, told_once
from partsolver.search.by_card import cards_compete
from partsolver.search.card_choice import CardChoice, cards_are_alike
from partsolver.search.pool import MAIN, REST, Pool
from partsolver.search.rests import Rests
from partsolver.search.row_rules import RowRules, keys_of
from partsolver.search.rule_memory import Quick
from partsolver.search.views import View, looking, views
from partsolver.wishes.brief import Brief

PRICES = {"board-a": 4000, "cpu-a": 3000, "kit-a": 1000}
ALL = frozenset(SLOTS)


# -- pool --------------------------------------------------------------------------------------------------------------


def test_a_pool_counts_and_keeps() -> None:
    pool = screened_of(problem_of(PRICES)).pool
    assert MAIN == ("board", "cpu", "memory") and REST == ("cooler", "psu", "case", "drive", "graphics")
    assert pool.size == 2 + 2 + 3 + 2 + 4 and pool.alive and pool.rest_cost() == 0
    fewer = pool.copy()
    fewer.keep(["board", "memory"], lambda c: c.kept)
    assert left(fewer, "board", "cpu", "memory") == [["kept-board"], ["cpu-a", "kept-cpu"], ["kept-memory"]]
    assert len(pool.left["board"]) == 2 and fewer.size == pool.size - 3
    assert keys(fewer.restricted().slot("board")) == ["kept-board"]
    fewer.keep(["psu"], lambda c: False)
    assert not fewer.alive and pool.alive


def test_what_goes_together_hangs_on_the_rules_in_force() -> None:
    pool = screened_of(problem_of(PRICES)).pool
    (new, old), (own, _), (memory, *_) = (pool.left[slot] for slot in MAIN)
    assert (pool.socket(new), pool.socket(old), pool.socket(own)) == ("sock-1", "sock-0", "sock-1")
    assert (pool.generation(new), pool.generation(memory)) == ("ddr4", "ddr3")
    free = replace(pool, by_socket=False, by_generation=False)
    assert free.socket(new) == free.socket(old) == "" and free.generation(new) is None is free.generation(
        memory
    )
    assert Pool(pool.problem, {}, {}, {}).by_socket and Pool(pool.problem, {}, {}, {}).by_generation
    pool.cost[pool.left["psu"][0]] = 70
    pool.cost.update({c: 50 + n for n, c in enumerate(pool.left["cooler"])})
    assert pool.rest_cost() == 120


# -- arrays ------------------------------------------------------------------------------------------------------------


def test_values_are_numbered_as_they_come() -> None:
    numbers = Numbers({None: 0})
    assert numbers.numbered(["b", None, "a", "b"]).tolist() == [1, 0, 2, 1] and len(numbers) == 3
    assert Numbers().numbered("aba").tolist() == [0, 1, 0]
    assert present(np.array([3, 1, 3, 0])).tolist() == [0, 1, 3]


def test_each_key_is_told_once() -> None:
    asked: list[list[int]] = []

    def tell(first: Any) -> list[int]:
        asked.append(first.tolist())
        return [100 + place for place in first.tolist()]

    known = {7: 70}
    assert told_once(known, np.array([9, 7, 9, 3]), tell).tolist() == [100, 70, 100, 103]
    assert asked == [[3, 0]]  # where 3 and 9 stand first, by rising key
    assert told_once(known, np.array([3, 7]), tell).tolist() == [103, 70] and len(asked) == 1


def test_keys_of_rows_are_equal_for_those_that_look_the_same() -> None:
    looks = [(0, np.array([0, 1, 0])), (2, np.array([5, 5, 6]))]
    rows = [np.array([0, 1, 2, 0]), np.array([9, 9, 9, 9]), np.array([0, 0, 1, 2])]
    assert keys_of(looks, rows, 4).tolist() == [5, 12, 5, 6]
    assert keys_of([], rows, 4).tolist() == [0, 0, 0, 0]
    # Where all look the same nothing is added: 0 to 3, and one look.
    alike = [(1, np.arange(10) % 4), (0, np.zeros(3, dtype=np.int64))]
    assert keys_of(alike, [rows[2], np.array([0, 1, 2, 7])], 4).tolist() == [0, 1, 2, 3]
    assert keys_of([(1, np.array([], dtype=np.int64))], [[], np.array([], dtype=np.int64)], 0).tolist() == []


# -- views -------------------------------------------------------------------------------------------------------------


def test_a_view_numbers_what_looks_the_same() -> None:
    seen: list[str] = []

    def look(candidate: Any) -> Any:
        seen.append(candidate)
        return candidate[0]

    view = View(look)
    assert [view.number(c) for c in ("a1", "b1", "a2", "b1")] == [0, 1, 0, 1]  # type: ignore[arg-type]
    assert view.numbers(["a1", "c1", "a3", "c1"]).tolist() == [0, 2, 0, 2]  # type: ignore[list-item]
    assert view.number("c1") == 2 and seen == ["a1", "b1", "a2", "c1", "a3"]  # type: ignore[arg-type]
    assert view.numbers([]).tolist() == []


def test_what_is_looked_at() -> None:
    """Facts of the part and, behind a dot, of the record in a choice; whether it is kept; the id of what an extra is
    made for."""
    problem = make_problem(drives=[DrivePart("d", "d", kind="ssd")], brief=Brief(replace=("drive",)))
    new, old = problem.slot("board")
    assert looking("board", ("socket", "year"), frozenset())(new) == (False, "sock-1", 2018)
    assert looking("board", ("socket",), frozenset())(old) == (True, "sock-0")
    assert looking("board", (), frozenset())(old) is True
    named = looking("board", ("named", "socket"), frozenset({"board-a"}))
    assert named(new) == (False, "sock-1", True, None, "board-a") and named(old) == (
        True,
        "sock-0",
        True,
        None,
        "",
    )
    assert looking("board", ("named",), frozenset())(new) == (False, None, True, None, "")
    kept, bought = problem.slot("memory")[:2]
    look = looking("memory", ("modules", "kit.ranks", "kit.voltage_mv"), frozenset({"kit-a*1"}))
    assert look(bought) == (False, 2, False, (1, 1200), "") and look(kept) == (True, 2, True, None, "")
    drive = next(c for c in problem.slot("drive") if not c.kept)
    assert looking("drive", ("part.kind",), frozenset())(drive) == (False, None, False, "ssd", "")
    cooler = next(c for c in problem.slot("cooler") if c.id)
    assert looking("cooler", ("cooler.height_mm",), frozenset())(cooler) == (False, None, False, 120, "")


def test_views_of_a_rule_are_shared_by_slot_and_facts() -> None:
    problem = make_problem()
    one = rule("platform.socket")
    found = views(problem, one)
    assert len(found) == len(one.SLOTS) and all(
        a is b for a, b in zip(found, views(problem, one), strict=True)
    )
    assert found[0] is not found[1]


# -- ways to fill the other slots --------------------------------------------------------------------------------------

PSUS = [replace(PSU, id=f"psu-{n}", name=f"S {n}", year=2026) for n in range(3)]
CASES = [replace(CASE, id=f"case-{n}", name=f"C {n}") for n in range(2)]
OTHERS = {"psu-0": 300, "psu-1": 100, "psu-2": 200, "case-0": 50, "case-1": 120}


def with_others(**more: Any) -> Any:
    return problem_of(
        PRICES | OTHERS, psus=PSUS, cases=CASES, brief=Brief(budget="900.00", replace=("psu", "case")), **more
    )


def rests_of(problem: Any, any_card: bool = False) -> Rests:
    search = search_of(problem)
    return Rests(search.pool, search.quick, search.columns, any_card)


def test_cheap_ways_come_first() -> None:
    """Supplies 0, 1.00, 2.00, 3.00 with cases 0, 0.50, 1.20: twelve sums in order, at equal cost as they come."""
    found = rests_of(with_others())
    costs = sorted(p + c for p in (0, 100, 200, 300) for c in (0, 50, 120))
    assert [found.rest(0, n)[0] for n in range(12)] == costs  # type: ignore[index]
    assert [found.bound(0, n) for n in range(12)] == costs
    assert found.rest(0, 12) is None and found.bound(0, 12) == FAR
    first = found.rest(0, 0)
    assert first is not None and keys(first[1])[1:] == [
        "kept-psu",
        "kept-case",
        "kept-drive",
        "kept-graphics",
    ]
    second = found.rest(0, 1)
    assert second is not None and keys(second[1])[1:3] == ["kept-psu", "case-0"]


def test_what_is_kept_comes_before_what_costs_as_much(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = with_others()
    search = search_of(problem)
    search.pool.cost.update(dict.fromkeys(search.pool.left["psu"], 5))
    found = Rests(search.pool, search.quick, search.columns, False)
    assert [keys(found.rest(0, n)[1])[1] for n in range(4)] == ["kept-psu", "psu-0", "psu-1", "psu-2"]  # type: ignore[index]


@pytest.mark.parametrize(
    "most, ways, whole", [(12, 12, True), (11, 4, False), (9, 4, False), (6, 1, False), (3, 1, False)]
)
def test_so_many_ways_are_thought_of(
    most: int, ways: int, whole: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """4 supplies and 3 cases: where they make more ways than are thought of, so many of each, halved from the limit
    on: 11, 5 (12 ways each), 2 (4 ways); 9, 4, 2; 6 and 3 (9 ways), 1; 3 (9 ways), 1."""
    monkeypatch.setattr(rests, "MOST_RESTS", most)
    found = rests_of(with_others())
    assert len(found.every) == ways
    beyond = found.bound(0, len(found.every))
    assert beyond == (FAR if whole else sum(found._pool.cost[c] for c in found.every[-1]))


@pytest.mark.parametrize("most, ways, whole", [(4, 4, True), (3, 3, False), (5, 4, True)])
def test_as_many_ways_as_are_thought_of_are_all(
    most: int, ways: int, whole: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Four supplies, and one of all else."""
    monkeypatch.setattr(rests, "MOST_RESTS", most)
    found = rests_of(problem_of(PRICES | OTHERS, psus=PSUS, brief=Brief(budget="900.00", replace=("psu",))))
    assert [found.rest(0, n) is not None for n in range(5)] == [n < ways for n in range(5)]
    assert found.bound(0, ways) == (FAR if whole else (0, 100, 200, 300)[ways - 1])


@pytest.mark.parametrize("replaced, asked", [((), 0), (("psu",), 2)])
def test_the_rules_are_asked_where_there_is_more_than_one_way(replaced: Any, asked: int) -> None:
    """Of a single way they were asked with the row. Of the present supply and those on sale, which look alike, once
    each; where all are refused there is no way."""
    problem = problem_of(PRICES | OTHERS, psus=PSUS, brief=Brief(budget="900.00", replace=replaced))
    search = search_of(problem)
    one = Told("x.psu", {"psu": ("id",)}, lambda p: False)
    found = Rests(search.pool, Quick(problem, [one]), search.columns, False)
    assert (found.rest(0, 0) is None) is bool(asked)
    assert found.bound(0, 0) == (FAR if asked else 0) and len(one.asked) == asked


def test_a_board_has_only_the_ways_that_its_rules_let_through() -> None:
    """A board that no bought case takes (width): only the ways in the PC's case, by kind of board."""
    wide = board("wide", width_mm=244, depth_mm=244)
    narrow = [replace(case, max_board_depth_mm=230) for case in CASES]
    problem = problem_of(
        PRICES | OTHERS | {"board-wide": 4100},
        boards=[BOARD, wide],
        psus=PSUS,
        cases=narrow,
        brief=Brief(budget="900.00", replace=("psu", "case")),
    )
    found = rests_of(problem)
    boards = keys(search_of(problem).pool.left["board"])
    number = boards.index("board-wide")
    listed = [found.rest(number, n) for n in range(5)]
    assert [None if r is None else keys(r[1])[2] for r in listed] == ["kept-case"] * 4 + [None]
    other = boards.index("board-a")
    assert found.rest(other, 11) is not None
    assert found._by_board[number] is not found._by_board[other]


def test_where_cards_are_alike_the_first_stands_for_all() -> None:
    cards = [replace(GRAPHICS, id=f"card-{n}", name=f"K {n}") for n in range(2)]
    problem = problem_of(
        PRICES | {"card-0": 700, "card-1": 600},
        graphics=cards,
        brief=Brief(budget="900.00", replace=("graphics",)),
    )
    assert [keys(rest)[-1] for rest in rests_of(problem, True).every] == ["kept-graphics"]
    assert [keys(rest)[-1] for rest in rests_of(problem).every] == ["kept-graphics", "card-1", "card-0"]
    assert "graphics" in rests_of(problem)._read and "graphics" not in rests_of(problem, True)._read
    assert rests_of(problem)._read == {"psu", "case", "drive", "graphics", "board"}
    alone = problem_of({"board-a": 1, "kit-a": 1}, cpus=[])
    assert rests_of(alone)._read >= {"psu", "case", "drive", "graphics", "board", "cpu"}
    assert "cooler" not in rests_of(problem)._read and {"psu", "board"} <= rests_of(problem)._read


# -- what rules say ----------------------------------------------------------------------------------------------------


PASTES = [Extra("paste", "Paste", kind="thermal-paste"), Extra("grease", "Grease", kind="thermal-paste")]


def with_pastes(**more: Any) -> Any:
    """Paste for 3.00 (2.50 at another shop that is sold out), grease for 2.00 of which one is left."""
    offers = [
        *priced(PRICES),
        Offer("paste", "shop", 300),
        Offer("paste", "shop", 250, stock=0),
        Offer("grease", "shop", 200, stock=1),
    ]
    return make_problem(coolers=(), extras=PASTES, offers=offers, **more)


def stock() -> list[Any]:
    return [rule("buying.stock")]


def test_what_a_rule_says_is_asked_once_of_all_that_look_the_same() -> None:
    """A rule that reads the sockets of board and processor: twins of another price look the same."""
    twins = [board("a"), board("b"), board("c", socket="sock-2")]
    problem = problem_of({"board-a": 1, "board-b": 2, "board-c": 3, "cpu-a": 1, "kit-a": 1}, boards=twins)
    one = Told(
        "x.socket", {"board": ("socket",), "cpu": ("socket",)}, lambda p: p.board.socket == p.cpu.socket
    )
    quick = Quick(problem, [one])
    (asked,) = quick.rules
    pool = screened_of(problem).pool
    every = screened_of(problem, ["buying.stock"]).pool
    costs = {
        key: quick.cost(asked, parts, quick.kinds(parts))
        for key in ("board-a", "board-b", "board-c", "kept-board")
        if (parts := parts_of(every, board=key, cpu="cpu-a"))
    }
    assert costs == {"board-a": 0, "board-b": 0, "board-c": FAR, "kept-board": FAR}
    assert one.asked == [("board-a", "cpu-a"), ("board-c", "cpu-a"), ("kept-board", "cpu-a")]
    again = parts_of(every, board="board-b", cpu="cpu-a", memory="kit-a*2")
    assert quick.says(asked, again, quick.kinds(again)) == 0 and len(one.asked) == 3
    assert quick.kind(pool.left["board"][0]) == quick.kind(pool.left["board"][1])


def test_what_needs_cost() -> None:
    """The cheapest option of each need, so many of it as are in stock; FAR where none can be had."""
    problem = with_pastes()
    quick = Quick(problem, stock())
    assert quick.priced(need(("paste", 1))) == 300 and quick.priced(need(("paste", 2))) == 600
    assert quick.priced(need(("grease", 1), ("paste", 1))) == 200
    assert quick.priced(need(("grease", 2), ("paste", 1))) == 300  # one grease is left
    assert quick.priced((*need(("paste", 1)), *need(("grease", 1)))) == 500
    assert quick.priced(need(("grease", 2))) == FAR == quick.priced(need())
    assert quick.priced((*need(("grease", 2)), *need(("grease", 2)))) == FAR
    assert quick.rules == []  # what judges a purchase is not asked of parts


def quick_of(problem: Any, *rules: Told) -> Quick:
    return Quick(problem, [*rules, *stock()])


def two_rules() -> tuple[Any, Told, Told]:
    """One wants paste with board-a, one refuses more than two modules."""
    problem = with_pastes()
    wants = Told(
        "x.paste",
        {"board": ("socket",)},
        lambda p: need(("paste", 1)) if p.board.socket == "sock-1" else True,
    )
    refuses = Told("x.modules", {"memory": ("modules",)}, lambda p: p.memory.modules <= 2)
    return problem, wants, refuses


def test_the_least_that_rules_need_is_remembered_by_what_they_read() -> None:
    problem, wants, refuses = two_rules()
    quick, pool = quick_of(problem, wants, refuses), screened_of(problem, ["buying.stock"]).pool
    new, old = (parts_of(pool, board=key, memory="kit-a*1") for key in ("board-a", "kept-board"))
    four = parts_of(pool, board="kept-board", memory="kit-a*2")
    both = frozenset({"board", "memory"})
    assert [quick.least(p, both) for p in (new, old, four, new, old)] == [300, 0, FAR, 300, 0]
    assert (len(wants.asked), len(refuses.asked)) == (2, 2)
    assert quick.least(four, frozenset({"board"})) == 0 and quick.least(new, frozenset({"memory"})) == 0
    assert (
        quick.least(new, both, frozenset({"board"})) == 0
        and quick.least(four, both, frozenset({"memory"})) == 0
    )
    assert quick.least(four, both, frozenset({"board"})) == FAR and quick.least(new, both, both) == 0
    assert quick.least(new, frozenset()) == 0
    asking = quick._rounds[both, frozenset()]
    assert [a.rule.ID for a in asking.rules] == ["x.modules", "x.paste"]  # what refused is asked first now
    assert sorted(asking.known.values()) == [300] and sorted(asking.always.values()) == [0, FAR]


def test_what_cannot_be_bought_is_refused_here_only() -> None:
    """Two of the grease of which one is left: kept with this problem, not with the rule's own word."""
    problem = with_pastes()
    one = Told("x.grease", {"board": ("socket",)}, lambda p: need(("grease", 2)))
    quick, pool = quick_of(problem, one), screened_of(problem, ["buying.stock"]).pool
    parts = parts_of(pool)
    assert quick.least(parts, ALL) == FAR
    asking = quick._rounds[ALL, frozenset()]
    assert list(asking.known.values()) == [FAR] and not asking.always
    assert quick.least(parts, ALL) == FAR and len(one.asked) == 1


def test_candidates_that_rules_admit_beside_others() -> None:
    problem, wants, refuses = two_rules()
    quick, pool = quick_of(problem, wants, refuses), screened_of(problem, ["buying.stock"]).pool
    others = [pool.left[slot][0] for slot in SLOTS]
    found = quick.admitted(pool.left["board"], others, ALL)
    assert {c.key: cost for c, cost in found.items()} == {"board-a": 300, "kept-board": 0}
    assert wants.asked == [("board-a",), ("kept-board",)] and len(refuses.asked) == 1
    found = quick.admitted(pool.left["memory"], others, ALL)
    assert [(c.key, cost) for c, cost in found.items()] == [("kept-memory", 300), ("kit-a*1", 300)]
    found = quick.admitted(pool.left["memory"], others, ALL, frozenset({"board"}))
    assert [(c.key, cost) for c, cost in found.items()] == [("kept-memory", 0), ("kit-a*1", 0)]
    before = len(wants.asked) + len(refuses.asked)
    assert quick.admitted(pool.left["board"][1:], others, ALL) == {pool.left["board"][1]: 0}
    assert len(wants.asked) + len(refuses.asked) == before


def test_what_one_rule_refuses_the_next_is_not_asked_of() -> None:
    problem = with_pastes()
    first = Told("x.first", {"board": ("socket",)}, lambda p: p.board.socket != "sock-1")
    second = Told("x.second", {"board": ("year",)}, lambda p: True)
    quick, pool = quick_of(problem, first, second), screened_of(problem, ["buying.stock"]).pool
    found = quick.admitted(pool.left["board"], [pool.left[slot][0] for slot in SLOTS], ALL)
    assert keys(found) == ["kept-board"] and second.asked == [("kept-board",)]


def test_so_many_answers_about_slots_are_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """The oldest goes where one more is asked."""
    monkeypatch.setattr(rule_memory, "MOST_SCREENED", 2)
    problem, wants, refuses = two_rules()
    quick, pool = quick_of(problem, wants, refuses), screened_of(problem, ["buying.stock"]).pool
    others = [pool.left[slot][0] for slot in SLOTS]
    for slot in ("board", "cpu", "board", "memory"):
        quick.admitted(pool.left[slot], others, ALL)  # type: ignore[index]
    kept = quick.allowed.screened
    assert [key[0] for key in kept] == ["cpu", "memory"]


def test_memory_is_asked_by_one_of_each_kind() -> None:
    """Two twins and one of another rate: the rule sees two kinds."""
    kits = [kit("a"), kit("b"), kit("c", rate_mts=1866)]
    problem = problem_of({"board-a": 1, "cpu-a": 1, "kit-a": 1, "kit-b": 2, "kit-c": 3}, memory=kits)
    one = Told("x.rate", {"memory": ("rate_mts",)}, lambda p: p.memory.rate_mts != 1866)
    quick, pool = quick_of(problem, one), screened_of(problem, ["buying.stock"]).pool
    others = [pool.left[slot][0] for slot in SLOTS]
    found = quick.admitted(pool.left["memory"], others, ALL)
    assert keys(found) == ["kept-memory", "kit-a*1", "kit-a*2", "kit-b*1", "kit-b*2"]
    assert one.asked == [("kept-memory",), ("kit-a*1",), ("kit-c*1",)]


def test_a_draft_is_judged_by_every_rule() -> None:
    problem, wants, refuses = two_rules()
    quick, pool = quick_of(problem, wants, refuses), screened_of(problem, ["buying.stock"]).pool
    for memory, fits in (("kit-a*1", True), ("kit-a*2", False)):
        assert quick.admits(Draft(parts_of(pool, board="kept-board", memory=memory), (), (), 0, 0)) is fits


# -- rules asked of many rows ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("few", [0, 40])
def test_rules_of_rows_are_asked_once_of_those_that_look_the_same(
    few: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two boards that look the same, two processors, three memory choices: twelve rows, of which the rules see eight;
    asked one after the other, and by arrays (each rule only of what it sees, and of what no rule before refused)."""
    monkeypatch.setattr(row_rules, "FEW", few)
    boards = [board("a"), board("b")]
    offers = [*priced(PRICES), Offer("board-b", "shop", 4000), Offer("paste", "shop", 300)]
    problem = make_problem(coolers=(), boards=boards, extras=PASTES[:1], offers=offers)
    wants = Told(
        "x.paste", {"cpu": ("socket",)}, lambda p: need(("paste", 1)) if p.cpu.socket == "sock-1" else True
    )
    refuses = Told(
        "x.modules",
        {"board": ("socket",), "memory": ("modules",)},
        lambda p: p.board.socket == "sock-1" and p.memory.modules <= 2,
    )
    pool = screened_of(problem, ["buying.excluded"]).pool
    quick = quick_of(problem, wants, refuses)
    rest = tuple(pool.left[slot][0] for slot in REST)
    rules = RowRules(quick, quick.rules, [pool.left[slot] for slot in MAIN], rest)
    assert len(rules) == 2 and keys(pool.left["board"])[-1] == "kept-board"
    rows = np.array([(b, c, m) for b in range(len(pool.left["board"])) for c in range(2) for m in range(3)])
    found = rules.needs(*rows.T)
    expected = [
        FAR
        if pool.left["board"][b].kept or pool.left["memory"][m].part.modules > 2  # type: ignore[union-attr]
        else (300 if pool.left["cpu"][c].key == "cpu-a" else 0)
        for b, c, m in rows.tolist()
    ]
    assert found.tolist() == expected
    asked = len(wants.asked), len(refuses.asked)
    assert asked == (2, 6)  # two sockets of processors; two of boards x (kept, two modules, four)
    assert rules.needs(*rows.T).tolist() == expected and (len(wants.asked), len(refuses.asked)) == asked
    assert len(RowRules(quick, [], [pool.left[slot] for slot in MAIN], rest)) == 0
    none = np.zeros(0, dtype=np.int64)
    assert rules.needs(none, none, none).tolist() == []


def test_rows_that_are_refused_are_asked_nothing_more(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(row_rules, "FEW", 0)
    problem = with_pastes()
    first = Told("x.first", {"board": ("socket",)}, lambda p: p.board.socket == "sock-9")
    second = Told("x.second", {"cpu": ("socket",)}, lambda p: True)
    pool = screened_of(problem, ["buying.stock"]).pool
    quick = quick_of(problem, first, second)
    rules = RowRules(
        quick, quick.rules, [pool.left[slot] for slot in MAIN], tuple(pool.left[slot][0] for slot in REST)
    )
    assert rules.needs(np.array([0, 1]), np.array([0, 1]), np.array([0, 0])).tolist() == [FAR, FAR]
    assert len(first.asked) == 2 and second.asked == []


# -- cards where they are alike ----------------------------------------------------------------------------------------

# No twins: a refusal of one is none of the next.
CARDS = [replace(GRAPHICS, id=f"card-{n}", name=f"K {n}", load_mw=30000 + n) for n in range(4)]
CARD_PRICES = {"card-0": 700, "card-1": 600, "card-2": 800, "card-3": 500}


def with_cards(use: str = "office", bundles: Any = (), **more: Any) -> Any:
    brief = Brief(budget="900.00", replace=("graphics",), use=use)  # type: ignore[arg-type]
    return problem_of(PRICES | CARD_PRICES, graphics=CARDS, brief=brief, bundles=bundles, **more)


def test_when_cards_are_alike() -> None:
    for use, alike in (("office", True), ("games", False)):
        found = screened_of(with_cards(use))
        assert cards_are_alike(found.pool, found.quick) is alike and cards_compete(found.pool) is not alike
    found = screened_of(with_cards())
    two = found.pool.copy()
    two.left["graphics"] = two.left["graphics"][:2]
    assert cards_are_alike(two, found.quick)
    one = found.pool.copy()
    one.left["graphics"] = one.left["graphics"][:1]
    assert not cards_are_alike(one, found.quick)
    reads_both = Told("x.both", {"graphics": ("card",), "cooler": ("boxed",)}, lambda p: True)
    assert not cards_are_alike(found.pool, quick_of(found.pool.problem, reads_both))
    apart = Told("x.card", {"graphics": ("card",)}, lambda p: True)
    assert cards_are_alike(found.pool, quick_of(found.pool.problem, apart))
    games = screened_of(with_cards("games")).pool
    games.left["graphics"] = games.left["graphics"][:1]
    assert not cards_compete(games)


class Bounds:
    """A stand-in of the cost bound: so much money, and a least cost by the card."""

    def __init__(self, most_cost: int, least: dict[str, int]) -> None:
        self.most_cost, self._least = most_cost, least
        self.asked: list[tuple[str, frozenset[str]]] = []

    def least_cost(self, parts: Parts, needed: int, read: frozenset[str], asked: frozenset[str]) -> int:
        card = parts.candidate("graphics").key
        self.asked.append((card, read))
        return self._least.get(card, FAR) + needed


def chosen(refused: tuple[str, ...] = (), bundles: Any = ()) -> tuple[CardChoice, Parts, Told]:
    problem = with_cards(bundles=bundles)
    says = Told("x.card", {"graphics": ("id",)}, lambda p: p.graphics.id not in refused)
    pool = screened_of(problem, ["buying.stock"]).pool
    return CardChoice(pool, quick_of(problem, says), ALL - {"cooler"}), parts_of(pool), says


def test_cards_are_tried_by_price_until_no_other_can_cost_less() -> None:
    """None first; where that is refused the cheapest card, and nothing beyond what would cost more."""
    choice, parts, says = chosen()
    assert [(price, c.key) for price, c in choice._priced] == [
        (0, "kept-graphics"), (500, "card-3"), (600, "card-1"), (700, "card-0"), (800, "card-2"),
    ]  # fmt: skip
    pool = screened_of(with_cards(), ["buying.stock"]).pool
    pool.price[next(c for c in pool.left["graphics"] if c.key == "card-1")] = 0
    first, second, *_ = CardChoice(pool, quick_of(pool.problem), ALL)._priced
    assert (first[1].key, second[1].key) == ("kept-graphics", "card-1")  # what is kept first
    bounds: Any = Bounds(FAR, {"kept-graphics": 5000})
    assert choice.base(bounds, parts, 7, frozenset()) == 5007
    assert bounds.asked == [("kept-graphics", ALL - {"cooler", "graphics"})]
    assert choice.least_cost(bounds, parts, 7, frozenset(), 5007) == 5007
    assert says.asked == [("kept-graphics",)]


def test_a_refused_card_makes_way_for_the_next() -> None:
    choice, parts, says = chosen(("kept-graphics", "card-3"))
    bounds: Any = Bounds(FAR, {})
    assert choice.least_cost(bounds, parts, 0, frozenset(), 5000) == 5600
    assert [key for (key,) in says.asked] == ["kept-graphics", "card-3", "card-1"]
    bounds = Bounds(5550, {})
    assert (
        choice.least_cost(bounds, parts, 0, frozenset(), 5000) == 5600
    )  # more than the money: no bound closer
    choice, parts, _ = chosen(("kept-graphics", *CARD_PRICES))
    assert choice.least_cost(Bounds(FAR, {}), parts, 0, frozenset(), 5000) == FAR  # type: ignore[arg-type]
    assert choice.least_cost(Bounds(5499, {}), parts, 0, frozenset(), 5000) == 5500  # type: ignore[arg-type]
    assert choice.least_cost(Bounds(5500, {}), parts, 0, frozenset(), 5000) == 5600  # type: ignore[arg-type]


def test_cards_in_sets_are_asked_by_themselves() -> None:
    pair = Bundle("set", "Set", "parts", (("card-2", 1), (CPU.id, 1)), "shop", 3100)
    choice, parts, _ = chosen(("kept-graphics",), (pair,))
    assert keys(choice._bundled) == ["card-2"] and "card-2" not in [c.key for _, c in choice._priced]
    bounds: Any = Bounds(FAR, {"card-2": 5300})
    assert choice.least_cost(bounds, parts, 1, frozenset(), 5000) == 5301
    assert bounds.asked == [("card-2", ALL - {"cooler"})]
    assert choice.least_cost(Bounds(FAR, {"card-2": 5600}), parts, 1, frozenset(), 5000) == 5500  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "most, below, costs, tried, best",
    [
        (FAR, FAR, {"card-3": 5500, "card-1": 5600}, ["card-3"], 5500),
        # Dearer than its bound: the next may be cheaper, until its bound is no less.
        (FAR, FAR, {"card-3": 5650, "card-1": 5600, "card-0": 1}, ["card-3", "card-1"], 5600),
        (FAR, 5600, {"card-3": None, "card-1": 5600}, ["card-3"], None),
        (FAR, 5601, {"card-3": None, "card-1": 5600}, ["card-3", "card-1"], 5600),
        (FAR, 5500, {}, [], None),
        (FAR, 5501, {"card-3": None}, ["card-3"], None),
        # For so much money a bound only tells that it is more.
        (5200, 5201, {}, [], None),
        (5200, 5202, {"card-3": None, "card-1": None, "card-0": None, "card-2": None},
         ["card-3", "card-1", "card-0", "card-2"], None),
    ],
)  # fmt: skip
def test_the_cheapest_plan_over_the_cards(
    most: int, below: int, costs: Any, tried: list[str], best: int | None
) -> None:
    choice, parts, _ = chosen(("kept-graphics",))
    seen: list[tuple[str, int]] = []

    def draft(chosen_parts: Parts, less: int) -> Draft | None:
        card = chosen_parts.candidate("graphics").key
        seen.append((card, less))
        cost = costs[card]
        return None if cost is None else Draft(chosen_parts, (), (), cost, 0)

    found = choice.cheapest(parts, 5000, most, below, draft)
    assert (None if found is None else found.cost) == best and [card for card, _ in seen] == tried
    assert [less for _, less in seen][:1] == [below][: len(tried)]
    if len(seen) == 2 and costs["card-3"] is not None:
        assert seen[1] == ("card-1", costs["card-3"])


def test_a_set_with_a_card_is_drafted_first() -> None:
    pair = Bundle("set", "Set", "parts", (("card-2", 1), (CPU.id, 1)), "shop", 3100)
    choice, parts, _ = chosen(("kept-graphics",), (pair,))
    seen = []

    def draft(own: Parts, below: int) -> Draft:
        seen.append((own.candidate("graphics").key, below))
        return Draft(own, (), (), 5550, 0)

    found = choice.cheapest(parts, 5000, FAR, 9000, draft)
    assert found is not None and seen == [("card-2", 9000), ("card-3", 5550)]


def test_what_a_card_needs_counts_before_it_is_drafted() -> None:
    """The cheapest card wants paste for 3.00: 58.00 of it against 56.00 of the next; nothing is asked of cards whose
    price alone is too much."""
    offers = [*priced(PRICES | CARD_PRICES), Offer("paste", "shop", 300)]
    brief = Brief(budget="900.00", replace=("graphics",))
    problem = make_problem(coolers=(), graphics=CARDS, brief=brief, extras=PASTES[:1], offers=offers)
    says = Told(
        "x.card",
        {"graphics": ("id",)},
        lambda p: (
            False
            if p.graphics.id == "kept-graphics"
            else need(("paste", 1))
            if p.graphics.id == "card-3"
            else True
        ),
    )
    pool = screened_of(problem, ["buying.stock"]).pool
    quick = quick_of(problem, says)
    choice, parts = CardChoice(pool, quick, ALL - {"cooler"}), parts_of(pool)
    assert choice.least_cost(Bounds(FAR, {}), parts, 0, frozenset(), 5000) == 5600  # type: ignore[arg-type]

    def drafted(most: int, below: int) -> tuple[list[str], list[str]]:
        seen: list[str] = []
        needed: list[str] = []
        plain = choice._needs
        choice._needs = lambda own: needed.append(own.candidate("graphics").key) or plain(own)  # type: ignore[method-assign, func-returns-value]

        def draft(own: Parts, less: int) -> Draft | None:
            seen.append(own.candidate("graphics").key)
            return None

        assert choice.cheapest(parts, 5000, most, below, draft) is None
        choice._needs = plain  # type: ignore[method-assign]
        return needed, seen

    none = "kept-graphics"
    assert drafted(FAR, 5500) == ([none], [])
    assert drafted(FAR, 5501) == ([none, "card-3"], [])
    assert drafted(FAR, 5800) == ([none, "card-3", "card-1", "card-0"], ["card-1", "card-0"])
    assert drafted(FAR, 5801) == (
        [none, "card-3", "card-1", "card-0", "card-2"],
        ["card-3", "card-1", "card-0", "card-2"],
    )
    assert drafted(5200, 5201) == ([none], []) and drafted(5201, 5202) == ([none], [])


# -- effort of what is asked -------------------------------------------------------------------------------------------


def test_other_parts_that_are_not_read_make_no_other_question() -> None:
    problem, wants, refuses = two_rules()
    quick, pool = quick_of(problem, wants, refuses), screened_of(problem, ["buying.stock"]).pool
    others = [pool.left[slot][0] for slot in SLOTS]
    four = [
        next(c for c in pool.left["memory"] if c.key == "kit-a*2") if c.slot == "memory" else c
        for c in others
    ]
    read = frozenset({"board", "memory"})
    quick.allowed.screened.clear()
    assert len(quick.admitted(pool.left["board"], others, read)) == 2
    assert quick.admitted(pool.left["board"], four, read) == {}  # other memory: another question
    assert len(quick.allowed.screened) == 2
    cpu = [pool.left["cpu"][1] if c.slot == "cpu" else c for c in others]
    own = [pool.left["board"][1] if c.slot == "board" else c for c in others]
    for same in (cpu, own):
        assert len(quick.admitted(pool.left["board"], same, read)) == 2
    assert len(quick.allowed.screened) == 2


def test_only_memory_is_told_by_its_kinds(monkeypatch: pytest.MonkeyPatch) -> None:
    boards, kits = [board("a"), board("b")], [kit("a"), kit("b")]
    problem = problem_of(
        {"board-a": 1, "board-b": 1, "cpu-a": 1, "kit-a": 1, "kit-b": 2}, boards=boards, memory=kits
    )
    pool = screened_of(problem, ["buying.stock"]).pool
    quick = quick_of(problem, Told("x.any", {"board": ("year",), "memory": ("modules",)}, lambda p: True))
    counts, plain = [], Quick._admitted

    def admitted(self: Quick, listed: Any, *more: Any) -> Any:
        counts.append(len(listed))
        return plain(self, listed, *more)

    monkeypatch.setattr(Quick, "_admitted", admitted)
    others = [pool.left[slot][0] for slot in SLOTS]
    for slot in ("board", "memory", "psu"):
        assert quick.admitted(pool.left[slot], others, ALL).keys() == set(pool.left[slot])  # type: ignore[index]
    # Both twins of the boards and the kept one; of memory the kept and one and two kits; the supply.
    assert counts == [3, 3, 1]


@pytest.mark.parametrize("few, by_group", [(2, 1), (3, 0), (4, 0), (0, 1)])
def test_many_rows_are_asked_by_arrays(few: int, by_group: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Three that look different, once more, once less or as many as are asked one after the other."""
    monkeypatch.setattr(row_rules, "FEW", few)
    problem = with_pastes()
    pool = screened_of(problem, ["buying.stock"]).pool
    quick = quick_of(problem, Told("x.any", {"memory": ("id",)}, lambda p: True))
    rules = RowRules(
        quick, quick.rules, [pool.left[slot] for slot in MAIN], tuple(pool.left[slot][0] for slot in REST)
    )
    asked, plain = [], RowRules._needs_by_group
    monkeypatch.setattr(RowRules, "_needs_by_group", lambda self, rows: asked.append(1) or plain(self, rows))  # type: ignore[func-returns-value]
    assert rules.needs(np.zeros(3, dtype=int), np.zeros(3, dtype=int), np.arange(3)).tolist() == [0, 0, 0]
    assert len(asked) == by_group
