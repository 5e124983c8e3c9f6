"""Small drawn fleets for tests."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace
from typing import Any

from brute import Judged
from support import (
    BOARD,
    COOLER,
    CPU,
    KIT,
    MEMORY,
    OLD_BOARD,
    OLD_CPU,
    SELLER,
    combinations,
    make_catalog,
    make_survey,
    needs_of,
)

from partsolver.catalog.load import Catalog
from partsolver.catalog.records import Offer, Seller
from partsolver.fleet.columns import problem_of
from partsolver.fleet.outcome import FleetOutcome
from partsolver.fleet.records import Break, Fleet, FleetGoal, FleetWishes, PcClass
from partsolver.fleet.stored import catalog_without
from partsolver.fleet.takeouts import extended
from partsolver.fleet.work import Here
from partsolver.model.solve import Limits
from partsolver.performance.present import present_time_ppm
from partsolver.performance.time import time_ppm
from partsolver.plan.delivery import charge
from partsolver.rules import all_rules
from partsolver.solve.fleet.plan import plan_fleet, stock_of
from partsolver.wishes.brief import Brief

LIMITS = Limits(deterministic_s=10)
OTHER = Seller(id="other", name="Other", delivery=400, free_from=4000)
LEAST = "1.25"


def drawn_catalog(seed: int, few: bool = False) -> tuple[Catalog, tuple[Break, ...]]:
    """Few parts (``few``: so few that brute force can look at five PCs), short stock, two sellers with
    deliveries."""
    draw = random.Random(seed)
    boards = [BOARD, replace(OLD_BOARD, id="board-b", name="Board B", memory_slots=4)]
    cpus = [
        CPU,
        replace(OLD_CPU, id="cpu-b", name="Processor B", serial_score=1100, parallel_score=4000, cores=4),
    ]
    kits = [
        KIT,
        replace(KIT, id="kit-b", name="Kit B", generation="ddr3", modules=1, rate_mts=1333),
    ]
    if few:
        boards, cpus, kits = boards[seed % 2 :][:1], cpus[seed % 2 :][:1], kits[seed % 2 :][:1]
    offers = [
        Offer(p.id, draw.choice(["shop", "other"]), draw.randrange(500, 3000, 100), draw.choice([1, 2, None]))
        for p in (*boards, *cpus, *kits, COOLER)
    ]
    shop = replace(SELLER, delivery=draw.choice([0, 500]), free_from=draw.choice([None, 3000]))
    catalog = make_catalog(boards, cpus, kits, sellers=(shop, OTHER), offers=offers)
    dear = offers[-2] if few else offers[4]
    breaks = (Break(dear.part, dear.seller, 2, dear.price // 2),) if seed % 2 else ()
    return catalog, breaks


def fleet_of(
    seed: int,
    goal: FleetGoal,
    budget: int | None,
    sizes: tuple[int, int] = (2, 1),
    scrap: bool = False,
    few: bool = False,
) -> Fleet:
    catalog, breaks = drawn_catalog(seed, few)
    one = make_survey()
    two = make_survey(memory=(replace_memory(4096),), cpu=replace(OLD_CPU, serial_score=900))
    classes = tuple(
        PcClass(f"{i}" * 12, survey, Brief(), tuple(f"pc{i}{n}" for n in range(size)))
        for i, (survey, size) in enumerate(zip((one, two), sizes, strict=True))
    )
    whole, take_outs = extended(catalog, classes, [])
    return Fleet(classes, whole, FleetWishes(goal, budget, LEAST, scrap), take_outs, breaks, ())


def replace_memory(mib: int) -> Any:
    return MEMORY.model_copy(update={"capacity_mib": mib})


def answer(fleet: Fleet) -> FleetOutcome:
    return plan_fleet(fleet, Here(fleet.classes, stock_of(fleet)), LIMITS)


def stock_without(fleet: Fleet, part: str) -> Fleet:
    """The same fleet, of whose parts nobody sells one any more."""
    return replace(fleet, catalog=catalog_without(fleet.catalog, (part,)))


def options(fleet: Fleet, number: int) -> list[tuple[int | None, Counter[str], Counter[str]]]:
    """(time, parts bought or taken from others, parts left) of all that may be done with a PC of a class."""
    one = fleet.classes[number]
    problem = problem_of(one, fleet.catalog, fleet.take_outs[one.key])
    rules, now = all_rules(), present_time_ppm(problem)
    judged = Judged(problem, rules)
    best: dict[Any, int | None] = {((), ()): now}
    for parts in combinations(problem):
        time = time_ppm(problem, parts)
        if time > (now or 0) or not judged.admits(parts):
            continue
        assert not [need for rule in judged.rules for need in needs_of(rule, parts, problem)]
        wanted = Counter({c.id: c.quantity for c in parts.picked if c.id is not None})
        stays = {c.slot for c in parts.picked if c.kept} | ({"memory"} if parts.memory.with_kept else set())
        left = Counter({t.item: t.pieces for t in fleet.take_outs[one.key] if t.slot not in stays})
        key = (tuple(sorted(wanted.items())), tuple(sorted(left.items())))
        best[key] = min(time, best.get(key) or time)
    if fleet.wishes.scrap:
        left = Counter({t.item: t.pieces for t in fleet.take_outs[one.key]})
        best[(), tuple(sorted(left.items()))] = None
    return _undominated([(time, Counter(dict(w)), Counter(dict(f))) for (w, f), time in best.items()])


def _undominated(listed: list[Any]) -> list[Any]:
    """Without what takes no less of any part, leaves no more of any, and is no faster than another."""
    kept: list[Any] = []
    for time, wanted, left in sorted(
        listed, key=lambda o: (sum(o[1].values()), o[0] or 10**9, -sum(o[2].values()))
    ):
        if not any((t or 10**9) <= (time or 10**9) and w <= wanted and f >= left for t, w, f in kept):
            kept.append((time, wanted, left))
    return kept


def cost_of(fleet: Fleet, wanted: Counter[str], left: Counter[str]) -> int | None:
    """What an order costs; None when there are not so many pieces."""
    goods: dict[str, int] = {}
    offers = {o.part: o for o in fleet.catalog.tables["offers"]}
    for part, pieces in wanted.items():
        offer = offers[part]
        stock = left[part] if offer.seller == "taken-out" else offer.stock
        if stock is not None and pieces > stock:
            return None
        if offer.seller == "taken-out":
            continue
        price = min(
            [offer.price, *(b.price for b in fleet.breaks if b.part == part and pieces >= b.from_pieces)]
        )
        goods[offer.seller] = goods.get(offer.seller, 0) + pieces * price
    return sum(value + charge(fleet.sellers[name], value) for name, value in goods.items())
