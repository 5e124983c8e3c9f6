"""The goals as numbers: steps, watts, ranks, their largest values, and how they are added to one sum."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from types import SimpleNamespace
from typing import Any

import pytest
from enumerated import solutions
from ortools.sat.python import cp_model
from support import BOARD, CPU, make_problem

from partsolver.model import objective
from partsolver.model.build import Built, build
from partsolver.model.objective import (
    EXACT,
    TIE_SLOTS,
    Level,
    break_tie,
    by_cost,
    levels,
    minimise,
    post_step,
    with_ids,
)
from partsolver.model.picks import Picks
from partsolver.model.solve import LINEAR_FROM, Limits, Solved, solve
from partsolver.wishes.brief import Brief

NO_CHOICE: dict[str, Any] = {"boards": (), "cpus": (), "memory": (), "coolers": ()}


def bare(most_time: int = 30, most_cost: int = 20, most_mw: int = 2500, **tables: Any) -> Built:
    """Picks of two boards, two processors and three memory choices (or of other tables), and numbers that nothing
    ties to them."""
    picks = Picks(cp_model.CpModel(), make_problem(**{"coolers": (), **tables}))
    time, cost, power = (
        picks.integer(most, name)
        for most, name in ((most_time, "time"), (most_cost, "cost"), (most_mw, "power"))
    )
    return Built(picks.model, picks, time, cost, power)


def step_at(least: int, resolution: str) -> dict[int, int]:
    """By time the step that the rows leave, of times from 7 to 30."""
    built = bare(30, 0, 0, **NO_CHOICE)
    built.model.add(built.time >= 7)
    step = post_step(built, least, Fraction(resolution))
    found = solutions(built.model, built.time, step)
    assert len(found) == len(dict(found))
    return dict(found)  # type: ignore[arg-type]


@pytest.mark.parametrize("resolution", ["1", "10", "15", "2.5", "100", "300"])
def test_a_step_is_so_many_percent_of_the_least_time(resolution: str) -> None:
    """floor(100 (T - T*) / (r T*)) by fractions, as design says; the least time is 10 here (a time below it is
    impossible)."""
    width = Fraction(resolution) * 10 / 100
    assert step_at(10, resolution) == {time: (time - 10) // width for time in range(10, 31)}


def test_a_step_by_hand() -> None:
    """10 % of a least time of 20 are 2 ppm."""
    assert step_at(20, "10") == {20 + n: n // 2 for n in range(11)}
    assert step_at(7, "100") == {time: (time - 7) // 7 for time in range(7, 31)}
    # 1 % of 7 are 7/100: 3 above it are 300/7, that is 42 and 6/7, the most that a step leaves over.
    assert step_at(7, "1") == {time: (time - 7) * 100 // 7 for time in range(7, 31)}


def test_without_a_resolution_every_millionth_counts() -> None:
    assert step_at(10, "0") == {time: time - 10 for time in range(10, 31)}


@pytest.mark.parametrize(
    "least, resolution, most",
    [(10, "0", 20), (10, "10", 20), (10, "15", 13), (10, "300", 0), (40, "1", 0), (40, "0", 0)],
)
def test_the_largest_step(least: int, resolution: str, most: int) -> None:
    """100 (30 - 10) / (r 10), rounded down; none above 0 where all times are below the least."""
    built = bare()
    step = post_step(built, least, Fraction(resolution))
    assert built.picks.most[step.index] == most


def named(built: Built, goals: list[Level]) -> list[tuple[str, int]]:
    return [
        (built.model.proto.variables[goal.expression.index].name, goal.most)
        if isinstance(goal.expression, cp_model.IntVar)
        else ("ids", goal.most)
        for goal in goals
    ]


def test_goals_in_order_with_their_largest_values() -> None:
    built = bare()
    goals = by_cost(built, built.picks.problem)
    assert named(built, goals) == [("cost", 20), ("time", 30), ("power_w", 3)]
    step = post_step(built, 10, Fraction(10))
    speed = replace(built.picks.problem, brief=Brief(goal="speed"))
    found, whole = levels(built, speed, step)
    # 2 boards x 2 processors x 3 memory choices, counted from 0.
    assert whole and named(built, found) == [("step", 20), ("cost", 20), ("power_w", 3), ("ids", 11)]
    found, whole = levels(built, replace(speed, brief=Brief(goal="cost")), None)
    assert whole and named(built, found) == [("cost", 20), ("time", 30), ("power_w", 3), ("ids", 11)]


@pytest.mark.parametrize("budget, most", [(None, 20), (7, 7), (20, 20), (21, 20), (0, 0)])
def test_the_budget_is_the_most_cost(budget: int | None, most: int) -> None:
    built = bare()
    assert by_cost(built, replace(built.picks.problem, budget=budget))[0].most == most


def test_watts_are_rounded_up() -> None:
    """Half of the first watt, a whole one, one and a bit: shown and compared is what is rounded up."""
    for mw, watts in (
        (0, 0),
        (1, 1),
        (500, 1),
        (999, 1),
        (1000, 1),
        (1001, 2),
        (2000, 2),
        (2001, 3),
        (2500, 3),
    ):
        built = bare(0, 0, **NO_CHOICE)
        (_, _, power) = by_cost(built, built.picks.problem)
        built.model.add(built.power == mw)
        assert solutions(built.model, power.expression) == {(watts,)}
    for mw, most in ((2000, 2), (2001, 3), (2_000_000, 2000)):
        assert by_cost(bare(most_mw=mw), make_problem())[2].most == most


def test_ids_count_through_the_sorted_keys_board_first() -> None:
    """Mixed radix: board x 6 + processor x 3 + memory, positions by sorted keys; the cooler does not count."""
    built = bare()
    (ids,), whole = with_ids(built, [])
    assert whole and ids.most == 11
    rows = {}
    literals = [[lit for _, lit in built.picks.candidates(slot)] for slot in ("board", "cpu", "memory")]
    for board in range(2):
        for cpu in range(2):
            for memory in range(3):
                trial = built.model.clone()
                for own, number in zip(literals, (board, cpu, memory), strict=True):
                    trial.add(own[number] == 1)
                rows[board, cpu, memory] = solve(trial, Limits()).evaluate(ids.expression)
    assert rows == {(b, c, m): 6 * b + 3 * c + m for b in range(2) for c in range(2) for m in range(3)}
    assert TIE_SLOTS == ("board", "cpu", "memory", "psu", "case", "drive", "graphics")


def test_ids_are_left_out_where_the_sum_would_not_be_exact() -> None:
    """12 ranks: goals below 2^52 / 12 leave room for them, more do not (2^53 is exact in a double)."""
    built = bare()
    assert EXACT == 2**52
    room = EXACT // 12
    for most, whole in ((room - 2, True), (room - 1, True), (room, False)):
        goals = [Level(built.cost, most)]
        found, told = with_ids(built, goals)
        assert (told, len(found)) == (whole, 1 + whole) and found[0] is goals[0]
    built = SimpleNamespace(picks=Picks(cp_model.CpModel(), make_problem(**NO_CHOICE)))  # type: ignore[assignment]
    (ids,), whole = with_ids(built, [])
    assert ids.most == 0 and whole
    for most, whole in ((EXACT - 2, True), (EXACT - 1, False)):
        assert with_ids(built, [Level(0, most)])[1] is whole


# -- one sum or several ------------------------------------------------------------------------------------------------


def numbers(*most: int) -> tuple[Any, list[Any]]:
    """Numbers that add up to 9 at least, each at most 8."""
    model = cp_model.CpModel()
    own = [model.new_int_var(0, 8, f"x{n}") for n, _ in enumerate(most)]
    model.add(sum(own) >= 9)
    return SimpleNamespace(model=model), own


def asked(monkeypatch: pytest.MonkeyPatch) -> list[tuple[cp_model.CpModel, int]]:
    """The models that are solved from now on, with the number of their rows then."""
    seen: list[tuple[cp_model.CpModel, int]] = []

    def look(model: cp_model.CpModel, limits: Limits, *more: Any, **named: Any) -> Solved:
        seen.append((model, len(model.proto.constraints)))
        return solve(model, limits, *more, **named)

    monkeypatch.setattr(objective, "solve", look)
    return seen


def test_three_goals_that_fit_are_one_exact_sum(monkeypatch: pytest.MonkeyPatch) -> None:
    """Largest values 8, 9 and 10: x comes first, then y, then z: 0, 1, 8 = 0 x 110 + 1 x 11 + 8."""
    seen = asked(monkeypatch)
    built, (x, y, z) = numbers(8, 9, 10)
    solved, values = minimise(built, [Level(x, 8), Level(y, 9), Level(z, 10)], Limits())
    assert (values, solved.objective, solved.status) == ([0, 1, 8], 19, "optimal")
    assert seen == [(built.model, 1)]  # the model itself, nothing added


def test_goals_that_do_not_fit_are_held_one_after_the_other(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two in the first sum, one in the second: what the first reached is held in a copy, the last not."""
    seen = asked(monkeypatch)
    built, (x, y, z) = numbers(1, 1, 1)
    goals = [Level(x, 2**26 - 1), Level(y, 2**25), Level(z, 8)]
    solved, values = minimise(built, goals, Limits())
    assert (values, solved.objective) == ([0, 1, 8], 8)
    assert [rows for _, rows in seen] == [1, 3]
    assert seen[0][0] is seen[1][0] is not built.model and len(built.model.proto.constraints) == 1


