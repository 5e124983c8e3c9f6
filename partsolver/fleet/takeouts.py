"""The catalogue of a fleet: what is sold, what lies on the shelf, and what may be taken out of its own PCs.

A part taken out is a used part like any other: rules read what is known of it, and what nobody knows stays
unknown. Drives are never offered (they hold somebody's data), nor supplies and cases (they stay).
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
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
    # Alike parts of several kinds of PCs are the same part: nobody swaps a module for its twin.
    rows: dict[str, dict[str, Any]] = {"boards": {}, "cpus": {}, "memory": {}, "coolers": {}}
    offers: dict[str, Offer] = {}
    take_outs: dict[str, tuple[TakeOut, ...]] = {}
    for one in classes:
        pieces: dict[tuple[str, str], int] = {}
        for table, row, offer, slot, count in _taken_out(one):
            named = _named(row, offer, slot)
            rows[table][named.id] = named
            offers[named.id] = replace(offer, part=named.id)
            pieces[named.id, slot] = pieces.get((named.id, slot), 0) + count
        take_outs[one.key] = tuple(TakeOut(item, slot, count) for (item, slot), count in pieces.items())
    tables = dict(catalog.tables)
    table_of = dict(catalog.table_of)
    for table, new in rows.items():
        tables[table] = tuple(sorted((*tables[table], *new.values()), key=lambda row: row.id))
        table_of.update(dict.fromkeys(new, table))
    sellers = [_free_seller(SHELF, "the shelf"), _free_seller(TAKEN_OUT, "taken out of a PC of the fleet")]
    tables["sellers"] = (*tables["sellers"], *sellers)
    tables["offers"] = _in_order((*tables["offers"], *shelf, *offers.values()))
    return replace(catalog, tables=tables, table_of=table_of), take_outs


def own_parts(take_outs: Sequence[TakeOut]) -> tuple[str, ...]:
    """Board, processor and cooler of a PC: no other's that is the same is a candidate for it."""
    return tuple(t.item for t in take_outs if t.slot != "memory")


def _named(row: Any, offer: Offer, slot: str) -> Any:
    """A part under an id that names all that is known of it, and whether it was tested."""
    text = repr((replace(row, id=""), replace(offer, part="")))
    return replace(row, id=f"{PREFIX}-{slot}-{hashlib.sha256(text.encode()).hexdigest()[:8]}")


def _in_order(offers: Iterable[Offer]) -> tuple[Offer, ...]:
    return tuple(sorted(offers, key=lambda o: (o.part, o.seller, o.price, str(o))))


def _free_seller(name: str, words: str) -> Seller:
    return Seller(
        id=name, name=words, delivery=0, minimum_order=0, delivery_days=0, returns_days=0, kind="workshop"
    )


def _taken_out(one: PcClass) -> Iterable[tuple[str, Any, Offer, str, int]]:
    """Table, row, offer, slot and pieces of each part that a PC of this class can give."""
    survey, pc = one.survey, one.survey.pc
    known = pc.model_fields_set
    if pc.board_works and survey.board.socket is not None:
        offer = _used("board_works" in known, survey.board.firmware_shipped, survey.board.shield)
        yield "boards", survey.board, offer, "board", 1
    if pc.cpu_works and survey.cpu.socket is not None:
        yield "cpus", replace(survey.cpu, boxed_cooler=False), _used("cpu_works" in known), "cpu", 1
    if survey.cooler is not None and survey.cooler.sockets:
        yield "coolers", replace(survey.cooler, paste_included=False), _used(False), "cooler", 1
    for module in survey.memory if pc.memory_works else ():
        if module.generation is None or module.capacity_mib is None:
            continue
        kit = MemoryKit(
            id="",
            name=f"{module.capacity_mib} MiB {module.generation.upper()} module",
            generation=module.generation,
            module=module.module,
            modules=1,
            module_mib=module.capacity_mib,
            rate_mts=module.rate_mts,
            registered=module.registered,
            ecc=module.ecc,
        )
        yield "memory", kit, _used("memory_works" in known), "memory", module.count


def _used(tested: bool, firmware: str | None = None, shield: str | None = None) -> Offer:
    return Offer(
        part="",
        seller=TAKEN_OUT,
        price=0,
        condition="used",
        tested=tested,
        firmware=firmware,
        shield=shield,
        source="taken out of a PC of the fleet",
    )
