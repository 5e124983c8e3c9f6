"""The candidates for the memory: kits x count, with or without the kept modules."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from partsolver.catalog.load import Catalog
from partsolver.catalog.records import MemoryKit, Offer
from partsolver.problem.candidates import (
    KEPT_MEMORY,
    Candidate,
    MemoryChoice,
)
from partsolver.survey.model import MemoryModule, Survey

# More kits of one kind than this are not considered (eight modules is the most a desktop board takes).
MOST_KITS = 4


MOST_MODULES = 8


def sorted_offers(offers: Sequence[Offer]) -> tuple[Offer, ...]:
    if len(offers) < 2:
        return tuple(offers)
    return tuple(sorted(offers, key=lambda o: (o.price, o.seller, o.condition, str(o.available_on))))


def by_key(candidate: Candidate) -> str:
    return candidate.key


def kept_memory(survey: Survey) -> MemoryChoice | None:
    """The present modules as one choice, or None when there are none or they are worn."""
    if not survey.memory or not survey.pc.memory_works:
        return None
    kept = _of_rows(KEPT_MEMORY, survey.memory, 0)
    seen = survey.pc.memory_seen_mib
    return replace(kept, seen_mib=seen) if seen is not None and _differs(seen, kept.total_mib) else kept


def _differs(seen_mib: int, total_mib: int | None) -> bool:
    """Whether what a system sees is not what the modules say: more than they hold, or less than firmware
    and graphics in the processor explain (up to an eighth and 1 GiB: common practice)."""
    if total_mib is None:
        return True
    held_back = max(1024, total_mib // 8)
    return not total_mib - held_back <= seen_mib <= total_mib


def _of_rows(key: str, modules: tuple[MemoryModule, ...], left_out: int) -> MemoryChoice:
    sizes = [m.capacity_mib for m in modules for _ in range(m.count)]
    rates = [m.rate_mts for m in modules if m.rate_mts is not None]
    generations = {m.generation for m in modules}
    return MemoryChoice(
        id=key,
        kit=None,
        kits=0,
        with_kept=True,
        generation=generations.pop() if len(generations) == 1 else None,
        module=modules[0].module,
        module_mib=(
            None if None in sizes else tuple(sorted((s for s in sizes if s is not None), reverse=True))
        ),
        rate_mts=min(rates) if len(rates) == len(modules) else None,
        registered=_any(m.registered for m in modules),
        ecc=_any(m.ecc for m in modules),
        modules=len(sizes),
        present=modules,
        left_out=left_out,
    )


def best_modules(survey: Survey, count: int) -> MemoryChoice | None:
    """The best present modules of this number: the largest, of equally large ones the fastest; None where
    which they are is not known."""
    if any(m.capacity_mib is None for m in survey.memory) and len(survey.memory) > 1:
        return None
    left, rows = count, []
    for row in sorted(survey.memory, key=lambda m: (-(m.capacity_mib or 0), -(m.rate_mts or 0))):
        if left:
            rows.append(row.model_copy(update={"count": min(left, row.count)}))
            left -= rows[-1].count
    total = sum(row.count for row in survey.memory)
    return _of_rows(f"{KEPT_MEMORY}*{count}", tuple(rows), total - count)


def _partial(survey: Survey, catalog: Catalog, kept: MemoryChoice | None) -> dict[int, list[MemoryChoice]]:
    """By number of modules beside them: the present modules kept in part, where boards have fewer slots
    than all together need and more than the others need."""
    if kept is None:
        return {}
    slots = {b.memory_slots for b in (*catalog.tables["boards"], survey.board) if b.memory_slots}
    found: dict[int, list[MemoryChoice]] = {}
    for beside in range(MOST_MODULES):
        counts = sorted({n - beside for n in slots if 0 < n - beside < kept.modules})
        found[beside] = [part for n in counts if (part := best_modules(survey, n)) is not None]
    return found


def _any(values: Iterable[bool | None]) -> bool | None:
    listed = tuple(values)
    return True if True in listed else (None if None in listed else False)


def memory_candidates(
    survey: Survey, catalog: Catalog, offers: Mapping[str, list[Offer]]
) -> tuple[Candidate, ...]:
    kept = kept_memory(survey)
    result: list[Candidate] = []
    if kept is not None:
        result.append(Candidate("memory", KEPT_MEMORY, kept, None, 0, (), True))
    partial = _partial(survey, catalog, kept)
    result += [Candidate("memory", part.id, part, None, 0, (), False) for part in partial.get(0, ())]
    for kit in catalog.tables["memory"]:
        if kit.id not in offers or not kit.modules:
            continue
        kit_offers = sorted_offers(offers[kit.id])
        for kits in range(1, MOST_KITS + 1):
            if kits * kit.modules > MOST_MODULES or (kits > 1 and kits * kit.modules > 4):
                break
            new = new_memory(kit, kits)
            result.append(Candidate("memory", new.id, new, kit.id, kits, kit_offers, False))
            # Modules of another generation never share a board: such mixtures are no candidates.
            if (
                kept is not None
                and kept.generation in (None, kit.generation)
                and kept.module in (None, kit.module)
            ):
                for present in (kept, *partial.get(new.modules, ())):
                    mixed = _mixed_memory(new, present)
                    if mixed.modules <= MOST_MODULES:
                        result.append(Candidate("memory", mixed.id, mixed, kit.id, kits, kit_offers, False))
    return tuple(sorted(result, key=by_key))


def new_memory(kit: MemoryKit, kits: int) -> MemoryChoice:
    count = kits * (kit.modules or 1)
    return MemoryChoice(
        f"{kit.id}*{kits}",
        kit,
        kits,
        False,
        kit.generation,
        kit.module,
        None if kit.module_mib is None else (kit.module_mib,) * count,
        kit.rate_mts,
        kit.registered,
        kit.ecc,
        count,
    )


def _mixed_memory(new: MemoryChoice, kept: MemoryChoice) -> MemoryChoice:
    sizes = None
    if new.module_mib is not None and kept.module_mib is not None:
        sizes = tuple(sorted(new.module_mib + kept.module_mib, reverse=True))
    rates = [r for r in (new.rate_mts, kept.rate_mts) if r is not None]
    return MemoryChoice(
        id=f"{new.id}+{kept.id}",
        kit=new.kit,
        kits=new.kits,
        with_kept=True,
        generation=new.generation,
        module=new.module,
        module_mib=sizes,
        rate_mts=min(rates) if rates else None,
        registered=_any((new.registered, kept.registered)),
        ecc=_any((new.ecc, kept.ecc)),
        modules=new.modules + kept.modules,
        seen_mib=(None if kept.seen_mib is None or new.total_mib is None else kept.seen_mib + new.total_mib),
        present=kept.present,
        left_out=kept.left_out,
    )