def test_where_a_sum_ends_to_be_exact(monkeypatch: pytest.MonkeyPatch) -> None:
    """2^26 x 2^26 is 2^52: no exact sum any more; one less is."""
    seen = asked(monkeypatch)
    for most, solves in ((2**26 - 2, 1), (2**26 - 1, 2)):
        built, (x, y) = numbers(1, 1)
        assert minimise(built, [Level(x, 2**26 - 1), Level(y, most)], Limits())[1] == [1, 8]
        assert len(seen) == solves
        seen.clear()


def test_a_goal_joins_the_last_sum_and_no_earlier_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """2^40, 2^20 and 2^20: the second does not go with the first, the third goes with the second."""
    seen = asked(monkeypatch)
    built, (x, y, z) = numbers(1, 1, 1)
    goals = [Level(x, 2**40), Level(y, 2**20), Level(z, 2**20)]
    assert minimise(built, goals, Limits())[1] == [0, 1, 8] and [rows for _, rows in seen] == [1, 2]


def test_a_goal_that_is_too_large_alone_is_a_sum_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    seen = asked(monkeypatch)
    built, (x, y) = numbers(1, 1)
    solved, values = minimise(built, [Level(x, EXACT), Level(y, 8)], Limits())
    assert values == [1, 8] and [rows for _, rows in seen] == [1, 2] and solved.status == "optimal"


