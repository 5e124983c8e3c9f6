"""The catalogue of a fleet: what is sold, what lies on the shelf, and what may be taken out of its own PCs.

A part taken out is a used part like any other: rules read what is known of it, and what nobody knows stays
unknown. Drives are never offered (they hold somebody's data), nor supplies and cases (they stay).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from partsolver.catalog.load import Catalog
from partsolver.catalog.records import MemoryKit, Offer, Seller
from partsolver.fleet.records import SHELF, TAKEN_OUT, PcClass, TakeOut

PREFIX = "out"


def extended(
    catalog: Catalog, classes: Sequence[PcClass], shelf: Sequence[Offer]
) -> tuple[Catalog, dict[str, tuple[TakeOut, ...]]]:
    """The catalogue with shelf and take-outs as offers without a price, and the take-outs by class key."""
    rows: dict[str, list[Any]] = {"boards": [], "cpus": [], "memory": [], "coolers": []}
    offers: list[Offer] = list(shelf)
    take_outs: dict[str, tuple[TakeOut, ...]] = {}
    for one in classes:
        found = list(_taken_out(one))
        for table, row, offer, _ in found:
            rows[table].append(row)
            offers.append(offer)
        take_outs[one.key] = tuple(take_out for _, _, _, take_out in found)
    tables = dict(catalog.tables)
    table_of = dict(catalog.table_of)
    for table, new in rows.items():
        tables[table] = tuple(sorted((*tables[table], *new), key=lambda row: row.id))
        table_of.update((row.id, table) for row in new)
    sellers = [_free_seller(SHELF, "the shelf"), _free_seller(TAKEN_OUT, "taken out of a PC of the fleet")]
    tables["sellers"] = (*tables["sellers"], *sellers)
    tables["offers"] = _in_order((*tables["offers"], *offers))
    return replace(catalog, tables=tables, table_of=table_of), take_outs


def own_parts(one: PcClass, catalog: Catalog) -> tuple[str, ...]:
    """Board, processor and cooler that PCs of a class give, as far as the catalogue has them."""
    stem = _stem(one)
    return tuple(
        item for slot in ("board", "cpu", "cooler") if (item := f"{stem}-{slot}") in catalog.table_of
    )


def _stem(one: PcClass) -> str:
    return f"{PREFIX}-{one.key[:8]}"


def _in_order(offers: Iterable[Offer]) -> tuple[Offer, ...]:
    return tuple(sorted(offers, key=lambda o: (o.part, o.seller, o.price, str(o))))


def _free_seller(name: str, words: str) -> Seller:
    return Seller(
        id=name, name=words, delivery=0, minimum_order=0, delivery_days=0, returns_days=0, kind="workshop"
    )


def _taken_out(one: PcClass) -> Iterable[tuple[str, Any, Offer, TakeOut]]:
    """Table, row, offer and take-out of each part that a PC of this class can give."""
    survey, pc = one.survey, one.survey.pc
    stem = _stem(one)
    if pc.board_works and survey.board.socket is not None:
        board = replace(survey.board, id=f"{stem}-board")
        offer = _used(
            board.id, "board_works" in pc.model_fields_set, board.firmware_shipped, survey.board.shield
        )
        yield "boards", board, offer, TakeOut(board.id, "board", 1)
    if pc.cpu_works and survey.cpu.socket is not None:
        cpu = replace(survey.cpu, id=f"{stem}-cpu", boxed_cooler=False)
        yield (
            "cpus",
            cpu,
            _used(cpu.id, "cpu_works" in pc.model_fields_set),
            TakeOut(cpu.id, "cpu", 1),
        )
    if survey.cooler is not None and survey.cooler.sockets:
        cooler = replace(survey.cooler, id=f"{stem}-cooler", paste_included=False)
        yield "coolers", cooler, _used(cooler.id, False), TakeOut(cooler.id, "cooler", 1)
    for number, module in enumerate(survey.memory if pc.memory_works else (), 1):
        if module.generation is None or module.capacity_mib is None:
            continue
        kit = MemoryKit(
            id=f"{stem}-memory-{number}",
            name=f"module taken out, {module.capacity_mib} MiB {module.generation}",
            generation=module.generation,
            module=module.module,
            modules=1,
            module_mib=module.capacity_mib,
            rate_mts=module.rate_mts,
            registered=module.registered,
            ecc=module.ecc,
        )
        tested = "memory_works" in pc.model_fields_set
        yield "memory", kit, _used(kit.id, tested), TakeOut(kit.id, "memory", module.count)


def _used(part: str, tested: bool, firmware: str | None = None, shield: str | None = None) -> Offer:
    return Offer(
        part=part,
        seller=TAKEN_OUT,
        price=0,
        condition="used",
        tested=tested,
        firmware=firmware,
        shield=shield,
        source="taken out of a PC of the fleet",
    )


def classes_of(take_outs: Mapping[str, Sequence[TakeOut]]) -> dict[str, str]:
    """Which class gives each take-out."""
    return {take_out.item: key for key, found in take_outs.items() for take_out in found}
