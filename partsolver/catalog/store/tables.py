"""CSV folders in and out: their cells become facts typed by the person; `export` writes a folder again."""

from __future__ import annotations

import csv
import io
import json
import sqlite3
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import asdict
from decimal import Decimal
from pathlib import Path

from partsolver.base.documents import csv_rows, told_as_text
from partsolver.base.errors import refuse
from partsolver.base.quantities import minor_digits, parse_amount
from partsolver.base.records import record
from partsolver.base.textfile import read_text, write_folder, write_text
from partsolver.catalog.dictionary import columns
from partsolver.catalog.load import Catalog, load_catalog
from partsolver.catalog.records import PART_TABLES
from partsolver.catalog.store import holds_store
from partsolver.catalog.store.load import all_rows, store_head
from partsolver.catalog.store.records import YOU, Fact, OfferSeen, Sighting, Source
from partsolver.catalog.store.schema import reading
from partsolver.catalog.store.write import store_seller, store_source
from partsolver.catalog.table import IDENTIFYING

# Cells of an offer that have columns of their own in the store.
_OFFER_OWN = ("part", "seller", "price", "currency")
HEAD = "catalog.toml"


@record
class FolderTables:
    """What a folder of CSV tables says, read and checked."""

    source: Source
    head: Mapping[str, str]
    sellers: tuple[dict[str, str], ...]
    bundles: tuple[tuple[int, dict[str, str]], ...]


def is_table_folder(folder: Path) -> bool:
    """Whether a folder holds CSV tables with a catalog.toml."""
    return (folder / HEAD).is_file() and not holds_store(folder)


def read_folder(folder: Path) -> FolderTables:
    """A folder of CSV tables. Raises InputRefused as loading it would."""
    catalog = load_catalog(folder)
    source = Source(
        folder.as_posix(),
        catalog.info.digest,
        catalog.info.as_of,
        None,
        (*_part_sightings(catalog, folder), *_offer_sightings(catalog, folder)),
        rows=len(catalog.table_of),
        whole=True,
    )
    sellers = tuple(cells for _, cells in _rows(folder, "sellers"))
    return FolderTables(source, head_of(catalog, folder), sellers, tuple(_rows(folder, "bundles")))


def store_folder(connection: sqlite3.Connection, tables: FolderTables) -> set[str]:
    """Take a folder of CSV tables into the store. Returns the keys of sightings that may have changed."""
    set_head(connection, tables.head)
    touched = store_source(connection, tables.source)
    for cells in tables.sellers:
        rest = {name: text for name, text in cells.items() if name not in ("id", "name")}
        store_seller(connection, cells["id"], cells["name"], cells=rest)
    connection.executemany(
        "INSERT OR REPLACE INTO bundles VALUES(?, ?, ?, ?)",
        [
            (
                cells["id"],
                json.dumps(cells, sort_keys=True, ensure_ascii=False),
                tables.source.origin,
                f"bundles.csv:{line}",
            )
            for line, cells in tables.bundles
        ],
    )
    return touched


def head_of(catalog: Catalog, folder: Path) -> dict[str, str]:
    """The head of a catalogue as a store keeps it."""
    info = catalog.info
    rates = tomllib.loads(read_text(folder / HEAD), parse_float=Decimal).get("rates") or {}
    return {
        "name": info.name,
        "currency": info.currency,
        "as_of": info.as_of.isoformat(),
        "origin": info.origin,
        "reference": json.dumps(asdict(info.reference)),
        "rates": json.dumps({code: str(rate) for code, rate in rates.items()}, sort_keys=True),
    }


def set_head(connection: sqlite3.Connection, head: Mapping[str, str]) -> None:
    """Keep a head. Raises InputRefused where it counts in another currency than the store."""
    held = dict(connection.execute("SELECT key, value FROM meta"))
    if "currency" in held and held["currency"] != head["currency"]:
        raise refuse(
            "catalog.toml currency",
            "the store counts in another currency",
            head["currency"],
            held["currency"],
            "Add it to a store of its own",
        )
    connection.executemany("INSERT OR REPLACE INTO meta VALUES(?, ?)", sorted(head.items()))


def _rows(folder: Path, table: str) -> Iterator[tuple[int, dict[str, str]]]:
    """Line numbers and the cells that say something."""
    path = folder / f"{table}.csv"
    if not path.is_file():
        return
    header: list[str] | None = None
    for line, row in csv_rows(read_text(path), str(path)):
        if not any(cell.strip() for cell in row):
            continue
        if header is None:
            header = [cell.strip() for cell in row]
            continue
        cells = {name: cell.strip() for name, cell in zip(header, row, strict=False) if cell.strip()}
        yield line, cells