# -- ties --------------------------------------------------------------------------------------------------------------


def tied(rows: int = 0) -> Built:
    """Boards and processors of one price: the keys decide (board-a, cpu-a, kept-memory come first). Any plan
    with the present board is given as the first."""
    boards = [BOARD, replace(BOARD, id="board-b", name="Board B")]
    picks = Picks(cp_model.CpModel(), make_problem(boards=boards, cpus=[CPU], coolers=()))
    cost = picks.integer(9, "cost")
    for n in range(rows):
        picks.integer(1, f"free {n}")
    return Built(picks.model, picks, cost, cost, cost)


def keys(built: Built, solved: Solved) -> list[str]:
    return [c.key for slot in TIE_SLOTS[:3] for c, lit in built.picks.candidates(slot) if solved.value(lit)]


def test_of_equals_the_first_keys_come_first(monkeypatch: pytest.MonkeyPatch) -> None:
    built = tied()
    built.model.add(built.picks.literal("board", "board-a") == 0)
    built.model.add(built.picks.literal("cpu", "cpu-a") <= built.cost)
    first = solve(built.model, Limits())
    for value, expected in (
        (0, ["board-b", "kept-cpu", "kept-memory"]),
        (3, ["board-b", "cpu-a", "kept-memory"]),
    ):
        found = break_tie(built, [Level(built.cost, 9)], [value], Limits(), first)
        assert (found.status, keys(built, found), found.value(built.cost)) == ("optimal", expected, value)
        monkeypatch.setattr(objective, "EXACT", 2)  # one slot after the other
        found = break_tie(built, [Level(built.cost, 9)], [value], Limits(), first)
        assert (found.status, keys(built, found), found.value(built.cost)) == ("optimal", expected, value)
        monkeypatch.undo()
    assert not built.model.has_objective()  # a copy was asked


