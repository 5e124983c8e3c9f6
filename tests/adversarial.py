"""Problems that are hard for pruning and search: ties, equal twins, parts that one beats in everything,
and one cheap part of which there is a single piece."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import strategies as st
from strategies import Instance
from support import BOARD, COOLER, CPU, KIT, make_survey

from partsolver.catalog.records import Bundle, Offer, Seller
from partsolver.wishes.brief import Brief


@contextmanager
def searching() -> Iterator[None]:
    """Drawn problems are so small that bounds and search would never be tried."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("partsolver.search.prune.SMALL", 0)
        patch.setattr("partsolver.search.prune.MANY_MEMORY", 0)
        yield


@st.composite
def adversarial(draw: st.DrawFn, most: int) -> Instance:
    """Parts that are hard to tell apart, or that one of them makes useless; up to ``most`` of a kind."""
    kind = draw(st.sampled_from(["ties", "twins", "dominated", "fragile"]))
    thresholds = st.sampled_from([None, 3000, 6500, 9000])
    shops = tuple(
        Seller(
            f"seller-{n}",
            f"Seller {n}",
            draw(st.sampled_from([0, 390, 490])),
            draw(thresholds),
            draw(st.sampled_from([0, 0, 2000])) if n else 0,
        )
        for n in range(draw(st.integers(1, 3)))
    )
    tables: dict[str, list[Any]] = {"boards": [], "cpus": [], "memory": [], "coolers": []}
    listed: list[Offer] = []
    for table, base, stem, price in (
        ("boards", BOARD, "board", 4000),
        ("cpus", CPU, "cpu", 3000),
        ("memory", KIT, "kit", 1500),
        ("coolers", COOLER, "cooler", 900),
    ):
        for n in range(draw(st.integers(2, most))):
            part, own, stock = (
                replace(base, id=f"{stem}-{n}", name=f"{stem} {n}"),
                price,
                draw(st.sampled_from([None, None, 1, 2])),
            )
            if kind == "ties":
                # Other facts, the same speed, nearly the same price.
                part = {
                    "boards": lambda p: replace(p, sata_6g_ports=4 + draw(st.integers(0, 1))),
                    "cpus": lambda p: replace(p, threads=8 + draw(st.integers(0, 1))),
                }.get(table, lambda p: p)(part)
                own += draw(st.sampled_from([0, 0, 390]))
            elif kind == "twins":
                own += 100 * draw(st.integers(0, 4))
            elif kind == "dominated" and n:
                own += 500 * n
                part = (
                    replace(part, serial_score=1500 - 100 * n)
                    if table == "cpus"
                    else replace(part, rate_mts=2133)
                    if table == "memory"
                    else part
                )
            elif kind == "fragile":
                own, stock = (price // 3, 1) if n == 0 else (price + 100 * draw(st.integers(0, 3)), stock)
            tables[table].append(part)
            for shop in draw(st.lists(st.sampled_from(shops), min_size=1, max_size=2, unique=True)):
                listed.append(Offer(part.id, shop.id, own + draw(st.sampled_from([0, 0, 50, 390])), stock))
    sets = []
    if draw(st.integers(0, 3)) == 0:
        items = tuple(
            sorted(
                {
                    (draw(st.sampled_from(tables[t])).id, 1)
                    for t in draw(
                        st.sampled_from([("boards", "cpus"), ("cpus", "coolers"), ("boards", "memory")])
                    )
                }
            )
        )
        sets.append(
            Bundle(
                "set-0",
                "set",
                "parts",
                items,
                draw(st.sampled_from(shops)).id,
                100 * draw(st.integers(20, 70)),
                draw(st.sampled_from([None, 1])),
            )
        )
    tables["cpus"] = [replace(c, boxed_cooler=draw(st.booleans())) for c in tables["cpus"]]
    brief = Brief(
        budget=draw(st.sampled_from(["95.00", "120.00", "400.00"])),
        goal=draw(st.sampled_from(["speed", "cost"])),
        resolution_percent=draw(st.sampled_from(["0", "2.5"])),
        alternatives=draw(st.integers(1, 5)),
        min_speedup=draw(st.sampled_from([None, "1.5", "1.9"])),
        min_memory_gb=draw(st.sampled_from([None, 16])),
    )
    every: dict[str, Any] = {**tables, "sellers": shops, "offers": listed, "bundles": sets}
    rows = {
        name: tuple(every.get(name, ()))
        for name in (
            "boards",
            "cpus",
            "memory",
            "coolers",
            "extras",
            "psus",
            "cases",
            "drives",
            "sellers",
            "offers",
            "bundles",
        )
    }
    return Instance(make_survey(), brief, rows)
