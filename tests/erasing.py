"""One fact of a problem set to another value or to unknown; which facts rules read; which values a fact
can have."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import fields, replace
from functools import cache
from typing import Any

from oracle_worlds import world_of
from pcs import world

from partsolver.catalog.dictionary import columns
from partsolver.catalog.records import TABLES
from partsolver.problem.candidates import TABLE_OF_SLOT, Parts
from partsolver.problem.join import join
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules

RULES = [rule for rule in all_rules() if not rule.ID.startswith("buying.")]
FACTS = sorted(
    {
        (slot, path.rpartition(".")[2])
        for rule in RULES
        for slot, paths in rule.READS.items()
        for path in paths
        if path.rpartition(".")[2] in {f.name for f in fields(TABLES[TABLE_OF_SLOT[slot]])} - {"id", "name"}
    }
)


@cache
def pool() -> dict[tuple[str, str], tuple[Any, ...]]:
    """Every value that a column has in some world."""
    values: dict[tuple[str, str], dict[Any, None]] = defaultdict(dict)
    for problem in (world("plain"), world("crowded"), *(world_of(number).problem for number in range(40))):
        for slot, table in TABLE_OF_SLOT.items():
            own = getattr(problem.survey, slot, None)
            for row in (
                *problem.source.tables[table],
                *([own] if slot in ("board", "cpu", "psu", "case") else []),
            ):
                for field in fields(row):
                    values[slot, field.name][getattr(row, field.name)] = None
    return {key: tuple(v for v in found if v is not None) for key, found in values.items()}


def measured(fact: str) -> bool:
    """Whether a number is a quantity (0 is none of its values) and no count."""
    return fact.rpartition("_")[2] not in (
        "ports",
        "headers",
        "slots",
        "channels",
        "modules",
        "kits",
        "openings",
        "plugs",
        "fans",
        "level",
        "leads",
        "score",
    )


def values_of(slot: str, fact: str, own: Any) -> list[Any]:
    """Values that the fact can have: every word of its list, some beside its own, and what other worlds
    have."""
    kind, _, words = columns()[TABLE_OF_SLOT[slot]][fact].type.partition(":")
    found: list[Any] = [
        v for v in pool().get((slot, fact), ()) if not (v == 0 and isinstance(v, int) and measured(fact))
    ][:12]
    if kind == "choice":
        found += words.split("|")
    elif kind == "yesno":
        found += [True, False]
    elif fact.endswith("_gbps10"):
        found += [15, 30, 60]  # the rates there are (Serial ATA revision 3.x)
    elif fact == "year":
        found += [1990, 2026]  # one after the day of the order is refused (problem/test_years.py)
    elif kind == "int" and isinstance(own, int):
        found += [own // 2, own * 2] if measured(fact) else [0, 1, own + 1]
    elif isinstance(own, tuple):
        found += [(), own[:1], own + own[-1:]]
    return list(dict.fromkeys([own, *found]))


def with_fact(problem: Problem, slot: str, part: str, fact: str, value: Any) -> Problem:
    """The problem with one cell of the catalogue changed."""
    table = TABLE_OF_SLOT[slot]
    rows = [replace(row, **{fact: value}) if row.id == part else row for row in problem.source.tables[table]]
    catalog = replace(problem.source, tables={**problem.source.tables, table: tuple(rows)})
    return join(problem.survey, catalog, problem.brief)


def same_parts(parts: Parts, problem: Problem) -> Parts | None:
    """The same choice in a changed problem; None where it is none there."""
    picked = []
    for own in parts.picked:
        twins = [c for c in problem.slot(own.slot) if c.id == own.id and c.quantity == own.quantity]
        found = next((c for c in twins if c.key == own.key), None)
        if found is None and own.slot != "memory" and own.id is not None and twins:
            found = twins[0]  # what an offer says of it stands in the key
        if found is None:
            return None
        picked.append(found)
    return Parts(tuple(picked))