def test_where_nothing_is_to_choose_the_first_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    seen = asked(monkeypatch)
    picks = Picks(cp_model.CpModel(), make_problem(**NO_CHOICE))
    cost = picks.integer(9, "cost")
    built, first = Built(picks.model, picks, cost, cost, cost), Solved("optimal", ())
    assert break_tie(built, [], [], Limits(), first) is first and not seen


def test_a_slot_with_one_candidate_hides_none_after_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """Only the present board, then two processors: slot by slot the first processor is found."""
    picks = Picks(cp_model.CpModel(), make_problem(boards=(), cpus=[CPU], memory=(), coolers=()))
    cost = picks.integer(9, "cost")
    picks.model.add(cost >= picks.literal("cpu", "kept-cpu"))  # any first plan may have either
    built = Built(picks.model, picks, cost, cost, cost)
    monkeypatch.setattr(objective, "EXACT", 1)
    found = break_tie(built, [], [], Limits(), solve(built.model, Limits()))
    assert (found.status, keys(built, found)) == ("optimal", ["kept-board", "cpu-a", "kept-memory"])


def test_slot_by_slot_what_was_found_of_one_holds_for_the_next(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first board stands only beside the present processor: it decides, though another board would leave the first
    processor."""
    picks = Picks(cp_model.CpModel(), make_problem(boards=[BOARD], cpus=[CPU], memory=(), coolers=()))
    picks.model.add_bool_or([~picks.literal("board", "board-a"), ~picks.literal("cpu", "cpu-a")])
    cost = picks.integer(9, "cost")
    built = Built(picks.model, picks, cost, cost, cost)
    monkeypatch.setattr(objective, "EXACT", 1)
    found = break_tie(built, [], [], Limits(), solve(built.model, Limits()))
    assert (found.status, keys(built, found)) == ("optimal", ["board-a", "kept-cpu", "kept-memory"])


@pytest.mark.parametrize("exact, solves", [(17, 3), (18, 1), (19, 1)])
def test_ranks_below_what_is_exact_are_asked_at_once(
    exact: int, solves: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """3 boards, 2 processors, 3 memory choices: the last rank is 17, and three slots have a choice."""
    built = tied()
    seen = asked(monkeypatch)
    monkeypatch.setattr(objective, "EXACT", exact)
    first = solve(built.model, Limits())
    found = break_tie(built, [], [], Limits(), first)
    assert keys(built, found) == ["board-a", "cpu-a", "kept-memory"] and len(seen) == solves


def test_slots_with_one_candidate_are_not_asked_and_what_is_not_proved_ends_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    built = tied()
    first = solve(built.model, Limits())
    monkeypatch.setattr(objective, "EXACT", 1)
    seen = []

    def answer(model: cp_model.CpModel, limits: Limits) -> Solved:
        found = solve(model, limits)
        seen.append(found.objective)
        return Solved("feasible", found.values, found.objective) if len(seen) == 2 else found

    monkeypatch.setattr(objective, "solve", answer)
    assert break_tie(built, [], [], Limits(), first).status == "feasible" and seen == [0, 0]


@pytest.mark.parametrize("more, presolve", [(0, False), (1, True)])
def test_a_small_model_is_not_presolved_for_the_tie(
    more: int, presolve: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = len(tied().model.proto.variables)
    built = tied(LINEAR_FROM - own + more)
    first, seen = solve(built.model, Limits()), []

    def answer(model: cp_model.CpModel, limits: Limits, hint: Solved, presolve: bool) -> Solved:
        seen.append((hint is first, presolve))
        return hint

    monkeypatch.setattr(objective, "solve", answer)
    break_tie(built, [], [], Limits(), first)
    assert seen == [(True, presolve)]


def test_the_whole_model_has_these_goals() -> None:
    """A model of the base problem under no rules: the cheapest plan buys nothing and comes from the keys."""
    problem = make_problem(brief=Brief(goal="cost", budget="100.00"), coolers=())
    built = build(problem, [])
    found, whole = levels(built, problem, None)
    solved, values = minimise(built, found, Limits())
    assert whole and solved.status == "optimal" and values[0] == 0 and len(values) == 4
    assert keys(built, solved) == ["kept-board", "kept-cpu", "kept-memory"]
