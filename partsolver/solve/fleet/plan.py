"""Plan a fleet: begin every class, reach the goals in order, give every PC its plan, and check it all
plainly."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

from partsolver import __version__
from partsolver.base.errors import InternalFault
from partsolver.base.records import record
from partsolver.catalog.records import Offer
from partsolver.fleet.assign import PcResult, assigned
from partsolver.fleet.goals import ClassFigures
from partsolver.fleet.kept import digest_of
from partsolver.fleet.outcome import (
    Changes,
    FleetOutcome,
    Following,
    Judged,
    check_donors,
    judged,
    orders_of,
    price_reached,
)
from partsolver.fleet.records import SHELF, Break, Column, Fleet
from partsolver.fleet.work import ColumnName, Former, Stock, Workers
from partsolver.model.solve import SOLVER, Limits
from partsolver.solve.fleet.form import Supply
from partsolver.solve.fleet.generate import MOST_BESIDE, Generator, Progress, Remember
from partsolver.solve.fleet.goals_in_order import Choice, choose, first_goal

# What the question "what would more money buy" adds to the budget, units of the currency.
MORE = 100


def stock_of(fleet: Fleet) -> Stock:
    """What all classes of a fleet share. Its digest names all that the work on it depends on."""
    wishes, catalog = fleet.wishes, fleet.catalog
    named = [
        __version__,
        SOLVER,
        catalog.info.digest,
        wishes.least_speedup,
        str(wishes.scrap),
        *(one.key for one in fleet.classes),
        *(repr(offer) for offer in catalog.tables["offers"] if offer.seller == SHELF),
        *(repr(one) for one in fleet.breaks),
    ]
    return Stock(digest_of(*named), catalog, dict(fleet.take_outs), wishes.least_speedup, wishes.scrap)


@record
class Before:
    """A fleet that is planned again: the plans its PCs have, and what cannot be had any more."""

    plans: Mapping[str, ColumnName]
    gone: tuple[str, ...]


def plan_fleet(
    fleet: Fleet,
    workers: Workers,
    limits: Limits,
    progress: Progress = lambda text: None,
    remember: Remember | None = None,
    before: Before | None = None,
) -> FleetOutcome:
    """The answer for a fleet; ``before``: the plans that its PCs have already, of which as few as possible
    change. Raises InternalFault when the plain check contradicts it."""
    kinds = len(fleet.classes)
    progress(f"first plans: 0 of {kinds} kinds of PCs")
    begun = workers.begin(lambda done: progress(f"first plans: {done} of {kinds} kinds of PCs"))
    breaks: dict[tuple[str, str], tuple[Break, ...]] = {}
    for b in fleet.breaks:
        breaks[b.part, b.seller] = (*breaks.get((b.part, b.seller), ()), b)
    figures = tuple(one.figures for one in begun)
    supply = Supply(
        tuple(one.size for one in fleet.classes), figures, fleet.sellers, breaks, fleet.wishes.budget
    )
    former = _former(fleet, before.plans if before else {}, workers)
    if before:
        supply = replace(supply, former=_counted(fleet, former))
    generator = Generator(
        supply,
        [one.columns for one in begun],
        list(dict.fromkeys(goods for one in begun for goods in one.bundled)),
        workers.ask,
        limits,
        progress,
        remember or (lambda question, solve: solve()),
    )
    for listed, counted in zip(generator.columns, supply.former, strict=False):
        listed.update(dict.fromkeys(counted))
    choice = choose(generator, fleet.wishes.goal)
    results = _left_alone(_results(fleet, choice, former), figures, generator.standing)
    check_donors(results)
    orders = orders_of(results, choice.values, fleet)
    cost = next(stage.value for stage in choice.stages if stage.name == "cost")
    total = sum(order.total for order in orders)
    if total > cost or (fleet.wishes.budget is not None and total > fleet.wishes.budget):
        raise InternalFault(f"the orders cost {total}, the joint choice {cost}")
    found, problems = judged(fleet, results)
    told = tuple(replace(one, why=_why(one, figures, generator.columns)) for one in found)
    following = None
    generator.most_nodes, generator.is_open = MOST_BESIDE, False
    if fleet.wishes.budget is not None:
        progress("looking what more money would buy")
        budget = fleet.wishes.budget + MORE * 10**fleet.catalog.info.digits
        generator.supply = replace(supply, budget=budget)
        following = Following(budget, first_goal(generator, fleet.wishes.goal))
    changes = None
    if before:
        progress("looking what the fleet planned anew would reach")
        # What was chosen with more money is no choice here.
        generator.supply, generator.values = replace(supply, former=()), choice.values
        anew = first_goal(generator, fleet.wishes.goal)
        kept = frozenset(r.pc for r in results if r.column.name == before.plans.get(r.pc))
        changes = Changes(before.gone, before.plans, kept, anew)
    left = _left(fleet, results)
    # The last goal may have come upon the same for less.
    stages = tuple(replace(s, value=total) if s.name == "cost" else s for s in choice.stages)
    return FleetOutcome(fleet, told, orders, left, stages, following, problems, changes)


def _former(fleet: Fleet, plans: Mapping[str, ColumnName], workers: Workers) -> dict[str, Column]:
    """By PC the column of the plan it has, where that can still be had."""
    asked = [
        Former(i, tuple(sorted({plans[pc] for pc in one.pcs if pc in plans})))
        for i, one in enumerate(fleet.classes)
    ]
    found: dict[str, Column] = {}
    for one, task, columns in zip(fleet.classes, asked, workers.former(asked) if plans else (), strict=False):
        known = dict(zip(task.names, columns, strict=True))
        for pc in one.pcs:
            column = known.get(plans[pc]) if pc in plans else None
            if column is not None:
                found[pc] = column
    return found


def _counted(fleet: Fleet, former: Mapping[str, Column]) -> tuple[Counter[Column], ...]:
    return tuple(Counter(former[pc] for pc in one.pcs if pc in former) for one in fleet.classes)


def _results(fleet: Fleet, choice: Choice, former: Mapping[str, Column]) -> tuple[PcResult, ...]:
    pieces: Counter[Offer] = Counter()
    for key, value in choice.values.items():
        if key[0] == "bought":
            pieces[key[2]] += value
    prices = {offer: price_reached(offer, n, fleet.breaks) for offer, n in pieces.items()}
    return assigned(fleet.classes, choice.counts, choice.values, prices, former)


def _left_alone(
    results: Sequence[PcResult], figures: Sequence[ClassFigures], standing: Sequence[Sequence[Column]]
) -> tuple[PcResult, ...]:
    """PCs that do not run and of which no part is used are left as they are: nobody takes them apart for nothing."""
    used = frozenset().union(*(result.donors for result in results))

    def left(result: PcResult) -> PcResult:
        if result.column.kind != "scrap" or result.pc in used or figures[result.number].runs:
            return result
        nothing = next(column for column in standing[result.number] if column.kind == "nothing")
        return replace(result, column=nothing)

    return tuple(map(left, results))


def _left(fleet: Fleet, results: Sequence[PcResult]) -> tuple[tuple[str, int], ...]:
    """What stays on the shelf."""
    used: Counter[str] = Counter()
    for result in results:
        for piece in result.pieces:
            if piece.offer is not None and piece.offer.seller == SHELF:
                used[piece.item] += piece.pieces
    there: Counter[str] = Counter()
    for offer in fleet.catalog.tables["offers"]:
        if offer.seller == SHELF:
            there[offer.part] += offer.stock or 0
    return tuple((part, n - used[part]) for part, n in sorted(there.items()) if n > used[part])


def _why(one: Judged, figures: Sequence[ClassFigures], columns: Sequence[dict[Column, None]]) -> str | None:
    """Why a PC gets nothing: it cannot be compared, no plan helps it whatever the money, or the stock and
    money do more elsewhere."""
    if one.result.column.kind != "nothing":
        return None
    if figures[one.result.number].present_ppm is None:
        return "unknown-speed"
    plans = [c for c in columns[one.result.number] if c.kind == "plan"]
    return "elsewhere" if plans else "no-plan"
