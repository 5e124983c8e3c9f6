"""What the shell completes besides options: ids of parts, settings, uses, pages of the guide, surveys.

Asked at every press of the key, so only ids and names are read, and nothing is said when something is wrong.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path
from typing import Any

TABLES = ("boards", "cpus", "memory", "coolers", "extras", "psus", "cases", "drives", "graphics", "bundles")


def part_ids(ctx: Any, incomplete: str) -> list[tuple[str, str]]:
    """Ids of the catalogue that begin so, or whose name holds it, with their names."""
    try:
        rows = list(_ids_and_names(_folder(ctx)))
    except Exception:  # a press of a key is no place for messages
        return []
    begins = [row for row in rows if row[0].startswith(incomplete)]
    return begins or [row for row in rows if incomplete.lower() in row[1].lower()]


def part_prices(ctx: Any, incomplete: str) -> list[tuple[str, str]]:
    """As ``part_ids``, to be followed by a price."""
    return [(f"{part}=", name) for part, name in part_ids(ctx, incomplete)]


def parts_or_surveys(ctx: Any, incomplete: str) -> list[tuple[str, str]]:
    """Survey files here, then ids of parts."""
    here = sorted(path.name for path in Path.cwd().glob("*.toml") if path.name != "partsolver.toml")
    return [(name, "survey") for name in here if name.startswith(incomplete)] + part_ids(ctx, incomplete)


def uses(incomplete: str) -> list[tuple[str, str]]:
    """Names of uses."""
    from partsolver.wishes.uses import USES

    return [(name, use.title) for name, use in USES.items() if name.startswith(incomplete)]


def topics(incomplete: str) -> list[tuple[str, str]]:
    """Pages of the guide."""
    from partsolver.report.guide import page, title_of
    from partsolver.report.guide import topics as pages

    return [(name, title_of(page(name))) for name in pages() if name.startswith(incomplete)]


def setting_names(incomplete: str) -> list[tuple[str, str]]:
    """Names of the values that rest on judgement, to be followed by a number."""
    from partsolver.standards.settings import SETTINGS

    return [(f"{name}=", row.meaning) for name, row in SETTINGS.items() if name.startswith(incomplete)]


def replaceable(incomplete: str) -> list[str]:
    """Kept parts that may be replaced."""
    return [word for word in ("psu", "case", "cooler", "drive", "graphics") if word.startswith(incomplete)]


def _folder(ctx: Any) -> Path:
    from partsolver.catalog.dictionary import data_folder
    from partsolver.cli.settings import catalog_folder

    given = ctx.params.get("catalog")
    return Path(given) if given else catalog_folder() or data_folder() / "demo"


def _ids_and_names(folder: Path) -> Iterator[tuple[str, str]]:
    tables = [folder / f"{table}.csv" for table in TABLES]
    if not any(path.is_file() for path in tables):
        from partsolver.catalog.load import load_catalog

        catalog = load_catalog(folder)
        for table in TABLES:
            yield from ((row.id, row.name) for row in catalog.tables[table])
        return
    for path in tables:
        if path.is_file():
            with path.open(encoding="utf-8-sig", newline="") as file:
                yield from (
                    (row["id"], row.get("name") or "") for row in csv.DictReader(file) if row.get("id")
                )
