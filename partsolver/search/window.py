"""The window: the candidates among which CP-SAT decides.

It holds every plan that can be wanted, by bounds that hold for every plan; and for an answer that a person
sees so many combinations beyond them that the model's agreement with the search says something
(``LEAST_EACH``): a model of a single combination can only repeat what the search said. Those beyond are the
nearest by their bounds, beyond the limits of money and time where need be, and whether what the rules said is
remembered as a refusal or not: a bound too high, or a rule remembered wrongly, shows as a plan of the model
that the search does not have.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

import numpy as np

from partsolver.base.quantities import FAR
from partsolver.base.records import record
from partsolver.plan.complete import allowed_by
from partsolver.plan.draft import Draft
from partsolver.plan.purchase import least_of
from partsolver.plan.steps import step_end, steps_of
from partsolver.problem.candidates import SLOTS, Candidate
from partsolver.problem.problem import Problem
from partsolver.rules import buying_budget, buying_minimums, memory_generation, platform_socket
from partsolver.rules.base import Rule
from partsolver.rules.buying_minimums import most_time_ppm
from partsolver.search.allowances import FIRST_COST_WIDTH
from partsolver.search.bounds import Figures
from partsolver.search.coolers import drop_coolers
from partsolver.search.pool import MAIN, REST, Pool
from partsolver.search.prune import Screened, drop_dominated
from partsolver.search.rows import Rows
from partsolver.search.search import Point, Search
from partsolver.search.shortlist import Goals

# Combinations of board, processor and memory (agreeing in socket and generation) that the model of a shown
# answer holds for each wanted plan, where as many exist. Measured: benchmarks/README.md.
LEAST_EACH = 20
# Parts in a thousand by which limits are widened to find them, one after the other.
WIDER = (2, 10, 30, 100, 300, 1000, 4000, 20000)
# Candidates of a model that is still decided in minutes (a catalogue of 100,000 parts leaves 40,000 where only
# the bounds of single parts are known).
MOST_MODELLED = 20_000
# Candidates of a slot among which a plan is looked for where none should be.
MOST_NEAREST = 24

TwoGoals = Callable[[Rows], tuple[Any, Any]]


@record
class Window:
    """The candidates of a model. combinations: of board, processor and memory that go together in it, counted
    up to ``LEAST_EACH`` for each wanted plan, None where they were not counted (all that the bounds of single
    parts leave). enough_from: the least money with which there are as many within the same time, whatever else
    the limits are (FAR: that is not known)."""

    pool: Pool
    combinations: int | None
    enough_from: int = FAR


def whole_window(found: Screened, wanted: int) -> Window:
    """All that the first step of the pruning leaves: of small problems."""
    return Window(found.pool, min(combinations_of(found.pool), LEAST_EACH * max(1, wanted)))


def window_within(found: Screened, search: Search, most_time: int, most_cost: int, wanted: int) -> Window:
    """The plans within a time and a cost. ``wanted``: plans that a person sees, 0 for an inner question."""
    return _window(found, search, most_time, most_cost, _cost_then_time, (most_cost, FAR), wanted)


def window_faster_than(found: Screened, search: Search, known: Draft, wanted: int) -> Window:
    """The plans that are faster than a known one, and that one."""
    most = known.time_ppm - 1
    window = _window(
        found,
        search,
        most,
        found.most_cost,
        lambda rows: (rows.time_ppm, rows.cost),
        (most, FAR),
        wanted,
    )
    pool = window.pool
    for slot, candidate in zip(SLOTS, known.parts.picked, strict=True):
        if candidate not in pool.left[slot]:
            pool.left[slot] = [c for c in search.pool.left[slot] if c is candidate or c in pool.left[slot]]
    drop_coolers(pool, found.quick)
    return window


def limits_of_ranks(
    found: Screened, worst: Goals | None, least_ppm: int | None, resolution: Fraction
) -> tuple[int, int]:
    """The most time and cost of plans that are no worse than a (step, cost), or, where there is no least time,
    than a (cost, time); None: as few plans are known as are wanted."""
    if worst is None:
        return found.most_time, found.most_cost
    if least_ppm is None:
        return found.most_time, min(worst[0], found.most_cost)
    most_cost = min(found.most_cost, worst[1]) if worst[0] == 0 else found.most_cost
    return min(found.most_time, step_end(least_ppm, resolution, worst[0])), most_cost


def window_of_ranks(
    found: Screened,
    search: Search,
    limits: tuple[int, int],
    worst: Goals,
    least_ppm: int,
    resolution: Fraction,
    wanted: int,
) -> Window:
    """The plans within limits that are no worse than a (step, cost)."""
    return _window(
        found,
        search,
        *limits,
        lambda rows: (steps_of(rows.time_ppm, least_ppm, resolution), rows.cost),
        worst,
        wanted,
    )


def _window(
    found: Screened,
    search: Search,
    most_time: int,
    most_cost: int,
    goals: TwoGoals,
    worst: Goals,
    wanted: int,
) -> Window:
    """The candidates of the rows whose goals are no worse than ``worst`` (those that neither the rules nor
    the money refuse), and of the nearest others.

    1. All rows within the limits whose bounds are no worse.
    2. Those of them that are open: what their rules and close costs do not refuse.
    3. For a shown answer the candidates of the nearest rows, refused or not, until ``LEAST_EACH``
       combinations for each wanted plan are there.
    4. Of the other slots what the money left over can pay for; no cooler or twin that another always beats.

    Where every graphics card has a search of its own, the rows are those of all of them.
    """
    chosen = _Chosen()
    for part in search.parted:
        rows = part.rows_within(most_time, most_cost)
        if rows is None:
            return Window(_by_single_bounds(found, search, most_time, most_cost), None)
        chosen.add(
            part,
            part.open_rows(rows.selected(_no_worse(goals(rows), worst)), most_time, most_cost),
            most_cost,
        )
    enough = LEAST_EACH * wanted
    enough_from = _add_nearest(search, most_time, most_cost, goals, enough, chosen.main) if wanted else 0
    pool = _pool_of(found, search, chosen, most_cost, narrow=not wanted)
    return Window(pool, min(combinations_of(pool), enough) if wanted else None, enough_from)


@dataclass
class _Chosen:
    """What the rows of a window hold: numbers of boards, processors and memory choices, graphics cards, and
    the money that is left beside the cheapest row."""

    main: list[set[int]] = field(default_factory=lambda: [set() for _ in MAIN])
    cards: set[Candidate] = field(default_factory=set)
    spare: int = 0

    def add(self, part: Search, rows: Rows, most_cost: int) -> None:
        """Add rows of one of the searches, whose plans may cost so much."""
        for slot, numbers in zip(MAIN, self.main, strict=True):
            numbers.update(getattr(rows, slot).tolist())
        if len(rows):
            self.spare = max(self.spare, most_cost - int(part.columns.plain_cost(rows).min()))
            self.cards.update(part.pool.left["graphics"])


def _pool_of(found: Screened, search: Search, chosen: _Chosen, most_cost: int, narrow: bool) -> Pool:
    """The candidates of what was chosen, and of the other slots what the money left over can pay for.
    ``narrow``: those that another always beats are left out as well."""
    pool = search.pool.copy()
    for slot, numbers in zip(MAIN, chosen.main, strict=True):
        listed = pool.left[slot]
        pool.left[slot] = [listed[i] for i in sorted(numbers)]
    if pool.alive:
        by_card = len(search.parted) > 1
        if by_card and chosen.cards and narrow:
            # Of cards that were asked one by one no other is wanted; a wide window proves that again.
            pool.keep(["graphics"], lambda c: c in chosen.cards)
        for slot in REST:
            least = min(pool.cost[c] for c in pool.left[slot])
            most = most_cost if by_card and slot == "graphics" else least + chosen.spare
            pool.keep([slot], lambda c, most=most: pool.cost[c] <= most)  # type: ignore[misc]
    if pool.alive:  # still: every card may cost more
        drop_coolers(pool, found.quick)
        if narrow:
            # Of twins in a wide window none is left out: that one always beats another is proven again.
            drop_dominated(pool, found.quick.allowed)
    return pool


def window_of_points(found: Screened, search: Search, points: Sequence[Point]) -> Window:
    """The plans that points of a trade-off, which follow one another, may have within their limits, and the
    nearest others within the time of all of them: one window for all."""
    chosen = _Chosen()
    for point in points:
        for part, own in zip(search.parted, point.rows, strict=True):
            chosen.add(part, own, point.most_cost)
    limits = points[-1].most_time, points[-1].most_cost
    enough = LEAST_EACH * len(points)
    _add_nearest(search, *limits, _cost_then_time, enough, chosen.main)
    pool = _pool_of(found, search, chosen, points[-1].most_cost, narrow=False)
    return Window(pool, min(combinations_of(pool), LEAST_EACH))


def _cost_then_time(rows: Rows) -> tuple[Any, Any]:
    return rows.cost, rows.time_ppm


def _by_single_bounds(found: Screened, search: Search, most_time: int, most_cost: int) -> Pool:
    """What the bounds of single parts leave: where there are too many rows to look at. Of more than a model can
    decide nobody asks which coolers matter (of a million parts that alone took minutes)."""
    pool = search.pool.copy()
    pool.keep(MAIN, lambda c: c.id is None or c.id != search.gone)
    figures = Figures(pool)
    figures.cut(figures.time_bounds(), most_time)
    if figures.any_in_all:
        figures.cut(figures.cost_bounds(), most_cost)
    figures.drop()
    if pool.alive:
        drop_dominated(pool, found.quick.allowed)
    if pool.alive and sum(len(pool.left[slot]) for slot in MAIN) <= MOST_MODELLED:
        drop_coolers(pool, found.quick)
    return pool


def _no_worse(goals: tuple[Any, Any], worst: Goals) -> Any:
    first, second = goals
    return (first < worst[0]) | ((first == worst[0]) & (second <= worst[1]))


def _add_nearest(
    search: Search,
    most_time: int,
    most_cost: int,
    goals: TwoGoals,
    least: int,
    chosen: list[set[int]],
) -> int:
    """Add the candidates of the first rows by their goals to those chosen, until so many combinations are
    there. The limits are widened, those of the problem as well, until there are as many rows. Returns the
    least money with which there are as many rows within the same time (FAR: not within these limits)."""
    rows = search.columns.rows_within(most_time, most_cost)
    cost_of_enough = _cost_of_enough(rows, least)
    if rows is None:
        # Too many with those that the rules refuse: the nearest of the others; where also of them there are too
        # many beside any card, of those beside one. `_window` and the walk have looked at these.
        looked = (one.rows_within(most_time, most_cost) for one in (search, *search.parted))
        rows = next(some for some in looked if some is not None)
    for milli in WIDER:
        if len(rows) < least:
            time = min(FAR, most_time + most_time * milli // 1000)
            cost = min(FAR, most_cost + (most_cost + FIRST_COST_WIDTH) * milli // 1000)
            rows = search.columns.rows_within(time, cost) or rows
    first, second = goals(rows)
    keys = rows.selected(np.lexsort((second, first))[:least]).keys
    # A few at a time: how many combinations they make is known only together.
    few = max(1, least // 20)
    for place in range(0, len(keys), few):
        if _count(search, chosen) >= least:
            break
        for numbers, own in zip(chosen, zip(*keys[place : place + few], strict=True), strict=True):
            numbers.update(own)
    return cost_of_enough


def enough_from(search: Search, most_time: int, most_cost: int, least: int) -> int:
    """The least money with which there are so many rows within a time, whether the rules admit them or not;
    FAR: not within this cost."""
    return _cost_of_enough(search.columns.rows_within(most_time, most_cost), least)


def _cost_of_enough(rows: Rows | None, least: int) -> int:
    if rows is None or len(rows) < least:
        return FAR
    return int(np.partition(rows.cost, least - 1)[least - 1])


def _count(search: Search, chosen: Sequence[set[int]]) -> int:
    listed = [
        [search.pool.left[slot][i] for i in numbers] for slot, numbers in zip(MAIN, chosen, strict=True)
    ]
    return _going_together(search.pool, *listed)


def combinations_of(pool: Pool) -> int:
    """Combinations of board, processor and memory of a pool that go together."""
    return _going_together(pool, *(pool.left[slot] for slot in MAIN))


# -- where no plan should be -------------------------------------------------------------------------------------------


def nearest_window(problem: Problem, rules: Sequence[Rule]) -> Window:
    """The candidates that miss the limits of money and time by least, of all that the problem has: among them
    a model looks again for a plan where none should be. Nothing that a rule, a purchase or a search said is
    asked, so that it is no common cause of a mistake."""
    allowed = allowed_by(problem, rules)
    price = {c: _least_price(c, least_of(c, allowed)) for slot in SLOTS for c in problem.slot(slot)}
    ids = {rule.ID for rule in rules}
    left = {slot: list(problem.slot(slot)) for slot in SLOTS}
    pool = Pool(problem, left, price, dict(price), {}, platform_socket.ID in ids, memory_generation.ID in ids)
    if not pool.alive:
        return Window(pool, 0)
    figures = Figures(pool)
    cost, time = figures.cost_bounds(), figures.time_bounds()
    budget = problem.budget if buying_budget.ID in ids else None
    longest = most_time_ppm(problem) if buying_minimums.ID in ids else None
    for slot in SLOTS:
        missed = np.zeros(len(left[slot]))
        if budget is not None:
            missed += np.maximum(0, cost[slot] - budget) / max(1, budget)
        if longest is not None and slot in time:
            missed += np.maximum(0, time[slot] - longest) / longest
        order = np.lexsort((cost[slot], missed))[:MOST_NEAREST].tolist()
        near = set(order) | {i for i, c in enumerate(left[slot]) if c.kept or c.id is None}
        pool.left[slot] = [c for i, c in enumerate(left[slot]) if i in near]
    return Window(pool, combinations_of(pool))


def _least_price(candidate: Candidate, least: int) -> int:
    """What a candidate costs at least where it can be bought, else what it is offered for."""
    if least < FAR or not candidate.offers:
        return min(least, FAR)
    return min(offer.price for offer in candidate.offers) * candidate.quantity


def _going_together(
    pool: Pool, boards: Sequence[Candidate], cpus: Sequence[Candidate], memory: Sequence[Candidate]
) -> int:
    """Combinations that agree in socket and generation (or stay together)."""

    of_socket = Counter(pool.socket(cpu) for cpu in cpus)
    of_generation = Counter(pool.generation(one) for one in memory)
    kept_sockets = [pool.socket(cpu) for cpu in cpus if cpu.kept]
    kept_generations = [pool.generation(one) for one in memory if one.kept]

    def cpus_for(board: Candidate) -> int:
        own = pool.socket(board)
        agreeing = 0 if own is None else of_socket[own]
        staying = sum(own is None or other != own for other in kept_sockets) if board.kept else 0
        return agreeing + staying

    def memory_for(board: Candidate) -> int:
        own = pool.generation(board)
        if own is None:
            return len(memory)
        staying = sum(other not in (own, None) for other in kept_generations) if board.kept else 0
        return of_generation[own] + of_generation[None] + staying

    return sum(cpus_for(board) * memory_for(board) for board in boards)
