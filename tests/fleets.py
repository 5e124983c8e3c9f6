"""Small drawn fleets for tests."""

from __future__ import annotations

import random
from dataclasses import replace
from typing import Any

from support import (
    BOARD,
    COOLER,
    CPU,
    KIT,
    MEMORY,
    OLD_BOARD,
    OLD_CPU,
    SELLER,
    make_catalog,
    make_survey,
)

from partsolver.catalog.load import Catalog
from partsolver.catalog.records import Offer, Seller
from partsolver.fleet.outcome import FleetOutcome
from partsolver.fleet.records import Break, Fleet, FleetGoal, FleetWishes, PcClass
from partsolver.fleet.takeouts import extended
from partsolver.fleet.work import Here
from partsolver.model.solve import Limits
from partsolver.solve.fleet.plan import plan_fleet, stock_of
from partsolver.wishes.brief import Brief

LIMITS = Limits(deterministic_s=10)
OTHER = Seller(id="other", name="Other", delivery=400, free_from=4000)
LEAST = "1.25"


def drawn_catalog(seed: int) -> tuple[Catalog, tuple[Break, ...]]:
    """Few parts, short stock, two sellers with deliveries."""
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
    offers = [
        Offer(p.id, draw.choice(["shop", "other"]), draw.randrange(500, 3000, 100), draw.choice([1, 2, None]))
        for p in (*boards, *cpus, *kits, COOLER)
    ]
    shop = replace(SELLER, delivery=draw.choice([0, 500]), free_from=draw.choice([None, 3000]))
    catalog = make_catalog(boards, cpus, kits, sellers=(shop, OTHER), offers=offers)
    dear = offers[4]
    breaks = (Break(dear.part, dear.seller, 2, dear.price // 2),) if seed % 2 else ()
    return catalog, breaks


def fleet_of(
    seed: int, goal: FleetGoal, budget: int | None, sizes: tuple[int, int] = (2, 1), scrap: bool = False
) -> Fleet:
    catalog, breaks = drawn_catalog(seed)
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