def _part_sightings(catalog: Catalog, folder: Path) -> Iterator[Sighting]:
    for table in PART_TABLES:
        for line, cells in _rows(folder, table):
            place = f"{table}.csv:{line}"
            facts = tuple(
                Fact(name, text, "typed", place) for name, text in cells.items() if name not in ("id", "name")
            )
            # A part of which the table says nothing but its name is a part all the same.
            facts = facts or (Fact("source", "unknown", "typed", place),)
            yield Sighting(
                YOU,
                table,
                cells["name"],
                folder.as_posix(),
                place,
                catalog.info.as_of,
                facts,
                maker=cells.get("maker"),
                own_id=cells["id"],
            )


def _offer_sightings(catalog: Catalog, folder: Path) -> Iterator[Sighting]:
    names = {row.id: row.name for table in PART_TABLES for row in catalog.tables[table]}
    for line, cells in _rows(folder, "offers"):
        currency = cells.get("currency")
        offer = OfferSeen(
            parse_amount(cells["price"], minor_digits(currency or catalog.info.currency)),
            catalog.info.as_of,
            currency,
            "gross",
            cells=tuple(sorted((k, v) for k, v in cells.items() if k not in _OFFER_OWN)),
        )
        part = cells["part"]
        yield Sighting(
            cells["seller"],
            catalog.table_of[part],
            names[part],
            folder.as_posix(),
            f"offers.csv:{line}",
            catalog.info.as_of,
            offers=(offer,),
            own_id=part,
        )


def export_folder(folder: Path, target: Path) -> list[Path]:
    """Write the store of a folder as CSV tables with catalog.toml. Raises InputRefused where a catalogue
    is there already or nothing can be written."""
    if target.exists() and any((target / name).exists() for name in (HEAD, "catalog.sqlite")):
        raise refuse(str(target), "there is a catalogue in this folder already", hint="Choose another folder")
    head = store_head(folder)
    with reading(folder) as connection:
        connection.execute("BEGIN")
        tables = all_rows(connection, minor_digits(head["currency"]), {}, {})
    texts = {}
    blank_facts = any(
        columns()[table][name].required and name not in IDENTIFYING and not all(row[place] for row in rows)
        for table, (header, rows) in tables.items()
        for place, name in enumerate(header)
    )
    for table, (header, rows) in tables.items():
        kept = {name for place, name in enumerate(header) if _kept(table, name, place, rows)}
        filled = [name for name in columns()[table] if name in kept]
        places = [header.index(name) for name in filled]
        out = io.StringIO(newline="")
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(filled)
        is_text = [columns()[table][name].type == "text" for name in filled]
        writer.writerows(
            [
                told_as_text(row[place]) if text else row[place]
                for place, text in zip(places, is_text, strict=True)
            ]
            for row in rows
        )
        texts[f"{table}.csv"] = out.getvalue()
    texts = {HEAD: _head_text(head, blank_facts), **texts}
    if target.is_dir() and any(target.iterdir()):
        # What else is in there stays. The head comes last: without it the tables are no catalogue yet, and
        # whoever was stopped midway just runs the command again.
        for name in (*(name for name in texts if name != HEAD), HEAD):
            write_text(target / name, texts[name])
    else:
        write_folder(target, texts)
    return [target / name for name in texts]


def _kept(table: str, name: str, place: int, rows: list[list[str]]) -> bool:
    return columns()[table][name].required or any(row[place] for row in rows)


def _head_text(head: dict[str, object], blank_facts: bool) -> str:
    def quoted(value: object) -> str:
        return json.dumps(str(value), ensure_ascii=False)

    lines = [
        f"name = {quoted(head['name'])}",
        f"currency = {quoted(head['currency'])}",
        f"as_of = {head['as_of']}",
        f"origin = {quoted(head['origin'])}",
        *(
            ["# facts that must be stated may be blank: they are not known", "blank_facts = true"]
            if blank_facts
            else []
        ),
        "",
        "[reference]",
    ]
    lines += [f"{name} = {value}" for name, value in asdict(head["reference"]).items()]  # type: ignore[call-overload]
    rates = head.get("rates")
    if isinstance(rates, dict):
        lines += ["", "[rates]", *(f"{code} = {quoted(rate)}" for code, rate in sorted(rates.items()))]
    return "\n".join(lines) + "\n"
