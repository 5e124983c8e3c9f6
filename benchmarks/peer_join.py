"""The whole problem by brute force: screen, join board x processor x memory, sort by bounds, buy and judge in
order.

Uses the project's plain predicates and plain purchase, and no solver: socket, memory generation and budget
are joined with numpy; every rule about coolers, extras, plugs and so on is asked of single combinations in
the order of their lower bounds, until no combination left can be better. Exact: the bounds leave out what can
only make a plan worse.
"""

from __future__ import annotations

import time
from collections import defaultdict
from fractions import Fraction
from typing import Any

import numpy as np

MOST_COMBINATIONS = 40_000_000


class TooMany(Exception):
    """More combinations than fit into the memory."""


def best(problem: Any, wanted: int, rules: Any = None) -> list[dict[str, Any]]:
    """The ``wanted`` best different plans as {keys, time_ppm, cost}, in the order step, cost. Goal speed
    only."""
    from partsolver.plan.complete import allowed_by, complete, judge
    from partsolver.plan.draft import Draft
    from partsolver.plan.identity import identity
    from partsolver.plan.purchase import least_of
    from partsolver.plan.steps import step_of
    from partsolver.problem.candidates import SLOTS, Parts
    from partsolver.rules import all_rules

    rules = all_rules() if rules is None else rules
    allowed = allowed_by(problem, rules)
    plain = [r for r in rules if "cooler" not in r.SLOTS and r.KIND != "buying"]
    rest = [problem.slot(s)[0] for s in SLOTS[3:]]
    assert all(len(problem.slot(s)) == 1 for s in ("psu", "case", "drive", "graphics")), (
        "the join replaces no kept part"
    )
    known: dict[Any, bool] = {}

    def admits(rule: Any, parts: Any) -> bool:
        key = (rule.ID, *(parts.candidate(s).key for s in rule.SLOTS))
        if key not in known:
            needs = rule.needs(parts, problem)
            known[key] = (
                all(n.options for n in needs)
                if needs
                else all(f.admits for f in rule.admits(Draft(parts, (), (), 0, 0), problem))
            )
        return known[key]

    lists: dict[str, list[Any]] = {}
    firsts = {slot: problem.slot(slot)[0] for slot in SLOTS}
    fixed = {"psu", "case", "drive", "graphics"}
    # Only sets of parts can make a part cheaper than its cheapest offer.
    in_sets = {item for bundle in problem.bundles for item, _ in bundle.items}
    price: dict[str, np.ndarray[Any, Any]] = {}
    for slot in ("board", "cpu", "memory"):
        single = [r for r in plain if slot in r.SLOTS and set(r.SLOTS) <= {slot, *fixed}]
        lists[slot], prices = [], []
        for candidate in problem.slot(slot):
            least = 0 if candidate.id in in_sets else least_of(candidate, allowed)
            parts = Parts(tuple(candidate if s == slot else firsts[s] for s in SLOTS))
            if least < 10**12 and all(admits(r, parts) for r in single):
                lists[slot].append(candidate)
                prices.append(least)
        price[slot] = np.array(prices, dtype=np.int64)
    rows, bound, cost = _joined(problem, lists, price)
    order = np.argsort(bound, kind="stable")

    def drafted(row: int) -> Any:
        i, j, k = rows[row]
        parts = Parts((lists["board"][i], lists["cpu"][j], lists["memory"][k], *rest))
        if not all(admits(r, parts) for r in plain):
            return None
        draft = complete(problem, parts, rules, allowed)
        return draft if draft is not None and all(f.admits for f in judge(problem, draft, rules)) else None

    done: dict[int, Any] = {}
    fastest: int | None = None
    for row in order:
        if fastest is not None and bound[row] >= fastest:
            break
        draft = done[int(row)] = drafted(int(row))
        if draft is not None:
            fastest = draft.time_ppm if fastest is None else min(fastest, draft.time_ppm)
    if fastest is None:
        return []
    resolution = Fraction(problem.brief.resolution_percent)
    steps = np.array([step_of(max(int(t), fastest), fastest, resolution) for t in np.unique(bound)])
    step = steps[np.searchsorted(np.unique(bound), bound)]
    found: dict[Any, tuple[int, int, Any]] = {}
    for row in np.lexsort((cost, step)):
        if len(found) >= wanted and sorted(v[:2] for v in found.values())[wanted - 1] < (
            step[row],
            cost[row],
        ):
            break
        draft = done[int(row)] if int(row) in done else drafted(int(row))
        if draft is None:
            continue
        value = (step_of(draft.time_ppm, fastest, resolution), draft.cost, draft)
        key = identity(draft.parts)
        if key not in found or value[:2] < found[key][:2]:
            found[key] = value
    ranked = sorted(found.values(), key=lambda v: (v[0], v[1]))[:wanted]
    return [
        {"keys": list(d.parts.keys), "time_ppm": d.time_ppm, "cost": d.cost, "step": s} for s, _, d in ranked
    ]


