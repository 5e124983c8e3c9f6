"""What only fleets of many PCs do: a choice from the relaxation's whole part, mixed prices, prices packed for
workers."""

from __future__ import annotations

import pickle

import pytest
from fleets import LIMITS, answer, fleet_of

from partsolver.base.errors import NotDecided
from partsolver.fleet.goods import OneCopy
from partsolver.fleet.pool import Pool
from partsolver.fleet.work import Here
from partsolver.report.fleet import fleet_document
from partsolver.solve.fleet import generate, relax
from partsolver.solve.fleet.form import Form
from partsolver.solve.fleet.plan import plan_fleet, stock_of
from partsolver.solve.fleet.propose import keeps, proposed, whole_part
from partsolver.solve.fleet.relax import relaxed
from partsolver.solve.fleet.smooth import share_after


def knapsack() -> Form:
    """Five PCs of one kind; plans a and b, worth 3 and 2, of a part with nine pieces of which a takes two and
    b one: the best is 14, four a and one b, and so says the relaxation."""
    form = Form(10)
    form.bound(("class", 0), 5, 5)
    form.bound(("stock",), None, 9)
    for name, worth, pieces in (("a", 3, 2), ("b", 2, 1), ("c", 0, 0)):
        x = form.variable(("pcs", 0, name), 5)
        form.add(("class", 0), x, 1)
        form.add(("stock",), x, pieces)
        form.goal[x] = worth
    return form


def test_pcs_keep_what_the_relaxation_gives_them_whole() -> None:
    form = knapsack()
    found = relaxed(form)
    assert found is not None
    a, b = form.index["pcs", 0, "a"], form.index["pcs", 0, "b"]
    assert whole_part(form, found, None) == {a: 4, b: 1}
    assert whole_part(form, found, {("pcs", 0, "a"): 1, ("pcs", 0, "b"): 4}) == {a: 1, b: 1}


def test_the_others_are_chosen_for_and_every_row_is_kept() -> None:
    form = knapsack()
    a = form.index["pcs", 0, "a"]
    # What is fixed stays, the best beside it is found.
    whole = proposed(form, 0.0, {a: 2})
    assert form.value_of(form.whole(whole)) == 14 and keeps(form, whole)
    # More is fixed than there is: no choice.
    assert proposed(form, 0.0, {a: 5}) == []


def test_mixtures_lean_to_the_newest_prices_while_bounds_become_better() -> None:
    assert 0 < share_after(0.6, True) < 0.6 < share_after(0.6, False) < 1
    share = 0.6
    for _ in range(50):
        share = share_after(share, False)
    assert share <= 1 and share_after(share, True) < share


def test_goods_of_other_processes_are_the_goods_that_are_known() -> None:
    fleet = fleet_of(0, "most-speed", None)
    columns = [c for begun in Here(fleet.classes, stock_of(fleet)).begin() for c in begun.columns]
    one = OneCopy()
    known = [one.column(c) for c in columns]
    again = [one.column(pickle.loads(pickle.dumps(c))) for c in columns]
    assert again == known == columns
    pairs = [
        (a[0], b[0])
        for k, c in zip(known, again, strict=True)
        for a, b in zip(k.demand, c.demand, strict=True)
    ]
    assert pairs and all(a is b for a, b in pairs)


def test_two_workers_plan_a_large_fleet_as_one_process_does() -> None:
    fleet = fleet_of(3, "most-speed", 30000, (12, 9))
    with Pool(fleet.classes, stock_of(fleet), 2) as pool:
        assert fleet_document(plan_fleet(fleet, pool, LIMITS)) == fleet_document(answer(fleet))


def test_what_one_way_of_the_relaxation_leaves_open_another_solves(monkeypatch: pytest.MonkeyPatch) -> None:
    """GLOP gave up on 10,000 PCs of 40 kinds ("abnormal": rounding): no fault of the program's, nor of a person."""
    expected = relaxed(knapsack())
    solved = relax._is_solved
    monkeypatch.setattr(relax, "_is_solved", lambda solver, way: way != "" and solved(solver, way))
    found = relaxed(knapsack())
    assert expected is not None and found is not None
    assert found.value == pytest.approx(expected.value) and found.values == pytest.approx(expected.values)
    monkeypatch.setattr(relax, "_is_solved", lambda solver, way: False)
    assert relaxed(knapsack()) is None


def test_a_relaxation_that_ends_nowhere_ends_the_rounds_and_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    fleet = fleet_of(3, "most-speed", 30000, (12, 9))
    asked = []

    def first_only(form: Form) -> object:
        asked.append(form)
        return relaxed(form) if len(asked) == 1 else None

    monkeypatch.setattr(generate, "relaxed", first_only)
    with pytest.raises(NotDecided):  # the cost after the goal has no relaxation at all
        answer(fleet)
    assert len(asked) > 1


def test_a_choice_is_made_of_many_plans_far_from_the_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of more plans than HiGHS looks through, with a relaxation that never comes near its bound, HiGHS chooses for the
    PCs that the relaxation does not serve whole (CP-SAT, which was asked before, proves nothing of many)."""
    fleet = fleet_of(3, "most-speed", 30000, (12, 9))
    monkeypatch.setattr(generate, "MOST_TRIED", 0)
    monkeypatch.setattr(generate, "NEAR_ENOUGH", -(10**9))
    monkeypatch.setattr(generate.Generator, "_choose", lambda *asked: None)
    outcome = answer(fleet)
    assert outcome.cost <= 30000 and 0 < outcome.stages[0].value <= outcome.stages[0].bound


def test_the_worst_off_of_many_come_to_an_end() -> None:
    """The first level is the highest that all PCs reach together: none at a speed above it is reached by all."""
    outcome = answer(fleet_of(3, "worst-first", 30000, (12, 9)))
    levels = [s for s in outcome.stages if s.name.startswith("speed")]
    assert 1 <= len(levels) <= 9 and all(0 <= s.value <= s.bound for s in levels)
    slowest = min(100_000_000 // (one.result.column.time_ppm or 10**9) for one in outcome.pcs)
    if levels[0].value == len(outcome.pcs):
        assert slowest >= int(levels[0].name.split(">=")[1])
    assert [s.value for s in levels] == sorted((s.value for s in levels), reverse=True)
