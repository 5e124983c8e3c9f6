"""Blank facts of a catalogue without which a part cannot be bought for certain, whatever the PC."""

from __future__ import annotations

from partsolver.catalog.counting import Blank, blanks
from partsolver.catalog.dictionary import columns
from partsolver.catalog.load import Catalog
from partsolver.problem.candidates import TABLE_OF_SLOT
from partsolver.rules import fit_facts

# What bars a purchase in rules of its own: socket and processor list, cooler, plugs.
_OWN_RULES = {
    "boards": ("socket", "cpu_families", "cpu_plugs", "main_plug"),
    "cpus": ("socket", "family", "tdp_w"),
    "coolers": ("sockets", "height_mm", "rated_w"),
    "psus": ("main_plug", "cpu_plugs"),
}


def deciding_columns() -> dict[str, tuple[str, ...]]:
    """Part table -> columns whose blank leaves a part at most hoped for."""
    found = {table: list(names) for table, names in _OWN_RULES.items()}
    for slot, names in fit_facts.READS.items():
        table = TABLE_OF_SLOT[slot]
        own = [name.rpartition(".")[2] for name in names]
        found.setdefault(table, []).extend(name for name in own if name in columns()[table])
    return {table: tuple(dict.fromkeys(names)) for table, names in found.items()}


def deciding_blanks(catalog: Catalog) -> tuple[Blank, ...]:
    """Deciding columns that are blank somewhere, by table, most blanks first."""
    return tuple(one for table, names in deciding_columns().items() for one in blanks(catalog, table, names))
