"""How the facts of a catalogue stand: by mark, and blank by column."""

from __future__ import annotations

from partsolver.base.records import record
from partsolver.catalog.dictionary import columns
from partsolver.catalog.load import Catalog
from partsolver.catalog.records import PART_TABLES
from partsolver.catalog.store.questions import COUNTED_MARKS, NO_FACTS
from partsolver.catalog.store.resolve import read_marks


@record
class Blank:
    """A column that is blank in some rows of a part table."""

    table: str
    column: str
    blank: int
    rows: int


def fact_marks(catalog: Catalog) -> dict[str, int]:
    """How many cells of parts stand on each mark, and how many are unknown or contradictory. A catalogue
    of typed tables has typed and unknown ones only."""
    found = dict.fromkeys(COUNTED_MARKS, 0)
    for table in PART_TABLES:
        facts = [name for name in columns()[table] if name not in NO_FACTS]
        for row in catalog.tables[table]:
            marks = read_marks(catalog.marks.get(row.id, ""))
            for name in facts:
                mark = marks.get(name, "typed" if getattr(row, name) is not None else "unknown")
                found["contradictory" if mark == "?" else mark] += 1
    return found


def blanks(catalog: Catalog, table: str, names: tuple[str, ...]) -> list[Blank]:
    """The columns of a table that are blank somewhere, most blanks first."""
    rows = catalog.tables[table]
    counted = [
        Blank(table, name, sum(getattr(row, name) is None for row in rows), len(rows)) for name in names
    ]
    return sorted((one for one in counted if one.blank), key=lambda one: (-one.blank, one.column))
