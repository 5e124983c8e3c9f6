"""What each method of the picks posts: the exact set of solutions of a tiny model (by enumeration), and where two
ways to say the same share one literal."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from typing import Any

import pytest
from enumerated import solutions
from ortools.sat.python import cp_model
from support import BOARD, CPU, make_problem

from partsolver.catalog.records import Extra, Offer
from partsolver.model.picks import Picks
from partsolver.problem.problem import Problem

FREE = set(product((0, 1), repeat=2))


def picks_of(problem: Problem | None = None) -> Picks:
    return Picks(cp_model.CpModel(), problem or make_problem(coolers=()))


def literals(picks: Picks, count: int) -> list[Any]:
    return [picks.model.new_bool_var(f"x{n}") for n in range(count)]


def left(picks: Picks, *wanted: Any) -> set[tuple[int, ...]]:
    return solutions(picks.model, *wanted)


def enforced_by(picks: Picks) -> list[list[int]]:
    """The literals of every row that holds under a condition, implications aside."""
    rows = [row for row in picks.model.proto.constraints if row.has_linear()]
    return [list(row.enforcement_literal) for row in rows if list(row.enforcement_literal)]


# -- picks -------------------------------------------------------------------------------------------------------------


def test_one_candidate_of_every_slot_is_picked() -> None:
    picks = picks_of()
    assert picks.size == 2 + 2 + 3 + 2 + 4
    assert [c.key for c, _ in picks.candidates("board")] == ["board-a", "kept-board"]
    boards = [literal for _, literal in picks.candidates("board")]
    assert boards == [picks.literal("board", "board-a"), picks.literal("board", "kept-board")]
    assert left(picks, *boards) == {(0, 1), (1, 0)}
    memory = [literal for _, literal in picks.candidates("memory")]
    assert left(picks, *memory) == {(1, 0, 0), (0, 1, 0), (0, 0, 1)}
    assert left(picks, *(literal for _, literal in picks.candidates("psu"))) == {(1,)}


def test_the_true_literal_and_what_is_not_yet_set() -> None:
    picks = picks_of()
    assert left(picks, picks.true) == {(1,)}
    assert (picks.purchases, picks.bundles, picks.needs, picks.most) == ([], [], {}, {})
    assert (picks.seller_used, picks.seller_goods) == ({}, {})
    assert picks.levels is picks.time is picks.power is picks.cost is None


def test_the_cooler_in_the_box_comes_with_a_bought_processor_that_has_one() -> None:
    """Three processors are bought: with a cooler, without one, not known; the present one was sold with one."""
    cpus = [
        replace(CPU, id=f"cpu-{n}", name=f"P {n}", boxed_cooler=value)
        for n, value in enumerate((True, False))
    ]
    picks = picks_of(make_problem(cpus=cpus, coolers=()))
    both = (picks.literal("cooler", "boxed-cooler"), *(literal for _, literal in picks.candidates("cpu")))
    assert [c.key for c, _ in picks.candidates("cpu")] == ["cpu-0", "cpu-1", "kept-cpu"]
    assert left(picks, *both) == {(1, 1, 0, 0), (0, 1, 0, 0), (0, 0, 1, 0), (0, 0, 0, 1)}


def test_a_cooler_in_a_box_needs_such_a_processor_and_may_be_left_out() -> None:
    problem = make_problem(cpus=[replace(CPU, boxed_cooler=False)])
    picks = picks_of(problem)
    assert [c.key for c, _ in picks.candidates("cooler")] == ["boxed-cooler", "kept-cooler", "cooler-a"]
    assert left(picks, *(literal for _, literal in picks.candidates("cooler"))) == {(0, 1, 0), (0, 0, 1)}
    picks = picks_of(
        replace(problem, candidates={**problem.candidates, "cooler": problem.slot("cooler")[1:]})
    )
    assert left(picks, *(literal for _, literal in picks.candidates("cooler"))) == {(1, 0), (0, 1)}


def test_a_total_is_the_amount_of_the_pick() -> None:
    picks = picks_of()
    total = picks.total("board", lambda board: board.memory_slots)
    assert left(picks, picks.literal("board", "board-a"), total) == {(1, 4), (0, 2)}


def test_an_integer_remembers_its_most() -> None:
    picks = picks_of()
    number = picks.integer(3, "n")
    assert picks.most == {number.index: 3}
    assert left(picks, number) == {(0,), (1,), (2,), (3,)}


# -- classes -----------------------------------------------------------------------------------------------------------


def test_a_class_is_one_literal_for_each_value_and_is_remembered() -> None:
    picks = picks_of()
    classes = picks.classes("memory", "modules", lambda c: c.part.modules)
    assert list(classes) == [2, 4]
    assert classes[4] is picks.literal("memory", "kit-a*2")  # of a single member its own
    keys = [literal for _, literal in picks.candidates("memory")]
    assert left(picks, *keys, *classes.values()) == {(1, 0, 0, 1, 0), (0, 1, 0, 1, 0), (0, 0, 1, 0, 1)}
    before = len(picks.model.proto.variables)
    assert picks.classes("memory", "modules", lambda c: 1 // 0) is classes
    assert picks.classes("memory", "modules again", lambda c: c.part.modules) == classes
    assert len(picks.model.proto.variables) == before  # the same disjunction is one literal
    assert picks.classes("board", "modules", lambda c: c.key) is not classes


def test_one_value_for_all_is_true() -> None:
    picks = picks_of()
    assert picks.classes("memory", "all", lambda c: 7) == {7: picks.true}
    assert picks.classes("board", "each", lambda c: c.key).keys() == {"board-a", "kept-board"}
    assert picks.classes("psu", "only", lambda c: c.key) == {"kept-psu": picks.true}


def test_samples_have_the_first_part_of_each_class() -> None:
    picks = picks_of()
    by_key = {c.key: (c.part, literal) for c, literal in picks.candidates("memory")}
    found = picks.samples("memory", lambda c: c.part.modules)
    assert list(found) == [2, 4]
    assert found[2][0] is by_key["kept-memory"][0] and found[4] == by_key["kit-a*2"]
    assert left(picks, found[2][1], found[4][1]) == {(0, 1), (1, 0)}
    one = picks.samples("memory", lambda c: None)
    assert one == {None: (by_key["kept-memory"][0], picks.true)}
    two = picks.samples("board", lambda c: c.key)
    assert [literal for _, literal in two.values()] == [literal for _, literal in picks.candidates("board")]


# -- logic -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("count", [2, 3])
def test_both_is_the_conjunction_and_any_of_the_disjunction(count: int) -> None:
    picks = picks_of()
    own = literals(picks, count)
    both, anyone = picks.both(*own), picks.any_of(own)
    rows = {(*values, int(all(values)), int(any(values))) for values in product((0, 1), repeat=count)}
    assert left(picks, *own, both, anyone) == rows
    before = len(picks.model.proto.variables), len(picks.model.proto.constraints)
    assert picks.both(*reversed(own)) is both and picks.any_of(own[::-1]) is anyone
    assert (len(picks.model.proto.variables), len(picks.model.proto.constraints)) == before


def test_what_is_true_adds_nothing_to_a_conjunction() -> None:
    picks = picks_of()
    a, b = literals(picks, 2)
    assert picks.both() is picks.true and picks.both(picks.true, picks.true) is picks.true
    assert picks.both(a) is a and picks.both(picks.true, a, picks.true) is a
    assert picks.both(a, b) is picks.both(picks.true, b, a)


def test_what_is_true_decides_a_disjunction() -> None:
    picks = picks_of()
    a, b = literals(picks, 2)
    assert picks.any_of([a, picks.true, b]) is picks.true and picks.any_of([picks.true]) is picks.true
    assert picks.any_of([a]) is a
    none = picks.any_of([])
    assert left(picks, none) == {(0,)}
    other = picks.any_of([a, b])
    assert picks.any_of([~a, b]) is not other and left(picks, a, b, other) == {
        (0, 0, 0),
        (0, 1, 1),
        (1, 0, 1),
        (1, 1, 1),
    }


def test_a_clause_holds_where_the_rule_is_on() -> None:
    picks = picks_of()
    a, on = literals(picks, 2)
    picks.clause(iter([a]), on)
    assert left(picks, a, on) == FREE - {(0, 1)}
    picks = picks_of()
    a, b = literals(picks, 2)
    picks.clause([a, b], picks.true)
    assert left(picks, a, b) == FREE - {(0, 0)}


def test_a_row_holds_where_the_rule_is_on() -> None:
    picks = picks_of()
    x, on = picks.integer(2, "x"), literals(picks, 1)[0]
    picks.require(x >= 2, on)
    assert left(picks, x, on) == {(0, 0), (1, 0), (2, 0), (2, 1)}
    assert enforced_by(picks) == [[on.index]]
    picks.require(x <= 2, picks.true)
    assert enforced_by(picks) == [[on.index]]
    before = len(picks.model.proto.constraints)
    picks.require(True, on)
    assert len(picks.model.proto.constraints) == before
    picks.require(False, on)
    assert left(picks, on) == {(0,)}
    picks.require(x <= 0, ~on)
    assert left(picks, x) == {(0,)} and enforced_by(picks) == [[on.index], [(~on).index]]


def test_a_switch_may_be_a_negation() -> None:
    picks = with_extras()
    a, off = literals(picks, 2)
    picks.clause([a], ~off)
    picks.need("rule.x", "key", [("paste", 1)], [a], ~off)
    assert left(picks, a, off, picks.purchases[0].literal) == {(0, 1, 0), (1, 0, 1), (1, 1, 0)}


def test_two_are_never_together_where_the_rule_is_on() -> None:
    picks = picks_of()
    a, b, on = literals(picks, 3)
    picks.never_together(a, b, on)
    assert left(picks, a, b, on) == set(product((0, 1), repeat=3)) - {(1, 1, 1)}


def _slots(picks: Picks) -> tuple[Any, Any, Any]:
    return tuple(picks.classes(slot, "kept", lambda c: c.kept)[True] for slot in ("board", "cpu", "memory"))  # type: ignore[return-value]


def test_what_is_refused_only_beside_something_new() -> None:
    """The present board and processor are refused together unless the memory stays as well."""
    picks = picks_of()
    board, cpu, memory = _slots(picks)
    picks.refuse_new(
        {"board": (board, True), "cpu": (cpu, True)}, ("board", "cpu", "memory", "psu"), picks.true
    )
    assert left(picks, board, cpu, memory) == set(product((0, 1), repeat=3)) - {(1, 1, 0)}


def test_what_is_bought_is_refused_whatever_stays() -> None:
    picks = picks_of()
    board, cpu, memory = _slots(picks)
    (on,) = literals(picks, 1)
    picks.refuse_new({"board": (board, True), "cpu": (~cpu, False)}, ("board", "cpu", "memory"), on)
    assert left(picks, board, cpu, memory, on) == {
        row for row in product((0, 1), repeat=4) if not (row[0] and not row[1] and row[3])
    }


def test_anything_new() -> None:
    picks = picks_of()
    board, cpu, _ = _slots(picks)
    new = picks.anything_new(("board", "cpu", "psu"))
    assert left(picks, board, cpu, new) == {(1, 1, 0), (0, 1, 1), (1, 0, 1), (0, 0, 1)}
    assert left(picks, picks.anything_new(("psu", "case"))) == {(0,)}
    assert picks.anything_new(("memory",)) is picks.classes("memory", "kept", lambda c: c.kept)[False]


def test_support_wants_a_compatible_partner() -> None:
    """Boards of sockets 1 and 0 beside processors of the same: only equal ones go together; what every value of
    the second goes with needs no clause."""
    picks = picks_of()
    slots, names = ("board", "cpu"), ("socket", "socket")
    keys = (lambda c: c.part.socket, lambda c: c.part.socket)
    before = len(picks.model.proto.constraints)
    picks.support(slots, names, keys, lambda a, b: True, picks.true)  # type: ignore[arg-type]
    assert len(picks.model.proto.constraints) == before
    (on,) = literals(picks, 1)
    picks.support(slots, names, keys, lambda a, b: a == b, on)  # type: ignore[arg-type]
    assert len(picks.model.proto.constraints) == before + 2
    board, cpu, _ = _slots(picks)
    assert left(picks, board, cpu, on) == set(product((0, 1), repeat=3)) - {(0, 1, 1), (1, 0, 1)}


def test_each_slot_of_a_support_has_its_own_name_and_key() -> None:
    picks = picks_of()
    keys = (lambda c: c.part.socket, lambda c: c.part.cores)
    picks.support(("board", "cpu"), ("socket", "cores"), keys, lambda *_: True, picks.true)
    assert list(picks.classes("board", "socket", lambda _: None)) == ["sock-1", "sock-0"]
    assert list(picks.classes("cpu", "cores", lambda _: None)) == [4, 2]


def test_support_goes_from_the_first_slot_to_the_second() -> None:
    """A new board wants the new processor, the present one takes any."""
    picks = picks_of()
    picks.support(
        ("board", "cpu"),
        ("kept", "kept"),
        (lambda c: c.kept, lambda c: c.kept),
        lambda board, cpu: board or not cpu,
        picks.true,
    )
    board, cpu, _ = _slots(picks)
    assert left(picks, board, cpu) == {(1, 1), (1, 0), (0, 0)}


def test_every_case_stands_beside_every_card() -> None:
    picks = picks_of()
    ((case, graphics, here),) = picks.cases_and_cards()
    assert (case.key, graphics.key) == ("kept-case", "kept-graphics") and left(picks, here) == {(1,)}


# -- purchases ---------------------------------------------------------------------------------------------------------

PASTE = Extra(id="paste", name="Paste", kind="paste")
GREASE = Extra(id="grease", name="Grease", kind="paste")
OFFERS = [Offer(part, "shop", price) for part, price in ((BOARD.id, 4000), ("paste", 300), ("grease", 200))]


def with_extras() -> Picks:
    return picks_of(make_problem(extras=[PASTE, GREASE], cpus=(), memory=(), coolers=(), offers=OFFERS))


def test_a_need_takes_one_option_where_a_condition_holds() -> None:
    picks = with_extras()
    a, b, on = literals(picks, 3)
    picks.model.add(a + b <= 1)
    picks.need("rule.x", "key", [("paste", 1), ("grease", 2)], [a, b], on)
    assert [(p.item, p.quantity, p.offer.price) for p in picks.purchases] == [
        ("paste", 1, 300),
        ("grease", 2, 200),
    ]
    ((rule, chosen),) = picks.needs.items()
    assert rule == ("rule.x", "key") and [(extra, n) for extra, n, _ in chosen] == [
        ("paste", 1),
        ("grease", 2),
    ]
    bought = [p.literal for p in picks.purchases]
    one = {(1, 0), (0, 1)}
    assert left(picks, a, b, on, *bought) == {
        (*values, *way)
        for values in product((0, 1), repeat=3)
        if values[0] + values[1] <= 1
        for way in (one if values[2] and sum(values[:2]) else {(0, 0)})
    }
    assert left(picks, bought[0], chosen[0][2]) == {(0, 0), (1, 1)}


def test_needs_of_one_rule_are_gathered_and_without_a_switch_hold_always() -> None:
    picks = with_extras()
    a, b = literals(picks, 2)
    picks.need("rule.x", "key", [("paste", 1)], [a], picks.true)
    picks.need("rule.x", "key", [("grease", 1)], [b], picks.true)
    assert [extra for extra, _, _ in picks.needs["rule.x", "key"]] == ["paste", "grease"]
    assert left(picks, a, b, *(p.literal for p in picks.purchases)) == {
        (0, 0, 0, 0),
        (0, 1, 0, 1),
        (1, 0, 1, 0),
        (1, 1, 1, 1),
    }


def test_without_an_option_each_condition_is_forbidden() -> None:
    picks = with_extras()
    a, b, on = literals(picks, 3)
    picks.need("rule.x", "key", [], [a, b], on)
    assert left(picks, a, b, on) == {(a, b, 0) for a, b in FREE} | {(0, 0, 1)}
    assert not picks.needs and not picks.purchases


def test_what_is_wanted_comes_from_one_offer_or_a_bundle() -> None:
    picks = picks_of()
    wanted, bundle = literals(picks, 2)
    offers = [Offer("item", "shop", 100), Offer("item", "shop", 90)]
    picks.buy("item", 2, offers, wanted, [bundle])
    first, second = (p.literal for p in picks.purchases)
    assert [(p.quantity, p.offer) for p in picks.purchases] == [(2, offers[0]), (2, offers[1])]
    assert left(picks, wanted, first, second, bundle) == {
        (0, 0, 0, 0),
        (1, 1, 0, 0),
        (1, 0, 1, 0),
        (1, 0, 0, 1),
    }
    picks.buy("other", 1, (), wanted)
    assert left(picks, wanted) == {(0,)}