def _joined(problem: Any, lists: Any, price: Any) -> tuple[Any, Any, Any]:
    """All combinations that agree in socket and generation within the budget: indexes, least time, least
    cost."""
    from partsolver.assembly.memory import milli_channels
    from partsolver.assembly.pictures import drawing_card, own_graphics_score
    from partsolver.performance.law import bandwidth_kbs, law_of

    law = law_of(problem)
    case, drive = problem.slot("case")[0].part, problem.slot("drive")[0].part
    boards, cpus, kits = lists["board"], lists["cpu"], lists["memory"]
    compute = np.array(
        [law.compute_ppm(c.part) + law.other_ppm for c in cpus],
        dtype=np.int64,
    )
    # The best bandwidth a kit can have; board and processor can only lower it.
    kbs = [
        bandwidth_kbs(
            m.part.rate_mts or 20_000,
            max(milli_channels(m.part.module_mib, m.part.modules, n, 8) for n in (1, 2, 4)),
        )
        for m in kits
    ]
    levels = sorted(set(kbs))
    level_of = np.array([levels.index(value) for value in kbs], dtype=np.int64)
    memory = np.array([law.memory_ppm(value) for value in kbs], dtype=np.int64)
    memory += np.array(
        [law.capacity_ppm(m.part, drive) for m in kits],
        dtype=np.int64,
    )
    # A processor without graphics has the board's, at best the fastest of them.
    by_board = max((own_graphics_score(problem, b.part, b.kept, 0) or 0 for b in boards), default=0)
    own = {
        score: [law.integrated_ppm(by_board if score == 0 else score, value) for value in levels]
        for score in {c.part.graphics_score for c in cpus}
    }
    graphics = np.array([own[c.part.graphics_score] for c in cpus], dtype=np.int64).reshape(
        len(cpus), len(levels)
    )
    budget = problem.budget if problem.budget is not None else 10**12
    by_socket, by_generation = defaultdict(list), defaultdict(list)
    for number, c in enumerate(cpus):
        by_socket[c.part.socket].append(number)
    for number, m in enumerate(kits):
        by_generation[m.part.generation].append(number)
    pieces, bounds, costs, count = [], [], [], 0
    for i, b in enumerate(boards):
        rows_of_cpu = np.array(by_socket[b.part.socket], dtype=np.int64)
        of_kit = np.array(by_generation[b.part.memory_generation], dtype=np.int64)
        if not len(rows_of_cpu) or not len(of_kit):
            continue
        total = price["board"][i] + price["cpu"][rows_of_cpu][:, None] + price["memory"][of_kit][None, :]
        j, k = np.nonzero(total <= budget)
        count += len(j)
        if count > MOST_COMBINATIONS:
            raise TooMany(f"more than {MOST_COMBINATIONS:,} combinations within the budget")
        card = drawing_card(problem, b.part, case, problem.slot("graphics")[0].part)
        picture = graphics[rows_of_cpu[j], level_of[of_kit[k]]] if card is None else law.card_ppm(card)
        bounds.append(compute[rows_of_cpu[j]] + memory[of_kit[k]] + picture + law.drive_ppm(b.part, drive))
        costs.append(total[j, k])
        pieces.append(np.stack([np.full(len(j), i), rows_of_cpu[j], of_kit[k]], axis=1).astype(np.int32))
    if not pieces:
        return np.zeros((0, 3), dtype=np.int32), np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)
    return np.concatenate(pieces), np.concatenate(bounds), np.concatenate(costs)


def timed(problem: Any, wanted: int) -> dict[str, Any]:
    """The answer and its seconds."""
    start = time.perf_counter()
    try:
        found = best(problem, wanted)
    except TooMany as error:
        return {"note": str(error), "solve_s": time.perf_counter() - start}
    return {"answer": [[p["time_ppm"], p["cost"]] for p in found], "solve_s": time.perf_counter() - start}
